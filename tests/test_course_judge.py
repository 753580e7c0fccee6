"""Marking: the bridge's right values by a second way, forms, partial credit, follow-through, and no crash ever."""

from __future__ import annotations

import cmath
import math
from itertools import product
from time import process_time

import numpy as np
import pytest
from course_cases import briefs, right_answers, with_answer
from hypothesis import given
from hypothesis import strategies as st
from test_course_plain import PLAIN

from phasorkit.course.briefs import draw_brief
from phasorkit.course.diagnosis import Candidate, Tolerance, candidates, explain, general
from phasorkit.course.model import BLANK, PART, RIGHT, UNREADABLE, WRONG, Brief, judge, task, truths
from phasorkit.course.plain import PlainData

BRIDGE = task("bridge")
NAMES = tuple(c.name for c in BRIDGE.checks)
ME = draw_brief(BRIDGE, "me", "")
RIGHT_ONES = right_answers(BRIDGE, ME)
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)


def mark_of(name: str, answer: PlainData, **others: PlainData):  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(BRIDGE, ME, name, {**others, name: answer})


# --- right values by a second way ------------------------------------------------------------------------


def lamp_volts(brief: Brief, parts: tuple[float, float, float, float], sequence: str) -> float:
    """M–P written out with complex numbers: two voltage dividers between three phasors."""
    r1, r2, r3, c1 = parts
    turn = cmath.exp(-2j * math.pi / 3) if sequence == "123" else cmath.exp(2j * math.pi / 3)
    l1, l2, l3 = (brief.line_voltage / math.sqrt(3) * turn**k for k in range(3))
    m = l1 + (l3 - l1) * r1 / (r1 + r2)
    x = 1j * 2 * math.pi * brief.frequency * r3 * c1
    return abs(m - (l3 + (l2 - l3) * x / (1 + x)))


@pytest.mark.parametrize("brief", briefs(BRIDGE), ids=lambda b: str(b.values))
def test_right_values_agree_with_the_circuit_written_out(brief: Brief) -> None:
    """Second method: 30-60-90 triangle by hand, complex dividers, all sixteen corners one by one."""
    right = truths(BRIDGE, brief)
    xc = 1 / (2 * math.pi * brief.frequency * brief.capacitance)
    r = xc * math.tan(math.radians(30))
    assert right["reactance"] == pytest.approx(xc, rel=1e-12)
    assert right["resistance"] == pytest.approx(r, rel=1e-12)
    bought = min((n * 10.0**k for n in E24 for k in range(3, 7)), key=lambda v: abs(v - r))
    assert right["preferred"] == pytest.approx(bought, rel=1e-12)
    for sequence, lamp in (("123", 0.0), ("132", brief.line_voltage * math.sin(math.radians(60)))):
        assert lamp_volts(brief, (r, r, r, brief.capacitance), sequence) == pytest.approx(lamp, abs=1e-9)
        expected = {"R1": 0.5, "R2": 0.5, "R3": 0.5, "C1": math.sqrt(0.75)}
        found = {part: right["volts"][sequence, part] for part in expected}
        assert found == pytest.approx({k: v * brief.line_voltage for k, v in expected.items()}, rel=1e-9)
        assert right["volts"][sequence, "lamp"] == pytest.approx(lamp, abs=1e-9)
    assert right["power"] == pytest.approx((1.1 * brief.line_voltage / 2) ** 2 / r, rel=1e-9)
    corners = product(*[(0.99 * bought, 1.01 * bought)] * 3, (0.95 * brief.capacitance, 1.05 * brief.capacitance))
    assert right["residual"] == pytest.approx(max(lamp_volts(brief, c, "123") for c in corners), rel=1e-9)


@pytest.mark.parametrize("brief", briefs(BRIDGE)[::8], ids=lambda b: str(b.values))
def test_no_point_inside_the_tolerances_is_worse_than_the_worst_corner(brief: Brief) -> None:
    """The claim that the largest value lies on a corner, tried on a grid of 9 values per part."""
    right = truths(BRIDGE, brief)
    r, c = right["preferred"], brief.capacitance
    nine = np.linspace(-1, 1, 9)
    worst = max(
        lamp_volts(brief, (r * (1 + a / 100), r * (1 + b / 100), r * (1 + d / 100), c * (1 + e / 20)), "123")
        for a, b, d, e in product(nine[::4], nine[::4], nine, nine)
    )
    assert worst == pytest.approx(right["residual"], rel=1e-9)


# --- right answers --------------------------------------------------------------------------------------


