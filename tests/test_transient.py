"""Lamps that switch, in time: textbook results, scipy's ODE solver with events, and the laws of circuits."""

from __future__ import annotations

import numpy as np
import pytest
from by_scipy import Circuit, Glow, divider_bridge, double_rc, lamp_across_coil_fed_capacitor, led_pair, run
from example_circuits import about, example
from reference_rows import Row, load
from time_checks import GLOW, OMEGA, lamp, parts

from phasorkit.switching import GlowLamp, Led
from phasorkit.transient import TimeCourse, simulate, steady_state

ROWS = load("transient")
IDEAL = Led(threshold=1e-6, slope=1e-3, reverse_diode=None)


def ids(row: Row) -> str:
    """For the names of parametrized tests."""
    return row.id


# --- textbook results -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", about(ROWS, "relaxation period"), ids=ids)
def test_a_glow_lamp_across_a_capacitor_flashes_with_the_textbook_period(row: Row) -> None:
    """Battery, resistor, capacitor, lamp: T = R·C·ln((V − Vext)/(V − Vstrike)) with a lamp that empties it at once."""
    v, strike, extinction = (float(row.given[k].split()[0]) for k in ("supply", "strike", "extinction"))
    r, c = float(row.given["R"].split()[0]) * 1e6, float(row.given["C"].split()[0]) * 1e-9
    model = GlowLamp(
        strike=strike,
        extinction=extinction,
        maintain=extinction,
        dynamic_resistance=100,
        current=(extinction - 40) / 200,
    )
    net = parts(f"R1 R {r} + a", f"C1 C {c} a 0")
    course = simulate(net, {}, constant={"+": v, "0": 0}, frequency=50, lamps=(lamp("a", "0", model),), duration=2.0)
    strikes = [t for t, piece in course.switchings("H1") if piece == "glow forward"]
    assert len(strikes) > 10
    row.check(*[float(np.diff(strikes).mean())])
    assert np.ptp(np.diff(strikes)) < 1e-12


def test_the_flashing_period_with_its_lit_time_in_closed_form() -> None:
    """Dark and lit time, each an RC curve to its own end value, give the period to twelve digits."""
    v, r, c = 105.0, 1e6, 1e-6
    course = simulate(
        parts(f"R1 R {r} + a", f"C1 C {c} a 0"), {}, constant={"+": v, "0": 0}, frequency=50, lamps=(lamp("a", "0"),),
        duration=6.0,
    )  # fmt: skip
    dark = r * c * np.log((v - GLOW.extinction) / (v - GLOW.strike))
    rd = GLOW.dynamic_resistance
    end = (v * rd + GLOW.threshold * r) / (r + rd)
    lit = c * r * rd / (r + rd) * np.log((GLOW.strike - end) / (GLOW.extinction - end))
    strikes = [t for t, piece in course.switchings("H1") if piece == "glow forward"]
    assert strikes[0] == pytest.approx(r * c * np.log(v / (v - GLOW.strike)), rel=1e-12)
    assert np.diff(strikes) == pytest.approx(dark + lit, rel=1e-12)


def test_a_glow_lamp_on_mains_has_its_design_current() -> None:
    """Small glow lamps are sold with 100 kΩ for 120 V and a design current of 0.6 mA."""
    (row,) = about(ROWS, "rms current of a glow lamp")
    course = steady_state(parts("R1 R 100e3 L a"), {"L": 120, "N": 0}, frequency=60, lamps=(lamp("a", "N"),))
    row.check(1e3 * course.lamp("H1").rms_ampere)


@pytest.mark.parametrize(
    ("quantity", "of"),
    [
        ("conducting fraction", lambda f: f.lit_fraction),
        ("peak current", lambda f: f.peak_ampere),
        ("largest reverse voltage", lambda f: -f.volts_min),
    ],
)
def test_battery_charger(quantity: str, of: object) -> None:
    """Sedra & Smith: 24 V peak over a diode and 100 Ω into 12 V."""
    (row,) = [r for r in about(ROWS, quantity) if r.id.startswith("charger")]
    course = steady_state(
        parts("R1 R 100 s a"),
        {"s": 24 / 2**0.5, "0": 0},
        constant={"+": 12},
        frequency=60,
        lamps=(lamp("a", "+", IDEAL),),
    )
    row.check(of(course.lamp("H1")))  # type: ignore[operator]


