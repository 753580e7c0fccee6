"""Exercise `touch-probe`: right values by a second way, the text's table, the whole way after a slip, wrong ideas."""

from __future__ import annotations

import cmath
import math

import pytest
import sympy as sp
from course_cases import briefs, right_answers

from phasorkit.analysis.body_path import worst_touch
from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.touch_probe import EMPTY, LIMITS, SOUND, values
from phasorkit.indicators.touch_probe import TOUCH_LIMIT
from phasorkit.supply import Supply

TOUCH = task("touch-probe")
ME = draw_brief(TOUCH, "me", "")
RIGHT_ONES = right_answers(TOUCH, ME)
OPEN = 1e18


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(TOUCH, ME, name, {**others, name: answer})


def at_k(sequence: str, first: complex, second: complex, chain: complex) -> complex:
    """Volts at K in phase voltages by Millman's rule: two legs to L1 and L2, the chain to N [Ω]."""
    late = cmath.exp(-2j * math.pi / 3 if sequence == "123" else 2j * math.pi / 3)
    return (1 / first + late / second) / (1 / first + 1 / second + 1 / chain)


def legs_of(part: str, how: str, r: float, x: float, pad: float) -> tuple[complex, complex, complex]:
    """Leg to L1, leg to L2 and chain [Ω] with one part shorted or open."""
    odd = 0.0 if how == "shorted" else OPEN
    first = [r, r]
    second: list[complex] = [r / 2, r / 2, -1j * x]
    chain = [pad, pad]
    row, place = {"R1": (first, 0), "R3": (second, 0), "C1": (second, 2), "R5": (chain, 0)}.get(part, (None, 0))
    if row is not None:
        row[place] = odd  # type: ignore[index]
    return sum(first), sum(second), sum(chain)


@pytest.mark.parametrize("brief", briefs(TOUCH)[::4], ids=lambda b: str(b.values))
def test_right_values_agree_with_millman_written_out(brief: Brief) -> None:
    """Second method: volts at K as a weighted mean, without the library's solver."""
    right = truths(TOUCH, brief)
    x = 1 / (2 * math.pi * brief.frequency * brief.capacitance)
    r, phase = x / math.sqrt(3), brief.line_voltage / math.sqrt(3)
    assert [right["ohms"]["", n] for n in ("R1", "R3", "leg")] == pytest.approx([r, r / 2, math.hypot(r, x)])
    first, second, _ = legs_of("none", "", r, x, brief.pad_resistor)
    for sequence in ("123", "132"):
        k = at_k(sequence, first, second, OPEN)
        amps = (1 - k) / first
        expected = [abs(amps) * r, abs(amps) * x, abs(k)]
        assert [right["volts"][sequence, n] for n in ("R1", "C1", "lamp")] == pytest.approx(
            [phase * v for v in expected], abs=1e-4
        )
    for case in values.SHORTED:
        legs = legs_of(case, "shorted", r, x, brief.pad_resistor)
        expected_amps = 1.1 * phase * abs(at_k("123", *legs)) / legs[2].real
        assert right["current"]["", case] == pytest.approx(expected_amps, rel=1e-6)
    assert right["resistors"] == 1 + min(
        n for n in range(1, 99) if 1.1 * phase / (n * brief.pad_resistor) <= brief.limit
    )


@pytest.mark.parametrize("brief", briefs(TOUCH)[::4], ids=lambda b: str(b.values))
def test_the_five_cases_hold_the_worst_of_all_single_faults(brief: Brief) -> None:
    """As the text says: 1-3-2 gives less, an open part gives less than no fault; and the library's worst is ours."""
    right = truths(TOUCH, brief)
    x = 1 / (2 * math.pi * brief.frequency * brief.capacitance)
    r, pad, found = x / math.sqrt(3), brief.pad_resistor, right["current"]
    top = 1.1 * brief.line_voltage / math.sqrt(3)
    for part in ("R1", "R3", "C1", "R5"):
        for sequence in ("123", "132"):
            legs = legs_of(part, "open", r, x, pad)
            assert top * abs(at_k(sequence, *legs) / legs[2]) < found["", "none"]
        legs = legs_of(part, "shorted", r, x, pad)
        assert top * abs(at_k("132", *legs) / legs[2]) <= found["", part] * 1.000001
    amps, fault = worst_touch(values.exact(brief), Supply(line_voltage=brief.line_voltage, frequency=brief.frequency))
    assert max(found.values()) == pytest.approx(amps, rel=1e-6)
    twin = {"R2": "R1", "R4": "R3", "R6": "R5"}
    assert twin.get(fault[:2], fault[:2]) == right["verdict"]["worst"]


