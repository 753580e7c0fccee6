"""Exercise `led-pair`: right values by a second way, every design inside the window, LEDs stepped in time."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace
from itertools import pairwise, product

import pytest
from course_cases import briefs, right_answers

from phasorkit.analysis.lamp_in_time import lamps_in_time
from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import PART, RIGHT, Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks import led_pair
from phasorkit.course.tasks.led_pair import values
from phasorkit.indicators.led_pair import LedPair
from phasorkit.switching import Led

TASK = task("led-pair")
ME = draw_brief(TASK, "me", "")
RIGHT_ONES = right_answers(TASK, ME)
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
RUNGS = sorted(float(f"{n}e{p}") for n in E24 for p in range(6))


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(TASK, ME, name, {**others, name: answer})


def written_out(brief: Brief, dropping: float, shunt: float) -> tuple[float, float]:
    """Peaks of the branch currents at nominal voltage [A]: the star point by its node equation, 1-2-3."""
    turn = cmath.exp(-2j * math.pi / 3)
    l1, l2, l3 = (brief.line_voltage / math.sqrt(3) * turn**k for k in range(3))
    y, r = 2j * math.pi * brief.frequency * brief.capacitance, dropping + shunt
    s = (l1 * y + l2 / r + l3 / r) / (y + 2 / r)
    return math.sqrt(2) * abs(l2 - s) / r, math.sqrt(2) * abs(l3 - s) / r


@pytest.mark.parametrize("brief", briefs(TASK)[::4], ids=lambda b: b.learner)
def test_right_values_agree_with_the_circuit_written_out(brief: Brief) -> None:
    """Second method: node equation of the star point, then Ohm's law at 85 and 110 %."""
    right = truths(TASK, brief)
    xc = 1 / (2 * math.pi * brief.frequency * brief.capacitance)
    assert right["reactance"] == pytest.approx(xc, rel=1e-12)
    bright, dim = written_out(brief, xc, 0.0)
    assert right["currents"] == pytest.approx({("", "bright"): 0.85 * bright, ("", "dim"): 1.1 * dim}, rel=1e-9)
    least, most = brief.lit_above / (0.85 * bright), brief.dark_below / (1.1 * dim)
    assert right["window"] == pytest.approx({("", "least"): least, ("", "most"): most}, rel=1e-9)
    assert right["heat"] == pytest.approx(1.1**2 * bright**2 / 2 * xc, rel=1e-9)


def test_shares_of_the_two_lamp_star() -> None:
    """Outside fact: with R = Xc the two lamps have 1.50 and 0.40 of the phase voltage, 3.73 to 1 (textbook, from
    memory)."""
    bright, dim = written_out(ME, RIGHT_ONES["reactance"], 0.0)  # type: ignore[arg-type]
    phase = math.sqrt(2) * ME.line_voltage / math.sqrt(3) / RIGHT_ONES["reactance"]  # type: ignore[operator]
    assert (bright / phase, dim / phase, bright / dim) == pytest.approx((1.496, 0.401, 3.73), rel=1e-3)


def test_the_reading_of_lesson_07() -> None:
    """Outside row: 47 nF on 400 V 50 Hz with red LEDs gives a window of 310 to 705 Ω (lesson 07, by hand)."""
    changed = {"line_voltage": 400.0, "frequency": 50.0, "capacitance": 47e-9, "dark_below": 1.5, "lit_above": 1.9}
    brief = Brief("led-pair", "n", "", tuple((dict(ME.values) | changed).items()))
    assert [round(v) for v in truths(TASK, brief)["window"].values()] == [310, 705]


@pytest.mark.parametrize("brief", briefs(TASK)[::12], ids=lambda b: b.learner)
def test_every_design_inside_the_window_passes_and_no_other(brief: Brief) -> None:
    """All pairs of E24 values near the right ones, each tried by the node equation: full marks just where all holds."""
    right = truths(TASK, brief)
    xc, passed = right["reactance"], set()
    droppings = [r for r in RUNGS if 0.7 * xc < r < 1.4 * xc]
    shunts = [r for r in RUNGS if 0.5 * right["window"]["", "least"] < r < 2 * right["window"]["", "most"]]
    for dropping, shunt in product(droppings, shunts):
        bright, dim = written_out(brief, dropping, shunt)
        lit, dark = 0.85 * bright * shunt / brief.lit_above, 1.1 * dim * shunt / brief.dark_below
        off = abs((dropping + shunt) / xc - 1)
        if min(abs(lit - 1), abs(dark - 1), abs(off - 0.1)) < 0.006:
            continue
        good = lit > 1 and dark < 1 and off <= 0.1
        mark = judge(TASK, brief, "design", {"design": {"dropping": dropping, "shunt": shunt}})
        assert (mark.outcome == RIGHT) == good, (dropping, shunt, mark.text)
        assert good or mark.slip
        passed |= {(dropping, shunt)} if good else set()
    assert len(passed) >= 5


