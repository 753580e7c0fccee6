"""What the sheet says of an indication that does not hold, and of what is no part: a builder trusts its head."""

from __future__ import annotations

import json
from dataclasses import replace
from math import log, pi, sqrt

import pytest

from phasorkit.analysis.ratings import remarks
from phasorkit.analysis.sheet import capacitor_table, sheet
from phasorkit.cli import main
from phasorkit.indicators import circuit, circuits
from phasorkit.network import Element

LAMPS = ["--lamp-voltage", "230", "--lamp-power", "15"]


def sheet_text(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["size", *arguments]) == 0
    return " ".join(capsys.readouterr().out.split())


def sized(name: str, farad: float, volts: float, hertz: float):
    return circuit(name).sized(capacitance=farad, frequency=hertz, line_voltage=volts)


def test_a_bridge_for_690_volts_is_not_to_be_trusted_with_one_lamp(capsys) -> None:
    """Closed form: off its frequency P leaves M by |1/(1 + jx/√3) − 1/(1 + j/√3)| of line voltage, x = f over nominal.

    At 690 V, 110 % and 95 % that is some 18 V before any part is off; the classes of 1 and 5 % bring it above 40 V.
    """
    off = abs(1 / (1 + 0.95j / sqrt(3)) - 1 / (1 + 1j / sqrt(3))) * 1.1 * 690
    data = sheet(sized("divider-bridge", 4.7e-9, 690, 50))
    dark = data["tolerance"]["lamps"][0]
    assert off < dark["highest"]
    assert dark["highest"] > 40
    text = sheet_text(capsys, "divider-bridge", "--capacitor", "4n7", "--frequency", "50", "--line-voltage", "690")
    assert f"Not to be trusted as it is. Within tolerance H1 may have {dark['highest']:.3g} V at 123" in text
    assert "No class of parts that is sold" in text
    assert "Two alike lamps in series" in text
    assert text.index("Not to be trusted") < text.index("Parts part between")


@pytest.mark.parametrize(("volts", "hertz"), [(208, 60), (400, 50), (480, 60)])
def test_a_bridge_for_usual_systems_has_nothing_said_against_it(volts: float, hertz: float) -> None:
    """Common practice: 4.7 nF bridges with 1 and 5 % parts work there; lamps of 40 to 90 V."""
    data = sheet(sized("divider-bridge", 4.7e-9, volts, hertz))
    assert data["doubts"] == []
    assert all(r["highest"] < 40 for r in data["tolerance"]["lamps"] if r["state"] == "dark")


def test_a_touch_probe_that_starves_its_lamp_is_told(capsys) -> None:
    """Ohm: at 208 V a struck lamp of 60 V leaves 110 V peak for 2.6 MΩ, 42 µA; it takes some 50 (common practice)."""
    probe = sized("touch-probe", 1e-9, 208, 60)
    through = (sqrt(2) * 208 / sqrt(3) - 60) / (probe.resistance + 2 * probe.chain)
    assert through < 50e-6
    said = " ".join(sheet(probe)["doubts"])
    assert "H1 at 123 should be lit by its volts, but" in said
    assert "too little current to keep its glow" in said
    assert "Take a larger capacitor" in said
    text = sheet_text(capsys, "touch-probe", "--capacitor", "4n7", "--frequency", "60", "--line-voltage", "480")
    assert "Not to be trusted" not in text


@pytest.mark.parametrize("earthing", ["isolated", "corner", "side"])
def test_the_pad_is_only_for_an_earthed_star_point(earthing: str, capsys) -> None:
    """As the sheet says: elsewhere the lamp has the same volts for both sequences."""
    probe = sized("touch-probe", 2.2e-9, 400, 50)
    one, two = (float(probe.on(replace(probe.supply(s), earthing=earthing)).lamp_volts[0]) for s in ("123", "132"))
    assert one == pytest.approx(two, abs=1e-6)
    text = sheet_text(capsys, "touch-probe", "--capacitor", "2n2", "--frequency", "50", "--line-voltage", "400")
    assert "hold only where the star point is earthed" in text


