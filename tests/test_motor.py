"""Induction motor on good and poor supplies: textbook rows, second methods in time and by networks, invariants."""

from dataclasses import replace

import numpy as np
import pytest
from example_motors import CHAPMAN, FITZGERALD, MOTORS, RATED, SHARES, SLIPS, TEXTBOOK, in_delta
from hypothesis import given
from hypothesis import strategies as st
from reference_rows import Row, load
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from phasorkit.motor import InductionMotor, Running
from phasorkit.network import Element, Network
from phasorkit.phasors import waveform
from phasorkit.rotating_field import synchronous_rpm
from phasorkit.supply import CONDUCTORS, Supply

TURN = 2 * np.pi / 3


# --- the motor: textbook rows -----------------------------------------------------------------------------


def quantity(run: Running, row: Row) -> complex:
    """The quantity that a row names."""
    known = {
        "rpm": run.rpm,
        "synchronous rpm": synchronous_rpm(run.supply.frequency, poles=run.motor.poles),
        "current L1": run.line_currents[0],
        "magnitude L1": abs(run.line_currents[0]),
        "power factor": run.power_factor,
        "input power": run.input_power.real,
        "stator loss": run.stator_loss,
        "air gap power": sum(run.airgap_powers),
        "converted power": run.torque * run.speed,
        "shaft power": run.shaft_power,
        "torque": run.torque,
        "shaft torque": run.shaft_torque,
        "efficiency": run.efficiency,
    }
    if row.quantity.startswith("breakdown"):
        slip, torque = run.motor.breakdown(line_voltage=run.supply.line_voltage, frequency=run.supply.frequency)
        known |= {"breakdown slip": slip, "breakdown torque": torque}
    return complex(known[row.quantity])


BOOK = [row for row in load("motor") if not {"open", "load", "negative"} & set(row.given)]


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in BOOK])
def test_textbook_motors(row: Row) -> None:
    """Two textbook motors: current, powers, torques, efficiency, start, breakdown."""
    motor, supply = TEXTBOOK[row.given["motor"]]
    if "rotor_resistance" in row.given:
        motor = replace(motor, rotor_resistance=float(row.given["rotor_resistance"]))
    row.check(quantity(motor.on(supply, slip=float(row.given["slip"])), row))


# --- the motor: a second method ---------------------------------------------------------------------------


def by_time_steps(motor: InductionMotor, supply: Supply, slip: float) -> tuple[float, float, np.ndarray]:
    """Mean torque [N·m], input power [W] and line currents [A rms] from the two-axis equations, solved in time.

    Flux linkages of stator and rotor as space vectors in the frame of the stator, the shaft held at its speed:
    dψs/dt = us − R1·is, dψr/dt = −R2·ir + jω·ψr, torque = 3/2·p·Im(conj(ψs)·is). No phasors, no sequences.
    """
    r1, x1, r2, x2, xm = (float(v) for v in motor.star_values(supply.frequency))
    omega, pairs = 2 * np.pi * float(supply.frequency), motor.poles / 2
    inductance = np.array([[x1 + xm, xm], [xm, x2 + xm]]) / omega
    inverse = np.linalg.inv(inductance)
    volts = np.stack(supply.phasors())
    along = np.exp(1j * TURN * np.arange(3))

    def stator_volts(t: np.ndarray) -> np.ndarray:
        return 2 / 3 * along @ waveform(volts, frequency=omega / 2 / np.pi, time=np.atleast_1d(t))

    system = np.diag([0, 1j * (1 - slip) * omega]) - np.diag([r1, r2]) @ inverse

    def change(t: float, flux: np.ndarray) -> np.ndarray:
        return system @ flux + np.array([stator_volts(t)[0], 0])

    def solve(start: np.ndarray, times: np.ndarray) -> np.ndarray:
        return solve_ivp(change, (0, period), start, "DOP853", times, rtol=1e-10, atol=1e-11).y

    period = 2 * np.pi / omega
    after = solve(np.zeros(2, complex), [period])[:, -1]  # from rest; the start that comes back to itself is periodic
    start = np.linalg.solve(np.eye(2) - expm(system * period), after)
    last = np.linspace(0, period, 257)[:-1]
    path = solve(start, last)
    stator = (inverse @ path)[0]
    torque = 1.5 * pairs * np.imag(np.conj(path[0]) * stator)
    power = 1.5 * np.real(stator_volts(last) * np.conj(stator))
    momentary = np.real(np.conj(along)[:, None] * stator)
    return float(torque.mean()), float(power.mean()), np.sqrt(np.mean(momentary**2, axis=-1))


@pytest.mark.parametrize("slip", [0.022, 0.3, 1.0, 1.9])
@pytest.mark.parametrize("negative", [0.0, 0.08 + 0.03j])
def test_motor_by_time_steps(slip, negative) -> None:
    """Running, slow, starting and plugging, on a balanced and an unbalanced supply: the time domain agrees."""
    supply = RATED.unbalanced(negative=negative)
    run = CHAPMAN.on(supply, slip=slip)
    torque, power, currents = by_time_steps(CHAPMAN, supply, slip)
    assert torque == pytest.approx(float(run.torque), rel=1e-6, abs=1e-4)
    assert power == pytest.approx(float(run.input_power.real), rel=1e-6)
    assert currents == pytest.approx(np.abs(run.line_currents), rel=1e-6)


