"""Random networks for hypothesis: every node reaches a source, and no lossless resonance can occur."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import strategies as st

from phasorkit.network import Element, Network, Solution

FREQUENCY = 50.0
OMEGA = 2 * np.pi * FREQUENCY


def part(name: str, kind: str, ohms: float, a: str, b: str) -> Element:
    """An element of this impedance [Ω] at 50 Hz."""
    return Element(name, kind, {"R": ohms, "L": ohms / OMEGA, "C": 1 / (OMEGA * ohms)}[kind], a, b)


@st.composite
def networks(draw: st.DrawFn, kinds: str = "RLC") -> tuple[Network, dict[str, complex]]:
    """A network of 1 to 5 unknown nodes on 2 or 3 sources, each hanging on an earlier node, with further parts.

    In one of two a part lies between every two unknown nodes, so that a star of many must be turned into a mesh.
    A resistor from every unknown node to a source keeps a mixture of L and C from resonating without loss.
    """
    ohms = st.floats(0, 6).map(lambda exponent: 10.0**exponent)
    sources = {
        name: complex(draw(st.integers(-400, 400)), draw(st.integers(-400, 400)))
        for name in ("A", "B", "C")[: draw(st.integers(2, 3))]
    }
    unknown = [f"n{k}" for k in range(draw(st.integers(1, 5)))]
    elements: list[Element] = []

    def lay(kind: str, a: str, b: str) -> None:
        elements.append(part(f"Z{len(elements)}", kind, draw(ohms), a, b))

    for k, node in enumerate(unknown):
        lay(draw(st.sampled_from(kinds)), node, draw(st.sampled_from([*sources, *unknown[:k]])))
        if "L" in kinds and "C" in kinds:
            lay("R", node, draw(st.sampled_from(list(sources))))
    for a, b in combinations(unknown, 2) if draw(st.booleans()) else ():
        lay(draw(st.sampled_from(kinds)), a, b)
    for _ in range(draw(st.integers(0, 6))):
        a, b = draw(st.lists(st.sampled_from([*sources, *unknown]), min_size=2, max_size=2, unique=True))
        lay(draw(st.sampled_from(kinds)), a, b)
    return Network(tuple(elements)), sources


def any_network() -> st.SearchStrategy[tuple[Network, dict[str, complex]]]:
    """Any mixture of kinds: the solver takes another way when both L and C are present."""
    return st.one_of(networks("R"), networks("RC"), networks("RL"), networks("RLC"))


def tolerance(solution: Solution) -> tuple[float, float]:
    """Smallest volts and amperes that count in this solution: 1e-9 of its largest."""
    admittance = sum(abs(e.admittance(FREQUENCY)) for e in solution.network.elements)
    volts = max(abs(v) for v in solution.sources.values()) + 1
    return 1e-9 * volts, 1e-9 * volts * float(admittance)
