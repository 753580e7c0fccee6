"""A motor's shaft in small steps, for a live picture: the field in its air gap, and how the speed follows from torque.

Speeds are parts of the synchronous speed at the plate's frequency [1], positive where the shaft turns as the windings
U, V, W.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import number, single
from phasorkit.motor import InductionMotor, Running
from phasorkit.phasors import ComplexArray, FloatArray, from_components
from phasorkit.supply import Supply

_PER_UNIT = (0.04, 0.07, 0.04, 0.07, 2.0)
_APPARENT, _LOSS, _RATED_SLIP = 5400.0, 120.0, 0.037
_SPEEDS = np.linspace(-1.5, 1.5, 301)
_STEP = 0.01


@dataclass(frozen=True)
class Plate:
    """What a motor's plate says, worked out from its circuit at the rated slip [1].

    `current` is that of a line [A rms], `torque` that at the shaft [N·m], `rpm` the speed [r/min], `power` that of the
    shaft [W].
    """

    motor: InductionMotor
    line_voltage: float
    frequency: float
    slip: float

    @property
    def _run(self) -> Running:
        return self.motor.on(Supply(line_voltage=self.line_voltage, frequency=self.frequency), slip=self.slip)

    @property
    def current(self) -> float:
        """Of a line [A rms]."""
        return float(np.abs(self._run.line_currents[0]))

    @property
    def torque(self) -> float:
        """At the shaft [N·m]."""
        return float(self._run.shaft_torque)

    @property
    def rpm(self) -> float:
        """Speed [r/min]."""
        return float(self._run.rpm)

    @property
    def power(self) -> float:
        """Of the shaft [W]."""
        return float(self._run.shaft_power)

    def slip_at(self, speed: ArrayLike, supply: Supply) -> FloatArray:
        """Slip [1] at a speed [1 of synchronous speed at the plate's frequency], shape (...), on a supply."""
        return np.asarray(1 - np.asarray(speed, dtype=float) * self.frequency / np.asarray(supply.frequency))


def workshop_pump(*, line_voltage: float, frequency: float) -> Plate:
    """The pump's motor of the training workshop, made for a supply: 4 kW, two poles, star; invented for the lessons.

    Parameters
    ----------
    line_voltage, frequency : float
        Line to line [V rms], [Hz].

    Raises
    ------
    ValueError
        Values that are not positive and finite.

    Examples
    --------
    >>> plate = workshop_pump(line_voltage=400, frequency=50)
    >>> round(plate.current, 1), round(plate.rpm), round(plate.power, -2)
    (7.8, 2889, 4000.0)
    """
    volts, hertz = single(line_voltage, "line_voltage", "V"), single(frequency, "frequency", "Hz")
    r1, x1, r2, x2, xm = (k * volts**2 / _APPARENT for k in _PER_UNIT)
    motor = InductionMotor(
        stator_resistance=r1, stator_reactance=x1, rotor_resistance=r2, rotor_reactance=x2, magnetizing_reactance=xm,
        frequency=hertz, poles=2, rotational_loss=_LOSS,
    )  # fmt: skip
    return Plate(motor, volts, hertz, _RATED_SLIP)


def gap_currents(run: Running) -> ComplexArray:
    """What drives the field in the air gap along the axis of each winding U, V, W [A rms], shape (..., 3).

    It is the winding's current less what the rotor answers, so it is not zero in an open winding once the shaft turns.
    `rotating_field` of it is the field that the rotor feels.

    Examples
    --------
    >>> from phasorkit.rotating_field import rotating_field
    >>> pump = workshop_pump(line_voltage=400, frequency=50).motor
    >>> two_lines = Supply(line_voltage=400, frequency=50).without("L2")
    >>> [str(rotating_field(gap_currents(pump.on(two_lines, slip=s))).kind) for s in (1.0, 0.04)]
    ['pulsating', 'ellipse']
    """
    reactance = run.motor.star_values(run.supply.frequency)[-1]
    gaps = (run.motor.circuit(s, run.supply.frequency)[1] for s in (run.slip, 2 - run.slip))
    forward, backward = (i * gap / (1j * reactance) for i, gap in zip(run.sequence_currents, gaps, strict=True))
    return from_components(np.stack([np.zeros_like(forward), forward, backward], axis=-1))


def speed_after(
    plate: Plate, supply: Supply | None, *, speed: float, load: float, seconds: float, run_up: float = 4.0
) -> float:
    """Speed of the shaft a little later [1].

    Parameters
    ----------
    plate : Plate
    supply : Supply or None
        What the motor hangs on, any volts and hertz; None when it is switched off.
    speed : float
        Now [1].
    load : float
        Torque of a pump at the plate's speed as a part of the rated torque [1]; it goes with the square of the speed.
    seconds : float
        How much later [s].
    run_up : float
        Seconds that rated torque alone needs from rest to synchronous speed [s]: the heft of the rotor.

    Raises
    ------
    ValueError
        `seconds` or `run_up` not positive and finite, a speed or a load that is not finite, a negative load.

    Notes
    -----
    Torque is that of the steady circuit at each speed (no electrical transients), friction a constant torque.

    Examples
    --------
    >>> plate = workshop_pump(line_voltage=400, frequency=50)
    >>> supply = Supply(line_voltage=400, frequency=50)
    >>> [round(speed_after(plate, s, speed=0, load=1, seconds=8), 2) for s in (supply, supply.without("L1"))]
    [0.96, 0.0]
    """
    for value, name in ((seconds, "seconds"), (run_up, "run_up")):
        single(value, name, "s")
    if not math.isfinite(number(speed)):
        raise ValueError(f"speed must be one finite number [1 of synchronous], got {speed!r}")
    if not 0 <= number(load) < math.inf:
        raise ValueError(f"load must be 0 or more [part of rated torque], got {load!r}")
    field = float(plate.motor.synchronous_speed(plate.frequency))
    rated, friction = plate.torque, _LOSS / field / plate.torque
    pulls = np.zeros(_SPEEDS.shape)
    if supply is not None:
        pulls = plate.motor.on(supply, slip=plate.slip_at(_SPEEDS, supply)).torque / rated
    for _ in range(max(1, round(seconds / _STEP))):
        drive = float(np.interp(speed, _SPEEDS, pulls)) - load * speed * abs(speed) / (1 - plate.slip) ** 2
        if speed == 0 and abs(drive) <= friction + 1e-9:
            return 0.0
        drag = friction * float(np.sign(speed if speed else drive))
        after = speed + (drive - drag) * _STEP / run_up
        crossed = speed * after < 0
        speed = 0.0 if crossed else after
    return speed


def turned(angle: float, *, speed: float, seconds: float, turn: float) -> float:
    """An angle [rad] after turning at a speed [1] when one whole turn at speed 1 takes `turn` seconds.

    >>> round(turned(0.0, speed=0.5, seconds=1.0, turn=4.0), 4)
    0.7854
    """
    return (angle + 2 * pi * speed * seconds / turn) % (2 * pi)
