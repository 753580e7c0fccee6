"""Right values of the exercise `wiring`, from the testers' own networks and from the crew's record by rule."""

from __future__ import annotations

from functools import lru_cache

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.wiring import field
from phasorkit.course.tasks.wiring.field import NOT_MEASURED, Socket
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.indicators.twin_bridge import TwinBridge
from phasorkit.lamps import DARK
from phasorkit.supply import CONDUCTORS, Supply

OPEN, NEUTRAL, DOUBLED = "open", "neutral", "doubled"
CONNECTIONS = (OPEN, NEUTRAL, DOUBLED)
"""Wrong connections of the first two questions."""

FAILED, DEAD = "failed", "dead"
SAYS = ("1-2-3", "1-3-2", "fault", "nothing", "can't tell")
TERMINAL_FAULTS = ("neutral", "doubled", "backfed")
BETWEEN = tuple(f"{a}-{b}" for a, b in field.PAIRS)
PROBE_PAIRS = ("L1 L2", "L2 L3", "L1 L3")
NAMES = ("crane", "kitchen", "lights")
"""The sockets of the record."""


def laid(brief: Brief, connection: str, sequence: str) -> Supply:
    """The supply as a tester's probes meet it with this wrong connection; any other word: the right one."""
    supply = Supply(line_voltage=brief.line_voltage, frequency=brief.frequency, sequence=sequence)
    if connection == OPEN:
        return supply.without(brief.open_probe)
    if connection == NEUTRAL:
        return supply.neutral_on(brief.neutral_probe)
    return supply.doubled(brief.doubled_probe, brief.doubled_on) if connection == DOUBLED else supply


def _sized(kind: type[DividerBridge] | type[TwinBridge], brief: Brief) -> Indicator:
    return kind.sized(capacitance=4.7e-9, frequency=brief.frequency, line_voltage=brief.line_voltage)


@lru_cache(maxsize=4096)
def bridge_volts(brief: Brief, connection: str, sequence: str) -> float:
    """Volts on the lamp of a null bridge with exact parts [V rms]."""
    bridge = _sized(DividerBridge, brief)
    return round(float(bridge.on(laid(brief, connection, sequence)).lamp_volts[0]), 9)


def volts(brief: Brief, _: Values) -> Numbers:
    """The same for every wrong connection in both sequences."""
    return {(s, c): bridge_volts(brief, c, s) for s in SEQUENCES for c in CONNECTIONS}


@lru_cache(maxsize=4096)
def twin_volts(brief: Brief, connection: str) -> tuple[float, ...]:
    """Volts on H1 and H2 of a twin with exact parts in the brief's sequence [V rms]."""
    twin = _sized(TwinBridge, brief)
    return tuple(round(float(v), 9) for v in twin.on(laid(brief, connection, brief.sequence)).lamp_volts)


def twin_says(brief: Brief, situation: str) -> str:
    """What one reading of the twin says to somebody who knows only its lamps."""
    twin = _sized(TwinBridge, brief)
    found = (0.0, 0.0) if situation == DEAD else twin_volts(brief, situation)
    broken = brief.failed_lamp if situation == FAILED else ""
    states = tuple(DARK if h.name == broken else str(h.state(v)) for h, v in zip(twin.lamps, found, strict=True))
    return dashed(twin.conclude(states, found))


def twin(brief: Brief, _: Values) -> Choices:
    """What the twin says in every situation of the second question."""
    return {s: twin_says(brief, s) for s in (*CONNECTIONS, FAILED, DEAD)}


def dashed(conclusion: str) -> str:
    """A sequence as it is said, 1-2-3 for 123; other conclusions as they are."""
    return "-".join(conclusion) if conclusion in SEQUENCES else conclusion


def terminals(brief: Brief, _: Values) -> Numbers:
    """What a meter shows between the terminals for each fault [V rms]."""
    return {
        (fault, between): shown
        for fault in TERMINAL_FAULTS
        for between, shown in zip(BETWEEN, terminal_volts(brief, fault), strict=True)
    }


def terminal_volts(brief: Brief, fault: str) -> tuple[float, ...]:
    """A–B, B–C, C–A with this fault at the terminal that the brief names [V rms]."""
    return field.terminal_volts(fault, getattr(brief, f"{fault}_at"), brief.line_voltage)


def mirror(brief: Brief, _: Values) -> str:
    """The pair of probes that carry the two lamps of the star."""
    return " ".join(c for c in CONDUCTORS if c != brief.star_capacitor)


def socket(brief: Brief, name: str) -> Socket:
    """The record of a socket as the learner has it."""
    read = {what: str(getattr(brief, f"{name}_{what}")) for what in ("volts", "probes", "lamps", "then", "after")}
    measured = read["volts"].split(", ") if read["volts"] != NOT_MEASURED else ()
    h1, h2 = read["lamps"].split()
    second = tuple(read["after"].split())
    return Socket(
        volts=tuple(float(v) for v in measured),
        probes=read["probes"],
        first=(h1, h2),
        then=read["then"],
        second=(second[0], second[1]) if second else None,
    )


def sockets(brief: Brief, _: Values) -> Choices:
    """What each record proves."""
    return {n: field.verdict(socket(brief, n), line_voltage=brief.line_voltage) for n in NAMES}


def steps(brief: Brief, _: Values) -> Choices:
    """What is done next at each socket."""
    return {n: field.next_step(socket(brief, n), line_voltage=brief.line_voltage) for n in NAMES}
