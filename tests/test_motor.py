"""Rotating field, shaft direction, motor on good and poor supplies: textbooks, second methods, invariants."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st
from reference_rows import Row, load, number
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from phasorkit.motor import InductionMotor, Running
from phasorkit.motor_faults import derating, running_slip, single_phasing
from phasorkit.network import Element, Network
from phasorkit.phasors import symmetrical_components, waveform
from phasorkit.rotating_field import (
    CONNECTIONS,
    RotatingField,
    rotating_field,
    shaft_direction,
    synchronous_rpm,
    winding_currents,
)
from phasorkit.supply import CONDUCTORS, Supply

CHAPMAN = InductionMotor(
    stator_resistance=0.641, stator_reactance=1.106, rotor_resistance=0.332, rotor_reactance=0.464,
    magnetizing_reactance=26.3, frequency=60, poles=4, rotational_loss=1100,
)  # fmt: skip
FITZGERALD = InductionMotor(
    stator_resistance=0.294, stator_reactance=0.503, rotor_resistance=0.144, rotor_reactance=0.209,
    magnetizing_reactance=13.25, frequency=60, poles=6, rotational_loss=403,
)  # fmt: skip
RATED = Supply(line_voltage=460, frequency=60)
TEXTBOOK = {"chapman": (CHAPMAN, RATED), "fitzgerald": (FITZGERALD, Supply(line_voltage=220, frequency=60))}
TURN = 2 * np.pi / 3

COMPLEX = st.complex_numbers(max_magnitude=100, allow_nan=False, allow_infinity=False)
THREE = st.lists(COMPLEX, min_size=3, max_size=3)
SLIPS = st.floats(0.002, 0.9) | st.floats(1.1, 1.998)
SHARES = st.complex_numbers(max_magnitude=0.3, allow_nan=False, allow_infinity=False)
OHMS = st.floats(0.05, 5)


def in_delta(motor: InductionMotor) -> InductionMotor:
    """The motor in delta that is equal seen from the lines: three times every impedance."""
    names = ("stator_resistance", "stator_reactance", "rotor_resistance", "rotor_reactance", "magnetizing_reactance")
    return replace(motor, connection="delta", **{name: 3 * getattr(motor, name) for name in names})


motors = st.builds(
    InductionMotor,
    stator_resistance=OHMS, stator_reactance=OHMS, rotor_resistance=OHMS, rotor_reactance=OHMS,
    magnetizing_reactance=st.floats(10, 200), frequency=st.sampled_from([50.0, 60.0]),
    poles=st.sampled_from([2, 4, 6, 8]), rotational_loss=st.just(0.0) | st.floats(1, 500),
    connection=st.sampled_from(["star", "delta"]),
)  # fmt: skip


# --- symmetrical components: rows that were missing, and algebra ------------------------------------------


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in load("sequences")])
def test_components_of_the_textbook_faults(row: Row) -> None:
    """One phase to earth, two lines together, a reversed set, a missing phase, three alike."""
    row.check(*symmetrical_components([number(text) for text in row.given["phasors"].split(";")]))


@cache
def components_by_algebra() -> Callable[..., list[complex]]:
    """X0 + X1 + X2 = Xa, X0 + a²X1 + aX2 = Xb, X0 + aX1 + a²X2 = Xc, solved exactly for X0, X1, X2."""
    a = sympy.Rational(-1, 2) + sympy.sqrt(3) / 2 * sympy.I
    unknown, known = sympy.symbols("x0 x1 x2"), sympy.symbols("xa xb xc")
    sums = [sum(x * a ** ((-k * row) % 3) for k, x in enumerate(unknown)) for row in range(3)]
    solved = sympy.linsolve([s - g for s, g in zip(sums, known, strict=True)], unknown).args[0]
    return sympy.lambdify(known, list(solved))


@given(THREE)
def test_components_by_algebra(phasors) -> None:
    """Second method: the three defining equations solved by a computer algebra library."""
    assert np.allclose(symmetrical_components(phasors), components_by_algebra()(*phasors), atol=1e-9)


# --- rotating field ---------------------------------------------------------------------------------------


@given(THREE)
def test_field_is_the_sum_of_three_standing_fields(currents) -> None:
    """Momentary currents times the direction of each winding's axis, added up, give the space vector at any time."""
    time = np.linspace(0, 0.02, 33)
    along = np.exp(1j * TURN * np.arange(3))
    added = np.sum(waveform(currents, frequency=50, time=time) * along[:, None], axis=0)
    assert np.allclose(rotating_field(currents).at(time, frequency=50), added, atol=1e-9)


