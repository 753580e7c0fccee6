"""Networks with lamps that switch, in time: exact between switchings, to periodic steady state.

Between two switchings everything is linear, so every voltage is a sum of decaying exponentials, a sine and a constant;
the moments of switching are zeros of these sums, found to 1e-14 of a period. No step size, no tolerance of integration.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import phasor, positive, single, whole
from phasorkit._march import March, Stretch
from phasorkit._state_space import StateSpace
from phasorkit.network import Network
from phasorkit.switching import SwitchingLamp
from phasorkit.time_course import LampFigures, TimeCourse

__all__ = ["LampFigures", "TimeCourse", "simulate", "steady_state"]

SETTLED = 1e-9
"""Steady when no capacitor's voltage and no coil's current moves over a period by more than this part of what is large:
the sources' voltage, and the current that this voltage brings about in the coil in a period."""

AVERAGED = 20
"""Periods that are averaged when the course does not repeat from period to period."""


def simulate(
    network: Network,
    sources: Mapping[str, ArrayLike],
    *,
    frequency: float,
    lamps: tuple[SwitchingLamp, ...],
    duration: float,
    constant: Mapping[str, float] | None = None,
) -> TimeCourse:
    """The course from switching on, for `duration` [s].

    Parameters
    ----------
    network : Network
        R, L and C of single values (no arrays).
    sources : mapping of node to phasor
        Known node voltages [V rms]; a node on none of them floats.
    frequency : float
        [Hz]; where all sources are constant it only sets the grid on which switchings are looked for.
    lamps : tuple of SwitchingLamp
    duration : float
        [s].
    constant : mapping of node to volts, optional
        Constant voltage of source nodes [V] (batteries), in addition to their phasors.

    Returns
    -------
    TimeCourse
        It starts from what the sines alone would have brought about with all lamps dark, batteries just switched on.

    Raises
    ------
    ValueError
        Values that are not single, finite and positive; a node that inductors alone hold while lamps are dark, or a
        lossless resonance (both name the node); a lamp that switches without end.

    Examples
    --------
    A glow lamp across a capacitor that a battery charges through a resistor: it flashes.

    >>> from phasorkit.network import Element
    >>> from phasorkit.switching import GlowLamp
    >>> flasher = Network((Element("R1", "R", 1e6, "+", "a"), Element("C1", "C", 1e-6, "a", "0")))
    >>> lamp = SwitchingLamp("H1", "a", "0", GlowLamp())
    >>> kept = {"+": 105.0, "0": 0.0}
    >>> course = simulate(flasher, {}, constant=kept, frequency=50, lamps=(lamp,), duration=5.0)
    >>> [round(t, 2) for t, piece in course.switchings("H1") if piece == "glow forward"]
    [1.95, 3.11, 4.28]
    """
    space = _space(network, sources, constant or {}, lamps, frequency)
    period = space.period
    length = single(duration, "duration", "s")
    march, stretches, whole = March(space), [], int(length / period)
    for k in range(whole):
        stretches += march.run(k * period, period)
    if length - whole * period > 1e-12 * length:
        stretches += march.run(whole * period, length - whole * period)
    return TimeCourse(network, lamps, length, False, max(whole, 1), space, tuple(stretches))


def steady_state(
    network: Network,
    sources: Mapping[str, ArrayLike],
    *,
    frequency: float,
    lamps: tuple[SwitchingLamp, ...],
    constant: Mapping[str, float] | None = None,
    most_periods: int = 400,
) -> TimeCourse:
    """One period of the steady state; parameters and errors as `simulate`.

    Parameters
    ----------
    most_periods : int
        Periods to run at most, 1 or more. If the state then still differs from period to period (a lamp whose pulses
        are not tied to the supply, or a very slow charge), the last `AVERAGED` periods are returned, with ``settled``
        false.

    Examples
    --------
    >>> from phasorkit.network import Element
    >>> from phasorkit.switching import GlowLamp
    >>> lamp = SwitchingLamp("H1", "a", "N", GlowLamp())
    >>> course = steady_state(Network((Element("R1", "R", 220e3, "L1", "a"),)), {"L1": 230, "N": 0}, frequency=50,
    ...                       lamps=(lamp,))
    >>> figures = course.lamp("H1")
    >>> round(1e3 * figures.mean_ampere, 3), round(figures.strikes_per_second), round(figures.lit_fraction, 2)
    (0.678, 100, 0.84)
    """
    space = _space(network, sources, constant or {}, lamps, frequency)
    march, period = March(space), space.period
    kept: deque[list[Stretch]] = deque(maxlen=AVERAGED)
    settled, run, most = False, 0, whole(most_periods, "most_periods")
    while run < most and not settled:
        state, pieces = march.state, march.pieces
        kept.append(march.run(0.0, period))
        run += 1
        settled = pieces == march.pieces and bool(np.all(np.abs(march.state - state) <= SETTLED * space.scale))
    periods = [kept[-1]] if settled else list(kept)
    stretches = [replace(s, start=s.start + k * period) for k, part in enumerate(periods) for s in part]
    return TimeCourse(network, lamps, len(periods) * period, settled, run, space, tuple(stretches))


def _space(
    network: Network,
    sources: Mapping[str, ArrayLike],
    constant: Mapping[str, float],
    lamps: tuple[SwitchingLamp, ...],
    frequency: float,
) -> StateSpace:
    """The equations, from checked values."""
    hertz = positive(frequency, "frequency", "Hz")
    phasors = {node: phasor(v, f"source at node {node!r}", "V") for node, v in sources.items()}
    steady = {node: phasor(v, f"constant voltage of node {node!r}", "V") for node, v in constant.items()}
    shapes = {"frequency": hertz.shape} | {e.name: np.shape(e.value) for e in network.elements}
    shapes |= {f"source at node {node!r}": v.shape for node, v in (phasors | steady).items()}
    batched = [f"{name} {shape}" for name, shape in shapes.items() if shape]
    if batched:
        raise ValueError(f"lamps are stepped in time for single values, not arrays: {', '.join(batched)}")
    names = [lamp.name for lamp in lamps]
    if len(set(names)) < len(names):
        raise ValueError(f"lamps: a name is used more than once in {', '.join(names)}")
    return StateSpace(
        network,
        lamps,
        {node: complex(v) for node, v in phasors.items()},
        {node: float(v.real) for node, v in steady.items()},
        float(hertz),
    )
