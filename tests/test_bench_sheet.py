"""Bench sheets: predictions by hand and by a plain nodal solve, honest builds agree, every suspect is found.

A suspect is simulated (the circuit with that one thing changed) and its readings are given to `agree`. Where a change
moves no reading out of its range it cannot be found; which these are is stated below, circuit by circuit.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from phasorkit.analysis.bench_agree import Outcome, agree
from phasorkit.analysis.bench_sheet import (
    METER_FLOOR,
    METER_PERCENT,
    BenchSheet,
    bench_sheet,
    on_bench,
    places,
)
from phasorkit.analysis.bench_source import SOURCES, shown, usual_set
from phasorkit.analysis.bench_suspects import suspects
from phasorkit.analysis.bench_text import as_text, cautions, parts_list, stand_in, steps, wiring_list
from phasorkit.analysis.loading import Meter
from phasorkit.analysis.margins import varied
from phasorkit.draw.bench_page import page, write
from phasorkit.indicators import circuit, circuits
from phasorkit.indicators.base import SEQUENCES

NAMES = tuple(circuits())
TURN = np.exp(2j * np.pi / 3)

NOT_SEEN = {
    "divider-bridge": {"meter digital, 1 MΩ", "meter pointer, 20 kΩ/V"},
    "twin-bridge": {"meter digital, 1 MΩ", "meter pointer, 20 kΩ/V"},
    "double-rc-bridge": {"R3 shorted", "R3 ten times too large", "R3 ten times too small"},
    "touch-probe": {"R5 shorted", "R6 shorted", "R5 ten times too small", "R6 ten times too small"},
    "led-pair": {"60 Hz", "meter digital, 1 MΩ", "meter low impedance, 400 kΩ", "meter pointer, 20 kΩ/V"},
    "two-lamp-capacitor": {"meter digital, 1 MΩ", "meter low impedance, 400 kΩ", "meter pointer, 20 kΩ/V"},
    "two-lamp-inductor": {"60 Hz", "meter digital, 1 MΩ", "meter low impedance, 400 kΩ", "meter pointer, 20 kΩ/V"},
}
"""By circuit on the transformer: what moves no reading out of its range. No current flows in the resistors beside a
lamp that is out, and nodes of a few kilohms do not mind a megohm."""


def usual(name: str, source: str = "transformer") -> BenchSheet:
    return bench_sheet(on_bench(name, source=source), source=source)


def read(sheet: BenchSheet, sequence: str, what: str) -> float:
    return next(r.shown for r in sheet.of(sequence) if r.what == what)


def nodal(admittances: np.ndarray, currents: np.ndarray) -> np.ndarray:
    return np.linalg.solve(admittances, currents)


# --- predictions ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("source", SOURCES)
@pytest.mark.parametrize("sequence", SEQUENCES)
def test_the_lamp_of_the_bridge_by_a_plain_nodal_solve(source: str, sequence: str) -> None:
    """Two unknown nodes M and P, 39 kΩ and 47 nF at 50 Hz, a meter of 10 MΩ between them; the generator by its angles.

    Seen from L3 the channels stand 60° apart (difference of two phasors 120° apart: Euclid).
    """
    sheet = usual("divider-bridge", source)
    volts, back = sheet.indicator.line_voltage, -1 if sequence == "123" else 1
    if source == "generator":
        l1, l2, l3 = volts, volts * np.exp(back * 1j * np.pi / 3), 0
    else:
        l1, l2, l3 = (volts / np.sqrt(3) * TURN ** (back * k) for k in range(3))
    g, y, m = 1 / 39e3, 2j * np.pi * 50 * 47e-9, 1 / 10e6
    matrix = np.array([[2 * g + m, -m], [-m, g + y + m]])
    node_m, node_p = nodal(matrix, np.array([g * l1 + g * l3, g * l3 + y * l2]))
    assert read(sheet, sequence, "lamp H1") == pytest.approx(abs(node_m - node_p), abs=1e-6)


def test_channels_that_stand_60_degrees_apart_are_a_whole_triangle() -> None:
    lines = {round(r.shown, 6) for r in usual("divider-bridge", "generator").rows if r.what == "line"}
    assert lines == {7.0}


def test_the_double_bridge_has_one_and_a_half_times_the_line_voltage() -> None:
    """Textbook result for R = Xc/√3 and √3·Xc, exact parts and a perfect meter."""
    exact = circuit("double-rc-bridge").sized(capacitance=47e-9, frequency=50, line_voltage=24)  # type: ignore[attr-defined]
    sheet = bench_sheet(exact)
    assert [r.perfect for s in SEQUENCES for r in sheet.of(s)[-1:]] == pytest.approx([0, 36], abs=1e-9)
    assert "Up to 36 V stand between two of its points" in steps(sheet)[0]


def test_a_meter_takes_its_share() -> None:
    """Half a megohm and ten megohms share 20.8 V: lesson 05 works it out for 4.7 nF."""
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=24)  # type: ignore[attr-defined]
    row = bench_sheet(bridge.with_preferred_values("E24")).of("132")[-1]
    assert (round(row.perfect, 2), round(row.shown, 2)) == (20.77, 19.80)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("source", SOURCES)
def test_a_sheet_is_extra_low_and_measures_only_what_can_be_reached(name: str, source: str) -> None:
    sheet = usual(name, source)
    assert sheet.indicator.line_voltage <= 24
    assert max(r.perfect for r in sheet.rows) < 50  # extra-low voltage ends at 50 V (IEC 60364-4-41, from memory)
    nodes = {node for r in sheet.rows for node in r.between}
    assert "W" not in nodes  # inside the coil
    assert [r.what for r in sheet.of("123")] == [r.what for r in sheet.of("132")]
    assert all(r.low <= r.shown <= r.high for r in sheet.rows)


def test_more_than_24_volts_are_refused() -> None:
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=25)  # type: ignore[attr-defined]
    with pytest.raises(ValueError, match=r"line_voltage must be at most 24 V rms.*got 25"):
        bench_sheet(bridge)
    with pytest.raises(KeyError, match="source must be one of transformer, generator"):
        on_bench("divider-bridge", source="mains")


# --- agreement --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_honest_builds_agree(name: str) -> None:
    """Parts, source and meter anywhere inside their tolerance: never a false alarm."""
    dice, sheet = np.random.default_rng(12), usual(name)
    for _ in range(12):
        there = usual_set(sheet.indicator, sheet.source, sheet.meter)
        network = there.network
        for e in (e for e in varied(sheet.indicator, sheet.margins) if e.name in {x.name for x in network.elements}):
            off = dice.uniform(-1, 1) * sheet.margins.percent(sheet.indicator, e) / 100
            network = network.with_value(e.name, float(np.asarray(e.value)) * (1 + off))
        built = replace(
            there, network=network, frequency=50 * dice.uniform(*sheet.margins.frequency),
            scale=dice.uniform(*sheet.margins.voltage),
        )  # fmt: skip
        readings = {
            s: [
                max(
                    shown(built, s, r.between) * (1 + dice.uniform(-1, 1) * METER_PERCENT / 100)
                    + dice.uniform(-1, 1) * METER_FLOOR,
                    0,
                )
                for r in sheet.of(s)
            ]
            for s in SEQUENCES
        }
        assert agree(sheet, readings).agrees, agree(sheet, readings).text


def test_a_usual_meter_on_a_usual_source_stays_in_range_and_a_wrong_winding_does_not() -> None:
    """Meter ±(1.2 % + 3 digits of 0.01 V), source ±2 % with 1 % unbalance (common practice): but 6 % off is told."""
    for row in usual("divider-bridge").rows:
        if row.what == "line":
            assert row.low <= 24 * 0.99 * 0.98 * (1 - 0.012) - 0.03
            assert row.high >= 24 * 1.01 * 1.02 * (1 + 0.012) + 0.03
            assert 24 * 0.94 < row.low < row.high < 24 * 1.06


@pytest.mark.parametrize("name", ["divider-bridge", "double-rc-bridge", "twin-bridge", "touch-probe"])
def test_a_perfect_null_is_an_honest_reading(name: str) -> None:
    """Parts off by their tolerance may cancel: 0 V on a dark lamp is never a fault."""
    dark = [row for row in usual(name).rows if row.what.startswith("lamp") and row.shown < 1]
    assert dark
    assert {row.low for row in dark} == {0.0}


@pytest.mark.parametrize("source", SOURCES)
def test_the_leds_of_the_bench_are_seen(source: str) -> None:
    """Mean over a period at 85 % of volts; the shunt keeps what 1.9 V drive, and 0.2 mA shows (common practice)."""
    pair = on_bench("led-pair", source=source)
    star = abs(TURN**2 - (-1 + 3j) / 5)  # L2 to the star point, R = Xc, in phase volts
    peak = 0.85 * star * pair.line_voltage * (2 / 3) ** 0.5 / (pair.dropping + pair.shunt)  # type: ignore[attr-defined]
    sine = np.sin(np.linspace(0, 2 * np.pi, 20_000, endpoint=False))
    mean = np.mean(np.maximum(peak * sine - 1.9 / pair.shunt, 0))  # type: ignore[attr-defined]
    assert mean > 0.2e-3


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=[pytest.mark.slow] if n in ("touch-probe", "twin-bridge") else []) for n in NAMES]
)
def test_every_suspect_is_found_or_moves_nothing(name: str) -> None:
    sheet, missed, unseen = usual(name), [], set()
    for suspect in suspects(sheet):
        outcome = agree(sheet, {s: [shown(suspect.there, s, r.between) for r in sheet.of(s)] for s in SEQUENCES})
        if outcome.agrees:
            unseen.add(suspect.name)
        elif suspect.name not in [s.name for s in outcome.suspects]:
            missed.append((suspect.name, [s.name for s in outcome.suspects]))
    assert missed == []
    assert unseen == NOT_SEEN[name]


def test_channels_that_stand_120_degrees_apart_are_found_from_three_line_voltages() -> None:
    """Then L1–L2 is √3 times the others (Euclid)."""
    sheet = usual("divider-bridge", "generator")
    lines = [7 * 3**0.5, 7.0, 7.0]
    outcome = agree(sheet, {"123": [*lines, *([None] * (len(sheet.of("123")) - 3))]})
    assert "120° apart" in [s.name for s in outcome.suspects]


def test_a_resistor_in_the_wrong_place_is_named_in_words() -> None:
    sheet = usual("double-rc-bridge")
    suspect = next(s for s in suspects(sheet) if s.name == "R1 and R2 swapped")
    outcome = agree(sheet, {"132": [shown(suspect.there, "132", r.between) for r in sheet.of("132")]})
    assert "R1 and R2 have changed places." in outcome.text
    assert "readings do not agree" in outcome.text


def test_parts_in_each_others_place_by_a_plain_nodal_solve() -> None:
    """C between L3 and P, R between P and L2 (the lesson's puzzled apprentice), each reading with 10 MΩ across it."""
    sheet, readings = usual("divider-bridge"), {}
    g, y, m = 1 / 39e3, 2j * np.pi * 50 * 47e-9, 1 / 10e6
    for sequence, back in (("123", -1), ("132", 1)):
        l1, l2, l3 = (24 / np.sqrt(3) * TURN ** (back * k) for k in range(3))
        half, p = abs(l1 - l3) * g / (2 * g + m), (y * l3 + g * l2) / (y + g)
        c_volts, r_volts = (abs(u) / abs(1 + m / (y + g)) for u in (l3 - p, p - l2))
        node_m, node_p = nodal(np.array([[2 * g + m, -m], [-m, g + y + m]]), np.array([g * (l1 + l3), y * l3 + g * l2]))
        readings[sequence] = [24.0, 24.0, 24.0, half, half, c_volts, r_volts, abs(node_m - node_p)]
    assert [s.name for s in agree(sheet, readings).suspects] == ["R3 and C1 swapped"]


def bridge_by_hand(l1: complex, l2: complex, l3: complex) -> list[float]:
    """All readings of the bridge with 39 kΩ and 47 nF at 50 Hz, a perfect meter: two dividers, no load (Ohm's law)."""
    y, g = 2j * np.pi * 50 * 47e-9, 1 / 39e3
    m, p = (l1 + l3) / 2, (g * l3 + y * l2) / (g + y)
    ends = ((l1, l2), (l2, l3), (l3, l1), (l1, m), (m, l3), (l3, p), (p, l2), (m, p))
    return [float(abs(a - b)) for a, b in ends]


def triangle(back: int) -> list[complex]:
    return [complex(24 / np.sqrt(3) * TURN ** (back * k)) for k in range(3)]


def names_of(outcome: Outcome) -> list[str]:
    return [s.name for s in outcome.suspects]


def test_a_sequence_that_was_never_exchanged_is_named_and_not_a_part() -> None:
    """The commonest slip: the second set is the first one once more."""
    same = bridge_by_hand(*triangle(-1))
    assert names_of(agree(usual("divider-bridge"), {"123": same, "132": same})) == ["both 123"]


@pytest.mark.parametrize("lead", [0, 1, 2])
def test_a_lead_on_the_star_terminal_is_named_and_not_a_part(lead: int) -> None:
    """Two line voltages are 1/√3 of the third (triangle and its centre): lesson 08's first measurement."""
    readings = {}
    for s, back in (("123", -1), ("132", 1)):
        volts = triangle(back)
        volts[lead] = 0
        readings[s] = bridge_by_hand(*volts)
    outcome = agree(usual("divider-bridge"), readings)
    assert names_of(outcome) == [f"L{lead + 1} on star"]
    assert "0.58" in outcome.text


def test_a_channel_without_volts_and_a_missing_ground_are_told_as_such() -> None:
    """A dead channel holds its lead at ground (or lets it float); without ground no current can come back from L3."""
    sheet, seven = usual("divider-bridge", "generator"), 7 * np.exp(-1j * np.pi / 3)
    dead = agree(sheet, {"123": bridge_by_hand(0, seven, 0)})
    assert "its channel gives no volts" in dead.text
    y, g = 2j * np.pi * 50 * 47e-9, 1 / 39e3
    floating = (7 * g / 2 + seven * (g * y / (g + y))) / (g / 2 + g * y / (g + y))  # both legs in series over L1–L2
    missing = agree(sheet, {"123": bridge_by_hand(7, seven, floating)})
    assert names_of(missing) == ["L3 open"]
    assert "the common ground" in missing.text


def test_no_part_is_blamed_while_the_line_voltages_are_off() -> None:
    """One channel at half its volts (set for another load): nothing in the list, and the source is to be looked at."""
    seven = 7 * np.exp(-1j * np.pi / 3)
    outcome = agree(usual("divider-bridge", "generator"), {"123": bridge_by_hand(3.5, seven, 0)})
    assert outcome.suspects == ()
    assert outcome.nearest is None
    assert "The line voltages themselves do not agree" in outcome.text


def test_the_star_terminal_off_its_lead_is_told() -> None:
    """No way back for the body's current: no volts from K to G, all else as it should be."""
    sheet = usual("touch-probe")
    readings = {s: [0.0 if r.what == "lamp H1" else r.shown for r in sheet.of(s)] for s in SEQUENCES}
    assert "star open" in names_of(agree(sheet, readings))


def test_another_source_voltage_is_one_factor() -> None:
    sheet = usual("divider-bridge")
    outcome = agree(sheet, {s: [0.8 * r.shown for r in sheet.of(s)] for s in SEQUENCES})
    assert outcome.ratio == pytest.approx(0.8)
    assert "the source is set to other volts" in outcome.text


def test_the_meter_that_was_used_decides() -> None:
    """A meter of 1 MΩ on half a megohm: 20.8 V become 13.9 V (lesson 05)."""
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=24)  # type: ignore[attr-defined]
    sheet = bench_sheet(bridge.with_preferred_values("E24"))
    readings = {"132": [24.0, 24.0, 24.0, 10.0, 10.0, 9.4, 15.9, 13.9]}
    assert agree(sheet, readings, meter=Meter("mine", ohms=1e6)).agrees
    named = [s.name for s in agree(sheet, readings).suspects]
    assert named == ["meter digital, 1 MΩ", "meter pointer, 20 kΩ/V"]  # 20 kΩ/V on its 50 V range is 1 MΩ as well


