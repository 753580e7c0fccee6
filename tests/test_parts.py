"""Preferred values and marking against an independent copy of the tables (package eseries)."""

from decimal import Decimal
from itertools import pairwise

import eseries
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from phasorkit.parts import COLOURS, SERIES, TOLERANCE_LETTERS, colour_bands, nearest, neighbours, series_values

KEYS = {name: getattr(eseries, name) for name in SERIES}
NAMES = st.sampled_from(SERIES)
VALUES = st.tuples(st.floats(1, 10), st.integers(-12, 9)).map(lambda pair: pair[0] * 10.0 ** pair[1])


@pytest.mark.parametrize("name", SERIES)
def test_every_series_is_the_table(name) -> None:
    """E3 to E192, all values."""
    table = np.array(eseries.series(KEYS[name]), dtype=float)
    assert (series_values(name) * (table[0])).round(9).tolist() == table.tolist()
    assert len(table) == int(name[1:])


@given(VALUES, NAMES)
def test_neighbours_against_the_copy(value, name) -> None:
    """The value below or equal, and the one above; a hair of binary dust counts as equal."""
    below, above = neighbours(value, name)
    assert below <= value * (1 + 1e-11)
    assert value < above
    assert below == pytest.approx(eseries.find_less_than_or_equal(KEYS[name], value * (1 + 1e-11)), rel=1e-9)
    assert above == pytest.approx(eseries.find_greater_than(KEYS[name], value * (1 + 1e-11)), rel=1e-9)


@given(VALUES, NAMES)
def test_nearest_is_one_of_the_neighbours_and_no_other_is_nearer(value, name) -> None:
    """Against every value of the series two decades around, from the copy."""
    chosen = nearest(value, name)
    ladder = np.array(list(eseries.erange(KEYS[name], value / 20, value * 20)))
    assert np.min(np.abs(ladder - chosen)) <= 1e-9 * value
    assert abs(chosen - value) <= np.min(np.abs(ladder - value)) + 1e-9 * value


@pytest.mark.parametrize("name", SERIES)
@pytest.mark.parametrize("power", range(-12, 10))
def test_preferred_values_stay_themselves(name, power) -> None:
    """Over all decades of parts, a hair above or below too, and written without binary dust."""
    decade = eseries.series(KEYS[name])
    clean = np.array([float(f"{mantissa / decade[0]:.2f}e{power}") for mantissa in decade])
    for hair in (1, 1 - 1e-14, 1 + 1e-14):
        assert nearest(clean * hair, name).tolist() == clean.tolist()


@pytest.mark.parametrize(
    ("value", "series", "bought"),
    [
        (9.6, "E24", 10),
        (9.55, "E24", 9.1),
        (951, "E24", 910),
        (999.99, "E192", 1000),
        (8.7, "E6", 10),
        (9.95, "E192", 10),
    ],
)
def test_the_top_of_a_decade(value, series, bought) -> None:
    """Above the last value of a decade comes the first of the next; halfway takes the lower."""
    assert nearest(value, series) == pytest.approx(bought)


@pytest.mark.parametrize("name", ["E6", "E12", "E24"])
@pytest.mark.parametrize("power", range(-12, 8))
def test_halfway_takes_the_lower(name, power) -> None:
    """In every decade, though 2 nF and its neighbours 1.8 and 2.2 nF are no exact binary numbers."""
    mantissas = [*(Decimal(m) for m in eseries.series(KEYS[name])), Decimal(10 * eseries.series(KEYS[name])[0])]
    scale = Decimal(10) ** power
    for below, above in pairwise(mantissas):
        assert nearest(float((below + above) / 2 * scale), name) == pytest.approx(float(below * scale), rel=1e-12)


def test_arrays() -> None:
    """Any shape in, the same shape out."""
    assert nearest([[99.0, 951.0], [9.6, 9.5]], "E24").tolist() == [[100, 910], [10, 9.1]]
    assert nearest(391e3).shape == ()


@pytest.mark.parametrize("value", [0, -1, np.nan, np.inf, "390k", [1, -1], None])
def test_a_value_that_cannot_be_is_refused(value) -> None:
    """And shown."""
    for ask in (nearest, neighbours):
        with pytest.raises(ValueError, match="value must be positive and finite"):
            ask(value)


def test_unknown_series() -> None:
    """The message lists the series there are."""
    for ask in (series_values, lambda name: nearest(1, name)):
        with pytest.raises(ValueError, match=r"series must be one of E3, E6, .*, E192, got 'E25'"):
            ask("E25")


@given(st.integers(0, 95), st.integers(0, 8), st.sampled_from([2.0, 1.0, 0.5, 0.25, 0.1]))
def test_three_digit_bands_read_back(step, power, tolerance) -> None:
    """Digits times multiplier, read off the bands by the table of IEC 60062, is the value."""
    value = series_values("E96")[step] * 10.0**power
    *digits, multiplier, last = colour_bands(value, tolerance=tolerance)
    exponent = {"gold": -1, "silver": -2}.get(multiplier)
    exponent = COLOURS.index(multiplier) if exponent is None else exponent
    number = int("".join(str(COLOURS.index(colour)) for colour in digits))
    assert number * 10.0**exponent == pytest.approx(value)
    assert last in ("brown", "red", "green", "blue", "violet")


def test_bands_at_the_edges() -> None:
    """A value a hair below a decade has no fourth digit; the largest has a white or grey multiplier."""
    assert colour_bands(999.9999, tolerance=1) == ("brown", "black", "black", "brown", "brown")
    assert colour_bands(99e9) == ("white", "white", "white", "gold")
    assert colour_bands(1) == ("brown", "black", "gold", "gold")


@pytest.mark.parametrize(
    ("value", "tolerance", "message"),
    [
        (391.3, 1.0, r"resistance 391.3 \[Ω\] has more than 3 significant digits"),
        (39.2e3, 5.0, r"resistance 39200.0 \[Ω\] has more than 2 significant digits"),
        (0.5, 5.0, "resistance must lie from 1 Ω to below 100 GΩ, got 0.5"),
        (1e11, 5.0, "resistance must lie from 1 Ω to below 100 GΩ"),
        (np.nan, 5.0, "resistance must lie from 1 Ω to below 100 GΩ"),
        (390e3, 3.0, r"tolerance must be one of 0.1, 0.25, 0.5, 1, 2, 5, 10 \[±%\], got 3.0"),
    ],
)
def test_bands_that_cannot_be(value, tolerance, message) -> None:
    """The message names value and what is accepted."""
    with pytest.raises(ValueError, match=message):
        colour_bands(value, tolerance=tolerance)


def test_tolerance_letters_stand_in_order() -> None:
    """Later letters are wider (IEC 60062)."""
    widths = [TOLERANCE_LETTERS[letter] for letter in sorted(TOLERANCE_LETTERS)]
    assert widths == sorted(widths)
