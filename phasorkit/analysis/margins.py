"""What may vary in a built indicator and its supply, and how far."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from phasorkit._checks import number
from phasorkit.indicators.base import Indicator
from phasorkit.network import Element


@dataclass(frozen=True, kw_only=True)
class Margins:
    """What may vary, and how far.

    Parameters
    ----------
    resistor, capacitor, inductor, lamp : float
        Tolerance of the parts [±%]; `lamp` for filament lamps that are part of the network.
    voltage, frequency : (float, float)
        Lowest and highest over nominal [1]; default the window of IEC 61557-7 (from memory).
    negative : float
        Largest negative sequence over positive [1], at any angle; default 2 % (EN 50160, from memory).

    Raises
    ------
    ValueError
        A tolerance outside 0 to below 100 %, a window that is not ``0 < low <= high``, `negative` outside 0 to below 1.

    Examples
    --------
    >>> Margins(capacitor=10).frequency
    (0.95, 1.05)
    """

    resistor: float = 1.0
    capacitor: float = 5.0
    inductor: float = 10.0
    lamp: float = 10.0
    voltage: tuple[float, float] = (0.85, 1.10)
    frequency: tuple[float, float] = (0.95, 1.05)
    negative: float = 0.02

    def __post_init__(self) -> None:
        for name in ("resistor", "capacitor", "inductor", "lamp"):
            if not _below(getattr(self, name), 100):
                raise ValueError(f"{name} must be 0 to below 100 [±%], got {getattr(self, name)!r}")
        for name in ("voltage", "frequency"):
            window = getattr(self, name)
            if np.shape(window) != (2,) or not _rising(*window):
                raise ValueError(f"{name} must be 0 < low <= high [of nominal], got {getattr(self, name)!r}")
        if not _below(self.negative, 1):
            raise ValueError(f"negative must be 0 to below 1 [of the positive sequence], got {self.negative!r}")

    def percent(self, indicator: Indicator, e: Element) -> float:
        """Tolerance of one element [±%]; 0 for what nobody buys."""
        if e.name in indicator.no_parts:
            return 0.0
        if e.name in {lamp.name for lamp in indicator.lamps}:
            return self.lamp
        return {"R": self.resistor, "C": self.capacitor, "L": self.inductor}[e.kind]

    def words(self) -> str:
        """The margins in one sentence."""
        (v0, v1), (f0, f1) = self.voltage, self.frequency
        return (
            f"resistors ±{self.resistor:g} %, capacitors ±{self.capacitor:g} %, coils ±{self.inductor:g} %, filament "
            f"lamps ±{self.lamp:g} %; voltage {100 * v0:g} to {100 * v1:g} %, frequency {100 * f0:g} to "
            f"{100 * f1:g} % of nominal; negative sequence up to {100 * self.negative:g} % at any angle; no harmonics"
        )


def _below(value: object, limit: float) -> bool:
    """Whether it is one real number from 0 to below a limit."""
    return 0 <= number(value) < limit


def _rising(low: object, high: object) -> bool:
    """Whether they are two positive numbers, the second not below the first."""
    return 0 < number(low) <= number(high) < np.inf


def varied(indicator: Indicator, margins: Margins) -> tuple[Element, ...]:
    """The elements that have a tolerance."""
    return tuple(e for e in indicator.network().elements if margins.percent(indicator, e) > 0)