@pytest.mark.parametrize("brief", briefs(TASK)[::16], ids=lambda b: b.learner)
def test_leds_stepped_in_time_do_what_the_window_says(brief: Brief) -> None:
    """Second method: an LED that begins in the middle of its two limits, stepped in time with shunt and diode."""
    right = truths(TASK, brief)
    design = right["design"]
    assert _seen_in_time(brief, design, 0.85)[0] == "lit"
    assert _seen_in_time(brief, design, 1.10)[1] == "dark"
    small = design | {"shunt": 0.5 * right["window"]["", "least"]}
    large = design | {"shunt": 1.9 * right["window"]["", "most"]}
    assert _seen_in_time(brief, small, 0.85) == ("dark", "dark")
    assert _seen_in_time(brief, large, 1.10)[1] != "dark"


def _seen_in_time(brief: Brief, design: dict[str, float], part: float) -> tuple[str, str]:
    pair = LedPair(
        capacitance=brief.capacitance, dropping=design["dropping"], shunt=design["shunt"],
        line_voltage=brief.line_voltage, frequency=brief.frequency,
    )  # fmt: skip
    there = replace(pair.supply("123"), line_voltage=part * brief.line_voltage)
    first, second = lamps_in_time(pair, supply=there)
    return first.state, second.state


@pytest.mark.parametrize("brief", briefs(TASK)[::16], ids=lambda b: b.learner)
def test_testers_stepped_in_time_show_what_is_right(brief: Brief) -> None:
    """Second method for question 5: the same sight with LEDs that switch, and equal light where L1 is off."""
    for name, says in truths(TASK, brief)["seen"].items():
        shunt, supply = values.tester(brief, name)
        xc = values.exact_reactance(brief, {})
        pair = LedPair(
            capacitance=brief.capacitance, dropping=xc - shunt, shunt=shunt,
            line_voltage=brief.line_voltage, frequency=brief.frequency,
        )  # fmt: skip
        network = pair.network().with_value("C1", 1e-15) if name == brief.probe_off else pair.network()
        there = replace(pair.supply("123"), line_voltage=supply * brief.line_voltage)
        first, second = lamps_in_time(pair, supply=there, network=network, models=_led(brief))
        dark = [record.mean_ampere < 10e-6 for record in (first, second)]
        assert dark == {values.ONE_LIT: [False, True], values.NONE: [True, True]}.get(says, [False, False])
        if says in (values.ALIKE, values.WEAKER):
            alike = first.mean_ampere == pytest.approx(second.mean_ampere, rel=1e-2)
            assert alike == (says == values.ALIKE)


def _led(brief: Brief) -> dict[str, Led]:
    """An LED of the brief's colour: it begins in the middle of the two limits."""
    return {"LED": Led(threshold=(brief.dark_below + brief.lit_above) / 2)}


@pytest.mark.parametrize("brief", briefs(TASK), ids=lambda b: b.learner)
def test_what_is_seen_is_clear_for_everybody(brief: Brief) -> None:
    """Four testers, four different sights; volts by the node equation, well off the limits."""
    seen = truths(TASK, brief)["seen"]
    assert set(seen.values()) == set(values.SEEN)
    xc = values.exact_reactance(brief, {})
    for name, says in seen.items():
        shunt, supply = values.tester(brief, name)
        peaks = written_out(brief, xc - shunt, shunt)
        if name == brief.probe_off:  # one loop: two branches between two line conductors
            peaks = (math.sqrt(2) * brief.line_voltage / (2 * xc),) * 2
        volts = [supply * peak * shunt for peak in peaks]
        lit = [v > brief.lit_above for v in volts]
        assert [v < brief.dark_below for v in volts] == [not on for on in lit]
        expected = {(True, False): "one lit and one dark", (False, False): "both dark"}.get(tuple(lit))  # type: ignore[call-overload]
        alike = "both lit and alike" if math.isclose(*volts) else "both lit but one weaker"
        assert says == (expected or alike)


