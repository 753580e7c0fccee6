"""Exercise `shifter`: right values by a second way, the whole way after one slip, forms, wrong ideas named."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from course_cases import briefs, right_answers

from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import RIGHT, UNREADABLE, Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.separation import acceptable
from phasorkit.course.tasks.shifter import CAPACITORS, FREQUENCIES, RESISTORS, WANTED

SHIFTER = task("shifter")
ME = draw_brief(SHIFTER, "me", "")
XC = 1 / (2 * math.pi * ME.frequency * ME.capacitance)
RIGHT_ONES = right_answers(SHIFTER, ME)


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(SHIFTER, ME, name, {**others, name: answer})


def brief_of(resistance: float, capacitance: float, frequency: float, other: float, wanted: float = 30.0) -> Brief:
    """A brief with chosen numbers, on 10 V."""
    values = {"volts": 10.0, "frequency": frequency, "capacitance": capacitance, "resistance": resistance}
    return Brief("shifter", "n", "", (*values.items(), ("wanted", wanted), ("other_frequency", other)))


@pytest.mark.parametrize("brief", briefs(SHIFTER)[::4], ids=lambda b: str(b.values))
def test_right_values_agree_with_the_divider_written_out(brief: Brief) -> None:
    """Second method: one complex voltage divider, its angle found by scanning the waves in time."""
    right = truths(SHIFTER, brief)
    jwrc = 2j * math.pi * brief.frequency * brief.resistance * brief.capacitance
    p = brief.volts / (1 + jwrc)
    assert right["reactance"] == pytest.approx(1 / (2 * math.pi * brief.frequency * brief.capacitance), rel=1e-12)
    assert right["volts"]["", "C1"] == pytest.approx(abs(p), rel=1e-6)
    assert right["volts"]["", "R1"] == pytest.approx(abs(brief.volts - p), rel=1e-6)
    assert right["angle"] == pytest.approx(-math.degrees(cmath.phase(p)), rel=1e-9)
    other = brief.other_frequency / brief.frequency
    assert right["elsewhere"] == pytest.approx(-math.degrees(cmath.phase(1 / (1 + other * jwrc))), rel=1e-9)
    moments = np.linspace(0, 1 / brief.frequency, 200_001)
    latest = moments[np.argmax(np.real(p * np.exp(2j * math.pi * brief.frequency * moments)))]
    assert right["delay"] == pytest.approx(latest, abs=1e-5 / brief.frequency)
    turned = 1 / (1 + 2j * math.pi * brief.frequency * right["resistance"] * brief.capacitance)
    assert -math.degrees(cmath.phase(turned)) == pytest.approx(brief.wanted, rel=1e-9)


def test_half_of_the_power_at_the_corner_frequency() -> None:
    """At f = 1/(2π·R·C) an RC low-pass gives 0.707 of its input, 45° late (standard textbook fact, from memory)."""
    right = truths(SHIFTER, brief_of(10e3, 1 / (2 * math.pi * 50 * 10e3), 50.0, 100.0))
    assert right["volts"]["", "C1"] == pytest.approx(7.07, abs=0.005)
    assert right["angle"] == pytest.approx(45.0, abs=1e-6)
    assert right["elsewhere"] == pytest.approx(63.4, abs=0.05)  # one octave above: arctan 2 (from memory)


def test_thirty_degrees_need_the_short_sides_of_half_an_equal_sided_triangle() -> None:
    """R = Xc/√3 turns by 30°: 391 kΩ for 4.7 nF at 50 Hz (common practice in such indicators)."""
    right = truths(SHIFTER, brief_of(390e3, 4.7e-9, 50.0, 100.0))
    assert right["resistance"] == pytest.approx(391e3, abs=500)
    assert right["angle"] == pytest.approx(30.0, abs=0.1)


def test_whether_numbers_are_drawn_again_is_never_a_close_call() -> None:
    """The list of resistors that suit a capacitor hangs on no last digit of a machine's arithmetic."""
    for frequency, _ in FREQUENCIES:
        for capacitance in CAPACITORS:
            slopes = [2 * math.pi * frequency * r * capacitance for r in RESISTORS]
            assert min(abs(s - bound) for s in slopes for bound in (0.4, 2.6)) > 1e-4
            assert sum(0.4 < s < 2.6 for s in slopes) >= 6


def test_every_wanted_angle_and_every_frequency_turns_up() -> None:
    """A class of 200 meets the whole range."""
    drawn = briefs(SHIFTER)
    assert {b.wanted for b in drawn} == set(WANTED)
    assert {b.capacitance for b in drawn} == set(CAPACITORS)
    assert {(b.frequency, b.other_frequency) for b in drawn} <= set(FREQUENCIES)
    assert all(acceptable(SHIFTER, b) for b in drawn)


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values] == [12.0, 50.0, 100e-9, 68e3, 40.0, 80.0]


