"""A network with switching lamps as linear state equations, one set for each combination of lamp pieces.

State: the voltages of capacitively held nodes (absolute where capacitors lead to a source, else against the first
node of their island) and the inductor currents. Nodal capacitance is taken as a whole, so capacitor loops and
capacitors between sources need no special care; nodes without capacitors follow by algebra.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from phasorkit.network import Network
from phasorkit.phasors import ComplexArray, FloatArray
from phasorkit.switching import Piece, SwitchingLamp

LEAK = 1e12
"""Resistance across a lamp that alone ties some nodes to the rest [Ω]; it brings them to its other end."""

SINGULAR = 1e-12
"""Part of the conductances stamped in below which a matrix counts as singular (as in `Network.solve`)."""

ALIKE, NUDGE = 1e6, 4e-11
"""Where natural rates fall together (critical damping) the modes' shapes become alike, and rounding grows by their
condition. Above `ALIKE` the losses are changed by some `NUDGE` of themselves, which parts the rates: the error is then
about 1e-10, from both together (eps^(2/3) of the change, eps over its root from rounding)."""

LOSSLESS = 1e-9
"""Distance of a natural frequency from the supply's, in parts, below which a resonance counts as lossless."""


@dataclass(frozen=True)
class Topology:
    """Closed form for one combination of lamp pieces; node voltages in the order of `StateSpace.nodes`.

    Everything is a sum over `rates` [1/s]: the network's own decays, then jω, then 0. A start gives the strength of
    each (`strength`); `volts` and `states` weigh them: x(τ) = real(states @ (strength·e^{rates·τ})) + states_ramp·τ. A
    ramp is there only where a constant source charges what nothing discharges. `x_swing` is the state's peak phasor
    from the sines; `volts_of_state`, `volts_of_swing` (peak phasor) and `volts_of_level` give node voltages at once.
    """

    rates: ComplexArray
    into: ComplexArray
    x_swing: ComplexArray
    rest: ComplexArray
    volts: ComplexArray
    volts_ramp: FloatArray | None
    states: ComplexArray
    states_ramp: FloatArray | None
    volts_of_state: FloatArray
    volts_of_swing: ComplexArray
    volts_of_level: FloatArray

    def strength(self, state: FloatArray, turn: complex) -> ComplexArray:
        """Strength of each exponential from the state and the sources' angle, as `turn` = e^{jωt}."""
        found = np.empty(len(self.rates), dtype=complex)
        found[:-2] = self.into @ (state - (self.x_swing * turn).real) + self.rest
        found[-2], found[-1] = turn, 1.0
        return found


