"""What a reading looks like on the phasor plane, found from the indicator's face alone.

The drawings and their words both start from here, so they cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from phasorkit.draw.symbols import LAMP
from phasorkit.indicators import Reading
from phasorkit.network import UNIT_OF_KIND, Element
from phasorkit.quantities import code, render
from phasorkit.supply import CONDUCTORS

CLOSE = 0.004
"""Two nodes count as one point below this fraction of the line voltage."""


@dataclass(frozen=True)
class Span:
    """A part or lamp between two nodes: volts from a to b and current as phasors [V, A rms]."""

    name: str
    kind: str
    a: str
    b: str
    volts: complex
    current: complex
    value: str
    state: str = ""


@dataclass(frozen=True)
class RightAngle:
    """A node where one R and one C (or L) carry the same current: their volts stand at 90°."""

    node: str
    resistor: Span
    reactor: Span
    ends: tuple[str, str]


@dataclass(frozen=True)
class Survey:
    """A reading as plain facts. Phasors are against the star point [V rms]."""

    title: str
    sequence: str
    line_voltage: float
    frequency: float
    conductors: dict[str, complex]
    neutral: complex
    nodes: dict[str, complex]
    afloat: frozenset[str]
    """Nodes without any path to a source: drawn where a lamp ties them to, else aside, for want of a height."""
    touching: dict[str, str]
    """Conductor that each probe in use touches; "" for a probe that touches nothing."""
    spans: tuple[Span, ...]

    @property
    def held(self) -> dict[str, complex]:
        """Nodes that have a voltage against the star point: all but those that float altogether [V rms]."""
        return {n: z for n, z in self.nodes.items() if n not in self.afloat}

    @property
    def lamps(self) -> tuple[Span, ...]:
        """The lamps."""
        return tuple(s for s in self.spans if s.kind == LAMP)

    def same_point(self, a: complex, b: complex) -> bool:
        """Whether two heights lie on one point of the drawing."""
        return abs(a - b) < CLOSE * self.line_voltage

    def points(self) -> list[tuple[str, ...]]:
        """Nodes grouped by the point they lie on, inner nodes first within a group."""
        groups: list[list[str]] = []
        for node in sorted(self.nodes, key=lambda n: n in self.touching):
            for group in groups:
                together = (group[0] in self.afloat) == (node in self.afloat)
                if together and self.same_point(self.nodes[group[0]], self.nodes[node]):
                    group.append(node)
                    break
            else:
                groups.append([node])
        return [tuple(g) for g in groups]

    def right_angles(self) -> tuple[RightAngle, ...]:
        """Every right angle between a resistor and a capacitor or inductor in series."""
        found = []
        for node, pair in self._series_pairs():
            resistors = [s for s in pair if s.kind == "R"]
            reactors = [s for s in pair if s.kind in ("C", "L")]
            if len(resistors) == 1 and len(reactors) == 1:
                ends = (_other_end(resistors[0], node), _other_end(reactors[0], node))
                found.append(RightAngle(node, resistors[0], reactors[0], ends))
        return tuple(found)

    def middles(self) -> tuple[tuple[str, str, str], ...]:
        """Every node held in the middle of two others by two equal parts, with those two nodes."""
        found = []
        for node, (first, second) in self._series_pairs():
            one, two = _other_end(first, node), _other_end(second, node)
            middle = (self.nodes[one] + self.nodes[two]) / 2
            if first.kind == second.kind and self.same_point(self.nodes[node], middle):
                found.append((node, one, two))
        return tuple(found)

    def _series_pairs(self) -> list[tuple[str, tuple[Span, Span]]]:
        """Inner nodes where exactly two parts meet and pass on the same current, neither being nought."""
        pairs = []
        for node in self.nodes:
            meeting = [s for s in self.spans if s.current != 0 and node in (s.a, s.b)]
            if len(meeting) != 2 or self.touching.get(node):
                continue
            first, second = meeting
            if any(self.same_point(s.volts, 0) for s in meeting):
                continue
            if abs(abs(first.current) - abs(second.current)) < 1e-6 * abs(first.current):
                pairs.append((node, (first, second)))
        return pairs


def survey(reading: Reading) -> Survey:
    """Collect the facts of one reading.

    Parameters
    ----------
    reading : Reading
        Of a single supply and single part values.

    Raises
    ------
    ValueError
        If the reading is batched (arrays), which has no single drawing.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> survey(bridge.on(bridge.supply())).points()
    [('M', 'P'), ('L1',), ('L3',), ('L2',)]
    """
    supply, indicator = reading.supply, reading.indicator
    network = reading.solution.network
    lamps = indicator.lamps
    names = dict.fromkeys([*network.nodes, *(n for lamp in lamps for n in (lamp.a, lamp.b))])
    heights = {n: _single(reading.solution.voltage(n)) for n in names}
    afloat = frozenset(n for n, v in heights.items() if np.isnan(v))
    laid = dict(supply.probes)
    states = zip(lamps, reading.lamp_phasors, reading.lamp_states, strict=True)
    lit = {p.name: Span(p.name, LAMP, p.a, p.b, _single(v), 0j, "", str(s)) for p, v, s in states}
    parts = [_span(e, reading) for e in network.elements if e.name not in lit]
    return Survey(
        title=indicator.title,
        sequence=supply.sequence,
        line_voltage=float(np.asarray(supply.line_voltage)),
        frequency=float(np.asarray(supply.frequency)),
        conductors=dict(zip(CONDUCTORS, map(_single, supply.phasors()), strict=True)),
        neutral=_single(supply.neutral()),
        nodes=heights | _moorings(reading, heights, afloat),
        afloat=afloat,
        touching={p: laid.get(p, "") for p in indicator.probes},
        spans=(*parts, *lit.values()),
    )


def _moorings(reading: Reading, heights: dict[str, complex], afloat: frozenset[str]) -> dict[str, complex]:
    """Where to draw nodes that float: all aside, or all at the node that a lamp ties one of them to."""
    place = complex(0, -0.62 * float(np.asarray(reading.supply.line_voltage)))
    for lamp in reading.indicator.lamps:
        for inside, outside in ((lamp.a, lamp.b), (lamp.b, lamp.a)):
            if inside in afloat and outside not in afloat:
                place = heights[outside]
    return dict.fromkeys(afloat, place)


def _span(element: Element, reading: Reading) -> Span:
    value = float(_single(np.asarray(element.value)).real)
    value = float(f"{value:.3g}")  # as much as a drawing is read to
    text = render(value, UNIT_OF_KIND["L"]) if element.kind == "L" else code(value)
    volts = _single(reading.solution.voltage(element.a, element.b))
    current = _single(reading.solution.current(element.name))
    if abs(volts) < 1e-9 * float(np.asarray(reading.supply.line_voltage)):
        volts, current = 0j, 0j
    return Span(element.name, element.kind, element.a, element.b, volts, current, text)


def _single(value: object) -> complex:
    array = np.asarray(value)
    if array.size != 1:
        raise ValueError(f"reading must be a single one to be drawn, got values of shape {array.shape}")
    return complex(array.reshape(()))


def _other_end(span: Span, node: str) -> str:
    return span.b if span.a == node else span.a
