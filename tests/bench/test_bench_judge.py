"""Marking bench: how long one mark takes, for it is worked out while a learner waits, and for a whole class."""

from __future__ import annotations

from time import perf_counter

import pytest
from course_cases import briefs

from phasorkit.course.model import judge, task
from phasorkit.course.plain import PlainData

BRIDGE = task("bridge")


@pytest.mark.bench
def test_judging_is_fast() -> None:
    """The median mark of a fresh, wholly wrong and inconsistent submission takes at most 2 ms (aim), 20 ms (gate)."""
    wrong: dict[str, PlainData] = {"reactance": 5.4e5, "resistance": 2.9e5, "preferred": 311e3, "power": 0.123}
    wrong |= {"volts": {s: {"R1": 17, "R2": 19, "R3": 23, "C1": 29, "lamp": 31} for s in ("123", "132")}}
    wrong |= {"residual": 77.7}
    took = []
    for brief in briefs(BRIDGE)[:60]:
        for name in [c.name for c in BRIDGE.checks]:
            start = perf_counter()
            judge(BRIDGE, brief, name, wrong)
            took.append(perf_counter() - start)
    print(f"median {1e3 * sorted(took)[len(took) // 2]:.2f} ms, slowest {1e3 * max(took):.2f} ms")
    assert sorted(took)[len(took) // 2] < 20e-3
