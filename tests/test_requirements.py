"""A design against its brief: each figure by hand or by a slower way, and each requirement seen to fail.

By hand, null bridge on 400 V with exact parts, lamp unloaded (geometry of the half circle, lesson 05): resistors have
half the line voltage, C √3/2 of it. Lamp lit and taken as a short, M and P are one node (Millman's theorem).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from phasorkit.analysis.at_once import solve_at_once
from phasorkit.analysis.design import Asked, Design, Requirement
from phasorkit.analysis.design_faults import try_faults
from phasorkit.analysis.faults import fault_table
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.ratings import CLASS_X, CLASS_Y, FILM, RESISTORS
from phasorkit.analysis.requirements import requirements
from phasorkit.analysis.stress import faulty_networks
from phasorkit.analysis.tolerance import tolerance_table
from phasorkit.analysis.wiring import MISLEADING, wiring_table
from phasorkit.indicators import circuit
from phasorkit.indicators.base import Indicator

CAPACITOR = {"divider-bridge": 2.2e-9, "twin-bridge": 2.2e-9, "double-rc-bridge": 4.7e-9, "led-pair": 47e-9,
             "touch-probe": 1e-9}  # fmt: skip


def sized(name: str, line_voltage: float = 400.0, capacitance: float | None = None) -> Indicator:
    farad = capacitance or CAPACITOR[name]
    return circuit(name).sized(capacitance=farad, frequency=50, line_voltage=line_voltage)  # type: ignore[attr-defined, no-any-return]


def good(name: str = "divider-bridge") -> Design:
    kind = CLASS_Y[1] if name == "touch-probe" else CLASS_X[2]
    return Design(exact=sized(name), series="E96", pieces=3, size=RESISTORS[1], capacitor=kind)


def by_name(design: Design, asked: Asked | None = None) -> dict[str, Requirement]:
    return {r.name: r for r in requirements(design, asked or Asked())}


def test_a_sound_bridge_passes_all_and_a_poor_one_is_told_where_it_fails() -> None:
    assert all(r.passed for r in requirements(good(), Asked(faults=True)))
    cheap = replace(good(), pieces=1, size=RESISTORS[0], capacitor=FILM[-1])
    failed = {name for name, r in by_name(cheap).items() if r.passed is False}
    assert failed == {
        "volts on each resistor", "heat in each resistor", "volts on the capacitor", "class of the capacitor",
    }  # fmt: skip


@pytest.mark.parametrize("name", CAPACITOR)
def test_lamps_are_those_of_the_tolerance_table(name: str) -> None:
    design, margins = good(name), Margins(capacitor=2.0)
    found = by_name(design, Asked(margins=margins))
    table = tolerance_table(design.bought, margins=margins)
    assert found["dark lamp stays dark"].value == pytest.approx(max(r.highest for r in table if r.state == "dark"))
    assert found["lit lamp lights"].value == pytest.approx(min(r.lowest for r in table if r.state == "lit"))


def test_the_dark_lamp_by_hand() -> None:
    """C alone off by δ moves P by √3/4·U·δ (first order); with the voltage at its highest."""
    exact = Margins(resistor=0, capacitor=2, voltage=(0.85, 1.1), frequency=(1, 1), negative=0)
    design = replace(good(), series="E192", pieces=1)
    by_hand = np.sqrt(3) / 4 * 1.1 * 400 * 0.02
    assert by_name(design, Asked(margins=exact))["dark lamp stays dark"].value == pytest.approx(by_hand, rel=0.3)
    loose = by_name(design, Asked(margins=Margins(capacitor=20)))["dark lamp stays dark"]
    assert loose.passed is False
    assert "C1" in loose.case


@pytest.mark.parametrize("name", CAPACITOR)
def test_wrong_connections_are_those_of_the_wiring_table(name: str) -> None:
    design = good(name)
    found, table = by_name(design, Asked(one_reading=True)), wiring_table(design.bought)
    assert found["one reading never misleads"].value == sum(r.verdict == MISLEADING for r in table)
    assert found["two readings never mislead"].value == sum(r.after_swap_verdict == MISLEADING for r in table)
    right = [r for r in table if r.wiring == "right"]
    assert found["one reading names the sequence"].passed is all(r.conclusion == r.sequence for r in right)
    assert found["two readings name the sequence"].passed is all(r.after_swap == r.sequence for r in right)


def test_only_two_lamps_name_the_sequence_in_one_reading() -> None:
    once = {n: by_name(good(n), Asked(one_reading=True))["one reading names the sequence"].passed for n in CAPACITOR}
    assert {n for n, passed in once.items() if passed} == {"twin-bridge", "led-pair"}


def test_ratings_by_hand() -> None:
    """R1 with the lamp lit as a short, 1-3-2, 110 %: M = P, the node of R1 to L1, R2 ∥ R3 to L3, C to L2 (Millman)."""
    found = by_name(good())
    bought = good().bought
    a = np.exp(2j * np.pi / 3)
    l1, l2, l3 = (1.1 * 400 / np.sqrt(3) * u for u in (1, a, a**2))  # 1-3-2
    r, y = bought.resistance, 2j * np.pi * 50 * bought.capacitance  # type: ignore[attr-defined]
    node = (l1 / r + 2 * l3 / r + l2 * y) / (3 / r + y)
    volts = abs(l1 - node)
    assert found["volts on each resistor"].value == pytest.approx(volts / 3, rel=1e-6)
    assert found["heat in each resistor"].value == pytest.approx(volts**2 / r / 3, rel=1e-6)
    assert found["heat in each resistor"].limit == 0.25  # half of 0.5 W (common practice)


def test_current_of_the_lit_lamp_by_hand() -> None:
    """Thevenin, at the lowest volts: M between two R, P between R and C, and a lit lamp of 100 kΩ (60 V at 0.6 mA)."""
    bought = good().bought
    a = np.exp(2j * np.pi / 3)
    l1, l2, l3 = (400 / np.sqrt(3) * u for u in (1, a, a**2))  # 1-3-2
    r, y = bought.resistance, 2j * np.pi * 50 * bought.capacitance  # type: ignore[attr-defined]
    volts = (l1 + l3) / 2 - (l3 / r + l2 * y) / (1 / r + y)
    ampere = abs(volts) / abs(r / 2 + 1 / (1 / r + y) + 60 / 0.6e-3)
    for lowest in (0.85, 0.95):
        found = by_name(good(), Asked(margins=Margins(voltage=(lowest, 1.1))))["current of the lit lamp"]
        assert found.value == pytest.approx(1e3 * lowest * ampere, rel=0.01)


def test_extra_low_voltage_takes_any_capacitor_and_a_person_takes_class_y() -> None:
    bench = replace(good(), exact=sized("divider-bridge", 24.0), capacitor=FILM[0])
    assert by_name(bench)["class of the capacitor"].passed
    probe = good("touch-probe")
    assert by_name(probe)["class of the capacitor"].passed
    assert by_name(replace(probe, capacitor=CLASS_X[2]))["class of the capacitor"].passed is False


def test_touch_current_is_judged_where_a_person_is_part() -> None:
    """1 nF unprotected gives 0.11 mA at 230/400 V, 10 nF 1.09 mA (2π·f·C·1.1·230 V; the sized chain limits it)."""
    assert by_name(good("touch-probe"))["touch current"].value == pytest.approx(0.11, abs=0.005)
    assert "touch current" not in by_name(good())


def test_a_starved_lamp_and_a_resistor_nobody_sells() -> None:
    tiny = replace(good(), exact=sized("divider-bridge", capacitance=47e-12), pieces=1)
    found = by_name(tiny)
    assert found["current of the lit lamp"].passed is False
    assert found["each resistor is sold"].passed is False
    assert found["each resistor is sold"].value == pytest.approx(39.1, rel=0.02)  # 1/(2π·50·47e-12)/√3, by hand


@pytest.mark.parametrize("name", CAPACITOR)
def test_faults_say_what_the_fault_table_says(name: str) -> None:
    design = good(name)
    table = {r.fault: r.indication for r in fault_table(design.bought)}
    tried = {r.fault: r.indication for r in try_faults(design)}
    common = tried.keys() & table.keys()
    assert len(common) >= 10
    assert {f: tried[f] for f in common} == {f: table[f] for f in common}


@pytest.mark.parametrize("pieces", [2, 3])
def test_a_chain_shorted_as_a_whole_is_no_single_fault(pieces: int) -> None:
    """One piece of a chain may fail at a time; a resistor that is one piece may be shorted."""
    tried = {r.fault for r in try_faults(replace(good(), pieces=pieces))}
    assert f"R1 1 of {pieces} shorted" in tried
    assert "R1 shorted" not in tried
    assert "R1 shorted" in {r.fault for r in try_faults(replace(good(), pieces=1))}


def test_a_shorted_capacitor_burns_a_weak_resistor() -> None:
    """C1 shorted puts the whole 440 V on R3: 440²/R watts, 440 V (Ohm)."""
    weak = Design(exact=sized("divider-bridge", capacitance=10e-9), size=RESISTORS[0], capacitor=CLASS_X[2])
    tried = {r.fault: r for r in try_faults(weak)}["C1 shorted"]
    watts = 440**2 / weak.bought.resistance  # type: ignore[attr-defined]
    assert tried.part == "R3"
    assert tried.share == pytest.approx(max(watts / 0.25, 440 / 200), rel=1e-3)
    assert by_name(weak, Asked(faults=True))["no single fault overloads a part"].passed is False
    assert by_name(weak)["no single fault overloads a part"].passed is None


@pytest.mark.parametrize("name", CAPACITOR)
def test_at_once_gives_what_one_solve_each_gives(name: str) -> None:
    indicator = sized(name)
    cases = {
        f"{s} {fault}": (indicator.supply(s), network)
        for s in ("123", "132")
        for fault, network in faulty_networks(indicator).items()
    }
    cases["open L1"] = (indicator.supply().without("L1"), indicator.network())
    for case, found in solve_at_once(indicator, cases).items():
        supply, network = cases[case]
        reading = indicator.on(supply, network=network)
        assert found.lamp_volts == pytest.approx([float(v) for v in reading.lamp_volts], abs=1e-6), case
        for e in network.elements:
            volts = float(np.nan_to_num(np.abs(reading.solution.voltage(e.a, e.b))))
            assert found.volts[e.name] == pytest.approx(volts, abs=1e-6), (case, e.name)
