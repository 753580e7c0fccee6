"""Stepping from switching to switching; the closed forms of each stretch between two of them."""

from __future__ import annotations

import cmath
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from phasorkit._closed_form import TIME_ACCURACY, Signals, Table, extremes, first_crossing, grid, quadrature
from phasorkit._state_space import StateSpace, Topology
from phasorkit.phasors import ComplexArray, FloatArray
from phasorkit.switching import Leave

AT_ONCE = 30
"""Switchings without time between them after which the lamps are said to disagree for ever."""

MOST = 20000
"""Switchings in one period after which stepping stops with an error."""

BRINK = 1e-9
"""A piece is held well inside a limit when the lamp's volts keep off it by this part of it (plus 1 nV)."""


@dataclass(frozen=True)
class Stretch:
    """Time between two switchings: lamp pieces, those before, start and length [s], strength of each exponential."""

    space: StateSpace
    pieces: tuple[str, ...]
    before: tuple[str, ...]
    start: float
    length: float
    strength: ComplexArray

    @property
    def topology(self) -> Topology:
        """The closed form that holds here."""
        return self.space.topology(self.pieces)

    @cached_property
    def volts(self) -> Signals:
        """Voltages of all nodes [V], in the order of `StateSpace.nodes`."""
        t = self.topology
        return Signals(t.rates, t.volts * self.strength, t.volts_ramp)

    @cached_property
    def states(self) -> Signals:
        """The state."""
        t = self.topology
        return Signals(t.rates, t.states * self.strength, t.states_ramp)

    def combined(self, row: FloatArray) -> Signals:
        """One combination, shape (nodes,), of node voltages [V]."""
        ramp = self.volts.ramp
        return Signals(self.volts.rates, row[None] @ self.volts.weights, None if ramp is None else row[None] @ ramp)

    def lamp_volts(self, lamp: int, tau: FloatArray) -> FloatArray:
        """Voltage of a lamp [V] at τ [s], shape (n,)."""
        return np.asarray(self.combined(self.space.lamp_rows[lamp])(tau)[0])

    def lamp_current(self, lamp: int, tau: FloatArray) -> FloatArray:
        """Current of a lamp [A] at τ [s], shape (n,)."""
        piece = self.space.lamps[lamp].model.pieces[self.pieces[lamp]]
        return np.asarray(piece.conductance * (self.lamp_volts(lamp, tau) - piece.volts))

    def integrals(self, lamp: int) -> FloatArray:
        """Time integrals for one lamp: magnitude and square of its current while it glows, i, v·i, v²."""
        points, weights = quadrature(self.topology.rates[:-1], self.space.period, self.length)
        piece = self.space.lamps[lamp].model.pieces[self.pieces[lamp]]
        v = self.lamp_volts(lamp, points)
        i = piece.conductance * (v - piece.volts)
        light = i if piece.glows else np.zeros_like(i)
        return np.asarray(np.array([np.abs(light), light**2, i, v * i, v**2]) @ weights)

    def extremes(self, row: FloatArray) -> tuple[float, float]:
        """Smallest and largest value of a combination, shape (nodes,), of node voltages [V]."""
        return extremes(self.combined(row), 0, self.space.period, self.length)


class _Watch:
    """What stepping needs of one topology: its grid, and every way out of its pieces as signals that rise through 0."""

    def __init__(self, space: StateSpace, pieces: tuple[str, ...]) -> None:
        self.topology = t = space.topology(pieces)
        self.table = Table(t.rates, grid(t.rates[:-1], space.period))
        self.limits = [
            (k, leave) for k, lamp in enumerate(space.lamps) for leave in lamp.model.pieces[pieces[k]].leaves
        ]
        signs = np.array([leave.sign for _, leave in self.limits], dtype=float)
        rows = signs[:, None] * space.lamp_rows[[k for k, _ in self.limits]]
        weights = rows @ t.volts
        weights[:, -1] -= signs * np.array([leave.level for _, leave in self.limits])
        self.limit = Signals(t.rates, weights, None if t.volts_ramp is None else rows @ t.volts_ramp)
        self.lamp_states = space.lamp_rows @ t.volts_of_state
        self.lamp_swing, self.lamp_level = space.lamp_rows @ t.volts_of_swing, space.lamp_rows @ t.volts_of_level