def test_the_table_of_the_text_is_exact_in_closed_form() -> None:
    """Volts at K and ohms of the legs, in parts of phase voltage and of R, by sympy."""
    late = sp.exp(-2 * sp.I * sp.pi / 3).rewrite(sp.cos)
    x = sp.sqrt(3) * sp.I
    printed = {
        "none": (2, 1 - x, 1.0, 1.0, 0.577),
        "R1": (1, 1 - x, 1.0, 0.714, 0.247),
        "R3": (2, sp.Rational(1, 2) - x, 1.151, 0.919, 0.749),
        "C1": (2, 1, 0.577, 0.667, 0.0),
    }
    for case, (first, second, volts, resistance, reactance) in printed.items():
        inside = sp.simplify(1 / (sp.Integer(1) / first + 1 / sp.sympify(second)))
        k = sp.simplify(inside * (sp.Integer(1) / first + late / second))
        shown = [sp.Abs(k), sp.re(inside), -sp.im(inside)]
        assert [float(v) for v in shown] == pytest.approx([volts, resistance, reactance], abs=6e-4), case
    inside = 1 / (sp.Rational(1, 2) + 1 / (sp.Rational(1, 2) - x))
    assert sp.simplify(sp.Abs(inside * (sp.Rational(1, 2) + late / (sp.Rational(1, 2) - x))) - 7 / sp.sqrt(37)) == 0


def test_rounding_as_the_text_prints_it_is_within_the_tolerance() -> None:
    """Three digits of the table, ohms to three digits: every current of a class is right."""
    for brief in briefs(TOUCH):
        top, chain = 1.1 * brief.line_voltage / 1.73, 2 * brief.pad_resistor
        r = float(f"{truths(TOUCH, brief)['ohms']['', 'R1']:.3g}")
        by_hand: PlainData = {
            "none": top / math.hypot(chain + r, 0.577 * r),
            "R1": top / math.hypot(chain + 0.714 * r, 0.247 * r),
            "R3": 1.151 * top / math.hypot(chain + 0.919 * r, 0.749 * r),
            "C1": 0.577 * top / (chain + 0.667 * r),
            "R5": top / math.hypot(chain / 2 + r, 0.577 * r),
        }
        assert judge(TOUCH, brief, "current", {"current": by_hand}).points == 5.0


def test_no_verdict_hangs_on_a_hair() -> None:
    """Currents off by as much as is still right, in any direction, change neither the worst fault nor the verdict."""
    for brief in briefs(TOUCH):
        right = truths(TOUCH, brief)
        second, worst = sorted(right["current"].values())[-2:]
        assert 0.98 * worst > 1.02 * second, brief.values
        assert (0.98 * worst <= brief.limit) == (1.02 * worst <= brief.limit), brief.values
        assert math.ceil(0.98 * values.needed(brief)) == math.ceil(1.02 * values.needed(brief)), brief.values


def test_the_usual_limit_is_the_one_of_the_standard() -> None:
    """0.5 mA for measuring equipment in normal use (IEC 61010-1, from memory); a house may ask for less, not more."""
    assert TOUCH_LIMIT == 0.5e-3
    assert max(LIMITS) == TOUCH_LIMIT


@pytest.mark.parametrize(("earthing", "volts"), [("star", True), ("corner", False), ("isolated", False)])
def test_readings_that_name_a_sequence_are_those_that_a_supply_gives(earthing: str, volts: bool) -> None:
    """Against the solver: only with the star point earthed do the readings of the two sequences differ."""
    probe = values.exact(ME)
    lit = [
        bool(probe.on(Supply(line_voltage=ME.line_voltage, frequency=ME.frequency, earthing=earthing, sequence=s))
             .lamp_volts[0] > 90)
        for s in ("123", "132")
    ]  # fmt: skip
    assert (lit[0] != lit[1]) is volts
    assert (values.seen(earthing, "lit", "dark") != values.NOTHING) is volts
    if volts:
        assert lit == [True, False]


