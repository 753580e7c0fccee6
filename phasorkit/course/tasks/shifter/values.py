"""Right values of the exercise `shifter`, from the shifter itself and its solver."""

from __future__ import annotations

from functools import lru_cache
from math import atan2, degrees, pi

from phasorkit.analysis.shifter import Shifter
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import reactance

R1, C1 = ("", "R1"), ("", "C1")


def exact_reactance(brief: Brief, _: Values) -> float:
    """Xc of the brief's capacitor [Ω]."""
    return reactance(brief.capacitance, brief.frequency)


def part_volts(brief: Brief, earlier: Values) -> Numbers:
    """Volts on R1 and on C1 [V rms], with the reactance found before."""
    return _volts(_shifter(brief, earlier["reactance"]))


@lru_cache(maxsize=1024)
def _volts(shifter: Shifter) -> Numbers:
    turned = shifter.turned()
    return {R1: round(abs(turned.r), 9), C1: round(abs(turned.c), 9)}


def late(brief: Brief, earlier: Values) -> float:
    """How late the volts on C1 are [°], from the volts found before if they are the learner's own, else from Xc."""
    volts = earlier["volts"]
    if volts != part_volts(brief, {"reactance": exact_reactance(brief, {})}):
        return degrees(atan2(volts[R1], volts[C1]))
    return _late(_shifter(brief, earlier["reactance"]))


@lru_cache(maxsize=1024)
def _late(shifter: Shifter) -> float:
    return shifter.turned().late_deg


def delay(brief: Brief, earlier: Values) -> float:
    """How much later the volts on C1 rise than the source's [s], from the angle found before."""
    return float(earlier["angle"]) / 360 / float(brief.frequency)


def wanted_resistance(brief: Brief, earlier: Values) -> float:
    """R1 for the wanted angle [Ω], with the reactance found before."""
    return Shifter.turning_by(
        brief.wanted,
        capacitance=_capacitance(brief, earlier["reactance"]),
        volts=brief.volts,
        frequency=brief.frequency,
    ).resistance


def late_elsewhere(brief: Brief, earlier: Values) -> float:
    """How late the volts on C1 are at the other frequency [°], from the reactance found before."""
    return _late(_shifter(brief, earlier["reactance"], frequency=brief.other_frequency))


def slope(brief: Brief, earlier: Values) -> float:
    """R1 over Xc, with the reactance found before [1]."""
    return float(brief.resistance) / float(earlier["reactance"])


def _capacitance(brief: Brief, ohms: float) -> float:
    """The capacitor that has this reactance at the brief's frequency [F]."""
    return float(1 / (2 * pi * brief.frequency * ohms))


def _shifter(brief: Brief, ohms: float, *, frequency: float | None = None) -> Shifter:
    return Shifter(
        resistance=brief.resistance,
        capacitance=_capacitance(brief, ohms),
        volts=brief.volts,
        frequency=frequency or brief.frequency,
    )
