"""Signals in closed form between two switchings, where they cross zero, their extremes and their integrals.

A signal is real(Σ weights·e^{rates·τ}) + ramp·τ, with τ [s] counted from the switching. The rates [1/s] are those of
the network's own decays, jω for the sources, and 0 for what is constant.
"""

from __future__ import annotations

import cmath
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from phasorkit.phasors import ComplexArray, FloatArray

STEPS_PER_PERIOD = 48
"""Grid for crossings: a sine's zero and peak lie many steps apart; each step is then searched exactly."""

GROWTH, FIRST_STEP = 1.5, 0.05
"""Steps grow by this factor from this part of the fastest time constant, so that every transient is resolved."""

LARGEST_GRID = 4096
TIME_ACCURACY = 1e-14
"""A crossing is found to this part of a supply period."""

GAUSS_POINTS, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(8)

Scalar = Callable[[float], tuple[float, float]]


@dataclass(frozen=True)
class Signals:
    """Several signals, weights (m, rates) and ramp (m), None for none; call with τ [s] (n) for values (m, n)."""

    rates: ComplexArray
    weights: ComplexArray
    ramp: FloatArray | None

    def __call__(self, tau: FloatArray) -> FloatArray:
        """Values at τ [s], shape (n,)."""
        return self.on(Table(self.rates, np.asarray(tau, dtype=float)))

    def on(self, table: Table) -> FloatArray:
        """Values at the points of a prepared table."""
        values = (self.weights @ table.powers).real
        return values if self.ramp is None else values + np.multiply.outer(self.ramp, table.tau)

    @cached_property
    def slope(self) -> Signals:
        """The time derivatives [1/s]."""
        weights = self.weights * self.rates
        if self.ramp is not None:
            weights[:, -1] += self.ramp
        return Signals(self.rates, weights, None)

    def at(self, row: int) -> Scalar:
        """One signal and its derivative as a function of a single τ [s]."""
        terms = list(zip(self.weights[row].tolist(), self.rates.tolist(), strict=True))
        ramp = 0.0 if self.ramp is None else float(self.ramp[row])

        def value(tau: float) -> tuple[float, float]:
            total, incline = ramp * tau, ramp
            for weight, rate in terms:
                part = weight * cmath.exp(rate * tau)
                total += part.real
                incline += (rate * part).real
            return total, incline

        return value


class Table:
    """Points in time, ascending from 0, with the exponentials of one set of rates at them."""

    def __init__(self, rates: ComplexArray, tau: FloatArray) -> None:
        self.tau = tau
        self.steps = np.diff(tau)
        self.powers = np.exp(np.multiply.outer(rates, tau))


def grid(rates: ComplexArray, period: float) -> FloatArray:
    """Points τ [s] from 0: fine at first for the fastest transient, then even steps, a period [s] long or shorter."""
    fastest = float(np.max(np.abs(rates.imag), initial=0.0))
    step = min(period / STEPS_PER_PERIOD, 0.4 / fastest if fastest else np.inf)
    even = step * np.arange(1, min(round(period / step), LARGEST_GRID) + 1)
    decay = float(np.max(np.abs(rates), initial=0.0))
    first = FIRST_STEP / decay if decay else step
    count = max(int(np.ceil(np.log(step / first) / np.log(GROWTH))), 0)
    early = first * GROWTH ** np.arange(count)
    return np.concatenate([[0.0], early[early < 0.99 * step], even])


def first_crossing(signals: Signals, slopes_of: Signals, table: Table, accuracy: float) -> tuple[float, int] | None:
    """First τ [s] on the table's span at which a signal rises above zero, and which one; None if none does.

    `slopes_of` are the signals' derivatives. All signals start at or below zero. A crossing and return inside one grid
    step is found by its extreme.
    """
    values, slopes = signals.on(table), slopes_of.on(table)
    above = values[:, 1:] > 0
    turning = (slopes[:, :-1] > 0) & (slopes[:, 1:] < 0)
    steps, rows = np.nonzero((above | turning).T)
    found: list[tuple[float, int]] = []
    reached = -1
    for j, row in zip(steps.tolist(), rows.tolist(), strict=True):
        if found and j > reached:
            break
        reached, low, end = j, float(table.tau[j]), float(table.tau[j + 1])
        if above[row, j]:
            found.append((rising_zero(signals.at(row), low, end, accuracy), row))
        elif _may_pass(values[row, j : j + 2].tolist(), slopes[row, j : j + 2].tolist(), end - low):
            f = signals.at(row)
            top = _top(f, low, end, accuracy)
            if f(top)[0] > 0:
                found.append((rising_zero(f, low, top, accuracy), row))
    return min(found, default=None)


def rising_zero(f: Scalar, low: float, high: float, accuracy: float) -> float:
    """Where f rises through zero in [low, high] [s]: Newton's steps, kept in a bracket that halves where they leave it.

    Newton doubles the digits: a step shorter than 1e-8 of the bracket is the last.

    >>> round(rising_zero(lambda t: (t * t - 2, 2 * t), 0.0, 2.0, 1e-15), 9)
    1.414213562
    """
    if f(low)[0] > 0:
        return low
    enough, x = max(accuracy, 1e-8 * (high - low)), 0.5 * (low + high)
    for _ in range(200):
        value, incline = f(x)
        low, high = (low, x) if value > 0 else (x, high)
        step = value / incline if incline > 0 else np.inf
        new = x - step
        if not low <= new <= high:
            new = 0.5 * (low + high)
        elif abs(step) <= enough:
            return new
        if high - low <= accuracy:
            return new
        x = new
    return high


def extremes(signals: Signals, row: int, period: float, length: float) -> tuple[float, float]:
    """Smallest and largest value of one signal over [0, length] [s]."""
    table = Table(signals.rates, clipped(grid(signals.rates[:-1], period), length))
    slopes, f = signals.slope.on(table)[row], signals.at(row)
    values = list(signals.on(table)[row])
    for j in np.flatnonzero(slopes[:-1] * slopes[1:] < 0):
        up = float(np.sign(slopes[j]))
        ramp = None if signals.ramp is None else up * signals.ramp[[row]]
        turned = Signals(signals.rates, up * signals.weights[[row]], ramp).at(0)
        values.append(f(_top(turned, float(table.tau[j]), float(table.tau[j + 1]), 1e-12 * length))[0])
    return float(min(values)), float(max(values))


def quadrature(rates: ComplexArray, period: float, length: float) -> tuple[FloatArray, FloatArray]:
    """Points τ and weights [s] over [0, length]: Gauss-Legendre with eight points on every step of the grid."""
    tau = clipped(grid(rates, period), length)
    middle, half = (tau[1:] + tau[:-1]) / 2, np.diff(tau) / 2
    points = middle[:, None] + half[:, None] * GAUSS_POINTS
    return points.ravel(), (half[:, None] * GAUSS_WEIGHTS).ravel()


def clipped(tau: FloatArray, length: float) -> FloatArray:
    """The grid up to `length` [s], which must not lie beyond it."""
    return np.concatenate([tau[tau < length * (1 - 1e-12)], [length]])


def _may_pass(values: list[float], slopes: list[float], step: float) -> bool:
    """Whether a signal that rises at one end of a step and falls at the other can pass zero between them."""
    return max(values) + step * max(slopes[0], -slopes[1]) > 0


def _top(f: Scalar, low: float, high: float, accuracy: float) -> float:
    """Where f, rising at low and falling at high, turns: by halving."""
    while high - low > accuracy and low < 0.5 * (low + high) < high:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if f(middle)[1] > 0 else (low, middle)
    return 0.5 * (low + high)