@pytest.mark.parametrize(
    ("quantity", "of"),
    [
        ("conducting fraction", lambda f: f.lit_fraction),
        ("mean current while conducting", lambda f: f.mean_ampere / f.lit_fraction),
        ("peak current", lambda f: f.peak_ampere),
    ],
)
def test_peak_rectifier(quantity: str, of: object) -> None:
    """Sedra & Smith: 100 V peak, 60 Hz, into 10 kΩ and 83.3 µF; settles from empty over many periods."""
    (row,) = [r for r in about(ROWS, quantity) if r.id.startswith("detector")]
    net = parts("R1 R 10e3 o 0", "C1 C 83.3e-6 o 0")
    course = steady_state(net, {"s": 100 / 2**0.5, "0": 0}, frequency=60, lamps=(lamp("s", "o", IDEAL),))
    assert course.settled
    row.check(of(course.lamp("H1")))  # type: ignore[operator]


@pytest.mark.parametrize("damping", [0.2, 1.0, 3.0], ids=["ringing", "critical", "creeping"])
def test_step_of_a_series_rlc_circuit(damping: float) -> None:
    """The capacitor's voltage after a step, in the three closed forms of every textbook."""
    inductance, c = 1.0, 1e-6
    w0 = 1 / np.sqrt(inductance * c)
    a, t = damping * w0, np.linspace(0, 0.02, 101)
    net = parts(f"R1 R {2 * damping * w0 * inductance} + x", f"X L {inductance} x o", f"C1 C {c} o 0")
    course = simulate(net, {}, constant={"+": 1.0, "0": 0}, frequency=50, lamps=(), duration=0.02)
    s = np.sqrt(complex(a * a - w0 * w0))
    shape = t if damping == 1 else np.sinh(s * t) / s
    expected = 1 - np.exp(-a * t) * ((np.cosh(s * t)).real + (a * shape).real)
    # at critical damping two natural rates fall together, and some digits go
    assert course.voltage("o", times=t) == pytest.approx(expected, abs=1e-9 if damping == 1 else 1e-12)


def test_a_coil_across_a_battery_ramps_for_ever() -> None:
    """Nothing holds the current of a coil across a battery: it rises by V/L; a capacitor behind resistors fills."""
    net = parts("R1 R 1e3 + a", "C1 C 1e-6 a b", "R2 R 1e3 b 0", "X L 2 + 0")
    course = simulate(net, {}, constant={"+": 10, "0": 0}, frequency=50, lamps=(), duration=0.05)
    t = np.linspace(0, 0.05, 50)
    assert course.current("X", times=t) == pytest.approx(5 * t, rel=1e-12)
    assert course.voltage("a", "b", times=t) == pytest.approx(10 * (1 - np.exp(-t / 2e-3)), abs=1e-11)


# --- scipy's ODE solver with events ----------------------------------------------------------------------------------

SCIPY_GLOW = Glow(GLOW.strike, GLOW.threshold, GLOW.dynamic_resistance, GLOW.extinction_current)
SCIPY_LED = Glow(1.7, 1.7, 20.0, 0.0, both_ways=False)


def bridge_case() -> tuple[Circuit, Glow, TimeCourse]:
    """The null bridge with one capacitor."""
    b = example("divider-bridge")
    sources = {k: complex(v) for k, v in b.supply("132").sources().items()}
    lamps = (lamp("M", "P"),)
    circuit = divider_bridge(sources, OMEGA, r=b.resistance, c=b.capacitance, lamp=SCIPY_GLOW)  # type: ignore[attr-defined]
    return circuit, SCIPY_GLOW, steady_state(b.network(), sources, frequency=50, lamps=lamps)


