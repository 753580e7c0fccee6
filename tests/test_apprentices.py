"""Three apprentices with a wrong idea each worked five exercises; what had sent them astray is held here.

The numbers are what the idea leads to, by hand: a triangle of phase voltages is smaller by √3 in all its lengths
(geometry), a capacitor that blocks leaves nothing to the resistors beside it (Ohm's law).
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

import pytest
from course_cases import briefs

from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.questions import questions
from phasorkit.course.tasks.two_lamp.values import lamp_conductors

MIXED = "Line and phase voltage are mixed up"
UNTRUE = "no part touches the neutral"
BLOCKED = "as if it blocked"


def anybody(name: str) -> list[Brief]:
    """Some learners of an exercise."""
    return list(briefs(task(name)))[::5]


def mark(brief: Brief, check: str, answer: Any, **earlier: Any) -> Mark:
    """The mark of one answer after earlier ones."""
    return judge(task(brief.exercise), brief, check, {**earlier, check: answer})


def times(brief: Brief, check: str, factor: float) -> Any:
    """The right table, every number by a factor, in the form of the notebook."""
    table: dict[str, dict[str, float]] = {}
    for (group, entry), value in truths(task(brief.exercise), brief)[check].items():
        table.setdefault(group, {})[entry] = factor * value
    return table.get("", table)


@pytest.mark.parametrize("factor", [sqrt(3), 1 / sqrt(3)])
@pytest.mark.parametrize(
    ("name", "check"),
    [("two-lamp", "volts"), ("wiring", "volts"), ("wiring", "terminals"), ("margins", "pushes"),
     ("touch-probe", "volts"), ("touch-probe", "current")],
)  # fmt: skip
def test_line_for_phase_voltage_is_one_idea_in_the_whole_table(name: str, check: str, factor: float) -> None:
    """Not another slip for every entry that happens to agree, and nothing said of the neutral that is not so."""
    for brief in anybody(name):
        told = mark(brief, check, times(brief, check, factor))
        assert told.text.count(": ") >= 1
        assert told.slip == "line and phase voltage mixed up", (brief.values, told)
        reasons = [line for line in told.text.replace("\n", " ").split(". ") if MIXED in line]
        assert len(reasons) == 1
        assert "More than one slip" not in told.text
        assert UNTRUE not in told.text


def test_one_idea_takes_no_marks() -> None:
    """Entries that keep part of their marks by themselves keep them in company (learner's side of the doubt)."""
    for brief in anybody("margins"):
        wrong = times(brief, "pushes", 1 / sqrt(3))
        single = [mark(brief, "pushes", {name: wrong[name]}).points for name in wrong]
        assert mark(brief, "pushes", wrong).points == pytest.approx(sum(single))


def test_two_own_slips_are_not_merged_into_a_factor() -> None:
    """R1 of the other leg and a leg without its capacitor are both a half; the words of each teach more than that."""
    for brief in anybody("touch-probe"):
        right = times(brief, "ohms", 1.0)
        text = mark(brief, "ohms", {**right, "R1": right["R1"] / 2, "leg": right["leg"] / 2}).text
        assert "Half of R each" in text
        assert "The capacitor is in it, too." in text


def test_a_lamp_taken_for_dead_is_told_once() -> None:
    """ "A broken circuit is dark": no volts in all six places, whatever the sequence."""
    for brief in anybody("wiring"):
        zero = dict.fromkeys(("open", "neutral", "doubled"), 0)
        told = mark(brief, "volts", {"123": zero, "132": zero})
        assert told.slip == "the lamp taken for dead"
        assert "what the right connection shows" not in told.text


def test_a_capacitor_and_one_lamp_between_two_lines_are_named() -> None:
    """The other lamp forgotten: two equal ohms at a right angle, each has its line voltage over √2 (Pythagoras)."""
    for brief in anybody("two-lamp"):
        volts = dict.fromkeys((brief.part_on, *lamp_conductors(brief)), brief.line_voltage / sqrt(2))
        told = mark(brief, "volts", {"123": volts, "132": volts})
        assert told.slip == "capacitor and one lamp in series between two lines"


def test_two_lamps_taken_for_one_are_named_on_the_lamps_too() -> None:
    """S on the half circle with equal short sides, at half the height both up and aside (geometry, here by points)."""
    for brief in anybody("two-lamp"):
        side, up = brief.line_voltage, brief.line_voltage * sqrt(3) / 4
        near, far = (hypot(side / 2 + aside, up) for aside in (-up, up))
        right = times(brief, "volts", 1.0)
        lamps = lamp_conductors(brief)
        wrong = {s: {c: far if row[c] > side / 2 else near for c in lamps} for s, row in right.items()}
        for row in wrong.values():
            row[brief.part_on] = 2 * up / sqrt(2)
        told = mark(brief, "volts", wrong)
        assert told.slip == "two lamps taken for one"
        assert "Not every wrong entry" not in told.text


def test_no_current_through_a_person_is_told_what_lights_the_lamp() -> None:
    """A capacitor that blocks would leave nothing to the person either; the lamp lights by that current (lesson 10)."""
    for brief in anybody("touch-probe"):
        assert "It is this current that lights the lamp" in mark(brief, "current", {"none": 0, "R1": 0, "R5": 0}).text


def test_a_capacitor_taken_to_block_is_named() -> None:
    """All of the line voltage on C1 and none on R1 (Ohm's law without current)."""
    for brief in anybody("touch-probe"):
        parts = {"R1": 0, "C1": brief.line_voltage}
        right = times(brief, "volts", 1.0)
        told = mark(brief, "volts", {s: {**parts, "lamp": right[s]["lamp"]} for s in ("123", "132")})
        assert told.text.count(BLOCKED) == 1
        assert "Dark means" not in told.text


def test_legs_added_like_plain_numbers_are_named_on_r1_too() -> None:
    """One current through 2·R, R and √3·R as if all were resistors (Ohm's law)."""
    for brief in anybody("touch-probe"):
        share, right = brief.line_voltage / (3 + sqrt(3)), times(brief, "volts", 1.0)
        wrong = {s: {"R1": share, "C1": sqrt(3) * share, "lamp": right[s]["lamp"]} for s in right}
        told = mark(brief, "volts", wrong)
        assert told.slip == "volts at a right angle shared like plain numbers"
        assert "Not every wrong entry" not in told.text


def test_limits_add_what_the_question_names() -> None:
    """Who lets the line voltage push, and leaves it out where the text leaves it out, follows rightly."""
    for brief in anybody("margins"):
        pushes = {**times(brief, "pushes", 1.0), "voltage": 0.1 * brief.line_voltage}
        named = [pushes[n] for n in ("C1", "R3", "R1", "R1", "frequency", "unbalance")]
        limits = {"likely": hypot(*named), "worst": sum(named)}
        assert mark(brief, "limits", limits, pushes=pushes).points == 4.0
        every = {"likely": hypot(*named, pushes["voltage"]), "worst": sum(named) + pushes["voltage"]}
        assert mark(brief, "limits", every, pushes=pushes).points < 4.0


def test_ideas_about_adding_and_volts_are_named() -> None:
    """Deviations that cancel (lesson 09, second question), a fifth of the phase voltage, watts of the phase voltage."""
    brief = anybody("margins")[0]
    pushes = times(brief, "pushes", 1.0)
    felt = [pushes[n] for n in ("C1", "R3", "R1", "R1", "frequency", "unbalance")]
    told = mark(brief, "limits", {"likely": abs(2 * max(felt) - sum(felt))})
    assert told.slip == "the others taken off"
    told = mark(brief, "pushes", {"R1": brief.resistor_percent / 100 * brief.line_voltage / 2})
    assert told.slip == "so many per cent of half the line voltage"
    fifth = 0.98 * brief.fifth_percent / 100 * brief.line_voltage / sqrt(3)
    told = mark(brief, "together", hypot(*felt, fifth))
    assert "per cent of the phase voltage" in told.text
    for brief in anybody("parts"):
        heat = brief.line_voltage**2 / 3 / truths(task("parts"), brief)["resistance"]
        assert "the phase voltage on R1" in (mark(brief, "stress", {"R1": heat}).slip or "")


@pytest.mark.parametrize(
    ("name", "mixed_up"), [("04.dim-volts", 690 * (3 - sqrt(3)) / sqrt(10)), ("08.neutral-volts", 500 / 2 / 3)]
)
def test_quick_questions_do_not_send_away_from_n(name: str, mixed_up: float) -> None:
    """Two lamps lie from a line to S, and a probe lies on N: nothing untrue is told of the neutral there."""
    told = questions(name[:2])[name].reply(mixed_up)
    assert MIXED in told
    assert UNTRUE not in told
