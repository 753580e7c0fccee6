"""Benches of the analyses: a million random copies, wiring tables and sheets of all circuits. Prints its figures."""

from __future__ import annotations

from collections.abc import Callable
from statistics import median
from time import perf_counter

import numpy as np
import pytest
from example_circuits import NAMES, example

from phasorkit.analysis.faults import fault_table
from phasorkit.analysis.monte_carlo import sample_lamp_volts
from phasorkit.analysis.sheet import sheet
from phasorkit.analysis.tolerance_classes import classes
from phasorkit.analysis.wiring import wiring_table

pytestmark = pytest.mark.bench

SAMPLES = 1_000_000


def seconds(work: Callable[[], object], rounds: int = 5) -> float:
    """Median time of some rounds after one to warm up [s]."""
    work()
    times = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def test_a_million_random_copies() -> None:
    """A million copies of the bridge in both sequences, parts, volts, hertz and unbalance at random."""
    bridge = example("divider-bridge")
    took = seconds(lambda: sample_lamp_volts(bridge, samples=SAMPLES), rounds=3)

    def one_by_one(count: int = 200) -> float:
        for k in range(count):
            sample_lamp_volts(bridge, samples=1, seed=k)
        return 0.0

    alone = seconds(one_by_one, rounds=3) / 200
    print(f"\nrandom copies: {SAMPLES / took / 1e6:.2f} million a second, both sequences; 1e6 take {took:.2f} s")
    gain = alone * SAMPLES / took
    print(f"one copy by itself {1e6 * alone:.0f} µs, in a batch {1e6 * took / SAMPLES:.2f} µs: {gain:.0f} ×")
    assert took < 5
    assert gain > 100
    assert sample_lamp_volts(bridge, samples=SAMPLES)["123"][0].shape == (SAMPLES,)


def test_wiring_tables_of_all_circuits() -> None:
    """26 (or 18) states of all seven circuits."""
    circuits = [example(name) for name in NAMES]
    took = seconds(lambda: [wiring_table(i) for i in circuits])
    rows = sum(len(wiring_table(i)) for i in circuits)
    print(f"\nwiring tables of {len(circuits)} circuits: {1000 * took:.0f} ms, {rows} records")
    assert took < 1


@pytest.mark.parametrize("name", NAMES)
def test_whole_sheet(name: str) -> None:
    """Everything `phasorkit size` computes, the classes and the faults by themselves."""
    i = example(name)
    whole, kinds, faults = (seconds(lambda f=f: f(i), rounds=3) for f in (sheet, classes, fault_table))
    print(f"\n{name}: sheet {1000 * whole:.0f} ms, classes {1000 * kinds:.0f} ms, faults {1000 * faults:.0f} ms")
    assert np.isfinite(whole)
    assert whole < 5
