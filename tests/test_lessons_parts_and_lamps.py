"""Lessons 06 and 07: numbers of their questions by hand, what the ruler reads off the pictures, other claims.

By hand: 683J is 68 000 pF. Half of 557 kΩ is 278.5 kΩ, between the E24 rungs 270k and 300k. 390k beside 1 MΩ: 280.6 kΩ.
arcsin(90/169.7) = 32.03°, at 60 Hz 1.483 ms. (100 − 60) V / 5 kΩ = 8 mA. 1.5 V / (1.4142 mA) = 1061 Ω.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from lesson_runs import LESSONS, read

from phasorkit.analysis.lamp_in_time import lamps_in_time
from phasorkit.course.questions import questions
from phasorkit.draw.key_parts import drawings
from phasorkit.indicators import circuit

MM = 25.4 / 96
"""Millimetres of a pixel at 96 to the inch, as browsers take it."""


def reply(question: str, given: object) -> str:
    return " ".join(questions(question[:2])[question].reply(given).split())


@pytest.mark.parametrize(
    ("question", "given", "says"),
    [
        ("06.marking", "68n", "Right"),
        ("06.marking", 68e-9, "Right"),
        ("06.marking", "683 pF", "counts zeros"),
        ("06.marking", "683n", "counts zeros"),
        ("06.marking", "68p", "zeros that the 3"),
        ("06.marking", "6.8n", "decade"),
        ("06.value", "430k", "Right"),
        ("06.value", "820k", "Two shall share"),
        ("06.value", 417.5e3, "no such rung"),
        ("06.value", "420k", "no such rung"),
        ("06.value", "390k", "one above"),
        ("06.value", "1M6", "parallel"),
        ("06.value", "43k", "decade"),
        ("06.fingers", 280.6e3, "Right"),
        ("06.fingers", "390k", "part alone"),
        ("06.fingers", "1M39", "side by side"),
        ("07.strike-time", "1.483 ms", "Right"),
        ("07.strike-time", "2.25 ms", "its rms"),
        ("07.strike-time", "1.78 ms", "50 Hz"),
        ("07.strike-time", "2.21 ms", "straight line"),
        ("07.strike-time", 1.483, "power of ten"),
        ("07.pulse-height", "8 mA", "Right"),
        ("07.pulse-height", "20 mA", "keeps for itself"),
        ("07.pulse-height", "12 mA", "what is left"),
        ("07.shunt", "1k06", "Right"),
        ("07.shunt", "1k5", "rms current"),
        ("07.shunt", "2k12", "must be smaller"),
    ],
)
def test_a_number_is_marked_and_its_mix_ups_are_known(question: str, given: object, says: str) -> None:
    assert says in reply(question, given)


@pytest.mark.parametrize(
    ("question", "right"),
    [("06.fingers", "280"), ("07.strike-time", "1.48"), ("07.shunt", "1.06"), ("06.value", "430")],
)
def test_no_wrong_number_is_told_the_right_one(question: str, right: str) -> None:
    for guess in (0, 1, 5, "560k", "280k", "300k", "390k", "1M39", "2.25 ms", "1.78 ms", "2.2 ms", "1k5", "2k12", "x"):
        assert right not in reply(question, guess), guess


# --- the ruler ----------------------------------------------------------------------------------------


def put_in(lesson: str, cell: str) -> list[float]:
    """The millimetres that a lesson puts into its ruler cell."""
    source = next(c.source for c in read(LESSONS / lesson).cells if c.id == cell)
    lines = [
        x.split("#")[0].split("=")[1] for x in source.splitlines() if re.match(r"^[a-z0-9_, ]+ = [\d., ]+( *#.*)?$", x)
    ]
    return [float(v) for x in lines for v in x.split(",")]


def extent(svg: str, mark: str) -> np.ndarray:
    """First and last x, smallest and largest y of the first path with a mark [px]."""
    data = re.search(rf'd="M([^"Z]+)Z?"[^>]*{re.escape(mark)}', svg)[1]  # type: ignore[index]
    xy = np.array([[float(c) for c in pair.split(",")] for pair in data.split(" L")])
    return np.array([xy[:, 0].min(), xy[:, 0].max(), xy[:, 1].min(), xy[:, 1].max()])


def test_the_ladder_has_the_millimetres_that_lesson_06_measured() -> None:
    svg = drawings()["parts_ladder.svg"].svg
    at = {v: extent(svg, f'data-rung="{v}"')[0] for v in ("100000", "220000", "470000", "1e+06")}
    found = [(at[v] - at["100000"]) * MM for v in ("1e+06", "220000", "470000")]
    assert put_in("06-choosing-parts.ipynb", "ladder-ruler") == pytest.approx(found, abs=0.6)


def test_the_lamp_by_itself_has_the_millimetres_that_lesson_07_measured() -> None:
    svg = drawings()["lamp_alone.svg"].svg
    left, right = extent(svg, 'data-free="H1"')[0], 612.0
    strip, current = extent(svg, 'data-lit="H1"'), extent(svg, 'data-ampere="H1"')
    found = [(right - left) * MM, (strip[0] - left) * MM, (strip[1] - left) * MM, 52 * MM, (323 - current[2]) * MM]
    assert put_in("07-lamps-that-switch.ipynb", "alone-ruler") == pytest.approx(found, abs=0.6)


def test_the_pulse_has_the_millimetres_that_lesson_07_measured() -> None:
    current = extent(drawings()["lamp_pulse.svg"].svg, 'data-ampere="H1"')
    assert put_in("07-lamps-that-switch.ipynb", "pulse-ruler") == pytest.approx(
        [52 * MM, (323 - current[2]) * MM], abs=0.6
    )


# --- claims -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("volts", "hertz"), [(400, 50), (208, 60), (480, 60)])
def test_the_bridge_with_one_capacitor_has_no_pulse(volts: float, hertz: float) -> None:
    """Lesson 07: its R1 and R2 stand in the way of C1, so a peak is no more than that of a sine."""
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=hertz, line_voltage=volts)  # type: ignore[attr-defined]
    record = lamps_in_time(bridge, supply=bridge.supply("132"))[0]
    assert record.peak_ampere < 1.6 * record.rms_ampere


@pytest.mark.parametrize(("volts", "hertz"), [(400, 50), (208, 60), (480, 60)])
def test_the_rule_for_a_lit_lamps_current_lies_between_mean_and_rms(volts: float, hertz: float) -> None:
    for name in ("divider-bridge", "double-rc-bridge"):
        bridge = circuit(name).sized(capacitance=4.7e-9, frequency=hertz, line_voltage=volts)  # type: ignore[attr-defined]
        lamp, on = bridge.lamps[0], bridge.supply("132")
        promised, inside = (abs(complex(x)) for x in bridge.on(on).solution.thevenin(lamp.a, lamp.b))
        record = lamps_in_time(bridge, supply=on)[0]
        rule = (promised - 60) / inside
        assert record.mean_ampere < rule < record.rms_ampere
        assert rule == pytest.approx(record.mean_ampere, rel=0.2)


@pytest.mark.parametrize(("volts", "hertz"), [(400, 50), (208, 60), (480, 60)])
def test_the_worked_led_pair_holds_at_both_ends_of_the_voltage(volts: float, hertz: float) -> None:
    pair = circuit("led-pair").sized(capacitance=68e-9, frequency=hertz, line_voltage=volts)  # type: ignore[attr-defined]
    bought = pair.with_preferred_values("E24")
    for share in (0.85, 1.10):
        for sequence, states in (("123", ["lit", "dark"]), ("132", ["dark", "lit"])):
            supply = replace(bought.supply(sequence), line_voltage=share * volts)
            assert [r.state for r in lamps_in_time(bought, supply=supply)] == states
