"""Three-phase induction motor: the equivalent circuit of each sequence, for any supply and any speed.

The positive sequence turns the field as U, V, W; the negative sequence turns another one against it, for which the
same shaft has the slip 2 − s. The two act side by side: currents, powers and torques are those of both circuits.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import not_negative, positive
from phasorkit.phasors import A, ComplexArray, FloatArray, from_components, symmetrical_components
from phasorkit.rotating_field import synchronous_rpm
from phasorkit.supply import CONDUCTORS, Supply

_VALUES = (
    "stator_resistance", "stator_reactance", "rotor_resistance", "rotor_reactance", "magnetizing_reactance",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class InductionMotor:
    """A motor by the values of its per-phase equivalent circuit.

    Parameters
    ----------
    stator_resistance, stator_reactance : float or array, shape (...)
        Of one winding [Ω].
    rotor_resistance, rotor_reactance : float or array, shape (...)
        Seen from the stator winding [Ω], at standstill frequency.
    magnetizing_reactance : float or array, shape (...)
        [Ω].
    frequency : float
        At which the reactances hold [Hz].
    poles : int
        Number of poles, even.
    rotational_loss : float or array, shape (...)
        Friction, windage and core loss together [W], taken constant while it turns (a textbook habit: the first two
        fall and the core loss rises as it slows), so shaft figures are for running speeds only.
    connection : "star" or "delta"
        Of the windings; a star point is not connected.

    Raises
    ------
    ValueError
        Values that are not positive and finite (the loss may be 0), an odd number of poles, another connection.

    Notes
    -----
    No saturation, no skin effect: starting current and rotor loss of the negative sequence come out somewhat low.

    Examples
    --------
    >>> motor = InductionMotor(stator_resistance=0.641, stator_reactance=1.106, rotor_resistance=0.332,
    ...     rotor_reactance=0.464, magnetizing_reactance=26.3, frequency=60, poles=4, rotational_loss=1100)
    >>> run = motor.on(Supply(line_voltage=460, frequency=60), slip=0.022)
    >>> round(float(run.rpm), 1), round(float(run.torque), 1), round(float(run.efficiency), 3)
    (1760.4, 62.8, 0.837)
    """

    stator_resistance: ArrayLike
    stator_reactance: ArrayLike
    rotor_resistance: ArrayLike
    rotor_reactance: ArrayLike
    magnetizing_reactance: ArrayLike
    frequency: ArrayLike
    poles: int
    rotational_loss: ArrayLike = 0.0
    connection: str = "star"

    def __post_init__(self) -> None:
        for name in _VALUES:
            positive(getattr(self, name), name, "Ω")
        not_negative(self.rotational_loss, "rotational_loss", "W")
        synchronous_rpm(self.frequency, poles=self.poles)  # refuses a wrong number of poles
        if self.connection not in ("star", "delta"):
            raise ValueError(f"connection must be 'star' or 'delta', got {self.connection!r}")

    def synchronous_speed(self, frequency: ArrayLike) -> FloatArray:
        """Speed of the rotating field [rad/s] at a supply frequency [Hz]: 4πf/poles."""
        return np.asarray(synchronous_rpm(frequency, poles=self.poles) * np.pi / 30)

    def on(self, supply: Supply, *, slip: ArrayLike) -> Running:
        """The motor on a supply at a speed.

        Parameters
        ----------
        supply : Supply
            Its probes are the terminals, L1 on U1 and so on; one that touches nothing is an open terminal.
        slip : float or array, shape (...)
            Against the field that turns as U, V, W: 1 at standstill, 0 at synchronous speed in that direction, 2 in
            the other. A motor that runs well on a supply of sequence 132 has a slip just below 2.

        Raises
        ------
        ValueError
            Slip that is not a real finite number.
        """
        s = np.asarray(slip)
        if s.dtype.kind not in "iuf" or not np.all(np.isfinite(s)):
            raise ValueError(f"slip must be a real finite number [1], got {slip!r}")
        return Running(self, supply, np.asarray(s, dtype=float))

    def breakdown(self, *, line_voltage: ArrayLike, frequency: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Slip [1] and induced torque [N·m] of the breakdown point on a balanced supply, by Thevenin.

        Parameters
        ----------
        line_voltage : float or array, shape (...)
            Line to line [V rms].
        frequency : float or array, shape (...)
            Of the supply [Hz].

        Returns
        -------
        slip, torque : arrays
            Both of the batch shape of volts, frequency and the motor's values.

        Examples
        --------
        >>> motor = InductionMotor(stator_resistance=0.294, stator_reactance=0.503, rotor_resistance=0.144,
        ...     rotor_reactance=0.209, magnetizing_reactance=13.25, frequency=60, poles=6)
        >>> [round(float(x), 3) for x in motor.breakdown(line_voltage=220, frequency=60)]
        [0.192, 174.564]
        """
        r1, x1, r2, x2, xm = self.star_values(frequency)
        share = 1j * xm / (r1 + 1j * (x1 + xm))
        volts = np.abs(share) * positive(line_voltage, "line_voltage", "V") / np.sqrt(3)
        behind = share * (r1 + 1j * x1)
        reach = np.hypot(behind.real, behind.imag + x2)
        torque = 3 * volts**2 / (2 * self.synchronous_speed(frequency) * (behind.real + reach))
        slip = r2 / reach
        return np.asarray(slip + 0 * torque), np.asarray(torque + 0 * slip)

    def star_values(self, frequency: ArrayLike) -> tuple[FloatArray, ...]:
        """R1, X1, R2, X2, Xm [Ω] of the equal motor in star at a supply frequency [Hz]."""
        part = 1.0 if self.connection == "star" else 1 / 3
        stretch = positive(frequency, "frequency", "Hz") / np.asarray(self.frequency, dtype=float)
        scale = (1.0, stretch, 1.0, stretch, stretch)
        return tuple(np.asarray(getattr(self, n), dtype=float) * part * k for n, k in zip(_VALUES, scale, strict=True))

    def circuit(self, slip: ArrayLike, frequency: ArrayLike) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Impedance of a phase [Ω], that of its air gap branch (Xm with the rotor) [Ω], and rotor admittance [S]."""
        r1, x1, r2, x2, xm = self.star_values(frequency)
        s = np.asarray(slip, dtype=float)
        rotor = s / (r2 + 1j * s * x2)
        gap = 1 / (1 / (1j * xm) + rotor)
        return np.asarray(r1 + 1j * x1 + gap), np.asarray(gap), np.asarray(rotor)


@dataclass(frozen=True)
class Running:
    """A motor on a supply at a slip; made by `InductionMotor.on`. Arrays have the batch shape of the three.

    Powers are totals of the three phases [W], torques [N·m] and speeds count positive in the direction U, V, W.
    """

    motor: InductionMotor
    supply: Supply
    slip: FloatArray

    @cached_property
    def _circuits(self) -> tuple[tuple[ComplexArray, ComplexArray, ComplexArray], ...]:
        """Circuits of the positive and of the negative sequence."""
        return tuple(self.motor.circuit(s, self.supply.frequency) for s in (self.slip, 2 - self.slip))

    @cached_property
    def terminal_volts(self) -> ComplexArray:
        """Phasors of the terminals against the supply's star point [V rms], shape (..., 3).

        An open terminal stands at the voltage that the running motor makes there: it is far from dead.
        """
        known = self.supply.sources()
        volts = [known.get(name, np.zeros((), dtype=complex)) for name in CONDUCTORS]
        floating = [k for k, name in enumerate(CONDUCTORS) if name not in known]
        y1, y2 = (1 / z for z, _, _ in self._circuits)
        if len(floating) == 1:
            k = floating[0]
            others = [(j, y1 * A ** (j - k) + y2 * A ** (k - j)) for j in range(3) if j != k]
            volts[k] = -np.asarray(sum(y * volts[j] for j, y in others)) / (y1 + y2)  # no current leaves there
        elif len(floating) == 2:
            volts = [next(v for k, v in enumerate(volts) if k not in floating)] * 3
        return np.stack(np.broadcast_arrays(*(np.asarray(v + 0 * y1) for v in volts)), axis=-1)

    @cached_property
    def sequence_currents(self) -> tuple[ComplexArray, ComplexArray]:
        """Positive and negative sequence of the line currents [A rms], referred to L1."""
        volts = self.terminal_volts - self.terminal_volts[..., :1]  # only volts between lines drive a current
        _, v1, v2 = np.moveaxis(symmetrical_components(volts), -1, 0)
        return np.asarray(v1 / self._circuits[0][0]), np.asarray(v2 / self._circuits[1][0])

    @property
    def line_currents(self) -> ComplexArray:
        """Currents into the terminals [A rms], shape (..., 3)."""
        i1, i2 = self.sequence_currents
        return from_components(np.stack([np.zeros_like(i1), i1, i2], axis=-1))

    @property
    def winding_currents(self) -> ComplexArray:
        """Currents in the windings U, V, W [A rms], shape (..., 3); in delta U lies L1–L2, V L2–L3, W L3–L1."""
        if self.motor.connection == "star":
            return self.line_currents
        i1, i2 = self.sequence_currents
        turn = np.exp(1j * np.pi / 6) / np.sqrt(3)
        return from_components(np.stack([np.zeros_like(i1), i1 * turn, i2 * np.conj(turn)], axis=-1))

    # --- powers ---------------------------------------------------------------------------------------

    @property
    def input_power(self) -> ComplexArray:
        """Complex power taken from the supply, P + jQ [W, var]."""
        return np.asarray(np.sum(self.terminal_volts * np.conj(self.line_currents), axis=-1))

    @property
    def power_factor(self) -> FloatArray:
        """P over |P + jQ| [1]; NaN without current."""
        return _ratio(self.input_power.real, np.abs(self.input_power))

    @property
    def stator_loss(self) -> FloatArray:
        """Copper loss of the stator [W]."""
        resistance = self.motor.star_values(self.supply.frequency)[0]
        return np.asarray(resistance * np.sum(np.abs(self.line_currents) ** 2, axis=-1))

    @property
    def airgap_powers(self) -> tuple[FloatArray, FloatArray]:
        """Power that the forward and that the backward field give to the rotor [W]."""
        pairs = zip(self.sequence_currents, self._circuits, strict=True)
        forward, backward = (np.asarray(3 * np.abs(i * gap) ** 2 * rotor.real) for i, (_, gap, rotor) in pairs)
        return forward, backward

    @property
    def rotor_loss(self) -> FloatArray:
        """Copper loss of the rotor, both fields [W]."""
        forward, backward = self.airgap_powers
        return np.asarray(self.slip * forward + (2 - self.slip) * backward)

    @property
    def rotational_loss(self) -> FloatArray:
        """Friction, windage and core loss [W]; none at standstill."""
        return np.where(self.slip == 1, 0.0, np.asarray(self.motor.rotational_loss, dtype=float))

    @property
    def shaft_power(self) -> FloatArray:
        """Power handed to the load [W]; negative where the load drives the shaft."""
        return np.asarray(self.torque * self.speed - self.rotational_loss)

    @property
    def efficiency(self) -> FloatArray:
        """Shaft power over input power [1]; NaN where it does not work as a motor."""
        share = _ratio(self.shaft_power, self.input_power.real)
        return np.where((self.shaft_power > 0) & (self.input_power.real > 0), share, np.nan)

    # --- shaft ----------------------------------------------------------------------------------------

    @property
    def speed(self) -> FloatArray:
        """Speed of the shaft [rad/s]; shape of slip and frequency only."""
        return np.asarray((1 - self.slip) * self.motor.synchronous_speed(self.supply.frequency))

    @property
    def rpm(self) -> FloatArray:
        """Speed of the shaft [r/min]."""
        return np.asarray(self.speed * 30 / np.pi)

    @property
    def torques(self) -> tuple[FloatArray, FloatArray]:
        """Induced torque of the forward and of the backward field [N·m]; the second counts against the first."""
        field = self.motor.synchronous_speed(self.supply.frequency)
        forward, backward = self.airgap_powers
        return np.asarray(forward / field), np.asarray(-backward / field)

    @property
    def torque(self) -> FloatArray:
        """Induced torque, the sum of both fields [N·m], averaged over a period."""
        forward, backward = self.torques
        return np.asarray(forward + backward)

    @property
    def shaft_torque(self) -> FloatArray:
        """Torque handed to the load [N·m]; at standstill the induced one."""
        return np.where(self.slip == 1, self.torque, _ratio(self.shaft_power, self.speed))


def _ratio(above: ArrayLike, below: ArrayLike) -> FloatArray:
    """Quotient, NaN where the divisor is 0."""
    a, b = np.broadcast_arrays(np.asarray(above, dtype=float), np.asarray(below, dtype=float))
    return np.asarray(np.divide(a, b, out=np.full(a.shape, np.nan), where=b != 0))
