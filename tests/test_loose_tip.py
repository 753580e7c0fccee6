"""What a loose tip passes through a person, by Thevenin's theorem; and that the sheet warns of it and of the earthing.

Thevenin's theorem and the parallelogram of the touch probe are textbook geometry and circuit theory; limits and the
counting of isolated systems by line voltage are from memory (IEC 60479-1, IEC 60664-1 annex B).
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from example_circuits import NAMES, example

from phasorkit.analysis.body_path import ON_EARTH, body_path, worst_touch
from phasorkit.analysis.loose_tip import LET_GO, loose_tip_caution, loose_tips
from phasorkit.analysis.ratings import impulse, remarks
from phasorkit.cli import main
from phasorkit.draw.body_path import describe
from phasorkit.indicators import circuit

PHASE = 1.1 * 400 / np.sqrt(3)


def test_a_loose_lead_of_two_plain_lamps_by_thevenin() -> None:
    """L2 off and on earth: behind its lamp, C from L1 and the other lamp from L3 meet at S."""
    pair = circuit("two-lamp-capacitor").sized(capacitance=33e-9, frequency=50, line_voltage=400)
    r, yc = pair.lamp_resistance, 2j * np.pi * 50 * 33e-9
    found = []
    for turn in (-120, 120):
        l1, l3 = PHASE, PHASE * np.exp(1j * np.deg2rad(-turn))
        open_volts = (l1 * yc + l3 / r) / (yc + 1 / r)
        found.append(abs(open_volts) / abs(r + 1 / (yc + 1 / r)))
    tip = next(t for t in loose_tips(pair) if t.probe == "L2")
    assert tip.ampere == pytest.approx(max(found), rel=1e-9)


def test_lamps_of_a_few_watts_can_kill_and_the_sheet_says_so(capsys) -> None:
    """More than the let-go current through the 15 W lamps of a 400 V pair; a bridge of megohms stays below."""
    lamps = circuit("two-lamp-capacitor").sized(frequency=50, line_voltage=400, lamp_voltage=230, lamp_power=15)
    assert max(t.ampere for t in loose_tips(lamps)) > LET_GO
    assert "THAT CAN KILL" in loose_tip_caution(lamps)
    assert "THAT CAN KILL" not in loose_tip_caution(example("divider-bridge"))
    lamp = ["--lamp-voltage", "230", "--lamp-power", "15"]
    assert main(["size", "two-lamp-capacitor", "--frequency", "50", "--line-voltage", "400", *lamp]) == 0
    assert "THAT CAN KILL" in " ".join(capsys.readouterr().out.split())


def test_let_go_current() -> None:
    """IEC 60479-1, from memory: above 10 mA adults may not let go."""
    assert LET_GO == 10e-3


@pytest.mark.parametrize("name", NAMES)
def test_every_lead_is_alive_and_never_harmless_on_a_corner_earthed_supply(name: str) -> None:
    """Any lead has a way through the circuit to another conductor; an earthed one raises the volts behind it."""
    indicator = example(name)
    tips = loose_tips(indicator)
    assert {t.probe for t in tips} >= set(indicator.probes)
    assert all(t.corner_ampere > t.ampere > 0 for t in tips)


def test_the_pad_carries_twice_the_current_where_l3_is_earthed(capsys) -> None:
    """At 1-2-3 K is the fourth corner of the parallelogram N-L1-K-L2: as far from N as L3, on the other side."""
    probe = circuit("touch-probe").sized(capacitance=4.7e-9, frequency=60, line_voltage=480)
    star, corner = probe.touch_current()[0], probe.touch_current("corner")[0]
    assert corner == pytest.approx(2 * star, rel=1e-3)
    arguments = ["size", "touch-probe", "--capacitor", "4n7", "--frequency", "60", "--line-voltage", "480"]
    assert main(arguments) == 0
    assert "NOT FOR a supply that is corner earthed" in " ".join(capsys.readouterr().out.split())


def test_a_probe_that_returns_to_neutral_has_no_pad_and_no_false_zero(capsys) -> None:
    """The lead to neutral is as alive as the pad: the sheet neither says 0 A nor asks for a pad."""
    arguments = ["size", "touch-probe", "--capacitor", "4n7", "--frequency", "50", "--line-voltage", "400"]
    neutral = [*arguments, "--return", "neutral"]
    assert main(neutral) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "0 A at worst" not in text
    assert "no touch pad" in text
    assert main([*neutral, "--json"]) == 0
    assert [t["probe"] for t in json.loads(capsys.readouterr().out)["loose_tips"]] == ["L1", "L2", "N"]


@pytest.mark.parametrize(("volts", "star", "other"), [(400, 4000, 6000), (480, 4000, 6000), (690, 6000, 8000)])
def test_an_isolated_system_counts_by_its_line_voltage(volts: float, star: float, other: float) -> None:
    """IEC 60664-1 annex B, from memory."""
    assert impulse(volts) == star
    assert impulse(volts, star_earthed=False) == other
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=volts)
    assert any(f"{other / 1000:g} kV if it is isolated" in text for text in remarks(bridge))


@pytest.mark.parametrize(("volts", "peak"), [(150, 2500), (300, 4000), (301, 6000), (600, 6000), (1000, 8000)])
def test_an_impulse_holds_up_to_and_including_its_volts(volts: float, peak: float) -> None:
    """IEC 60664-1, from memory: the columns are "up to and including" 150, 300, 600, 1000 V."""
    assert impulse(volts, star_earthed=False) == peak


def test_a_sheet_for_filament_lamps_shows_no_made_up_values(capsys) -> None:
    """A lamp is bought by volts and watts: it has no preferred resistance, and its watts no five digits."""
    lamp = ["--lamp-voltage", "230", "--lamp-power", "15"]
    assert main(["size", "two-lamp-capacitor", "--frequency", "50", "--line-voltage", "400", *lamp]) == 0
    text = capsys.readouterr().out
    assert "preferred resistance" not in text
    assert "5k281" not in text
    assert "27500" in text
    assert "27513.7" not in text


def test_safe_is_said_of_touching_only_where_a_person_is_part(capsys) -> None:
    """Two lamps at mains are not safe to touch; the word under the fault table must not say so."""
    supply = ["--capacitor", "33n", "--frequency", "50", "--line-voltage", "400"]
    assert main(["size", "two-lamp-capacitor", *supply]) == 0
    lamps = " ".join(capsys.readouterr().out.split())
    assert "says nothing of touching it" in lamps
    assert "touch current at most" not in lamps
    assert main(["size", "touch-probe", "--capacitor", "4n7", *supply[2:]]) == 0
    assert "touch current at most" in " ".join(capsys.readouterr().out.split())


def test_an_led_too_faint_to_see_is_told(capsys) -> None:
    """The sheet's own smallest capacitor against the one given."""
    supply = ["--frequency", "50", "--line-voltage", "400"]
    for capacitor, told in (("4n7", True), ("33n", False)):
        assert main(["size", "led-pair", "--capacitor", capacitor, *supply]) == 0
        text = " ".join(capsys.readouterr().out.split())
        assert ("expect it faint" in text or "Take a larger capacitor" in text) is told


