"""Circuit symbols taken from schemdraw's elements, laid between any two points.

schemdraw places and scales whole drawings by their contents; here only its outlines are used, so that a symbol's
ends lie exactly where the volts say (also for lamps) and the frame stays still.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import cache
from math import cos, isnan, radians, sin
from types import ModuleType

STYLES = ("IEC", "NA")
"""IEC 60617 style, and the style usual in North America (zigzag resistor)."""

LAMP = "lamp"
_SIZE = {"R": 33.0, "C": 42.0, "L": 44.0, LAMP: 27.0}
_ELEMENTS = {
    "IEC": {"R": "ResistorIEC", "C": "Capacitor", "L": "Inductor", LAMP: "Lamp2"},
    "NA": {"R": "ResistorIEEE", "C": "Capacitor", "L": "Inductor", LAMP: "Neon"},
}


@dataclass(frozen=True)
class Symbol:
    """An outline around (0, 0), lying along the x axis, in pixels.

    `strokes` are chains of points; `circles` are (centre, radius, filled); `length` is the distance between its two
    terminals, `half` its half height.
    """

    strokes: tuple[tuple[complex, ...], ...]
    circles: tuple[tuple[complex, float, bool], ...]
    length: float
    half: float


@cache
def symbol(kind: str, style: str = "IEC") -> Symbol:
    """The symbol of a part kind (``R``, ``L``, ``C`` or ``lamp``) in one of `STYLES`.

    Raises
    ------
    ValueError
        Unknown style.

    Examples
    --------
    >>> round(symbol("R").length), round(symbol("R", "NA").half, 1)
    (33, 8.2)
    """
    if style not in STYLES:
        raise ValueError(f"symbols must be one of {', '.join(STYLES)}, got {style!r}")
    size = _SIZE[kind]
    raw = getattr(_elements(), _ELEMENTS[style][kind])().segments
    width = max(p.real for s in raw for p in _outline(s)) if kind != LAMP else 1.0
    strokes: list[tuple[complex, ...]] = []
    circles: list[tuple[complex, float, bool]] = []
    for segment in raw:
        if type(segment).__name__ == "SegmentCircle":
            centre = complex(segment.center[0] - width / 2, -segment.center[1])
            circles.append((size * centre, size * segment.radius, bool(segment.fill)))
        else:
            strokes += [tuple(size * (p - width / 2) for p in chain) for chain in _chains(segment)]
    heights = [abs(p.imag) for chain in strokes for p in chain] + [abs(c.imag) + r for c, r, _ in circles]
    return Symbol(tuple(strokes), tuple(circles), size * width, max(heights))


def _elements() -> ModuleType:
    """schemdraw's elements, loaded when first needed (it brings matplotlib along, and old-fashioned imports)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        import schemdraw.elements
    elements: ModuleType = schemdraw.elements
    return elements


def _outline(segment: object) -> list[complex]:
    return [p for chain in _chains(segment) for p in chain] if type(segment).__name__ != "SegmentCircle" else [0j]


def _chains(segment: object) -> list[tuple[complex, ...]]:
    """Chains of at least two points of a schemdraw segment, y turned downwards; its gaps are NaN points."""
    if type(segment).__name__ == "SegmentArc":
        return [_arc(segment)]
    chains: list[list[complex]] = [[]]
    for x, y in segment.path:  # type: ignore[attr-defined]
        if isnan(x):
            chains.append([])
        else:
            chains[-1].append(complex(x, -y))
    return [tuple(c) for c in chains if len(set(c)) > 1]


def _arc(segment: object) -> tuple[complex, ...]:
    (x, y), w, h = segment.center, segment.width, segment.height  # type: ignore[attr-defined]
    turns = [radians(180 - 15 * k) for k in range(13)]
    return tuple(complex(x + w / 2 * cos(t), -y - h / 2 * sin(t)) for t in turns)
