"""Conductor colours, nominal systems, and the codes on parts, against the standards' tables as recalled."""

import eseries
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference_rows import Row, load

from phasorkit.codes import read_bands, read_capacitor
from phasorkit.conductors import COLOURS, SYSTEMS
from phasorkit.parts import colour_bands
from phasorkit.quantities import QuantityError
from phasorkit.supply import EARTHINGS

FIVE = ("L1", "L2", "L3", "N", "PE")


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in load("colours")])
def test_conductor_colours(row: Row) -> None:
    """Each region's five colours, old and new."""
    colours = COLOURS[row.given["region"]]
    assert [colours[name] for name in row.quantity.split()] == row.expected.split(";")


def test_every_region_says_where_it_comes_from() -> None:
    """Source and period always; neutral and earth never share a colour with a line."""
    for colours in COLOURS.values():
        assert "from memory" in colours.source
        assert colours.period
        lines = {colours["L1"], colours["L2"], colours["L3"]}
        assert not lines & {colours["N"], colours["PE"]}
        assert colours["N"] != colours["PE"]


def test_one_colour_means_different_conductors() -> None:
    """Why colours prove nothing: black and blue are a line in one place and neutral in another (common practice)."""
    for colour in ("black", "blue", "grey"):
        roles = {name for colours in COLOURS.values() for name in FIVE if colours[name] == colour}
        assert "N" in roles
        assert roles & {"L1", "L2", "L3"}


def test_unknown_conductor_is_named() -> None:
    """The message lists the five."""
    with pytest.raises(KeyError, match="conductor must be one of L1, L2, L3, N, PE, got 'R'"):
        COLOURS["Europe"]["R"]


@pytest.mark.parametrize("name", sorted(SYSTEMS))
def test_nominal_systems(name) -> None:
    """Printed phase voltage is line over √3 within the standard's rounding; the supply carries it; sources named."""
    system = SYSTEMS[name]
    assert system.earthing in EARTHINGS
    assert "from memory" in system.source
    phase = abs(complex(system.supply().phasors()[0]))
    assert phase == pytest.approx(system.line_voltage / np.sqrt(3))
    if system.phase_voltage:
        assert phase == pytest.approx(system.phase_voltage, rel=0.006)
        assert name == f"{system.phase_voltage:g}/{system.line_voltage:g} V"


@pytest.mark.parametrize(
    ("name", "frequency"),
    [("230/400 V", 50), ("400/690 V", 50), ("120/208 V", 60), ("277/480 V", 60), ("347/600 V", 60)],
)
def test_systems_of_the_standard(name, frequency) -> None:
    """IEC 60038 and North American practice, from memory."""
    assert SYSTEMS[name].frequency == frequency
    assert SYSTEMS[name].supply("132").sequence == "132"


def test_high_leg_stands_at_208_volts_to_neutral() -> None:
    """North American practice: 240 V delta, centre of one side earthed: 120, 120 and 208 V to neutral."""
    supply = SYSTEMS["240 V high leg"].supply()
    to_neutral = sorted(round(abs(complex(v - supply.neutral()))) for v in supply.phasors())
    assert to_neutral == [120, 120, 208]


# --- codes on parts ---------------------------------------------------------------------------------------


@given(
    st.sampled_from([(f"E{n}", t) for n, t in ((12, 10.0), (24, 5.0), (96, 1.0), (192, 0.5))]),
    st.integers(0, 6),
    st.data(),
)
def test_bands_there_and_back(series_and_tolerance, power, data) -> None:
    """Every preferred value of an independent list, written in bands and read again."""
    series, tolerance = series_and_tolerance
    value = float(f"{data.draw(st.sampled_from(list(eseries.series(eseries.ESeries[series])))):g}e{power}")
    assert read_bands(colour_bands(value, tolerance=tolerance)) == (pytest.approx(value, rel=1e-9), tolerance)


@pytest.mark.parametrize(
    ("bands", "ohms", "tolerance"),
    [
        ("brown black red gold", 1e3, 5.0),
        ("red red orange", 22e3, 20.0),
        ("orange white yellow silver", 390e3, 10.0),
        ("brown black black red brown", 10e3, 1.0),
        ("green blue silver gold", 0.56, 5.0),
        ("gray red black gold", 82, 5.0),
    ],
)
def test_bands_of_common_resistors(bands, ohms, tolerance) -> None:
    """Bands that every workshop knows (common practice, IEC 60062)."""
    assert read_bands(bands.split()) == (pytest.approx(ohms), tolerance)


@pytest.mark.parametrize(
    ("marking", "farads", "tolerance"),
    [
        ("104", 100e-9, None), ("472K", 4.7e-9, 10.0), ("223J", 22e-9, 5.0), ("100", 10e-12, None),
        ("4n7", 4.7e-9, None), ("n47M", 0.47e-9, 20.0), ("1µ5", 1.5e-6, None), ("3p3C", 3.3e-12, 0.25),
        ("479", 4.7e-12, None), ("33n", 33e-9, None), ("4u7F", 4.7e-6, 1.0),
    ],
)  # fmt: skip
def test_capacitor_markings(marking, farads, tolerance) -> None:
    """Markings that every workshop knows (common practice, IEC 60062)."""
    value, letter = read_capacitor(marking)
    assert value == pytest.approx(farads, rel=1e-12)
    assert letter == tolerance


def test_codes_that_cannot_be_are_refused() -> None:
    """The message names the place, the value and what would be accepted."""
    for bands, message in (
        (["red"], "bands must be three, four or five colours, got 1"),
        (["red", "gold", "red", "gold"], "band 2 must be one of black, brown, .*, got 'gold'"),
        (["red", "red", "red", "black"], "band 4 must be one of brown, red, .*, got 'black'"),
        (["black", "red", "red", "gold"], "band 1 must not be black: read from the other end"),
    ):
        with pytest.raises(ValueError, match=message):
            read_bands(bands)
    for marking in ("47", "", "K", "4n7Z", "0n", "4k7", "012", "n", "4 nF"):
        with pytest.raises(QuantityError, match="marking"):
            read_capacitor(marking)
