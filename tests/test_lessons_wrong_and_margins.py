"""The questions with a number of lessons 08 and 09: the right answer by hand, and the mix-ups they know.

By hand: half the phase voltage of 500 V is 500/√3/2 = 144.3 V (midline of a triangle, Euclid). A capacitor 3 % too
large on 690 V: √3/4·3 %·690 = 8.96 V to first order, within the 3 % that the question grants. 3, 4, 12: the root of the
sum of squares is 13 (Pythagorean quadruple).
"""

from __future__ import annotations

import pytest

from phasorkit.course.questions import questions


def reply(question: str, given: object) -> str:
    return " ".join(questions(question[:2])[question].reply(given).split())


@pytest.mark.parametrize(
    ("question", "given", "says"),
    [
        ("08.neutral-volts", 144.3, "Right"),
        ("08.neutral-volts", "144 V", "Right"),
        ("08.neutral-volts", 288.7, "whole phase voltage"),
        ("08.neutral-volts", 250, "probe L1 open"),
        ("08.neutral-volts", 0, "right connection"),
        ("08.neutral-volts", 125, "twice"),
        ("09.push-of-c", 8.96, "Right"),
        ("09.push-of-c", "8,9 V", "Right"),
        ("09.push-of-c", 20.7, "3 per cent of the line voltage"),
        ("09.push-of-c", 5.18, "R1 or R2"),
        ("09.push-of-c", 17.9, "unbalance"),
        ("09.square-sum", 13, "Right"),
        ("09.square-sum", 19, "worst case"),
        ("09.square-sum", 12, "largest cause"),
        ("09.square-sum", 169, "take the root"),
        ("09.square-sum", 6.33, "mean"),
    ],
)
def test_a_number_is_marked_and_its_mix_ups_are_known(question: str, given: object, says: str) -> None:
    assert says in reply(question, given)


@pytest.mark.parametrize(
    ("question", "right"), [("08.neutral-volts", "144"), ("09.push-of-c", "8.9"), ("09.square-sum", "13")]
)
def test_no_wrong_number_is_told_the_right_one(question: str, right: str) -> None:
    for guess in (0, 1, 5.18, 6.33, 12, 17.9, 19, 20.7, 100, 125, 169, 250, 288.7, 866, "x"):
        assert right not in reply(question, guess), guess


@pytest.mark.parametrize("lesson", ["08", "09"])
def test_every_wrong_choice_is_answered_in_its_own_words(lesson: str) -> None:
    for name, asked in questions(lesson).items():
        if hasattr(asked, "choices"):
            told = [c.feedback for c in asked.choices]
            assert len(set(told)) == len(told), name
            assert all(len(t.split()) >= 10 for t in told), name
