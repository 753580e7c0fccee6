"""The tester as built on other systems: does it tell, and do its parts bear it?"""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

from phasorkit.analysis.margins import Margins
from phasorkit.analysis.sheet import sheet
from phasorkit.analysis.travel import HOLDS, SYSTEMS, travel_table
from phasorkit.indicators import circuit

NO_TOLERANCE = Margins(resistor=0, capacitor=0, voltage=(1, 1), frequency=(1, 1), negative=0)


def sized(name: str, farad: float, volts: float, hertz: float):
    return circuit(name).sized(capacitance=farad, frequency=hertz, line_voltage=volts)


@pytest.mark.parametrize(("volts", "hertz"), [(400, 50), (480, 60)])
def test_volts_of_the_bridge_by_the_closed_form(volts: float, hertz: float) -> None:
    """R-C divider by hand: with x = f over nominal, P stands 1/(1 + jx/√3) of the way from L2 to L3, M midway."""
    bridge = sized("divider-bridge", 4.7e-9, volts, hertz)
    for r in travel_table(bridge, margins=NO_TOLERANCE):
        turn = 1 / (1 + 1j * r.frequency / hertz / sqrt(3))
        for phases, found in ((1, r.dark_highest), (-1, r.lit_lowest)):
            l1, l2, l3 = (r.line_voltage / sqrt(3) * (-0.5 - phases * 1j * sqrt(0.75)) ** k for k in range(3))
            p = l2 + (l3 - l2) * turn
            assert found == pytest.approx(abs(p - (l1 + l3) / 2), rel=1e-9, abs=1e-6)


def test_a_tester_for_480_volts_60_hertz_lies_on_400_volts_50_hertz() -> None:
    """Off by a sixth in frequency the null is gone: some 8 % of line voltage, 40 V and more with tolerance."""
    found = {(r.line_voltage, r.frequency): r for r in travel_table(sized("divider-bridge", 4.7e-9, 480, 60))}
    assert found[480, 60].verdict == HOLDS
    assert found[208, 60].verdict == HOLDS
    assert found[400, 50].verdict == "dark lamp may light"
    assert "too much for R1" in found[690, 50].verdict


def test_at_home_it_is_the_tester_of_the_sheet() -> None:
    """The row of its own system has the tolerance table's volts, and no part above its rating."""
    bridge = sized("divider-bridge", 4.7e-9, 400, 50).with_preferred_values("E24")
    data = sheet(sized("divider-bridge", 4.7e-9, 400, 50))
    home = next(r for r in data["other_systems"] if (r["line_voltage"], r["frequency"]) == (400, 50))
    rows = {r["sequence"]: r for r in data["tolerance"]["lamps"]}
    assert home["dark_highest"] == rows["123"]["highest"]
    assert home["lit_lowest"] == rows["132"]["lowest"]
    assert home["share"] <= 1
    assert [(r.line_voltage, r.frequency) for r in travel_table(bridge)] == list(SYSTEMS)


def test_a_starved_lamp_is_not_lit_and_a_pad_not_safe_everywhere() -> None:
    """Ohm as in test_sheet_doubts: 208 V leave too little current; the touch current grows with the volts."""
    probe = sized("touch-probe", 10e-9, 208, 60)
    found = {r.line_voltage: r.verdict for r in travel_table(probe)}
    assert "lit lamp may stay dark" in found[208]
    assert ("touch current above its limit" in found[690]) == (
        replace(probe, line_voltage=690.0, frequency=50.0).touch_current()[0] > 0.5e-3
    )
    assert "touch current above its limit" in found[690]


def test_lamps_that_are_resistors_have_no_dark_one() -> None:
    with pytest.raises(ValueError, match="indicator must have lamps that switch, got two-lamp-capacitor"):
        travel_table(sized("two-lamp-capacitor", 33e-9, 400, 50))
    assert sheet(sized("two-lamp-capacitor", 33e-9, 400, 50))["other_systems"] == []
