"""Complex rms phasors: polar form, waveforms, symmetrical components.

Convention of the whole package: a phasor is the complex **rms** value X of ``x(t) = √2·Re(X·e^{jωt})``; angles
are counted counter-clockwise; degrees appear only in names that end in ``_deg``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

A = complex(-0.5, 0.75**0.5)
"""The operator a = 1∠120°."""

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]


def polar(magnitude: ArrayLike, angle_deg: ArrayLike) -> ComplexArray:
    """Phasor from magnitude [any unit, rms] and angle [degrees]; both broadcast.

    ValueError unless both are real and finite.

    >>> complex(np.round(polar(10, 90), 12))
    10j
    """
    for value, name in ((magnitude, "magnitude [any unit, rms]"), (angle_deg, "angle_deg [degrees]")):
        if np.asarray(value).dtype.kind not in "iuf" or not np.all(np.isfinite(value)):
            raise ValueError(f"{name} must be real and finite, got {value!r}")
    return np.asarray(np.asarray(magnitude) * np.exp(1j * np.deg2rad(angle_deg)), dtype=complex)


def angle_deg(phasor: ArrayLike) -> FloatArray:
    """Angle of a phasor [degrees], in (−180, 180]; a zero phasor has the angle 0.

    >>> float(angle_deg(-1j)), float(angle_deg(np.conj(-1 + 0j)))
    (-90.0, 180.0)
    """
    z = np.asarray(phasor)
    degrees = np.where(z == 0, 0.0, np.rad2deg(np.angle(z)))  # a negative zero would give ±180
    return np.asarray(np.where(degrees == -180, 180.0, degrees))


def waveform(phasor: ArrayLike, *, frequency: float, time: ArrayLike) -> FloatArray:
    """Momentary values ``√2·Re(X·e^{jωt})`` of rms phasors.

    Parameters
    ----------
    phasor : array, shape (...)
        rms phasors [any unit].
    frequency : float
        [Hz].
    time : array, shape (n,)
        [s].

    Returns
    -------
    array, shape (..., n)
        Momentary values [unit of the phasor]; the peak is √2 times the rms value.

    Raises
    ------
    ValueError
        Frequency not positive and finite.

    Examples
    --------
    >>> float(np.round(waveform(230, frequency=50, time=[0.0])[0], 1))
    325.3
    """
    hertz = np.asarray(frequency)
    if hertz.ndim or hertz.dtype.kind not in "iuf" or not 0 < hertz < np.inf:
        raise ValueError(f"frequency must be positive and finite [Hz], got {frequency!r}")
    turning = np.exp(2j * np.pi * frequency * np.asarray(time, dtype=float))
    return np.asarray(np.sqrt(2) * np.real(np.asarray(phasor)[..., None] * turning))


def symmetrical_components(phasors: ArrayLike) -> ComplexArray:
    """Zero, positive and negative sequence components of three phasors.

    Parameters
    ----------
    phasors : array, shape (..., 3)
        rms phasors of L1, L2, L3 [any unit], all line-to-neutral or all line currents.

    Returns
    -------
    array, shape (..., 3)
        X0, X1, X2, referred to L1; positive means the sequence L1-L2-L3.

    Raises
    ------
    ValueError
        If the last axis does not have length 3.

    Notes
    -----
    C. L. Fortescue, Trans. AIEE 37 (1918) 1027: X0 = (Xa+Xb+Xc)/3, X1 = (Xa+aXb+a²Xc)/3, X2 = (Xa+a²Xb+aXc)/3.

    Examples
    --------
    >>> np.round(symmetrical_components(polar(1, [0, -120, 120])).real, 12) + 0.0
    array([0., 1., 0.])
    """
    abc = np.asarray(phasors, dtype=complex)
    if abc.shape[-1:] != (3,):
        raise ValueError(f"phasors: last axis must hold L1, L2, L3 (length 3), got shape {abc.shape}")
    a, b, c = abc[..., 0], abc[..., 1], abc[..., 2]
    stacked: ComplexArray = np.stack([a + b + c, a + A * b + A**2 * c, a + A**2 * b + A * c], axis=-1)
    return np.asarray(stacked / 3, dtype=complex)


def from_components(components: ArrayLike) -> ComplexArray:
    """Three phasors L1, L2, L3 from X0, X1, X2: the inverse of `symmetrical_components`, same shapes and errors.

    >>> np.round(from_components([0, 1, 0]) - polar(1, [0, -120, 120]), 12) + 0
    array([0.+0.j, 0.+0.j, 0.+0.j])
    """
    parts = np.asarray(components, dtype=complex)
    if parts.shape[-1:] != (3,):
        raise ValueError(f"components: last axis must hold X0, X1, X2 (length 3), got shape {parts.shape}")
    zero, pos, neg = parts[..., 0], parts[..., 1], parts[..., 2]
    return np.stack([zero + pos + neg, zero + A**2 * pos + A * neg, zero + A * pos + A**2 * neg], axis=-1)