@given(THREE)
def test_two_leads_exchanged_exchange_the_waves(currents) -> None:
    """The wave that ran forward runs backward, with the same strength."""
    field, swapped = rotating_field(currents), rotating_field([currents[0], currents[2], currents[1]])
    assert abs(swapped.forward) == pytest.approx(abs(field.backward), abs=1e-9)
    assert abs(swapped.backward) == pytest.approx(abs(field.forward), abs=1e-9)


@given(THREE, COMPLEX)
def test_equal_currents_add_no_field(currents, extra) -> None:
    """A zero sequence makes no rotating field."""
    field, more = rotating_field(currents), rotating_field(np.asarray(currents) + extra)
    assert np.allclose([field.forward, field.backward], [more.forward, more.backward], atol=1e-9)


@given(THREE)
def test_half_axes_are_the_extremes_over_a_period(currents) -> None:
    """The longest and shortest field over one period."""
    field = rotating_field(currents)
    length = np.abs(field.at(np.linspace(0, 1, 4001), frequency=1))
    assert np.allclose([length.max(), length.min()], field.half_axes, atol=2e-3 * (1 + length.max()))


def test_balanced_field_is_one_and_a_half_times_one_winding_and_follows_the_sequence() -> None:
    """Textbook result: 1.5 times the peak of one winding, constant, one turn a period, in the sense of the sequence."""
    time = np.linspace(0, 0.02, 101)
    for sequence, sense in (("123", 1), ("132", -1)):
        currents = winding_currents(
            Supply(line_voltage=400, frequency=50, sequence=sequence), resistance=5, inductance=0.05
        )
        vector = rotating_field(currents).at(time, frequency=50)
        assert np.allclose(np.abs(vector), 1.5 * np.sqrt(2) * np.abs(currents[0]))
        assert np.unwrap(np.angle(vector))[-1] - np.angle(vector)[0] == pytest.approx(sense * 2 * np.pi)
        assert rotating_field(currents).direction == sense


@pytest.mark.parametrize(
    ("connection", "kind", "ratio"),
    [("star", "pulsating", 0), ("delta", "pulsating", 0), ("star with neutral", "ellipse", 1 / 3)],
)
@pytest.mark.parametrize("lost", CONDUCTORS)
def test_open_phase(connection, kind, ratio, lost) -> None:
    """Without a neutral the field only pulsates; with one, two windings still turn it: axes 3 to 1 by hand.

    Two equal currents 120° apart: |F| ∝ 2/3, |B| ∝ 1/3, so the short axis is a third of the long one.
    """
    currents = winding_currents(
        Supply(line_voltage=400, frequency=50).without(lost), resistance=5, inductance=0.05, connection=connection
    )
    field = rotating_field(currents)
    long, short = field.half_axes
    assert str(field.kind) == kind
    assert short / long == pytest.approx(ratio, abs=1e-9)
    assert field.direction == (ratio > 0)


@given(SHARES.filter(lambda z: abs(z) > 0.01))
def test_unbalance_makes_an_ellipse_as_unequal_as_the_voltage(negative) -> None:
    """Equal windings: the backward wave over the forward one is the negative over the positive sequence voltage."""
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    field = rotating_field(winding_currents(supply, resistance=5, inductance=0.05))
    assert str(field.kind) == "ellipse"
    assert abs(field.backward) / abs(field.forward) == pytest.approx(abs(negative))


def test_winding_currents_by_ohms_law() -> None:
    """Second method: phase voltage over Z in star, line voltage over Z in delta: three times the line current."""
    z = 5 + 2j * np.pi * 50 * 0.05
    supply = Supply(line_voltage=400, frequency=50)
    l1, l2, _ = supply.phasors()
    star, neutral, delta = (
        winding_currents(supply, resistance=5, inductance=0.05, connection=name) for name in CONNECTIONS
    )
    assert np.allclose(star[0], l1 / z)
    assert np.allclose(neutral, star)
    assert np.allclose(delta[0], (l1 - l2) / z)
    assert abs(delta[0] - delta[2]) == pytest.approx(3 * abs(star[0]))


