"""Designs: any that meets the requirements is right; the rest is marked requirement by requirement, with reasons."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from course_cases import stray_digits
from hypothesis import given
from hypothesis import strategies as st
from test_course_plain import PLAIN

from phasorkit.course.design import Design, DesignCheck, Requirement
from phasorkit.course.model import BLANK, PART, RIGHT, UNREADABLE, WRONG, Brief, Mark, Slip, Task, Values, judge, truths
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.plain import PlainData

BRIEF = Brief("toy", "n", "", (("volts", 12.0), ("half", 6.0)))
HALF = NumberCheck(
    name="half", says="half of the volts", points=1.0, unit="V", value=lambda b, e: b.half, sense=(0, 1e3), factors=(),
)  # fmt: skip


def no_half(brief: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless R1 and R2 share the volts so that R2 has the earlier answer, within 5 %."""
    share = brief.volts * design["R2"] / (design["R1"] + design["R2"])
    return None if math.isclose(share, earlier["half"], rel_tol=0.05) else "R2 has another share of the volts."


def too_warm(brief: Brief, _: Values, design: Design) -> str | None:
    """Words unless both together take less than a quarter of a watt."""
    return None if brief.volts**2 / sum(design.values()) < 0.25 else "Together they take too many watts."


DIVIDER = DesignCheck(
    name="divider",
    says="two resistors that give half of the volts",
    points=4.0,
    follows=("half",),
    parts={"R1": "Ω", "R2": "Ω"},
    sense={"R1": (1.0, 1e6), "R2": (1.0, 1e6)},
    example=lambda b, e: {"R1": 1e3, "R2": 1e3 * e["half"] / (b.volts - e["half"])},
    requirements=(Requirement("share of R2", 0.75, no_half), Requirement("stays cool", 0.25, too_warm)),
    slips=(Slip("R2 twice R1", "R2 is not to be twice R1.", lambda b, e: {"R2": 2e3}, must=True),),
    hints=("Equal volts, equal ohms.",),
)
TOY = Task("toy", "Toy", "", lambda p: {}, lambda b: (), (HALF, DIVIDER))


def mark_of(answer: PlainData, half: PlainData = 6.0) -> Mark:
    """The mark of one design of the toy exercise."""
    return judge(TOY, BRIEF, "divider", {"half": half, "divider": answer})


@pytest.mark.parametrize(
    "answer",
    [
        {"R1": "1k", "R2": "1k"}, {"R1": 330e3, "R2": "330 kΩ"}, {"r1 ": "4k7", "R2": 4.6e3}, {"R1": 390, "R2": "390R"},
        {"R1": "1,5k", "R2": 1500, "R9": "not asked for"},
    ],
)  # fmt: skip
def test_any_design_that_does_all_is_right(answer: PlainData) -> None:
    """Many pairs, in every form of a value."""
    mark = mark_of(answer)
    assert (mark.points, mark.outcome, mark.slip, mark.followed) == (4.0, RIGHT, None, False)


def test_values_beyond_all_sense_are_told_from_exchanged_ones() -> None:
    """Ohms where the farads belong and farads where the ohms belong: exchanged, no matter of prefixes."""
    leg = replace(
        DIVIDER, parts={"R1": "Ω", "C1": "F"}, sense={"R1": (1.0, 1e6), "C1": (1e-10, 1e-6)},
        example=lambda b, e: {"R1": 1e3, "C1": 1e-9}, requirements=(Requirement("any", 1.0, lambda b, e, d: None),),
        slips=(),
    )  # fmt: skip
    toy = replace(TOY, checks=(HALF, leg))
    said = {
        name: judge(toy, BRIEF, "divider", {"half": 6.0, "divider": answer}).text
        for name, answer in {"exchanged": {"R1": 1e-9, "C1": 1e3}, "prefix": {"R1": 1e3, "C1": 1e3}}.items()
    }
    assert "of R1 and C1: are two of them exchanged?" in said["exchanged"]
    assert "of C1: check the prefixes." in said["prefix"]


@pytest.mark.parametrize(
    ("answer", "points", "outcome", "slip"),
    [
        ({"R1": 200, "R2": 200}, 3.0, PART, "stays cool: not met"),
        ({"R1": 1e3, "R2": 3e3}, 1.0, PART, "share of R2: not met"),
        ({"R1": 1e3, "R2": 2.2e3}, 1.0, PART, "share of R2: not met"),
        ({"R1": 1e3, "R2": 2.05e3}, 1.0, PART, "R2 twice R1"),
        ({"R1": 1e3, "R2": "2M"}, 0.0, WRONG, "beyond all sense"),
        ({"R1": 10, "R2": 20}, 0.0, WRONG, "share of R2: not met"),
    ],
)
def test_what_is_not_met_costs_its_share(answer: PlainData, points: float, outcome: str, slip: str) -> None:
    """Each requirement has its part of the marks; a slip is named within a designer's rounding."""
    mark = mark_of(answer)
    assert (mark.points, mark.outcome, mark.slip) == (points, outcome, slip)
    assert not stray_digits(mark.text)


