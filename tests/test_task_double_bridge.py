"""Exercise `double-bridge`: right values by a second way, follow-through, the first pulse stepped in time."""

from __future__ import annotations

import cmath
import math
from itertools import product

import numpy as np
import pytest
from course_cases import briefs, right_answers

from phasorkit.analysis.lamp_in_time import lamp_course
from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import RIGHT, Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.separation import margin
from phasorkit.course.tasks import double_bridge
from phasorkit.indicators.double_rc_bridge import DoubleRcBridge
from phasorkit.parts import nearest
from phasorkit.switching import GlowLamp

TASK = task("double-bridge")
ME = draw_brief(TASK, "me", "")
RIGHT_ONES = right_answers(TASK, ME)


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(TASK, ME, name, {**others, name: answer})


def written_out(brief: Brief, xc: float, r1: float, r2: float, sequence: str) -> dict[str, float]:
    """Both legs as voltage dividers of complex numbers between three phasors."""
    turn = cmath.exp((-2j if sequence == "123" else 2j) * math.pi / 3)
    l1, l2, l3 = (brief.line_voltage / math.sqrt(3) * turn**k for k in range(3))
    p = l3 + (l2 - l3) * r1 / (r1 - 1j * xc)
    q = l1 + (l2 - l1) * -1j * xc / (r2 - 1j * xc)
    return {"R1": abs(p - l3), "C1": abs(p - l2), "C2": abs(q - l1), "R2": abs(q - l2), "lamp": abs(p - q)}


@pytest.mark.parametrize("brief", briefs(TASK)[::5], ids=lambda b: b.learner)
def test_right_values_agree_with_the_circuit_written_out(brief: Brief) -> None:
    """Second method: 30-60-90 triangles by hand, complex dividers, mirrored points by the cosine rule."""
    right = truths(TASK, brief)
    xc = 1 / (2 * math.pi * brief.frequency * brief.capacitance)
    assert right["reactance"] == pytest.approx(xc, rel=1e-12)
    assert right["first_leg"] == pytest.approx(xc * math.tan(math.radians(30)), rel=1e-12)
    assert right["second_leg"] == pytest.approx(xc * math.tan(math.radians(60)), rel=1e-12)
    for sequence in ("123", "132"):
        out = written_out(brief, xc, right["first_leg"], right["second_leg"], sequence)
        lamp = out.pop("lamp")
        assert {part: right["volts"][sequence, part] for part in out} == pytest.approx(out, rel=1e-9)
        assert lamp == pytest.approx({"123": 0.0, "132": right["lamp"]}[sequence], abs=1e-6)
    side = brief.line_voltage * math.cos(math.radians(30))
    angle = math.radians(30 + 60 + 30)
    assert right["lamp"] == pytest.approx(math.sqrt(2 * side**2 * (1 - math.cos(angle))), rel=1e-9)


@pytest.mark.parametrize("brief", briefs(TASK)[:12], ids=lambda b: b.learner)
def test_the_first_current_stepped_in_time_is_the_limit(brief: Brief) -> None:
    """Second method for R3: the bridge stepped in time, the lamp's current just after it has struck."""
    right = truths(TASK, brief)
    drop = brief.lamp_resistance
    lamp = GlowLamp(
        strike=brief.strike, maintain=brief.keeps + 0.5e-3 * drop, extinction=brief.keeps + 0.05e-3 * drop,
        dynamic_resistance=drop, current=0.5e-3,
    )  # fmt: skip
    bridge = DoubleRcBridge(
        capacitance=brief.capacitance, resistance=right["first_leg"], second_resistance=right["second_leg"],
        series_resistance=right["series"], line_voltage=brief.line_voltage, frequency=brief.frequency,
    )  # fmt: skip
    course = lamp_course(bridge, bridge.supply("132"), fitted={"H1": lamp})
    strikes = [t for t, piece in course.switchings("H1") if piece.startswith("glow")]
    volts = course.voltage("T", "Q", times=np.array(strikes) + 1e-9)
    currents = (np.abs(volts) - brief.keeps) / drop
    assert len(strikes) >= 2
    assert currents == pytest.approx(np.full(len(strikes), brief.limit), rel=1e-3)


def test_common_practice_for_4_7_nf_at_50_hz() -> None:
    """Outside fact: 390 kΩ goes with 4.7 nF at 50 Hz (common practice); the second leg then takes three times it."""
    brief = Brief("double-bridge", "n", "", (*(p for p in ME.values if p[0] not in _CHANGED), *_CHANGED.items()))
    right = truths(TASK, brief)
    assert float(nearest(right["first_leg"], "E24")) == 390e3
    assert float(nearest(right["second_leg"], "E24")) == 1.2e6
    assert right["second_leg"] / right["first_leg"] == pytest.approx(3)


_CHANGED = {"capacitance": 4.7e-9, "frequency": 50.0}


