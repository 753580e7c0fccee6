"""Right values of the exercise `bridge`, from the indicator itself and its solver."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import pi, sqrt

import numpy as np

from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, reactance
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.network import Network
from phasorkit.parts import nearest

SERIES = "E24"
PARTS = ("R1", "R2", "R3", "C1")
LAMP = "lamp"


def exact_reactance(brief: Brief, _: Values) -> float:
    """Xc of the brief's capacitor [Ω]."""
    return reactance(brief.capacitance, brief.frequency)


def exact_resistance(_: Brief, earlier: Values) -> float:
    """R for the null [Ω], from the reactance found before."""
    return float(earlier["reactance"]) / sqrt(3)


def preferred_value(_: Brief, earlier: Values) -> float:
    """The E24 value nearest to the resistance found before [Ω]."""
    return float(nearest(earlier["resistance"], SERIES))


def part_volts(brief: Brief, earlier: Values) -> Numbers:
    """Volts on every part and the lamp [V rms] by sequence, with the reactance and resistance found before."""
    capacitance = 1 / (2 * pi * brief.frequency * earlier["reactance"])
    return _all_volts(_bridge(brief, earlier["resistance"], capacitance))


@lru_cache(maxsize=256)
def _all_volts(bridge: DividerBridge) -> Numbers:
    found: dict[tuple[str, str], float] = {}
    for sequence in SEQUENCES:
        reading = bridge.on(bridge.supply(sequence))
        for e in reading.solution.network.elements:
            found[sequence, e.name] = float(abs(reading.solution.voltage(e.a, e.b)))
        found[sequence, LAMP] = float(reading.lamp_volts[0])
    return {key: round(volts, 9) for key, volts in found.items()}


def heat_of_r3(_: Brief, earlier: Values) -> float:
    """Most power in R3 [W], at 110 % voltage, from the volts and resistance found before."""
    return float((OVERVOLTAGE * volts_of_r3(earlier)) ** 2 / earlier["resistance"])


def left_on_lamp(brief: Brief, earlier: Values) -> float:
    """Most that is left on the dark lamp [V rms] with the preferred value chosen before."""
    return worst_lamp(brief, earlier["preferred"])


ALL_TOLERANCES, NO_DIVIDER, ONLY_CAPACITOR, ALL_AS_CAPACITOR, NO_TOLERANCES = range(5)
_CASES = np.array([[1, 1, 1, 5], [0, 0, 1, 5], [0, 0, 0, 5], [5, 5, 5, 5], [0, 0, 0, 0]]) / 100
"""Tolerances of `PARTS` as fractions: right, and four ways of leaving something out."""


def worst_lamp(brief: Brief, resistance: float, case: int = ALL_TOLERANCES, *, sequence: str = "123") -> float:
    """The most that is left on the lamp [V rms] over the corners of the tolerances, each part by itself.

    All resistors have the nominal value `resistance` [Ω], the capacitor that of the brief. The lamp voltage is
    largest at a corner: each part by itself moves M or P along a line or circle past the null, never back.
    """
    return _worst(_bridge(brief, resistance, brief.capacitance), sequence)[case]


@lru_cache(maxsize=256)
def _worst(bridge: DividerBridge, sequence: str) -> tuple[float, ...]:
    signs = np.array(np.meshgrid(*[(-1, 1)] * len(PARTS), indexing="ij")).reshape(len(PARTS), 1, -1)
    nominal = bridge.network()
    parts = zip(nominal.elements, signs, _CASES.T, strict=True)
    varied = Network(tuple(replace(e, value=np.asarray(e.value) * (1 + t[:, None] * s)) for e, s, t in parts))
    volts = bridge.on(bridge.supply(sequence), network=varied).lamp_volts[0]
    return tuple(float(v) for v in np.max(volts, axis=-1))


def _bridge(brief: Brief, resistance: float, capacitance: float) -> DividerBridge:
    return DividerBridge(
        capacitance=capacitance,
        resistance=resistance,
        divider=resistance,
        line_voltage=brief.line_voltage,
        frequency=brief.frequency,
    )


def volts_of_r3(earlier: Values) -> float:
    """Larger voltage on R3 of both sequences [V rms], as found before."""
    return max(float(earlier["volts"][s, "R3"]) for s in SEQUENCES)
