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
    """``Y·v = i`` over named nodes; coefficients broadcast against each other."""

    def __init__(self, nodes: tuple[str, ...]) -> None:
        self.nodes = nodes
        self.matrix: dict[str, dict[str, Coefficient]] = {n: {} for n in nodes}
        self.right: dict[str, Coefficient] = {}
        self.stamped: dict[str, list[Coefficient]] = {n: [] for n in nodes}

    def stamp(self, a: str, b: str, admittance: Coefficient, known: Mapping[str, ComplexArray]) -> None:
        """Add an admittance [S] between a and b; a known end goes to the right-hand side."""
        for here, there in ((a, b), (b, a)):
            if here not in self.matrix:
                continue
            _add(self.matrix[here], here, admittance)
            self.stamped[here].append(admittance)
            if there in self.matrix:
                _add(self.matrix[here], there, -admittance)
            else:
                _add(self.right, here, admittance * known[there])

    def inject(self, node: str, ampere: float) -> None:
        """Add a current [A] into a node, where it is one of ours."""
        if node in self.matrix:
            _add(self.right, node, np.asarray(complex(ampere)))


def solve_equations(equations: Equations, *, may_resonate: bool) -> dict[str, ComplexArray]:
    """Solve for every node [V]; ValueError names a node where the network is singular.

    Without both L and C all admittances lie in one quadrant, and elimination is stable without pivoting (N. J.
    Higham, Math. Comp. 67 (1998) 1591, complex symmetric matrices with definite parts). With both, a resonance can
    make a pivot vanish, so the stacked solver with pivoting is taken.
    """
    return _dense(equations) if may_resonate else _eliminate(equations)


def _add(row: dict[str, Coefficient], key: str, value: Coefficient) -> None:
    row[key] = row[key] + value if key in row else value


def _eliminate(eq: Equations) -> dict[str, ComplexArray]:
    matrix = {n: dict(row) for n, row in eq.matrix.items()}
    right = dict(eq.right)
    order: list[str] = []
    left = set(eq.nodes)
    while left:
        k = min(sorted(left), key=lambda n: len(matrix[n].keys() & left))
        left.discard(k)
        order.append(k)
        for i in matrix[k].keys() & left:
            factor = matrix[i][k] / matrix[k][k]
            for j in matrix[k].keys() & left:
                _add(matrix[i], j, -factor * matrix[k][j])
            if k in right:
                _add(right, i, -factor * right[k])
    volts: dict[str, ComplexArray] = {}
    for k in reversed(order):
        total = right.get(k, np.zeros((), dtype=complex))
        for j in matrix[k].keys() & volts.keys():
            total = total - matrix[k][j] * volts[j]
        volts[k] = np.asarray(total / matrix[k][k], dtype=complex)
    return volts


def _dense(eq: Equations) -> dict[str, ComplexArray]:
    n = len(eq.nodes)
    entries = [eq.matrix[a].get(b, np.zeros(())) for a in eq.nodes for b in eq.nodes]
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
