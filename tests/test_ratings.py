"""Ratings: the worst state by a second solver, what is bought stands it, charge left behind, the sheet on paper."""

from __future__ import annotations

import re
from itertools import product

import numpy as np
import pytest
from dense import across
from example_circuits import NAMES, SMALL, about, example, filament_star
from reference_rows import Row, load
from scipy.integrate import quad, solve_ivp
from test_wiring import phase, touched

from phasorkit.analysis.discharge import (
    HARMLESS_CHARGE,
    HARMLESS_VOLTS,
    SECONDS_ALLOWED,
    discharge,
    own_resistance,
)
from phasorkit.analysis.inductor_instead import Core, comparison, instead_of_capacitor, with_inductor
from phasorkit.analysis.ratings import (
    CLASS_X,
    CLASS_Y,
    DERATING,
    MOST_PIECES,
    RESISTORS,
    chain,
    impulse,
    ratings,
    remarks,
)
from phasorkit.analysis.sheet import sheet
from phasorkit.analysis.stress import stresses
from phasorkit.commands.sheet_text import print_sheet
from phasorkit.network import SHORT, Element, Network
from phasorkit.parts import series_values
from phasorkit.quantities import parse

ROWS = load("margins")
SYSTEMS = [(24, 50), (208, 60), (400, 50), (400, 400), (480, 60), (600, 60), (690, 50)]
"""Bench, North American and IEC systems, an aircraft frequency."""


# --- outside values -------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", about(ROWS, "volts"), ids=lambda row: row.id)
def test_a_quarter_watt_resistor_stands_200_to_250_volts(row: Row) -> None:
    """Common practice."""
    row.check({s.name: s.volts for s in RESISTORS}[row.given["part"]])


@pytest.mark.parametrize("row", about(ROWS, "pulse"), ids=lambda row: row.id)
def test_test_pulses_of_the_capacitor_classes(row: Row) -> None:
    """IEC 60384-14, from memory."""
    pulses = {s.pulse for s in (*CLASS_X, *CLASS_Y) if s.name == row.given["class"]}
    assert len(pulses) == 1
    row.check(pulses.pop() / 1000)


@pytest.mark.parametrize("row", about(ROWS, "impulse"), ids=lambda row: row.id)
def test_impulses_of_the_systems(row: Row) -> None:
    """IEC 60664-1, overvoltage category III, from memory."""
    row.check(impulse(float(row.given["line_voltage"])) / 1000)


@pytest.mark.parametrize("row", [r for r in about(ROWS, "limit") if r.given["of"] != "touch"], ids=lambda row: row.id)
def test_limits_of_charge_and_direct_voltage(row: Row) -> None:
    """IEC 61010-1, from memory."""
    row.check({"charge": HARMLESS_CHARGE * 1e6, "dc": HARMLESS_VOLTS}[row.given["of"]])


# --- stress ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n in NAMES if n != "two-lamp-inductor"])
def test_worst_volts_by_a_second_solver(name: str) -> None:
    """Every wiring state at 110 %, lamps open and bridged where they may light, solved by a dense solver."""
    i = example(name)
    own = {e.name for e in i.network().elements}
    worst = dict.fromkeys((e.name for e in i.network().elements), 0.0)
    states = [w for w in WIRING if fits(w, i.probes)]
    for s, state in product(("123", "132"), states):
        sources = {p: phase(c, s, 440) for p, c in touched(state, i.probes).items()} | {"N": 0j, "PE": 0j}
        lit = [
            lamp for lamp in i.lamps
            if lamp.name not in own and across(i.network(), sources, 50, lamp.a, lamp.b) >= lamp.dark_below
        ]  # fmt: skip
        bridged = i.network().with_elements(Element(lamp.name, "R", SHORT, lamp.a, lamp.b) for lamp in lit)
        for network, e in product((i.network(), bridged), i.network().elements):
            worst[e.name] = max(worst[e.name], across(network, sources, 50, e.a, e.b))
    found = stresses(i)
    for part, volts in worst.items():
        assert found[part].volts >= volts * (1 - 1e-6)  # it also goes over lost and earthed conductors
        assert found[part].volts == pytest.approx(volts, rel=1e-4) or "lost" in found[part].volts_state


WIRING = (
    "right", "open L1", "open L2", "open L3", "neutral L1", "neutral L2", "neutral L3", "doubled L1=L2",
    "doubled L1=L3", "doubled L2=L1", "doubled L2=L3", "doubled L3=L1", "doubled L3=L2",
)  # fmt: skip


