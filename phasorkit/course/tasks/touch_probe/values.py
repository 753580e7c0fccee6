"""Right values of the exercise `touch-probe`, from the indicator's own network and its solver."""

from __future__ import annotations

from functools import lru_cache
from math import ceil, pi, sqrt

from phasorkit.analysis.body_path import with_fault
from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, reactance
from phasorkit.indicators.touch_probe import TouchProbe
from phasorkit.network import SHORT, Element
from phasorkit.supply import Supply

SHORTED = ("none", "R1", "R3", "C1", "R5")
"""Cases of the touch current: no fault, or this part shorted; R2, R4, R6 are like R1, R3, R5."""

YES, NO, NOTHING = "yes", "no", "nothing"
LIT, DARK = "lit", "dark"
ALIVE, DEAD = "alive", "dead"

READINGS = ("A", "B", "C")
"""Readings of three stalls, to be interpreted."""


def ohms(brief: Brief, _: Values) -> Numbers:
    """R1, R3 and the whole leg from K to L2 [Ω]."""
    probe = exact(brief)
    leg = abs(complex(2 * probe.half, -reactance(probe.capacitance, probe.frequency)))
    return {("", "R1"): probe.resistance, ("", "R3"): probe.half, ("", "leg"): leg}


@lru_cache(maxsize=256)
def _exact(capacitance: float, frequency: float, line_voltage: float, chain: float) -> TouchProbe:
    resistance = float(reactance(capacitance, frequency) / sqrt(3))
    return TouchProbe(
        capacitance=capacitance,
        resistance=resistance,
        half=resistance / 2,
        chain=chain,
        line_voltage=line_voltage,
        frequency=frequency,
    )


def exact(brief: Brief) -> TouchProbe:
    """The tester of the brief with exact resistors in its legs and the pad resistors that were found in it."""
    return _exact(brief.capacitance, brief.frequency, brief.line_voltage, brief.pad_resistor)


def volts(brief: Brief, _: Values) -> Numbers:
    """Volts on R1, on C1 and on the unlit lamp straight to N, by sequence [V rms]."""
    return {
        (s, part): v for s in SEQUENCES for part, v in zip(("R1", "C1", "lamp"), _volts(exact(brief), s), strict=True)
    }


@lru_cache(maxsize=512)
def _volts(probe: TouchProbe, sequence: str) -> tuple[float, float, float]:
    places = (("L1", "A"), ("D", "K"), ("K", "N"))
    network = probe.network().opened("R6")  # before the lamp lights, nothing flows to the pad
    solved = probe.on(probe.supply(sequence), network=network).solution
    first, second, lamp = (round(float(abs(solved.voltage(a, b))), 6) for a, b in places)
    return first, second, lamp


def phase(brief: Brief) -> float:
    """Phase voltage at ten per cent above nominal [V rms]."""
    return float(OVERVOLTAGE * brief.line_voltage / sqrt(3))


def current(brief: Brief, earlier: Values) -> Numbers:
    """Touch current [A rms] in sequence 1-2-3 by the part that is shorted, with the R found before.

    Body of 0 Ω, lamp a wire, supply at 110 %; C1 as it belongs to R.
    """
    found = _currents(brief.line_voltage, brief.frequency, float(earlier["ohms"]["", "R1"]), brief.pad_resistor)
    return {("", case): amps for case, amps in zip(SHORTED, found, strict=True)}


@lru_cache(maxsize=1024)
def _currents(line_voltage: float, frequency: float, resistance: float, chain: float) -> tuple[float, ...]:
    capacitance = 1 / (2 * pi * frequency * sqrt(3) * resistance)
    probe = _exact(capacitance, frequency, line_voltage, chain)
    direct = probe.network().with_value("RB", SHORT).with_element(Element("H1", "R", SHORT, "K", "G"))
    supply = Supply(line_voltage=OVERVOLTAGE * line_voltage, frequency=frequency)
    faults = ("none", *(f"{part} shorted" for part in SHORTED[1:]))
    solved = (probe.on(supply, network=with_fault(direct, fault)).solution for fault in faults)
    return tuple(float(abs(s.current("RB") + s.current("CB"))) for s in solved)


def verdict(brief: Brief, earlier: Values) -> Choices:
    """The part whose short is worst, and whether its current stays within the limit, from the currents found before."""
    found = {case: float(earlier["current"]["", case]) for case in SHORTED}
    worst = max(found, key=lambda case: found[case])
    return {"worst": worst, "within": YES if found[worst] <= brief.limit else NO}


def needed(brief: Brief) -> float:
    """Pad resistors that hold the limit by themselves, not yet a whole number: nothing shorted, no legs [1]."""
    return float(phase(brief) / brief.limit / brief.pad_resistor)


def resistors(brief: Brief, _: Values) -> float:
    """Pad resistors in the chain so that the limit holds with K on a line conductor and one of them shorted [1]."""
    return float(ceil(needed(brief)) + 1)


def seen(earthing: str, first: str, second: str) -> str:
    """What two readings name: a sequence only where the star point is earthed and the second reading differs."""
    if earthing != "star" or not second or first == second:
        return NOTHING
    return "1-2-3" if first == LIT else "1-3-2"


def reading(brief: Brief, name: str) -> tuple[str, str, str]:
    """Earthing, first lamp, lamp after the exchange (empty: not exchanged) of a reading."""
    earthing, first, second = getattr(brief, f"reading_{name.lower()}").split("/")
    return earthing, first, second


def readings(brief: Brief, _: Values) -> Choices:
    """What each reading names, and what the last question says of L3: nothing."""
    return {name: seen(*reading(brief, name)) for name in READINGS} | {"L3": NOTHING}
