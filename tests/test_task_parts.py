"""Exercise `parts`: codes by hand, the worst case by a node equation, every chain that bears it all, follow-through."""

from __future__ import annotations

import cmath
import math

import pytest
from course_cases import briefs, right_answers

from phasorkit.analysis.ratings import ratings
from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import PART, RIGHT, Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks import parts
from phasorkit.course.tasks.parts import values
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.quantities import render

TASK = task("parts")
ME = draw_brief(TASK, "me", "")
RIGHT_ONES = right_answers(TASK, ME)
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
RUNGS = sorted(float(f"{n}e{p}") for n in E24 for p in range(7))
LETTER_OFF = {"G": 2, "J": 5, "K": 10, "M": 20}
COLOURS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")
BAND_OFF = {"brown": 1, "red": 2, "gold": 5, "silver": 10}
FILM = {"0.25 W film": (200, 0.125), "0.5 W film": (300, 0.25), "1 W film": (350, 0.5)}
"""Volts and usable watts of film resistors (common practice, lesson 06)."""


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(TASK, ME, name, {**others, name: answer})


def bridge_of(brief: Brief) -> DividerBridge:
    """The bridge of a brief, exact."""
    farad = truths(TASK, brief)["codes"]["", "C1"]
    return DividerBridge.sized(capacitance=farad, frequency=brief.frequency, line_voltage=brief.line_voltage)


@pytest.mark.parametrize("brief", briefs(TASK), ids=lambda b: b.learner)
def test_right_values_agree_with_those_by_hand(brief: Brief) -> None:
    """Codes read by IEC 60062 (from memory), then a pocket calculator's way through all numbers."""
    right = truths(TASK, brief)
    farad = int(brief.marking[:2]) * 10 ** int(brief.marking[2]) * 1e-12
    *first, off = brief.bands.split()
    digits = [COLOURS.index(c) for c in first]
    ohms = int("".join(map(str, digits[:-1]))) * 10 ** digits[-1]
    codes = {
        ("", "C1"): farad,
        ("", "C1 off"): LETTER_OFF[brief.marking[3]],
        ("", "R"): ohms,
        ("", "R off"): BAND_OFF[off],
    }
    assert right["codes"] == pytest.approx(codes, rel=1e-9, abs=0)
    r = math.tan(math.radians(30)) / (2 * math.pi * brief.frequency * farad)
    assert right["resistance"] == pytest.approx(r, rel=1e-9)
    watts = brief.r1_volts**2 / r
    assert right["stress"] == pytest.approx({("", "R1"): watts, ("", "C1"): brief.c1_volts / math.sin(math.pi / 4)})
    volts_each, watts_each = FILM[brief.film]
    counts = {("", "volts"): math.ceil(brief.r1_volts / volts_each), ("", "watts"): math.ceil(watts / watts_each)}
    assert right["pieces"] == counts
    assert max(counts.values()) >= 2


@pytest.mark.parametrize("brief", briefs(TASK)[::12], ids=lambda b: b.learner)
def test_the_worst_volts_are_those_of_the_library_and_of_a_node_equation(brief: Brief) -> None:
    """R1: 1-3-2, the lamp as a wire. C1: probe L1 on the conductor of L3, the lamp as a wire. Both at 110 %."""
    bridge = bridge_of(brief)
    turn = cmath.exp(2j * math.pi / 3)
    l1, l2, l3 = (1.1 * brief.line_voltage / math.sqrt(3) * turn**k for k in range(3))
    y = 2j * math.pi * brief.frequency * bridge.capacitance * bridge.resistance
    joined = (l1 + 2 * l3 + y * l2) / (3 + y)
    doubled = (3 * l3 + y * l2) / (3 + y)
    assert abs(l1 - joined) == pytest.approx(brief.r1_volts, abs=0.6)
    assert abs(l2 - doubled) == pytest.approx(brief.c1_volts, abs=0.6)
    needs = {n.name: n for n in ratings(bridge)}
    assert needs["R1"].volts == pytest.approx(brief.r1_volts, abs=0.6)
    assert needs["C1"].volts == pytest.approx(brief.c1_volts, abs=0.6)
    ac = needs["C1"].buy
    assert f"{values.SHELF[truths(TASK, brief)['choose']['C1']].volts:.0f} V ac" in ac


def test_the_reading_of_lesson_06() -> None:
    """Outside row: 472 on 400 V 50 Hz asks for 391 kΩ, 2 pieces for the volts and 3 for the heat (by hand)."""
    changed = {"line_voltage": 400.0, "frequency": 50.0, "marking": "472K", "r1_volts": 362.0, "film": "0.25 W film"}
    brief = Brief("parts", "n", "", tuple((dict(ME.values) | changed).items()))
    right = truths(TASK, brief)
    assert render(right["resistance"], "Ω") == "391 kΩ"
    assert tuple(right["pieces"].values()) == (2, 3)
    chain = {"pieces": 3, "each": "130k"}
    assert judge(TASK, brief, "bought", {"bought": chain}).outcome == RIGHT


