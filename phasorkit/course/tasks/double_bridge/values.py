"""Right values of the exercise `double-bridge`, from the indicator itself and its solver."""

from __future__ import annotations

from functools import lru_cache
from math import pi, sqrt

from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import SEQUENCES, reactance
from phasorkit.indicators.double_rc_bridge import DoubleRcBridge

PARTS = ("R1", "C1", "C2", "R2")
LAMP = "lamp"


def exact_reactance(brief: Brief, _: Values) -> float:
    """Xc of each of the two capacitors [Ω]."""
    return reactance(brief.capacitance, brief.frequency)


def first_resistance(_: Brief, earlier: Values) -> float:
    """R1 for the null [Ω], from the reactance found before."""
    return float(earlier["reactance"]) / sqrt(3)


def second_resistance(_: Brief, earlier: Values) -> float:
    """R2 for the null [Ω], from the reactance found before."""
    return float(earlier["reactance"]) * sqrt(3)


def part_volts(brief: Brief, earlier: Values) -> Numbers:
    """Volts on every part of both legs [V rms] by sequence, with the reactance and resistances found before."""
    return {key: volts for key, volts in _volts(brief, earlier).items() if key[1] != LAMP}


def lamp_volts(brief: Brief, earlier: Values) -> float:
    """Volts on the lamp that has not struck, in the sequence that lights it [V rms]."""
    return _volts(brief, earlier)["132", LAMP]


def least_series(brief: Brief, _: Values) -> float:
    """Least R3 [Ω] that keeps the first current of the struck lamp within the brief's limit.

    At that moment the capacitors hold both ends where they were, so Kirchhoff's law counts only R3 and the lamp.
    """
    return float((brief.strike - brief.keeps) / brief.limit - brief.lamp_resistance)


def _volts(brief: Brief, earlier: Values) -> Numbers:
    capacitance = 1 / (2 * pi * brief.frequency * earlier["reactance"])
    first, second = float(earlier["first_leg"]), float(earlier["second_leg"])
    return _all_volts(
        DoubleRcBridge(
            capacitance=capacitance,
            resistance=first,
            second_resistance=second,
            series_resistance=first,
            line_voltage=brief.line_voltage,
            frequency=brief.frequency,
        )
    )


@lru_cache(maxsize=256)
def _all_volts(bridge: DoubleRcBridge) -> Numbers:
    found: dict[tuple[str, str], float] = {}
    for sequence in SEQUENCES:
        reading = bridge.on(bridge.supply(sequence))
        for name in PARTS:
            e = reading.solution.network.element(name)
            found[sequence, name] = float(abs(reading.solution.voltage(e.a, e.b)))
        found[sequence, LAMP] = float(reading.lamp_volts[0])
    return {key: round(volts, 9) for key, volts in found.items()}
