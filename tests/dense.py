"""A second solver for tests: one dense matrix of nodal equations; shorts join their nodes, islands float."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from phasorkit.network import SHORT, Element, Network


def impedance(e: Element, frequency: float) -> complex:
    """Of one element [Ω]."""
    omega = 2 * np.pi * frequency
    value = complex(np.asarray(e.value))
    return {"R": value, "L": 1j * omega * value, "C": 1 / (1j * omega * value)}[e.kind]


def joined(network: Network, sources: Mapping[str, complex], *, through: str = "") -> dict[str, str]:
    """For each node the one that stands for it, where `through` (or only shorts) joins: a source before any other."""
    stands = {n: n for n in (*network.nodes, *sources)}
    for _ in network.elements:
        for e in network.elements:
            if through or (e.kind == "R" and np.asarray(e.value) <= SHORT):
                here, there = sorted((stands[e.a], stands[e.b]), key=lambda n: (n not in sources, n))
                stands = {n: here if s == there else s for n, s in stands.items()}
    return stands


def volts(network: Network, sources: Mapping[str, complex], frequency: float) -> dict[str, complex]:
    """Every node's phasor [V rms]; a node without a path to any source is missing."""
    stands = joined(network, sources)
    fed = joined(network, sources, through="everything")
    unknown = sorted({s for n, s in stands.items() if s not in sources and fed[n] in sources})
    row = {n: k for k, n in enumerate(unknown)}
    matrix, right = np.zeros((len(unknown),) * 2, dtype=complex), np.zeros(len(unknown), dtype=complex)
    for e in network.elements:
        a, b = stands[e.a], stands[e.b]
        for here, there in ((a, b), (b, a)) if a != b else ():
            if here in row:
                matrix[row[here], row[here]] += 1 / impedance(e, frequency)
                if there in row:
                    matrix[row[here], row[there]] -= 1 / impedance(e, frequency)
                else:
                    right[row[here]] += sources[there] / impedance(e, frequency)
    found = dict(zip(unknown, np.linalg.solve(matrix, right), strict=True)) | dict(sources)
    return {n: complex(found[s]) for n, s in stands.items() if s in found}


def across(network: Network, sources: Mapping[str, complex], frequency: float, a: str, b: str) -> float:
    """Volts between two nodes [V rms]; 0 where one of them floats, since nothing flows."""
    solved = volts(network, sources, frequency)
    return abs(solved[a] - solved[b]) if a in solved and b in solved else 0.0


def ampere_into(network: Network, sources: Mapping[str, complex], frequency: float, node: str) -> float:
    """Current that arrives at a source node, with all that shorts join to it [A rms]."""
    solved, stands = volts(network, sources, frequency), joined(network, sources)
    total = 0j
    for e in network.elements:
        for here, there in ((e.a, e.b), (e.b, e.a)):
            if stands[here] == node != stands[there] and there in solved:
                total += (solved[there] - solved[here]) / impedance(e, frequency)
    return abs(total)
