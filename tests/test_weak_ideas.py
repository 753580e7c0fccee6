"""Wrong ideas of apprentices, each worked out here by its own formula: the feedback blames just that idea.

Sources of the formulas: textbook circuit theory (Xc = 1/2πfC, P = U²/R, Pythagoras); the ideas are common practice.
"""

from __future__ import annotations

from collections.abc import Callable
from math import hypot, pi, sqrt
from typing import Any

import pytest
from course_cases import as_answer, briefs, right_answers, with_answer

from phasorkit.course.model import RIGHT, Brief, Mark, judge, task, tasks, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.separation import dropped

LEARNERS = 12
Idea = Callable[[Brief], PlainData]


def _xc(b: Brief) -> float:
    return float(1 / (2 * pi * b.frequency * b.capacitance))


def _power(b: Brief, volts: float, ohms: float) -> float:
    return float((1.1 * b.line_voltage * volts) ** 2 / ohms)


def _bridge_lamp(b: Brief) -> PlainData:
    u = b.line_voltage
    one = {"R1": u / 2, "R2": u / 2, "R3": u / 2, "C1": u * sqrt(3) / 2}
    return {"123": {**one, "lamp": 0}, "132": {**one, "lamp": 1.5 * u}}


def _pair_exchanged(b: Brief) -> PlainData:
    peak = sqrt(2) * b.line_voltage / sqrt(3) / _xc(b)
    return {"bright": 1.1 * 0.401 * peak, "dim": 0.85 * 1.496 * peak}


def _chain(b: Brief, pieces: int, ohms: Callable[[float, float], float]) -> PlainData:
    """The person's current from the notebook's table, R5 counted `pieces` times, R1 or R3 shorted."""
    r, phase = _xc(b) / sqrt(3), 1.1 * b.line_voltage / sqrt(3)
    table = {"R1": (1, 0.714, 0.247), "R3": (1.151, 0.919, 0.749)}
    return {k: at_k * phase / ohms(pieces * b.pad_resistor + legs * r, x * r) for k, (at_k, legs, x) in table.items()}


def _plain_sum(b: Brief) -> PlainData:
    return _chain(b, 2, lambda along, aside: along + aside)


def _hertz_of_field(b: Brief) -> PlainData:
    pairs = int(60 * b.frequency / b.rpm)
    return {"field": b.frequency / pairs}


IDEAS: list[tuple[str, str, str, Idea]] = [
    *((name, "reactance", "brackets missing", lambda b: 1 / 2 * pi * b.frequency * b.capacitance)
      for name in ("bridge", "double-bridge", "shifter", "led-pair")),
    *((name, "reactance", "brackets missing", lambda b: 1 / (2 * pi * b.frequency) * b.capacitance)
      for name in ("bridge", "double-bridge", "shifter", "led-pair")),
    ("bridge", "volts", "the lamp of the bridge with two capacitors", _bridge_lamp),
    ("bridge", "power", "the volts of C1, or all three resistors", lambda b: _power(b, sqrt(3) / 2, _xc(b) / sqrt(3))),
    ("bridge", "power", "divided by Xc", lambda b: _power(b, 1 / 2, _xc(b))),
    ("bridge", "residual", "dark taken for no volts", lambda b: 0),
    ("led-pair", "currents", "the two branches exchanged", _pair_exchanged),
    ("touch-probe", "current", "ohms at a right angle added like plain numbers", _plain_sum),
    ("touch-probe", "current", "one resistor of the chain counted", lambda b: _chain(b, 1, hypot)),
    ("motor", "speed", "turns in a second", _hertz_of_field),
    ("parts", "codes", "a prefix lost or doubled", lambda b: {"C1": int(b.marking[:2]) * 10 ** int(b.marking[2])}),
]  # fmt: skip


def _mark(name: str, brief: Brief, check: str, answer: PlainData) -> Mark:
    return judge(task(name), brief, check, with_answer(right_answers(task(name), brief), check, answer))


