"""Lesson questions: asked, answered, diagnosed, in the same words every time."""

from __future__ import annotations

import pkgutil
import sys
from types import ModuleType

import pytest
from course_cases import stray_digits

from phasorkit.course import answer
from phasorkit.course import questions as package
from phasorkit.course.diagnosis import general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question, questions

CHOICE = Question(
    "98.dark",
    "The lamp of the pump house's indicator is dark. What is proved?",
    (
        Choice("The conductors are dead.", "A failed lamp or a broken lead is dark as well."),
        Choice("Nothing yet.", "Swap two probes: it must light.", right=True),
    ),
)
NUMBER = NumberQuestion(
    "98.side",
    "How many volts lie on one of two equal resistors between two line conductors of a 230/400 V supply?",
    value=200.0,
    unit="V",
    why="Each takes half of the line voltage.",
    hint="Start from the voltage between the two conductors.",
    mistakes=(Mistake("half of the phase voltage", "The divider does not go to the neutral.", 115.0),),
    factors=general(volts=1, frequency=False),
)


@pytest.fixture(autouse=True)
def lesson(monkeypatch: pytest.MonkeyPatch) -> None:
    """A lesson 98 that exists only here."""
    module = ModuleType("phasorkit.course.questions.lesson_98")
    module.QUESTIONS = (CHOICE, NUMBER)  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, module.__name__, module)
    questions.cache_clear()


def said(question: str, given: object, capsys: pytest.CaptureFixture[str]) -> str:
    """What `answer` prints, the same twice."""
    answer(question, given)
    first = capsys.readouterr().out
    answer(question, given)
    assert capsys.readouterr().out == first
    return first


def test_none_asks_the_question(capsys: pytest.CaptureFixture[str]) -> None:
    """Text, choices by letter, and the call to commit; nothing that tells which is right."""
    asked = said("98.dark", None, capsys)
    assert "What is proved?" in asked
    assert "a)  The conductors are dead." in asked
    assert 'put "a" or "b" in place of None' in asked
    assert "Swap" not in asked
    assert "within 2 %" in said("98.side", None, capsys)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("a", "Not so. A failed lamp"),
        (" B) ", "Right. Swap"),
        ("c", "one letter"),
        (1, "one letter"),
        (print, "one letter"),
    ],
)
def test_a_letter_is_diagnosed(given: object, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each wrong choice says what it overlooks; anything else is told how to answer."""
    assert words in said("98.dark", given, capsys)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (200, "Right. Each takes half"),
        ("0,2 kV", "Right."),
        (115, "The divider does not go to the neutral."),
        (200 * 2**0.5, "Peak and rms"),
        (0.2, "prefix"),
        (150, "Start from the voltage"),
        ("200 A", "in amperes"),
    ],
)
def test_a_number_is_diagnosed_as_in_an_exercise(given: object, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Forms, own mistakes, general factors, a hint; the number itself is never told."""
    text = said("98.side", given, capsys)
    assert words in " ".join(text.split())
    assert not stray_digits(text)


def test_unknown_questions_are_named() -> None:
    """A KeyError lists those of the lesson, or says that the lesson has none."""
    with pytest.raises(KeyError, match=r"98\.dark, 98\.side"):
        answer("98.light", None)
    with pytest.raises(KeyError, match="lesson '97'"):
        answer("97.dark", None)


@pytest.mark.parametrize("rights", [(), (False, False), (True, True), (True,)])
def test_a_question_needs_exactly_one_right_choice(rights: tuple[bool, ...]) -> None:
    """Refused when it is written, not when a learner meets it."""
    with pytest.raises(ValueError, match="exactly one"):
        Question("98.bad", "?", tuple(Choice("x", "y", right=r) for r in rights))


def test_the_lessons_questions_are_well_formed() -> None:
    """Ids carry their lesson's number, every wrong choice has a feedback, no number is given away."""
    lessons = [m.name.removeprefix("lesson_") for m in pkgutil.iter_modules(package.__path__)]
    for lesson in lessons:
        for name, question in questions(lesson).items():
            assert name.startswith(f"{lesson}.")
            if isinstance(question, Question):
                assert all(c.words and c.feedback for c in question.choices)
            else:
                assert question.reply(question.value).startswith("Right.")
                assert question.hint


def test_a_decimal_comma_outside_quotes_is_told_so_and_no_error(capsys: pytest.CaptureFixture[str]) -> None:
    """To Python 200,5 is two arguments (language reference, calls); a decimal comma is common practice."""
    answer("98.side", 200, 5)
    assert capsys.readouterr().out.startswith("Outside quotes a comma makes two numbers of one.")
    answer("98.dark", "a", "b")
    assert capsys.readouterr().out.startswith("Answer with one letter")


@pytest.mark.parametrize("lesson", [f"{n:02}" for n in range(13)])
def test_one_letter_for_all_does_not_pay(lesson: str) -> None:
    """Whoever gives every choice the same letter gets at most half of them right (common practice of test writing)."""
    choices = [q for q in questions(lesson).values() if isinstance(q, Question)]
    right = [next(k for k, choice in enumerate(q.choices) if choice.right) for q in choices]
    assert max(right.count(k) for k in range(3)) <= len(right) / 2
