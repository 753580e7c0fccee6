"""What ``import phasorkit`` costs beside ``import numpy``, each in a fresh Python, in turn in one run."""

from __future__ import annotations

import subprocess
import sys
from statistics import median

import pytest

pytestmark = pytest.mark.bench

ROUNDS = 9
CODE = "from time import perf_counter as t; s = t(); import {module}; print(t() - s)"


def test_importing_costs_little_more_than_numpy() -> None:
    """Medians of some fresh starts; alone a fraction of numpy, with all circuits at most thrice it."""
    modules = ("numpy", "phasorkit", "phasorkit.indicators")
    times: dict[str, list[float]] = {module: [] for module in modules}
    for _ in range(ROUNDS):
        for module in modules:
            run = subprocess.run(
                [sys.executable, "-c", CODE.format(module=module)], capture_output=True, text=True, check=True
            )
            times[module].append(float(run.stdout))
    took = {module: median(spent) for module, spent in times.items()}
    print()
    for module, seconds in took.items():
        print(f"import {module}: {1e3 * seconds:.1f} ms, {seconds / took['numpy']:.2f} times numpy")
    assert took["phasorkit"] < 0.5 * took["numpy"]
    assert took["phasorkit.indicators"] < 3 * took["numpy"]
