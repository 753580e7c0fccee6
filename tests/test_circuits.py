"""The seven circuits: outside values, a second method each, waveforms in time, and what no part value can change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import sympy as sp
from dense import across
from example_circuits import NAMES, example, filament_star
from hypothesis import given
from hypothesis import strategies as st
from reference_rows import Row, load
from scipy.integrate import solve_ivp

from phasorkit.filament import FilamentLamp
from phasorkit.indicators import Indicator
from phasorkit.indicators.led_pair import LedPair
from phasorkit.indicators.touch_probe import TouchProbe
from phasorkit.network import SHORT, Element
from phasorkit.quantities import parse
from phasorkit.supply import CONDUCTORS, Supply

UNITS = {
    "capacitance": "F", "inductance": "H", "frequency": "Hz", "line_voltage": "V", "lamp_resistance": "Ω",
}  # fmt: skip


def of_row(row: Row) -> Indicator:
    """The circuit that a row is about; a value that no sizing takes is put in afterwards."""
    values = {key: parse(text, UNITS[key]) for key, text in row.given.items() if key != "circuit"}
    lamp = values.pop("lamp_resistance", None)
    if "inductance" in values:
        values["winding"] = 0.0
    sized = example(row.given["circuit"], givens=values)
    return replace(sized, lamp_resistance=lamp) if lamp else sized


# --- outside values -------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", load("seven_circuits"), ids=lambda row: row.id)
def test_outside_values(row: Row) -> None:
    """Textbook values, school geometry and bench figures of the trade."""
    indicator = of_row(row)
    sequence = row.quantity.split()[-1]
    match row.quantity.split():
        case ["lamp", k, "over", "phase", _]:
            phase = indicator.line_voltage / 3**0.5
            row.check(float(indicator.on(indicator.supply(sequence)).lamp_volts[int(k) - 1]) / phase)
        case ["lamp", k, "volts", _]:
            row.check(float(indicator.on(indicator.supply(sequence)).lamp_volts[int(k) - 1]))
        case ["ratio", _]:
            bright, dim = (float(v) for v in indicator.on(indicator.supply(sequence)).lamp_volts)
            row.check(bright / dim)
        case ["part", name, "volts", _]:
            solution = indicator.on(indicator.supply(sequence)).solution
            part = solution.network.element(name)
            row.check(float(np.abs(solution.voltage(part.a, part.b))))
        case ["dropping", "and", "shunt"]:
            assert isinstance(indicator, LedPair)
            row.check(indicator.dropping + indicator.shunt)
        case ["bare", "touch", "current", _]:
            assert isinstance(indicator, TouchProbe)
            row.check(1000 * bare_touch_current(indicator, sequence))
        case _:
            row.check(70 / least_on_single_phase(indicator))


def bare_touch_current(probe: TouchProbe, sequence: str) -> float:
    """Current [A] through a body of 0 Ω with lamp and pad resistors bridged."""
    bare = probe.network().shorted("RB").shorted("R5").shorted("R6")
    bare = bare.with_element(Element("H1", "R", SHORT, "K", "G"))
    return float(np.abs(probe.on(probe.supply(sequence), network=bare).solution.current("RB")))


def least_on_single_phase(indicator: Indicator) -> float:
    """Least share of a single-phase voltage that the lamp sees between any two probes, the third in the air."""
    shares = []
    for a, b in (("L1", "L2"), ("L1", "L3"), ("L2", "L3")):
        solution = indicator.network().solve({a: 1.0, b: 0.0}, frequency=indicator.frequency)
        shares.append(float(np.abs(solution.voltage(indicator.lamps[0].a, indicator.lamps[0].b))))
    return min(shares)


# --- exact, by algebra ----------------------------------------------------------------------------------

A = sp.Rational(-1, 2) + sp.sqrt(3) / 2 * sp.I
PHASES = {"123": {"L1": 1, "L2": A**2, "L3": A}, "132": {"L1": 1, "L2": A, "L3": A**2}}


def size(z: sp.Expr) -> sp.Expr:
    """Exact magnitude."""
    return sp.sqrt(sp.simplify(sp.expand(z * sp.conjugate(z))))


def between(v: dict[str, sp.Expr], near: str, far: str, z_near: sp.Expr, z_far: sp.Expr) -> sp.Expr:
    """Node between two impedances."""
    return v[near] + (v[far] - v[near]) * z_near / (z_near + z_far)


@pytest.mark.parametrize(("sequence", "share"), [("123", 0), ("132", sp.Rational(3, 2))])
def test_one_capacitor_bridge_by_algebra(sequence: str, share: sp.Expr) -> None:
    """R = Xc/√3 gives exactly 0 and 3/2 of phase voltage, that is √3/2 of line voltage."""
    v = PHASES[sequence]
    p = between(v, "L3", "L2", 1 / sp.sqrt(3), -sp.I)
    assert sp.simplify(size((v["L1"] + v["L3"]) / 2 - p) - share) == 0


@pytest.mark.parametrize(("sequence", "share"), [("123", 0), ("132", sp.Rational(3, 2) * sp.sqrt(3))])
def test_two_capacitor_bridge_by_algebra(sequence: str, share: sp.Expr) -> None:
    """Exactly 0 and 1.5 times line voltage."""
    v = PHASES[sequence]
    p = between(v, "L3", "L2", 1 / sp.sqrt(3), -sp.I)
    q = between(v, "L1", "L2", -sp.I, sp.sqrt(3))
    assert sp.simplify(size(p - q) - share) == 0


@pytest.mark.parametrize(("reactance", "bright"), [(-sp.I, "L2"), (sp.I, "L3")])
def test_two_lamp_star_by_algebra(reactance: sp.Expr, bright: str) -> None:
    """The star point lies at (−1±3j)/5, and the lamps' volts are as 2 + √3 to 1."""
    v = PHASES["123"]
    admittance = {"L1": 1 / reactance, "L2": 1, "L3": 1}
    star = sum(v[n] * admittance[n] for n in v) / sum(admittance.values())
    assert sp.simplify(star - (-1 + 3 * sp.I * (1 if bright == "L2" else -1)) / 5) == 0
    dim = "L3" if bright == "L2" else "L2"
    assert sp.simplify(size(v[bright] - star) / size(v[dim] - star) - (2 + sp.sqrt(3))) == 0


