"""Where symbols and labels go: beside each other where they would lie on each other. Pixels, complex points.

A symbol's two leads always start exactly on its nodes; only its body gives way.
"""

from __future__ import annotations

from cmath import exp, pi
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from phasorkit.draw.symbols import Symbol
from phasorkit.phasors import FloatArray

_GAP = 4.0
_TURNS = tuple(exp(2j * pi * k / 16) for k in range(16))


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


class Ground:
    """What is drawn already, as weighted points, so that new things find a free place."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._points: list[complex] = []
        self._weights: list[float] = []
        self._boxes: list[tuple[float, float, float, float]] = []
        self._table: FloatArray | None = None

    def line(self, chain: Sequence[complex], weight: float = 1.0) -> None:
        """Take a chain of strokes as occupied."""
        for p, q in pairwise(chain):
            count = max(2, int(abs(q - p) / 5) + 1)
            self._points += [p + (q - p) * k / (count - 1) for k in range(count)]
            self._weights += [weight] * count
        self._table = None

    def disc(self, middle: complex, radius: float, weight: float = 3.0) -> None:
        """Take a disc as occupied."""
        ring = [middle + r * radius * t for r in (0.5, 1.0) for t in _TURNS[::2]]
        self._points += [middle, *ring]
        self._weights += [weight] * (len(ring) + 1)
        self._table = None

    def box(self, middle: complex, width: float, height: float) -> None:
        """Take a label's box as occupied."""
        self._boxes.append((middle.real, middle.imag, width, height))

    def cost(self, middles: Sequence[complex], width: float, height: float) -> FloatArray:
        """Cost of a box of a size at each place: what it would cover, and how far it would stick out."""
        if self._table is None:
            at = np.array(self._points, dtype=complex)
            self._table = np.stack([at.real, at.imag, np.array(self._weights)])
        c = np.array(middles)
        x, y = c.real[:, None], c.imag[:, None]
        px, py, weight = self._table
        inside = (np.abs(px - x) < width / 2 + 2) & (np.abs(py - y) < height / 2 + 2)
        total: FloatArray = inside @ weight
        if self._boxes:
            bx, by, bw, bh = np.array(self._boxes).T
            over_x = np.clip((width + bw) / 2 + 3 - np.abs(bx - x), 0, None)
            over_y = np.clip((height + bh) / 2 + 3 - np.abs(by - y), 0, None)
            total = total + np.sum(np.where((over_x > 0) & (over_y > 0), 40 + over_x * over_y, 0), axis=1)
        out_x = np.clip(width / 2 + 4 - np.minimum(c.real, self.width - c.real), 0, None)
        out_y = np.clip(height / 2 + 4 - np.minimum(c.imag, self.height - c.imag), 0, None)
        return np.asarray(total + 30 * (out_x + out_y))

    def best(self, places: Sequence[complex], penalties: Sequence[float], width: float, height: float) -> complex:
        """The cheapest place; ties go to the earlier one."""
        cost = np.round(self.cost(places, width, height) + np.array(penalties), 3)
        return places[int(np.argmin(cost))]


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


def label_places(body: Body, wire: Wire, width: float, height: float) -> tuple[list[complex], list[float]]:
    """Candidate middles of a part's label, with their penalties: near the body first."""
    places: list[complex] = []
    penalties: list[float] = []
    if body.beside:
        directions: tuple[complex, ...] = _TURNS
        slides: tuple[float, ...] = (0.0,)
    else:
        directions = (1j * body.along, -1j * body.along)
        reach = max(wire.length / 2 - 20, 0)
        slides = tuple(s for s in (0.0, 18.0, -18.0, 36.0, -36.0, 60.0, -60.0, 84.0, -84.0) if abs(s) <= reach)
    for distance in (0.0, 8.0, 18.0, 32.0, 50.0):
        for slide in slides:
            for d in directions:
                away = (body.half if not body.beside else body.half + 3) + _GAP + distance
                box = abs(d.real) * width / 2 + abs(d.imag) * height / 2
                places.append(body.middle + slide * body.along + (away + box) * d)
                penalties.append(abs(slide) / 40 + distance / 5)
    return places, penalties


