"""Right values of the exercise `motor`."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.rotating_field import shaft_direction, synchronous_rpm

TERMINALS = ("U1", "V1", "W1")
CLOCKWISE, COUNTER = "clockwise", "counter-clockwise"
LOOKS = ("drive end", "other end", "one swap", "two swaps")
"""Entries of the question which way: as connected, from both ends; after the swaps, drive end and other end."""

MOTOR, BOARD, GENERATOR, NOWHERE = "motor", "board", "generator", "nowhere"
CASES = ("A", "B", "C")
"""Three places of work where a swap may be due."""

WORK = {
    "pump": (MOTOR, "the new pump runs backwards; the fan on the same board is right"),
    "repair": (MOTOR, "the fan is back from the winder and runs backwards; the pump on its board is right"),
    "cable": (BOARD, "all motors run backwards since the board has a new incoming cable; no other source"),
    "feeder": (BOARD, "a new board on the mains: all of its motors run backwards; other boards are right"),
    "standby": (GENERATOR, "on the mains all motors are right, on the standby generator all run backwards"),
    "habit": (
        NOWHERE,
        "the maker asks for clockwise on the drive end; you stand at the other end and see counter-clockwise",
    ),
    "inverter": (NOWHERE, "the pump behind an inverter turns as its arrow says; before the inverter you find 1-3-2"),
}
"""Right place for the swap, and what is found there."""

RUNS_ON, STOPS, HUMS, TURNS_BACK = "runs on", "stops", "stands and hums", "turns back"
TRIPS, STAYS, ALIVE, DEAD = "trips", "stays in", "alive", "dead"
TRIPPING = 1.1
"""Current over its setting from which a relay is taken to trip: between 1.05 and 1.2 (IEC 60947-4-1, from memory)."""


def terminals(brief: Brief) -> tuple[str, str, str]:
    """What lies on U1, V1, W1."""
    u, v, w = brief.connected.split()
    return u, v, w


def swapped(lines: tuple[str, str, str], pair: str) -> tuple[str, str, str]:
    """The lines after those on two terminals have been exchanged, such as ``"U1 W1"``."""
    one, two = (TERMINALS.index(name) for name in pair.split())
    found = list(lines)
    found[one], found[two] = found[two], found[one]
    return found[0], found[1], found[2]


def direction(brief: Brief, _: Values) -> Choices:
    """Which way the shaft turns: connected, seen from both ends; after one swap (drive end) and two (other end)."""
    first = terminals(brief)
    second = swapped(first, brief.first_swap)
    third = swapped(second, brief.second_swap)
    turns = [shaft_direction(brief.sequence, terminals=lines) for lines in (first, second, third)]
    ways = (turns[0].drive_end, turns[0].other_end, turns[1].drive_end, turns[2].other_end)
    return dict(zip(LOOKS, ways, strict=True))


def place(brief: Brief, case: str) -> str:
    """Where to swap in a case."""
    return WORK[getattr(brief, f"case_{case.lower()}")][0]


def places(brief: Brief, _: Values) -> Choices:
    """Where to swap in each case."""
    return {case: place(brief, case) for case in CASES}


def field(brief: Brief) -> float:
    """Speed of the field [r/min]."""
    return float(synchronous_rpm(brief.frequency, poles=poles(brief)))


def poles(brief: Brief) -> int:
    """The even number of poles whose field is just above the plate's speed."""
    return max(p for p in range(2, 14, 2) if float(synchronous_rpm(brief.frequency, poles=p)) > brief.rpm)


def speed(brief: Brief, _: Values) -> Numbers:
    """Poles [1], speed of the field [r/min], slip [%] and frequency in the rotor [Hz] at full load."""
    slip = 1 - brief.rpm / field(brief)
    found = {"poles": poles(brief), "field": field(brief), "slip": 100 * slip, "rotor": slip * brief.frequency}
    return {("", entry): float(number) for entry, number in found.items()}


def current(brief: Brief, _: Values) -> float:
    """Current in each line at full load [A rms]."""
    return float(brief.power / (sqrt(3) * brief.line_voltage * brief.power_factor * brief.efficiency))


def lost(brief: Brief, earlier: Values) -> Numbers:
    """Current in the two lines that are left [A rms], with the current found before.

    Running by the rule of thumb, √3 times; at rest two windings in series on the line voltage, √3/2 times.
    """
    amps = float(earlier["current"])
    stuck = sqrt(3) / 2 * brief.start_times * amps
    return {("", "full"): sqrt(3) * amps, ("", "light"): sqrt(3) * brief.light * amps, ("", "stuck"): stuck}


def happens(brief: Brief, earlier: Values) -> Choices:
    """What a lost line does; the relay by the currents found before, if the one can come from the other at all."""
    times, right = float(earlier["lost"]["", "light"]) / float(earlier["current"]), sqrt(3) * brief.light
    trips = (times if right / 5 < times < 5 * right else right) > TRIPPING
    return {"running": RUNS_ON, "restart": HUMS, "relay": TRIPS if trips else STAYS, "terminal": ALIVE}