# --- marking --------------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Xc without 2π, everything after it consistent: only the first question loses marks."""
    xc = XC * 2 * math.pi
    long_side = math.hypot(ME.resistance, xc)
    late = math.degrees(math.atan(ME.resistance / xc))
    answers: dict[str, PlainData] = {
        "reactance": xc,
        "volts": {"R1": ME.volts * ME.resistance / long_side, "C1": ME.volts * xc / long_side},
        "angle": late,
        "delay": late / 360 / ME.frequency,
        "resistance": xc * math.tan(math.radians(ME.wanted)),
        "elsewhere": math.degrees(math.atan(ME.resistance / xc * ME.other_frequency / ME.frequency)),
    }
    marks = {c.name: judge(SHIFTER, ME, c.name, answers) for c in SHIFTER.checks}
    assert [m.points for m in marks.values()] == [0, 4, 3, 3, 3, 3]
    assert [m.followed for m in marks.values()] == [False, True, True, True, True, True]
    assert marks["reactance"].slip == "2π missing or used twice"


def test_the_angle_follows_from_own_volts() -> None:
    """Volts shared out plainly, then the angle from those very volts: the ratio is right by luck or not, it follows."""
    own: PlainData = {"R1": 9.0, "C1": 3.0}
    mark = mark_of("angle", math.degrees(math.atan(3.0)), volts=own)
    assert (mark.points, mark.followed) == (3, True)
    assert not mark_of("angle", RIGHT_ONES["angle"], volts=own).followed


@pytest.mark.parametrize("factor", [0.95, 1.05])
@pytest.mark.parametrize("name", ["reactance", "angle", "delay", "resistance", "elsewhere"])
def test_one_is_told_from_one_point_oh_five(name: str, factor: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of(name, RIGHT_ONES[name] * factor).points == 0  # type: ignore[operator]


@pytest.mark.parametrize("answer", ["3.61 ms", "3,61ms", "0.00361", 0.00361, "3.61e-3 s", "3610 µs", "3610 us"])
def test_every_accepted_form_of_a_time_counts(answer: PlainData) -> None:
    """The delay of learner "me" is 3.606 ms."""
    assert mark_of("delay", answer).points == 3


@pytest.mark.parametrize("answer", ["64.9°", "64,9 deg", 64.9, "64.9 degrees"])
def test_every_accepted_form_of_an_angle_counts(answer: PlainData) -> None:
    """The angle of learner "me" is 64.92°."""
    assert mark_of("angle", answer).outcome == RIGHT


@pytest.mark.parametrize("brief", briefs(SHIFTER)[::10], ids=lambda b: str(b.values))
@pytest.mark.parametrize("off", [-1.0, 1.0])
def test_a_protractor_that_is_off_by_a_degree_is_right_enough(brief: Brief, off: float) -> None:
    """Lesson 03: a protractor agrees within a degree. The delay then follows from the angle as it was read."""
    angle = truths(SHIFTER, brief)["angle"] + off
    answers: dict[str, PlainData] = {"angle": angle, "delay": angle / 360 / brief.frequency}
    assert [judge(SHIFTER, brief, name, answers).points for name in answers] == [3, 3]


@pytest.mark.parametrize(
    ("name", "answer", "slip"),
    [
        ("delay", "3.61", "a prefix lost or doubled"),
        ("delay", "64.9°", "another unit"),
        ("delay", ME.resistance * ME.capacitance, "R times C"),
        ("angle", "1.13 s", "another unit"),
        ("angle", math.atan(ME.resistance / XC), "radians for degrees"),
        ("angle", math.degrees(math.atan(XC / ME.resistance)), "the other angle of the triangle"),
        ("angle", -64.9, "a minus sign"),
        ("volts", {"R1": 12 * 68 / (68 + XC / 1e3), "C1": 5.09}, "volts at a right angle added like plain numbers"),
        ("volts", {"R1": 10.87, "C1": 12 - 10.87}, "what is left of the source, by plain subtraction"),
        ("resistance", abs(XC * math.tan(ME.wanted)), "a tangent of degrees read as radians"),
        ("resistance", XC / math.tan(math.radians(ME.wanted)), "divided by the tangent"),
        ("elsewhere", RIGHT_ONES["angle"], "the same angle at every frequency"),
        ("elsewhere", math.degrees(math.atan(math.tan(math.radians(40)) * 80 / 50)), "R1 of the question before"),
        ("elsewhere", 64.9 * 50 / 80, "the angle changed against the frequency"),
        ("volts", {"R1": 8.485, "C1": 8.485}, "always the middle of the half circle"),
        ("delay", 64.9 / 360 * 50, "multiplied by the frequency"),
        ("delay", 64.9 / 360 / 60, "another frequency than in the brief"),
        ("delay", 1.133 / 50, "radians by hertz"),
        ("delay", 25.1 / 360 / 50, "the other angle of the triangle"),
        ("resistance", 68e3, "the resistor of the drawer"),
        ("resistance", 68e3 * math.tan(math.radians(40)), "the resistor of the drawer times the tangent"),
        ("resistance", XC * 50 / 80 * math.tan(math.radians(40)), "Xc at the other frequency"),
        ("resistance", XC / math.cos(math.radians(40)), "the long side of the triangle"),
    ],
)
def test_wrong_ideas_are_named(name: str, answer: PlainData, slip: str) -> None:
    """What an apprentice with one wrong idea hands in."""
    mark = mark_of(name, answer)
    assert slip in (mark.slip or "").split("; or ")
    assert mark.points < mark.maximum
    assert mark.outcome != UNREADABLE or slip == "another unit"
