"""Choices among words: forms, marks entry by entry, follow-through, slips, and no crash ever."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from course_cases import stray_digits
from hypothesis import given
from hypothesis import strategies as st
from test_course_plain import PLAIN

from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import PREFIX
from phasorkit.course.model import BLANK, PART, RIGHT, UNREADABLE, WRONG, Brief, Mark, Slip, Task, judge
from phasorkit.course.plain import PlainData
from phasorkit.course.table import TableCheck

BRIEF = Brief("toy", "n", "", (("x", 1.0),))

ONE = ChoiceCheck(
    name="pair",
    says="which two",
    points=2.0,
    options=("T1 T2", "T2 T3", "T1 T3", "none"),
    unordered=True,
    aliases={"nothing": "none"},
    value=lambda b, e: "T2 T3",
    slips=(Slip("another pair", "Another pair was meant.", lambda b, e: ("T1 T2", "T1 T3"), credit=0.5),),
    hints=("Compare what belongs there with what sits there.",),
)
MANY = ChoiceCheck(
    name="sequences",
    says="sequence at each socket",
    points=3.0,
    follows=("pair",),
    options=("1-2-3", "1-3-2", "fault"),
    entries=("A", "B", "C"),
    aliases={"123": "1-2-3", "132": "1-3-2"},
    value=lambda b, e: {"A": "1-2-3", "B": "1-3-2", "C": "fault" if e["pair"] == "T2 T3" else "1-2-3"},
    slips=(Slip("turned round", "Later lies further right.", lambda b, e: {"A": "1-3-2", "B": "1-2-3"}, must=True),),
    hints=("Which comes next?",),
)
ANGLES = TableCheck(
    name="angles",
    says="angles",
    points=2.0,
    unit="°",
    value=lambda b, e: {("", "T2"): 120.0, ("", "T3"): 240.0},
    groups=("",),
    entries=("T2", "T3"),
    sense=(0.0, 360.0),
    turn=360.0,
    factors=(),
)
TOY = Task("toy", "Toy", "", lambda p: {}, lambda b: (), (ONE, MANY, ANGLES))
ALL_RIGHT = {"A": "1-2-3", "B": "1-3-2", "C": "fault"}


def mark_of(name: str, answer: PlainData, others: Mapping[str, PlainData] | None = None) -> Mark:
    """The mark of one answer of the toy exercise."""
    return judge(TOY, BRIEF, name, {**(others or {}), name: answer})


@pytest.mark.parametrize("answer", ["T2 T3", "t3-t2", "T3, T2", "T2 and T3", ["T3", "T2"], " T2/T3 ", "T2&T3"])
def test_a_pair_may_be_written_in_any_order(answer: PlainData) -> None:
    """Case, dashes, commas, "and", a list."""
    mark = mark_of("pair", answer)
    assert (mark.points, mark.outcome, mark.slip, mark.text) == (2.0, RIGHT, None, "Right.")


@pytest.mark.parametrize("a", ["1-2-3", "123", 123, " 1 2 3 ", "1–2–3"])
def test_a_sequence_may_be_written_in_any_form(a: PlainData) -> None:
    """With and without dashes, as a whole number."""
    assert mark_of("sequences", {"a": a, "B": 132, "C": "FAULT"}).points == 3.0


@pytest.mark.parametrize(
    ("name", "answer", "points", "outcome", "slip"),
    [
        ("pair", "T1 T3", 1.0, PART, "another pair"),
        ("pair", "Nothing", 0.0, WRONG, None),
        ("sequences", {**ALL_RIGHT, "A": "1-3-2"}, 2.0, PART, "turned round"),
        ("sequences", {"A": "1-3-2", "B": "1-2-3", "C": "1-2-3"}, 0.0, WRONG, "turned round"),
        ("sequences", {"A": "1-2-3"}, 1.0, PART, None),
        ("sequences", {**ALL_RIGHT, "B": "no idea"}, 2.0, PART, None),
    ],
)
def test_marks_are_shared_out_and_slips_named(
    name: str, answer: PlainData, points: float, outcome: str, slip: str | None
) -> None:
    """A slip keeps its share; a word that no slip explains gets the hint."""
    mark = mark_of(name, answer)
    assert (mark.points, mark.outcome, mark.slip) == (points, outcome, slip)


def test_the_feedback_does_not_say_which_entry_is_right() -> None:
    """One wrong entry or another: the same words but for the slip's, and how many are right in words."""
    first, second = (mark_of("sequences", {**ALL_RIGHT, e: "fault"}).text for e in ("A", "B"))
    assert first == second == "Right so far: two of three.\nWhich comes next?"
    assert not stray_digits(first)


