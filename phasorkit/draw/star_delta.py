"""Three equal loads in star and in delta, as a circuit diagram."""

from __future__ import annotations

from cmath import exp, pi

from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GREY, INK, TEXT, WIRE, strands
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.supply import CONDUCTORS

WIDTH, HEIGHT = 600.0, 300.0
_REACH, _LENGTH, _THICK = 100.0, 56.0, 20.0


def star_delta() -> Picture:
    """Draw three loads in star and in delta side by side.

    Returns
    -------
    Picture
        Not to scale: it shows what is joined to what.

    Examples
    --------
    >>> star_delta().title
    'Three loads in star and in delta'
    """
    canvas = Canvas(WIDTH, HEIGHT)
    for middle, name in ((150 + 172j, "star"), (450 + 172j, "delta")):
        corners = [middle - 1j * _REACH * exp(2j * pi * k / 3) for k in range(3)]
        canvas.text(complex(middle.real - 96, 22), [name], size=TEXT + 1, colour=GREY)
        if name == "star":
            for corner in corners:
                _load(canvas, corner, middle)
            canvas.circle(middle, 4.5, Pen(INK, 1.5, fill=INK))
            canvas.text(middle + 24, ["N"], size=TEXT, colour=INK)
        else:
            for k in range(3):
                _load(canvas, corners[k], corners[(k + 1) % 3])
        for conductor, corner in zip(CONDUCTORS, corners, strict=True):
            look = strands(CONDUCTORS)[conductor]
            canvas.circle(corner, 5.5, Pen(look.colour, 2, fill="#ffffff"))
            canvas.text(corner + 20 * (corner - middle) / _REACH, [conductor], size=TEXT, colour=look.colour)
    text = (
        "Star: each load goes from one line conductor to the common star point N. "
        "Delta: each load goes from one line conductor to the next, L1 to L2, L2 to L3, L3 to L1; there is no N."
    )
    title = "Three loads in star and in delta"
    return Picture(canvas.render(title=title, text=text), title, text)


def _load(canvas: Canvas, a: complex, b: complex) -> None:
    """A resistor (IEC 60617: a rectangle) in the middle of its wire."""
    along = (b - a) / abs(b - a)
    middle, half, side = (a + b) / 2, along * _LENGTH / 2, 1j * along * _THICK / 2
    canvas.line([a, b], WIRE)
    box = [middle - half - side, middle + half - side, middle + half + side, middle - half + side]
    canvas.line(box, Pen(INK, 1.8, fill="#ffffff"), closed=True, extra='data-load="1"')
