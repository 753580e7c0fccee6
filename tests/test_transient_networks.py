"""Networks of every kind with lamps that switch: the laws of circuits on random ones, and those out of the ordinary."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from example_circuits import example
from hypothesis import given, settings
from time_checks import GLOW, OMEGA, PHASES, check_currents, check_energy, check_limits, lamp, lamp_circuits, parts

from phasorkit.network import SHORT, Element, Network
from phasorkit.switching import GlowLamp, Leave, Led, Piece, SwitchingLamp
from phasorkit.transient import simulate, steady_state

# --- the laws of circuits --------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(lamp_circuits())
def test_random_circuits_keep_the_laws(made: tuple[Network, dict[str, complex], tuple[SwitchingLamp, ...]]) -> None:
    """Kirchhoff's currents at every moment, no lamp beyond its limits, power given is power taken once settled."""
    net, sources, lamps = made
    course = steady_state(net, sources, frequency=50, lamps=lamps, most_periods=10)
    check_currents(course, set(sources))
    check_limits(course)
    if course.settled:
        check_energy(course, set(sources))


@settings(max_examples=15)
@given(lamp_circuits(coil=True))
def test_random_circuits_with_a_coil_keep_the_laws(
    made: tuple[Network, dict[str, complex], tuple[SwitchingLamp, ...]],
) -> None:
    """The same with an inductor."""
    net, sources, lamps = made
    course = steady_state(net, sources, frequency=50, lamps=lamps, most_periods=10)
    check_currents(course, set(sources))
    check_limits(course)
    if course.settled:
        check_energy(course, set(sources))


@settings(max_examples=25)
@given(lamp_circuits())
def test_without_lamps_the_sines_are_those_of_the_phasors(
    made: tuple[Network, dict[str, complex], tuple[SwitchingLamp, ...]],
) -> None:
    """Every node's waveform is √2·Re(V·e^{jωt}) of the nodal solver."""
    net, sources, _ = made
    course, solved = steady_state(net, sources, frequency=50, lamps=()), net.solve(sources, frequency=50)
    t = np.linspace(0, 0.02, 17)
    for node in net.nodes:
        sine = np.sqrt(2) * (complex(solved.voltage(node)) * np.exp(1j * OMEGA * t)).real
        assert course.voltage(node, times=t) == pytest.approx(sine, abs=1e-7)


# --- networks out of the ordinary -------------------------------------------------------------------------------------


def test_resistors_alone_and_capacitors_between_sources_need_no_state() -> None:
    """No state at all: settled at once; a capacitor from source to source carries its own current."""
    net = parts("R1 R 100e3 L1 a", "C1 C 1e-6 L1 L2")
    course = steady_state(net, PHASES, frequency=50, lamps=(lamp("a", "L2"),))
    check_currents(course, set(PHASES))
    t = np.linspace(0, 0.02, 30)
    volts = (PHASES["L1"] - PHASES["L2"]) * 1j * OMEGA * 1e-6
    assert course.current("C1", times=t) == pytest.approx(np.sqrt(2) * (volts * np.exp(1j * OMEGA * t)).real, rel=1e-9)


def test_a_loop_of_capacitors_and_sources_shares_as_a_divider() -> None:
    """Three capacitors meet at a node and in a loop: capacitive divider, without any resistor."""
    net = parts("C1 C 1e-9 L1 a", "C2 C 2e-9 a L2", "C3 C 3e-9 a b", "C4 C 1e-9 b L3")
    course = steady_state(net, PHASES, frequency=50, lamps=())
    expected = complex(net.solve(PHASES, frequency=50).voltage("b"))
    assert course.voltage("b", times=[0.0, 0.003]) == pytest.approx(
        np.sqrt(2) * (expected * np.exp(1j * OMEGA * np.array([0, 0.003]))).real, rel=1e-9
    )


def test_two_lamps_in_series_share_the_volts_and_strike_together() -> None:
    """Nothing else at their common node: dark, they share evenly; they light at twice the strike voltage."""
    net = parts("R1 R 100e3 L a")
    lamps = (lamp("a", "m"), lamp("m", "N", name="H2"))
    low = steady_state(net, {"L": 179 / 2**0.5, "N": 0}, frequency=50, lamps=lamps)
    high = steady_state(net, {"L": 181 / 2**0.5, "N": 0}, frequency=50, lamps=lamps)
    assert [low.lamp(n).volts_max for n in ("H1", "H2")] == pytest.approx([89.5, 89.5], rel=1e-5)
    assert [high.lamp(n).strikes_per_second for n in ("H1", "H2")] == pytest.approx([100, 100])
    assert high.lamp("H1").mean_ampere == pytest.approx(high.lamp("H2").mean_ampere, rel=1e-5)


def test_two_lamps_in_series_flash_together_many_times_in_a_period() -> None:
    """Each flash is two strikes at one moment; that there are many of them is no fault."""
    model = GlowLamp(maintain=60, extinction=59, dynamic_resistance=100, current=0.05)
    net, lamps = parts("R1 R 10e3 + a", "C1 C 10e-9 a 0"), (lamp("a", "m", model), lamp("m", "0", model, "H2"))
    course = simulate(net, {}, constant={"+": 200, "0": 0}, frequency=50, lamps=lamps, duration=0.02)
    one, two = (course.lamp(name).strikes_per_second for name in ("H1", "H2"))
    assert one == two > 50 * 60


