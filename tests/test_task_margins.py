"""Exercise `margins`: pushes by plain geometry, limits by dice, classes by every corner, the whole way after a slip."""

from __future__ import annotations

import cmath
import math
from itertools import product

import numpy as np
import pytest
from course_cases import briefs, right_answers

from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.margins import SYSTEMS, values
from phasorkit.phasors import FloatArray

MARGINS = task("margins")
ME = draw_brief(MARGINS, "me", "")
RIGHT_ONES = right_answers(MARGINS, ME)
TURN = cmath.exp(2j * math.pi / 3)
DICE = np.random.default_rng(20251125)


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(MARGINS, ME, name, {**others, name: answer})


def lamp(  # type: ignore[no-untyped-def]
    line_voltage: float, *, r1=1.0, r2=1.0, r3=1.0, c=1.0, f=1.0, other=0j, order: int = 1
) -> FloatArray:
    """Volts on the lamp of a null bridge; parts and frequency over their exact values, numbers or arrays.

    M and P by voltage dividers; `other` is the part of the other sequence, `order` a multiple of the frequency.
    """
    unit = line_voltage / math.sqrt(3)
    turn = TURN**order
    l1, l2, l3 = unit + other * unit, unit / turn + other * unit * turn, unit * turn + other * unit / turn
    m = l3 + (l1 - l3) * r2 / (r1 + r2)
    xc = math.sqrt(3) / (c * f * order)
    p = l3 + (l2 - l3) * r3 / (r3 - 1j * xc)
    return np.abs(m - p)  # type: ignore[no-any-return]


# --- right values by a second way ------------------------------------------------------------------------


@pytest.mark.parametrize("brief", briefs(MARGINS)[::4], ids=lambda b: b.learner)
def test_pushes_agree_with_dividers_and_with_the_rules_of_thumb(brief: Brief) -> None:
    """Second method: a thousandth of the per cent, scaled up; and √3/4, 1/4, √3/2 of the line voltage (lesson 09)."""
    right = {name: v for (_, name), v in truths(MARGINS, brief)["pushes"].items()}
    small, u = 1e-3 / 100, brief.line_voltage
    written_out = {
        "C1": lamp(u, c=1 + small * brief.capacitor_percent),
        "R3": lamp(u, r3=1 + small * brief.resistor_percent),
        "R1": lamp(u, r1=1 + small * brief.resistor_percent),
        "frequency": lamp(u, f=1 + small * brief.frequency_percent),
        "unbalance": lamp(u, other=small * brief.unbalance_percent),
        "voltage": lamp(u * (1 + small * brief.voltage_percent)),
    }
    assert {name: 1e3 * float(v) for name, v in written_out.items()} == pytest.approx(right, rel=1e-3, abs=1e-6)
    for name, share in {"C1": 0.433, "R3": 0.433, "R1": 0.25, "frequency": 0.433, "unbalance": 0.866}.items():
        assert right[name] == pytest.approx(share * values.percent(brief, name) / 100 * u, rel=2e-3)


@pytest.mark.parametrize("off", [-10, -5, 5, 10])
def test_the_rule_holds_within_the_tolerance_up_to_ten_per_cent(off: float) -> None:
    """An apprentice who takes the exact half circle, U·sin(difference of two angles), is not marked wrong."""
    exact = 400 * abs(math.sin(math.atan((1 + off / 100) / math.sqrt(3)) - math.radians(30)))
    assert float(lamp(400, c=1 + off / 100)) == pytest.approx(exact, rel=1e-9)
    rule = math.sqrt(3) / 4 * abs(off) / 100 * 400
    assert exact == pytest.approx(rule, rel=0.035, abs=0.02)


def thrown(brief: Brief, count: int) -> FloatArray:
    """Lamp volts of so many testers, every cause even between its limits."""
    r1, r2, r3 = (1 + DICE.uniform(-1, 1, count) * brief.resistor_percent / 100 for _ in range(3))
    other = DICE.uniform(0, 1, count) * np.exp(2j * np.pi * DICE.uniform(0, 1, count)) * brief.unbalance_percent / 100
    return lamp(
        brief.line_voltage, r1=r1, r2=r2, r3=r3, c=1 + DICE.uniform(-1, 1, count) * brief.capacitor_percent / 100,
        f=1 + DICE.uniform(-1, 1, count) * brief.frequency_percent / 100, other=other,
    )  # fmt: skip