@pytest.mark.parametrize(
    "name", ["divider-bridge", "twin-bridge", "double-rc-bridge", "led-pair", "two-lamp-capacitor"]
)
def test_a_hundredth_in_the_probes_hardly_shows(name: str) -> None:
    """What the sheet allows in resistor-protected probes: no lamp moves by 2 % of line voltage; ten times it shows."""
    i = sized(name, 33e-9, 400, 50)
    moved = {}
    for part in (0.01, 0.1):
        ohms = part * i.figures()["resistance_ohm"]
        leads = i.network().with_elements(Element(f"F{p}", "R", ohms, f"tip {p}", p) for p in i.probes)
        for s in ("123", "132"):
            known = {f"tip {n}" if n in i.probes else n: v for n, v in i.supply(s).sources().items()}
            pairs = zip(
                i.on(i.supply(s)).lamp_volts, i.on(i.supply(s), network=leads, sources=known).lamp_volts, strict=True
            )
            moved[part] = max(moved.get(part, 0.0), *(abs(float(a) - float(b)) / 400 for a, b in pairs))
    assert moved[0.01] < 0.02 < moved[0.1] or name == "led-pair"
    assert any("up to a hundredth of the resistance" in text for text in remarks(i))


@pytest.mark.parametrize(
    ("name", "more", "nobody_buys"),
    [
        ("touch-probe", ["--capacitor", "4n7"], ("2k", "100p")),
        ("two-lamp-inductor", ["--inductor", "10H", "--winding-resistance", "300"], ("300R",)),
    ],
)
def test_nobody_buys_a_body_or_the_winding_of_a_coil(name: str, more: list[str], nobody_buys: tuple, capsys) -> None:
    words = sheet_text(capsys, name, *more, "--frequency", "50", "--line-voltage", "400").split()
    assert not set(nobody_buys) & set(words)


def test_capacitors_of_use_to_the_circuit() -> None:
    """Common practice: 1 to 10 nF for bridges; stars of LEDs and lamps need more, 33 nF goes with 100 kΩ."""
    assert {r["capacitance_farad"] for r in capacitor_table(sized("divider-bridge", 4.7e-9, 400, 50))} == {
        1e-9, 1.5e-9, 2.2e-9, 3.3e-9, 4.7e-9, 6.8e-9, 10e-9,
    }  # fmt: skip
    table = capacitor_table(sized("two-lamp-capacitor", 33e-9, 400, 50))
    assert [r["preferred_ohm"] for r in table if r["capacitance_farad"] == 33e-9 and r["frequency_hz"] == 50] == [100e3]
    least = sheet(sized("led-pair", 33e-9, 400, 50))["smallest_capacitor_farad"]
    assert max(r["capacitance_farad"] for r in capacitor_table(sized("led-pair", 33e-9, 400, 50))) > least


def test_filament_lamps_have_no_table_of_capacitors_and_a_bleeder_its_pieces(capsys) -> None:
    """The lamps decide, not the capacitor. Bleeder: 60 V in 5 s (IEC 61010-1, from memory), so 5/(C·ln(peak/60))."""
    text = sheet_text(capsys, "two-lamp-capacitor", *LAMPS, "--frequency", "50", "--line-voltage", "690")
    assert "Common capacitors" not in text
    assert "not lit" not in text
    assert "unloaded" not in text
    assert f"at most {5 / (320.7e-9 * log(978 / 60)) / 1e6:.1f} MΩ, as 4 pieces or more in series" in text
    assert "Common capacitors" in sheet_text(
        capsys, "two-lamp-capacitor", "--capacitor", "33n", "--frequency", "50", "--line-voltage", "400"
    )


def test_the_coil_is_told_its_current() -> None:
    """Ohm: volts over 2πfL."""
    star = circuit("two-lamp-inductor").sized(inductance=10.0, frequency=60, line_voltage=208)
    record = next(r for r in sheet(star)["ratings"] if r["name"] == "XL")
    assert f"wire for {1e3 * record['volts'] / (2 * pi * 60 * 10):.0f} mA" in record["remark"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["led-pair", "--capacitor", "33n", "--line-voltage", "2"], "--line-voltage must be above 2.76 V"),
        (["twin-bridge", "--capacitor", "4n7", "--divider", "common"], "--divider common needs --shared L2"),
        (["two-lamp-inductor", "--inductor", "2"], "write it like 680m, 2H"),
    ],
)
def test_errors_name_the_option_as_it_is_typed(arguments: list[str], says: str, capsys) -> None:
    line_voltage = [] if "--line-voltage" in arguments else ["--line-voltage", "400"]
    with pytest.raises(SystemExit) as end:
        main(["size", *arguments, "--frequency", "50", *line_voltage])
    assert end.value.code == 2
    error = capsys.readouterr().err
    assert says in error
    assert not any(
        f" {given.name}" in error for kind in circuits().values() for given in kind.inputs if "_" in given.name
    )


def test_a_series_in_small_letters(capsys) -> None:
    bridge = ["size", "divider-bridge", "--capacitor", "4n7", "--frequency", "50", "--line-voltage", "400", "--json"]
    assert main([*bridge, "--series", "e96"]) == 0
    assert json.loads(capsys.readouterr().out)["preferred_ohm"] == 392e3