def test_no_other_resistance_gives_a_larger_lamp_ratio() -> None:
    """The ratio of the lamps' volts has its largest value 2 + √3 at R = Xc."""
    g = sp.symbols("g", positive=True)
    v = PHASES["123"]
    star = (v["L1"] * sp.I * g + v["L2"] + v["L3"]) / (sp.I * g + 2)
    square = sp.simplify(
        sp.expand((v["L2"] - star) * sp.conjugate(v["L2"] - star))
        / sp.expand((v["L3"] - star) * sp.conjugate(v["L3"] - star))
    )
    assert sp.solve(sp.diff(square, g), g) == [1]
    assert sp.simplify(square.subs(g, 1) - (2 + sp.sqrt(3)) ** 2) == 0


@pytest.mark.parametrize(("sequence", "share"), [("123", 1), ("132", 0)])
def test_touch_probe_by_algebra(sequence: str, share: sp.Expr) -> None:
    """K stands at the phase voltage for 1-2-3 and on the star point for 1-3-2."""
    v = PHASES[sequence]
    k = between(v, "L1", "L2", 2 / sp.sqrt(3), 1 / sp.sqrt(3) - sp.I)
    assert sp.simplify(size(k) - share) == 0


# --- closed forms for any part values -------------------------------------------------------------------

FACTOR = st.floats(0.2, 5)
SEQUENCE = st.sampled_from(["123", "132"])


def millman(*branches: tuple[complex, complex]) -> complex:
    """Node fed by (volts, impedance) branches."""
    return sum(v / z for v, z in branches) / sum(1 / z for _, z in branches)