def branch(prefix: str, slip: float, start: str, end: str) -> tuple[Element, ...]:
    """The equivalent circuit of one sequence as resistors and inductors."""
    omega = 2 * np.pi * 60
    names = ("stator_resistance", "stator_reactance", "rotor_resistance", "rotor_reactance", "magnetizing_reactance")
    r1, x1, r2, x2, xm = (getattr(CHAPMAN, name) for name in names)
    return (
        Element(f"{prefix}R1", "R", r1, start, f"{prefix}1"),
        Element(f"{prefix}X1", "L", x1 / omega, f"{prefix}1", f"{prefix}2"),
        Element(f"{prefix}Xm", "L", xm / omega, f"{prefix}2", end),
        Element(f"{prefix}X2", "L", x2 / omega, f"{prefix}2", f"{prefix}3"),
        Element(f"{prefix}R2", "R", r2 / slip, f"{prefix}3", end),
    )


@pytest.mark.parametrize("slip", [0.03, 0.5, 1.0])
@pytest.mark.parametrize("lost", CONDUCTORS)
def test_lost_line_by_circuits_in_series(slip, lost) -> None:
    """Textbook: with one line open the circuits of slip s and 2 − s lie in series across the line voltage that is left.

    The line current is that of the series circuit; torque from the powers in the two R2/s.
    """
    series = Network(branch("f", slip, "in", "mid") + branch("b", 2 - slip, "mid", "0"))
    solved = series.solve({"in": 460.0, "0": 0.0}, frequency=60)
    run = CHAPMAN.on(RATED.without(lost), slip=slip)
    live = [k for k, name in enumerate(CONDUCTORS) if name != lost]
    assert np.abs(run.line_currents)[live] == pytest.approx(abs(complex(solved.source_current("in"))))
    assert abs(run.line_currents[CONDUCTORS.index(lost)]) < 1e-9
    gap = solved.power("fR2").real - solved.power("bR2").real
    assert float(run.torque) == pytest.approx(gap / (2 * np.pi * 30), abs=1e-9)


# --- the motor: invariants --------------------------------------------------------------------------------


@given(MOTORS, SLIPS, SHARES, st.sampled_from(["none", *CONDUCTORS]))
def test_input_is_losses_and_shaft(motor, slip, negative, lost) -> None:
    """Input power = stator and rotor copper + rotational loss + shaft power, with any unbalance or a lost line."""
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    run = motor.on(supply if lost == "none" else supply.without(lost), slip=slip)
    spent = run.stator_loss + run.rotor_loss + run.rotational_loss + run.shaft_power
    size = np.sum(np.abs(run.terminal_volts) * np.abs(run.line_currents))
    assert float(run.input_power.real) == pytest.approx(float(spent), abs=1e-9 * (1 + size))
    assert abs(np.sum(run.line_currents)) < 1e-9 * (1 + size)


@given(MOTORS, SLIPS, SHARES)
def test_two_lines_exchanged_mirror_the_motor(motor, slip, negative) -> None:
    """At the mirrored speed torque and speed change their sign, powers stay."""
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    run, mirrored = motor.on(supply, slip=slip), motor.on(supply.swapped("L2", "L3"), slip=2 - slip)
    scale = 1e-9 * (1 + sum(np.abs(run.torques)))
    assert float(mirrored.torque) == pytest.approx(-float(run.torque), abs=scale)
    assert float(mirrored.speed) == pytest.approx(-float(run.speed))
    assert float(mirrored.input_power.real) == pytest.approx(float(run.input_power.real), rel=1e-6, abs=1e-3)


@given(MOTORS, st.sampled_from([("L1", "L2"), ("L2", "L3"), ("L1", "L3")]))
def test_starting_torque_follows_the_sequence(motor, pair) -> None:
    """Exchange any two lines and the start reverses; lose any line and there is none."""
    supply = Supply(line_voltage=400, frequency=50)
    start = float(motor.on(supply, slip=1).torque)
    assert start > 0
    assert float(motor.on(supply.swapped(*pair), slip=1).torque) == pytest.approx(-start)
    assert float(motor.on(supply.reversed(), slip=1).torque) == pytest.approx(-start)
    assert abs(float(motor.on(supply.without(pair[0]), slip=1).torque)) < 1e-9 * start


@given(MOTORS, SLIPS, SHARES)
def test_delta_and_star_are_alike_from_the_lines(motor, slip, negative) -> None:
    """Three times every impedance in delta takes the same line currents; its windings take the difference of two."""
    star = replace(motor, connection="star")
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    a, b = star.on(supply, slip=slip), in_delta(star).on(supply, slip=slip)
    assert np.allclose(a.line_currents, b.line_currents)
    u, v, w = b.winding_currents
    assert np.allclose([u - w, v - u, w - v], b.line_currents)
    assert abs(u + v + w) < 1e-9


