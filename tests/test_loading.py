"""What a meter shows, against the meter put into the network as a resistor and solved by a second solver."""

from __future__ import annotations

import numpy as np
import pytest
from dense import across
from example_circuits import NAMES, about, example
from reference_rows import Row, load

from phasorkit.analysis.loading import (
    LIT_LAMP,
    METERS,
    POINTER_RANGES,
    Meter,
    lamp_loading,
    loading_table,
    measured_pairs,
)
from phasorkit.network import Element


@pytest.mark.parametrize("name", NAMES)
def test_every_meter_at_every_node_by_a_second_solver(name: str) -> None:
    """True and shown volts of every record: without and with the meter's resistance between the two nodes."""
    i = example(name)
    for r in loading_table(i):
        sources = {k: complex(v) for k, v in i.supply(r.sequence).sources().items()}
        with_meter = i.network().with_element(Element("meter", "R", r.meter_ohm, *r.between))
        assert r.true_volts == pytest.approx(across(i.network(), sources, 50, *r.between), rel=1e-8, abs=1e-6)
        assert r.shown_volts == pytest.approx(across(with_meter, sources, 50, *r.between), rel=1e-8, abs=1e-6)
        assert r.shown_volts <= r.true_volts * (1 + 1e-9) or "C" in {e.kind for e in i.network().elements}


@pytest.mark.parametrize("name", NAMES)
def test_every_inner_node_is_measured_against_n_and_every_probe(name: str) -> None:
    """Nothing that a learner can reach with two tips is left out."""
    i = example(name)
    pairs = set(measured_pairs(i))
    inner = {n for e in i.network().elements for n in (e.a, e.b)} - {"N", "PE", *i.probes}
    assert {(n, to) for n in inner for to in ("N", *i.probes)} <= pairs
    assert {(lamp.a, lamp.b) for lamp in i.lamps} <= pairs
    assert len(loading_table(i)) == 2 * len(pairs) * len(METERS)


@pytest.mark.parametrize("row", about(load("margins"), "input resistance"), ids=lambda row: row.id)
def test_a_pointer_meter_has_its_range_times_its_sensitivity(row: Row) -> None:
    """20 kΩ/V on the 250 V range is 5 MΩ."""
    meter = Meter("pointer", ohms_per_volt=float(row.given["ohms_per_volt"]), ranges=POINTER_RANGES)
    row.check(meter.resistance(float(row.given["range"])) / 1e6)


def test_a_pointer_meter_stands_on_the_smallest_range_that_holds_the_volts() -> None:
    """From 10 V up to its largest, and on that one beyond."""
    meter = METERS[-1]
    assert [meter.resistance(v) / 20e3 for v in (0, 10, 10.1, 94, 346, 600, 2000)] == [10, 10, 50, 250, 500, 1000, 1000]


def test_a_low_impedance_meter_is_useless_on_a_bridge() -> None:
    """Nodes of half a megohm: 10 MΩ takes some percent, 400 kΩ more than half, 3 kΩ all but one percent."""
    bridge = example("divider-bridge")
    lit = [r for r in loading_table(bridge) if r.sequence == "132" and r.between == ("M", "P")]
    digital, low, lowest, pointer = (r.error_percent for r in lit)
    assert -6 < digital < -4
    assert -60 < low < -50
    assert lowest < -99
    assert pointer == pytest.approx(digital, rel=1e-3)  # 500 V range: 10 MΩ as well


def test_a_lit_lamp_loads_its_bridge() -> None:
    """Two 391 kΩ and R beside C feed 100 kΩ: some 57 V and 0.57 mA are left of 346 V (Thevenin by hand)."""
    bridge = example("divider-bridge")
    resistance = 1 / (2 * np.pi * 50 * 4.7e-9) / 3**0.5
    source = resistance / 2 + resistance * (-1j * 3**0.5) / (1 - 1j * 3**0.5)
    dark, lit = lamp_loading(bridge)
    assert lit.source_ohm == pytest.approx(abs(source))
    assert lit.loaded_volts == pytest.approx(346.41 * LIT_LAMP / abs(LIT_LAMP + source), rel=1e-4)
    assert lit.ampere == pytest.approx(lit.loaded_volts / LIT_LAMP)
    assert (dark.ampere, dark.loaded_volts) == (0.0, pytest.approx(0, abs=1e-9))


def test_with_one_common_divider_the_lit_lamp_lights_the_dark_one() -> None:
    """Issue 3: a lit lamp of 100 kΩ puts well over 100 V on the dark one; own dividers keep it at nothing."""
    own = example("twin-bridge", givens={"shared": "L2"})
    common = example("twin-bridge", givens={"shared": "L2", "divider_kind": "common"})
    assert lamp_loading(own)[0].loaded_volts == pytest.approx(0, abs=1e-6)
    assert lamp_loading(common)[0].unloaded_volts == pytest.approx(0, abs=1e-6)
    assert lamp_loading(common)[0].loaded_volts > 110


def test_node_volts_with_the_lamp_lit() -> None:
    """The whole table can be had with lit lamps: then M and P are 57 V apart."""
    records = loading_table(example("divider-bridge"), lit_lamp=LIT_LAMP)
    lamp = next(r for r in records if r.sequence == "132" and r.between == ("M", "P"))
    assert lamp.true_volts == pytest.approx(56.54, abs=0.01)


def test_refused() -> None:
    """A meter with no or with two kinds of resistance; a lamp of no resistance."""
    for wrong in ({}, {"ohms": 1e6, "ohms_per_volt": 2e4, "ranges": (10.0,)}, {"ohms_per_volt": 2e4}):
        with pytest.raises(ValueError, match=r"spare: give either ohms \[Ω\] or ohms_per_volt"):
            Meter("spare", **wrong)
    with pytest.raises(ValueError, match="lit_lamp must be positive"):
        lamp_loading(example("divider-bridge"), lit_lamp=0)
