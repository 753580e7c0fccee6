"""The course of a network with switching lamps: waveforms on request, and what each lamp did."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._march import Stretch
from phasorkit._state_space import StateSpace
from phasorkit.network import Network
from phasorkit.phasors import FloatArray
from phasorkit.switching import SwitchingLamp

Sampler = Callable[[Stretch, FloatArray], FloatArray]


@dataclass(frozen=True)
class LampFigures:
    """What a lamp did over the time kept.

    Of the current that makes light (on glowing pieces; not what a protecting diode passes): ``mean_ampere``, the mean
    of its magnitude, ``rms_ampere`` and ``peak_ampere`` [A]. Of all current between the lamp's nodes: ``net_ampere``,
    the mean with its sign [A], and ``watts``. ``strikes_per_second`` [1/s]; ``lit_fraction`` of the time on a glowing
    piece [1]; ``volts_rms``, and momentary ``volts_max`` and ``volts_min`` between its nodes [V].
    """

    mean_ampere: float
    net_ampere: float
    rms_ampere: float
    peak_ampere: float
    watts: float
    strikes_per_second: float
    lit_fraction: float
    volts_rms: float
    volts_max: float
    volts_min: float


@dataclass(frozen=True)
class TimeCourse:
    """A network with its lamps over a time; `settled` says whether it repeats from period to period.

    Times count from 0 to `duration` [s]; 0 is a whole number of periods after the start, so the sources' phasors hold
    as they are. `periods` were run in all.
    """

    network: Network
    lamps: tuple[SwitchingLamp, ...]
    duration: float
    settled: bool
    periods: int
    space: StateSpace
    stretches: tuple[Stretch, ...]

    def voltage(self, node: str, to: str | None = None, *, times: ArrayLike) -> FloatArray:
        """Momentary voltage [V] of a node (against the reference, or another node) at times [s], shape (n,).

        NaN where the two float against each other. A KeyError names an unknown node.
        """
        row = self._row(node, to)
        return self._sampled(times, lambda s, tau: s.combined(row)(tau)[0])

    def lamp_current(self, name: str, *, times: ArrayLike) -> FloatArray:
        """Momentary current [A] of a lamp, from a to b, at times [s], shape (n,)."""
        k = self._lamp(name)
        return self._sampled(times, lambda s, tau: s.lamp_current(k, tau))

    def current(self, name: str, *, times: ArrayLike) -> FloatArray:
        """Momentary current [A] of an element, from a to b, at times [s], shape (n,)."""
        e = self.network.element(name)
        row, value = self._row(e.a, e.b), float(np.asarray(e.value))
        if e.kind == "L":
            k = len(self.space.root) - len(self.space.coils) + self.space.coils.index(e)
            return self._sampled(times, lambda s, tau: s.states(tau)[k])
        if e.kind == "C":
            return self._sampled(times, lambda s, tau: value * s.combined(row).slope(tau)[0])
        return self._sampled(times, lambda s, tau: s.combined(row)(tau)[0] / value)

    def states(self, name: str, *, times: ArrayLike) -> list[str]:
        """The piece of its characteristic that a lamp is on at times [s], such as ``dark`` or ``glow forward``."""
        k = self._lamp(name)
        return [self.stretches[j].pieces[k] for j in self._which(np.asarray(times, dtype=float))]

    def switchings(self, name: str) -> list[tuple[float, str]]:
        """Every moment [s] at which a lamp changes its piece, and the piece it takes."""
        k = self._lamp(name)
        pairs = zip(self.stretches, self.stretches[1:], strict=False)
        return [(later.start, later.pieces[k]) for s, later in pairs if s.pieces[k] != later.pieces[k]]

    def lamp(self, name: str) -> LampFigures:
        """The figures of one lamp over the whole time kept; a KeyError lists the lamps there are."""
        k = self._lamp(name)
        lamp = self.lamps[k]
        row = self._row(lamp.a, lamp.b)
        sums, low, high, peak, lit, strikes = np.zeros(5), np.inf, -np.inf, 0.0, 0.0, 0
        for s in self.stretches:
            sums += s.integrals(k)
            least, most = s.extremes(row)
            low, high = min(low, least), max(high, most)
            piece = lamp.model.pieces[s.pieces[k]]
            if piece.glows:
                lit += s.length
                peak = max(peak, *(abs(piece.conductance * (v - piece.volts)) for v in (least, most)))
            strikes += piece.glows and not lamp.model.pieces[s.before[k]].glows
        mean, square, net, energy, volts = (float(x) / self.duration for x in sums)
        return LampFigures(
            mean_ampere=mean, net_ampere=net, rms_ampere=square**0.5, peak_ampere=peak, watts=energy,
            strikes_per_second=strikes / self.duration, lit_fraction=min(lit / self.duration, 1.0),
            volts_rms=volts**0.5, volts_max=high, volts_min=low,
        )  # fmt: skip

    # --- inside ---------------------------------------------------------------------------------------

    @cached_property
    def _starts(self) -> FloatArray:
        return np.array([s.start for s in self.stretches])

    def _lamp(self, name: str) -> int:
        names = [lamp.name for lamp in self.lamps]
        if name not in names:
            raise KeyError(f"no lamp {name!r}; there are {', '.join(names)}")
        return names.index(name)

    def _row(self, a: str, b: str | None) -> FloatArray:
        row = np.zeros(len(self.space.nodes))
        for node, sign in ((a, 1.0), (b, -1.0)):
            if node is None:
                continue
            if node not in self.space.row:
                raise KeyError(f"no node {node!r}; there are {', '.join(self.space.nodes)}")
            row[self.space.row[node]] += sign
        for island in self.space.floating:
            if (a in island) != (b in island):
                return np.full_like(row, np.nan)
        return row

    def _which(self, times: FloatArray) -> list[int]:
        if np.any((times < 0) | (times > self.duration * (1 + 1e-12))):
            raise ValueError(f"times must lie in 0 to {self.duration:g} [s], got {times.min():g} to {times.max():g}")
        return [int(j) for j in np.searchsorted(self._starts, times, side="right") - 1]

    def _sampled(self, times: ArrayLike, of: Sampler) -> FloatArray:
        at = np.asarray(times, dtype=float)
        which = np.array(self._which(at), dtype=int)
        values = np.empty(at.shape)
        for j in np.unique(which):
            here = which == j
            values[here] = of(self.stretches[j], at[here] - self.stretches[j].start)
        return values