@given(MOTORS, st.floats(0.01, 0.3))
def test_negative_sequence_brakes(motor, share) -> None:
    """At the same speed the negative sequence takes torque away and adds heat, whatever its angle."""
    supply = Supply(line_voltage=400, frequency=50)
    good, poor = (motor.on(s, slip=0.03) for s in (supply, supply.unbalanced(negative=share * 1j)))
    assert float(poor.torque) < float(good.torque)
    assert float(poor.stator_loss + poor.rotor_loss) > float(good.stator_loss + good.rotor_loss)
    assert float(good.torques[1]) == pytest.approx(0, abs=1e-9)


def test_breakdown_is_the_top_of_the_curve() -> None:
    """Second method: the largest torque on a fine ladder of slips."""
    slips = np.linspace(0.001, 1, 20001)
    torque = CHAPMAN.on(RATED, slip=slips).torque
    slip, top = CHAPMAN.breakdown(line_voltage=460, frequency=60)
    assert torque.max() == pytest.approx(float(top), rel=1e-6)
    assert slips[np.argmax(torque)] == pytest.approx(float(slip), abs=1e-4)


def test_frequency_moves_every_reactance() -> None:
    """A 60 Hz motor at 50 Hz is one whose reactances are 5/6; without R1 constant V/f keeps the breakdown torque."""
    names = ("stator_reactance", "rotor_reactance", "magnetizing_reactance")
    rewritten = replace(CHAPMAN, frequency=50, **{name: getattr(CHAPMAN, name) * 5 / 6 for name in names})
    supply = Supply(line_voltage=460 * 5 / 6, frequency=50)
    assert np.allclose(CHAPMAN.on(supply, slip=0.05).line_currents, rewritten.on(supply, slip=0.05).line_currents)
    lossless = replace(CHAPMAN, stator_resistance=1e-9)
    hertz = np.array([20.0, 40.0, 60.0])
    _, torque = lossless.breakdown(line_voltage=460 * hertz / 60, frequency=hertz)
    assert torque == pytest.approx(np.full(3, torque[-1]))


def test_synchronous_and_generating() -> None:
    """At synchronous speed there is no torque; driven faster it feeds back, and efficiency as a motor means nothing."""
    slips = np.array([0.0, -0.02])
    run = CHAPMAN.on(RATED, slip=slips)
    assert abs(run.torque[0]) < 1e-9
    assert run.input_power.real[1] < 0 < run.speed[1]
    assert np.all(np.isnan(run.efficiency))


def test_dead_supply_is_quiet() -> None:
    """No current, no torque, no power factor; two open lines or all three likewise."""
    for supply in (RATED.dead(), RATED.without("L1").without("L2"), RATED.without("L1").without("L2").without("L3")):
        run = CHAPMAN.on(supply, slip=0.5)
        assert np.max(np.abs(run.line_currents)) < 1e-12
        assert np.isnan(run.power_factor)
        assert np.isnan(run.efficiency)


def test_motor_broadcasts() -> None:
    """Slips against voltages, one call."""
    supply = Supply(line_voltage=np.array([380.0, 400.0, 415.0]), frequency=50)
    run = FITZGERALD.on(supply, slip=np.linspace(0.01, 1, 7)[:, None])
    assert run.torque.shape == run.efficiency.shape == run.shaft_torque.shape == (7, 3)
    assert np.broadcast_shapes(run.rpm.shape, (7, 3)) == (7, 3)
    assert run.line_currents.shape == run.winding_currents.shape == (7, 3, 3)
    assert run.torque[2, 1] == pytest.approx(float(FITZGERALD.on(Supply(line_voltage=400), slip=run.slip[2, 0]).torque))
    assert FITZGERALD.on(supply.without("L3"), slip=np.linspace(0.01, 1, 7)[:, None]).torque.shape == (7, 3)


# --- refusals ---------------------------------------------------------------------------------------------


def test_bad_input_is_named() -> None:
    """Argument, unit, value, what is accepted."""
    bad = [
        (lambda: replace(CHAPMAN, poles=3), r"poles must be an even number from 2, got 3"),
        (lambda: replace(CHAPMAN, rotor_resistance=-1), r"rotor_resistance must be positive and finite \[Ω\], got -1"),
        (lambda: replace(CHAPMAN, frequency=0), r"frequency must be positive and finite \[Hz\], got 0"),
        (lambda: replace(CHAPMAN, rotational_loss=-5), r"rotational_loss must be 0 or more and finite \[W\], got -5"),
        (lambda: replace(CHAPMAN, connection="zigzag"), r"connection must be 'star' or 'delta', got 'zigzag'"),
        (lambda: CHAPMAN.on(RATED, slip=np.inf), r"slip must be a real finite number \[1\], got inf"),
        (lambda: CHAPMAN.on(RATED, slip=1j), r"slip must be a real finite number"),
    ]
    for call, message in bad:
        with pytest.raises(ValueError, match=message):
            call()
