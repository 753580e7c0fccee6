"""Where symbols and labels go: beside each other where they would lie on each other. Pixels, complex points.

A symbol's two leads always start exactly on its nodes; only its body gives way.
"""

from __future__ import annotations

from cmath import exp, pi
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from phasorkit.draw.symbols import Symbol
from phasorkit.phasors import FloatArray

Complexes = NDArray[np.complexfloating]

_GAP = 4.0
_CELL = 4.0
_TURNS = np.array([exp(2j * pi * k / 16) for k in range(16)])
_DISTANCES = np.array([0.0, 8.0, 16.0, 30.0, 48.0, 68.0, 100.0])
_SLIDES = np.array([0.0, 18.0, -18.0, 36.0, -36.0, 60.0, -60.0, 84.0, -84.0])
_DISC = np.array([0j, *(r * t for r in (0.35, 0.7, 1.0) for t in _TURNS[::2])])


@dataclass(frozen=True)
class Wire:
    """A part to be laid: its two node points and its symbol."""

    a: complex
    b: complex
    symbol: Symbol

    @property
    def length(self) -> float:
        """Distance of the nodes [px]."""
        return abs(self.b - self.a)

    @property
    def along(self) -> complex:
        """Unit vector from a to b (to the right where they coincide)."""
        return (self.b - self.a) / self.length if self.length > 1e-9 else 1 + 0j


@dataclass(frozen=True)
class Body:
    """A laid part: chains of its two leads (node first, node last), and the body's middle, direction and size."""

    lead_a: tuple[complex, ...]
    lead_b: tuple[complex, ...]
    middle: complex
    along: complex
    scale: float
    half: float
    beside: bool
    """True for a part too short for its symbol: the body hangs beside its nodes."""


@dataclass(frozen=True)
class Places:
    """Candidate middles of a label or body, each with the penalty of its own."""

    middles: Complexes
    penalties: NDArray[np.floating]


class Ground:
    """What is drawn already, so that new things find a free place: a grid of occupied cells, bodies, label boxes."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._shape = (int(height / _CELL) + 1, int(width / _CELL) + 1)
        self._grid = np.zeros(self._shape)
        self._sums: FloatArray | None = None
        self._boxes: list[tuple[float, float, float, float]] = []
        self._bodies: list[complex] = []

    def line(self, chain: Sequence[complex], weight: int = 5) -> None:
        """Take a chain of strokes as occupied."""
        for p, q in pairwise(chain):
            count = max(2, int(abs(q - p) / _CELL) + 1)
            self._take(np.asarray(p + (q - p) * np.arange(count) / (count - 1)), weight)

    def disc(self, middle: complex, radius: float, weight: int = 8) -> None:
        """Take a disc as occupied."""
        self._take(middle + radius * np.array([0, *(r * t for r in (0.5, 1.0) for t in _TURNS[::2])]), weight)

    def body(self, middle: complex, along: complex, symbol: Symbol) -> None:
        """Take a symbol's body as occupied; labels of other parts keep away from it."""
        reach = max(symbol.length / 2 - symbol.half, 0)
        for shift in (-reach, 0, reach) if reach else (0,):
            self.disc(middle + shift * along, symbol.half + 1)
        self._bodies.append(middle)

    def box(self, middle: complex, width: float, height: float) -> None:
        """Take a label's box as occupied."""
        self._boxes.append((middle.real, middle.imag, width, height))

    def cost(self, c: Complexes, width: float, height: float) -> FloatArray:
        """Cost of a box of a size at each place: what it would cover, and how far it would stick out."""
        total = self._covered(c, width, height)
        if self._boxes:
            bx, by, bw, bh = np.array(self._boxes).T
            over_x = np.maximum((width + bw) / 2 + 3 - np.abs(bx - c.real[:, None]), 0)
            over_y = np.maximum((height + bh) / 2 + 3 - np.abs(by - c.imag[:, None]), 0)
            total = total + np.sum(np.where((over_x > 0) & (over_y > 0), 90 + over_x * over_y, 0), axis=1)
        out_x = np.maximum(width / 2 + 4 - np.minimum(c.real, self.width - c.real), 0)
        out_y = np.maximum(height / 2 + 4 - np.minimum(c.imag, self.height - c.imag), 0)
        return np.asarray(total + 60 * (out_x + out_y))

    def best(self, places: Places, width: float, height: float, *, own: complex | None = None) -> complex:
        """The cheapest place; ties go to the earlier one. A label keeps nearer to its `own` body than to others."""
        c = places.middles
        cost = self.cost(c, width, height) + places.penalties
        others = [m for m in self._bodies if own is None or abs(m - own) > 1e-9]
        if own is not None and others:
            near = np.min([_away(c, m, width, height) for m in others], axis=0)
            cost = cost + np.maximum(_away(c, own, width, height) + 16 - near, 0)
        return complex(c[int(np.argmin(np.round(cost, 3)))])

    def _take(self, points: Complexes, weight: int) -> None:
        rows, columns = _cells(points.imag, self._shape[0]), _cells(points.real, self._shape[1])
        np.add.at(self._grid, (rows, columns), weight)
        self._sums = None

    def _covered(self, c: Complexes, width: float, height: float) -> FloatArray:
        """Weight of the occupied cells under each box, by a table of sums over the grid."""
        if self._sums is None:
            self._sums = np.zeros((self._shape[0] + 1, self._shape[1] + 1))
            self._sums[1:, 1:] = self._grid.cumsum(axis=0).cumsum(axis=1)
        left, right = (_cells(c.real + s * width / 2, self._shape[1]) for s in (-1, 1))
        top, low = (_cells(c.imag + s * height / 2, self._shape[0]) for s in (-1, 1))
        sums = self._sums
        return np.asarray(sums[low + 1, right + 1] - sums[top, right + 1] - sums[low + 1, left] + sums[top, left])