@pytest.mark.parametrize(("name", "check", "slip", "idea"), IDEAS)
def test_a_wrong_idea_is_named(name: str, check: str, slip: str, idea: Idea) -> None:
    """By its own name, alone or with another idea that gives the same number; seldom hidden behind the right answer."""
    seen = 0
    for brief in briefs(task(name), LEARNERS):
        mark = _mark(name, brief, check, idea(brief))
        assert mark.outcome != RIGHT
        hidden = any(place.slip == slip for place in dropped(task(name), brief, check))
        seen += slip in (mark.slip or "")
        assert slip in (mark.slip or "") or hidden, (brief.values, mark)
    assert seen


def test_one_piece_of_the_whole_ohms_is_not_blamed_for_its_ohms() -> None:
    """A chain of one piece has all of R in it (Kirchhoff); what is wrong with it is its volts."""
    for brief in briefs(task("parts"), LEARNERS):
        right = right_answers(task("parts"), brief)
        each = right["bought"]["each"] * right["bought"]["pieces"]  # type: ignore[index, call-overload, operator]
        one = judge(task("parts"), brief, "bought", with_answer(right, "bought", {"pieces": 1, "each": each}))
        assert "whole R" not in one.text
        two = judge(task("parts"), brief, "bought", with_answer(right, "bought", {"pieces": 2, "each": each}))
        assert "whole R" in two.text


@pytest.mark.parametrize("name", [n for n in sorted(tasks()) if n != "capstone"])
@pytest.mark.parametrize("side", [1, -1])
def test_the_edge_of_the_stated_tolerance_is_inside(name: str, side: int) -> None:
    """Within so many per cent holds at just so many, whatever binary fractions make of it (common practice)."""
    for brief in briefs(task(name), LEARNERS):
        for check in task(name).checks:
            tolerance = getattr(check, "tolerance", None)
            if tolerance is None:
                continue
            value = truths(task(name), brief)[check.name]
            entries = value if isinstance(value, dict) else {"": value}
            for factor in (1, 1.001):
                edge = {k: v + side * factor * tolerance.of(v) for k, v in entries.items()}
                answer = as_answer(task(name), check.name, edge) if isinstance(value, dict) else edge[""]
                mark = judge(task(name), brief, check.name, {check.name: answer})
                assert (mark.outcome == RIGHT) == (factor == 1), (check.name, brief)


def test_equal_lamps_make_none_of_them_the_bright_one() -> None:
    """Who finds the same volts on both lamps has no order of his own to follow: only the right one counts."""
    for brief in briefs(task("two-lamp"), LEARNERS):
        right = right_answers(task("two-lamp"), brief)
        half = {s: dict.fromkeys(("L1", "L2", "L3"), brief.line_voltage / 2) for s in ("123", "132")}
        for lamp in {"L1", "L2", "L3"} - {brief.part_on}:
            bright: PlainData = dict.fromkeys(right["bright"], lamp)  # type: ignore[arg-type, call-overload]
            mark = judge(task("two-lamp"), brief, "bright", {**right, "volts": half, "bright": bright})  # type: ignore[dict-item]
            assert (mark.points, mark.followed) == (2.0, False)


@pytest.mark.parametrize("factor", [1000, sqrt(3), 1 / sqrt(3), 0.8])
def test_the_relay_is_judged_by_currents_of_one_and_the_same_person(factor: float) -> None:
    """Both currents off by the same factor: light load against setting stays as it is (Ohm), so does the relay."""
    other = {"trips": "stays in", "stays in": "trips"}
    for brief in briefs(task("motor"), LEARNERS):
        right = right_answers(task("motor"), brief)
        happens: Any = right["happens"]
        own: Any = {
            **right,
            "current": factor * right["current"],  # type: ignore[operator]
            "lost": {k: factor * v for k, v in right["lost"].items()},  # type: ignore[union-attr, operator]
        }
        assert judge(task("motor"), brief, "happens", own).points == 4
        wrong = {**own, "happens": {**happens, "relay": other[happens["relay"]]}}
        assert judge(task("motor"), brief, "happens", wrong).points == 3


