"""Symmetrical components, the field of three windings, direction of a shaft: algebra, superposition, standards."""

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import sympy
from example_motors import SHARES
from hypothesis import given
from hypothesis import strategies as st
from reference_rows import Row, load, number

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

TURN = 2 * np.pi / 3
COMPLEX = st.complex_numbers(max_magnitude=100, allow_nan=False, allow_infinity=False)
THREE = st.lists(COMPLEX, min_size=3, max_size=3)


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


# --- refusals ---------------------------------------------------------------------------------------------


def test_bad_input_is_named() -> None:
    """Argument, unit, value, what is accepted."""
    bad = [
        (lambda: shaft_direction("321"), r"sequence must be '123' or '132', got '321'"),
        (lambda: shaft_direction("123", terminals=("L1", "L1", "L3")), r"terminals must be L1, L2, L3 in some order"),
        (lambda: rotating_field([1, 2]), r"phasors: last axis must hold L1, L2, L3"),
        (lambda: rotating_field([1, np.nan, 0]), r"currents must be finite \[A\]"),
        (lambda: winding_currents(Supply(), resistance=1, inductance=1, connection="?"), r"connection must be one of"),
        (lambda: winding_currents(Supply(), resistance=0, inductance=1), r"value must be positive and finite \[Ω\]"),
        (lambda: synchronous_rpm(50, poles=5), r"poles must be an even number from 2, got 5"),
        (lambda: synchronous_rpm(0, poles=4), r"frequency must be positive and finite \[Hz\], got 0"),
    ]
    for call, message in bad:
        with pytest.raises(ValueError, match=message):
            call()