def test_every_verdict_reading_and_worst_case_turns_up() -> None:
    """A class of 200 meets both verdicts, more than one worst fault, and every kind of reading."""
    drawn = [truths(TOUCH, b) for b in briefs(TOUCH)]
    within = [d["verdict"]["within"] for d in drawn]
    assert min(within.count("yes"), within.count("no")) > 50
    assert {d["verdict"]["worst"] for d in drawn} >= {"R1", "R5"}
    assert {d["resistors"] for d in drawn} >= {3, 4, 5, 6}
    seen = {"/".join(values.reading(b, n)) for b in briefs(TOUCH) for n in values.READINGS}
    assert seen == {*SOUND, *EMPTY}


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values] == [
        380.0,
        60.0,
        6.8e-09,
        150000.0,
        0.00025,
        "star/dark/",
        "star/dark/dark",
        "star/dark/lit",
    ]


# --- marking --------------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Both resistors of the leg taken for one: the currents, and the verdict on them, follow."""
    right = RIGHT_ONES["ohms"]
    own: PlainData = {"R1": 2 * right["R1"], "R3": 2 * right["R3"], "leg": right["leg"]}  # type: ignore[call-overload, index, operator]
    mark = mark_of("ohms", own)
    assert (mark.points, mark.slip) == (2.0, "the whole leg on one resistor")
    r, top, pad = own["R1"], values.phase(ME), ME.pad_resistor  # type: ignore[call-overload, index]
    amps: PlainData = {
        "none": top / math.hypot(2 * pad + r, r / math.sqrt(3)),
        "R1": top / math.hypot(2 * pad + 0.714 * r, 0.247 * r),
        "R3": 1.151 * top / math.hypot(2 * pad + 0.919 * r, 0.749 * r),
        "C1": top / math.sqrt(3) / (2 * pad + 2 / 3 * r),
        "R5": top / math.hypot(pad + r, r / math.sqrt(3)),
    }
    mark = mark_of("current", amps, ohms=own)
    assert (mark.points, mark.followed) == (5.0, True)
    assert mark_of("current", amps).points < 5.0
    worst = max(amps, key=amps.__getitem__)  # type: ignore[arg-type, union-attr]
    within = "yes" if amps[worst] <= ME.limit else "no"  # type: ignore[call-overload, index, operator]
    assert mark_of("verdict", {"worst": worst, "within": within}, ohms=own, current=amps).points == 2.0


