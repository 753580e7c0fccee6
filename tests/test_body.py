"""Body impedance tables and the measuring network, against what the standards print and by closed forms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference_rows import Row, load
from scipy.interpolate import make_interp_spline
from scipy.stats import norm

from phasorkit.body import IMPEDANCE_TABLES, PERCENTILES, body_current, measuring_network, touch_current
from phasorkit.indicators.touch_probe import BODY_RESISTANCE
from phasorkit.network import Element, Network, Solution
from phasorkit.quantities import parse

ROWS = load("body")
TABLES = sorted(IMPEDANCE_TABLES)


def measured(frequency: float, *, weighted: bool) -> Solution:
    """The measuring network at 1 V."""
    network = Network(measuring_network("hand", "earth", weighted=weighted))
    return network.solve({"hand": 1.0, "earth": 0.0}, frequency=frequency)


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in ROWS])
def test_printed_values(row: Row) -> None:
    """Table values come back as printed; the measuring network has the impedance and the weighting of its drawing."""
    if row.quantity == "impedance":
        table, volts = IMPEDANCE_TABLES[row.given["table"]], parse(row.given["volts"], "V")
        row.check(*(float(table.impedance(volts, percentile=p)) for p in PERCENTILES))
        return
    solved = measured(parse(row.given["frequency"], "Hz"), weighted=row.given["weighted"] == "yes")
    true = complex(solved.source_current("hand"))
    shown = complex(touch_current(solved))
    row.check({"network impedance": abs(1 / true), "shown over true": abs(shown / true)}[row.quantity])


@pytest.mark.parametrize("name", TABLES)
@given(volts=st.floats(25, 1000), percentile=st.floats(5, 95))
def test_between_printed_values(name, volts, percentile) -> None:
    """Second method: a straight line in log-log by a general library, and a log-normal spread between percentiles."""
    table = IMPEDANCE_TABLES[name]
    columns = np.log(np.array(table.ohms))
    line = make_interp_spline(np.log(table.volts), columns, k=1)(np.log(volts))
    side = int(percentile > 50)
    z = norm.ppf(np.array(PERCENTILES) / 100)
    part = (norm.ppf(percentile / 100) - z[side]) / (z[side + 1] - z[side])
    expected = np.exp(line[side] + part * (line[side + 1] - line[side]))
    assert float(table.impedance(volts, percentile=percentile)) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("name", TABLES)
def test_impedance_falls_with_voltage_and_rises_with_percentile(name) -> None:
    """Facts of every edition: the skin breaks down as the voltage rises; the percentiles stand in order."""
    table = IMPEDANCE_TABLES[name]
    volts = np.geomspace(25, 1000, 200)
    spread = np.stack([table.impedance(volts, percentile=p) for p in (5, 20, 50, 80, 95)])
    assert np.all(np.diff(spread, axis=1) <= 0)
    assert np.all(np.diff(spread, axis=0) > 0)
    assert table.impedance(1.0) == table.impedance(25.0)  # below the table: the cautious side
    assert "from memory" in table.source


def test_later_edition_is_lower_and_wet_skin_lower_still() -> None:
    """REFERENCES: the edition of 1994 is superseded by lower values; wet skin matters at low voltage only."""
    volts = np.array([25.0, 50, 100, 220, 700, 1000])
    old, new, wet = (IMPEDANCE_TABLES[name].impedance(volts) for name in ("1994 dry", "2005 dry", "2005 water-wet"))
    assert np.all(new <= old)
    assert np.all(wet <= new)
    assert np.all(wet[:2] < new[:2])
    assert np.allclose(wet[3:], new[3:])
    assert "Superseded" in IMPEDANCE_TABLES["1994 dry"].note


def test_body_current_by_ohms_law() -> None:
    """230 V across the lowest twentieth: some 0.3 A, far beyond what fibrillates a heart (common practice: 30 mA)."""
    current = float(body_current(230))
    assert current == pytest.approx(230 / float(IMPEDANCE_TABLES["2005 dry"].impedance(230, percentile=5)))
    assert current > 0.2
    assert body_current(np.full((2, 3), 50.0)).shape == (2, 3)


@given(st.floats(1, 1e6))
def test_measuring_network_by_closed_form(frequency) -> None:
    """Second method: 1500/(1 + jω·1500·0.22µ) + 500, and the weighted output as a divider written out."""
    omega = 2 * np.pi * frequency
    skin = 1500 / (1 + 1j * omega * 1500 * 0.22e-6)
    solved = measured(frequency, weighted=False)
    assert complex(touch_current(solved)) == pytest.approx(1 / (skin + 500), rel=1e-9)
    assert complex(touch_current(solved)) == pytest.approx(complex(solved.source_current("hand")), rel=1e-9)
    low_pass = 10e3 + 1 / (1j * omega * 22e-9)
    inner = 1 / (1 / 500 + 1 / low_pass)
    out = inner / (inner + skin) * (1 / (1j * omega * 22e-9)) / low_pass
    assert complex(touch_current(measured(frequency, weighted=True))) == pytest.approx(out / 500, rel=1e-9)


def test_network_in_a_circuit() -> None:
    """In series with a capacitor to a live conductor it shows that circuit's current; the touch probe's body agrees."""
    circuit = Network((Element("C1", "C", 4.7e-9, "live", "pad"), *measuring_network("pad", "PE")))
    solved = circuit.solve({"live": 230.0, "PE": 0.0}, frequency=50)
    assert abs(touch_current(solved)) * 1e3 == pytest.approx(230 * 2 * np.pi * 50 * 4.7e-9 * 1e3, rel=1e-3)
    assert 1 / float(np.real(measured(1e-3, weighted=False).source_current("hand"))) == pytest.approx(BODY_RESISTANCE)


def test_bad_input_is_named() -> None:
    """Argument, value, unit, what is accepted."""
    table = IMPEDANCE_TABLES["2005 dry"]
    with pytest.raises(ValueError, match=r"touch_voltage must be at most 1000 V for this table, got 1200"):
        table.impedance(1200)
    with pytest.raises(ValueError, match=r"touch_voltage must be positive and finite \[V\], got 0"):
        table.impedance(0)
    with pytest.raises(ValueError, match=r"percentile must lie from 5 to 95 \[%\], got 1"):
        table.impedance(230, percentile=1)
    with pytest.raises(KeyError, match="table must be one of 1994 dry, 2005 dry, 2005 water-wet, got '1984'"):
        body_current(230, table="1984")
    with pytest.raises(KeyError, match="no element 'RI'"):
        touch_current(Network((Element("R1", "R", 1.0, "a", "b"),)).solve({"a": 1.0, "b": 0.0}, frequency=50))
