"""Lost line, load and derating of a motor: what the trade says, a root finder, mirrors."""

import numpy as np
import pytest
from example_motors import CHAPMAN, RATED, in_delta
from hypothesis import given, settings
from hypothesis import strategies as st
from reference_rows import Row, load
from scipy.optimize import brentq

from phasorkit.motor import Running
from phasorkit.motor_faults import derating, running_slip, single_phasing

PRACTICE = [row for row in load("motor") if {"open", "load", "negative"} & set(row.given)]


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in PRACTICE])
def test_what_the_trade_says_of_poor_supplies(row: Row) -> None:
    """No start on two lines, about √3 the current, worse inside a delta, currents 6 to 10 times as unbalanced."""
    motor = in_delta(CHAPMAN) if "delta" in row.given["motor"] else CHAPMAN
    if "open" in row.given:
        row.check(float(motor.on(RATED.without(row.given["open"]), slip=float(row.given["slip"])).torque))
    elif "negative" in row.given:
        found = derating(
            motor, line_voltage=460, frequency=60, rated_slip=float(row.given["slip"]),
            negative=float(row.given["negative"]),
        )  # fmt: skip
        row.check(float(found.negative_current))
    else:
        lost = single_phasing(motor, RATED, torque=float(row.given["load"]))
        rise = lost.current_rise if "line current" in row.quantity else lost.winding_rise / lost.current_rise
        row.check(float(rise))


def test_open_terminal_of_a_running_motor_is_far_from_dead() -> None:
    """A lightly loaded motor holds its lost line near phase voltage (common practice): it does not test dead."""
    lost = single_phasing(CHAPMAN, RATED, torque=5, lost="L2")
    assert 0.7 * 460 / np.sqrt(3) < abs(lost.running.terminal_volts[1]) < 460 / np.sqrt(3)


@settings(max_examples=20)
@given(st.floats(0, 150))
def test_running_slip_carries_the_load(load) -> None:
    """The shaft gives the load's torque, on the stable side, in both directions."""
    slip = running_slip(CHAPMAN, RATED, torque=load)
    assert float(CHAPMAN.on(RATED, slip=slip).shaft_torque) == pytest.approx(load, abs=1e-6)
    assert slip < CHAPMAN.breakdown(line_voltage=460, frequency=60)[0]
    other = running_slip(CHAPMAN, RATED.reversed(), torque=load, forward=False)
    assert float(other) == pytest.approx(2 - float(slip))


def test_lost_line_current_rises_and_a_heavy_load_stalls() -> None:
    """Broadcast over loads: the rise grows with the load until the motor stalls and takes its standstill current."""
    loads = np.array([10.0, 40.0, 90.0, 150.0])
    lost = single_phasing(CHAPMAN, RATED, torque=loads)
    assert lost.stalls.tolist() == [False, False, False, True]
    assert np.all(np.diff(lost.current_rise) > 0)
    assert lost.running.shaft_torque[:3] == pytest.approx(loads[:3], abs=1e-6)
    assert np.allclose(lost.running.line_currents[3], lost.standing.line_currents)
    mirror = single_phasing(CHAPMAN, RATED.reversed(), torque=loads, lost="L3")
    assert np.allclose(mirror.current_rise, lost.current_rise)
    assert np.all(mirror.running.speed[:3] < 0)


def test_conductor_lost_upstream_is_not_an_open_line() -> None:
    """Held at the star point by other loads: some starting torque, and current in the dead conductor too."""
    lost = single_phasing(CHAPMAN, RATED, torque=10, lost="L3", upstream=True)
    full = float(CHAPMAN.on(RATED, slip=1).torque)
    assert float(lost.standing.torque) == pytest.approx(full * ((2 / 3) ** 2 - (1 / 3) ** 2))
    assert abs(lost.running.line_currents[2]) > abs(lost.healthy.line_currents[2])


def test_derating_brackets_the_curve_of_practice() -> None:
    """NEMA MG 1, Fig. 14-1, from memory: 0.95, 0.88, 0.82, 0.75 at 2, 3, 4, 5 % lie between mean and worst heating."""
    found = derating(
        CHAPMAN, line_voltage=460, frequency=60, rated_slip=0.022, negative=np.array([0, 0.02, 0.03, 0.04, 0.05])
    )
    practice = np.array([0.95, 0.88, 0.82, 0.75])
    assert np.all(found.by_hottest_winding[1:] < practice)
    assert np.all(practice < found.by_losses[1:])
    assert found.by_losses[0] == pytest.approx(1)
    assert found.by_hottest_winding[0] == pytest.approx(1)


def test_derating_by_a_root_finder() -> None:
    """Second method: heat is what goes in and does not come out as torque times speed; brentq finds the load."""
    poor = RATED.unbalanced(negative=0.05)
    rated = CHAPMAN.on(RATED, slip=0.022)

    def heat(run: Running) -> float:
        return float(run.input_power.real - run.torque * run.speed)

    slip = brentq(lambda s: heat(CHAPMAN.on(poor, slip=s)) - heat(rated), 0, 0.022)
    part = float(CHAPMAN.on(poor, slip=slip).shaft_power / rated.shaft_power)
    found = derating(CHAPMAN, line_voltage=460, frequency=60, rated_slip=0.022, negative=0.05)
    assert float(found.by_losses) == pytest.approx(part, rel=1e-9)


def derated(negative: float, slip: float = 0.022) -> None:
    """A derating of the textbook motor."""
    derating(CHAPMAN, line_voltage=460, frequency=60, rated_slip=slip, negative=negative)


def test_bad_input_is_named() -> None:
    """Argument, unit, value, what is accepted."""
    bad = [
        (lambda: running_slip(CHAPMAN, RATED, torque=-1), r"torque must be 0 or more and finite \[N·m\], got -1"),
        (lambda: single_phasing(CHAPMAN, RATED, torque=1e4), r"torque must be one that the motor carries"),
        (lambda: single_phasing(CHAPMAN, RATED.without("L1"), torque=1), r"supply must have all three probes laid"),
        (lambda: single_phasing(CHAPMAN, RATED, torque=1, lost="L4"), r"probe must be one of L1, L2, L3, got 'L4'"),
        (lambda: derated(-0.1), r"negative must be 0 or more and finite \[1\], got -0.1"),
        (lambda: derated(0.1, slip=2), r"rated_slip must lie between 0 and 1, got 2"),
    ]
    for call, message in bad:
        with pytest.raises(ValueError, match=message):
            call()
