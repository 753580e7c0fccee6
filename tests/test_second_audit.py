"""What an outsider's own nodal analysis found: ends of a tolerance, lost conductors, floating pads, earthed thirds.

The figures come from Kirchhoff's and Ohm's laws and from Euclid, worked out here; no solver of the package is asked.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from example_circuits import NAMES, example

from phasorkit.analysis.body_path import worst_touch
from phasorkit.analysis.harmonics import harmonic_table
from phasorkit.analysis.loading import METERS, lamp_loading, loading_table
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.monte_carlo import sample_lamp_volts
from phasorkit.analysis.tolerance import nearest_to_zero, tolerance_table
from phasorkit.indicators import circuit
from phasorkit.indicators.touch_probe import TouchProbe
from phasorkit.supply import Supply

STILL = Margins(resistor=5, capacitor=20, voltage=(1, 1), frequency=(1, 1), negative=0)
"""Only the parts are off: a null that is perfect in the midst of the box is at no corner."""

BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
PROBE = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_lies_below_the_lowest_or_above_the_highest(name: str) -> None:
    """The meaning of the words: as built and likely lie between the two, and so do random copies (to a thousandth)."""
    built = example(name).with_preferred_values("E24")
    copies = sample_lamp_volts(built, margins=STILL, samples=20_000)
    for r in tolerance_table(built, margins=STILL):
        mine = copies[r.sequence][[lamp.name for lamp in built.lamps].index(r.lamp)]
        slack = 1e-3 * built.line_voltage
        assert r.lowest <= r.rss_lowest <= r.volts <= r.rss_highest <= r.highest
        assert r.lowest - slack <= mine.min()
        assert mine.max() <= r.highest + slack


def test_a_null_inside_the_tolerances_is_found() -> None:
    """R = Xc/√3 lies within ±5 % of E24, so some copy of the bridge is a perfect null (Wheatstone's condition)."""
    dark = tolerance_table(BRIDGE.with_preferred_values("E24"), margins=STILL)[0]
    assert dark.lowest < 0.1 < dark.volts


def test_nearest_point_of_a_square() -> None:
    """Euclid: of a square of ±1 ± j about 3 + 0.5j the point nearest to 0 is 2 + 0j."""
    places = nearest_to_zero(3 + 0.5j, [(-1, 1), (-1j, 1j)])
    assert places.tolist() == pytest.approx([0.0, 0.25])


@pytest.mark.parametrize("lost", ["L1", "L2", "L3"])
def test_third_harmonic_with_a_lost_conductor(lost: str) -> None:
    """Zero sequence u on two conductors, 0 V on the third (Ohm's law).

    P lies at L3 + (L2 − L3)·R/(R − jXc) with R/Xc = 3/√3 at 150 Hz; M in the middle of L1 and L3.
    """
    u = {name: 0.0 if name == lost else 0.05 * 400 / np.sqrt(3) for name in ("L1", "L2", "L3")}
    share = 1 / (1 - 1j / np.sqrt(3))
    wanted = abs((u["L1"] + u["L3"]) / 2 - (u["L3"] + (u["L2"] - u["L3"]) * share))
    supply = BRIDGE.supply().phase_lost(lost)
    found = next(r for r in harmonic_table(BRIDGE, supply=supply, content={3: 0.05}) if r.order == 3)
    assert wanted > 5
    assert found.lamp_volts[0] == pytest.approx(wanted)


def test_harmonics_of_a_back_fed_and_of_a_dead_supply() -> None:
    """A conductor fed by the two others carries what they carry; a dead supply has no harmonic."""
    fed, dead = (BRIDGE.supply().phase_lost("L1", backfed=True), replace(BRIDGE.supply(), earthing="corner").dead())
    for supply in (fed, dead):
        third = next(r for r in harmonic_table(BRIDGE, supply=supply, content={3: 0.05}) if r.order == 3)
        assert third.lamp_volts[0] == pytest.approx(0, abs=1e-9)


def test_a_meter_at_a_floating_pad_reads_nothing() -> None:
    """An isolated supply gives the pad no way back: no current, so every meter and every lamp there shows 0 V (Ohm)."""
    isolated = replace(PROBE.supply(), earthing="isolated")
    at_lamp = [r for r in loading_table(PROBE, supply=isolated) if r.between == ("K", "G")]
    assert len(at_lamp) == 2 * len(METERS)
    assert {(r.true_volts, r.shown_volts, r.source_ohm) for r in at_lamp} == {(0, 0, np.inf)}
    assert {(r.loaded_volts, r.ampere) for r in lamp_loading(PROBE, supply=isolated)} == {(0, 0)}


@pytest.mark.parametrize("farad", [1e-9, 2.2e-9, 10e-9])
def test_an_earthed_third_conductor_doubles_the_touch_current(farad: float) -> None:
    """Euclid: K mirrors the star point in the side L1–L2, so it lies two phase voltages from L3 and one from the star.

    Without fault the current is that voltage over both resistors to the pad and K's own two arms of 2R side by side,
    at ∓60°: 2R∥(2R∠−60°) = 2R/√3 ∠−30°.
    """
    probe = TouchProbe.sized(capacitance=farad, frequency=50, line_voltage=400)
    star, third = (probe.touch_current(earthing)[0] for earthing in ("star", "corner"))
    r = 1 / (2 * np.pi * 50 * farad) / np.sqrt(3)
    source = 2 * r / np.sqrt(3) * np.exp(-1j * np.pi / 6)
    for found, phases in ((star, 1), (third, 2)):
        volts = 1.1 * phases * 400 / np.sqrt(3)
        assert found >= abs(volts / (source + 2 * probe.chain)) * (1 - 1e-9)
    one_short = abs(1.1 * 2 * 400 / np.sqrt(3) / (source + probe.chain))
    assert third >= one_short * (1 - 1e-9)
    assert probe.safety_elsewhere()["corner_touch_current_ampere"] == third > 1.9 * star


@pytest.mark.parametrize("farad", [0.5e-9, 4.7e-9, 33e-9])
@pytest.mark.parametrize("volts", [24.0, 400.0, 690.0])
def test_worst_touch_current_far_from_the_star_point(farad: float, volts: float) -> None:
    """Probe on L1 and L3 of a corner-earthed supply, lit, one pad resistor shorted, 110 %: Ohm's law to nine digits.

    K lies two phase voltages from earth, behind two arms of 2R at ∓60° side by side. A short in an arm brings K to a
    conductor, one line voltage from earth, with both pad resistors before it.
    """
    probe = TouchProbe.sized(capacitance=farad, frequency=50, line_voltage=volts)
    r = 1 / (2 * np.pi * 50 * farad) / np.sqrt(3)
    one_pad = abs(1.1 * 2 * volts / np.sqrt(3) / (2 * r / np.sqrt(3) * np.exp(-1j * np.pi / 6) + probe.chain))
    corner = Supply(line_voltage=volts, frequency=50, earthing="corner").doubled("L2", "L3")
    found, fault = worst_touch(probe, corner)
    assert found == pytest.approx(probe.touch_current("corner")[0], rel=1e-9)
    if fault in ("R5 shorted", "R6 shorted"):
        assert found == pytest.approx(one_pad, rel=1e-9)
    assert found >= one_pad * (1 - 1e-9)


@pytest.mark.parametrize("volts", [208.0, 400.0, 480.0, 690.0])
@pytest.mark.parametrize("series", ["E12", "E24"])
def test_parts_within_their_tolerance_keep_to_the_touch_limit(volts: float, series: str) -> None:
    """0.5 mA in every single fault (IEC 61010-1, from memory), with 5 % resistors and a 20 % capacitor as bought."""
    for farad in (1e-9, 2.2e-9, 4.7e-9, 6.8e-9, 10e-9, 22e-9):
        probe = TouchProbe.sized(capacitance=farad, frequency=50, line_voltage=volts).with_preferred_values(series)
        off = [
            replace(
                probe,
                capacitance=c * farad,
                resistance=r * probe.resistance,
                half=h * probe.half,
                chain=0.95 * probe.chain,
            )
            for c, r, h in product((0.8, 1.0, 1.2), (0.95, 1.05), (0.95, 1.05))
        ]
        assert max(bought.touch_current()[0] for bought in off) <= 0.5e-3