def double_case(series: float | None, model: GlowLamp = GLOW) -> tuple[Circuit, Glow, TimeCourse]:
    """The null bridge with two capacitors, with or without its series resistor."""
    b = example("double-rc-bridge", givens={"series_resistance": series})
    sources = {k: complex(v) for k, v in b.supply("132").sources().items()}
    at = b.lamps[0]
    other = Glow(model.strike, model.threshold, model.dynamic_resistance, model.extinction_current)
    circuit = double_rc(
        sources, OMEGA, r=b.resistance, r2=b.second_resistance, c=b.capacitance, series=b.series_resistance, lamp=other  # type: ignore[attr-defined]
    )  # fmt: skip
    return circuit, other, steady_state(b.network(), sources, frequency=50, lamps=(lamp(at.a, at.b, model),))


def led_case() -> tuple[Circuit, Glow, TimeCourse]:
    """The LED pair without protecting diodes."""
    p = example("led-pair")
    sources = {k: complex(v) for k, v in p.supply("123").sources().items()}
    circuit = led_pair(sources, OMEGA, drop=p.dropping, shunt=p.shunt, c=p.capacitance, led=SCIPY_LED)  # type: ignore[attr-defined]
    lamps = tuple(lamp(x.a, x.b, Led(reverse_diode=None), x.name) for x in p.lamps)
    return circuit, SCIPY_LED, steady_state(p.network(), sources, frequency=50, lamps=lamps)


def coil_case() -> tuple[Circuit, Glow, TimeCourse]:
    """A coil feeds a capacitor with a glow lamp across it."""
    net = parts("R1 R 2e3 L x", "X L 3 x a", "C1 C 1e-6 a N")
    circuit = lamp_across_coil_fed_capacitor(230, OMEGA, r=2e3, inductance=3, c=1e-6, lamp=SCIPY_GLOW)
    return circuit, SCIPY_GLOW, steady_state(net, {"L": 230, "N": 0}, frequency=50, lamps=(lamp("a", "N"),))


PULSING = GlowLamp(extinction=59.6)
"""A lamp that needs 0.4 mA to stay lit."""

CASES = {
    "bridge": (bridge_case, 6),
    "two capacitors": (lambda: double_case(None), 8),
    "two capacitors, no series resistor": (lambda: double_case(0.0), 8),
    "two capacitors, no series resistor, several pulses": (lambda: double_case(0.0, PULSING), 8),
    "LED pair": (led_case, 5),
    "coil and capacitor": (coil_case, 12),
}


@pytest.mark.parametrize("name", CASES)
def test_agrees_with_scipy(name: str) -> None:
    """Mean and rms lamp current and the moments of the strikes of the settled period."""
    make, periods = CASES[name]
    circuit, model, course = make()
    found = run(circuit, model, periods=periods, period=0.02, rtol=1e-10)
    ours = course.lamp("H1")
    assert course.settled
    assert ours.mean_ampere == pytest.approx(found.mean, rel=1e-7)
    assert ours.rms_ampere == pytest.approx(found.rms, rel=1e-7)
    strikes = [t for t, piece in course.switchings("H1") if piece.startswith("glow")]
    assert strikes == pytest.approx(found.strikes, abs=1e-9)
    assert ours.strikes_per_second == pytest.approx(len(found.strikes) * 50)


# --- symmetry ---------------------------------------------------------------------------------------------------------


def test_the_negative_half_wave_mirrors_the_positive_one() -> None:
    """A lamp that is the same in both directions on sines: half a period later everything has the other sign."""
    _, _, course = double_case(0.0)
    t = np.linspace(0, 0.0099, 200)
    for node in ("P", "Q"):
        later = course.voltage(node, times=t + 0.01)
        assert course.voltage(node, times=t) == pytest.approx(-later, abs=1e-6)
    assert course.lamp("H1").net_ampere == pytest.approx(0, abs=1e-12)


def test_a_lamp_turned_round_sees_the_other_sign() -> None:
    """Exchanging the ends of a glow lamp changes nothing but the signs."""
    b = example("divider-bridge")
    sources = b.supply("132").sources()
    one, two = (steady_state(b.network(), sources, frequency=50, lamps=(x,)) for x in (lamp("M", "P"), lamp("P", "M")))
    t = np.linspace(0, 0.02, 40)
    assert one.lamp_current("H1", times=t) == pytest.approx(-two.lamp_current("H1", times=t), abs=1e-15)
    assert one.lamp("H1").mean_ampere == pytest.approx(two.lamp("H1").mean_ampere, rel=1e-12)