def closed_form(i: Indicator, v: dict[str, complex], part: dict[str, complex]) -> list[float]:
    """Lamp volts from the impedances of the parts, each circuit written out by hand."""

    def mid(near: str, far: str, z_near: complex, z_far: complex) -> complex:
        return v[near] + (v[far] - v[near]) * z_near / (z_near + z_far)

    match i.name:
        case "divider-bridge":
            return [abs(mid("L1", "L3", part["R1"], part["R2"]) - mid("L3", "L2", part["R3"], part["C1"]))]
        case "twin-bridge":
            m, p = mid("L1", "L3", part["R1"], part["R2"]), mid("L3", "L2", part["R3"], part["C1"])
            m2, p2 = mid("L2", "L3", part["R4"], part["R5"]), mid("L3", "L1", part["R6"], part["C2"])
            return [abs(m - p), abs(m2 - p2)]
        case "double-rc-bridge":
            return [abs(mid("L3", "L2", part["R1"], part["C1"]) - mid("L1", "L2", part["C2"], part["R2"]))]
        case "touch-probe":
            far = part["R3"] + part["R4"] + part["C1"]
            return [abs(mid("L1", "L2", part["R1"] + part["R2"], far))]
        case "led-pair":
            one, two = part["R1"] + part["R2"], part["R3"] + part["R4"]
            star = millman((v["L1"], part["C1"]), (v["L2"], one), (v["L3"], two))
            return [abs((v["L2"] - star) * part["R2"] / one), abs((v["L3"] - star) * part["R4"] / two)]
        case _:
            reactive = part["C1"] if "C1" in part else part["XL"] + part["RW"]
            star = millman((v["L1"], reactive), (v["L2"], part["H1"]), (v["L3"], part["H2"]))
            return [abs(v["L2"] - star), abs(v["L3"] - star)]


@pytest.mark.parametrize("name", NAMES)
@given(data=st.data())
def test_every_circuit_against_its_closed_form(name: str, data: st.DataObject) -> None:
    """Any part values, volts, frequency and unbalance: the solver agrees with the formula written out by hand."""
    i = example(name)
    supply = Supply(
        line_voltage=400 * data.draw(FACTOR), frequency=50 * data.draw(FACTOR), sequence=data.draw(SEQUENCE),
        negative=data.draw(st.complex_numbers(max_magnitude=0.3)),
    )  # fmt: skip
    network = i.network()
    for e in network.elements:
        network = network.with_value(e.name, float(np.asarray(e.value)) * data.draw(FACTOR))
    reading = i.on(supply, network=network)
    volts = dict(zip(CONDUCTORS, (complex(x) for x in supply.phasors()), strict=True))
    omega = 2 * np.pi * float(np.asarray(supply.frequency))
    impedances = {
        e.name: {"R": e.value, "L": 1j * omega * e.value, "C": 1 / (1j * omega * e.value)}[e.kind]
        for e in network.elements
    }
    expected = closed_form(i, volts, impedances)
    assert np.allclose([float(x) for x in reading.lamp_volts], expected, rtol=1e-9, atol=1e-6)


@pytest.mark.parametrize("shared", ["L1", "L2", "L3"])
@pytest.mark.parametrize("sequence", ["123", "132"])
def test_twin_with_any_shared_phase_by_a_dense_solver(shared: str, sequence: str) -> None:
    """Whatever phase is shared, one lamp is dark and the other sees √3/2 of line voltage."""
    twin = example("twin-bridge", givens={"shared": shared})
    sources = {k: complex(v) for k, v in twin.supply(sequence).sources().items()}
    found = [across(twin.network(), sources, 50, lamp.a, lamp.b) for lamp in twin.lamps]
    assert np.allclose(found, [float(v) for v in twin.on(twin.supply(sequence)).lamp_volts], atol=1e-7)
    assert np.allclose(sorted(found), [0, 400 * 3**0.5 / 2], atol=1e-7)


# --- in time --------------------------------------------------------------------------------------------


