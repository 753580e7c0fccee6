"""What a poor supply does to a motor: a lost line, and negative sequence voltage that heats it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from phasorkit._checks import not_negative, number
from phasorkit.motor import InductionMotor, Running
from phasorkit.phasors import FloatArray
from phasorkit.supply import Supply

_LADDER = np.concatenate([[0.0], np.geomspace(1e-5, 1, 600)])
_HALVINGS = 60


def running_slip(motor: InductionMotor, supply: Supply, *, torque: ArrayLike, forward: bool = True) -> FloatArray:
    """Slip at which the motor carries a load of constant torque, on the stable side of its breakdown point.

    Parameters
    ----------
    motor : InductionMotor
    supply : Supply
    torque : float or array, shape (...)
        Of the load at the shaft, against the motion [N·m], 0 or more.
    forward : bool
        The motor turns as U, V, W; False: the other way, and then the slip lies between 1 and 2.

    Returns
    -------
    array, shape (...)
        Slip as in `InductionMotor.on` [1]; NaN where the motor cannot carry the load and stalls.

    Raises
    ------
    ValueError
        A torque that is negative or not finite.

    Examples
    --------
    >>> motor = InductionMotor(stator_resistance=0.641, stator_reactance=1.106, rotor_resistance=0.332,
    ...     rotor_reactance=0.464, magnetizing_reactance=26.3, frequency=60, poles=4, rotational_loss=1100)
    >>> supply = Supply(line_voltage=460, frequency=60)
    >>> [round(float(running_slip(motor, supply, torque=load)), 4) for load in (56.84, 1000)]
    [0.022, nan]
    """
    load = not_negative(torque, "torque", "N·m")
    shape = np.broadcast_shapes(load.shape, motor.on(supply, slip=0.5).torque.shape)

    def pull(lag: FloatArray) -> FloatArray:
        """Shaft torque in the direction of motion for a slip counted in that direction."""
        run = motor.on(supply, slip=lag if forward else 2 - lag)
        return run.shaft_torque if forward else -run.shaft_torque

    ladder = _LADDER[:-1].reshape(-1, *(1 for _ in shape))  # standstill left out: the question is a running motor
    pulls = np.broadcast_to(pull(ladder), (ladder.shape[0], *shape))
    top = np.argmax(pulls, axis=0)
    high = _LADDER[top]
    low = np.zeros(shape)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        enough = pull(middle) >= load
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    carried = np.max(pulls, axis=0) >= load
    return np.where(carried, high if forward else 2 - high, np.nan)


@dataclass(frozen=True)
class SinglePhasing:
    """A motor before and after it lost a line; the batch shape is that of motor, supply and torque.

    Parameters
    ----------
    healthy, running : Running
        With all three lines, and with two, both carrying the same load, or at standstill where it stalls.
    standing : Running
        With two lines at standstill.
    stalls : array of bool
        Two lines cannot carry this load: the motor stops, and stays on the supply at standstill.
    current_rise : array
        Largest line current over the healthy one [1].
    winding_rise : array
        Current of the worst winding over the healthy one [1]: in delta larger than what the lines, and an overload
        relay in them, see.
    """

    healthy: Running
    running: Running
    standing: Running
    stalls: NDArray[np.bool_]
    current_rise: FloatArray
    winding_rise: FloatArray


def single_phasing(
    motor: InductionMotor, supply: Supply, *, torque: ArrayLike, lost: str = "L1", upstream: bool = False
) -> SinglePhasing:
    """Lose a line while the motor carries a load of constant torque.

    Parameters
    ----------
    motor : InductionMotor
    supply : Supply
        With all three lines.
    torque : float or array, shape (...)
        Of the load at the shaft [N·m]; the same before and after.
    lost : str
        Conductor that is lost.
    upstream : bool
        False: the line to the motor is open (a blown fuse, a contact that stayed open). True: the conductor is dead
        further up and held hard at the star point by its other loads, which the motor then feeds: a bound, with more
        current still, and with some starting torque.

    Raises
    ------
    ValueError
        Unknown conductor, a torque that is negative, not finite or too much for all three lines, a supply of which a
        probe touches nothing.

    Notes
    -----
    With an open line the two sequence currents are equal and opposite (C. L. Fortescue 1918), so both fields are alike
    at standstill: no starting torque at all, while a running motor runs on and takes about √3 times the current.

    Examples
    --------
    >>> motor = InductionMotor(stator_resistance=0.641, stator_reactance=1.106, rotor_resistance=0.332,
    ...     rotor_reactance=0.464, magnetizing_reactance=26.3, frequency=60, poles=4, rotational_loss=1100)
    >>> lost = single_phasing(motor, Supply(line_voltage=460, frequency=60), torque=40)
    >>> round(abs(float(lost.standing.torque)), 9), round(float(lost.current_rise), 2)
    (0.0, 1.81)
    """
    if len(supply.probes) < 3:
        raise ValueError(f"supply must have all three probes laid, got {', '.join(p for p, _ in supply.probes)}")
    forwards = np.diff(np.abs(motor.on(supply, slip=1.0).sequence_currents), axis=0) <= 0
    if not (np.all(forwards) or not np.any(forwards)):
        raise ValueError("supply must have one direction of rotation for the whole batch")
    forward = bool(np.all(forwards))
    poor = supply.phase_lost(lost) if upstream else supply.without(lost)
    before, after = (running_slip(motor, s, torque=torque, forward=forward) for s in (supply, poor))
    if np.any(np.isnan(before)):
        raise ValueError(f"torque must be one that the motor carries on all three lines [N·m], got {torque!r}")
    healthy, running = motor.on(supply, slip=before), motor.on(poor, slip=np.where(np.isnan(after), 1.0, after))
    return SinglePhasing(
        healthy,
        running,
        motor.on(poor, slip=1.0),
        stalls=np.isnan(after),
        current_rise=_largest(running.line_currents) / _largest(healthy.line_currents),
        winding_rise=_largest(running.winding_currents) / _largest(healthy.winding_currents),
    )


@dataclass(frozen=True)
class Derating:
    """How far the load must come down under negative sequence voltage, as a part of rated shaft power [1].

    Parameters
    ----------
    by_losses : array
        So that the copper losses of stator and rotor together stay what they are at rated load: the mean heating.
    by_hottest_winding : array
        So that no line current exceeds the rated one, whatever the angle of the unbalance: the worst spot.
    negative_current : array
        Negative sequence current over rated current [1].
    """

    by_losses: FloatArray
    by_hottest_winding: FloatArray
    negative_current: FloatArray


def derating(
    motor: InductionMotor, *, line_voltage: float, frequency: float, rated_slip: float, negative: ArrayLike
) -> Derating:
    """Load that a motor may carry on an unbalanced supply, by superposition of the two sequences.

    Parameters
    ----------
    motor : InductionMotor
    line_voltage, frequency : float
        Of the positive sequence, line to line [V rms], [Hz].
    rated_slip : float
        At rated load on a balanced supply [1], between 0 and 1.
    negative : float or array, shape (...)
        Negative over positive sequence voltage [1], 0 or more.

    Raises
    ------
    ValueError
        A slip outside 0 to 1, a negative or not finite `negative`.

    Notes
    -----
    The two results bracket what is practised: the winding that is worst placed heats more than the mean, and heat
    spreads. NEMA MG 1 gives about 0.95 at 2 % and 0.75 at 5 % voltage unbalance (from memory), and IEC 60034-26 treats
    the matter. Skin effect, which makes the negative sequence heat the rotor more, is left out.

    Examples
    --------
    >>> motor = InductionMotor(stator_resistance=0.641, stator_reactance=1.106, rotor_resistance=0.332,
    ...     rotor_reactance=0.464, magnetizing_reactance=26.3, frequency=60, poles=4, rotational_loss=1100)
    >>> found = derating(motor, line_voltage=460, frequency=60, rated_slip=0.022, negative=0.02)
    >>> round(float(found.by_losses), 2), round(float(found.by_hottest_winding), 2)
    (0.98, 0.77)
    """
    share = not_negative(negative, "negative", "1")
    if not 0 < number(rated_slip) < 1:
        raise ValueError(f"rated_slip must lie between 0 and 1, got {rated_slip!r}")
    balanced = Supply(line_voltage=line_voltage, frequency=frequency)
    poor = balanced.unbalanced(negative=share)
    rated = motor.on(balanced, slip=rated_slip)

    def losses(run: Running) -> FloatArray:
        return np.asarray(run.stator_loss + run.rotor_loss)

    def hottest(run: Running) -> FloatArray:
        return np.asarray(np.sum(np.abs(run.sequence_currents), axis=0))

    def allowed(measure: Callable[[Running], FloatArray]) -> FloatArray:
        low, high = np.zeros(share.shape), np.full(share.shape, rated_slip)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            fits = measure(motor.on(poor, slip=middle)) <= measure(rated)
            low, high = np.where(fits, middle, low), np.where(fits, high, middle)
        return np.maximum(motor.on(poor, slip=low).shaft_power / rated.shaft_power, 0.0)

    negative_current = np.abs(motor.on(poor, slip=rated_slip).sequence_currents[1])
    return Derating(
        by_losses=allowed(losses),
        by_hottest_winding=allowed(hottest),
        negative_current=np.asarray(negative_current / np.abs(rated.sequence_currents[0])),
    )


def _largest(currents: ArrayLike) -> FloatArray:
    """Largest of the three magnitudes [A rms]."""
    return np.asarray(np.max(np.abs(currents), axis=-1))
