"""Solver bench: the lamp voltage of a million random copies of the bridge, against numpy's closed form in one run.

Aim (issue): at most 3 times the closed form; a stacked ``np.linalg.solve`` is shown beside it. The machine may be
busy, so rounds of all three alternate and the gate is generous.
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

import numpy as np
import pytest

from phasorkit.indicators import circuit
from phasorkit.network import Element, Network

pytestmark = pytest.mark.bench

SAMPLES = 1_000_000
BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
OMEGA = 2 * np.pi * 50


def medians(works: dict[str, Callable[[], object]], rounds: int = 7) -> dict[str, float]:
    """Median time of each work [s], their rounds taken in turn, after one to warm up."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for number in range(rounds + 1):
        for name, work in works.items():
            start = perf_counter()
            work()
            times[name] += [perf_counter() - start] if number else []
    return {name: float(np.median(spent)) for name, spent in times.items()}


def test_a_million_lamp_voltages() -> None:
    """Solver, closed form and stacked matrices give the same volts; the solver costs at most 3 times the formula."""
    random = np.random.default_rng(1)
    r1, r2, r3 = (BRIDGE.resistance * (1 + 0.01 * random.uniform(-1, 1, SAMPLES)) for _ in range(3))
    c = BRIDGE.capacitance * (1 + 0.05 * random.uniform(-1, 1, SAMPLES))
    values = {"R1": r1, "R2": r2, "R3": r3, "C1": c}
    network = Network(tuple(Element(e.name, e.kind, values[e.name], e.a, e.b) for e in BRIDGE.network().elements))
    supply = BRIDGE.supply("123")
    l1, l2, l3 = supply.phasors()

    def solver() -> np.ndarray:
        return BRIDGE.on(supply, network=network).lamp_volts[0]

    def formula() -> np.ndarray:
        turn = 1j * OMEGA * r3 * c
        return np.abs((l1 * r2 + l3 * r1) / (r1 + r2) - (l3 + turn * l2) / (1 + turn))

    def matrices() -> np.ndarray:
        y = np.zeros((SAMPLES, 2, 2), dtype=complex)
        y[:, 0, 0], y[:, 1, 1] = 1 / r1 + 1 / r2, 1 / r3 + 1j * OMEGA * c
        current = np.stack([l1 / r1 + l3 / r2, l3 / r3 + 1j * OMEGA * c * l2], axis=-1)
        volts = np.linalg.solve(y, current[..., None])[..., 0]
        return np.abs(volts[:, 0] - volts[:, 1])

    assert np.max(np.abs(solver() - formula())) < 1e-9
    assert np.max(np.abs(matrices() - formula())) < 1e-9
    took = medians({"closed form": formula, "solver": solver, "stacked matrices": matrices})
    print()
    for name, seconds in took.items():
        print(f"{SAMPLES} lamp volts, {name}: {1e3 * seconds:.0f} ms, {seconds / took['closed form']:.2f} times")
    assert took["solver"] < 3 * took["closed form"]


def test_a_group_of_two_unknown_nodes() -> None:
    """With L3 open, M, L3 and P hang together; the elimination still beats stacked matrices of its own size."""
    random = np.random.default_rng(2)
    c = BRIDGE.capacitance * (1 + 0.05 * random.uniform(-1, 1, SAMPLES))
    supply, network = BRIDGE.supply("123").without("L3"), BRIDGE.network().with_value("C1", c)
    l1, l2, _ = supply.phasors()
    g = 1 / BRIDGE.resistance

    def solver() -> np.ndarray:
        return BRIDGE.on(supply, network=network).lamp_volts[0]

    def matrices() -> np.ndarray:
        y = np.zeros((SAMPLES, 3, 3), dtype=complex)
        y[:] = [[2 * g, -g, 0], [-g, 2 * g, -g], [0, -g, g]]
        y[:, 2, 2] += 1j * OMEGA * c
        current = np.zeros((SAMPLES, 3), dtype=complex)
        current[:, 0], current[:, 2] = l1 * g, 1j * OMEGA * c * l2
        volts = np.linalg.solve(y, current[..., None])[..., 0]
        return np.abs(volts[:, 0] - volts[:, 2])

    assert np.max(np.abs(solver() - matrices())) < 1e-9
    took = medians({"stacked matrices": matrices, "solver": solver})
    print(f"\nL3 open: solver {1e3 * took['solver']:.0f} ms, matrices {1e3 * took['stacked matrices']:.0f} ms")
    assert took["solver"] < took["stacked matrices"]