@pytest.mark.parametrize("brief", briefs(BRIDGE), ids=lambda b: str(b.values))
@pytest.mark.parametrize("digits", [3, 4, 12])
def test_no_right_answer_is_marked_wrong(brief: Brief, digits: int) -> None:
    """Every check of a class of 200, with the full value and honestly rounded to four and to three digits."""
    answers = {name: _rounded(value, digits) for name, value in right_answers(BRIDGE, brief).items()}
    for check in BRIDGE.checks:
        mark = judge(BRIDGE, brief, check.name, answers)
        assert (mark.points, mark.outcome, mark.slip, mark.followed) == (check.points, RIGHT, None, False), check.name


def _rounded(value: PlainData, digits: int) -> PlainData:
    if isinstance(value, dict):
        return {key: _rounded(v, digits) for key, v in value.items()}
    return float(f"{value:.{digits}g}")


@pytest.mark.parametrize("factor", [0.95, 1.05])
@pytest.mark.parametrize("name", ["reactance", "resistance", "power"])
def test_one_is_told_from_one_point_oh_five(name: str, factor: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of(name, RIGHT_ONES[name] * factor).points == 0  # type: ignore[operator]


@pytest.mark.parametrize(
    "answer",
    ["470k", "470K", "470 kΩ", "470 kohm", "0.47 MΩ", "0,47 MΩ", "0M47", "4.7e5", "4,7e5", " 470000 ", 470e3, 470000],
)
def test_every_accepted_form_of_a_resistor_counts(answer: PlainData) -> None:
    """Codes of IEC 60062, prefix and unit, decimal comma, plain number: the right part of learner "me" is 470 kΩ."""
    assert mark_of("preferred", answer).points == 2


@pytest.mark.parametrize(
    ("name", "answer", "slip", "words"),
    [
        ("reactance", "470 kV", "another unit", "volts"),
        ("power", "31 mΩ", "another unit", "ohms"),
        ("reactance", "803,812", "thousands separator", "two ways"),
        ("reactance", "about 800k", "not a number", "cannot be read"),
        ("reactance", [800e3], "not a number", "a list"),
        ("reactance", True, "not a number", "True or False"),
        ("reactance", {"unreadable": "complex"}, "complex number", "magnitude"),
        ("reactance", float("nan"), "not a finite number", "finite"),
        ("reactance", 10**400, "not a finite number", "finite"),
        ("reactance", "9" * 5000, "not a number", "too long"),
        ("volts", 230.0, "not a table", "dictionary"),
        ("volts", {"123": 5}, "not a table", "dictionary"),
    ],
)
def test_what_cannot_be_read_is_told_why(name: str, answer: PlainData, slip: str, words: str) -> None:
    """No marks, a name for the report, a sentence for the learner that does not repeat the answer."""
    mark = mark_of(name, answer)
    assert (mark.points, mark.outcome, mark.slip) == (0, UNREADABLE, slip)
    assert words in mark.text


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("blank", [None, "", "  "])
def test_an_unanswered_question_gets_a_friendly_nudge(name: str, blank: PlainData) -> None:
    """Zero marks, the first hint, no reproach."""
    mark = mark_of(name, blank)
    assert (mark.points, mark.outcome, mark.slip) == (0, BLANK, None)
    assert BRIDGE.check(name).hints[0] in mark.text


def test_a_table_of_nothing_is_not_answered() -> None:
    """The table as released counts as blank, not as ten wrong entries."""
    empty = dict.fromkeys(("R1", "R2", "R3", "C1", "lamp"))
    assert mark_of("volts", {"123": empty, "132": empty}).outcome == BLANK


# --- partial credit --------------------------------------------------------------------------------------


def test_a_table_is_marked_entry_by_entry() -> None:
    """Seven of ten right entries: seven tenths of the marks, and a table that says which."""
    table = {g: dict(row) for g, row in RIGHT_ONES["volts"].items()}  # type: ignore[union-attr]
    table["123"]["lamp"], table["132"]["lamp"] = table["132"]["lamp"], table["123"]["lamp"]
    del table["132"]["C1"]
    mark = mark_of("volts", table)
    assert (mark.points, mark.outcome, mark.slip) == (3.5, PART, "the sequences exchanged")
    lines = [line.split() for line in mark.text.splitlines()]
    assert ["lamp", "wrong", "wrong"] in lines
    assert ["C1", "right", "missing"] in lines
    assert ["R1", "right", "right"] in lines


def test_a_table_may_spell_its_keys_in_other_ways() -> None:
    """Whole numbers as keys, dashes, small letters, the lamp by its code letter (IEC 81346: H)."""
    half, side = ME.line_voltage / 2, ME.line_voltage * math.sqrt(3) / 2
    row = {"r1": half, "R2": f"{half} V", "r3": f"{half / 1000} kV", " c1 ": side}
    assert mark_of("volts", {"1-2-3": {**row, "H1": 0}, "132": {**row, "Lamp": side}}).points == 5


@pytest.mark.parametrize(
    ("name", "factor", "share"),
    [("reactance", 1e-3, 0.5), ("power", 1 / 1.21, 0.5), ("power", -1, 0.5), ("resistance", math.sqrt(3), 0.0)],
)
def test_a_slip_keeps_its_share_of_the_marks(name: str, factor: float, share: float) -> None:
    """A lost prefix, a minus sign and forgotten ten per cent keep half; a wrong law keeps nothing."""
    mark = mark_of(name, RIGHT_ONES[name] * factor)  # type: ignore[operator]
    assert mark.points == share * mark.maximum
    assert mark.outcome == (PART if share else WRONG)


@pytest.mark.parametrize(
    ("factor", "slip"),
    [(3.0, "line and phase voltage mixed up squared"), (2.0, "peak for rms squared"), (3**0.5, "a root in a power")],
)
def test_a_power_goes_with_the_square_of_the_voltage(factor: float, slip: str) -> None:
    """P = U²/R (Joule): line for phase gives three times the watts, peak for rms twice, and a lone root is no law."""
    found = candidates(7.0, (), general(volts=2, frequency=False))
    for answer in (7.0 * factor, 7.0 / factor):
        finding = explain(answer, found, Tolerance(0.01))
        assert finding
        assert finding.name == slip


def test_marks_are_never_kept_on_a_guess_or_after_two_slips() -> None:
    """Two slips that give one number keep what the dearer one keeps; with a lost prefix on top nothing is kept."""
    found = [Candidate("one", "One.", 10.0, 0, 0.5), Candidate("two", "Two.", 10.0, 0, 0.25)]
    both = explain(10.0, found, Tolerance(0.01))
    assert both
    assert (both.name, both.credit) == ("one; or two", 0.25)
    worse = explain(10e3, found, Tolerance(0.01))
    assert worse
    assert worse.name.startswith("one; or two, and ")
    assert worse.credit == 0


@pytest.mark.parametrize(
    ("answer", "slip", "points"),
    [
        ("47k", "the wrong decade", 1.0),
        ("430k", "rounded to the neighbour on the other side", 1.0),
        ("464k", "not a value of E24", 0.0),
        (RIGHT_ONES["resistance"], "not a value of E24", 0.0),
        ("820k", "preferred value of Xc", 0.0),
        ("680k", None, 0.0),
    ],
)
def test_a_part_that_is_not_the_nearest_is_told_from_none(answer: PlainData, slip: str | None, points: float) -> None:
    """Decade, neighbour, unrounded value, value of Xc, any other part (Xc 804 kΩ, R 464 kΩ, E24 430k 470k)."""
    mark = mark_of("preferred", answer)
    assert (mark.slip, mark.points) == (slip, points)


# --- follow-through --------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Xc without 2π, everything after it consistent: only the first question loses marks."""
    xc = RIGHT_ONES["reactance"] * 2 * math.pi  # type: ignore[operator]
    r = xc / math.sqrt(3)
    bought = min((n * 10.0**k for n in E24 for k in range(3, 8)), key=lambda v: abs(v - r))
    corners = product(*[(0.99 * bought, 1.01 * bought)] * 3, (0.95 * ME.capacitance, 1.05 * ME.capacitance))
    answers: dict[str, PlainData] = {
        "reactance": xc,
        "resistance": r,
        "preferred": bought,
        "volts": RIGHT_ONES["volts"],
        "power": (1.1 * ME.line_voltage / 2) ** 2 / r,
        "residual": max(lamp_volts(ME, c, "123") for c in corners),
    }
    marks = {name: judge(BRIDGE, ME, name, answers) for name in NAMES}
    assert [m.points for m in marks.values()] == [0, 3, 2, 5, 3, 4]
    assert [m.followed for m in marks.values()] == [False, True, True, False, True, True]
    assert marks["reactance"].slip == "2π missing or used twice"
    assert "your own earlier answer" in marks["power"].text


def test_the_volts_follow_from_an_own_resistance() -> None:
    """With R = Xc the true circuit has other volts; the learner who works them out earns the marks."""
    xc = RIGHT_ONES["reactance"]
    half, leg = ME.line_voltage / 2, ME.line_voltage / math.sqrt(2)
    lamps = {s: lamp_volts(ME, (1.0, 1.0, xc, ME.capacitance), s) for s in ("123", "132")}  # type: ignore[arg-type]
    table: PlainData = {s: {"R1": half, "R2": half, "R3": leg, "C1": leg, "lamp": lamps[s]} for s in lamps}
    mark = mark_of("volts", table, reactance=xc, resistance=xc)
    assert (mark.points, mark.followed) == (5, True)
    power = (1.1 * leg) ** 2 / xc  # type: ignore[operator]
    assert mark_of("power", power, resistance=xc, volts=table).followed


def test_the_true_value_wins_over_what_would_follow() -> None:
    """A right answer after a wrong one is simply right."""
    mark = mark_of("resistance", RIGHT_ONES["resistance"], reactance=12345.0)
    assert (mark.points, mark.followed, mark.outcome) == (3, False, RIGHT)


@pytest.mark.parametrize("nonsense", [1.0, 1e12, -8e5, "no idea", float("inf"), [1], {"unreadable": "x"}])
def test_nothing_follows_from_nonsense(nonsense: PlainData) -> None:
    """The earlier answer must be readable and lie in the range of sense."""
    value = nonsense / math.sqrt(3) if isinstance(nonsense, float) else 7e3
    assert not mark_of("resistance", value, reactance=nonsense).followed


def test_volts_of_nothing_make_no_power() -> None:
    """Zero volts on every part are outside the range of sense: a power of zero earns nothing."""
    zero = dict.fromkeys(("R1", "R2", "R3", "C1", "lamp"), 0)
    assert mark_of("power", 0, volts={"123": zero, "132": zero}).points == 0


def test_a_slip_on_top_of_an_own_value_is_found_too() -> None:
    """Wrong Xc, then × √3 instead of ÷ √3 on that very Xc."""
    mark = mark_of("resistance", 5e5 * math.sqrt(3), reactance=5e5)
    assert mark.slip == "multiplied by √3 instead of dividing"


# --- pure, total, fast ------------------------------------------------------------------------------------


@given(st.sampled_from(NAMES), PLAIN, st.dictionaries(st.sampled_from(NAMES), PLAIN))
def test_judge_takes_any_plain_data(name: str, answer: PlainData, others: dict[str, PlainData]) -> None:
    """Whatever stands in the answers: a mark between 0 and the maximum, as plain floats, the same twice."""
    answers = with_answer(others, name, answer)
    mark = judge(BRIDGE, ME, name, answers)
    assert type(mark.points) is float
    assert 0 <= mark.points <= mark.maximum
    assert mark == judge(BRIDGE, ME, name, answers)


ENTRY = st.floats() | st.integers() | st.text(max_size=70) | st.none() | st.sampled_from(["1e400", "-0", "1e-400 V"])


@given(
    st.dictionaries(
        st.sampled_from(["123", "132", "x"]), st.dictionaries(st.sampled_from(["R1", "R3", "lamp", "?"]), ENTRY)
    )
)
def test_judge_takes_any_table(table: PlainData) -> None:
    """Tables with any entries, and the power that would follow from them."""
    for name in ("volts", "power"):
        mark = judge(BRIDGE, ME, name, {"volts": table, "power": 0.1, "resistance": 5e5})
        assert 0 <= mark.points <= mark.maximum


@pytest.mark.parametrize("depth", [10, 5000])
def test_judge_takes_a_deep_nest(depth: int) -> None:
    """Nests deeper than Python's recursion limit."""
    nest: PlainData = 1.0
    for _ in range(depth):
        nest = {"123": nest}
    assert all(judge(BRIDGE, ME, name, {name: nest}).points == 0 for name in NAMES)


@pytest.mark.parametrize(
    "text", ["1" * 60, "1e" + "9" * 40, "1," * 30, "k" * 60, "1 " * 30, "0x10", "１２３", "٣", "1_000", "--5", "1e5e5"]
)
def test_judge_takes_a_strange_text(text: str) -> None:
    """No text raises, none takes long."""
    start = process_time()  # this process's own time: what else the machine does is not in it
    for name in NAMES:
        judge(BRIDGE, ME, name, {name: text})
    assert process_time() - start < 2


def test_an_unknown_check_is_the_callers_mistake() -> None:
    """A KeyError lists the checks there are."""
    with pytest.raises(KeyError, match="reactance, resistance"):
        judge(BRIDGE, ME, "impedance", {})