def test_a_group_that_floats_has_no_height_and_its_lamp_no_volts() -> None:
    """As in the phasor solver: NaN against anything outside; the lamp that leads there stays at 0 V."""
    net = parts("R1 R 1e3 x y", "R2 R 1e3 L1 L2")
    alone = steady_state(net, PHASES, frequency=50, lamps=(lamp("x", "y"),))
    assert np.isnan(alone.voltage("x", times=[0.001])).all()
    assert alone.voltage("x", "y", times=[0.001])[0] == 0
    tied = steady_state(net, PHASES, frequency=50, lamps=(lamp("L1", "x"),))
    assert abs(tied.lamp("H1").volts_max) < 1e-6
    assert tied.voltage("x", times=[0.001]) == pytest.approx(tied.voltage("L1", times=[0.001]), abs=1e-6)


def test_a_shorted_part_is_stepped_too() -> None:
    """A fault of `SHORT` ohms, a million million times below its neighbours, gives the limit of a small resistor."""
    b = example("divider-bridge")
    sources = b.supply("123").sources()
    short, small = b.network().shorted("R1"), b.network().with_value("R1", 1.0)
    a, c = (steady_state(n, sources, frequency=50, lamps=(lamp("M", "P"),)).lamp("H1") for n in (short, small))
    assert SHORT < 1e-5
    assert a.mean_ampere == pytest.approx(c.mean_ampere, rel=1e-4)


def test_an_inductor_that_only_a_dark_lamp_leads_on_is_refused_by_name() -> None:
    """Its current would have nowhere to go: the message names the node and what helps."""
    net = parts("X L 1 L a")
    with pytest.raises(ValueError, match="node 'a' hangs on inductors alone"):
        steady_state(net, {"L": 230, "N": 0}, frequency=50, lamps=(lamp("a", "N"),))
    mended = net.with_element(Element("R1", "R", 1e6, "a", "L"))
    assert steady_state(mended, {"L": 230, "N": 0}, frequency=50, lamps=(lamp("a", "N"),)).settled


def test_a_lossless_resonance_is_refused_by_name() -> None:
    """L and C in series at their resonance on a source: no bounded sine."""
    net = parts(f"X L {1 / (OMEGA**2 * 1e-6)} L a", "C1 C 1e-6 a N")
    with pytest.raises(ValueError, match=r"lossless resonance at the supply frequency at (node 'a'|inductor 'X')"):
        steady_state(net, {"L": 230, "N": 0}, frequency=50, lamps=())


class Restless(GlowLamp):
    """A model that nothing can hold: whatever its piece, it leaves it at once for the other."""

    @property
    def pieces(self) -> dict[str, Piece]:
        """Both are left above −1 kV."""
        out = {"dark": "on", "on": "dark"}
        return {name: Piece(0.0, 0.0, (Leave(1, -1e3, (other,)),), glows=False) for name, other in out.items()}


def test_a_lamp_that_nothing_holds_is_refused_by_name() -> None:
    """Instead of stepping for ever on one spot."""
    with pytest.raises(ValueError, match="lamp 'H1' switches without end"):
        steady_state(parts("R1 R 1e5 L a"), {"L": 9, "N": 0}, frequency=50, lamps=(lamp("a", "N", Restless()),))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"frequency": 0}, "frequency must be positive"),
        ({"frequency": np.array([50, 60])}, r"single values, not arrays: frequency \(2,\)"),
        ({"sources": {"L": [1, 2], "N": 0}}, r"single values, not arrays: source at node 'L' \(2,\)"),
        ({"sources": {"L": np.nan, "N": 0}}, "source at node 'L' must be finite"),
        ({"constant": {"+": np.inf}}, r"constant voltage of node '\+' must be finite"),
        ({"lamps": (lamp("a", "N"), lamp("a", "L"))}, "name is used more than once"),
    ],
)
def test_bad_input_is_named(change: dict[str, object], message: str) -> None:
    """Errors name the argument and what it may be."""
    usual = {"sources": {"L": 230, "N": 0}, "frequency": 50, "lamps": (lamp("a", "N"),)}
    with pytest.raises(ValueError, match=message):
        steady_state(parts("R1 R 1e5 L a"), **(usual | change))  # type: ignore[arg-type]


def test_unknown_names_and_times_are_named() -> None:
    """Asking a course for what is not there lists what is."""
    course = steady_state(parts("R1 R 1e5 L a"), {"L": 230, "N": 0}, frequency=50, lamps=(lamp("a", "N"),))
    with pytest.raises(KeyError, match="no lamp 'H9'; there are H1"):
        course.lamp("H9")
    with pytest.raises(KeyError, match="no node 'z'; there are L, a, N"):
        course.voltage("z", times=[0.0])
    with pytest.raises(ValueError, match=r"times must lie in 0 to 0.02 \[s\]"):
        course.voltage("a", times=[0.03])


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"strike": -1}, "strike must be positive"),
        ({"strike": 59}, "a glow lamp needs"),
        ({"extinction": 57}, "a glow lamp needs"),
        ({"extinction": 61}, "a glow lamp needs"),
        ({"current": 1.0}, "a glow lamp needs"),
    ],
)
def test_an_impossible_glow_lamp_is_refused(values: dict[str, float], message: str) -> None:
    """Threshold below extinction below maintain below strike."""
    with pytest.raises(ValueError, match=message):
        GlowLamp(**values)
    with pytest.raises(ValueError, match="threshold must be positive"):
        Led(threshold=0)


def test_willing_and_unwilling_lamps_strike_at_their_window() -> None:
    """The most willing glow lamp lights at the peak of 40 V rms, the least willing at that of 90 V rms."""
    net = parts("R1 R 100e3 L a")
    for model, volts in ((GLOW.easy(40), 40), (GLOW.hard(90), 90)):
        for part, strikes in ((0.999, 0), (1.001, 100)):
            course = steady_state(net, {"L": part * volts, "N": 0}, frequency=50, lamps=(lamp("a", "N", model),))
            assert course.lamp("H1").strikes_per_second == pytest.approx(strikes)
    assert replace(GLOW.hard(90), strike=90) == GLOW