def fits(state: str, probes: tuple[str, ...]) -> bool:
    """Whether a state is one of an indicator with these probes."""
    return state == "right" or re.findall("L[123]", state)[0] in probes


def test_a_lit_lamp_stresses_the_divider_more_than_any_wrong_wiring() -> None:
    """By hand: lamp bridged, R1, R2 beside R3 and C: 362 V on R1 at 440 V, where right wiring unlit gives 220 V."""
    bridge = example("divider-bridge")
    worst = stresses(bridge)["R1"]
    r, xc = bridge.resistance, bridge.resistance * 3**0.5
    l1, l2, l3 = (phase(c, "132", 440) for c in ("L1", "L2", "L3"))
    node = (l1 / r + 2 * l3 / r + l2 * 1j / xc) / (3 / r + 1j / xc)
    assert worst.volts == pytest.approx(abs(l1 - node), rel=1e-6)
    assert worst.volts_state == "132, right, lamp lit"
    assert stresses(bridge, wrong=False)["R1"].volts == pytest.approx(worst.volts)


def test_watts_are_volts_squared_over_resistance() -> None:
    """Of every resistor of every circuit, in its worst state."""
    for name in NAMES:
        i = example(name)
        for part, s in stresses(i).items():
            e = i.network().element(part)
            assert s.watts == pytest.approx(s.volts**2 / e.value if e.kind == "R" else 0, rel=1e-6)


# --- what is bought stands it ---------------------------------------------------------------------------


