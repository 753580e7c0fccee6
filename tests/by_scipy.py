"""Second method for lamps that switch: each circuit's equations written out by hand, stepped by scipy with events.

Nothing here uses the project's own equations: part values and source voltages in, mean and rms lamp current out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

Vector = np.ndarray


@dataclass(frozen=True)
class Glow:
    """Strikes at `strike`, then v = threshold + slope·i; out below `hold` [A]. An LED strikes in one direction only."""

    strike: float
    threshold: float
    slope: float
    hold: float
    both_ways: bool = True


@dataclass(frozen=True)
class Circuit:
    """x' = rhs(t, x, mode), lamp current(t, x, mode), lamp voltage(t, x) while dark; mode −1, 0, +1."""

    rhs: Callable[[float, Vector, int], list[float]]
    current: Callable[[float, Vector, int], float]
    dark_volts: Callable[[float, Vector], float]
    start: Vector


@dataclass(frozen=True)
class Outcome:
    """Mean of |i|, rms of i [A] over the last period, and the moments of its strikes [s] from its start."""

    mean: float
    rms: float
    strikes: tuple[float, ...]


def sine(phasor: complex, omega: float) -> Callable[[float], float]:
    """Momentary value of an rms phasor."""
    amplitude, angle = np.sqrt(2) * abs(phasor), float(np.angle(phasor))
    return lambda t: amplitude * np.cos(omega * t + angle)


def run(circuit: Circuit, lamp: Glow, *, periods: int, period: float, rtol: float, method: str = "DOP853") -> Outcome:
    """Step for a number of periods; |i| and i² are integrated as two further states, from 0 in each period."""
    x, mode = np.concatenate([circuit.start, [0.0, 0.0]]), 0
    for _ in range(periods):
        now, end, strikes = 0.0, period, []
        x[-2:] = 0.0
        while now < end:
            events = _events(circuit, lamp, mode)

            def right(t: float, y: Vector, m: int = mode) -> list[float]:
                i = circuit.current(t, y, m) if m else 0.0
                return [*circuit.rhs(t, y, m), abs(i), i * i]

            done = solve_ivp(
                right, (now, end), x, method=method, rtol=rtol, atol=_tolerances(x, rtol), events=events,
                max_step=period / 20,
            )  # fmt: skip
            assert done.success, done.message
            now, x = float(done.t[-1]), done.y[:, -1].copy()
            if done.status == 1:
                mode = 0 if mode else (1 if len(done.t_events[0]) else -1)
                strikes += [now] if mode else []
    return Outcome(float(x[-2] / period), float(np.sqrt(x[-1] / period)), tuple(strikes))


def _tolerances(x: Vector, rtol: float) -> list[float]:
    """Absolute tolerances: volts (and the like) of some 100, ∫|i| of some 1e-6 A·s, ∫i² of some 1e-9 A²·s."""
    return [rtol] * (len(x) - 2) + [1e-8 * rtol, 1e-11 * rtol]


def _events(circuit: Circuit, lamp: Glow, mode: int) -> list[Callable[[float, Vector], float]]:
    def watch(f: Callable[[float, Vector], float], direction: int) -> Callable[[float, Vector], float]:
        f.terminal, f.direction = True, direction  # type: ignore[attr-defined]
        return f

    if mode:
        return [watch(lambda t, y: mode * circuit.current(t, y, mode) - lamp.hold, -1)]
    up = watch(lambda t, y: circuit.dark_volts(t, y) - lamp.strike, 1)
    if not lamp.both_ways:
        return [up]
    return [up, watch(lambda t, y: circuit.dark_volts(t, y) + lamp.strike, -1)]


