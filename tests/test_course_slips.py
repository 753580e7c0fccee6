"""Diagnosis over a class of 200: every slip by its name or counted as coincident, and no result ever told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from course_cases import as_answer, briefs, right_answers, stray_digits, with_answer

from phasorkit.course.diagnosis import PREFIX
from phasorkit.course.model import RIGHT, Brief, Check, Landmark, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.separation import dropped, separation
from phasorkit.course.table import TableCheck

BRIDGE = task("bridge")
CHECKS = {c.name: c for c in BRIDGE.checks}


def slipped(brief: Brief, check: Check) -> list[Landmark]:
    """Every slip of a check, in the order they are looked for."""
    return [m for m in check.landmarks(brief, truths(BRIDGE, brief)) if m.slip]


def mark_with(brief: Brief, check: Check, entry: str, value: float) -> Mark:
    """The mark of an otherwise right submission with one number of one check changed; no earlier answers given."""
    answer = right_answers(BRIDGE, brief)[check.name]
    if isinstance(check, TableCheck):
        group, part = entry.split("/")
        answer = as_answer(BRIDGE, check.name, {**truths(BRIDGE, brief)[check.name], (group, part): value})
    else:
        answer = value
    return judge(BRIDGE, brief, check.name, {check.name: answer})


@pytest.mark.parametrize("name", CHECKS)
def test_every_slip_is_diagnosed_by_name_or_counted_as_coincident(name: str) -> None:
    """For each of 200 learners: a slip that has a value of its own is named, and never earns full marks."""
    check, named, coincident = CHECKS[name], Counter[str](), Counter[str]()
    for brief in briefs(BRIDGE):
        gone = dropped(BRIDGE, brief, name)
        for place in slipped(brief, check):
            mark = mark_with(brief, check, place.entry, place.value)
            if place in gone:
                coincident[place.slip] += 1
                continue
            assert mark.slip
            assert place.slip in mark.slip.split("; or "), (brief.values, place, mark)
            assert mark.points < mark.maximum
            named[place.slip] += 1
    print(f"\n{name}: {named.total()} named, {coincident.total()} coincident {dict(coincident)}")
    assert {s.name for s in check.slips} <= named.keys()  # type: ignore[attr-defined]
    assert named.total() >= 0.7 * (named.total() + coincident.total())  # in volts, factors of √3 and 2 have own names


def test_declared_slips_are_diagnosed_for_95_of_100_learners() -> None:
    """The exercise's own slips, all checks and entries together: named at least 95 times in 100."""
    named = total = 0
    for brief in briefs(BRIDGE):
        for check in BRIDGE.checks:
            own = [place for place in slipped(brief, check) if place.own]
            total += len(own)
            named += len(set(own) - dropped(BRIDGE, brief, check.name))
    print(f"\n{named} of {total} declared slips named: {100 * named / total:.1f} %")
    assert named >= 0.95 * total


@pytest.mark.parametrize("name", ["reactance", "resistance", "power"])
def test_a_lost_prefix_on_top_of_a_slip_is_found(name: str) -> None:
    """Two slips in one: at least 95 % are named with both, the others with another slip of the same value."""
    check, both, total = CHECKS[name], 0, 0
    for brief in briefs(BRIDGE):
        for place in slipped(brief, check):
            if place.slip == PREFIX.name or place in dropped(BRIDGE, brief, name):
                continue
            for factor in PREFIX.factors:
                mark = mark_with(brief, check, place.entry, place.value * factor)
                assert mark.slip, (brief.values, place, factor)
                total += 1
                both += place.slip in mark.slip and PREFIX.name in mark.slip
    print(f"\n{name}: {both} of {total} combined slips named with both")
    assert both >= 0.95 * total


def test_slips_that_must_be_told_apart_are() -> None:
    """No brief of the class has two of them within each other's reach."""
    assert not [o for brief in briefs(BRIDGE) for o in separation(BRIDGE, brief) if o.must]


def feedbacks(brief: Brief) -> Iterator[tuple[str, str]]:
    """Check and feedback of right, slipped, odd, blank and unreadable answers."""
    right = right_answers(BRIDGE, brief)
    odd: list[PlainData] = [None, "x", "5 s", "1,234", True, [1], {"123": {"R1": "oops", "lamp": 1}, "132": {}}]
    for name, check in CHECKS.items():
        marks = [judge(BRIDGE, brief, name, with_answer(right, name, a)) for a in (right[name], *odd)]
        marks += [
            mark_with(brief, check, p.entry, p.value) for p in slipped(brief, check)[:: 3 if name == "volts" else 1]
        ]
        if name != "volts":
            factors = (0.3, 0.71, 0.9, 1.1, 1.37, 7.7, 45.0, 1e12)
            marks += [judge(BRIDGE, brief, name, {name: right[name] * f}) for f in factors]  # type: ignore[operator]
        wrong_before: dict[str, PlainData] = {**right, "reactance": 4e5, "resistance": 4e5 / 3**0.5, "preferred": 1e5}
        marks.append(judge(BRIDGE, brief, name, wrong_before))
        yield from ((name, mark.text) for mark in marks)


def test_no_feedback_holds_a_number() -> None:
    """No digit at all besides names (R1, L3, E24, 1-2-3, √3, 2π): so no result in any rendering."""
    said = {(name, text) for brief in briefs(BRIDGE)[::2] for name, text in feedbacks(brief)}
    assert len(said) > 60
    assert {(name, text, *stray_digits(text)) for name, text in said if stray_digits(text)} == set()


def test_the_look_for_stray_digits_finds_one() -> None:
    """The gate above can fail."""
    assert stray_digits("R3 gets 391 kΩ, √3 of 2π in 1-2-3") == ["391"]
    assert stray_digits("about 0.032 W") == ["0.032"]


@pytest.mark.parametrize("name", [n for n in CHECKS if n not in ("volts", "preferred")])
def test_an_unexplained_answer_cannot_be_halved_in(name: str) -> None:
    """What no slip explains is told in the same words above and below the right value: nothing to bisect with."""
    check = CHECKS[name]
    said: set[str] = set()
    for brief in briefs(BRIDGE)[:40]:
        right = truths(BRIDGE, brief)[name]
        for factor in (0.35, 0.62, 0.78, 1.11, 1.37, 1.62):
            mark = judge(BRIDGE, brief, name, {name: right * factor})
            if mark.slip is None and check.sense[0] <= right * factor <= check.sense[1]:  # type: ignore[attr-defined]
                assert mark.outcome != RIGHT
                said.add(mark.text)
    assert len(said) == 1


@pytest.mark.parametrize("group", ["123", "132"])
@pytest.mark.parametrize("name", ["bridge", "two-lamp", "touch-probe", "wiring"])
def test_who_gives_one_sequence_twice_is_not_told_to_have_exchanged_them(name: str, group: str) -> None:
    """The idea that the order of phases changes no volts: half of it is right (Kirchhoff), nothing was exchanged."""
    exercise = task(name)
    for brief in briefs(exercise, 5):
        right = right_answers(exercise, brief)
        twice = {s: right["volts"][group] for s in ("123", "132")}  # type: ignore[call-overload, index]
        mark = judge(exercise, brief, "volts", with_answer(right, "volts", twice))
        assert mark.slip
        assert "have the two sequences exchanged" not in mark.text
        assert "have them exchanged" not in mark.text