@pytest.mark.parametrize(("line_voltage", "frequency"), SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
def test_every_part_stands_its_worst_state(name: str, line_voltage: float, frequency: float) -> None:
    """From the 24 V bench to 690 V: margin of at least 1, values in series make the value, few pieces."""
    i = example(name, line_voltage=line_voltage, frequency=frequency)
    for r in ratings(i):
        assert r.volts_peak == pytest.approx(2**0.5 * r.volts)
        total = 1 / (r.pieces / r.each_value) if r.kind == "C" else r.pieces * r.each_value
        assert total == pytest.approx(r.value)
        if r.rated_volts is None:
            assert r.margin is None
            assert r.buy.startswith(("coil", "load resistor"))
            continue
        assert r.rated_volts >= r.volts
        assert r.margin is None or r.margin >= 1
        if r.kind == "R":
            assert r.pieces <= MOST_PIECES
            assert r.watts <= DERATING * r.rated_watts


@pytest.mark.parametrize("series", ["E12", "E24", "E96"])
@pytest.mark.parametrize(("line_voltage", "frequency"), SYSTEMS)
@pytest.mark.parametrize("name", SMALL)
def test_a_chain_of_preferred_values(name: str, line_voltage: float, frequency: float, series: str) -> None:
    """Each piece is in the series and bears no more than it stands; the sum is as near as a single part would be."""
    step = {"E12": 0.11, "E24": 0.06, "E96": 0.015}[series]
    for r in ratings(example(name, line_voltage=line_voltage, frequency=frequency)):
        if r.kind != "R":
            continue
        values = chain(r, series)
        decade = series_values(series)
        for v in values:
            mantissa = v / 10 ** np.floor(np.log10(v * (1 + 1e-12)))
            assert np.abs(decade / mantissa - 1).min() < 1e-9
            assert r.volts * v / sum(values) <= r.rated_volts / r.pieces * 1.01
            assert r.watts * v / sum(values) <= DERATING * r.rated_watts / r.pieces * 1.03
        assert abs(sum(values) / r.value - 1) <= (step if len(values) == 1 else 0.02)


def test_capacitor_class_by_where_it_sits() -> None:
    """X between phases, Y where a person is in series, plain film on the bench; a dc rating is no ac rating."""
    assert [r.buy for r in ratings(example("divider-bridge")) if r.kind == "C"] == ["X1, 440 V ac"]
    pads = {
        v: next(r for r in ratings(example("touch-probe", line_voltage=v)) if r.kind == "C") for v in (208, 400, 690)
    }
    assert {v: (r.pieces, r.buy) for v, r in pads.items()} == {
        208: (1, "Y2, 300 V ac"), 400: (1, "Y1, 500 V ac"), 690: (2, "Y1, 500 V ac"),
    }  # fmt: skip
    neutral = example("touch-probe", givens={"return_path": "neutral"})
    assert [r.buy[0] for r in ratings(neutral) if r.kind == "C"] == ["X"]
    bench = [r for r in ratings(example("divider-bridge", line_voltage=24)) if r.kind == "C"]
    assert [r.buy for r in bench] == ["film, 63 V dc"]
    assert any("400 V dc stands some 200 V ac" in text for text in remarks(example("divider-bridge")))
    assert not any("dc rating" in text for text in remarks(example("two-lamp-inductor")))


def test_a_pulse_beyond_the_class_is_said() -> None:
    """On 690 V the system's 6 kV is more than X1's 4 kV."""
    at400, at690 = (ratings(example("divider-bridge", line_voltage=v))[-1].remark for v in (400, 690))
    assert at400 == "test pulse 4 kV"
    assert "less than the 6 kV" in at690


def test_a_person_and_a_winding_are_no_parts() -> None:
    """Nobody buys a body; the winding resistance comes with its coil."""
    assert not {"RB", "CB", "RW"} & {r.name for n in ("touch-probe", "two-lamp-inductor") for r in ratings(example(n))}


def test_filament_lamps_are_rated_by_what_is_printed_on_them() -> None:
    """Two 230 V lamps in series where one would be over-volted at 110 %."""
    lamps = [r for r in ratings(filament_star()) if r.name.startswith("H")]
    assert [(r.pieces, r.buy, r.rated_volts) for r in lamps] == [(2, "230 V 15 W lamp", 460)] * 2
    assert all(r.margin >= 1 for r in lamps)


# --- discharge ------------------------------------------------------------------------------------------


def test_a_bridge_keeps_its_charge_when_the_probes_are_in_the_air() -> None:
    """No loop goes through C of the bridge; the twin closes one of three R (R3, R6 and nothing else: by hand 3R)."""
    assert [d.own_ohm for d in discharge(example("divider-bridge"))] == [None]
    twin = example("twin-bridge")
    assert discharge(twin)[0].own_ohm == pytest.approx(own_by_hand(twin.network(), "C1"))


def test_the_charge_that_stays_is_that_of_the_peak() -> None:
    """By hand: C1 of the double bridge is the long leg of a 30-60-90 triangle over 440 V; at worst √2 of it stays."""
    found = discharge(example("double-rc-bridge"))[0]
    peak = np.sqrt(2) * np.cos(np.deg2rad(30)) * 440
    assert found.volts_peak == pytest.approx(peak, rel=1e-6)
    assert found.coulomb == pytest.approx(4.7e-9 * peak, rel=1e-6)


def own_by_hand(network: Network, name: str) -> float:
    """Resistance between a capacitor's ends, the other capacitors away: 1 A in, volts out, by least squares."""
    target = network.element(name)
    rest = Network(tuple(e for e in network.elements if e.kind == "R"))
    nodes = list(rest.nodes)
    laplacian = np.zeros((len(nodes), len(nodes)))
    for e in rest.elements:
        a, b = nodes.index(e.a), nodes.index(e.b)
        laplacian[[a, b, a, b], [a, b, b, a]] += np.array([1, 1, -1, -1]) / e.value
    ampere = np.zeros(len(nodes))
    ampere[[nodes.index(target.a), nodes.index(target.b)]] = 1, -1
    volts = np.linalg.pinv(laplacian) @ ampere
    return float(volts[nodes.index(target.a)] - volts[nodes.index(target.b)])


def test_time_to_harmless_volts_by_integration() -> None:
    """scipy integrates the twin's discharge to 60 V, and to 34 V for wet places, in the time stated."""
    twin = example("twin-bridge")
    for below in (60.0, 34.0):
        d = discharge(twin, below=below)[0]
        falls = solve_ivp(
            lambda t, u, d=d: -u / (d.own_ohm * 4.7e-9), (0, 1), [d.volts_peak], rtol=1e-10, atol=1e-9,
            events=lambda t, u, below=below: u[0] - below, max_step=1e-3,
        )  # fmt: skip
        assert falls.t_events[0][0] == pytest.approx(d.seconds, rel=1e-6)
    assert discharge(twin)[0].joule == pytest.approx(quad(lambda u: 4.7e-9 * u, 0, discharge(twin)[0].volts_peak)[0])


def test_a_large_charge_asks_for_a_bleeder() -> None:
    """Microfarads of a lamp star: more than 45 µC; the bleeder brings it below 60 V in 5 s and no sooner."""
    d = discharge(filament_star())[0]
    assert d.coulomb > HARMLESS_CHARGE
    assert not d.harmless
    left = d.volts_peak * np.exp(-SECONDS_ALLOWED / (d.bleeder_ohm * d.coulomb / d.volts_peak))
    assert left == pytest.approx(60)
    assert all(x.harmless and x.bleeder_ohm is None for n in SMALL for x in discharge(example(n)))


def test_own_resistance_sees_coils_as_links() -> None:
    """Direct current: a coil is a link, another capacitor a gap."""
    loop = Network((
        Element("C1", "C", 1e-6, "a", "b"), Element("L1", "L", 1.0, "b", "c"), Element("R1", "R", 50.0, "c", "a"),
        Element("C2", "C", 1e-6, "c", "d"),
    ))  # fmt: skip
    assert own_resistance(loop, "C1") == pytest.approx(50, rel=1e-6)
    assert own_resistance(loop, "C2") is None


# --- why not an inductor --------------------------------------------------------------------------------


def test_henries_and_turns() -> None:
    """Thousands of henries and turns for the reactance of a small capacitor."""
    for row in about(ROWS, "inductance"):
        c, f = parse(row.given["capacitance"], "F"), parse(row.given["frequency"], "Hz")
        row.check(instead_of_capacitor(capacitance=c, frequency=f, line_voltage=400).inductance)
    for row in about(ROWS, "turns"):
        core = Core(*(float(row.given[k]) for k in ("area", "path", "permeability")))
        henry = float(row.given["inductance"])
        row.check(with_inductor(inductance=henry, frequency=50, line_voltage=400, core=core).turns)


def test_a_smaller_inductor_only_heats() -> None:
    """The three resistors' watts by the solver: an inductor for C is the mirror image of the bridge."""
    for record in comparison(capacitance=4.7e-9, frequency=50, line_voltage=400):
        r, coil = record.resistance, record.inductance
        network = Network((
            Element("R1", "R", r, "L1", "M"), Element("R2", "R", r, "M", "L3"), Element("R3", "R", r, "L3", "P"),
            Element("X", "L", coil, "P", "L2"),
        ))  # fmt: skip
        solved = network.solve({c: phase(c, "132") for c in ("L1", "L2", "L3")}, frequency=50)
        assert abs(solved.voltage("M", "P")) < 1e-6  # dark for 1-3-2: the mirror image
        assert sum(solved.power(n).real for n in ("R1", "R2", "R3")) == pytest.approx(record.watts)
        assert abs(solved.current("X")) == pytest.approx(record.ampere)
    watts = [record.watts for record in comparison(capacitance=4.7e-9, frequency=50, line_voltage=400)]
    assert watts == sorted(watts)
    assert watts[-1] > 600


# --- refused, and the sheet -----------------------------------------------------------------------------


def test_refused() -> None:
    """A system beyond the table, a voltage that is none, a core of nothing."""
    with pytest.raises(ValueError, match="line_voltage must be at most 1732 V rms, got 3000"):
        impulse(3000)
    with pytest.raises(ValueError, match="below must be positive"):
        discharge(example("divider-bridge"), below=0)
    with pytest.raises(ValueError, match="path must be positive"):
        Core(path=0)
    with pytest.raises(ValueError, match="inductance must be positive"):
        with_inductor(inductance=-1, frequency=50, line_voltage=400)


@pytest.mark.parametrize("line_voltage", [24, 400, 690])
@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_fits_80_columns_and_names_everything(
    name: str, line_voltage: float, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every part, wiring state and fault stands on the printed sheet, no line is wider, nothing is cut off."""
    monkeypatch.setenv("COLUMNS", "80")
    i = example(name, line_voltage=line_voltage)
    data = sheet(i)
    print_sheet(i, data)
    text = capsys.readouterr().out
    lines = text.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert "…" not in text
    starts = [line.strip() for line in lines]
    for label in [r["name"] for r in data["ratings"]] + [r["fault"] for r in data["single_faults"]]:
        assert any(line.startswith(f"{label} ") for line in starts), label
    for r in data["wiring"]:
        assert any(line.startswith(f"{r['wiring']} ") for line in starts), r["wiring"]
    assert "never proof of absence of voltage" in " ".join(text.split())


def test_the_sheet_keeps_its_promises() -> None:
    """The keys of the analyses are there, and plain data with only finite numbers."""
    data = sheet(example("twin-bridge"))
    assert {r["meter"] for r in data["loading"]} == {"10 MΩ"}
    assert data["tolerance"]["loosest_classes"]
    assert data["single_faults"][0]["fault"] == "none"
    assert {r["name"] for r in data["ratings"]} == {p["name"] for p in data["parts"]}

    def walk(item: object) -> None:
        if isinstance(item, dict):
            assert all(isinstance(k, str) for k in item)
            item = list(item.values())
        if isinstance(item, list | tuple):
            for x in item:
                walk(x)
        else:
            assert item is None or isinstance(item, str | bool | int | float)
            assert not isinstance(item, float) or np.isfinite(item)

    walk(data)