def divider_bridge(u: dict[str, complex], omega: float, *, r: float, c: float, lamp: Glow) -> Circuit:
    """State: volts on C. Halves of the divider: (u1 + u3)/2 behind r/2. Lamp from their middle to P."""
    u1, u2, u3 = (sine(u[n], omega) for n in ("L1", "L2", "L3"))

    def current(t: float, y: Vector, mode: int) -> float:
        return ((u1(t) + u3(t)) / 2 - (u2(t) + y[0]) - mode * lamp.threshold) / (r / 2 + lamp.slope) if mode else 0.0

    def rhs(t: float, y: Vector, mode: int) -> list[float]:
        return [((u3(t) - u2(t) - y[0]) / r + current(t, y, mode)) / c]

    def dark(t: float, y: Vector) -> float:
        return (u1(t) + u3(t)) / 2 - u2(t) - y[0]

    z = 1 / (1j * omega * c)
    start = np.sqrt(2) * ((u["L3"] - u["L2"]) * z / (r + z)).real
    return Circuit(rhs, current, dark, np.array([start]))


def double_rc(
    u: dict[str, complex], omega: float, *, r: float, r2: float, c: float, series: float, lamp: Glow
) -> Circuit:
    """States: volts on C1 (P–L2) and on C2 (Q–L1). Series resistor and lamp from P to Q."""
    u1, u2, u3 = (sine(u[n], omega) for n in ("L1", "L2", "L3"))

    def dark(t: float, y: Vector) -> float:
        return u2(t) + y[0] - u1(t) - y[1]

    def current(t: float, y: Vector, mode: int) -> float:
        return (dark(t, y) - mode * lamp.threshold) / (series + lamp.slope) if mode else 0.0

    def rhs(t: float, y: Vector, mode: int) -> list[float]:
        i = current(t, y, mode)
        return [((u3(t) - u2(t) - y[0]) / r - i) / c, ((u2(t) - u1(t) - y[1]) / r2 + i) / c]

    z = 1 / (1j * omega * c)
    p, q = (u["L3"] - u["L2"]) * z / (r + z), (u["L2"] - u["L1"]) * z / (r2 + z)
    return Circuit(rhs, current, dark, np.sqrt(2) * np.array([p.real, q.real]))


def lamp_across_coil_fed_capacitor(
    u: complex, omega: float, *, r: float, inductance: float, c: float, lamp: Glow
) -> Circuit:
    """Source, R and L in series to C; the lamp across C. States: volts of C, milliamperes of L."""
    source = sine(u, omega)

    def current(t: float, y: Vector, mode: int) -> float:
        return (y[0] - mode * lamp.threshold) / lamp.slope if mode else 0.0

    def rhs(t: float, y: Vector, mode: int) -> list[float]:
        i = 1e-3 * y[1]
        return [(i - current(t, y, mode)) / c, 1e3 * (source(t) - r * i - y[0]) / inductance]

    i0 = u / (r + 1j * omega * inductance + 1 / (1j * omega * c))
    v0 = i0 / (1j * omega * c)
    return Circuit(rhs, current, lambda t, y: y[0], np.sqrt(2) * np.array([v0.real, 1e3 * i0.real]))


def led_pair(u: dict[str, complex], omega: float, *, drop: float, shunt: float, c: float, led: Glow) -> Circuit:
    """State: volts on C (S–L1). The lamp is the LED on L2 without a protecting diode; the one on L3 stays dark."""
    u1, u2, u3 = (sine(u[n], omega) for n in ("L1", "L2", "L3"))

    def dark(t: float, y: Vector) -> float:
        return (u2(t) - u1(t) - y[0]) * shunt / (drop + shunt)

    def current(t: float, y: Vector, mode: int) -> float:
        inner = drop * shunt / (drop + shunt)
        return (dark(t, y) - mode * led.threshold) / (inner + led.slope) if mode else 0.0

    def rhs(t: float, y: Vector, mode: int) -> list[float]:
        across = u2(t) - u1(t) - y[0]
        i = current(t, y, mode)
        branch = (across + i * shunt) / (drop + shunt)
        return [(branch + (u3(t) - u1(t) - y[0]) / (drop + shunt)) / c]

    y = 1j * omega * c
    s = (u["L1"] * y + (u["L2"] + u["L3"]) / (drop + shunt)) / (y + 2 / (drop + shunt))
    return Circuit(rhs, current, dark, np.sqrt(2) * np.array([(s - u["L1"]).real]))