@pytest.mark.parametrize("brief", briefs(TASK)[::6], ids=lambda b: b.learner)
def test_every_chain_that_bears_it_all_passes_and_no_other(brief: Brief) -> None:
    """All counts to twelve with every E24 value: tried with the volts and watts of each piece as bought."""
    right = truths(TASK, brief)
    volts_each, watts_each = FILM[brief.film]
    passed = set()
    for count in range(1, 13):
        for each in (r for r in RUNGS if 0.8 < count * r / right["resistance"] < 1.25):
            whole = count * each
            off = abs(whole / right["resistance"] - 1)
            if abs(off - 0.05) < 0.003:
                continue
            bears = brief.r1_volts / count <= volts_each
            cool = brief.r1_volts**2 / right["resistance"] / count <= watts_each
            mark = judge(TASK, brief, "bought", {"bought": {"pieces": count, "each": each}})
            good = bears and cool and off < 0.05
            assert (mark.outcome == RIGHT) == good, (count, each, mark.text)
            if good:
                assert brief.r1_volts**2 / whole / count <= watts_each, "cool as bought, too"
                passed.add((count, each))
            else:
                assert mark.slip
                assert mark.points == 4 - (not bears) - (not cool) - (off > 0.05)
    assert len(passed) >= 3


def test_the_whole_way_after_a_misread_code_earns_its_marks() -> None:
    """The marking taken as picofarads: R, heat, counts and a chain follow; only the code loses its mark."""
    farad = int(ME.marking[:3]) * 1e-12
    resistance = 1 / (2 * math.pi * ME.frequency * farad) / math.sqrt(3)
    watts = ME.r1_volts**2 / resistance
    volts_each, watts_each = FILM[ME.film]
    pieces = {"volts": math.ceil(ME.r1_volts / volts_each), "watts": math.ceil(watts / watts_each)}
    tries = [(n, min(RUNGS, key=lambda r: abs(n * r - resistance))) for n in range(max(pieces.values()), 13)]
    count, each = min(tries, key=lambda t: abs(t[0] * t[1] / resistance - 1))
    answers: dict[str, PlainData] = {
        "codes": {**RIGHT_ONES["codes"], "C1": farad},  # type: ignore[dict-item]
        "resistance": resistance,
        "stress": {**RIGHT_ONES["stress"], "R1": watts},  # type: ignore[dict-item]
        "pieces": pieces,  # type: ignore[dict-item]
        "bought": {"pieces": count, "each": each},
        "choose": RIGHT_ONES["choose"],
    }
    marks = {c.name: judge(TASK, ME, c.name, answers) for c in TASK.checks}
    assert [m.points for m in marks.values()] == [3, 2, 4, 2, 4, 4]
    assert marks["codes"].slip == "three digits taken as picofarads as they stand"
    assert all(marks[n].followed for n in ("resistance", "stress", "bought"))


@pytest.mark.parametrize(
    ("c1", "c1_off"),
    [("472K", 10), ("4n7", "10 %"), (4.7e-9, 10.0), ("4700p", 10), ("4,7 nF", "10%"), ("0.0047 µF", 10)],
)
def test_forms_of_a_code(c1: PlainData, c1_off: PlainData) -> None:
    """Value in any form of the trade; the printing itself is no value and is told so."""
    brief = Brief("parts", "n", "", tuple((dict(ME.values) | {"marking": "472K"}).items()))
    right = right_answers(TASK, brief)["codes"]
    mark = judge(TASK, brief, "codes", {"codes": {**right, "C1": c1, "C1 off": c1_off}})  # type: ignore[dict-item]
    if c1 == "472K":
        assert mark.points == 3
    else:
        assert (mark.points, mark.outcome) == (4, RIGHT)