def lay(wires: Sequence[Wire], ground: Ground) -> list[Body]:
    """Lay all parts: long ones along their volts (beside each other where they run together), short ones beside."""
    shifts = _lanes(wires)
    long = [k for k, w in enumerate(wires) if w.length >= 0.75 * w.symbol.length + 6]
    for k in long:
        w = wires[k]
        ground.line([w.a + shifts[k], w.b + shifts[k]])
    bodies: dict[int, Body] = {k: _along(wires[k], shifts[k], ground) for k in long}
    for k, w in enumerate(wires):
        if k not in bodies:
            bodies[k] = _beside(w, ground)
    return [bodies[k] for k in range(len(wires))]


def label_places(body: Body, wire: Wire, width: float, height: float) -> Places:
    """Candidate places of a part's label: near the body first."""
    if body.beside:
        directions, slides = _TURNS, np.zeros(1)
    else:
        directions = np.array([1j * body.along, -1j * body.along])
        slides = _SLIDES[np.abs(_SLIDES) <= max(wire.length / 2 - 20, 0)]
    box = np.abs(directions.real) * width / 2 + np.abs(directions.imag) * height / 2
    away = body.half + 7 + _DISTANCES[:, None, None] + box
    middles = body.middle + slides[:, None] * body.along + away * directions
    penalties = np.broadcast_to(_DISTANCES[:, None, None] / 3 + np.abs(slides[:, None]) / 12, middles.shape)
    return Places(middles.ravel(), penalties.ravel())


def node_places(at: complex, width: float, height: float, outward: complex) -> Places:
    """Candidate places of a node's label: outward and near first."""
    across = np.maximum(np.abs(_TURNS.real), 1e-9), np.maximum(np.abs(_TURNS.imag), 1e-9)
    box = np.minimum(width / 2 / across[0], height / 2 / across[1])
    away = _DISTANCES[1:-1, None]
    penalties = away / 3 + 1.5 * (1 - (_TURNS * outward.conjugate()).real)
    return Places((at + (away + box) * _TURNS).ravel(), penalties.ravel())


def leader(at: complex, body: Body, width: float, height: float) -> tuple[complex, complex] | None:
    """The ends of a thin line from a label to its body, if they lie far apart."""
    dx, dy = body.middle.real - at.real, body.middle.imag - at.imag
    edge = at + complex(np.clip(dx, -width / 2, width / 2), np.clip(dy, -height / 2, height / 2))
    gap = abs(body.middle - edge) - body.half
    if gap < 24:
        return None
    towards = (edge - body.middle) / abs(edge - body.middle)
    return edge - 3 * towards, body.middle + (body.half + 4) * towards


# --- inside -------------------------------------------------------------------------------------------


def _along(wire: Wire, shift: complex, ground: Ground) -> Body:
    """The body on its line, slid away from the middle where another part crosses there."""
    u, symbol = wire.along, wire.symbol
    scale = min(1.0, (wire.length - 6) / symbol.length)
    reach = max(wire.length / 2 - symbol.length / 2 - 14, 0)
    slides = 24 * np.array([0, 1, -1, 2, -2, 3, -3])
    slides = slides[np.abs(slides) <= reach]
    size = 2 * symbol.half
    middles = (wire.a + wire.b) / 2 + shift + slides * u
    middle = ground.best(Places(middles, 0.6 * np.abs(slides)), size, size)
    half = scale * symbol.length / 2 * u
    lean = min(12.0, 0.2 * wire.length) * u
    bent = abs(shift) > 0.01
    lead_a = (wire.a, *([wire.a + lean + shift] if bent else []), middle - half)
    lead_b = (middle + half, *([wire.b - lean + shift] if bent else []), wire.b)
    ground.body(middle, u, symbol)
    return Body(lead_a, lead_b, middle, u, scale, scale * symbol.half, beside=False)


