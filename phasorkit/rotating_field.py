"""The field of three windings by superposition: what the phase sequence does to the shaft of a motor.

Three windings stand at 0°, 120° and 240° (electrical) round the bore, each with a field that only swells and shrinks
along its own axis. Their sum is a forward and a backward wave: Σ i_k(t)·e^{jθ_k} = F·e^{jωt} + B·e^{−jωt}.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from phasorkit._checks import phasor, positive, single
from phasorkit.network import Element, Network
from phasorkit.phasors import ComplexArray, FloatArray, symmetrical_components
from phasorkit.supply import CONDUCTORS, Supply

WINDINGS = ("U", "V", "W")
"""Windings of a three-phase machine; their first ends are the terminals U1, V1, W1 (IEC 60034-8)."""

CONNECTIONS = ("star", "star with neutral", "delta")

_EQUAL = 1e-9
"""Relative difference below which two amplitudes count as equal."""


@dataclass(frozen=True)
class RotatingField:
    """The field of three windings as two waves that turn against each other.

    Parameters
    ----------
    forward, backward : complex array, shape (...)
        Amplitudes F and B [A peak, as one winding's field per ampere is 1]; forward is the direction U, V, W.

    Notes
    -----
    The tip of the sum draws an ellipse with the half axes |F| + |B| and ||F| − |B||: a circle if one wave is missing,
    a line (a pulsating field, which turns nothing from rest) if both are alike. Balanced currents I give |F| = 1.5
    times the peak √2·I that one winding alone would have.

    Examples
    --------
    >>> from phasorkit.phasors import polar
    >>> field = rotating_field(polar(1, [0, -120, 120]))
    >>> round(abs(complex(field.forward)) / 2**0.5, 6), round(abs(complex(field.backward)), 6), str(field.kind)
    (1.5, 0.0, 'circle')
    """

    forward: ComplexArray
    backward: ComplexArray

    def at(self, time: ArrayLike, *, frequency: float) -> ComplexArray:
        """Space vector [A peak] at times [s], shape (..., n): its length is the field, its angle where it points."""
        turn = np.exp(2j * np.pi * single(frequency, "frequency", "Hz") * np.asarray(time, dtype=float))
        forward, backward = np.asarray(self.forward)[..., None], np.asarray(self.backward)[..., None]
        return np.asarray(forward * turn + backward * np.conj(turn))

    @property
    def half_axes(self) -> tuple[FloatArray, FloatArray]:
        """Long and short half axis of the ellipse [A peak]."""
        f, b = np.abs(self.forward), np.abs(self.backward)
        return np.asarray(f + b), np.asarray(np.abs(f - b))

    @property
    def direction(self) -> NDArray[np.int_]:
        """1 where it turns as U, V, W; −1 where it turns as U, W, V; 0 where it pulsates or there is none."""
        difference = np.abs(self.forward) - np.abs(self.backward)
        return np.asarray(np.where(np.abs(difference) <= _EQUAL * self.half_axes[0], 0, np.sign(difference)), dtype=int)

    @property
    def kind(self) -> NDArray[np.str_]:
        """``none``, ``pulsating``, ``circle`` or ``ellipse``."""
        long, short = self.half_axes
        shape = np.where(long - short <= 2 * _EQUAL * long, "circle", "ellipse")
        return np.where(long == 0, "none", np.where(self.direction == 0, "pulsating", shape))


def rotating_field(currents: ArrayLike) -> RotatingField:
    """Superpose the fields of the windings U, V, W.

    Parameters
    ----------
    currents : array, shape (..., 3)
        Phasors of the winding currents [A rms], each counted into the winding's first end.

    Raises
    ------
    ValueError
        A last axis that does not have length 3, numbers that are not finite.

    Notes
    -----
    F = 3·I1/√2 and B = 3·conj(I2)/√2 with the symmetrical components of the currents: the positive sequence turns
    forward, the negative one backward, the zero sequence gives no field at all.

    Examples
    --------
    >>> str(rotating_field([1, -1, 0]).kind)
    'pulsating'
    """
    _, i1, i2 = np.moveaxis(symmetrical_components(phasor(currents, "currents", "A")), -1, 0)
    return RotatingField(np.asarray(3 / np.sqrt(2) * i1), np.asarray(3 / np.sqrt(2) * np.conj(i2)))


def synchronous_rpm(frequency: ArrayLike, *, poles: int) -> FloatArray:
    """Speed of the rotating field [r/min] for a supply frequency [Hz], shape (...): 120·f/poles.

    ValueError unless the frequency is positive and finite and the number of poles even.

    >>> [synchronous_rpm(50, poles=p).item() for p in (2, 4, 6)]
    [3000.0, 1500.0, 1000.0]
    """
    if not isinstance(poles, int) or poles < 2 or poles % 2:
        raise ValueError(f"poles must be an even number from 2, got {poles!r}")
    return np.asarray(120 * positive(frequency, "frequency", "Hz") / poles)


def winding_currents(
    supply: Supply, *, resistance: ArrayLike, inductance: ArrayLike, connection: str = "star"
) -> ComplexArray:
    """Currents in three equal windings without a rotor [A rms], shape (..., 3), in the order U, V, W.

    Parameters
    ----------
    supply : Supply
        Its probes are the terminals: `Supply.without` opens one, `Supply.swapped` exchanges two.
    resistance, inductance : float or array, shape (...)
        Of one winding [Ω], [H].
    connection : str
        One of `CONNECTIONS`. In star the first ends are on L1, L2, L3; in delta U lies L1–L2, V L2–L3, W L3–L1.

    Raises
    ------
    ValueError
        Unknown connection, values that are not positive and finite.

    Examples
    --------
    >>> open_phase = Supply(line_voltage=400, frequency=50).without("L2")
    >>> str(rotating_field(winding_currents(open_phase, resistance=10, inductance=0.1)).kind)
    'pulsating'
    """
    if connection not in CONNECTIONS:
        raise ValueError(f"connection must be one of {', '.join(CONNECTIONS)}, got {connection!r}")
    star_point = "N" if connection == "star with neutral" else "S"
    far_ends = ("L2", "L3", "L1") if connection == "delta" else (star_point,) * 3
    elements = []
    for winding, first, last in zip(WINDINGS, CONDUCTORS, far_ends, strict=True):
        elements.append(Element(f"R{winding}", "R", resistance, first, winding))
        elements.append(Element(f"L{winding}", "L", inductance, winding, last))
    solution = Network(tuple(elements)).solve(supply.sources(), frequency=supply.frequency)
    currents = np.broadcast_arrays(*(solution.current(f"R{winding}") for winding in WINDINGS))
    return np.stack(currents, axis=-1)


@dataclass(frozen=True)
class ShaftDirection:
    """Which way a shaft turns, said for both ends: ``clockwise`` or ``counter-clockwise``."""

    drive_end: str
    other_end: str
    words: str


def shaft_direction(sequence: str = "123", *, terminals: tuple[str, str, str] = CONDUCTORS) -> ShaftDirection:
    """Direction of a motor's shaft, as IEC 60034-8 names it and by the North American habit.

    Parameters
    ----------
    sequence : "123" or "132"
        Order in time of the conductors L1, L2, L3.
    terminals : tuple of three conductors
        What lies on U1, V1, W1 (North America: T1, T2, T3), each of L1, L2, L3 once.

    Raises
    ------
    ValueError
        Unknown sequence, or terminals that are not the three conductors.

    Notes
    -----
    IEC 60034-8, from memory: U1, V1, W1 reaching their peaks in this order turn the shaft clockwise, seen on the drive
    end. The North American habit looks at the end opposite the drive, where the same turning is counter-clockwise; the
    marks T1, T2, T3 of an induction motor need not promise a direction (NEMA MG 1, from memory). A machine with one
    direction of its own carries an arrow. None of this replaces a brief trial start with the load uncoupled.

    Examples
    --------
    >>> shaft_direction("123").drive_end, shaft_direction("123", terminals=("L2", "L1", "L3")).drive_end
    ('clockwise', 'counter-clockwise')
    """
    if sequence not in ("123", "132"):
        raise ValueError(f"sequence must be '123' or '132', got {sequence!r}")
    if not isinstance(terminals, tuple | list) or sorted(terminals) != list(CONDUCTORS):
        raise ValueError(f"terminals must be L1, L2, L3 in some order, got {terminals!r}")
    u, v, _ = (CONDUCTORS.index(name) for name in terminals)
    in_order = ((v - u) % 3 == 1) == (sequence == "123")
    ways = ("clockwise", "counter-clockwise") if in_order else ("counter-clockwise", "clockwise")
    peaks = "U1, V1, W1" if in_order else "U1, W1, V1"
    return ShaftDirection(
        *ways,
        words=(
            f"The terminals peak in the order {peaks}: {ways[0]} seen on the drive end, where the shaft comes out "
            f"(IEC 60034-8); {ways[1]} seen on the opposite end (North American habit). Say which end you look at, and "
            "prove it: load uncoupled, a brief start, nobody near the shaft."
        ),
    )