def test_pulse_of_a_usual_lamp_without_r3() -> None:
    """Outside fact: a lamp that strikes at 90 V, keeps 58 V and has 4 kΩ gets 8 mA without R3 (common practice)."""
    values = dict(ME.values) | {"strike": 90.0, "keeps": 58.0, "lamp_resistance": 4e3, "limit": 8e-3}
    assert double_bridge.values.least_series(Brief("double-bridge", "n", "", tuple(values.items())), {}) == 0.0


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Xc without 2π, everything after it consistent: only the first question loses marks."""
    xc = RIGHT_ONES["reactance"] * 2 * math.pi  # type: ignore[operator]
    answers = {**RIGHT_ONES, "reactance": xc, "first_leg": xc / math.sqrt(3), "second_leg": xc * math.sqrt(3)}
    marks = {c.name: judge(TASK, ME, c.name, answers) for c in TASK.checks}
    assert [m.points for m in marks.values()] == [0, 3, 3, 4, 4, 4]
    assert [m.followed for m in marks.values()] == [False, True, True, False, False, False]


def test_volts_and_lamp_follow_from_an_own_leg() -> None:
    """With R2 = Xc the true circuit has other volts; the learner who works them out earns the marks."""
    xc, r1 = RIGHT_ONES["reactance"], RIGHT_ONES["first_leg"]
    out = {s: written_out(ME, xc, r1, xc, s) for s in ("123", "132")}  # type: ignore[arg-type]
    table: PlainData = {s: {k: v for k, v in row.items() if k != "lamp"} for s, row in out.items()}
    for name, answer in (("volts", table), ("lamp", out["132"]["lamp"])):
        mark = mark_of(name, answer, reactance=xc, first_leg=r1, second_leg=xc)
        assert (mark.points, mark.followed, mark.outcome) == (4, True, RIGHT)


def test_dark_in_the_lit_sequence_is_the_other_sequence() -> None:
    """Zero volts is the answer to 1-2-3."""
    assert mark_of("lamp", 0).slip == "the other sequence"


@pytest.mark.parametrize("answer", [0.95, 1.05])
@pytest.mark.parametrize("name", ["reactance", "first_leg", "second_leg", "lamp", "series"])
def test_one_is_told_from_one_point_oh_five(name: str, answer: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of(name, RIGHT_ONES[name] * answer).outcome != RIGHT  # type: ignore[operator]


def test_whether_numbers_are_drawn_again_is_never_a_close_call() -> None:
    """No decision hangs on the last digits of a machine's arithmetic, for any lamp and line voltage."""
    lamps = product(double_bridge.STRIKES, double_bridge.KEEPS, double_bridge.LAMP_RESISTANCES, double_bridge.LIMITS)
    names = ("strike", "keeps", "lamp_resistance", "limit", "line_voltage", "frequency", "capacitance")
    lines = sorted({line for line, _ in double_bridge.SYSTEMS})
    every = [(*lamp, line, 50.0, 4.7e-9) for lamp, line in product(lamps, lines)]
    briefs_ = [Brief("double-bridge", "n", "", tuple(zip(names, values, strict=True))) for values in every[::2]]
    assert min(abs(margin(TASK, b)) for b in briefs_) > 1e-6


def test_stored_numbers_come_out_on_every_machine() -> None:
    """Digits stored when this was written."""
    stored = (240.0, 60.0, 1e-9, 95.0, 58.0, 6e3, 0.8e-3)
    assert tuple(v for _, v in ME.values) == stored


@pytest.mark.parametrize(
    ("name", "answer", "slip"),
    [
        ("second_leg", 1531e3 / 3, "a third of R1"),
        ("lamp", 240 / math.sqrt(3), "phase voltage"),
        ("lamp", 480, "twice the line voltage"),
        ("series", (360 - 58) / 0.8e-3 - 6e3, "the volts of the drawing"),
        ("series", (360 - 58) / 0.8e-3, "the volts of the drawing"),
        ("series", (360 * math.sqrt(2) - 58) / 0.8e-3 - 6e3, "the volts of the drawing"),
        ("series", 360 / 0.8e-3 - 6e3, "the volts of the drawing"),
        ("series", (95 * math.sqrt(2) - 58) / 0.8e-3 - 6e3, "momentary volts taken for rms"),
        ("series", "1,53 MΩ", "the rule of thumb"),
    ],
)
def test_what_apprentices_handed_in_is_named(name: str, answer: PlainData, slip: str) -> None:
    """Wrong ideas met when the exercise was worked from its text and its lesson alone; learner "me"."""
    mark = mark_of(name, answer)
    assert (mark.slip, mark.points) == (slip, 0.0)


def test_a_leg_shared_evenly_is_not_called_an_exchange_only() -> None:
    """Half on each part is the idea of two equal resistors; R and C stand at a right angle (lesson 05, part 2)."""
    half: PlainData = {s: dict.fromkeys(("R1", "C1", "C2", "R2"), ME.line_voltage / 2) for s in ("123", "132")}
    mark = mark_of("volts", half)
    assert (mark.points, mark.slip) == (2.0, "R and C of a leg exchanged")
    assert "evenly" in mark.text
    assert "right angle" in mark.text