def test_e24_values_of_testers_are_never_a_close_call() -> None:
    """No tester's shunt lies so near the middle of two rungs that another machine could take the other one."""
    systems = [(v, f, c) for v, f in led_pair.SYSTEMS for c in led_pair.capacitors(v)]
    for (volts, hertz, farad), (_, dark, lit) in product(systems, led_pair.LEDS):
        numbers = {
            "line_voltage": volts,
            "frequency": hertz,
            "capacitance": farad,
            "dark_below": dark,
            "lit_above": lit,
        }
        brief = Brief("led-pair", "n", "", tuple(numbers.items()))
        window = values.exact_window(brief, {"reactance": values.exact_reactance(brief, {})})
        middle = values.middle(window)
        for wanted in (0.5 * window["", "least"], middle, 1.3 * middle, 1.9 * window["", "most"]):
            off = min(abs(wanted / ((a + b) / 2) - 1) for a, b in pairwise(RUNGS))
            assert off > 1e-9


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Rms for the peak: the window and a design inside it follow; only the currents lose marks."""
    xc: float = RIGHT_ONES["reactance"]  # type: ignore[assignment]
    currents = {k: v / math.sqrt(2) for k, v in RIGHT_ONES["currents"].items()}  # type: ignore[union-attr, operator]
    window = {"least": ME.lit_above / currents["bright"], "most": ME.dark_below / currents["dim"]}
    shunt = min(r for r in RUNGS if r > 0.9 * window["most"])
    dropping = min(RUNGS, key=lambda r: abs(r + shunt - xc))
    answers: dict[str, PlainData] = {
        **RIGHT_ONES, "currents": currents, "window": window, "design": {"dropping": dropping, "shunt": shunt},
    }  # type: ignore[dict-item]  # fmt: skip
    marks = {c.name: judge(TASK, ME, c.name, answers) for c in TASK.checks}
    assert marks["currents"].slip == "rms for the peak"
    assert [marks[n].points for n in ("reactance", "currents", "window", "design")] == [2, 2, 4, 4]
    assert marks["window"].followed
    assert marks["design"].followed
    assert mark_of("design", answers["design"]).outcome == PART


def test_a_design_is_told_what_fails_and_why() -> None:
    """Each requirement alone."""
    good: dict[str, float] = RIGHT_ONES["design"]  # type: ignore[assignment]
    window: dict[str, float] = RIGHT_ONES["window"]  # type: ignore[assignment]
    below = max(r for r in RUNGS if r < 0.75 * window["least"])
    above = min(r for r in RUNGS if r > 1.4 * window["most"])
    dim_slip = "even the dim LED made to light"
    for change, points, slips in (
        ({"shunt": below}, 2.8, {"bright LED lights on a low supply: not met", "even the bright LED made dark"}),
        ({"shunt": above}, 2.8, {"dim LED dark on a high supply: not met", dim_slip}),
        ({"shunt": good["shunt"] * 1.017}, 3.2, {"sold in E24: not met"}),
        (
            {"dropping": min(r for r in RUNGS if r > 1.25 * good["dropping"])},
            3.2,
            {"branch suits the capacitor: not met"},
        ),
    ):
        mark = mark_of("design", {**good, **change})
        assert (mark.points, mark.outcome) == (points, PART), mark.text
        assert mark.slip in slips


@pytest.mark.parametrize("answer", [0.95, 1.05])
@pytest.mark.parametrize("name", ["reactance", "heat"])
def test_one_is_told_from_one_point_oh_five(name: str, answer: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of(name, RIGHT_ONES[name] * answer).outcome != RIGHT  # type: ignore[operator]


def test_stored_numbers_come_out_on_every_machine() -> None:
    """Digits stored when this was written."""
    stored = (230.0, 50.0, 1.2e-07, "yellow", 1.7, 2.1, "B", 1000.0, 1.0, 470.0, 1.1, 120.0, 1.1, 360.0, 1.0)
    assert tuple(v for _, v in ME.values) == stored


def test_wrong_shares_in_the_heat_are_named() -> None:
    """The whole line voltage on the branch; the share used once where the square counts (heat = volts² / ohms)."""
    xc = 1 / (2 * math.pi * ME.frequency * ME.capacitance)
    assert mark_of("heat", (1.1 * ME.line_voltage) ** 2 / xc).slip == "the line voltage without a share"
    once = 1.496 * (1.1 * ME.line_voltage / math.sqrt(3)) ** 2 / xc
    mark = mark_of("heat", once)
    assert (mark.points, mark.slip) == (1.0, "the share of the branch not squared")


def test_two_steps_left_out_at_once_are_named() -> None:
    """A share of the phase voltage over Xc and no more: nominal, in rms (Ohm's law). So for the heat, no share."""
    xc, phase = 1 / (2 * math.pi * ME.frequency * ME.capacitance), ME.line_voltage / math.sqrt(3)
    mark = mark_of("currents", {"bright": 1.496 * phase / xc, "dim": 0.401 * phase / xc})
    assert (mark.points, mark.slip) == (1.0, "the nominal voltage, in rms")
    assert "peak" in mark.text
    assert mark_of("heat", phase**2 / xc).slip == "the nominal phase voltage without a share"