def test_no_current_no_field_and_batches() -> None:
    """Nothing is called nothing; leading axes are batches."""
    assert str(rotating_field([0, 0, 0]).kind) == "none"
    assert rotating_field([0, 0, 0]).direction == 0
    field = rotating_field(np.ones((4, 5, 3)))
    assert field.kind.shape == (4, 5)
    assert field.at(np.zeros(7), frequency=50).shape == (4, 5, 7)
    voltages = np.array([208.0, 400.0, 690.0])
    assert winding_currents(Supply(line_voltage=voltages), resistance=1, inductance=1).shape == (3, 3)
    assert isinstance(field, RotatingField)


# --- direction of the shaft -------------------------------------------------------------------------------


def test_direction_by_iec_60034_8_and_the_other_habit() -> None:
    """U1 V1 W1 on L1 L2 L3 in time order: clockwise on the drive end (IEC 60034-8, from memory); mirrored beyond."""
    right = shaft_direction("123")
    assert (right.drive_end, right.other_end) == ("clockwise", "counter-clockwise")
    assert "clockwise seen on the drive end" in right.words
    assert "counter-clockwise seen on the opposite end" in right.words


@pytest.mark.parametrize("terminals", [("L2", "L1", "L3"), ("L3", "L2", "L1"), ("L1", "L3", "L2")])
def test_any_two_exchanged_reverse_it_and_a_cyclic_change_does_not(terminals) -> None:
    """Common practice: exchange any two line conductors to reverse; moving all three round changes nothing."""
    assert shaft_direction("123", terminals=terminals).drive_end == "counter-clockwise"
    assert shaft_direction("132", terminals=terminals).drive_end == "clockwise"
    round_once = (terminals[1], terminals[2], terminals[0])
    assert shaft_direction("123", terminals=round_once).drive_end == "counter-clockwise"


@pytest.mark.parametrize("terminals", [("L1", "L2", "L3"), ("L2", "L1", "L3"), ("L3", "L1", "L2")])
@pytest.mark.parametrize("sequence", ["123", "132"])
def test_words_agree_with_the_field(sequence, terminals) -> None:
    """Clockwise on the drive end is the field that turns as U, V, W."""
    volts = dict(zip(CONDUCTORS, Supply(sequence=sequence).phasors(), strict=True))
    field = rotating_field(np.stack([volts[name] for name in terminals]))
    assert (shaft_direction(sequence, terminals=terminals).drive_end == "clockwise") == (field.direction == 1)


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


MOTOR_ROWS = load("motor")
BOOK = [row for row in MOTOR_ROWS if {"slip"} == set(row.given) - {"motor", "rotor_resistance"}]
PRACTICE = [row for row in MOTOR_ROWS if row not in BOOK]


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in BOOK])
def test_textbook_motors(row: Row) -> None:
    """Two textbook motors: current, powers, torques, efficiency, start, breakdown."""
    motor, supply = TEXTBOOK[row.given["motor"]]
    if "rotor_resistance" in row.given:
        motor = replace(motor, rotor_resistance=float(row.given["rotor_resistance"]))
    row.check(quantity(motor.on(supply, slip=float(row.given["slip"])), row))


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


def test_open_terminal_of_a_running_motor_is_far_from_dead() -> None:
    """A lightly loaded motor holds its lost line near phase voltage (common practice): it does not test dead."""
    lost = single_phasing(CHAPMAN, RATED, torque=5, lost="L2")
    assert 0.7 * 460 / np.sqrt(3) < abs(lost.running.terminal_volts[1]) < 460 / np.sqrt(3)


# --- the motor: invariants --------------------------------------------------------------------------------


@given(motors, SLIPS, SHARES, st.sampled_from(["none", *CONDUCTORS]))
def test_input_is_losses_and_shaft(motor, slip, negative, lost) -> None:
    """Input power = stator and rotor copper + rotational loss + shaft power, with any unbalance or a lost line."""
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    run = motor.on(supply if lost == "none" else supply.without(lost), slip=slip)
    spent = run.stator_loss + run.rotor_loss + run.rotational_loss + run.shaft_power
    size = np.sum(np.abs(run.terminal_volts) * np.abs(run.line_currents))
    assert float(run.input_power.real) == pytest.approx(float(spent), abs=1e-9 * (1 + size))
    assert abs(np.sum(run.line_currents)) < 1e-9 * (1 + size)