def test_a_larger_capacitor_keeps_half_of_its_mark() -> None:
    """It would hold, but the smallest is asked for. Another class, or too few volts, keeps nothing."""
    brief = Brief("parts", "n", "", tuple((dict(ME.values) | {"c1_volts": 432.0, "pad_volts": 253.0}).items()))
    right: dict[str, str] = right_answers(TASK, brief)["choose"]  # type: ignore[assignment]
    assert (right["C1"], right["pad"]) == ("D", "F")
    for change, points, slip in (
        ({"C1": "E"}, 3.5, "more volts than needed"),
        ({"C1": "C"}, 3, "a class with too few volts"),
        ({"C1": "A"}, 3, "dc volts taken for ac"),
        ({"C1": "G"}, 3, "class Y where no person is in the circuit"),
        ({"pad": "D"}, 3, "class X where a person is in the circuit"),
        ({"pad": "G"}, 3.5, "more volts than needed"),
        ({"pad": "H"}, 3, "no class at all"),
        ({"series": "E96"}, 3, "rungs closer than the tolerance"),
    ):
        mark = judge(TASK, brief, "choose", {"choose": {**right, **change}})  # type: ignore[dict-item]
        assert (mark.points, mark.outcome, mark.slip) == (points, PART, slip)


def test_rungs_lie_twice_a_tolerance_apart() -> None:
    """Outside fact (IEC 60063): E24 for 5 %, E12 for 10 %, E6 for 20 %: a rung's tolerance reaches the next one's."""
    for off, series in values.SERIES_OF.items():
        step = 10 ** (1 / int(series[1:]))
        assert step == pytest.approx((1 + off / 100) / (1 - off / 100), rel=0.03)


@pytest.mark.parametrize("answer", [0.95, 1.05])
def test_one_is_told_from_one_point_oh_five(answer: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of("resistance", RIGHT_ONES["resistance"] * answer).outcome != RIGHT  # type: ignore[operator]
    stress = {part: value * answer for part, value in RIGHT_ONES["stress"].items()}  # type: ignore[union-attr, operator]
    assert mark_of("stress", stress).points == 0  # type: ignore[arg-type]


def test_all_kinds_turn_up_in_a_class() -> None:
    """Every system, film, letter and shelf capacitor that can be right is right for somebody."""
    drawn = briefs(TASK)
    assert {(b.line_voltage, b.frequency) for b in drawn} == set(parts.SYSTEMS)
    assert {b.film for b in drawn} == set(FILM)
    chosen = [truths(TASK, b)["choose"] for b in drawn]
    assert {c["C1"] for c in chosen} == {"B", "D", "E"}
    assert {c["pad"] for c in chosen} == {"F", "G"}
    assert {c["series"] for c in chosen} == {"E6", "E12", "E24"}
    assert {c["spend"] for c in chosen} == {values.MEASURE, values.CLOSER}


def test_stored_numbers_come_out_on_every_machine() -> None:
    """Digits stored when this was written."""
    stored = (440.0, 60.0, "182G", "orange blue red silver", 399.0, 475.0, "1 W film", 460.0, "J", 10.0, 0.5)
    assert tuple(v for _, v in ME.values) == stored


def test_what_apprentices_hand_in_is_named() -> None:
    """Per cent as a part of one, ratios as a calculator shows them, half of the nominal line voltage, doubled rms."""
    codes = RIGHT_ONES["codes"]
    mark = mark_of("codes", {**codes, "R off": codes["R off"] / 100})  # type: ignore[dict-item, call-overload, index, operator]
    assert (mark.points, mark.slip) == (3.5, "a part of one for per cent")
    watts = (ME.line_voltage / 2) ** 2 / RIGHT_ONES["resistance"]  # type: ignore[operator]
    mark = mark_of("stress", {"R1": watts, "C1": 2 * ME.c1_volts})
    assert "half of the nominal line voltage" in mark.text
    assert "You doubled the rms" in mark.text
    ratio = ME.r1_volts / FILM[values.film(ME).name][0]
    assert abs(ratio - round(ratio)) > 0.1
    for digits in (1, 2, 3):
        pieces: PlainData = {**RIGHT_ONES["pieces"], "volts": round(ratio, digits)}  # type: ignore[dict-item]
        assert mark_of("pieces", pieces).slip == "not rounded up to whole pieces"


def test_one_piece_with_the_whole_r_is_not_told_that_ohms_are_wrong() -> None:
    """One piece by itself rightly has all of R; its fault is elsewhere."""
    each = min(RUNGS, key=lambda rung: abs(rung - RIGHT_ONES["resistance"]))  # type: ignore[operator, arg-type, return-value]
    assert "Is that the whole R" not in mark_of("bought", {"pieces": 1, "each": each}).text


def test_short_words_are_taken() -> None:
    """The number of a series by itself, `measure` and `closer R`."""
    right = RIGHT_ONES["choose"]
    short = {"measure C1": "measure", "a closer R": "closer R"}
    words: PlainData = {
        **right,  # type: ignore[dict-item]
        "series": right["series"][1:],  # type: ignore[call-overload, index]
        "spend": short[right["spend"]],  # type: ignore[call-overload, index]
    }
    assert mark_of("choose", words).outcome == RIGHT