@pytest.mark.parametrize("factor", [0.95, 1.05])
def test_one_is_told_from_one_point_oh_five(factor: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    amps: PlainData = {k: v * factor for k, v in RIGHT_ONES["current"].items()}  # type: ignore[union-attr, operator]
    assert mark_of("current", amps).points == 0
    assert mark_of("ohms", {k: v * factor for k, v in RIGHT_ONES["ohms"].items()}).points == 0  # type: ignore[union-attr, operator]


def test_milliamperes_are_read_and_a_lost_prefix_is_told() -> None:
    """As text with its unit, with point or comma; the bare number of milliamperes is not amperes."""
    amps = RIGHT_ONES["current"]
    for form in ("{:.3f} mA", "{:.3f}mA"):
        written: PlainData = {k: form.format(1e3 * v) for k, v in amps.items()}  # type: ignore[union-attr, operator]
        assert mark_of("current", written).points == 5.0
    comma: PlainData = {k: f"{1e3 * v:.3f} mA".replace(".", ",") for k, v in amps.items()}  # type: ignore[union-attr, operator]
    assert mark_of("current", comma).points == 5.0
    bare: PlainData = {k: 1e3 * v for k, v in amps.items()}  # type: ignore[union-attr, operator]
    mark = mark_of("current", bare)
    assert (mark.points, mark.slip) == (2.5, "a prefix lost or doubled")


def test_wrong_ideas_are_named() -> None:
    """What an apprentice with one wrong idea hands in."""
    phase = ME.line_voltage / math.sqrt(3)
    parts = {"R1": phase / 2, "C1": ME.line_voltage / 2}
    dark: PlainData = {"123": {**parts, "lamp": phase}, "132": {"R1": 0, "C1": 0, "lamp": 0}}
    mark = mark_of("volts", dark)
    assert (mark.points, mark.slip) == (2.0, "dark taken for no volts anywhere")
    assert mark_of("resistors", RIGHT_ONES["resistors"] - 1).slip == "one too few"  # type: ignore[operator]
    believing: PlainData = {n: {"lit": "1-2-3", "dark": "1-3-2"}[values.reading(ME, n)[1]] for n in values.READINGS} | {
        "L3": "alive"
    }
    mark = mark_of("readings", believing)
    assert mark.points == 1.0
    assert "one reading alone names none" in mark.text
    assert "Neither probe touches L3" in mark.text
    no_fault = "yes" if RIGHT_ONES["current"]["none"] <= ME.limit else "no"  # type: ignore[call-overload, index, operator]
    mark = mark_of("verdict", {"worst": "none", "within": no_fault}, current=RIGHT_ONES["current"])
    assert mark.slip == "judged without a fault"


def test_line_for_phase_voltage_does_not_send_away_from_n() -> None:
    """Lamp and person hang on N here: no feedback may say that nothing touches the neutral."""
    for name in ("volts", "current"):
        right = RIGHT_ONES[name]
        sides = right.items() if name == "volts" else [("", right)]  # type: ignore[union-attr]
        wrong = {s: {k: math.sqrt(3) * v for k, v in row.items()} for s, row in sides}  # type: ignore[union-attr, operator]
        text = mark_of(name, wrong if name == "volts" else wrong[""]).text  # type: ignore[arg-type]
        assert "Line and phase voltage are mixed up" in text
        assert "no part touches the neutral" not in text


def test_a_doubled_current_and_k_in_the_middle_are_named() -> None:
    """R5 shorted does not halve the whole way; with C1 a wire K divides L1-L2 as the ohms do, one to two."""
    right = RIGHT_ONES["current"]
    doubled: PlainData = {**right, "R5": 2 * right["none"]}  # type: ignore[dict-item, call-overload, index, operator]
    assert mark_of("current", doubled).slip == "the current doubled for half of the chain"
    middle: PlainData = {**right, "C1": right["C1"] * 0.5 * math.sqrt(3)}  # type: ignore[dict-item, call-overload, index, operator]
    mark = mark_of("current", middle)
    assert (mark.points, mark.slip) == (4.5, "K in the middle between L1 and L2")


def test_an_empty_reading_is_not_told_to_be_the_other_sequence() -> None:
    """A stall that names nothing: either sequence is believed too early (lesson 10, part 8; common practice)."""
    empty = [n for n in values.READINGS if RIGHT_ONES["readings"][n] == "nothing"]  # type: ignore[call-overload, index]
    assert len(empty) == 2
    for sequence in ("1-2-3", "1-3-2"):
        mark = mark_of("readings", {**RIGHT_ONES["readings"], **dict.fromkeys(empty, sequence)})  # type: ignore[dict-item]
        assert (mark.points, mark.slip) == (2.0, "a reading believed that proves nothing")
        assert "exchanged. With the probes" not in mark.text


def test_no_volts_in_both_sequences_is_not_called_an_exchange() -> None:
    """The words fit whoever gives one value to both sequences: it is right for one of them (Kirchhoff)."""
    phase = ME.line_voltage / math.sqrt(3)
    for volts in (0, phase):
        text = mark_of("volts", {"123": {"lamp": volts}, "132": {"lamp": volts}}).text
        assert "other sequence" in text
        assert "you have the two sequences exchanged" not in text.casefold()


def test_one_resistor_of_the_chain_and_a_peak_are_named() -> None:
    """Without a fault both stand in the way (Ohm's law); the limit is an rms value (IEC 61010-1, from memory)."""
    right = RIGHT_ONES["current"]
    one: PlainData = {**right, "none": right["R5"]}  # type: ignore[dict-item, call-overload, index]
    mark = mark_of("current", one)
    assert (mark.points, mark.slip) == (4.0, "one resistor of the chain counted")
    peak = math.ceil(math.sqrt(2) * values.needed(ME)) + 1
    assert mark_of("resistors", peak).slip == "peak for rms"