@given(motors, SLIPS, SHARES)
def test_two_lines_exchanged_mirror_the_motor(motor, slip, negative) -> None:
    """At the mirrored speed torque and speed change their sign, powers stay."""
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    run, mirrored = motor.on(supply, slip=slip), motor.on(supply.swapped("L2", "L3"), slip=2 - slip)
    scale = 1e-9 * (1 + sum(np.abs(run.torques)))
    assert float(mirrored.torque) == pytest.approx(-float(run.torque), abs=scale)
    assert float(mirrored.speed) == pytest.approx(-float(run.speed))
    assert float(mirrored.input_power.real) == pytest.approx(float(run.input_power.real), rel=1e-6, abs=1e-3)


@given(motors, st.sampled_from([("L1", "L2"), ("L2", "L3"), ("L1", "L3")]))
def test_starting_torque_follows_the_sequence(motor, pair) -> None:
    """Exchange any two lines and the start reverses; lose any line and there is none."""
    supply = Supply(line_voltage=400, frequency=50)
    start = float(motor.on(supply, slip=1).torque)
    assert start > 0
    assert float(motor.on(supply.swapped(*pair), slip=1).torque) == pytest.approx(-start)
    assert float(motor.on(supply.reversed(), slip=1).torque) == pytest.approx(-start)
    assert abs(float(motor.on(supply.without(pair[0]), slip=1).torque)) < 1e-9 * start


@given(motors, SLIPS, SHARES)
def test_delta_and_star_are_alike_from_the_lines(motor, slip, negative) -> None:
    """Three times every impedance in delta takes the same line currents; its windings take the difference of two."""
    star = replace(motor, connection="star")
    supply = Supply(line_voltage=400, frequency=50).unbalanced(negative=negative)
    a, b = star.on(supply, slip=slip), in_delta(star).on(supply, slip=slip)
    assert np.allclose(a.line_currents, b.line_currents)
    u, v, w = b.winding_currents
    assert np.allclose([u - w, v - u, w - v], b.line_currents)
    assert abs(u + v + w) < 1e-9


@given(motors, st.floats(0.01, 0.3))
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


# --- loads, lost lines, derating --------------------------------------------------------------------------


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


# --- refusals ---------------------------------------------------------------------------------------------


def derated(negative: float, slip: float = 0.022) -> None:
    """A derating of the textbook motor."""
    derating(CHAPMAN, line_voltage=460, frequency=60, rated_slip=slip, negative=negative)


def test_bad_input_is_named() -> None:
    """Argument, unit, value, what is accepted."""
    bad = [
        (lambda: replace(CHAPMAN, poles=3), r"poles must be an even number from 2, got 3"),
        (lambda: replace(CHAPMAN, rotor_resistance=-1), r"rotor_resistance must be positive and finite \[Ω\], got -1"),
        (lambda: replace(CHAPMAN, rotational_loss=-5), r"rotational_loss .*\[W, or 0\], got -5"),
        (lambda: replace(CHAPMAN, connection="zigzag"), r"connection must be 'star' or 'delta', got 'zigzag'"),
        (lambda: CHAPMAN.on(RATED, slip=np.inf), r"slip must be a real finite number \[1\], got inf"),
        (lambda: CHAPMAN.on(RATED, slip=1j), r"slip must be a real finite number"),
        (lambda: running_slip(CHAPMAN, RATED, torque=-1), r"torque must be 0 or more and finite \[N·m\], got -1"),
        (lambda: single_phasing(CHAPMAN, RATED, torque=1e4), r"torque must be one that the motor carries"),
        (lambda: single_phasing(CHAPMAN, RATED.without("L1"), torque=1), r"supply must have all three probes laid"),
        (lambda: single_phasing(CHAPMAN, RATED, torque=1, lost="L4"), r"probe must be one of L1, L2, L3, got 'L4'"),
        (lambda: shaft_direction("321"), r"sequence must be '123' or '132', got '321'"),
        (lambda: shaft_direction("123", terminals=("L1", "L1", "L3")), r"terminals must be L1, L2, L3 in some order"),
        (lambda: rotating_field([1, 2]), r"phasors: last axis must hold L1, L2, L3"),
        (lambda: winding_currents(RATED, resistance=1, inductance=1, connection="open"), r"connection must be one of"),
        (lambda: derated(-0.1), r"negative must be 0 or more and finite \[1\], got -0.1"),
        (lambda: derated(0.1, slip=2), r"rated_slip must lie between 0 and 1, got 2"),
    ]
    for call, message in bad:
        with pytest.raises(ValueError, match=message):
            call()
