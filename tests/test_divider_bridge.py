"""The null bridge: closed form by algebra, time domain by integration, and every way to lay its probes."""

import numpy as np
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from phasorkit.indicators import circuit, circuits
from phasorkit.indicators.base import Reading
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.network import Element, Network
from phasorkit.phasors import waveform
from phasorkit.supply import CONDUCTORS, Supply

BRIDGE = DividerBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
SEQUENCES = ("123", "132")


# --- closed form by sympy -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def closed_form():
    """V(M) − V(P) from Kirchhoff's current law at M and P, solved symbolically for general parts and sources."""
    v1, v2, v3, m, p = sp.symbols("v1 v2 v3 m p")
    r1, r2, r, c, w = sp.symbols("r1 r2 r c w", positive=True)
    at_m = (m - v1) / r1 + (m - v3) / r2
    at_p = (p - v3) / r + (p - v2) * sp.I * w * c
    found = sp.solve([at_m, at_p], [m, p], dict=True)[0]
    return sp.simplify(found[m] - found[p]), (v1, v2, v3, r1, r2, r, c, w)


PARTS = st.floats(-1, 1).map(lambda exponent: 10.0**exponent)


@given(PARTS, PARTS, PARTS, PARTS, st.sampled_from([50.0, 60.0]), st.sampled_from(SEQUENCES))
def test_lamp_voltage_is_the_closed_form(closed_form, a, b, r, c, frequency, sequence) -> None:
    """For any divider, R and C around their sizes, both sequences, 50 and 60 Hz."""
    expression, symbols = closed_form
    bridge = DividerBridge.sized(capacitance=4.7e-9 * c, frequency=50, line_voltage=400)
    parts = {"R1": 391e3 * a, "R2": 391e3 * b, "R3": 391e3 * r, "C1": 4.7e-9 * c}
    network = bridge.network()
    for name, value in parts.items():
        network = network.with_value(name, value)
    supply = Supply(line_voltage=400, frequency=frequency, sequence=sequence)
    numbers = [*supply.phasors(), *parts.values(), 2 * np.pi * frequency]
    expected = sp.lambdify(symbols, expression, "numpy")(*numbers)
    assert abs(bridge.on(supply, network=network).lamp_phasors[0] - expected) < 1e-9 * 400


def test_null_and_maximum_are_exact(closed_form) -> None:
    """With R = Xc/√3 the algebra gives exactly 0 for 123 and √3/2 of the line voltage for 132."""
    expression, (v1, v2, v3, r1, r2, r, c, w) = closed_form
    a = sp.Rational(-1, 2) + sp.sqrt(3) / 2 * sp.I
    phase = 1 / sp.sqrt(3)  # line voltage 1
    null = {r2: r1, r: 1 / (sp.sqrt(3) * w * c)}
    lamp = {
        "123": expression.subs(null | {v1: phase, v2: phase * a**2, v3: phase * a}),
        "132": expression.subs(null | {v1: phase, v2: phase * a, v3: phase * a**2}),
    }
    assert sp.simplify(sp.expand_complex(lamp["123"])) == 0
    assert sp.simplify(sp.Abs(sp.expand_complex(lamp["132"])) - sp.sqrt(3) / 2) == 0


# --- time domain by scipy -------------------------------------------------------------------------------


def integrated(supply: Supply, bridge: DividerBridge, time: np.ndarray) -> np.ndarray:
    """Momentary lamp voltage M − P after the transient has died away, by integrating the capacitor's voltage.

    An open L1 or L2 carries no current; with L3 open, L1-R1-M-R2-R3-P-C-L2 is one loop.
    """
    known = supply.sources()

    def volts(node: str, t: np.ndarray) -> np.ndarray:
        return waveform(known[node], frequency=bridge.frequency, time=np.atleast_1d(t))

    if "L3" in known:
        far, resistance = "L3", bridge.resistance
    else:
        far, resistance = "L1", 2 * bridge.divider + bridge.resistance
    if "L2" not in known:  # no current in R-C: P is at L3
        p = volts("L3", time)
    else:

        def slope(t: float, charge: np.ndarray) -> np.ndarray:
            return (volts(far, t) - volts("L2", t) - charge) / (resistance * bridge.capacitance)

        settled = 25 * resistance * bridge.capacitance
        span = (time[0] - np.ceil(settled * bridge.frequency) / bridge.frequency, time[-1])
        run = solve_ivp(slope, span, [0.0], t_eval=time, rtol=1e-9, atol=1e-7, method="DOP853")
        p = volts("L2", time) + run.y[0]
    if "L3" not in known:
        current = (volts("L1", time) - p) / (bridge.divider * 2 + bridge.resistance)
        m = volts("L1", time) - bridge.divider * current
    elif "L1" not in known:
        m = volts("L3", time)
    else:
        m = (volts("L1", time) + volts("L3", time)) / 2
    return m - p