def test_a_capacitor_in_series_lets_no_direct_current_through() -> None:
    """The LED with its diode behind a capacitor: what goes one way comes back the other way."""
    net = parts("C1 C 33e-9 L a")
    course = steady_state(net, {"L": 230, "N": 0}, frequency=50, lamps=(lamp("a", "N", Led()),))
    figures = course.lamp("H1")
    assert figures.mean_ampere > 1e-3
    assert figures.net_ampere == pytest.approx(0, abs=1e-12)


# --- switchings that are easily missed --------------------------------------------------------------------------------


@pytest.mark.parametrize(("part", "strikes"), [(1 - 1e-9, 0), (1 + 1e-9, 2), (1 + 1e-5, 2)])
def test_a_strike_at_the_very_peak_is_found(part: float, strikes: int) -> None:
    """The sine's peak passes the strike voltage by a thousand-millionth: found; misses it by as little: none."""
    net = parts("R1 R 100e3 L a")
    course = steady_state(net, {"L": part * 90 / 2**0.5, "N": 0}, frequency=50, lamps=(lamp("a", "N"),))
    assert course.lamp("H1").strikes_per_second == pytest.approx(50 * strikes)


@pytest.mark.parametrize("angle", [0.0, 0.7, 2.9])
def test_the_largest_volts_of_a_dark_lamp_are_the_sines_peak(angle: float) -> None:
    """Wherever the peak lies between the points looked at."""
    net = parts("R1 R 100e3 L a")
    course = steady_state(net, {"L": 50 * np.exp(1j * angle), "N": 0}, frequency=50, lamps=(lamp("a", "N"),))
    figures = course.lamp("H1")
    assert (figures.volts_max, -figures.volts_min) == pytest.approx((50 * 2**0.5, 50 * 2**0.5), rel=1e-13)
    assert figures.volts_rms == pytest.approx(50, rel=1e-13)


def test_moments_of_switching_are_the_sines_own() -> None:
    """With resistors alone: struck at arcsin(90/peak), out where the current falls to the extinction current."""
    peak, r = 230 * 2**0.5, 100e3
    course = steady_state(parts(f"R1 R {r} L a"), {"L": -230j, "N": 0}, frequency=50, lamps=(lamp("a", "N"),))
    (struck, _), (out, _) = course.switchings("H1")[:2]
    hold = GLOW.extinction_current
    assert struck == pytest.approx(np.arcsin(90 / peak) / OMEGA, abs=1e-15)
    ends = GLOW.threshold + hold * (r + GLOW.dynamic_resistance)
    assert out == pytest.approx((np.pi - np.arcsin(ends / peak)) / OMEGA, abs=1e-15)


def test_too_little_current_leaves_the_struck_lamp_faint() -> None:
    """Behind 10 MΩ a lamp stays at its strike voltage with a few microampere and counts as dark."""
    course = steady_state(parts("R1 R 10e6 L a"), {"L": 230, "N": 0}, frequency=50, lamps=(lamp("a", "N"),))
    figures = course.lamp("H1")
    assert {"faint forward", "faint backward", "dark"} == set(course.states("H1", times=np.linspace(0, 0.02, 400)))
    assert figures.lit_fraction == figures.mean_ampere == figures.strikes_per_second == 0
    assert 90 < figures.volts_max < 90.2


def test_pulses_not_tied_to_the_supply_are_averaged() -> None:
    """A battery flasher beside a sine: no period, so the last twenty are taken and `settled` is false."""
    net = parts("R1 R 1e6 + a", "C1 C 10e-9 a 0", "R2 R 1e3 L 0")
    model = GlowLamp(extinction=59.9, current=1e-3, dynamic_resistance=3e3)
    course = steady_state(
        net, {"L": 230, "0": 0}, constant={"+": 105}, frequency=50, lamps=(lamp("a", "0", model),), most_periods=60
    )
    assert not course.settled
    assert (course.periods, course.duration) == (60, pytest.approx(0.4))
    expected = 1 / (0.01 * np.log((105 - model.extinction) / (105 - 90)))
    assert course.lamp("H1").strikes_per_second == pytest.approx(expected, rel=0.3 / (0.4 * expected) + 0.01)
