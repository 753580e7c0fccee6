"""Nodal equations with few unknowns and many samples: sparse elimination on whole arrays.

A stacked ``np.linalg.solve`` spends its time on copying small matrices; here every coefficient is one array over
the batch, missing ones cost nothing, and a network of one unknown is one division.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from phasorkit.phasors import ComplexArray

Coefficient = NDArray[Any]
SINGULAR = 1e-12
"""A matrix is called singular when its smallest singular value is below this part of the admittances stamped in."""


class Equations:
    """``Y·v = i`` over named nodes, kept as a mesh: links between unknown nodes, ground (all known nodes), currents.

    Coefficients broadcast against each other.
    """

    def __init__(self, nodes: tuple[str, ...]) -> None:
        self.nodes = nodes
        self.links: dict[str, dict[str, Coefficient]] = {n: {} for n in nodes}
        self.ground: dict[str, Coefficient] = {}
        self.right: dict[str, Coefficient] = {}
        self.stamped: dict[str, list[Coefficient]] = {n: [] for n in nodes}

    def stamp(self, a: str, b: str, admittance: Coefficient, known: Mapping[str, ComplexArray]) -> None:
        """Add an admittance [S] between a and b; a known end goes to ground and to the right-hand side."""
        for here, there in ((a, b), (b, a)):
            if here not in self.links:
                continue
            self.stamped[here].append(admittance)
            if there in self.links:
                _add(self.links[here], there, admittance)
            else:
                _add(self.ground, here, admittance)
                _add(self.right, here, admittance * known[there])

    def inject(self, node: str, ampere: float) -> None:
        """Add a current [A] into a node, where it is one of ours."""
        if node in self.links:
            _add(self.right, node, np.asarray(complex(ampere)))


def solve_equations(equations: Equations, *, may_resonate: bool) -> dict[str, ComplexArray]:
    """Solve for every node [V]; ValueError names a node where the network is singular.

    Without both L and C all admittances lie in one quadrant; turning a node's star into a mesh then only adds,
    multiplies and divides them, nothing cancels, and parts of any ratio stay exact (W. K. Grassmann, M. I. Taksar,
    D. P. Heyman, Oper. Res. 33 (1985) 1107, for the real case). With both, a resonance can make a star's sum vanish,
    so the stacked solver with pivoting is taken.
    """
    return _dense(equations) if may_resonate else _eliminate(equations)


def _add(row: dict[str, Coefficient], key: str, value: Coefficient) -> None:
    row[key] = row[key] + value if key in row else value


def _eliminate(eq: Equations) -> dict[str, ComplexArray]:
    links = {n: dict(row) for n, row in eq.links.items()}
    ground, right = dict(eq.ground), dict(eq.right)
    total: dict[str, Coefficient] = {}
    while len(total) < len(eq.nodes):
        k = min((n for n in eq.nodes if n not in total), key=lambda n: len(links[n]))
        star = links[k]
        total[k] = sum(star.values(), ground.get(k, np.zeros(())))
        for i in star:
            del links[i][k]
            share = star[i] / total[k]
            for held in (ground, right):
                if k in held:
                    _add(held, i, share * held[k])
            for j in star:
                if j != i:
                    _add(links[i], j, share * star[j])
    volts: dict[str, ComplexArray] = {}
    for k in reversed(total):
        arriving = right.get(k, np.zeros((), dtype=complex))
        for j, admittance in links[k].items():
            arriving = arriving + admittance * volts[j]
        volts[k] = np.asarray(arriving / total[k], dtype=complex)
    return volts


def _dense(eq: Equations) -> dict[str, ComplexArray]:
    n = len(eq.nodes)
    diagonal = {a: sum(eq.links[a].values(), eq.ground.get(a, np.zeros(()))) for a in eq.nodes}
    entries = [diagonal[a] if a == b else -eq.links[a].get(b, np.zeros(())) for a in eq.nodes for b in eq.nodes]
    rights = [eq.right.get(a, np.zeros(())) for a in eq.nodes]
    spread = np.broadcast_arrays(*entries, *rights)
    matrix = np.stack(spread[: n * n], axis=-1).reshape(*spread[0].shape, n, n).astype(complex)
    right = np.stack(spread[n * n :], axis=-1).astype(complex)
    size = [sum((np.abs(y) for y in eq.stamped[a]), np.zeros(spread[0].shape)) for a in eq.nodes]
    scale = np.sqrt(np.stack(size, axis=-1))
    scaled = matrix / scale[..., :, None] / scale[..., None, :]
    smallest = np.linalg.svd(scaled, compute_uv=False)[..., -1]
    if np.any(smallest < SINGULAR):
        raise ValueError(f"the network is singular (a lossless resonance) at node {_weakest(scaled, eq.nodes)!r}")
    volts = np.linalg.solve(scaled, (right / scale)[..., None])[..., 0] / scale
    return {node: volts[..., k] for k, node in enumerate(eq.nodes)}


def _weakest(scaled: ComplexArray, nodes: tuple[str, ...]) -> str:
    """The node that moves most in the singular direction of the worst sample."""
    flat = scaled.reshape(-1, len(nodes), len(nodes))
    _, values, vectors = np.linalg.svd(flat)
    worst = int(np.argmin(values[:, -1]))
    return nodes[int(np.argmax(np.abs(vectors[worst, -1])))]