def test_a_capacitor_that_nobody_sells_is_told_with_its_neighbours(capsys) -> None:
    """E12 of IEC 60063 has 560 and 680, 8.2 and 10: 602.8 nF and 9.4 nF lie between."""
    lamp = ["--lamp-voltage", "230", "--lamp-power", "15"]
    assert main(["size", "two-lamp-capacitor", "--frequency", "50", "--line-voltage", "400", *lamp]) == 0
    assert "size again with --capacitor 560n or 680n" in " ".join(capsys.readouterr().out.split())
    pad = ["size", "touch-probe", "--frequency", "50", "--line-voltage", "690", "--capacitor"]
    assert main([*pad, "4n7"]) == 0
    assert "--capacitor 4n1 (2 × 8n2) or 5n (2 × 10n)" in " ".join(capsys.readouterr().out.split())
    assert main([*pad, "5n"]) == 0
    assert "no usual value" not in capsys.readouterr().out


def test_a_coil_is_written_in_henry(capsys) -> None:
    """IEC 60062 gives the letter R to ohms: a coil of 16.8 H is no 16R8."""
    lamp = ["--lamp-voltage", "230", "--lamp-power", "15"]
    assert main(["size", "two-lamp-inductor", "--frequency", "50", "--line-voltage", "400", *lamp]) == 0
    assert "16R81" not in capsys.readouterr().out


def test_readme_and_reference_page_warn_too() -> None:
    """Who reads no sheet is told of the live tip, and for which earthing the touch current holds."""
    root = Path(__file__).parents[1]
    readme = " ".join((root / "README.md").read_text(encoding="utf-8").replace(">", "").split())
    assert "A loose probe is alive through the circuit while another is on" in readme
    page = (root / "lessons" / "reference-wiring.md").read_text(encoding="utf-8")
    probe = circuit("touch-probe").sized(capacitance=2.2e-9, frequency=50, line_voltage=400)
    assert probe.touch_current("corner")[0] > probe.touch_current()[0]
    assert "That is on a star-earthed supply" in page


def test_the_body_app_does_not_reassure_on_a_corner_earthed_supply() -> None:
    """Where the unseen conductor L3 is earthed both probes and K lie further from earth (geometry)."""
    probe = circuit("touch-probe").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    corner = replace(probe.supply(), earthing="corner")
    l2_earthed, l3_earthed = (worst_touch(probe, corner.moved_round(k))[0] for k in (0, 2))
    assert l3_earthed > l2_earthed
    assert "With L3 earthed instead it is more." in describe(body_path(probe, corner), ON_EARTH)
    assert "instead" not in describe(body_path(probe, probe.supply()), ON_EARTH)


def test_nor_with_nothing_or_the_centre_of_a_side_earthed() -> None:
    """A first earth fault trips nothing on an isolated network and earths a corner (common practice)."""
    probe = circuit("touch-probe").sized(capacitance=4.7e-9, frequency=60, line_voltage=480)
    side = replace(probe.supply(), earthing="side")
    assert worst_touch(probe, side.moved_round(1))[0] > worst_touch(probe, side)[0]
    assert "another side earthed it is more" in describe(body_path(probe, side), ON_EARTH)
    isolated = replace(probe.supply(), earthing="isolated")
    assert "touching earth somewhere" in describe(body_path(probe, isolated), ON_EARTH)


@pytest.mark.parametrize("earthing", ["isolated", "delta", None])
def test_touch_current_for_an_earthing_that_has_none(earthing: str) -> None:
    """An isolated supply has no fixed earth: the cautious reading is one conductor on earth, and the error says so."""
    with pytest.raises(ValueError, match=r"^earthing must be star, corner or side \(isolated counts as corner"):
        example("touch-probe").touch_current(earthing)  # type: ignore[attr-defined]