@pytest.mark.parametrize("brief", briefs(MARGINS)[::8], ids=lambda b: b.learner)
def test_limits_are_what_they_are_called(brief: Brief) -> None:
    """Of 20 000 testers hardly one exceeds the plain sum by its rounding, and nine of ten keep the likely limit."""
    right = truths(MARGINS, brief)["limits"]
    volts = thrown(brief, 20_000)
    assert float(volts.max()) < 1.03 * right["", "worst"]
    assert float(np.mean(volts < right["", "likely"])) > 0.9
    found = [float(v) for v in truths(MARGINS, brief)["pushes"].values()]
    found.append(truths(MARGINS, brief)["pushes"]["", "R1"])
    assert right["", "likely"] == pytest.approx(math.sqrt(sum(v * v for v in found)), rel=1e-9)
    assert right["", "worst"] == pytest.approx(sum(found), rel=1e-9)


@pytest.mark.parametrize("brief", briefs(MARGINS)[::8], ids=lambda b: b.learner)
def test_classes_agree_with_every_corner_written_out(brief: Brief) -> None:
    """Second method: 32 corners and the worst angle of unbalance at 110 %, from the best class to the loosest."""
    n = brief.unbalance_percent / 100
    for letter, chosen in truths(MARGINS, brief)["classes"].items():
        holds = []
        for c in values.LETTERS:
            tol = values.LETTERS[letter] / 100
            c_edges, f_edges = ((1 - k / 100, 1 + k / 100) for k in (values.LETTERS[c], brief.frequency_percent))
            edges = product(*((1 - tol, 1 + tol),) * 3, c_edges, f_edges)
            worst = max(float(lamp(1.1 * brief.line_voltage, r1=a, r2=b, r3=d, c=e, f=f)) for a, b, d, e, f in edges)
            bright = 1.1 * brief.line_voltage * math.sqrt(3) / 2
            if worst + n * bright < 40:
                holds.append(c)
        assert chosen == (holds[-1] if holds else "none")


@pytest.mark.parametrize("brief", briefs(MARGINS)[::8], ids=lambda b: b.learner)
def test_harmonics_agree_with_delays_and_dividers(brief: Brief) -> None:
    """Degrees less whole turns; the fifth by a divider of five times the frequency."""
    left = {0: "zero", 120: "forward", 240: "backward"}
    for name in values.ORDERS:
        assert truths(MARGINS, brief)["direction"][name] == left[120 * int(getattr(brief, f"order_{name}")) % 360]
    alone = float(lamp(brief.line_voltage * brief.fifth_percent / 100, order=5))
    both = math.hypot(truths(MARGINS, brief)["limits"]["", "likely"], alone)
    assert truths(MARGINS, brief)["together"] == pytest.approx(both, rel=1e-9)


def test_facts_of_the_trade() -> None:
    """5 % of fifth leave 19.6 V of 20 V on 400 V (REFERENCES); 5th and 11th run backward, 3rd stands (textbooks)."""
    assert values.fifth_volts(400.0, 50.0, 5.0) == pytest.approx(19.6, abs=0.05)
    assert values.fifth_volts(400.0, 50.0, 5.0) / 20 == pytest.approx(0.98, abs=0.005)
    known = {"backward": (5, 11, 17, 23), "forward": (7, 13, 19, 25), "zero": (9, 15, 21)}
    for way, orders in known.items():
        brief = Brief("margins", "n", "", tuple((f"order_{n}", float(o)) for n, o in zip("abc", orders, strict=False)))
        assert set(values.directions(brief, {}).values()) == {way}


def test_the_tolerance_letters_are_those_of_the_standard() -> None:
    """IEC 60062: F 1 %, G 2 %, J 5 %, K 10 %, M 20 %."""
    assert values.LETTERS == {"F": 1, "G": 2, "J": 5, "K": 10, "M": 20}


def test_every_system_cause_and_class_turns_up() -> None:
    """A class of 200 meets the whole range."""
    drawn = briefs(MARGINS)
    assert {(b.line_voltage, b.frequency) for b in drawn} == set(SYSTEMS)
    assert {truths(MARGINS, b)["dominant"]["cause"] for b in drawn} >= {"C1", "R3", "frequency", "unbalance"}
    assert {truths(MARGINS, b)["dominant"]["part"] for b in drawn} == {"C1", "R3"}
    assert {c for b in drawn for c in truths(MARGINS, b)["classes"].values()} >= {"G", "J", "K", "none"}
    assert {w for b in drawn for w in truths(MARGINS, b)["direction"].values()} == {"forward", "backward", "zero"}


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values] == [380.0, 50.0, 5.0, 10.0, 3.0, 0.5, 10.0, 17.0, 15.0, 19.0, 2.0]