def test_the_feedback_says_what_is_met_and_why_the_rest_is_not() -> None:
    """A line for each requirement, then the words."""
    said = mark_of({"R1": 200, "R2": 200}).text.splitlines()
    assert said == ["Not yet.", "share of R2  yes", "stays cool   no", "Together they take too many watts."]
    assert mark_of({"R1": 1e3, "R2": 2e3}).text.splitlines()[-2:] == [
        "R2 is not to be twice R1.", "R2 has another share of the volts."
    ]  # fmt: skip


@pytest.mark.parametrize("answer", [None, "", {"R1": None, "R2": None}, {"R1": "", "R2": " "}])
def test_nothing_filled_in_is_blank(answer: PlainData) -> None:
    """The answer as released."""
    assert mark_of(answer).outcome == BLANK


@pytest.mark.parametrize(
    ("answer", "slip", "words"),
    [
        (1e3, "not a design", "a dictionary with R1, R2"),
        ([1e3, 1e3], "not a design", "a dictionary with R1, R2"),
        ({"R7": 1}, "not a design", "a dictionary with R1, R2"),
        ({"R1": 1e3}, "a part is missing", "Still without a value: R2."),
        ({"R1": 1e3, "R2": "12 V"}, "another unit", "R2: Your answer is in volts"),
        ({"R1": "oops", "R2": 1e3}, "not a number", "R1: This cannot be read"),
        ({"R1": [1], "R2": True}, "not a number", "R1: This is a list"),
        ({"R1": math.nan, "R2": 1e3}, "not a finite number", "R1: This is not a finite number"),
    ],
)
def test_what_cannot_be_judged_is_told(answer: PlainData, slip: str, words: str) -> None:
    """No marks, and what keeps it from being judged."""
    mark = mark_of(answer)
    assert (mark.points, mark.outcome, mark.slip) == (0.0, UNREADABLE, slip)
    assert words in mark.text


def test_a_design_may_follow_from_an_earlier_answer() -> None:
    """A third asked for by the learner's own earlier answer: full marks with a note; the true value wins first."""
    third = {"R1": 2e3, "R2": 1e3}
    mark = mark_of(third, half=4.0)
    assert (mark.points, mark.outcome, mark.followed) == (4.0, RIGHT, True)
    assert "your own earlier answer (half)" in mark.text
    assert not mark_of({"R1": 1e3, "R2": 1e3}, half=4.0).followed
    assert not mark_of({"R1": 1e3, "R2": 1e3}, half=5.9).followed  # right by both: it needs no excuse
    assert mark_of(third, half="rubbish").points == 1.0
    cool = mark_of({"R1": 200, "R2": 100}, half=4.0)
    assert (cool.points, cool.outcome, cool.followed) == (3.0, PART, True)
    assert cool.text.endswith("Judged with your own earlier answer (half): where that is off, put it right first.")


def test_a_later_check_may_follow_a_design() -> None:
    """The whole design or nothing."""
    right = truths(TOY, BRIEF)["divider"]
    assert right == {"R1": 1e3, "R2": 1e3}
    assert DIVIDER.own({"R1": "2k", "R2": 1e3}, right) == {"R1": 2e3, "R2": 1e3}
    assert DIVIDER.own({"R1": "2k"}, right) is None
    assert DIVIDER.own({"R1": "2k", "R2": 1e9}, right) is None


def test_shares_make_up_one() -> None:
    """A toy whose shares do not would hand out other marks than it says."""
    with pytest.raises(ValueError, match=r"shares of the requirements make up 0\.75"):
        DesignCheck(
            name="short", says="", points=1.0, parts={}, sense={}, example=lambda b, e: {},
            requirements=DIVIDER.requirements[:1],
        )  # fmt: skip


@given(PLAIN, PLAIN, PLAIN)
def test_judge_takes_any_plain_data(answer: PlainData, other: PlainData, half: PlainData) -> None:
    """A mark between nothing and the maximum, whatever is handed in."""
    for given_answer in (answer, {"R1": answer, "R2": other}, {"R1": 1e3, "R2": answer}, [answer]):
        mark = mark_of(given_answer, half)
        assert 0.0 <= mark.points <= mark.maximum
        assert type(mark.points) is float


@given(st.floats(1.0, 1e6), st.floats(1.0, 1e6))
def test_full_marks_exactly_where_all_is_met(r1: float, r2: float) -> None:
    """Never full marks for a design that misses something, never less for one that does not."""
    design = {"R1": r1, "R2": r2}
    met = not no_half(BRIEF, {"half": 6.0}, design) and not too_warm(BRIEF, {}, design)
    assert (mark_of(design).outcome == RIGHT) == met
