"""The look of all pictures: a palette of our own, with a line style and a marker beside every colour.

No colour here means a mains conductor's insulation; violet, teal and amber were chosen because no common wiring
rule gives them to L1, L2, L3, and because they stay apart for colour-blind readers (a test simulates that).
"""

from __future__ import annotations

from cmath import exp, pi
from dataclasses import dataclass

from phasorkit.draw.svg import Canvas, Pen

INK, GREY, FAINT, GLOW = "#1f2430", "#5d6672", "#aab2bc", "#ffc933"
TEXT = 15.0
"""Size of ordinary text [px of the view box]."""

THIN = Pen(FAINT, 1.2)
HINT = Pen("#6a7fa8", 1.3, dash="3 4")
PROOF = Pen("#3f5f9e", 1.5)
WIRE = Pen(INK, 1.8)


@dataclass(frozen=True)
class Strand:
    """Colour, dash pattern and marker of one node, the same in every picture."""

    colour: str
    dash: str
    marker: str

    def pen(self, width: float = 2.2) -> Pen:
        """A pen in this colour and dash."""
        return Pen(self.colour, width, dash=self.dash)


_FIXED = {
    "L1": Strand("#5b2d8e", "", "circle"),
    "L2": Strand("#008a80", "9 4", "square"),
    "L3": Strand("#c77700", "11 4 2 4", "triangle"),
    "N": Strand(GREY, "1 5", "cross"),
}
_FURTHER = (
    Strand(INK, "5 4", "diamond"),
    Strand("#c0267e", "2 4", "ring"),
    Strand("#2f6fd0", "14 5", "diamond"),
    Strand("#6b8e23", "7 3 2 3 2 3", "ring"),
)


def strands(nodes: tuple[str, ...]) -> dict[str, Strand]:
    """A strand for each node: fixed for the conductors, in order of mention for the others.

    >>> strands(("L1", "M"))["M"].dash
    '5 4'
    """
    inner = [n for n in nodes if n not in _FIXED]
    return {n: _FIXED[n] if n in _FIXED else _FURTHER[inner.index(n) % len(_FURTHER)] for n in nodes}


def mark(canvas: Canvas, at: complex, strand: Strand) -> None:
    """Draw the marker of a strand."""
    pen = Pen(strand.colour, 1.8, fill=strand.colour)
    if strand.marker in ("circle", "ring"):
        canvas.circle(at, 4.5, Pen(strand.colour, 1.8, fill=strand.colour if strand.marker == "circle" else "#ffffff"))
    elif strand.marker == "cross":
        for arm in (5 + 5j, 5 - 5j):
            canvas.line([at - arm, at + arm], pen)
    else:
        corners, turn = {"square": (4, 0.5), "diamond": (4, 0.0), "triangle": (3, 0.75)}[strand.marker]
        points = [at + 6 * exp(2j * pi * (k + turn) / corners) for k in range(corners)]
        canvas.line(points, pen, closed=True)