# --- marking --------------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """All of the per cent in place of the rules; everything after it consistent with that."""
    share = ME.line_voltage / 100
    pushes: dict[str, PlainData] = {name: values.percent(ME, name) * share for name in values.CAUSES}
    mark = mark_of("pushes", pushes)  # type: ignore[arg-type]
    assert (mark.points, mark.slip) == (1.25, "all of the per cent")
    own = [float(v) for n, v in pushes.items() if n != "voltage"] + [float(pushes["R1"])]  # type: ignore[arg-type]
    limits: PlainData = {"likely": math.hypot(*own), "worst": sum(own)}
    mark = mark_of("limits", limits, pushes=pushes)  # type: ignore[arg-type]
    assert (mark.points, mark.followed) == (4.0, True)
    mark = mark_of("dominant", {"cause": "C1", "part": "C1"}, pushes=pushes)  # type: ignore[arg-type]
    assert mark.points == 2.0
    together = math.hypot(math.hypot(*own), values.fifth(ME))
    mark = mark_of("together", together, limits=limits)
    assert (mark.points, mark.followed) == (2.0, True)
    assert mark_of("together", together).points == 0.0


@pytest.mark.parametrize("factor", [0.95, 1.05])
def test_one_is_told_from_one_point_oh_five(factor: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong, but for the zero in the table."""
    for name, kept in (("pushes", 1.0), ("limits", 0.0)):
        off: PlainData = {k: v * factor for k, v in RIGHT_ONES[name].items()}  # type: ignore[union-attr, operator]
        assert mark_of(name, off).points == kept
    assert mark_of("together", RIGHT_ONES["together"] * factor).points == 0  # type: ignore[operator]


@pytest.mark.parametrize("answer", ["K", "k", "10 %", "10%", 10, "10"])
def test_a_class_may_be_written_as_letter_or_per_cent(answer: PlainData) -> None:
    """The letter of IEC 60062 or the per cent it stands for; learner "me" has K, K, J."""
    assert mark_of("classes", {"F": answer, "G": answer, "J": "J"}).points == 3.0


@pytest.mark.parametrize(
    ("name", "answer", "slip", "points"),
    [
        ("pushes", {"voltage": 16.5}, "the line voltage taken for a push", 0),
        ("pushes", {"voltage": 38}, "all of the line voltage's rise", 0),
        ("pushes", {"unbalance": "0,823 V"}, "the rule of the leg for unbalance", 0.5),
        ("pushes", {"R1": 8.23}, "the rule of the leg for the divider", 0.5),
        ("pushes", {"C1": 9.5, "frequency": 2.85}, "the rule of the divider, or the phase voltage, for the leg", 1),
        ("limits", {"likely": 40.8, "worst": 20.3}, "plain adding for what is likely", 1),
        ("limits", {"likely": 410.7}, "no root", 1),
        ("limits", {"worst": 20.3}, "the root of the squares for what must always hold", 0.5),
        ("limits", {"worst": 36.0}, "R2 forgotten", 1),
        ("dominant", {"cause": "voltage", "part": "C1"}, "the line voltage blamed", 1),
        ("dominant", {"cause": "C1", "part": "unbalance"}, "a supply named for a part", 1),
        ("classes", {"F": "M", "G": "M", "J": "K"}, "the likely limit for what must always hold", 0),
        ("direction", {"a": "forward", "b": "zero", "c": "forward"},
         "a wave that runs backward taken for forward", 2),
        ("together", 27.7, "plain adding", 0.5),
        ("together", 20.3, "the fifth left out", 0),
        ("together", "7,45 V", "the fifth by itself", 0.5),
    ],
)  # fmt: skip
def test_wrong_ideas_are_named(name: str, answer: PlainData, slip: str, points: float) -> None:
    """What an apprentice with one wrong idea hands in; learner "me": 380 V, 5 % and 10 % parts, 3 % of frequency."""
    mark = mark_of(name, answer)
    assert mark.slip
    assert (slip in mark.slip, mark.points) == (True, points), mark


def test_per_cent_and_the_highest_voltage_are_named() -> None:
    """C1 in per cent instead of volts, with per cent as whole numbers, and at 110 %, as apprentices do it."""
    pushes = RIGHT_ONES["pushes"]
    share = 3**0.5 / 4
    for value, slip in (
        (share * ME.capacitor_percent, "per cent for volts"),
        (share * ME.capacitor_percent * ME.line_voltage, "per cent taken as whole numbers"),
        (1.1 * share * ME.capacitor_percent / 100 * ME.line_voltage, "ten per cent taken in"),
    ):
        assert mark_of("pushes", {**pushes, "C1": value}).slip == slip  # type: ignore[dict-item]
