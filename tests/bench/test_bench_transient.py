"""Bench: lamps stepped in time against scipy's ODE solver with events, both in one run. Prints its figures."""

from __future__ import annotations

from collections.abc import Callable
from statistics import median
from time import perf_counter

import pytest
from by_scipy import Circuit, Glow, divider_bridge, double_rc, led_pair, run
from example_circuits import example
from time_checks import GLOW, OMEGA, parts

from phasorkit.analysis.lamp_in_time import in_time_table
from phasorkit.indicators import Indicator
from phasorkit.switching import GlowLamp, Led, SwitchingLamp, SwitchingModel
from phasorkit.transient import TimeCourse, simulate

pytestmark = pytest.mark.bench

PERIODS, PERIOD = 10, 0.02
TIMES_FASTER = 20
SCIPY = {"DOP853": (1e-6, 1e-9, 1e-12), "LSODA": (1e-9, 1e-11)}
"""Methods and relative tolerances tried. The most accurate run of them counts: it is about as accurate as ours."""


def case(name: str) -> tuple[Circuit, Glow, Callable[[], TimeCourse]]:
    """A circuit's equations by hand with its lamp, and the same circuit through the general solver."""
    i = example(name.removesuffix(" without series resistor"))
    if "without" in name:
        i = i.resized({"series_resistance": 0.0})
    sources = {k: complex(v) for k, v in i.supply("123" if name == "led-pair" else "132").sources().items()}
    model: SwitchingModel = GLOW
    glow = Glow(GLOW.strike, GLOW.threshold, GLOW.dynamic_resistance, GLOW.extinction_current)
    if name == "led-pair":
        model, glow = Led(reverse_diode=None), Glow(1.7, 1.7, 20.0, 0.0, both_ways=False)
    lamps = tuple(SwitchingLamp(x.name, x.a, x.b, model) for x in i.lamps)

    def ours() -> TimeCourse:
        return simulate(i.network(), sources, frequency=50, lamps=lamps, duration=PERIODS * PERIOD)

    return by_hand(i, sources, glow), glow, ours


def by_hand(i: Indicator, sources: dict[str, complex], lamp: Glow) -> Circuit:
    """The circuit's own differential equations."""
    value = {e.name: float(e.value) for e in i.network().elements}  # type: ignore[arg-type]
    if i.name == "led-pair":
        return led_pair(sources, OMEGA, drop=value["R1"], shunt=value["R2"], c=value["C1"], led=lamp)
    if i.name == "divider-bridge":
        return divider_bridge(sources, OMEGA, r=value["R3"], c=value["C1"], lamp=lamp)
    series = value.get("R3", 0.0)
    return double_rc(sources, OMEGA, r=value["R1"], r2=value["R2"], c=value["C1"], series=series, lamp=lamp)


def mean_of_last_period(course: TimeCourse) -> float:
    """Mean |i| of the first lamp [A], as scipy's runs give it."""
    last = (s for s in course.stretches if s.start > (PERIODS - 1) * PERIOD - 1e-9)
    return float(sum(s.integrals(0)[0] for s in last) / PERIOD)


def seconds(work: Callable[[], object], rounds: int) -> float:
    """Median time of some rounds [s]."""
    times = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


@pytest.mark.parametrize(
    "name", ["divider-bridge", "double-rc-bridge", "double-rc-bridge without series resistor", "led-pair"]
)
def test_against_scipy_at_the_same_accuracy(name: str) -> None:
    """Ten periods from the same start, ours with setting up the equations. Error: against scipy at its tightest."""
    circuit, lamp, ours = case(name)
    reference = run(circuit, lamp, periods=PERIODS, period=PERIOD, rtol=3e-14).mean
    mean, took = mean_of_last_period(ours()), seconds(lambda: mean_of_last_period(ours()), rounds=9)
    error = abs(mean / reference - 1)
    print(f"\n{name}: {1e3 * took:.2f} ms for {PERIODS} periods, mean {1e3 * mean:.6f} mA, off by {error:.1e}")
    runs = []
    for method, tolerances in SCIPY.items():
        for rtol in tolerances:
            start = perf_counter()
            found = run(circuit, lamp, periods=PERIODS, period=PERIOD, rtol=rtol, method=method).mean
            other = perf_counter() - start
            off = abs(found / reference - 1)
            print(f"   scipy {method} rtol {rtol:g}: {1e3 * other:.0f} ms, off by {off:.1e}: {other / took:.0f} times")
            runs.append((off, other / took))
    best, ratio = min(runs)
    assert error < 1e-11
    assert error < 10 * best
    assert ratio >= TIMES_FASTER


def test_tables_of_all_circuits() -> None:
    """Both sequences, three lamps in each place, settled, with all figures: what a sheet would need."""
    names = ("divider-bridge", "double-rc-bridge", "twin-bridge", "led-pair", "touch-probe")
    circuits = [example(name) for name in names]
    took = seconds(lambda: [in_time_table(i) for i in circuits], rounds=5)
    records = sum(len(in_time_table(i)) for i in circuits)
    print(f"\nlamps in time, {len(names)} circuits, {records} records: {1e3 * took:.0f} ms")
    assert took < 1


def test_many_pulses() -> None:
    """A flasher of some thousand pulses a second still steps in well under a millisecond a pulse."""
    net = parts("R1 R 10e3 + a", "C1 C 10e-9 a 0")
    model = GlowLamp(maintain=60, extinction=59, dynamic_resistance=100, current=0.05)
    lamps = (SwitchingLamp("H1", "a", "0", model),)
    start = perf_counter()
    course = simulate(net, {}, constant={"+": 100, "0": 0}, frequency=50, lamps=lamps, duration=0.1)
    took, pulses = perf_counter() - start, course.lamp("H1").strikes_per_second * 0.1
    print(f"\n{pulses:.0f} pulses in {1e3 * took:.0f} ms, {1e6 * took / pulses:.0f} µs each")
    assert pulses > 500
    assert took / pulses < 1e-3
