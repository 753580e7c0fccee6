"""Questions of lessons 10 and 11: right numbers from outside, mix-ups told apart, nothing given away."""

from __future__ import annotations

import pytest

from phasorkit.course.questions import Question, questions


@pytest.mark.parametrize(
    ("question", "given", "says"),
    [
        ("10.lamp-volts", 398.4, "Right"),  # 690/√3 (Euclid: the star point mirrored in a side)
        ("10.lamp-volts", "400 V", "Right"),  # IEC 60038 prints 400/690 V
        ("10.lamp-volts", 690, "whole side"),
        ("10.lamp-volts", 597.6, "height of the whole triangle"),
        ("10.lamp-volts", 199.2, "far again"),
        ("10.lamp-volts", 563.4, "eak"),
        ("10.lamp-volts", 0, "1-3-2"),
        ("10.touch-current", 75e-6, "Right"),  # by pocket calculator: 240/(1.2 + 1 + 1) MΩ
        ("10.touch-current", "75 µA", "Right"),
        ("10.touch-current", 109e-6, "one of the two"),
        ("10.touch-current", 120e-6, "left the legs out"),
        ("10.touch-current", 141e-6, "side by side"),
        ("10.touch-current", 0.12, "body of 2000"),
        ("10.touch-current", 75, "power of ten"),
        ("11.current", 41.6, "Right"),  # 24·√3 by pocket calculator
        ("11.current", 24, "stayed the same"),
        ("11.current", 36, "share the current of three"),
        ("11.current", 13.9, "divided by √3"),
        ("11.current", 48, "upper end"),
    ],
)
def test_numbers_and_their_mix_ups(question: str, given: object, says: str) -> None:
    assert says in " ".join(questions(question[:2])[question].reply(given).split())


def test_no_wrong_number_is_told_the_right_one() -> None:
    for name, digits in (("10.lamp-volts", "398"), ("10.touch-current", "75"), ("11.current", "41")):
        for guess in (0, 1, 13.9, 24, 36, 48, 100, 199, 690, 597.6, 109e-6, 120e-6, 0.12, 1e3, "x"):
            assert digits not in questions(name[:2])[name].reply(guess)


@pytest.mark.parametrize("lesson", ["10", "11"])
def test_every_choice_tells_its_taker_something_of_its_own(lesson: str) -> None:
    for question in (q for q in questions(lesson).values() if isinstance(q, Question)):
        said = [question.reply(letter) for letter in "abc"]
        assert len(set(said)) == 3
        assert sum(s[4:].startswith("Right. ") for s in said) == 1
