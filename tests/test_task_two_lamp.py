"""Exercise `two-lamp`: right values by a second way, the whole way after one slip, forms, wrong ideas named."""

from __future__ import annotations

import cmath
import math

import pytest
import sympy as sp
from course_cases import briefs, right_answers

from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.two_lamp import LAMPS, SYSTEMS, values

TWO_LAMP = task("two-lamp")
ME = draw_brief(TWO_LAMP, "me", "")
RIGHT_ONES = right_answers(TWO_LAMP, ME)
RING = ("L1", "L2", "L3")


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(TWO_LAMP, ME, name, {**others, name: answer})


def star(line_voltage: float, part_on: str, sequence: str, admittance: complex) -> dict[str, float]:
    """Volts on every part by Millman's rule; the lamps have one siemens, the other part has `admittance`."""
    turn = cmath.exp(2j * math.pi / 3)
    unit = line_voltage / math.sqrt(3)
    corner = {"L1": unit + 0j, "L2": unit / turn, "L3": unit * turn}
    if sequence == "132":
        corner["L2"], corner["L3"] = corner["L3"], corner["L2"]
    y = {c: admittance if c == part_on else 1.0 for c in RING}
    s = sum(y[c] * corner[c] for c in RING) / sum(y.values())
    return {c: abs(corner[c] - s) for c in RING}


@pytest.mark.parametrize("brief", briefs(TWO_LAMP)[::4], ids=lambda b: str(b.values))
def test_right_values_agree_with_millman_written_out(brief: Brief) -> None:
    """Second method: the star point as a weighted mean of the corners; inductor and capacitor each by itself."""
    right = truths(TWO_LAMP, brief)
    far = 0.0
    for sequence in ("123", "132"):
        volts = star(brief.line_voltage, brief.part_on, sequence, 1j)
        assert {c: right["volts"][sequence, c] for c in RING} == pytest.approx(volts, rel=1e-9)
        for kind, admittance in (("capacitor", 1j), ("inductor", -1j)):
            volts = star(brief.line_voltage, brief.part_on, sequence, admittance)
            lit = max((c for c in RING if c != brief.part_on), key=volts.__getitem__)
            assert right["bright"][f"{kind} {'-'.join(sequence)}"] == lit
            far = max(far, volts[lit])
    assert right["pair"] == pytest.approx(1.1 * far / 2, rel=1e-9)
    for name in values.DRAWER:
        rated = getattr(brief, f"{name}_lamp")
        holds = [n for n in (1, 2) if 1.1 * far / n <= rated]
        assert right["lamps"][name] == {1: "single", 2: "pair", 3: "neither"}[min(holds, default=3)]
    ohms = 2 * brief.bench_lamp / (brief.bench_watts / brief.bench_lamp)
    assert right["resistance"] == pytest.approx(ohms, rel=1e-12)
    assert 1 / (2 * math.pi * brief.frequency * right["capacitance"]) == pytest.approx(ohms, rel=1e-12)


def test_the_ratio_of_the_lamps_is_two_and_root_three_exactly() -> None:
    """Standard textbook problem (from memory): R = Xc gives 2 + √3; by sympy, in closed form."""
    a = sp.Rational(-1, 2) + sp.I * sp.sqrt(3) / 2
    corners = (sp.Integer(1), sp.conjugate(a), a)
    s = (sp.I * corners[0] + corners[1] + corners[2]) / (2 + sp.I)
    one, two, part = (sp.Abs(sp.simplify(corner - s)) for corner in (corners[1], corners[2], corners[0]))
    assert sp.simplify((one / two) ** 2 - (2 + sp.sqrt(3)) ** 2) == 0
    phase = 400 / math.sqrt(3)
    volts = dict(values.star_volts("L1", "123", 400.0))
    assert [volts[c] / phase for c in ("L2", "L3", "L1")] == pytest.approx(
        [float(x) for x in (one, two, part)], rel=1e-9
    )


def test_a_workshop_measured_it() -> None:
    """33 nF and 100 kΩ on 400 to 412 V, 50 Hz: 94 V and 350 to 360 V (common practice)."""
    one, two = (dict(values.star_volts("L1", "123", u))["L2"] for u in (400.0, 412.0))
    dim = [dict(values.star_volts("L1", "123", u))["L3"] for u in (400.0, 412.0)]
    assert 340 < one < 350 < two < 360
    assert dim[0] - 1 < 94 < dim[1] + 1


@pytest.mark.parametrize(("part_on", "follows"), [("L1", "L2"), ("L2", "L3"), ("L3", "L1")])
def test_bright_is_the_lamp_on_the_phase_after_the_capacitor(part_on: str, follows: str) -> None:
    """The rule of the trade (common practice): C, bright, dim is the order of the phases."""
    brief = Brief("two-lamp", "n", "", (("line_voltage", 400.0), ("part_on", part_on)))
    volts = values.part_volts(brief, {})
    assert values.bright(brief, {"volts": volts})["capacitor 1-2-3"] == follows


def test_a_lamp_is_never_passed_that_a_filament_would_overload() -> None:
    """No lamp of a brief is passed with resistors and overloaded with filaments: 1.68 of phase volts and 10 % more."""
    for brief in briefs(TWO_LAMP):
        most = 1.1 * 1.68 * brief.line_voltage / math.sqrt(3)
        for name, how in truths(TWO_LAMP, brief)["lamps"].items():
            rated = getattr(brief, f"{name}_lamp")
            assert rated >= {"single": most, "pair": most / 2, "neither": 0}[how], (brief.values, name)


