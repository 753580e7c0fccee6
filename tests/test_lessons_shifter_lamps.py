"""Lessons 03 and 04: number questions know the value by hand and the mix-ups; no wrong one learns the result."""

from __future__ import annotations

import pytest

from phasorkit.course.questions import NumberQuestion, Question, questions


def told(question: str, given: object) -> str:
    return " ".join(questions(question[:2])[question].reply(given).split())


@pytest.mark.parametrize(
    ("question", "given", "says"),
    [
        ("03.volts-on-c", 8, "Right"),  # 6-8-10, Pythagoras
        ("03.volts-on-c", 4, "subtracted"),
        ("03.volts-on-c", 11.66, "source for a short side"),
        ("03.volts-on-c", 64, "volts squared"),
        ("03.resistance", "153k", "Right"),  # by pocket calculator: 1/(2π·60·10e-9) = 265.26 kΩ, times 0.57735
        ("03.resistance", 265.26e3, "This is Xc"),
        ("03.resistance", 459.4e3, "60° late"),
        ("03.resistance", 132.6e3, "sine"),
        ("03.resistance", 183.8e3, "another supply frequency"),
        ("03.resistance", 153, "power of ten"),
        ("03.early", 55, "Right"),
        ("03.early", "55°", "Right"),
        ("03.early", 35, "in every order"),
        ("03.early", 90, "between the two outputs"),
        ("03.early", 125, "added"),
        ("04.dim-volts", 159.7, "Right"),  # textbook: 0.401 of 690/√3 = 398.4 V
        ("04.dim-volts", 596, "bright lamp"),  # 1.496 of it
        ("04.dim-volts", 398.4, "phase voltage"),
        ("04.dim-volts", 92.2, "side is the line voltage"),
        ("04.capacitor", "530n", "Right"),  # by pocket calculator: 1/(2π·60·5000)
        ("04.capacitor", "0.53 µF", "Right"),
        ("04.capacitor", 530.5, "power of ten"),
        ("04.capacitor", 636.6e-9, "another supply frequency"),
    ],
)
def test_number_questions_know_the_value_and_the_mix_ups(question: str, given: object, says: str) -> None:
    assert says in told(question, given)


@pytest.mark.parametrize(
    ("question", "digits"),
    [("03.volts-on-c", "8 V"), ("03.resistance", "153"), ("03.early", "55"), ("04.dim-volts", "159"),
     ("04.capacitor", "530")],
)  # fmt: skip
def test_no_wrong_number_is_told_the_right_one(question: str, digits: str) -> None:
    for guess in (0.1, 1, 10, 64, 100, 125, 265.26e3, 398.4, 596, 1e3, 132.6e3, 1e-6, "x", "much"):
        assert digits not in told(question, guess)


@pytest.mark.parametrize("lesson", ["03", "04"])
def test_a_right_choice_is_no_habit(lesson: str) -> None:
    """The right letter is not always the same one, and every choice tells its taker something of its own."""
    choices = [q for q in questions(lesson).values() if isinstance(q, Question)]
    assert len({next(k for k, c in enumerate(q.choices) if c.right) for q in choices}) >= 2
    for q in choices:
        assert len({c.feedback for c in q.choices}) == len(q.choices)
    assert sum(isinstance(q, NumberQuestion) for q in questions(lesson).values()) >= 2
