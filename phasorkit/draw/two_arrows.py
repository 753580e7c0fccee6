"""Two voltages as arrows, to scale for a ruler: between their tips, and one after the other."""

from __future__ import annotations

from phasorkit.draw.dial import Wave, decimal
from phasorkit.draw.frame import round_volts
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GREY, INK, PROOF, TEXT, strands
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.phasors import angle_deg
from phasorkit.quantities import render

_A, _B = (strands(("L1", "L2"))[name] for name in ("L1", "L2"))
WIDTH, HEIGHT = 600.0, 330.0


def waves_of(a: complex, b: complex) -> tuple[Wave, Wave]:
    """Two voltages A and B [V rms] with their looks.

    >>> [w.name for w in waves_of(8, -6j)]
    ['A', 'B']
    """
    return Wave("A", a, _A), Wave("B", b, _B)


def two_arrows(a: complex, b: complex) -> Picture:
    """Draw two voltages twice: both from one point with the gap between their tips, and tip to tail with their sum.

    Parameters
    ----------
    a, b : complex
        [V rms]; 0° points up, later is clockwise.

    Returns
    -------
    Picture
        Lengths are rms volts at one scale.

    Raises
    ------
    ValueError
        A voltage of zero.

    Examples
    --------
    >>> two_arrows(4, -3j).text.split(". ")[1]
    'Between their tips: 5 V'
    """
    if not (abs(a) > 0 and abs(b) > 0):
        raise ValueError(f"a and b must have volts [V rms], got {a!r} and {b!r}")
    one, two = waves_of(a, b)
    scale = 200 / max(abs(a), abs(b), abs(a + b) * 0.8, abs(a - b) * 0.8)
    canvas = Canvas(WIDTH, HEIGHT)
    for x, words in ((150.0, "with a common point"), (450.0, "one after the other")):
        canvas.text(complex(x, 18), [words], size=TEXT, colour=GREY, bold=1)
    left, right = _centred(150, scale, (0, a, b)), _centred(450, scale, (0, a, a + b))
    _arrow(canvas, one, left(0), left(a))
    _arrow(canvas, two, left(0), left(b))
    _gap(canvas, left(b), left(a), "between the tips")
    _arrow(canvas, one, right(0), right(a))
    _arrow(canvas, two, right(a), right(a + b))
    canvas.arrow([right(0), right(a + b)], Pen(INK, 3), extra='data-arrow="sum"')
    _beside(canvas, right(0), right(a + b), "A and B in series", INK, side=1)
    _bar(canvas, scale)
    later = -float(angle_deg(b / a))
    text = (
        f"A {decimal(abs(a))} V points up; B {decimal(abs(b))} V stands {later:.0f}° clockwise of it, so it peaks "
        f"{later:.0f}° later. Between their tips: {decimal(abs(a - b))} V. One after the other, from the tail of A to "
        f"the tip of B: {decimal(abs(a + b))} V."
    )
    title = "Two voltages as arrows, to scale"
    return Picture(canvas.render(title=title, text=text), title, text)


class _centred:
    """Places a group of phasors so that it fills its half of the picture."""

    def __init__(self, x: float, scale: float, phasors: tuple[complex, ...]) -> None:
        raw = [-1j * scale * complex(z).conjugate() for z in phasors]
        middle = complex(
            (min(z.real for z in raw) + max(z.real for z in raw)) / 2,
            (min(z.imag for z in raw) + max(z.imag for z in raw)) / 2,
        )
        self._scale, self._shift = scale, complex(x, 160) - middle

    def __call__(self, z: complex) -> complex:
        return self._shift - 1j * self._scale * complex(z).conjugate()


def _arrow(canvas: Canvas, wave: Wave, tail: complex, tip: complex) -> None:
    canvas.arrow([tail, tip], wave.strand.pen(3), extra=f'data-arrow="{wave.name}"')
    _beside(canvas, tail, tip, wave.name, wave.strand.colour, side=-1)


def _gap(canvas: Canvas, a: complex, b: complex, words: str) -> None:
    canvas.line([a, b], Pen(PROOF.stroke, 2.2, dash="6 4"), extra='data-gap="1"')
    _beside(canvas, a, b, words, PROOF.stroke, side=1)


def _beside(canvas: Canvas, a: complex, b: complex, words: str, colour: str, *, side: int) -> None:
    """Words beside the middle of a line: `side` −1 on its left when one walks from a to b, 1 on its right."""
    way = (b - a) / abs(b - a)
    place = (a + b) / 2 + side * 14j * way
    anchor = "middle" if abs(way.imag) < 0.3 else "start" if (side * 1j * way).real > 0 else "end"
    canvas.text(place, [words], size=TEXT, colour=colour, anchor=anchor)


def _bar(canvas: Canvas, scale: float) -> None:
    volts = round_volts(100 / scale)
    start = complex(22, HEIGHT - 16)
    with canvas.group('data-scale-bar="1"'):
        ends = [start - 5j, start, start + volts * scale, start + volts * scale - 5j]
        canvas.line(ends, Pen(INK, 1.6))
        canvas.text(ends[1] + volts * scale / 2 - 12j, [render(volts, "V")], size=TEXT - 2, colour=GREY, bold=0)