def node_places(at: complex, width: float, height: float, outward: complex) -> tuple[list[complex], list[float]]:
    """Candidate middles of a node's label, with their penalties: outward and near first."""
    places: list[complex] = []
    penalties: list[float] = []
    for distance in (8.0, 15.0, 26.0, 42.0):
        for d in _TURNS:
            box = min(width / 2 / max(abs(d.real), 1e-9), height / 2 / max(abs(d.imag), 1e-9))
            places.append(at + (distance + box) * d)
            penalties.append(distance / 4 + 1.5 * (1 - (d * outward.conjugate()).real))
    return places, penalties


# --- inside -------------------------------------------------------------------------------------------


def _along(wire: Wire, shift: complex, ground: Ground) -> Body:
    """The body on its line, slid away from the middle where another part crosses there."""
    u, symbol = wire.along, wire.symbol
    scale = min(1.0, (wire.length - 6) / symbol.length)
    reach = max(wire.length / 2 - symbol.length / 2 - 14, 0)
    slides = [s for s in (0.0, 24.0, -24.0, 48.0, -48.0, 72.0, -72.0) if abs(s) <= reach]
    middles = [(wire.a + wire.b) / 2 + shift + s * u for s in slides]
    size = 2 * symbol.half
    own = symbol.length / 5
    crowd = [max(c - own - 2, 0) for c in ground.cost(middles, size, size)] if len(slides) > 1 else [0.0]
    best = min(range(len(slides)), key=lambda k: (round(crowd[k] + abs(slides[k]) / 8, 3), k))
    middle = middles[best]
    half = scale * symbol.length / 2 * u
    lean = min(12.0, 0.2 * wire.length) * u
    bent = abs(shift) > 0.01
    lead_a = (wire.a, *([wire.a + lean + shift] if bent else []), middle - half)
    lead_b = (middle + half, *([wire.b - lean + shift] if bent else []), wire.b)
    ground.disc(middle, scale * max(symbol.half, symbol.length / 2.5))
    return Body(lead_a, lead_b, middle, u, scale, scale * symbol.half, beside=False)


def _beside(wire: Wire, ground: Ground) -> Body:
    """A body that hangs off its nodes, for a part of hardly any volts."""
    symbol = wire.symbol
    middle = (wire.a + wire.b) / 2
    if wire.length > 4:
        directions: tuple[complex, ...] = (1j * wire.along, -1j * wire.along)
    else:
        directions = _TURNS
    reach = symbol.half + 22
    places = [middle + reach * d for d in directions]
    penalties = [0.01 * k for k in range(len(directions))]
    size = max(symbol.length, 2 * symbol.half) + 10
    centre = ground.best(places, penalties, size, size)
    outward = (centre - middle) / reach
    u = outward * -1j
    if (u * wire.along.conjugate()).real < 0:
        u = -u
    half = symbol.length / 2 * u
    body = Body((wire.a, centre - half), (centre + half, wire.b), centre, u, 1.0, symbol.half, beside=True)
    ground.line(body.lead_a)
    ground.line(body.lead_b)
    ground.disc(centre, max(symbol.half, symbol.length / 2))
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
        target = {order[0]: across[order[0]]}
        for before, k in pairwise(order):
            room = wires[before].symbol.half + wires[k].symbol.half + _GAP
            target[k] = max(across[k], target[before] + room)
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
    if min(one.length, two.length) < 20:
        return False
    ends = [((p - one.a) * one.along.conjugate()) for p in (two.a, two.b)]
    low, high = sorted(ends, key=lambda z: z.real)
    start, stop = max(low.real, 0.0), min(high.real, one.length)
    if stop - start < 15:
        return False
    slope = (high.imag - low.imag) / max(high.real - low.real, 1e-9)
    half_way = low.imag + slope * ((start + stop) / 2 - low.real)
    return abs(half_way) < one.symbol.half + two.symbol.half + _GAP - 0.5
