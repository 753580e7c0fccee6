"""Exercise `capstone`: many designs pass, each requirement can be missed by itself, a box that is no tester fails.

`test_capstone_physics.py` holds its figures against circuits solved by hand.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from course_cases import stray_digits

from phasorkit.course import parts_verdict as v
from phasorkit.course.model import RIGHT, Brief, Mark, judge, task
from phasorkit.course.parts_check import PartsCheck
from phasorkit.course.parts_list import Listed
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.capstone import values
from phasorkit.course.tasks.capstone.values import BENCH, PUMPS, STALLS

CAPSTONE = task("capstone")
CHECKS = {c.name: c for c in CAPSTONE.checks if isinstance(c, PartsCheck)}
Parts = Mapping[str, PlainData]
NO_TESTER = (v.TELLS_NOTHING, v.OUT_OF_REACH, v.A_PERSON)
SOUND = {"wiring", "ratings", "person", "faults"}


def brief_for(job: str, *, volts: float = 400, hertz: float = 50, off: float = 2, closest: float = 5) -> Brief:
    """A brief by its numbers."""
    numbers = (
        ("job", job), ("line_voltage", float(volts)), ("frequency", float(hertz)), ("frequency_off", float(off)),
        ("closest_capacitor", float(closest)),
    )  # fmt: skip
    return Brief("capstone", "n", "", numbers)


def mark_of(brief: Brief, name: str, design: PlainData) -> Mark:
    """The mark of one check for a design."""
    return judge(CAPSTONE, brief, name, {name: design})


def missed(brief: Brief, design: Parts) -> set[str]:
    """Every requirement that a design misses, read off the six feedbacks."""
    lost = set()
    for name, check in CHECKS.items():
        said = mark_of(brief, name, design).text.splitlines()
        assert said[0] not in NO_TESTER
        lost |= {a.row for a in check.asks if any(s.split("  ")[0] == a.row and s.endswith(" no") for s in said)}
    return lost


KINDS: Parts = {"R kind": "0.5 W film", "R tolerance": "1 %", "C kind": "X1 440 V", "C tolerance": "5 %"}
PAD_KINDS: Parts = {**KINDS, "C kind": "Y1 500 V"}
TWIN: Parts = {"circuit": "twin", "R1 R2 R3 R4 R5 R6": "3 x 130k", "C1 C2": "4n7", **KINDS}
NULL: Parts = {"circuit": "null bridge", "R1 R2 R3": "3 x 130k", "C1": "4n7", **KINDS}
PAD: Parts = {
    "circuit": "touch pad", "R1 R2": "3 x 130k", "R3 R4": "3 x 68k", "R5 R6": "2 x 300k", "C1": "4n7", **PAD_KINDS
}  # fmt: skip
DOUBLE: Parts = {
    "circuit": "two-capacitor bridge", "R1 R3": "4 x 470k", "R2": "4 x 1M3", "C1 C2": "1n", **KINDS, "C tolerance": 2
}  # fmt: skip
LED: Parts = {
    "circuit": "LED pair", "R1 R3": "4 x 24k", "R2 R4": "680", "C1": "33n", **KINDS, "R kind": "2 W film"
}  # fmt: skip

PASSING: tuple[tuple[str, Parts], ...] = (
    (STALLS, TWIN),
    (STALLS, {**TWIN, "C1": "4,7 nF", "C2": 4.7e-9, "R kind": "0,5 W"}),
    (STALLS, {**TWIN, "R1 R2 R3 R4 R5 R6": "3 x 270k", "C1 C2": "2n2"}),
    (STALLS, {**TWIN, "R1 R2 R3 R4 R5 R6": "4 x 470k", "C1 C2": "1 nF", "R kind": "0.25 W film"}),
    (STALLS, {**TWIN, "R1 R2 R4 R5": "4 x 100k", "C kind": "X1 760 V", "R kind": "1 W film"}),
    (STALLS, {**TWIN, "R3 R6": [3, "130 kΩ"], "R kind": "2 W film"}),
    (STALLS, {**TWIN, "C kind": "Y1, 500 V ac"}),
    (BENCH, NULL),
    (BENCH, TWIN),
    (BENCH, {**NULL, "R1 R2 R3": "4 x 68k", "C1": "6n8", "R kind": "1 W film"}),
    (BENCH, {**NULL, "R1 R2 R3": "3 x 270k", "C1": 2.2e-9}),
    (BENCH, DOUBLE),
    (BENCH, LED),
    (PUMPS, PAD),
    (PUMPS, {**PAD, "R5 R6": "2 x 390k", "R kind": "2 W film"}),
    (PUMPS, {**PAD, "R1 R2": "2 x 430k", "R3 R4": "2 x 200k", "R5 R6": "2 x 430k", "C1": "2n2"}),
    (PUMPS, {**PAD, "R1 R2": "3 x 180k", "R3 R4": "3 x 91k", "R5 R6": "3 x 220k", "C1": "3n3"}),
    (PUMPS, {**PAD, "R5 R6": "4 x 150k", "R kind": "1 W film", "C kind": "Y1, 500 V"}),
    (PUMPS, {**PAD, "R5 R6": "2 x 620k", "R kind": "1 W film"}),
)


@pytest.mark.parametrize(("job", "design"), PASSING)
def test_many_designs_pass(job: str, design: Parts) -> None:
    """At least five for every job, of several circuits, values, kinds and forms: full marks in all six checks."""
    brief = brief_for(job, closest=2 if design is DOUBLE else 5)
    marks = {name: mark_of(brief, name, design) for name in CHECKS}
    assert {name: (m.points, m.text) for name, m in marks.items() if m.outcome != RIGHT} == {}
    assert sum(m.points for m in marks.values()) == CAPSTONE.points == 24.0


# --- each requirement by itself ---------------------------------------------------------------------------

STALL, WORKSHOP, PUMP = (brief_for(job) for job in (STALLS, BENCH, PUMPS))
LOW = brief_for(PUMPS, volts=208, hertz=60)
FAILING: tuple[tuple[str, str, Brief, Parts], ...] = (
    ("shop", v.R_SOLD, WORKSHOP, {**NULL, "R3": "3 x 131k"}),
    ("shop", v.R_SOLD, PUMP, {**PAD, "R5 R6": "2 x 310k"}),
    ("shop", v.C_SOLD, WORKSHOP, {**NULL, "R1 R2 R3": "3 x 110k", "C1": "5n6"}),
    ("shop", v.TOLERANCES, WORKSHOP, {**NULL, "C tolerance": 2}),
    ("shop", v.TOLERANCES, WORKSHOP, {**NULL, "R tolerance": 0.5}),
    ("shop", v.ROOM, WORKSHOP, {**NULL, "R1 R2": "6 x 68k"}),
    ("lamps", v.DARK, WORKSHOP, {**NULL, "C tolerance": 20}),
    ("lamps", v.LIT, LOW, {**PAD, "R1 R2": "3 x 390k", "R3 R4": "3 x 200k", "R5 R6": "3 x 100k", "C1": "2n2"}),
    ("lamps", v.CURRENT, PUMP, {**PAD, "R5 R6": "3 x 1M"}),
    ("wiring", v.NAMES, STALL, NULL),
    ("wiring", v.NO_LIE, STALL, LED),
    ("ratings", v.VOLTS, WORKSHOP, {**NULL, "R1 R2 R3": "820k", "C1": "2n2", "R kind": "1 W film"}),
    ("ratings", v.HEAT, WORKSHOP, {**NULL, "R1 R2 R3": "4 x 47k", "C1": "10n", "R kind": "0.25 W film"}),
    ("ratings", v.C_VOLTS, brief_for(BENCH, volts=415), NULL),
    ("ratings", v.C_CLASS, PUMP, {**PAD, "C kind": "X1 440 V"}),
    ("person", v.TOUCH, PUMP, {**PAD, "R1 R2": "3 x 39k", "R3 R4": "3 x 20k", "R5 R6": "2 x 180k", "C1": "15n"}),
    ("faults", v.FAULTS, WORKSHOP, {**NULL, "R1 R2 R3": "2 x 430k", "C1": "2n2", "R kind": "0.25 W film"}),
)
ALONG: Mapping[str, set[str]] = {v.NAMES: {v.NO_LIE}, v.VOLTS: {v.FAULTS}, v.HEAT: {v.FAULTS}, v.TOUCH: {v.NO_LIE}}
"""What cannot but be missed as well: volts or heat above a rating with no fault are above it with one, too; and what
cannot be connected is tried in no wrong connection."""


@pytest.mark.parametrize(("name", "row", "brief", "design"), FAILING)
def test_each_requirement_can_be_missed_by_itself(name: str, row: str, brief: Brief, design: Parts) -> None:
    """It costs its share, is named, and all other requirements keep their marks."""
    check = CHECKS[name]
    mark = mark_of(brief, name, design)
    lost = missed(brief, design)
    assert row in lost <= {row} | ALONG.get(row, set())
    left = sum(a.share for a in check.asks if a.row not in lost)
    assert mark.points == pytest.approx(left * check.points, abs=0.006)
    assert mark.points < check.points
    assert mark.slip
    assert not stray_digits(mark.text)


def test_every_requirement_is_missed_by_some_design_above() -> None:
    """None that cannot fail."""
    rows = {a.row for check in CHECKS.values() for a in check.asks}
    assert rows == {row for _, row, _, _ in FAILING} == set(v.verdict(listed_of(WORKSHOP, NULL), values.job(WORKSHOP)))


def listed_of(brief: Brief, design: Parts) -> Listed:
    """A design as it is read."""
    listed = CHECKS["lamps"].listed(brief, dict(design))
    assert isinstance(listed, Listed)
    return listed


def test_a_tester_that_tells_nothing_earns_no_marks_for_being_harmless() -> None:
    """Two gigantic resistors are safe: marks only for what can be bought and for the lamps."""
    idle = {**NULL, "R1 R2 R3": "4 x 2M2", "C1": "1u"}
    marks = {name: mark_of(WORKSHOP, name, idle) for name in CHECKS}
    assert {name for name, m in marks.items() if m.text == v.TELLS_NOTHING} == SOUND
    assert all(marks[name].points == 0 for name in SOUND)


@pytest.mark.parametrize(
    ("brief", "design", "words"),
    [(PUMP, NULL, v.OUT_OF_REACH), (PUMP, TWIN, v.OUT_OF_REACH), (WORKSHOP, PAD, v.A_PERSON), (STALL, PAD, v.A_PERSON)],
)
def test_a_circuit_that_the_job_rules_out_earns_marks_for_buying_and_lamps_only(
    brief: Brief, design: Parts, words: str
) -> None:
    """It cannot be connected, or needs a person nobody allowed: 8 of 24 at most."""
    marks = {name: mark_of(brief, name, design) for name in CHECKS}
    assert {name for name, m in marks.items() if m.text == words and m.points == 0} == SOUND
    assert sum(m.points for m in marks.values()) <= 8


@pytest.mark.parametrize(("key", "value"), [("R tolerance", "one"), ("C tolerance", 0.05)])
def test_a_tolerance_that_cannot_be_read_is_named(key: str, value: PlainData) -> None:
    """Two tolerances stand in one list (IEC 60062 marks resistors and capacitors alike): the words say which."""
    mark = mark_of(WORKSHOP, "shop", {**NULL, key: value})
    assert mark.text.startswith(f"{key}: ")
