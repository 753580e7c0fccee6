"""A parts list against a brief, row by row: what is asked, whether it is met, and the case in which it fails."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from phasorkit.analysis.design import Asked, Requirement
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.ratings import MOST_PIECES
from phasorkit.analysis.requirements import LARGEST, requirements
from phasorkit.analysis.wiring import MISLEADING, wiring_table
from phasorkit.course.parts_list import Listed
from phasorkit.parts import nearest
from phasorkit.supply import CONDUCTORS

RESISTOR_CLASSES, CAPACITOR_CLASSES = (1.0, 2.0, 5.0), (2.0, 5.0, 10.0, 20.0)
"""Tolerances that a shop may have [±%]."""

SMALLEST_C, LARGEST_C = 1e-9, 1e-6
"""Range of the capacitors in the shop [F]."""

SOLD = 1e-6
"""Relative deviation from a preferred value that is none."""


@dataclass(frozen=True, kw_only=True)
class Job:
    """What a brief asks of a design.

    `asked`: window of the supply, whether one reading must do; its tolerances are those of the list. `reach`: the
    conductors a probe can be laid on. `person`: whether a person may be part of the circuit. `finest`: the closest
    capacitor the shop has [±%].
    """

    one_reading: bool
    frequency: tuple[float, float]
    reach: tuple[str, ...] = CONDUCTORS
    person: bool = False
    finest: float = 5.0

    def asked(self, listed: Listed) -> Asked:
        """The question for the library."""
        margins = Margins(
            resistor=listed.resistor_percent, capacitor=listed.capacitor_percent, frequency=self.frequency
        )
        return Asked(margins=margins, one_reading=self.one_reading, faults=True)


@dataclass(frozen=True)
class Row:
    """One requirement: whether it is met, the case where it is decided, and the figure against its limit."""

    met: bool
    case: str = ""
    figure: str = ""


DARK, LIT, CURRENT = "dark lamp stays dark", "lit lamp lights", "current of the lit lamp"
NAMES, NO_LIE = "right wiring names the sequence", "wrong wiring never misleads"
VOLTS, HEAT = "volts on each resistor", "heat in each resistor"
C_VOLTS, C_CLASS = "volts on the capacitor", "class of the capacitor"
TOUCH = "touch current"
FAULTS = "no single fault does harm"
R_SOLD, C_SOLD, TOLERANCES, ROOM = "resistors are sold", "capacitors are sold", "tolerances are sold", "few pieces"
NOT_DRAWN = (R_SOLD, C_SOLD, TOLERANCES, ROOM, C_CLASS)
"""Requirements that fail in a shop or on a label and in no state of the circuit."""


@lru_cache(maxsize=1024)
def verdict(listed: Listed, job: Job) -> Mapping[str, Row]:
    """Every row of the verdict by its name.

    Parameters
    ----------
    listed : Listed
        At the nominal supply of the brief.
    job : Job

    Returns
    -------
    mapping of name to Row
        Over the supply window, the tolerances, every wrong connection and every single fault.
    """
    found = {r.name: r for r in requirements(listed, job.asked(listed))}
    rows = {name: _row(found[name]) for name in (DARK, LIT, CURRENT, VOLTS, HEAT, C_VOLTS, C_CLASS)}
    harm = (_row(found[name]) for name in ("no single fault overloads a part", "no single fault misleads"))
    rows[FAULTS] = next((row for row in harm if not row.met), Row(True))
    rows[C_CLASS] = Row(rows[C_CLASS].met)
    rows[TOUCH] = _row(found[TOUCH]) if TOUCH in found else Row(True)
    return rows | _shop(listed, job) | _wiring(listed, job, found)


OUT_OF_REACH = (
    "This circuit has a probe on a conductor that the job does not let you reach: it cannot be connected. Choose "
    "another circuit first; until then nothing else of it is looked at."
)
A_PERSON = (
    "A person is part of this circuit, and the job allows none. Choose another circuit first; until then nothing else "
    "of it is looked at."
)
TELLS_NOTHING = (
    "On right wiring and at nominal volts the lamps of this design do not tell one sequence from the other. Whether a "
    "tester that tells nothing is sound is not looked at: make it tell first."
)


def no_tester(listed: Listed, job: Job) -> tuple[str, str] | None:
    """Why a design is no tester for this job at all, as slip and words; None where it is one.

    It needs a conductor out of reach, or a person where none is allowed, or its lamps do not tell one sequence from
    the other on right wiring at nominal volts.
    """
    built = listed.bought
    if not set(built.probes) <= set(job.reach):
        return "a conductor out of reach", OUT_OF_REACH
    if not job.person and any("PE" in (e.a, e.b) for e in built.network().elements):
        return "a person where none is allowed", A_PERSON
    first, second = (built.on(built.supply(s)) for s in ("123", "132"))
    states = [tuple(str(s) for s in r.lamp_states) for r in (first, second)]
    told = built.after_swap(states[0], states[1], (first.conclusion, second.conclusion)) == "123"
    return None if told else ("tells no sequence", TELLS_NOTHING)


def _row(found: Requirement) -> Row:
    figure = f"{found.value:.3g} {found.unit}, at {'most' if found.at_most else 'least'} {found.limit:.3g} {found.unit}"
    return Row(bool(found.passed), found.case, figure if found.unit in ("V", "W", "mA") else "")


def _shop(listed: Listed, job: Job) -> dict[str, Row]:
    values = listed.values()
    ohms = {part: v for part, v in values.items() if part[0] == "R"}
    farads = {part: v for part, v in values.items() if part[0] == "C"}
    no_r = [part for part, v in ohms.items() if not (_is_sold(v, "E24") and v <= LARGEST)]
    no_c = [part for part, v in farads.items() if not (_is_sold(v, "E6") and SMALLEST_C < 1.01 * v < 1.02 * LARGEST_C)]
    long = [part for part, count in listed.counts if count > MOST_PIECES]
    r, c = listed.resistor_percent, listed.capacitor_percent
    closest = r in RESISTOR_CLASSES and c in CAPACITOR_CLASSES and c >= job.finest
    return {
        R_SOLD: Row(not no_r, ", ".join(no_r)),
        C_SOLD: Row(not no_c, ", ".join(no_c)),
        TOLERANCES: Row(closest, "R" if r not in RESISTOR_CLASSES else "C"),
        ROOM: Row(not long, ", ".join(long)),
    }


def _is_sold(value: float, series: str) -> bool:
    return abs(float(nearest(value, series)) / value - 1) < SOLD


def _wiring(listed: Listed, job: Job, found: Mapping[str, Requirement]) -> dict[str, Row]:
    built = listed.bought
    name = "one reading names the sequence" if job.one_reading else "two readings name the sequence"
    lies = [
        f"{'-'.join(r.sequence)}, {r.wiring}"
        for r in wiring_table(built)
        if MISLEADING in (r.after_swap_verdict, r.verdict if job.one_reading else "") and _can_be(r.wiring, job.reach)
    ]
    return {NAMES: _row(found[name]), NO_LIE: Row(not lies, lies[0] if lies else "")}


def _can_be(wiring: str, reach: tuple[str, ...]) -> bool:
    """Whether a wiring state touches only what is within reach."""
    return set(re.findall(r"L[1-3]", wiring.partition("=")[2])) <= set(reach)