def test_every_system_conductor_and_use_turns_up() -> None:
    """A class of 200 meets the whole range, all three uses among it."""
    drawn = briefs(TWO_LAMP)
    assert {(b.line_voltage, b.frequency) for b in drawn} == {s[:2] for s in SYSTEMS}
    assert {b.part_on for b in drawn} == set(RING)
    assert {use for b in drawn for use in truths(TWO_LAMP, b)["lamps"].values()} == {"single", "pair", "neither"}
    assert {v for b in drawn for v in values.drawer(b).values()} <= set(LAMPS)


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values] == [400.0, 50.0, "L3", 24.0, 230.0, 110.0, 13.5, 2.0]


# --- marking --------------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Both sequences exchanged in the volts, everything after it consistent."""
    table = RIGHT_ONES["volts"]
    turned: PlainData = {"123": table["132"], "132": table["123"]}  # type: ignore[call-overload, index]
    lit = RIGHT_ONES["bright"]
    other = dict(zip(sorted(set(lit.values())), sorted(set(lit.values()), reverse=True), strict=True))  # type: ignore[union-attr]
    bright: PlainData = {star: other[c] for star, c in lit.items()}  # type: ignore[union-attr]
    mark = mark_of("volts", turned)
    assert (mark.points, mark.slip) == (2.0, "the sequences exchanged")
    mark = mark_of("bright", bright, volts=turned)
    assert (mark.points, mark.followed) == (4.0, True)
    assert mark_of("bright", bright).points == 0.0
    assert mark_of("bright", lit, volts=turned).followed is False


def test_pair_and_lamps_follow_from_own_volts() -> None:
    """S taken for N: each lamp of a pair has half of 110 % phase volts, and the drawer is judged by that."""
    phase = ME.line_voltage / math.sqrt(3)
    own: PlainData = {s: dict.fromkeys(RING, phase) for s in ("123", "132")}
    pair = 1.1 * phase / 2
    mark = mark_of("pair", pair, volts=own)
    assert (mark.points, mark.followed) == (3.0, True)
    uses: PlainData = {n: values.use(v, pair) for n, v in values.drawer(ME).items()}
    assert mark_of("lamps", uses, volts=own, pair=pair).points == 3.0
    assert mark_of("pair", pair).slip == "the phase voltage shared"


@pytest.mark.parametrize("factor", [0.95, 1.05])
@pytest.mark.parametrize("name", ["pair", "resistance", "capacitance"])
def test_one_is_told_from_one_point_oh_five(name: str, factor: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of(name, RIGHT_ONES[name] * factor).points == 0  # type: ignore[operator]


def test_every_accepted_form_of_a_capacitor_counts() -> None:
    """µ, u, comma, plain farads."""
    micro = float(RIGHT_ONES["capacitance"]) * 1e6  # type: ignore[arg-type]
    for answer in (
        f"{micro:.2f} µF",
        f"{micro:.2f}uF",
        f"{micro:.2f} uF".replace(".", ","),
        f"{micro:.3f}e-6",
        micro * 1e-6,
    ):
        assert mark_of("capacitance", answer).points == 2
    assert mark_of("capacitance", micro).slip == "a prefix lost or doubled"


def test_wrong_ideas_are_named() -> None:
    """What an apprentice with one wrong idea hands in."""
    one, two = values.lamp_conductors(ME)
    half: PlainData = {
        s: {one: ME.line_voltage / 2, two: ME.line_voltage / 2, ME.part_on: None} for s in ("123", "132")
    }
    assert mark_of("volts", half).slip == "the lamps taken as if the capacitor were not there"
    lit = RIGHT_ONES["bright"]
    alike = {star: lit[f"capacitor {star[-5:]}"] for star in lit}  # type: ignore[call-overload, index, union-attr]
    mark = mark_of("bright", alike)  # type: ignore[arg-type]
    assert (mark.points, mark.slip) == (2.0, "the inductor taken for a capacitor")
    by_phase: PlainData = {n: values.use(v, 230.0 / 2) for n, v in values.drawer(ME).items()}
    assert mark_of("lamps", by_phase).slip == "judged by the phase voltage"
    assert mark_of("resistance", ME.bench_lamp**2 / ME.bench_watts).slip == "one lamp only"


def test_the_box_of_the_lesson_is_told_from_the_own_one() -> None:
    """The lesson has its capacitor on L1, learner "me" on L3: the first thing told is where to look."""
    table: PlainData = {s: {c: round(v) for c, v in star(ME.line_voltage, "L1", s, 1j).items()} for s in ("123", "132")}
    words = mark_of("volts", table).text
    assert "L1 in 1-2-3, L3 in 1-2-3, L1 in 1-3-2: That fits the box of the lesson" in words
    lesson: PlainData = dict(zip(values.STARS, ("L2", "L3", "L3", "L2"), strict=True))
    assert "Your box need not be that of the lesson" in mark_of("bright", lesson).text


def test_no_part_is_without_volts() -> None:
    """A capacitor and a dim lamp taken for zero."""
    table: PlainData = {"123": {"L1": 346, "L2": 0, "L3": 0}, "132": {"L1": 93, "L2": 346, "L3": 310}}
    assert mark_of("volts", table).slip == "no volts at all"


def test_the_figure_for_filaments_is_told_apart_from_resistors() -> None:
    """1.7 of the phase voltage (lesson 04) is meant for real lamps; here they count as resistors."""
    assert "figure for real filaments" in mark_of("pair", 1.7 * 400 / math.sqrt(3) * 1.1 / 2).text