def test_readings_that_nothing_explains_say_so() -> None:
    sheet = usual("divider-bridge")
    odd = [24.0, 24.0, 24.0, 12.0, 12.0, 12.0, 20.8, 4.0]
    assert "No single cause explains all readings" in agree(sheet, {"123": odd}).text
    wild = [24.0, 24.0, 24.0, 0.0, 24.0, 1.0, 2.0, 24.0]
    assert "Nothing that is known here comes close" in agree(sheet, {"123": wild}).text


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ({"213": [1.0]}, "by sequence, '123' and '132'"),
        ({"123": [1.0]}, "must be 8 values"),
        ({"123": ["12"] + [None] * 7}, "must be 0 to 1000 V or None, got '12'"),
        ({"123": [-1.0] + [None] * 7}, "must be 0 to 1000 V or None"),
        ({"123": [float("nan")] + [None] * 7}, "must be 0 to 1000 V or None"),
        ({"123": [None] * 8}, "at least one value"),
        ({}, "at least one value"),
    ],
)
def test_bad_readings_are_refused_in_words(readings: dict, says: str) -> None:
    with pytest.raises(ValueError, match=re.escape(says)):
        agree(usual("divider-bridge"), readings)


# --- pages ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("source", SOURCES)
def test_a_page_has_all_that_a_bench_needs(name: str, source: str) -> None:
    sheet = usual(name, source)
    html = page(sheet)
    assert html.count('class="blank"') == len(sheet.rows)
    assert "http" not in html.replace("http://www.w3.org/2000/svg", "")
    assert "never proof of absence of voltage" in html
    assert ("60° BEHIND" in html) == (source == "generator")
    assert "ground clip" in html
    assert [h for h in ("Source", "Parts", "Wiring", "Readings") if f"<h2>{h}" not in html] == []
    assert "nan" not in re.sub(r"[a-z]*nan[a-z]+", "", html.lower())
    legs = " ".join(what for _, what in wiring_list(sheet))
    for part, *_ in parts_list(sheet):
        assert len(re.findall(rf"\b{part}\b", legs)) == 2, f"{part} has two legs"