@pytest.mark.parametrize("sequence", SEQUENCES)
@pytest.mark.parametrize("opened", ["", *CONDUCTORS])
@pytest.mark.parametrize("frequency", [50.0, 60.0])
def test_steady_state_by_integration(sequence, opened, frequency) -> None:
    """A differential equation knows nothing of phasors: after the transient its lamp voltage is the solver's."""
    bridge = DividerBridge.sized(capacitance=4.7e-9, frequency=frequency, line_voltage=400)
    supply = bridge.supply(sequence)
    supply = supply.without(opened) if opened else supply
    time = np.linspace(0, 1 / frequency, 101)
    expected = waveform(bridge.on(supply).lamp_phasors[0], frequency=frequency, time=time)
    assert np.max(np.abs(integrated(supply, bridge, time) - expected)) < 1e-4


# --- wiring states --------------------------------------------------------------------------------------


def wirings() -> list:
    """The twelve wrong wirings, each with the wired supply made from a right one."""
    doubled = [(p, o) for p in CONDUCTORS for o in CONDUCTORS if p != o]
    return [
        *(pytest.param(lambda s, p=p: s.without(p), id=f"open {p}") for p in CONDUCTORS),
        *(pytest.param(lambda s, p=p: s.neutral_on(p), id=f"neutral {p}") for p in CONDUCTORS),
        *(pytest.param(lambda s, p=p, o=o: s.doubled(p, o), id=f"doubled {p}={o}") for p, o in doubled),
    ]


def single(reading: Reading) -> float:
    """The lamp's volts."""
    return float(reading.lamp_volts[0])


@pytest.mark.parametrize("wrong", wirings())
@pytest.mark.parametrize("sequence", SEQUENCES)
def test_a_wrong_wiring_is_the_network_with_that_probe_moved(wrong, sequence) -> None:
    """The same reading comes from renaming the probe's node in the network (or cutting it off) on a right supply."""
    supply = wrong(BRIDGE.supply(sequence))
    laid = dict(supply.probes)
    moved = {probe: laid.get(probe, "cut") for probe in CONDUCTORS}
    parts = [
        Element(e.name, e.kind, e.value, moved.get(e.a, e.a), moved.get(e.b, e.b)) for e in BRIDGE.network().elements
    ]
    right = BRIDGE.supply(sequence)
    reading = Network(tuple(parts)).solve(right.sources(), frequency=50)
    assert single(BRIDGE.on(supply)) == pytest.approx(abs(reading.voltage("M", "P")), abs=1e-9)


@pytest.mark.parametrize(("probe", "volts"), [("L1", 200.0), ("L2", 200.0), ("L3", 400 / np.sqrt(3))])
@pytest.mark.parametrize("sequence", SEQUENCES)
def test_open_probes_light_the_lamp_in_both_sequences(probe, volts, sequence) -> None:
    """By hand: L1 open, M = L3, lamp = volts on R; L2 open, P = L3, lamp = volts on R2; L3 open, R + 2R + Xc/√3…

    With L3 open the loop L1-3R-C-L2 has 3R = √3·Xc, so 400 V drive 400/(2·Xc); M–P stands 2R of it: 400/√3 V.
    """
    reading = BRIDGE.on(BRIDGE.supply(sequence).without(probe))
    assert single(reading) == pytest.approx(volts)
    assert str(reading.lamp_states[0]) == "lit"


@pytest.mark.parametrize("probe", ["L1", "L2"])
def test_an_open_probe_takes_the_potential_at_its_end(probe) -> None:
    """No current flows in its lead: it stands where the rest of the circuit puts it, not at 0 V."""
    reading = BRIDGE.on(BRIDGE.supply().without(probe))
    l3 = BRIDGE.supply().phasors()[2]
    assert reading.solution.voltage(probe) == pytest.approx(l3)
    for name in {"L1": ("R1", "R2"), "L2": ("R3", "C1")}[probe]:
        assert abs(reading.solution.current(name)) < 1e-15


def test_all_probes_open() -> None:
    """Nothing touches anything: the lamp has 0 V and is dark, and no node has a height."""
    supply = BRIDGE.supply()
    for probe in CONDUCTORS:
        supply = supply.without(probe)
    reading = BRIDGE.on(supply)
    assert single(reading) == 0
    assert str(reading.lamp_states[0]) == "dark"
    assert np.isnan(reading.solution.voltage("M"))
    assert reading.conclusion == "can't tell"


