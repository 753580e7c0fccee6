"""A small SVG canvas: rounded coordinates, deterministic bytes, no ids that could clash on a page.

Points are complex numbers x + jy in pixels, y downwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape

FONT = "Arial, 'Liberation Sans', Helvetica, sans-serif"

_NARROW, _WIDE = "fijlrtI.,:;|!'()[]·/ -", "mwMW%∠@—"
_HALO = 'paint-order="stroke" stroke="#ffffff" stroke-width="4" stroke-linejoin="round"'


@dataclass(frozen=True)
class Pen:
    """How a line is drawn: colour, width [px], dash pattern (SVG), fill."""

    stroke: str
    width: float = 1.5
    dash: str = ""
    fill: str = "none"

    def attributes(self) -> str:
        """As SVG attributes."""
        dash = f' stroke-dasharray="{self.dash}"' if self.dash else ""
        return f'fill="{self.fill}" stroke="{self.stroke}" stroke-width="{number(self.width)}"{dash}'


def number(value: float) -> str:
    """A coordinate with at most two decimals; the nudge keeps exact halves from flipping between machines.

    >>> number(12.0), number(-0.001), number(3.14159)
    ('12', '0', '3.14')
    """
    text = f"{value + 1e-6:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def point(p: complex) -> str:
    """A point as ``x,y``."""
    return f"{number(p.real)},{number(p.imag)}"


def text_width(text: str, size: float) -> float:
    """Width [px] of a line of bold text: a cautious estimate from three classes of letters.

    >>> text_width("M", 10) > text_width("N", 10) > text_width("l", 10)
    True
    """
    ems = sum(0.37 if c in _NARROW else 0.93 if c in _WIDE else 0.76 if c.isupper() else 0.6 for c in text)
    return ems * size


class Canvas:
    """Collects SVG; `render` gives the whole element."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._items: list[str] = []

    def path(self, data: str, pen: Pen, extra: str = "") -> None:
        """A path from SVG path data."""
        self._items.append(f'<path d="{data}" {pen.attributes()}{_spaced(extra)}/>')

    def line(self, points: Sequence[complex], pen: Pen, *, closed: bool = False, extra: str = "") -> None:
        """Straight strokes through points."""
        self.path("M" + " L".join(point(p) for p in points) + ("Z" if closed else ""), pen, extra)

    def circle(self, centre: complex, radius: float, pen: Pen, extra: str = "") -> None:
        """A circle."""
        where = f'cx="{number(centre.real)}" cy="{number(centre.imag)}" r="{number(radius)}"'
        self._items.append(f"<circle {where} {pen.attributes()}{_spaced(extra)}/>")

    def arrow(self, chain: Sequence[complex], pen: Pen, *, head: float = 11.0, extra: str = "") -> None:
        """Straight strokes that end in an arrowhead whose point is the last point."""
        way = chain[-1] - chain[-2]
        u = way / abs(way) if abs(way) > 1e-9 else 1 + 0j
        tip = chain[-1]
        self.line([*chain[:-1], tip - 0.8 * head * u], pen, extra=extra)
        barbs = [tip, tip - head * u + 0.38j * head * u, tip - head * u - 0.38j * head * u]
        self.line(barbs, Pen(pen.stroke, 1, fill=pen.stroke), closed=True)

    def text(
        self, at: complex, lines: Iterable[str], *, size: float, colour: str, anchor: str = "middle", bold: int = 99
    ) -> None:
        """Lines of text with a white halo; `at` is the middle (or start, end) of the block.

        The first `bold` lines are bold.
        """
        rows = list(lines)
        top = at.imag - (len(rows) - 1) * 0.6 * size + 0.36 * size
        weights = [' font-weight="700"' if k < bold else "" for k in range(len(rows))]
        spans = "".join(
            f'<tspan x="{number(at.real)}" y="{number(top + 1.2 * size * k)}"{weights[k]}>{escape(row)}</tspan>'
            for k, row in enumerate(rows)
        )
        style = f'font-size="{number(size)}" fill="{colour}" text-anchor="{anchor}"'
        self._items.append(f"<text {style} {_HALO}>{spans}</text>")

    @contextmanager
    def group(self, attributes: str) -> Iterator[None]:
        """Put what is drawn inside into one ``<g>``."""
        self._items.append(f"<g {attributes}>")
        yield
        self._items.append("</g>")

    def include(self, other: Canvas, *, at: complex) -> None:
        """Set another canvas into this one, its corner at a point."""
        with self.group(f'transform="translate({point(at)})"'):
            self._items.extend(other._items)

    def render(self, *, title: str, text: str) -> str:
        """The whole SVG element with its title and description."""
        w, h = number(self.width), number(self.height)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}" width="{w}" height="{h}" role="img" '
            f'style="max-width:100%;height:auto" font-family="{FONT}" stroke-linecap="round">'
            f"<title>{escape(title)}</title><desc>{escape(text)}</desc>"
            f'<rect width="{w}" height="{h}" fill="#ffffff"/>'
        )
        return head + "".join(self._items) + "</svg>"


def _spaced(extra: str) -> str:
    return f" {extra}" if extra else ""
