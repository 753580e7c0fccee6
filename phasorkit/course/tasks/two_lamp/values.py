"""Right values of the exercise `two-lamp`, from the star's own network and its solver."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import isclose, pi, sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators._two_lamp import BRIGHT_PART
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES
from phasorkit.network import Element, Network
from phasorkit.supply import CONDUCTORS, Supply

SINGLE, PAIR, NEITHER = "single", "pair", "neither"
IN_SERIES = 2
"""Lamps of a branch in the questions on pairs."""

STARS = tuple(f"{kind} {'-'.join(sequence)}" for kind in ("capacitor", "inductor") for sequence in SEQUENCES)
"""Entries of the question which lamp is bright."""

DRAWER = ("first", "second", "third")
"""The lamps in the drawer."""


def lamp_conductors(brief: Brief) -> tuple[str, str]:
    """The two conductors with a lamp."""
    one, two = (c for c in CONDUCTORS if c != brief.part_on)
    return one, two


def part_volts(brief: Brief, _: Values) -> Numbers:
    """Volts on the part of every conductor [V rms] by sequence, with a capacitor of Xc = R."""
    return {(s, c): v for s in SEQUENCES for c, v in star_volts(brief.part_on, s, brief.line_voltage)}


@lru_cache(maxsize=256)
def star_volts(part_on: str, sequence: str, line_voltage: float) -> tuple[tuple[str, float], ...]:
    """Conductor and volts on its part [V rms]: a capacitor of one ohm and two resistors of one ohm, in star."""
    supply = Supply(line_voltage=line_voltage, frequency=50.0, sequence=sequence)
    kinds = {c: ("C", 1 / (2 * pi * 50.0)) if c == part_on else ("R", 1.0) for c in CONDUCTORS}
    network = Network(tuple(Element(f"{kind} on {c}", kind, value, c, "S") for c, (kind, value) in kinds.items()))
    solved = network.solve(supply.sources(), frequency=50.0)
    return tuple((c, round(float(abs(solved.voltage(c, "S"))), 9)) for c in CONDUCTORS)


def bright(brief: Brief, earlier: Values) -> Choices:
    """Conductor of the bright lamp by star and sequence, from the volts found before; an inductor mirrors them."""
    one, two = lamp_conductors(brief)
    found: dict[str, str] = {}
    for sequence in SEQUENCES:
        v = earlier["volts"]
        if isclose(v[sequence, one], v[sequence, two], rel_tol=0.02):  # says of no lamp that it is bright
            v = part_volts(brief, {})
        lit, dim = (one, two) if v[sequence, one] > v[sequence, two] else (two, one)
        found |= {f"capacitor {'-'.join(sequence)}": lit, f"inductor {'-'.join(sequence)}": dim}
    return {star: found[star] for star in STARS}


def bright_volts(brief: Brief, volts: Numbers) -> float:
    """The larger of the lamps' volts, as found before [V rms]."""
    return max(float(volts[s, c]) for s in SEQUENCES for c in lamp_conductors(brief))


def dim_volts(brief: Brief, volts: Numbers) -> float:
    """The smaller of the lamps' volts, as found before [V rms]."""
    return min(float(volts[s, c]) for s in SEQUENCES for c in lamp_conductors(brief))


def each_of_pair(brief: Brief, earlier: Values) -> float:
    """Volts on each of two lamps in series in the bright branch at 110 % [V rms], from the volts found before."""
    return OVERVOLTAGE * bright_volts(brief, earlier["volts"]) / IN_SERIES


def use(rated: float, each: float) -> str:
    """How a lamp of these printed volts may be used where each of a pair gets so many [V]."""
    if rated >= IN_SERIES * each:
        return SINGLE
    return PAIR if rated >= each else NEITHER


def uses(brief: Brief, each: float) -> dict[str, str]:
    """How each lamp of the drawer may be used where each of a pair gets so many [V]."""
    return {name: use(volts, each) for name, volts in drawer(brief).items()}


def lamp_uses(brief: Brief, earlier: Values) -> Choices:
    """How each lamp of the drawer may be used, from the volts of a pair found before."""
    return uses(brief, float(earlier["pair"]))


def drawer(brief: Brief) -> Mapping[str, float]:
    """Printed volts of the three lamps."""
    return {name: float(getattr(brief, f"{name}_lamp")) for name in DRAWER}


def decided(rated: float, line_voltage: float) -> bool:
    """Whether a lamp's use is the same for resistors and for filaments, whose bright branch gets more, within 3 %."""
    resistors = max(volts for c, volts in star_volts("L1", "123", line_voltage) if c != "L1")
    filaments = BRIGHT_PART * line_voltage / sqrt(3)
    found = {use(rated, OVERVOLTAGE * v * k / IN_SERIES) for v in (resistors, filaments) for k in (0.97, 1.03)}
    return len(found) == 1


def branch_resistance(brief: Brief, _: Values) -> float:
    """Two lamps in series at their printed volts and watts [Ω]."""
    return float(IN_SERIES * brief.bench_lamp**2 / brief.bench_watts)


def star_capacitance(brief: Brief, earlier: Values) -> float:
    """The capacitor of Xc = R [F], from the resistance found before."""
    return float(1 / (2 * pi * brief.frequency * earlier["resistance"]))
