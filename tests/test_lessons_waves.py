"""The questions with a number of lessons 01 and 02: the right answer by hand, and the mix-ups they know.

By hand: 24 × 1.4142 = 33.94 V. 2.5 ms of 16.667 ms is 0.15 of 360°, 54°. 5, 12, 13 is a Pythagorean triple. A third of
16.667 ms is 5.556 ms. 690/1.7321 = 398.4 V, named 400 V (IEC 60038, from memory).
"""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from lesson_runs import LESSONS, read

from phasorkit.course.questions import questions
from phasorkit.draw.key_waves import drawings


def reply(question: str, given: object) -> str:
    return " ".join(questions(question[:2])[question].reply(given).split())


@pytest.mark.parametrize(
    ("question", "given", "says"),
    [
        ("01.peak", 33.94, "Right"),
        ("01.peak", "33,9 V", "Right"),
        ("01.peak", 24, "what the meter shows"),
        ("01.peak", 16.97, "divided by √2"),
        ("01.peak", 67.9, "lowest point to the highest"),
        ("01.peak", 48, "twice the rms"),
        ("01.peak", 41.57, "√3"),
        ("01.degrees", 43.2, "Right"),
        ("01.degrees", "43°", "Right"),
        ("01.degrees", 36, "50 Hz"),
        ("01.degrees", 21.6, "half a turn"),
        ("01.degrees", 0.12, "part of a period"),
        ("01.degrees", 12, "per cent"),
        ("01.degrees", 2, "milliseconds"),
        ("01.five-twelve", 13, "Right"),
        ("01.five-twelve", 17, "added the volts as plain"),
        ("01.five-twelve", 7, "subtracted the volts as plain"),
        ("01.five-twelve", 169, "take the root"),
        ("01.five-twelve", 10.9, "squares"),
        ("02.milliseconds", "5.56 ms", "Right"),
        ("02.milliseconds", 0.00556, "Right"),
        ("02.milliseconds", "6.67 ms", "at 50 Hz"),
        ("02.milliseconds", "11.1 ms", "two thirds"),
        ("02.milliseconds", "16.67 ms", "whole period"),
        ("02.milliseconds", "2.78 ms", "sixth"),
        ("02.milliseconds", "4.17 ms", "quarter"),
        ("02.milliseconds", 2, "degrees by hertz"),
        ("02.milliseconds", 5.56, "power of ten"),
        ("02.phase-volts", 398.4, "Right"),
        ("02.phase-volts", "400 V", "Right"),
        ("02.phase-volts", 1195, "multiplied by √3"),
        ("02.phase-volts", 345, "half"),
        ("02.phase-volts", 230, "divided by three"),
        ("02.phase-volts", 488, "√2"),
        ("02.phase-volts", 690, "side of the triangle"),
    ],
)
def test_a_number_is_marked_and_its_mix_ups_are_known(question: str, given: object, says: str) -> None:
    assert says in reply(question, given)


@pytest.mark.parametrize(
    ("question", "right"),
    [
        ("01.peak", "33.9"),
        ("01.degrees", "43"),
        ("01.five-twelve", "13"),
        ("02.milliseconds", "5.5"),
        ("02.phase-volts", "398"),
    ],
)
def test_no_wrong_number_is_told_the_right_one(question: str, right: str) -> None:
    for guess in (0, 1, 2, 2.5, 7, 15, 16.97, 17, 24, 27, 45, 48, 67.9, 169, 230, 345, 488, 690, 1195, "6.67 ms", "x"):
        assert right not in reply(question, guess), guess


@pytest.mark.parametrize("lesson", ["01", "02"])
def test_every_wrong_choice_is_answered_in_its_own_words(lesson: str) -> None:
    for name, asked in questions(lesson).items():
        if hasattr(asked, "choices"):
            told = [c.feedback for c in asked.choices]
            assert len(set(told)) == len(told), name
            assert all(len(t.split()) >= 10 for t in told), name


def lengths(svg: str, mark: str) -> list[float]:
    """Lengths of the strokes of a marked path, in millimetres at CSS's 96 pixels an inch."""
    path = re.search(rf'<path d="M([^"Z]+)Z?"[^>]*{mark}', svg)[1]  # type: ignore[index]
    points = [complex(*map(float, p.split(","))) for p in path.split(" L")]
    return [abs(q - p) * 25.4 / 96 for p, q in pairwise(points)]


def measured(lesson: str, names: str) -> list[float]:
    """The millimetres that a lesson's ruler cell starts with."""
    source = "\n".join(c.source for c in read(LESSONS / lesson).cells if c.cell_type == "code")
    return [float(x) for x in re.search(rf"^{names} = ([\d., ]+)  #", source, re.MULTILINE)[1].split(",")]  # type: ignore[index]


def test_the_millimetres_in_the_ruler_cells_are_those_of_the_pictures() -> None:
    """Within a millimetre, as read with a ruler; an arrow's stroke ends 0.8 of its head (11 px, 2.3 mm) early."""
    drawn = drawings()
    tips, star = drawn["phasors_tips.svg"].svg, drawn["three_phase_star.svg"].svg
    screen, other = drawn["three_phase_scope_123.svg"].svg, drawn["three_phase_scope_132.svg"].svg
    a, b, gap = measured("01-phasors.ipynb", "a, b, gap")
    assert lengths(tips, 'data-arrow="A"')[0] + 2.3 == pytest.approx(a, abs=1)
    assert lengths(tips, 'data-arrow="B"')[0] + 2.3 == pytest.approx(b, abs=1)
    assert lengths(tips, 'data-gap="1"')[0] == pytest.approx(gap, abs=1)
    side, arrow = measured("02-three-phase.ipynb", "side, arrow")
    assert lengths(star, 'data-triangle="1"')[0] == pytest.approx(side, abs=1)
    assert lengths(star, 'data-arrow="L1"')[0] + 2.3 == pytest.approx(arrow, abs=1)
    width, first, second = measured("02-three-phase.ipynb", "screen, first, second")
    assert lengths(screen, 'data-delay="1"')[0] + 1.9 == pytest.approx(first, abs=1), "its head is 9 px"
    assert lengths(other, 'data-delay="1"')[0] + 1.9 == pytest.approx(second, abs=1)
    assert width == pytest.approx(300 * 25.4 / 96, abs=1)
