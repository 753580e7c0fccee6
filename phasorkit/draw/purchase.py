"""What is sold, as rungs of a ladder: the wanted value between them, the bought one, and what it must bear."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

from phasorkit.analysis.purchase import Purchase
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.parts import series_values
from phasorkit.quantities import code, render

WIDTH, HEIGHT = 640.0, 366.0
_LEFT, _RIGHT, _RAIL = 34.0, 606.0, 96.0
_TEXT = 14.0
_WANTED, _BOUGHT = "#5b2d8e", "#008a80"
_GOOD, _BAD = "#2f6fd0", "#a3261b"
_BARS, _ROW, _TRACK = complex(34, 180), 47.0, 300.0
_MOST = 1.5
"""Where a bar ends at most, as a multiple of its limit."""


@dataclass(frozen=True)
class Bar:
    """A figure against its limit: label, value, limit, unit."""

    label: str
    value: float
    limit: float
    unit: str

    @property
    def good(self) -> bool:
        """Within the limit."""
        return self.value <= self.limit

    def says(self) -> str:
        """Value, limit and verdict."""
        return f"{self.shown(self.value)} of {self.shown(self.limit)}, {'good' if self.good else 'too much'}"

    def shown(self, value: float) -> str:
        """A figure as its label shows it: volts as volts, though they be few."""
        return f"{value:.2f} V" if self.unit == "V" and value < 1 else render(value, self.unit, digits=3)


def purchase_picture(found: Purchase) -> Picture:
    """Draw one decade of the series as a ladder, and below it what each piece must bear.

    Parameters
    ----------
    found : Purchase

    Returns
    -------
    Picture
        On the ladder equal lengths are equal factors. In the bars the upright stroke is the limit.

    Examples
    --------
    >>> from phasorkit.analysis.design import Design
    >>> from phasorkit.analysis.purchase import purchase
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> purchase_picture(purchase(Design(exact=bridge))).text.split(". ")[0]
    'C1 4.7 nF at 50 Hz asks for R = 391 kΩ'
    """
    canvas = Canvas(WIDTH, HEIGHT)
    _ladder(canvas, found)
    for k, bar in enumerate(bars(found)):
        _bar(canvas, _BARS + 1j * _ROW * k, bar)
    title = f"Buying R from {found.design.series}"
    text = describe(found)
    return Picture(canvas.render(title=title, text=text), title, text)


def bars(found: Purchase) -> tuple[Bar, ...]:
    """Volts and heat of the hardest-pressed piece, volts left on the dark lamp, volts on the capacitor."""
    c = found.capacitor
    return (
        Bar("volts on each piece", found.volts, found.volts_limit, "V"),
        Bar("heat in each piece", found.watts, found.watts_limit, "W"),
        Bar("left on the dark lamp", found.left, found.dark_below, "V"),
        Bar(f"C1: {c.pieces} × {c.buy}" if c.pieces > 1 else f"C1: {c.buy}", c.volts, c.rated_volts or c.volts, "V"),
    )


def describe(found: Purchase) -> str:
    """The purchase in words."""
    design, ohms, n = found.design, render(found.exact, "Ω"), found.design.pieces
    farad, hertz = render(found.capacitance, "F"), render(design.exact.frequency, "Hz")
    many = f"{n} × {code(found.piece)} in series" if n > 1 else code(found.piece)
    each, heat, left, _ = bars(found)
    fewest = {None: "not even 4 in series hold", 1: "one is enough"}
    enough = fewest.get(found.fewest, f"{found.fewest} in series is the fewest that holds")
    return (
        f"C1 {farad} at {hertz} asks for R = {ohms}. From {design.series} you buy {many}, {off_words(found.off)}. "
        f"Each {design.size.name} must bear {each.says()}, and {heat.says()}: {enough}. "
        f"{left.shown(left.value)} stay on the dark lamp; {render(left.limit, 'V')} is the end of surely dark. "
        f"C1 must bear {render(found.capacitor.volts, 'V', digits=3)}: {found.capacitor.buy}."
    )


def off_words(off: float) -> str:
    """A relative deviation in words.

    >>> off_words(-0.0026), off_words(0.00001)
    ('0.3 % too little', 'right to 0.1 %')
    """
    if abs(off) < 0.0005:
        return "right to 0.1 %"
    return f"{100 * abs(off):.1f} % too {'much' if off > 0 else 'little'}"


def _ladder(canvas: Canvas, found: Purchase) -> None:
    series, power = found.design.series, floor(log10(found.wanted) + 1e-12)
    rungs = [float(f"{v:g}e{power}") for v in (*series_values(series), 10.0)]
    canvas.line([complex(_LEFT, _RAIL), complex(_RIGHT, _RAIL)], Pen(INK, 1.6))
    named = len(rungs) <= 25
    for k, value in enumerate(rungs):
        low = named and len(rungs) > 13 and k % 2 == 1
        at = complex(place(value, power), _RAIL)
        canvas.line(
            [at - 7j, at + (22j if low else 7j)], Pen(FAINT if low else INK, 1.2), extra=f'data-rung="{value:g}"'
        )
        if named or k % 8 == 0:
            canvas.text(at + (32j if low else 17j), [code(value)], size=_TEXT - 2, colour=GREY, bold=0)
    _flag(canvas, place(found.wanted, power), 22, f"wanted {render(found.wanted, 'Ω')}", _WANTED, "wanted")
    _flag(canvas, place(found.piece, power), 52, f"bought {code(found.piece)}", _BOUGHT, "bought")
    gap = (
        f"{series}: {series[1:]} rungs to a factor of ten, about +{100 * (10 ** (1 / int(series[1:])) - 1):.0f} % each"
    )
    canvas.text(complex(_LEFT, 148), [gap], size=_TEXT - 1, colour=GREY, anchor="start", bold=0)
    canvas.text(complex(_RIGHT, 148), ["upright stroke: the limit"], size=_TEXT - 1, colour=GREY, anchor="end", bold=0)


def place(value: float, power: int) -> float:
    """Where a value stands on the ladder of the decade 10^power [px]: equal factors, equal lengths."""
    return _LEFT + (_RIGHT - _LEFT) * (log10(value) - power)


def _flag(canvas: Canvas, x: float, y: float, label: str, colour: str, name: str) -> None:
    """A label on a stalk down to the rail; the wanted one ends in an open circle, the bought one in a filled one."""
    foot = complex(x, _RAIL)
    dash = "5 3" if name == "wanted" else ""
    canvas.line([complex(x, y + 9), foot], Pen(colour, 2.0, dash=dash), extra=f'data-flag="{name}"')
    canvas.circle(foot, 6.0 if name == "wanted" else 3.5, Pen(colour, 2.0, fill="none" if name == "wanted" else colour))
    anchor = "end" if x > WIDTH / 2 else "start"
    canvas.text(complex(x, y), [label], size=_TEXT, colour=colour, anchor=anchor, bold=1)


def _bar(canvas: Canvas, at: complex, bar: Bar) -> None:
    colour = _GOOD if bar.good else _BAD
    unit = _TRACK / _MOST
    canvas.text(at, [bar.label], size=_TEXT, colour=INK, anchor="start", bold=0)
    canvas.text(at + 572, [bar.says()], size=_TEXT, colour=colour, anchor="end", bold=1)
    corner = at + 13j
    full = min(bar.value / bar.limit, _MOST) * unit * 572 / _TRACK
    box = [corner, corner + full, corner + full + 9j, corner + 9j]
    canvas.line(box, Pen(colour, 0.8, fill=colour), closed=True, extra=f'data-bar="{bar.label}"')
    limit = corner + unit * 572 / _TRACK
    canvas.line([limit - 4j, limit + 13j], Pen(INK, 2.2), extra='data-limit="1"')