def _beside(wire: Wire, ground: Ground) -> Body:
    """A body that hangs off its nodes, for a part of hardly any volts."""
    symbol = wire.symbol
    middle = (wire.a + wire.b) / 2
    reach = symbol.half + 22
    rings = reach * np.array([1.0, 1.6, 2.3])[:, None]
    leaning = np.abs((_TURNS * wire.along.conjugate()).real) if wire.length > 4 else np.zeros(len(_TURNS))
    penalties = 12 * (rings / reach - 1) + 30 * leaning + 0.01 * np.arange(len(_TURNS))
    places = Places((middle + rings * _TURNS).ravel(), penalties.ravel())
    size = max(symbol.length, 2 * symbol.half) + 10
    centre = ground.best(places, size, size)
    outward = (centre - middle) / abs(centre - middle)
    u = outward * -1j
    if (u * wire.along.conjugate()).real < 0:
        u = -u
    half = symbol.length / 2 * u
    body = Body((wire.a, centre - half), (centre + half, wire.b), centre, u, 1.0, symbol.half, beside=True)
    ground.line(body.lead_a)
    ground.line(body.lead_b)
    ground.body(centre, u, symbol)
    return body


def _lanes(wires: Sequence[Wire]) -> list[complex]:
    """Sideways shift of each part, so that parts that run together lie beside each other."""
    shifts = [0j] * len(wires)
    for group in _bundles(wires):
        u = wires[group[0]].along
        u = -u if (round(u.real, 6), round(u.imag, 6)) < (0, 0) else u
        n = 1j * u
        across = {k: ((wires[k].a + wires[k].b) / 2 * n.conjugate()).real for k in group}
        order = sorted(group, key=lambda k: (round(across[k], 1), k))
        target: dict[int, float] = {}
        for k in order:
            beside = [j for j in target if _together(wires[j], wires[k])]
            rooms = [target[j] + wires[j].symbol.half + wires[k].symbol.half + _GAP for j in beside]
            target[k] = max([across[k], *rooms])
        centre = sum(target[k] - across[k] for k in group) / len(group)
        for k in group:
            shifts[k] = (target[k] - across[k] - centre) * n
    return shifts


def _bundles(wires: Sequence[Wire]) -> list[list[int]]:
    """Groups of two or more parts that run on nearly the same line over a common stretch."""
    bundles: list[list[int]] = []
    for k, wire in enumerate(wires):
        joined = [g for g in bundles if any(_together(wire, wires[j]) for j in g)]
        merged = [k, *(j for g in joined for j in g)]
        bundles = [g for g in bundles if g not in joined] + [sorted(merged)]
    return [g for g in bundles if len(g) > 1]


def _together(one: Wire, two: Wire) -> bool:
    """Whether two parts run at less than 20° and a body's width apart over a good stretch of the shorter one."""
    shorter = min(one.length, two.length)
    if shorter < 20 or abs((one.along * two.along.conjugate()).imag) > 0.34:
        return False
    ends = [((p - one.a) * one.along.conjugate()) for p in (two.a, two.b)]
    low, high = sorted(ends, key=lambda z: z.real)
    start, stop = max(low.real, 0.0), min(high.real, one.length)
    if stop - start < max(15, 0.35 * shorter):
        return False
    slope = (high.imag - low.imag) / max(high.real - low.real, 1e-9)
    half_way = low.imag + slope * ((start + stop) / 2 - low.real)
    return abs(half_way) < one.symbol.half + two.symbol.half + _GAP - 0.5


def _cells(x: NDArray[np.floating], count: int) -> NDArray[np.intp]:
    return np.asarray(np.minimum(np.maximum(x / _CELL, 0).astype(np.intp), count - 1))


def _away(c: Complexes, at: complex, width: float, height: float) -> FloatArray:
    """Distance of a point from each box."""
    dx = np.maximum(np.abs(c.real - at.real) - width / 2, 0)
    dy = np.maximum(np.abs(c.imag - at.imag) - height / 2, 0)
    return np.asarray(np.hypot(dx, dy))