def slopes(i: Indicator, u: tuple[float, float, float], x: np.ndarray) -> tuple[list[float], list[float]]:
    """Slope of every capacitor's volts and the lamps' volts at one moment, by Kirchhoff, written out by hand."""
    u1, u2, u3 = u
    e = {part.name: float(np.asarray(part.value)) for part in i.network().elements}
    match i.name:
        case "divider-bridge":
            p = u2 + x[0]
            return [(u3 - p) / e["R3"] / e["C1"]], [(u1 + u3) / 2 - p]
        case "twin-bridge":
            p, p2 = u2 + x[0], u1 + x[1]
            rates = [(u3 - p) / e["R3"] / e["C1"], (u3 - p2) / e["R6"] / e["C2"]]
            return rates, [(u1 + u3) / 2 - p, (u2 + u3) / 2 - p2]
        case "double-rc-bridge":
            p, q = u2 + x[0], u1 - x[1]
            return [(u3 - p) / e["R1"] / e["C1"], (q - u2) / e["R2"] / e["C2"]], [p - q]
        case "touch-probe":
            ampere = (u2 - x[0] - u1) / (e["R1"] + e["R2"] + e["R3"] + e["R4"])
            return [ampere / e["C1"]], [u1 + ampere * (e["R1"] + e["R2"])]
        case "led-pair":
            s, branch = u1 - x[0], e["R1"] + e["R2"]
            part = e["R2"] / branch
            return [(2 * s - u2 - u3) / branch / e["C1"]], [part * (u2 - s), part * (u3 - s)]
        case _:
            s = u1 - x[0]
            return [(2 * s - u2 - u3) / e["H1"] / e["C1"]], [u2 - s, u3 - s]


@pytest.mark.parametrize("sequence", ["123", "132"])
@pytest.mark.parametrize("name", [n for n in NAMES if n != "two-lamp-inductor"])
def test_lamp_volts_in_time(name: str, sequence: str) -> None:
    """scipy's integration from a discharged capacitor settles to the lamp volts of the phasors (rms of one period)."""
    i = example(name)
    turn = {"123": -1, "132": 1}[sequence]
    peak, omega = 400 * (2 / 3) ** 0.5, 2 * np.pi * 50

    def sources(t: float) -> tuple[float, float, float]:
        return tuple(peak * np.cos(omega * t + turn * k * 2 * np.pi / 3) for k in range(3))

    count = sum(e.kind == "C" and e.name not in i.no_parts for e in i.network().elements)
    times = np.linspace(0.2, 0.22, 401)
    run = solve_ivp(
        lambda t, x: slopes(i, sources(t), x)[0], (0, 0.22), np.zeros(count), method="LSODA", t_eval=times,
        rtol=1e-9, atol=1e-9, max_step=1e-3,
    )  # fmt: skip
    lamps = np.array([slopes(i, sources(t), x)[1] for t, x in zip(times, run.y.T, strict=True)])
    rms = np.sqrt(np.mean(lamps[:-1] ** 2, axis=0))
    assert np.allclose(rms, [float(v) for v in i.on(i.supply(sequence)).lamp_volts], rtol=1e-6, atol=1e-3)


# --- what no part value can change ----------------------------------------------------------------------


def random_parts(i: Indicator, data: st.DataObject) -> Indicator:
    """The same circuit with other part values."""
    fields = [f for f in (*i.resistances, "capacitance", "inductance", "winding") if getattr(i, f, None)]
    return replace(i, **{f: getattr(i, f) * data.draw(FACTOR) for f in fields})


@pytest.mark.parametrize("name", NAMES)
@given(data=st.data())
def test_swapping_two_probes_is_the_other_sequence(name: str, data: st.DataObject) -> None:
    """Any two of the three conductors exchanged under the probes: lamp volts as on the other sequence."""
    i = random_parts(example(name), data)
    pair = data.draw(st.sampled_from([("L1", "L2"), ("L2", "L3"), ("L1", "L3")]))
    swapped = i.on(i.supply("123").swapped(*pair)).lamp_volts
    assert np.allclose(swapped, i.on(i.supply("132")).lamp_volts, rtol=1e-9, atol=1e-6)


@given(data=st.data())
def test_the_twin_and_the_stars_mirror(data: st.DataObject) -> None:
    """In the other sequence the two lamps of a twin, a star or an LED pair change places."""
    i = random_parts(example(data.draw(st.sampled_from(["twin-bridge", "two-lamp-capacitor", "led-pair"]))), data)
    one, two = i.on(i.supply("123")).lamp_volts, i.on(i.supply("132")).lamp_volts
    assert np.allclose(one, two[::-1], rtol=1e-9, atol=1e-6)