class StateSpace:
    """The equations of a network, its lamps and its sources; `topology` gives (and keeps) the closed forms.

    `phasors` are rms phasors of the source nodes, `constant` their constant parts [V].
    """

    def __init__(
        self,
        network: Network,
        lamps: tuple[SwitchingLamp, ...],
        phasors: Mapping[str, complex],
        constant: Mapping[str, float],
        frequency: float,
    ) -> None:
        self.network, self.lamps = network, lamps
        self.omega, self.period = 2 * np.pi * frequency, 1 / frequency
        ends = [n for lamp in lamps for n in (lamp.a, lamp.b)]
        self.nodes = tuple(dict.fromkeys([*network.nodes, *ends, *phasors, *constant]))
        self.row = {n: k for k, n in enumerate(self.nodes)}
        self._find_floating({*phasors, *constant})
        self.peaks = np.sqrt(2) * np.array([phasors.get(n, 0) for n in self.nodes], dtype=complex)
        self.constant = np.array([constant.get(n, 0.0) for n in self.nodes])
        known = {*phasors, *constant, *self.pinned}
        self.known = np.array([k for k, n in enumerate(self.nodes) if n in known], dtype=int)
        self.unknown = np.array([k for k, n in enumerate(self.nodes) if n not in known], dtype=int)
        self.lamp_rows = np.zeros((len(lamps), len(self.nodes)))
        for k, lamp in enumerate(lamps):
            self.lamp_rows[k, [self.row[lamp.a], self.row[lamp.b]]] = 1.0, -1.0
        self._stamp()
        self._split()
        self._made: dict[tuple[str, ...], Topology] = {}

    def topology(self, pieces: tuple[str, ...]) -> Topology:
        """The closed form while the lamps are on these pieces."""
        if pieces not in self._made:
            held = [lamp.model.pieces[name] for lamp, name in zip(self.lamps, pieces, strict=True)]
            self._made[pieces] = self._make(held)
        return self._made[pieces]

    # --- inside ---------------------------------------------------------------------------------------

    def _find_floating(self, sources: set[str]) -> None:
        """Islands: of elements alone (their lamps need `LEAK`), and of elements and lamps (one node is pinned)."""
        elements = [(e.a, e.b) for e in self.network.elements]
        lamps = [(lamp.a, lamp.b) for lamp in self.lamps]
        loose = {n for island in islands(self.nodes, elements) if not sources & set(island) for n in island}
        self.leaking = tuple(a in loose or b in loose for a, b in lamps)
        self.floating = tuple(i for i in islands(self.nodes, elements + lamps) if not sources & set(i))
        self.pinned = tuple(island[0] for island in self.floating)

    def _stamp(self) -> None:
        size = len(self.nodes)
        self.conductance, self.capacitance = np.zeros((size, size)), np.zeros((size, size))
        for e in self.network.elements:
            value, a, b = float(np.asarray(e.value)), self.row[e.a], self.row[e.b]
            if e.kind == "R":
                add(self.conductance, a, b, 1 / value)
            elif e.kind == "C":
                add(self.capacitance, a, b, value)
        for lamp, leaks in zip(self.lamps, self.leaking, strict=True):
            add(self.conductance, self.row[lamp.a], self.row[lamp.b], 1 / LEAK if leaks else 0.0)
        self.coils = [e for e in self.network.elements if e.kind == "L"]
        self.incidence = np.zeros((size, len(self.coils)))
        for k, e in enumerate(self.coils):
            self.incidence[self.row[e.a], k], self.incidence[self.row[e.b], k] = 1.0, -1.0

    def _split(self) -> None:
        """Columns of `dynamic` (voltages that capacitors hold) and `height` (that they leave open) of the unknown.

        `root` is the lower root of the storage matrix: the energy is half the square of root.T @ x. `scale` says what
        is large for each state [V], [A].
        """
        names = [self.nodes[k] for k in self.unknown]
        place = {n: k for k, n in enumerate(names)}
        capacitors = [(e.a, e.b) for e in self.network.elements if e.kind == "C"]
        tied = {n for pair in capacitors for n in pair if any(end not in place for end in pair)}
        held, open_ = [], []
        for island in islands(names, [p for p in capacitors if p[0] in place and p[1] in place]):
            free = not tied & set(island)
            held += [place[n] for n in (island[1:] if free else island)]
            open_ += [[place[n] for n in island]] if free else []
        self.dynamic = np.eye(len(names))[:, held]
        self.height = np.zeros((len(names), len(open_)))
        for k, members in enumerate(open_):
            self.height[members, k] = 1.0
        inside, across = np.ix_(self.unknown, self.unknown), np.ix_(self.unknown, self.known)
        self.inner_conductance, self.outer_conductance = self.conductance[inside], self.conductance[across]
        self.outer_capacitance = self.capacitance[across]
        inner = self.dynamic.T @ self.capacitance[inside] @ self.dynamic
        coils = np.array([float(np.asarray(e.value)) for e in self.coils])
        states = len(held) + len(coils)
        root = np.zeros((states, states))
        root[: len(held), : len(held)] = np.linalg.cholesky(inner)
        root[len(held) :, len(held) :] = np.diag(np.sqrt(coils))
        self.root: FloatArray = root
        self.inverse_root = np.asarray(np.linalg.inv(root), dtype=float)
        largest = float(np.max(np.abs(self.peaks) + np.abs(self.constant), initial=0.0))
        self.scale = largest * np.concatenate([np.ones(len(held)), self.period / coils])

    def _make(self, pieces: list[Piece]) -> Topology:
        k = self.known
        conductances = np.array([piece.conductance for piece in pieces])
        bias = conductances * np.array([piece.volts for piece in pieces])
        here, there = self.lamp_rows[:, self.unknown], self.lamp_rows[:, k]
        guu = self.inner_conductance + here.T @ (conductances[:, None] * here)
        guk = self.outer_conductance + here.T @ (conductances[:, None] * there)
        coil, coil_known, cuk = self.incidence[self.unknown], self.incidence[k], self.outer_capacitance
        swing = -(guk + 1j * self.omega * cuk) @ self.peaks[k]
        level = here.T @ bias - guk @ self.constant[k]
        up = self._heights(guu)  # heights = up @ (currents into the unknown nodes)
        kept = np.hstack([self.dynamic, np.zeros_like(coil)])
        taken = guu @ kept + np.hstack([np.zeros_like(self.dynamic), coil])  # currents that the states draw
        volts_x = kept - self.height @ (up @ taken)
        volts_in = self.height @ up
        matrix = np.vstack([self.dynamic.T @ (taken + guu @ (volts_x - kept)), -coil.T @ volts_x])

        def force(arriving: ComplexArray, sources: ComplexArray) -> ComplexArray:
            nodes = self.dynamic.T @ (arriving - guu @ (volts_in @ arriving))
            return np.concatenate([nodes, coil.T @ (volts_in @ arriving) + coil_known.T @ sources])

        drive = force(level.astype(complex), self.constant[k].astype(complex))
        return self._solve(matrix, force(swing, self.peaks[k]), drive, (volts_x, volts_in @ swing, volts_in @ level))

    def _solve(
        self,
        matrix: FloatArray,
        turning: ComplexArray,
        drive: ComplexArray,
        volts: tuple[FloatArray, ComplexArray, FloatArray],
    ) -> Topology:
        inverse = self.inverse_root
        scaled = inverse @ matrix @ inverse.T
        rates, vectors, left = self._modes(scaled, inverse)
        jw = 1j * self.omega
        lead, back = left @ inverse, inverse.T @ vectors
        x_swing = back @ (lead @ turning / (jw - rates))
        of_state = np.zeros((len(self.nodes), len(rates)))
        of_swing, of_level = self.peaks.copy(), self.constant.copy()
        for whole, part in zip((of_state, of_swing, of_level), volts, strict=True):
            whole[self.unknown] = part
        still, driven = np.abs(rates) < 1e-10 * self.omega, lead @ drive
        rest = np.where(still, 0.0, driven / np.where(still, 1.0, rates))
        back_rest = -(back @ rest).real
        ramp = (back @ np.where(still, driven, 0.0)).real if np.any(still & (driven != 0)) else None
        return Topology(
            rates=np.concatenate([rates, [jw, 0.0]]), into=left @ self.root.T, x_swing=x_swing, rest=rest,
            volts=np.column_stack([of_state @ back, of_swing + of_state @ x_swing, of_level + of_state @ back_rest]),
            volts_ramp=None if ramp is None else of_state @ ramp,
            states=np.column_stack([back, x_swing, back_rest]), states_ramp=ramp,
            volts_of_state=of_state, volts_of_swing=of_swing, volts_of_level=of_level,
        )  # fmt: skip

    def _modes(self, scaled: FloatArray, inverse: FloatArray) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Natural rates [1/s], the modes' shapes and their inverse; refuses a lossless resonance with the supply."""
        if self.coils:
            values, vectors = np.linalg.eig(scaled)
            if np.linalg.cond(vectors) > ALIKE:
                values, vectors = np.linalg.eig(scaled * (1 + NUDGE * np.diag(1.0 + np.arange(len(scaled)))))
            left = np.linalg.inv(vectors)
        else:
            values, vectors = np.linalg.eigh((scaled + scaled.T) / 2)
            values, left = np.maximum(values, 0.0), vectors.T
        rates = -values.astype(complex)
        near = np.abs(1j * self.omega - rates) < LOSSLESS * np.maximum(self.omega, np.abs(rates))
        if np.any(near):
            worst = int(np.argmax(np.abs(inverse.T @ vectors[:, int(np.argmax(near))])))
            raise ValueError(f"lossless resonance at the supply frequency at {self._state_names()[worst]}")
        return rates, vectors, left

    def _heights(self, conductance: FloatArray) -> FloatArray:
        """Matrix from currents into the unknown nodes to the heights of the islands that no capacitor holds."""
        matrix = self.height.T @ conductance @ self.height
        size = np.sqrt(np.abs(self.height.T @ np.diag(np.diag(conductance)) @ self.height).diagonal())
        if np.any(size == 0) or (len(size) and _smallest(matrix / np.outer(size, size)) < SINGULAR):
            node = self._undetermined(matrix, size)
            raise ValueError(
                f"node {node!r} hangs on inductors alone while lamps are dark: their current has nowhere to go; put a "
                "resistor (such as the winding's core loss) or a capacitor across"
            )
        return np.asarray(np.linalg.solve(matrix, self.height.T))

    def _undetermined(self, matrix: FloatArray, size: FloatArray) -> str:
        if np.any(size == 0):
            column = int(np.argmin(size))
        else:
            column = int(np.argmax(np.abs(np.linalg.svd(matrix / np.outer(size, size))[2][-1])))
        return self.nodes[int(self.unknown[int(np.argmax(self.height[:, column]))])]

    def _state_names(self) -> list[str]:
        held = [f"node {self.nodes[self.unknown[int(np.argmax(c))]]!r}" for c in self.dynamic.T]
        return held + [f"inductor {e.name!r}" for e in self.coils]


def islands(nodes: Iterable[str], links: list[tuple[str, str]]) -> list[list[str]]:
    """Groups of nodes that hang together by links, in order of first mention.

    >>> islands(["a", "b", "c"], [("c", "a")])
    [['a', 'c'], ['b']]
    """
    group = {n: [n] for n in nodes}
    place = {n: k for k, n in enumerate(group)}
    for a, b in links:
        if group[a] is not group[b]:
            group[a] += group[b]
            group.update(dict.fromkeys(group[b], group[a]))
    return [sorted(g, key=place.__getitem__) for g in {id(g): g for g in group.values()}.values()]


def add(matrix: FloatArray, a: int, b: int, value: float) -> None:
    """Stamp a two-terminal admittance between rows a and b."""
    matrix[a, a] += value
    matrix[b, b] += value
    matrix[a, b] -= value
    matrix[b, a] -= value


def _smallest(matrix: FloatArray) -> float:
    return float(np.linalg.svd(matrix, compute_uv=False)[-1])
