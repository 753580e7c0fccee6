"""Filament lamps: resistance, light and life follow the voltage by published power laws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import phasor, single, whole
from phasorkit.phasors import FloatArray

WATTS_EXPONENT = 1.58
LIGHT_EXPONENT = 3.38
LIFE_EXPONENT = -13.1
"""Exponents over relative voltage for gas-filled lamps (IES Lighting Handbook, from memory)."""

COLD_PART = 1 / 14
"""Cold over hot resistance of a tungsten filament (common practice: a cold lamp draws some 14 times its current)."""


@dataclass(frozen=True)
class FilamentLamp:
    """One lamp, or several alike in series, by what is printed on it.

    Parameters
    ----------
    volts : float
        Rated voltage of one lamp [V rms].
    watts : float
        Rated power of one lamp [W].
    in_series : int
        How many stand in series; all methods take and give the values of the whole chain.

    Raises
    ------
    ValueError
        Values that are not positive and finite, fewer than one lamp.

    Examples
    --------
    >>> lamp = FilamentLamp(230, 15)
    >>> round(lamp.rated_resistance), round(float(lamp.light(0.401 * 230)), 3)
    (3527, 0.046)
    """

    volts: float
    watts: float
    in_series: int = 1

    def __post_init__(self) -> None:
        for name, unit in (("volts", "V"), ("watts", "W")):
            single(getattr(self, name), name, unit)
        whole(self.in_series, "in_series")

    @property
    def rated_volts(self) -> float:
        """Voltage at which each lamp of the chain has its rated voltage [V rms]."""
        return self.volts * self.in_series

    @property
    def rated_resistance(self) -> float:
        """Hot resistance of the chain at rated voltage [Ω]."""
        return self.in_series * self.volts**2 / self.watts

    def resistance(self, volts: ArrayLike) -> FloatArray:
        """Resistance of the chain [Ω] at its own voltage [V rms], shape (...): R ∝ V^(2 − 1.58), cold floor."""
        relative = self._relative(volts)
        return np.asarray(self.rated_resistance * np.maximum(relative ** (2 - WATTS_EXPONENT), COLD_PART))

    def light(self, volts: ArrayLike) -> FloatArray:
        """Light relative to rated [1] at a chain voltage [V rms]: V^3.38."""
        return np.asarray(self._relative(volts) ** LIGHT_EXPONENT)

    def life(self, volts: ArrayLike) -> FloatArray:
        """Life relative to rated [1] at a chain voltage [V rms]: V^−13.1; 110 % leaves about 29 %. 0 V: ∞."""
        with np.errstate(divide="ignore", over="ignore"):
            return np.asarray(self._relative(volts) ** LIFE_EXPONENT)

    def _relative(self, volts: ArrayLike) -> FloatArray:
        """Volts over rated volts [1]; ValueError unless 0 or more and finite."""
        if np.all(np.asarray(volts) == 0):
            return np.zeros(np.shape(volts))
        part = np.real(phasor(volts, "volts", "V rms")) if np.isrealobj(volts) else np.full((), -1.0)
        if np.any(part < 0):
            raise ValueError(f"volts must be 0 or more and finite [V rms], got {volts!r}")
        return np.asarray(part / self.rated_volts)