def test_dark_never_names_a_sequence() -> None:
    """A dark lamp on the right wiring, a dead supply and a lifted indicator look the same and are called the same."""
    right, dead = BRIDGE.on(BRIDGE.supply("123")), BRIDGE.on(BRIDGE.supply("123").dead())
    assert right.conclusion == dead.conclusion == "can't tell"
    lit = BRIDGE.on(BRIDGE.supply("132"))
    assert lit.conclusion == "can't tell"  # a wrong connection lights it as well
    said = ("can't tell", "can't tell")
    assert BRIDGE.after_swap(("dark",), ("lit",), said) == "123"
    assert BRIDGE.after_swap(("lit",), ("dark",), said) == "132"


# --- the face -------------------------------------------------------------------------------------------


@given(st.floats(1e-9, 1e-8), st.sampled_from([50.0, 60.0]), st.floats(1, 1000))
def test_sized_for_anything(capacitance, frequency, line_voltage) -> None:
    """Dark for 123, √3/2 of the line voltage for 132, whatever it is sized for."""
    bridge = DividerBridge.sized(capacitance=capacitance, frequency=frequency, line_voltage=line_voltage)
    assert single(bridge.on(bridge.supply("123"))) < 1e-12 * line_voltage
    assert single(bridge.on(bridge.supply("132"))) == pytest.approx(np.sqrt(3) / 2 * line_voltage)


def test_mirror() -> None:
    """Two conductors exchanged in the supply and the same two probes exchanged: the reading is as before."""
    for probe, other in (("L1", "L2"), ("L2", "L3"), ("L3", "L1")):
        once = BRIDGE.on(BRIDGE.supply("123").swapped(probe, other))
        assert single(once) == pytest.approx(single(BRIDGE.on(BRIDGE.supply("132"))))
        assert single(BRIDGE.on(BRIDGE.supply("132").swapped(probe, other))) < 1e-9


def test_bill_of_parts() -> None:
    """Worst case at 110 %: half the line on each resistor, and on R and C the sides of the 30-60-90 triangle.

    The volts on R and C are the same in both sequences (only the side of L3-L2 changes): 200 and 346.4 V at 400 V.
    """
    volts = {line.name: line.volts for line in BRIDGE.parts()}
    assert volts == pytest.approx({"R1": 220, "R2": 220, "R3": 220, "C1": 220 * np.sqrt(3)})
    for line in BRIDGE.parts():
        assert line.volts_peak == pytest.approx(line.volts * np.sqrt(2))
        assert line.watts == pytest.approx(0 if line.kind == "C" else line.volts**2 / line.value, abs=1e-12)
        assert line.role


def test_preferred_values_round_only_the_resistors() -> None:
    """The capacitor stays; the circuit before is untouched."""
    bought = BRIDGE.with_preferred_values("E24")
    assert (bought.resistance, bought.divider, bought.capacitance) == (390e3, 390e3, 4.7e-9)
    assert round(BRIDGE.resistance) == 391013


def test_batches_of_supplies_and_parts() -> None:
    """A sweep of supply volts, frequencies and part values is one call; each sample is the scalar answer."""
    volts, frequencies = np.array([208.0, 400.0]), np.array([[50.0], [60.0]])
    resistances = np.array([380e3, 391e3, 400e3])[:, None, None]
    network = BRIDGE.network().with_value("R3", resistances)
    batch = BRIDGE.on(Supply(line_voltage=volts, frequency=frequencies), network=network).lamp_volts[0]
    assert batch.shape == (3, 2, 2)
    for r, f, v in np.ndindex(3, 2, 2):
        one = BRIDGE.network().with_value("R3", resistances[r, 0, 0])
        supply = Supply(line_voltage=volts[v], frequency=frequencies[f, 0])
        assert batch[r, f, v] == pytest.approx(single(BRIDGE.on(supply, network=one)), abs=1e-9)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"capacitance": 0}, r"capacitance must be positive and finite \[F\], got 0"),
        ({"capacitance": "4n7"}, r"capacitance must be positive and finite \[F\], got '4n7'"),
        ({"frequency": -50}, r"frequency must be positive and finite \[Hz\], got -50"),
        ({"line_voltage": np.nan}, r"line_voltage must be positive and finite \[V\], got nan"),
    ],
)
def test_sizes_that_cannot_be_are_refused(wrong, message) -> None:
    """The message names argument, unit and value."""
    with pytest.raises(ValueError, match=message):
        DividerBridge.sized(**({"capacitance": 4.7e-9, "frequency": 50, "line_voltage": 400} | wrong))


def test_circuits_are_found_by_name() -> None:
    """Every circuit in the folder is listed; an unknown name lists them."""
    assert circuit("divider-bridge") is DividerBridge
    assert all(cls.name == name for name, cls in circuits().items())
    with pytest.raises(KeyError, match=r"no circuit 'wheel'; there are .*divider-bridge"):
        circuit("wheel")