def test_a_window_without_limits_lets_nothing_pass() -> None:
    """An own window moves the limits in proportion; one that allows all is no window, and physics decides."""
    for brief in briefs(task("led-pair"), LEARNERS):
        right: Any = right_answers(task("led-pair"), brief)
        wide = {**right, "window": {"least": 1.0, "most": 1e5}}
        assert judge(task("led-pair"), brief, "design", wide).points == 4
        for shunt in (1.0, 51e3):
            design = {"dropping": right["design"]["dropping"], "shunt": shunt}
            assert judge(task("led-pair"), brief, "design", {**wide, "design": design}).points < 3


def test_three_faults_do_not_fit_the_record() -> None:
    """The record says that one socket is right; own angles that leave none sound are no way to follow."""
    for brief in briefs(task("sequence"), LEARNERS):
        right: Any = right_answers(task("sequence"), brief)
        halved = {s: {t: v / 2 for t, v in row.items()} for s, row in right["degrees"].items()}
        faults = dict.fromkeys("ABC", "fault")
        assert judge(task("sequence"), brief, "verdict", {**right, "degrees": halved, "verdict": faults}).points == 1
        assert judge(task("sequence"), brief, "verdict", {**right, "degrees": halved}).points == 3


@pytest.mark.parametrize("name", ["angle", "elsewhere"])
def test_an_impossible_angle_is_not_blamed_on_a_prefix(name: str) -> None:
    """A whole turn less the angle, or half a turn less it: degrees have no prefix (SI brochure, from memory)."""
    brief = briefs(task("shifter"), 1)[0]
    right = right_answers(task("shifter"), brief)
    for turn in (180, 360):
        text = judge(task("shifter"), brief, name, {**right, name: turn - right[name]}).text  # type: ignore[operator]
        assert "No circuit" in text
        assert "prefix" not in text


@pytest.mark.parametrize(
    ("name", "check", "said"),
    [
        ("touch-probe", "verdict", {"yes": (True, "Y", "yes"), "no": (False, "N")}),
        ("two-lamp", "bright", {f"L{n}": (f"l{n}", n, f"phase {n}", f"lamp on L{n}") for n in (1, 2, 3)}),
        ("wiring", "sockets", {"undecided": ("cannot be decided", "can't tell", "not decided")}),
        ("wiring", "twin", {"can't tell": ("unsure", "can’t tell", "cannot be decided")}),
        ("wiring", "step", {"call": ("call a licensed person",), "exchange": ("exchange two probes", "swap")}),
        ("wiring", "swap", {"L1 L2": ("phase 2 and phase 1", "L2 with L1", ["L2", "L1"], "l1/l2", "L1L2")}),
        ("sequence", "colours", {"unknown": ("cannot be decided", "can't tell", "undecided")}),
        ("touch-probe", "readings", {"nothing": ("unknown", "can't tell", "none")}),
    ],
)  # fmt: skip
def test_usual_words_are_understood(name: str, check: str, said: dict[str, tuple[PlainData, ...]]) -> None:
    """Forms that people use (common practice) count as the word they mean, for whoever that is right."""
    understood = 0
    for brief in briefs(task(name), LEARNERS):
        right = right_answers(task(name), brief)
        answer = right[check]
        for word, forms in said.items():
            for form in forms:
                other = {k: form if v == word else v for k, v in answer.items()} if isinstance(answer, dict) else form
                understood += other != answer and word in (answer.values() if isinstance(answer, dict) else [answer])
                if isinstance(answer, dict) or answer == word:
                    assert judge(task(name), brief, check, {**right, check: other}).outcome == RIGHT, (form, other)
    assert understood


@pytest.mark.parametrize("form", ["3 x 130k", "3×130 kΩ", "3 pieces of 130k", "130k x 3", "130 kΩ × 3", [3, "130k"]])
def test_equal_pieces_in_a_row_are_read_in_either_order(form: PlainData) -> None:
    """So many of such a value, or such a value so many times (common practice): one and the same chain."""
    brief = briefs(task("capstone"), 1)[0]
    chain: dict[str, PlainData] = {"circuit": "null bridge", "R1 R2 R3": form, "C1": "4n7", "R kind": "0.5 W film"}
    parts: PlainData = {**chain, "R tolerance": 1, "C kind": "X1 760 V", "C tolerance": brief.closest_capacitor}
    assert judge(task("capstone"), brief, "shop", {"shop": parts}).outcome == RIGHT