class March:
    """Walks a `StateSpace` through time, one stretch after the other.

    It starts at angle 0 of the sources from what their sines alone would have brought about with all lamps dark, and
    with no charge from constant sources.
    """

    def __init__(self, space: StateSpace) -> None:
        self.space = space
        self.pieces = tuple(next(iter(lamp.model.pieces)) for lamp in space.lamps)
        self.state = space.topology(self.pieces).x_swing.real.copy()
        self.before = self.pieces
        self._watches: dict[tuple[str, ...], _Watch] = {}

    def run(self, start: float, span: float) -> list[Stretch]:
        """Walk on for `span` [s] from `start` [s], which must be where the last walk ended."""
        done: list[Stretch] = []
        now, at_once = 0.0, 0
        while now < span:
            length, fired, strength = self._next(start + now, span - now)
            if length > 0:
                done.append(Stretch(self.space, self.pieces, self.before, start + now, length, strength))
                self.before = self.pieces
            at_once = at_once + 1 if length <= TIME_ACCURACY * self.space.period else 0
            now = span if length >= span - now else now + length
            t = self._watch(self.pieces).topology
            self.state = (t.states @ (strength * np.exp(t.rates * length))).real
            if t.states_ramp is not None:
                self.state += t.states_ramp * length
            if fired is not None:
                self._switch(*fired, start + now)
                if at_once > AT_ONCE or len(done) > MOST:
                    name = self.space.lamps[fired[0]].name
                    raise ValueError(f"lamp {name!r} switches without end near {start + now:g} s: nothing holds it")
        return done

    # --- inside ---------------------------------------------------------------------------------------

    def _watch(self, pieces: tuple[str, ...]) -> _Watch:
        if pieces not in self._watches:
            self._watches[pieces] = _Watch(self.space, pieces)
        return self._watches[pieces]

    def _turn(self, time: float) -> complex:
        return cmath.exp(1j * self.space.omega * (time % self.space.period))

    def _next(self, time: float, most: float) -> tuple[float, tuple[int, Leave] | None, ComplexArray]:
        """Length [s] to the next switching, or as far as the grid or `most` allows; the switching; the strengths."""
        watch, turn = self._watch(self.pieces), self._turn(time)
        strength = watch.topology.strength(self.state, turn)
        far = min(most, float(watch.table.tau[-1]))
        if not watch.limits:
            return far, None, strength
        rates, limit = watch.topology.rates, watch.limit
        signals = Signals(rates, limit.weights * strength, limit.ramp)
        slopes = Signals(rates, limit.slope.weights * strength, None)
        crossing = first_crossing(signals, slopes, watch.table, TIME_ACCURACY * self.space.period)
        if crossing is None or crossing[0] > far:
            return far, None, strength
        return crossing[0], watch.limits[crossing[1]], strength

    def _lamp_volts(self, pieces: tuple[str, ...], time: float) -> list[float]:
        """Momentary voltages of all lamps [V], if they were on these pieces now."""
        watch = self._watch(pieces)
        swing = (watch.lamp_swing * self._turn(time)).real
        return [float(v) for v in watch.lamp_states @ self.state + swing + watch.lamp_level]

    def _switch(self, lamp: int, leave: Leave, time: float) -> None:
        """Take the first following piece that the circuit holds well inside its limits, else the last.

        Another lamp that this jump puts beyond a limit is found beyond it at once, and switches next.
        """
        for name in leave.to:
            self.pieces = (*self.pieces[:lamp], name, *self.pieces[lamp + 1 :])
            volts = self._lamp_volts(self.pieces, time)[lamp]
            if all(_past(volts, x) < -BRINK for x in self.space.lamps[lamp].model.pieces[name].leaves):
                return


def _past(volts: float, leave: Leave) -> float:
    """How far a limit is passed, in parts of it."""
    return leave.sign * (volts - leave.level) / (1.0 + abs(leave.level))
