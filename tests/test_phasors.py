"""Phasors: polar form, waveforms, symmetrical components."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from phasorkit.phasors import A, angle_deg, from_components, polar, symmetrical_components, waveform

COMPLEX = st.complex_numbers(max_magnitude=1e6, allow_nan=False, allow_infinity=False)


@given(st.lists(COMPLEX, min_size=3, max_size=3))
def test_components_go_there_and_back(abc) -> None:
    """Three phasors from their components are the three phasors."""
    size = 1 + np.max(np.abs(abc))
    assert np.all(np.abs(from_components(symmetrical_components(abc)) - abc) <= 1e-14 * 10 * size)


@given(st.lists(COMPLEX, min_size=3, max_size=3))
def test_components_mirror(abc) -> None:
    """Two conductors exchanged: positive and negative sequence exchange too, the zero sequence stays."""
    zero, positive, negative = symmetrical_components(abc)
    swapped = symmetrical_components([abc[0], abc[2], abc[1]])
    assert np.all(np.abs(swapped - [zero, negative, positive]) <= 1e-14 * 10 * (1 + np.max(np.abs(abc))))


@given(st.lists(COMPLEX, min_size=3, max_size=3))
def test_components_keep_the_power(abc) -> None:
    """The sum of squares is three times that of the components (Fortescue's transform is unitary but for √3)."""
    x = symmetrical_components(abc)
    assert np.sum(np.abs(abc) ** 2) == pytest.approx(3 * np.sum(np.abs(x) ** 2), rel=1e-9, abs=1e-9)


def test_the_operator_a() -> None:
    """Three turns by 120° are none, and the three together close."""
    assert abs(A**3 - 1) < 1e-15
    assert abs(1 + A + A**2) < 1e-15
    assert angle_deg(A) == pytest.approx(120)


def test_positive_sequence_is_l1_l2_l3_in_time() -> None:
    """The sequence is an order in time: the peaks come as L1, L2, L3."""
    time = np.linspace(0, 0.02, 2001)[:-1]
    peaks = time[np.argmax(waveform(from_components([0, 230, 0]), frequency=50, time=time), axis=-1)]
    assert peaks == pytest.approx([0, 0.02 / 3, 0.04 / 3], abs=1e-5)


@given(st.floats(0.1, 1e3), st.floats(-180, 180), st.floats(10, 1000))
def test_rms_of_the_waveform_is_the_magnitude(magnitude, degrees, frequency) -> None:
    """The square root of the mean square over one period, integrated numerically, is |X|."""
    time = np.linspace(0, 1 / frequency, 401)
    momentary = waveform(polar(magnitude, degrees), frequency=frequency, time=time)
    assert np.sqrt(trapezoid(momentary**2, time) * frequency) == pytest.approx(magnitude)


@given(st.floats(0.1, 1e3), st.floats(-179.9, 180))
def test_polar_and_angle(magnitude, degrees) -> None:
    """Magnitude and angle come back."""
    assert abs(polar(magnitude, degrees)) == pytest.approx(magnitude)
    assert angle_deg(polar(magnitude, degrees)) == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize(
    ("phasor", "degrees"),
    [
        (-1, 180),
        (complex(-1, -0.0), 180),
        (0, 0),
        (complex(-0.0, -0.0), 0),
        (complex(-0.0, 0.0), 0),
        (1j, 90),
        (-1j, -90),
    ],
)
def test_angle_lies_above_minus_180_up_to_180(phasor, degrees) -> None:
    """A negative zero does not turn 180° into −180°, and nothing has no angle: 0."""
    assert angle_deg(phasor) == degrees


def test_shapes_broadcast() -> None:
    """Leading axes are batches."""
    assert polar([[1], [2]], [0, 90, 180]).shape == (2, 3)
    assert waveform(np.ones((2, 3)), frequency=50, time=np.zeros(7)).shape == (2, 3, 7)
    assert symmetrical_components(np.ones((4, 5, 3))).shape == (4, 5, 3)


@pytest.mark.parametrize("shape", [(), (2,), (3, 2)])
def test_three_phasors_are_asked_for(shape) -> None:
    """A last axis of another length is refused, and the message says what is wanted and what came."""
    with pytest.raises(
        ValueError, match=rf"phasors: last axis must hold L1, L2, L3 .* got shape \({shape[:1] and shape[0]}"
    ):
        symmetrical_components(np.ones(shape))
    with pytest.raises(ValueError, match=r"components: last axis must hold X0, X1, X2"):
        from_components(np.ones(shape))