@pytest.mark.parametrize("answer", [None, "", " ", {"A": None, "B": None, "C": None}, {"A": "", "B": " "}])
def test_nothing_chosen_is_blank(answer: PlainData) -> None:
    """The answer as released."""
    assert mark_of("sequences", answer).outcome == BLANK


@pytest.mark.parametrize(
    ("name", "answer", "words"),
    [
        ("pair", 7.5, "One choice is asked for. Choose among these words"),
        ("pair", {"A": "T1"}, "One choice"),
        ("pair", "T1", "T1 T2, T2 T3, T1 T3, none"),
        ("pair", True, "Choose among"),
        ("pair", [[["T1"]]], "No answer yet"),
        ("sequences", "1-2-3", "a dictionary with A, B, C"),
        ("sequences", {"D": "1-2-3"}, "a dictionary with A, B, C"),
        ("sequences", {"A": 10**400, "B": [1], "C": 1.5}, "Choose among"),
    ],
)
def test_what_is_no_choice_is_told_the_words(name: str, answer: PlainData, words: str) -> None:
    """No marks, and what may be chosen."""
    mark = mark_of(name, answer)
    assert (mark.points, mark.outcome) == (0.0, BLANK if "No answer" in words else UNREADABLE)
    assert words in mark.text


def test_a_choice_may_follow_from_an_earlier_one() -> None:
    """The true value wins; what follows from the own earlier answer earns full marks with a note."""
    own = {**ALL_RIGHT, "C": "1-2-3"}
    mark = mark_of("sequences", own, {"pair": "T1 T2"})
    assert (mark.points, mark.followed, mark.outcome) == (3.0, True, RIGHT)
    assert "your own earlier answer" in mark.text
    assert not mark_of("sequences", ALL_RIGHT, {"pair": "T1 T2"}).followed
    assert mark_of("sequences", own, {"pair": "rubbish"}).points == 2.0


@given(st.sampled_from(["pair", "sequences", "angles"]), PLAIN, PLAIN)
def test_judge_takes_any_plain_data(name: str, answer: PlainData, other: PlainData) -> None:
    """A mark between nothing and the maximum, whatever is handed in."""
    for given_answer in (answer, {"A": answer, "T2": answer}, [answer]):
        mark = mark_of(name, given_answer, {"pair": other})
        assert 0.0 <= mark.points <= mark.maximum
        assert type(mark.points) is float


@pytest.mark.parametrize(
    ("answer", "points"),
    [({"T2": 120, "T3": 240}, 2.0), ({"T2": "-240°", "t3": -120}, 2.0), ({"T2": 480, "T3": 120}, 1.0)],
)
def test_a_plain_dictionary_of_angles(answer: PlainData, points: float) -> None:
    """A table without groups; a whole turn more or less is the same angle."""
    mark = mark_of("angles", answer)
    assert mark.points == points
    assert " in " not in mark.text.partition("usual")[0]


def test_a_plain_dictionary_shows_its_form() -> None:
    """A number where a dictionary belongs."""
    assert mark_of("angles", 120.0).text == 'Keep the form of the table: a dictionary with "T2", "T3".'


def test_a_slip_may_lie_beyond_a_turn() -> None:
    """What a slip gives is compared as it stands too, not only less whole turns."""
    assert mark_of("angles", {"T2": 120e3, "T3": 240}).slip == PREFIX.name