def test_a_glow_lamp_is_replaced_and_a_body_is_a_resistor() -> None:
    assert "No glow lamp strikes" in stand_in(usual("divider-bridge"))
    assert "LEDs" in stand_in(usual("led-pair"))
    assert "Resistors stand for the lamps" in stand_in(usual("two-lamp-capacitor"))
    assert "NEVER touch the pad" in cautions(usual("touch-probe"))[0]
    assert ("RB", "2 kΩ", "PAD–PE", "plays the body: a resistor, never a person") in parts_list(usual("touch-probe"))
    assert "CB" not in {name for name, *_ in parts_list(usual("touch-probe"))}


def test_a_builder_of_the_led_pair_knows_which_leg_goes_where() -> None:
    """Current flows from the anode, the long leg (common practice); lesson 07 says the same."""
    text = stand_in(usual("led-pair"))
    assert "long leg (anode)" in text
    assert "ring (cathode) to A and B, the others to S" in text


def test_what_is_inside_a_coil_is_no_part_to_look_for() -> None:
    sheet = usual("two-lamp-inductor")
    coil, *lamps = parts_list(sheet)
    assert [name for name, *_ in lamps] == ["H1", "H2"]
    assert coil[2] == "L1–S"
    assert "its own winding 300 Ω" in coil[1]
    assert [node for node, _ in wiring_list(sheet)] == ["L1", "L2", "L3", "S"]


def test_all_pages_are_written_and_are_the_same_every_time(tmp_path: Path) -> None:
    one, two = write(tmp_path / "a"), write(tmp_path / "b")
    assert len(one) == 1 + len(NAMES) * len(SOURCES)
    assert [p.read_bytes() for p in one] == [p.read_bytes() for p in two]
    links = re.findall(r'href="([^"]+)"', one[0].read_text(encoding="utf-8"))
    assert {p.name for p in one[1:]} == set(links)


def test_the_text_has_a_line_for_every_reading() -> None:
    sheet = usual("twin-bridge")
    assert len(as_text(sheet).splitlines()) == 1 + len(sheet.rows)
    assert len(sheet.rows) == 2 * len(places(sheet.indicator))
