"""Single faults: every part, by a second solver; touch current by hand; verdicts against the stated limit."""

from __future__ import annotations

import numpy as np
import pytest
from dense import across, ampere_into
from example_circuits import NAMES, about, example, filament_star
from reference_rows import Row, load
from test_wiring import phase

from phasorkit.analysis.faults import (
    LIMITS,
    SAFE,
    TOUCH_LIMIT,
    UNSAFE,
    fault_table,
    touch_current,
)
from phasorkit.analysis.ratings import ratings
from phasorkit.analysis.stress import DRIFTS, faulty_networks
from phasorkit.indicators.touch_probe import TouchProbe
from phasorkit.network import SHORT, Element, Network


@pytest.mark.parametrize("row", [r for r in about(load("margins"), "limit") if r.given["of"] == "touch"])
def test_touch_limit(row: Row) -> None:
    """0.5 mA rms, IEC 61010-1, from memory; the standard is named where the verdict is."""
    row.check(TOUCH_LIMIT * 1000)
    assert "0.5 mA rms (IEC 61010-1" in LIMITS


@pytest.mark.parametrize("name", NAMES)
def test_every_part_has_every_fault(name: str) -> None:
    """Open, shorted and both drifts of every part, open and shorted of every lamp; a body and a winding have none."""
    i = example(name)
    faults = {r.fault for r in fault_table(i)}
    parts = {e.name for e in i.network().elements} - set(i.no_parts)
    lamps = {lamp.name for lamp in i.lamps}
    expected = {f"{p} {how}" for p in parts for how in ("open", "shorted", *(f"×{x:g}" for x in DRIFTS))}
    expected |= {f"{p} {how}" for p in lamps for how in ("open", "shorted")} | {"none"}
    pieces = {f"{r.name} 1 of {r.pieces} shorted" for r in ratings(i) if r.pieces > 1 and r.name not in lamps}
    assert faults == expected | pieces


def faulty(i: object, fault: str) -> Network:
    """The network of a fault, rebuilt from its words alone."""
    network = i.network()
    name, _, how = fault.partition(" ")
    if fault == "none" or (name.startswith("H") and how == "open" and name not in {e.name for e in network.elements}):
        return network
    if name not in {e.name for e in network.elements}:
        lamp = next(lamp for lamp in i.lamps if lamp.name == name)
        return Network((*network.elements, Element(name, "R", SHORT, lamp.a, lamp.b)))
    found = []
    for e in network.elements:
        if e.name != name:
            found.append(e)
        elif how == "shorted":
            found.append(Element(name, "R", SHORT, e.a, e.b))
        elif how != "open":
            count = int(how.split(" of ")[1].split()[0]) if " of " in how else 0
            left = (count - 1) / count if count else float(how[1:])
            factor = 1 / left if count and e.kind == "C" else left
            found.append(Element(name, e.kind, e.value * factor, e.a, e.b))
    return Network(tuple(found))


@pytest.mark.parametrize("name", NAMES)
def test_lamp_volts_of_every_fault_by_a_second_solver(name: str) -> None:
    """Networks rebuilt from the fault's words, dense nodal equations."""
    i = example(name)
    for r in fault_table(i):
        for s in ("123", "132"):
            sources = {p: phase(p, s) for p in i.probes} | {"N": 0j, "PE": 0j}
            expected = [across(faulty(i, r.fault), sources, 50, lamp.a, lamp.b) for lamp in i.lamps]
            assert np.allclose(r.lamp_volts[s], expected, rtol=1e-6, atol=1e-4), (r.fault, s)


@pytest.mark.parametrize("capacitance", [1e-9, 2.2e-9, 4.7e-9, 10e-9])
def test_touch_current_by_a_second_solver(capacitance: float) -> None:
    """Worst over all faults as the circuit itself says; each by dense equations with body and lamp as joined nodes."""
    probe = example("touch-probe", givens={"capacitance": capacitance})
    assert isinstance(probe, TouchProbe)
    table = {r.fault: r for r in fault_table(probe)}
    whole = [r for f, r in table.items() if "×" not in f]
    assert max(r.touch_ampere for r in whole) == pytest.approx(probe.touch_current()[0], rel=1e-6)
    for fault, r in table.items():
        links = [e for e in faulty(probe, fault).elements if e.name not in ("RB", "H1")]
        links += [Element("RB", "R", SHORT, "PAD", "PE"), Element("H1", "R", SHORT, "K", "G")]
        worst = 0.0
        for s in ("123", "132"):
            sources = {p: phase(p, s, 440) for p in probe.probes} | {"PE": 0j}
            worst = max(worst, ampere_into(Network(tuple(links)), sources, 50, "PE"))
        assert r.touch_ampere == pytest.approx(worst, rel=1e-6, abs=1e-12), fault


def test_touch_current_without_fault_by_hand() -> None:
    """Thevenin: K stands at phase voltage behind 2R beside R − jXc, then both pad resistors: at 110 %."""
    probe = example("touch-probe")
    r = probe.resistance
    source = 1 / (1 / (2 * r) + 1 / (r - 1j * r * 3**0.5))
    expected = 1.1 * 400 / 3**0.5 / abs(source + 2 * probe.chain)
    assert fault_table(probe)[0].touch_ampere == pytest.approx(expected, rel=1e-6)


