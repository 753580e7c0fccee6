"""Right values of the exercise `margins`, from the bridge's own network: its slopes, its corners, its harmonics."""

from __future__ import annotations

from functools import lru_cache
from math import hypot, sqrt

from phasorkit.analysis.harmonics import harmonic_table, runs
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.tolerance import causes
from phasorkit.analysis.tolerance_classes import classes as class_records
from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import OVERVOLTAGE
from phasorkit.indicators.divider_bridge import DividerBridge

VOLTAGE = "voltage"
CAUSES = ("C1", "R3", "R1", "frequency", "unbalance", VOLTAGE)
"""Causes of the first question; R2 pushes as R1 does."""

PARTS = ("C1", "R3", "R1")
TWICE = "R1"
"""The cause of which there are two alike."""

LETTERS = {"F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0}
"""Tolerance letters [±%] (IEC 60062)."""

RESISTORS = ("F", "G", "J")
NONE = "none"
DARK_BELOW, LIT_ABOVE = 40.0, 90.0
"""Strike window of a small glow lamp [V rms] (common practice)."""

ORDERS = ("a", "b", "c")
FIFTH = 5
RULES = {"C1": sqrt(3) / 4, "R3": sqrt(3) / 4, "R1": 1 / 4, "frequency": sqrt(3) / 4, "unbalance": sqrt(3) / 2}
"""Rules of thumb of lesson 09: volts on the lamp per line voltage and per share that is off [1]."""


def bridge(line_voltage: float, frequency: float) -> DividerBridge:
    """A null bridge with exact parts; what is left on its lamp does not depend on its capacitor."""
    return DividerBridge.sized(capacitance=4.7e-9, frequency=frequency, line_voltage=line_voltage)


def percent(brief: Brief, cause: str) -> float:
    """How far a cause may be off [%]."""
    name = {"C1": "capacitor", "R3": "resistor", "R1": "resistor"}.get(cause, cause)
    return float(getattr(brief, f"{name}_percent"))


def _around(value: float) -> tuple[float, float]:
    return 1 - value / 100, 1 + value / 100


@lru_cache(maxsize=1024)
def _pushes(brief: Brief) -> tuple[tuple[str, float], ...]:
    given = Margins(
        resistor=brief.resistor_percent,
        capacitor=brief.capacitor_percent,
        voltage=_around(brief.voltage_percent),
        frequency=_around(brief.frequency_percent),
        negative=brief.unbalance_percent / 100,
    )
    found = causes(bridge(brief.line_voltage, brief.frequency), given, "123")
    return tuple((name, round(float(found[name].volts[0]), 6)) for name in CAUSES)


def pushes(brief: Brief, _: Values) -> Numbers:
    """Volts on the dark lamp that every cause by itself leaves at its limit [V rms]."""
    return {("", name): volts for name, volts in _pushes(brief)}


def every(earlier: Values) -> list[float]:
    """The pushes found before [V rms], that of R2 included; the line voltage is nominal there and pushes nothing."""
    found = earlier["pushes"]
    return [float(found["", name]) for name in (*RULES, TWICE)]


def limits(_: Brief, earlier: Values) -> Numbers:
    """Likely limit and plain sum of the pushes found before [V rms]."""
    found = every(earlier)
    return {("", "likely"): hypot(*found), ("", "worst"): sum(found)}


def dominant(_: Brief, earlier: Values) -> Choices:
    """The cause, and the part, that pushes most, by the pushes found before."""
    found = earlier["pushes"]
    return {
        kind: max(among, key=lambda name: float(found["", name]))
        for kind, among in (("cause", CAUSES), ("part", PARTS))
    }


@lru_cache(maxsize=1024)
def _classes(line_voltage: float, frequency_percent: float, unbalance_percent: float) -> tuple[tuple[str, str], ...]:
    given = Margins(voltage=(0.85, OVERVOLTAGE), frequency=_around(frequency_percent), negative=unbalance_percent / 100)
    records = class_records(bridge(line_voltage, 50.0), margins=given)
    letter = {value: name for name, value in LETTERS.items()}
    good = {
        name: [letter[c.capacitor] for c in records if c.holds and c.resistor == LETTERS[name]] for name in RESISTORS
    }
    return tuple((name, held[-1] if held else NONE) for name, held in good.items())


def classes(brief: Brief, _: Values) -> Choices:
    """The loosest capacitor class for every resistor class: every corner of the parts and the supply tried."""
    return dict(_classes(brief.line_voltage, brief.frequency_percent, brief.unbalance_percent))


def worst_by_rule(
    brief: Brief,
    resistor: str,
    capacitor: str,
    *,
    over: float = OVERVOLTAGE,
    unbalance: bool = True,
    root: bool = False,
) -> float:
    """Volts left by the rules of thumb [V rms]: plain sum, or root of the squares."""
    r, c = LETTERS[resistor], LETTERS[capacitor]
    off = {"C1": c, "R3": r, "R1": r, "frequency": brief.frequency_percent, "unbalance": brief.unbalance_percent}
    found = [RULES[name] * p / 100 for name, p in [*off.items(), (TWICE, r)] if unbalance or name != "unbalance"]
    return float(over * brief.line_voltage * (hypot(*found) if root else sum(found)))


def loosest(worst: dict[str, float], below: float) -> str:
    """The last letter whose volts [V] stay below a limit.

    >>> loosest({"F": 20.0, "G": 30.0, "J": 50.0}, 40.0)
    'G'
    """
    return next((name for name, volts in reversed(worst.items()) if volts < below), NONE)


def directions(brief: Brief, _: Values) -> Choices:
    """Which way each harmonic runs."""
    return {name: runs(int(getattr(brief, f"order_{name}"))) for name in ORDERS}


@lru_cache(maxsize=1024)
def fifth_volts(line_voltage: float, frequency: float, percent: float) -> float:
    """Volts of a fifth harmonic by itself on the dark lamp [V rms]."""
    rows = harmonic_table(bridge(line_voltage, frequency), content={FIFTH: percent / 100})
    return next(r.lamp_volts[0] for r in rows if r.order == FIFTH and r.sequence == "123")


def fifth(brief: Brief) -> float:
    """The same for a brief."""
    return fifth_volts(brief.line_voltage, brief.frequency, brief.fifth_percent)


def together(brief: Brief, earlier: Values) -> float:
    """The likely limit found before and the fifth harmonic [V rms]: different frequencies, so root of the squares."""
    return hypot(float(earlier["limits"]["", "likely"]), fifth(brief))
