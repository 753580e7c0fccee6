"""The two sources that may feed a bench, the circuit as it stands on one, and what a meter shows there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from phasorkit.analysis.loading import Meter
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.network import Element, Network
from phasorkit.phasors import ComplexArray
from phasorkit.supply import CONDUCTORS, Supply

STAR_OHMS = 10e3
"""Each of three equal resistors that make a star point where the source has none [Ω]."""


@dataclass(frozen=True)
class Source:
    """A source that may feed the bench: its line voltage [V rms] unless told otherwise, and how it is connected."""

    name: str
    title: str
    line_voltage: float
    star_point: bool
    connect: tuple[str, ...]


SOURCES = {
    "transformer": Source(
        "transformer", "an isolating three-phase transformer, 24 V or less between lines", 24.0, True,
        (
            "Secondary terminals to L1, L2, L3; for 1-3-2 exchange the leads of L2 and L3 at the transformer.",
            "Its star terminal, where the circuit needs one, to N or PE of this sheet. No star terminal: three equal "
            "resistors of 10 kΩ from L1, L2, L3 to one point make one.",
            "Nothing of it may be tied to earth. Only then may a scope's ground clip, which is earth, go anywhere: "
            "one clip only.",
        ),
    ),
    "generator": Source(
        "generator", "two generator channels with a common ground", 7.0, False,
        (
            "Common ground to L3: the ground is the third phase. Channel 1 to L1, channel 2 to L2, same volts. So "
            "L3–L1 is what channel 1 gives, L2–L3 what channel 2 gives; L1–L2 is as large only if they are 60° apart.",
            "Sequence 1-2-3: channel 2 is 60° BEHIND channel 1 (not 120°: both are seen from L3). 1-3-2: 60° ahead. "
            "Where a positive phase means earlier, behind is −60°.",
            "Its ground is often earth. Then a scope's ground clip, which is earth too, goes on L3 and nowhere else.",
            "Where the circuit needs N or PE: three equal resistors of 10 kΩ from L1, L2, L3 to one point.",
        ),
    ),
}  # fmt: skip
"""The two kinds of source that the course allows."""


@dataclass(frozen=True)
class Set:
    """All that decides what a meter shows at the bench: the network, held nodes [V rms] by sequence, [Hz], the meter.

    `scale` multiplies every reading: a meter that shows peak values, a source that is set wrong.
    """

    network: Network
    held: Mapping[str, Mapping[str, ComplexArray]]
    frequency: float
    meter: Meter
    scale: float = 1.0


def source_of(name: str) -> Source:
    """The source of a name; a KeyError lists those there are.

    >>> source_of("generator").line_voltage
    7.0
    """
    if name not in SOURCES:
        raise KeyError(f"source must be one of {', '.join(SOURCES)}, got {name!r}")
    return SOURCES[name]


def usual_set(indicator: Indicator, source: Source, meter: Meter) -> Set:
    """The circuit on its source as the sheet asks for it; a resistor plays a person's body."""
    network = indicator.network()
    for e in network.elements:
        if e.name in indicator.no_parts and e.kind == "C":
            network = network.opened(e.name)
    ends = [n for n in ("N", "PE") if n in network.nodes]
    if ends and not source.star_point:
        star = (Element(f"RS{k + 1}", "R", STAR_OHMS, c, ends[0]) for k, c in enumerate(CONDUCTORS))
        network = network.with_elements(star)
    held = {s: held_nodes(indicator.supply(s), source) for s in SEQUENCES}
    return Set(network, held, float(indicator.frequency), meter)


def held_nodes(supply: Supply, source: Source) -> Mapping[str, ComplexArray]:
    """Volts that a source holds [V rms]: a generator has no star point, and its ground is L3.

    >>> held = held_nodes(Supply(line_voltage=7), source_of("generator"))
    >>> {node: round(float(np.degrees(np.angle(v / held["L1"]))), 1) for node, v in held.items() if v}
    {'L1': 0.0, 'L2': -60.0}
    """
    known = supply.sources()
    if source.star_point:
        return known
    ground = supply.phasors()[2]
    return {probe: volts - ground for probe, volts in known.items() if probe in CONDUCTORS}


def shown(there: Set, sequence: str, between: tuple[str, str], *, loaded: bool = True) -> float:
    """What the meter shows between two nodes [V rms]; not `loaded`: what a perfect one would."""
    return abs(complex(np.asarray(phasor(there, there.network, sequence, between, there.frequency, loaded))))


def phasor(
    there: Set, network: Network, sequence: str, between: tuple[str, str], frequency: object, loaded: bool
) -> ComplexArray:
    """Volts between two nodes [V rms], the meter between them."""
    held = there.held[sequence]
    nodes = {*network.nodes, *held}
    a, b = between
    if not {a, b} <= nodes:
        return np.zeros((), dtype=complex)  # a node that nothing reaches: the meter shows nothing
    solved = network.solve(held, frequency=frequency)  # type: ignore[arg-type]
    if not loaded or {a, b} <= set(held):
        return there.scale * solved.voltage(a, b)
    ohms = there.meter.ohms
    if not ohms:  # a pointer meter: its range, and so its resistance, goes by the volts
        bare = there.network.solve(held, frequency=there.frequency).voltage(a, b)
        ohms = there.meter.resistance(float(np.nan_to_num(np.abs(bare))))
    measured = network.with_element(Element("meter", "R", ohms, a, b)).solve(held, frequency=frequency)  # type: ignore[arg-type]
    return np.asarray(there.scale * np.nan_to_num(measured.voltage(a, b)))