@pytest.mark.parametrize("name", NAMES)
@given(data=st.data())
def test_power_and_currents_balance(name: str, data: st.DataObject) -> None:
    """The sources' currents add up to nothing; their power is that of the parts; R takes, L and C take none."""
    i = random_parts(example(name), data)
    supply = i.supply(data.draw(SEQUENCE)).unbalanced(negative=data.draw(st.complex_numbers(max_magnitude=0.3)))
    solution = i.on(supply).solution
    currents = {node: complex(solution.source_current(node)) for node in solution.sources}
    scale = sum(abs(x) for x in currents.values())
    assert abs(sum(currents.values())) <= 1e-9 * scale
    delivered = sum(complex(solution.sources[n]) * x.conjugate() for n, x in currents.items())
    taken = {e.name: complex(solution.power(e.name)) for e in solution.network.elements}
    assert abs(delivered - sum(taken.values())) <= 1e-9 * sum(abs(s) for s in taken.values())
    for e in solution.network.elements:
        small = 1e-9 * abs(taken[e.name]) + 1e-15
        assert {"R": abs(taken[e.name].imag), "L": abs(taken[e.name].real), "C": abs(taken[e.name].real)}[
            e.kind
        ] <= small
        assert {"R": taken[e.name].real, "L": taken[e.name].imag, "C": -taken[e.name].imag}[e.kind] >= 0


@pytest.mark.parametrize("name", NAMES)
@given(volts=FACTOR, hertz=FACTOR)
def test_sizing_holds_at_any_voltage_and_frequency(name: str, volts: float, hertz: float) -> None:
    """Sized for any system, a circuit has the same lamp volts over line voltage; an LED's are fixed by the LED."""
    base = example(name, givens={"winding": 0.0} if name == "two-lamp-inductor" else {})
    volts = min(volts, 2.5)  # 1000 V: the end of low voltage (IEC 60038, from memory)
    other = base.resized({"line_voltage": 400 * volts, "frequency": 50 * hertz})
    for s in ("123", "132"):
        one, two = np.array(base.on(base.supply(s)).lamp_volts), np.array(other.on(other.supply(s)).lamp_volts)
        assert np.allclose(two, one if name == "led-pair" else one * volts, rtol=1e-6, atol=1e-6)


# --- filament lamps -------------------------------------------------------------------------------------


def test_a_cold_lamp_as_an_ohmmeter_finds_it() -> None:
    """A 230 V 60 W lamp is 882 Ω hot and 60 to 70 Ω cold (common practice: some 14 times its current at the start)."""
    lamp = FilamentLamp(230, 60)
    assert lamp.rated_resistance == pytest.approx(230**2 / 60)
    assert 60 < float(lamp.resistance(0.0)) < 70


def test_filament_lamps_stand_at_their_own_resistance() -> None:
    """Each lamp's resistance in the solved network is the one that belongs to its volts (IES power law)."""
    star = filament_star()
    reading = star.on(star.supply("123"))
    for lamp, volts in zip(star.lamps, reading.lamp_volts, strict=True):
        used = float(np.asarray(reading.solution.network.element(lamp.name).value))
        assert used == pytest.approx(2 * 230**2 / 15 * (float(volts) / 460) ** 0.42, rel=1e-6)


def test_a_given_network_keeps_its_multiple_of_a_filament() -> None:
    """A lamp of half the resistance stays at half of what its volts ask for; a shorted one has no volts."""
    star = filament_star()
    network = star.network()
    half = star.on(star.supply(), network=network.with_value("H1", 0.5 * network.element("H1").value))
    used = float(np.asarray(half.solution.network.element("H1").value))
    assert used == pytest.approx(0.5 * 2 * 230**2 / 15 * (float(half.lamp_volts[0]) / 460) ** 0.42, rel=1e-6)
    shorted = star.on(star.supply(), network=network.shorted("H1"))
    assert float(shorted.lamp_volts[0]) < 1e-3
    assert float(star.on(star.supply(), network=network.opened("H2")).lamp_volts[0]) == pytest.approx(297.4, abs=0.1)