def test_a_touch_current_beyond_the_limit_is_unsafe() -> None:
    """A lower limit turns the verdict, and the reason names both figures; a bare pad is unsafe by the true limit."""
    probe = example("touch-probe")
    strict = fault_table(probe, touch_limit=0.1e-3)[0]
    assert strict.verdict == UNSAFE
    assert strict.reason == "touch current 0.19 mA above 0.1 mA"
    assert fault_table(probe)[0].verdict == SAFE
    bare = probe.network().shorted("R5").shorted("R6")
    assert touch_current(probe, bare) > TOUCH_LIMIT


@pytest.mark.parametrize("name", [n for n in NAMES if n != "touch-probe"])
def test_no_touch_current_where_no_person_is_part(name: str) -> None:
    """Three probes: nothing ends on earth. The touch probe with a real neutral neither."""
    assert {r.touch_ampere for r in fault_table(example(name))} == {None}
    neutral = example("touch-probe", givens={"return_path": "neutral"})
    assert {r.touch_ampere for r in fault_table(neutral)} == {None}


@pytest.mark.parametrize("name", NAMES)
def test_verdicts_follow_from_stress_and_touch(name: str) -> None:
    """Unsafe exactly where a part passes its rating or the current passes the limit; without fault all is safe."""
    table = fault_table(example(name))
    for r in table:
        beyond = r.stress > 1 + 1e-6 or (r.touch_ampere or 0) > TOUCH_LIMIT
        assert (r.verdict == UNSAFE) == beyond
        assert (r.reason == "within the limits") == (not beyond)
    assert (table[0].fault, table[0].verdict, table[0].indication) == ("none", SAFE, "true")


def test_stress_of_a_shorted_capacitor_by_hand() -> None:
    """C of the bridge shorted: R3 lies between two conductors, 440 V on two pieces of 200 V."""
    r = next(r for r in fault_table(example("divider-bridge")) if r.fault == "C1 shorted")
    assert (r.stressed, r.verdict) == ("R3", UNSAFE)
    assert r.volts == pytest.approx(440)
    assert r.stress == pytest.approx(440 / 400)
    assert r.reason == "R3 at 110 % of its rating"


def test_a_short_of_one_piece_leaves_the_rest_of_a_chain() -> None:
    """R1 of the bridge is three pieces; a short of all three takes three faults, and the reason says so."""
    table = {r.fault: r for r in fault_table(example("divider-bridge"))}
    assert "takes 3 shorts at once" in table["R1 shorted"].reason
    assert table["R1 1 of 3 shorted"].verdict == SAFE
    network = faulty_networks(example("divider-bridge"), pieces={"R1": 3, "C1": 2})
    bridge = example("divider-bridge")
    assert network["R1 1 of 3 shorted"].element("R1").value == pytest.approx(bridge.divider * 2 / 3)
    assert network["C1 1 of 2 shorted"].element("C1").value == pytest.approx(2 * bridge.capacitance)


@pytest.mark.parametrize("name", NAMES)
def test_no_single_fault_of_a_part_names_the_wrong_sequence(name: str) -> None:
    """From two readings: an open or shorted part reads as a fault or as nothing, never as the other sequence."""
    assert "misleading" not in {r.indication for r in fault_table(example(name))}


def test_a_failed_lamp_is_dark_twice() -> None:
    """Nothing is concluded; of a twin the other lamp still changes over, which can't tell."""
    for name, said in (("divider-bridge", "nothing"), ("twin-bridge", "can't tell")):
        r = next(r for r in fault_table(example(name)) if r.fault == "H1 open")
        assert set(r.says.values()) == {said}
        assert {states[0] for states in r.lamp_states.values()} == {"dark"}


def test_filament_stars_have_faults_too() -> None:
    """A lamp that is open or shorted settles; one lamp of a star open leaves the other in series with C."""
    table = {r.fault: r for r in fault_table(filament_star())}
    assert table["H1 open"].lamp_states["123"][0] == "dark"
    assert table["H1 shorted"].lamp_volts["123"] == pytest.approx((0, 400), abs=1e-3)


@pytest.mark.parametrize("line_voltage", [208, 400, 480, 690])
@pytest.mark.parametrize("capacitance", [1e-9, 4.7e-9, 10e-9])
def test_where_a_person_is_in_series_no_part_fails_because_another_did(capacitance: float, line_voltage: float) -> None:
    """The parts of the touch probe are rated for every single fault: a shorted pad resistor leaves a sound one."""
    probe = example("touch-probe", line_voltage=line_voltage, givens={"capacitance": capacitance})
    assert max(r.stress for r in fault_table(probe)) <= 1 + 1e-6
    shorted = next(r for r in ratings(probe) if r.name == "R6")
    assert shorted.volts_state.endswith(("R5 shorted, lamp lit", "R6 ×2, lamp lit"))
    assert shorted.rated_volts >= shorted.volts
