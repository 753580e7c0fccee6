"""Lamps that switch: glow lamp and LED as straight pieces of a characteristic, and when each piece is left.

Everything here is in momentary values (not rms): a lamp strikes at a momentary voltage.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol, Self

import numpy as np

from phasorkit._checks import single


@dataclass(frozen=True)
class Leave:
    """A piece is left when the lamp's voltage passes `level` [V], upwards (`sign` +1) or downwards (−1).

    `to` names the pieces that may follow; the first one that the rest of the circuit can hold is taken, else the last.
    """

    sign: int
    level: float
    to: tuple[str, ...]


@dataclass(frozen=True)
class Piece:
    """One straight piece: i = (v − volts)·conductance [A], v and i momentary, from the lamp's a to its b."""

    conductance: float
    volts: float
    leaves: tuple[Leave, ...]
    glows: bool


class SwitchingModel(Protocol):
    """What a lamp must offer to be stepped in time."""

    @property
    def pieces(self) -> Mapping[str, Piece]:
        """Its pieces by name, the dark one first."""

    @property
    def unseen_below(self) -> float:
        """Mean current while glowing, over a whole period, below which nobody sees the light [A]."""

    @property
    def plain_above(self) -> float:
        """The same current above which everybody sees it indoors [A]."""

    def easy(self, rms: float) -> Self:
        """The same lamp as the most willing one of its batch: it lights at a sine of `rms` [V rms]."""

    def hard(self, rms: float) -> Self:
        """The same lamp as the least willing one of its batch: it lights only at a sine of `rms` [V rms]."""


@dataclass(frozen=True)
class SwitchingLamp:
    """A lamp that switches, between two nodes; v and i count from a to b.

    Examples
    --------
    >>> SwitchingLamp("H1", "M", "P", GlowLamp()).model.strike
    90.0
    """

    name: str
    a: str
    b: str
    model: SwitchingModel

    def __post_init__(self) -> None:
        if self.a == self.b:
            raise ValueError(f"{self.name}: both ends are on node {self.a!r}")


@dataclass(frozen=True)
class GlowLamp:
    """A small glow lamp without a resistor of its own, the same in both directions.

    Parameters
    ----------
    strike : float
        Voltage at which the dark lamp strikes [V, momentary].
    maintain : float
        Voltage of the lit lamp at its rated current [V].
    extinction : float
        Voltage at which the lit lamp goes out [V]: its current has then fallen to `extinction_current`.
    dynamic_resistance : float
        Rise of the lit lamp's voltage over its current [Ω].
    current : float
        Rated current [A], where `maintain` holds.
    unseen_below, plain_above : float
        Mean current [A] below which the glow is not seen, above which it is plainly seen.

    Raises
    ------
    ValueError
        Unless all are positive and ``threshold < extinction <= maintain < strike``.

    Notes
    -----
    Defaults (common practice for small glow lamps): strikes at 90 V momentary (64 V rms, the middle of the 40 to 90 V
    window), burns at 60 V with 0.5 mA and rises a few kΩ; goes out below about 50 µA, 58.2 V: smaller currents do not
    keep the glow. A mean of 10 µA is not seen; of 50 µA, a tenth of the rated current, is seen indoors. Where the
    circuit holds the struck lamp at less than its extinction current, it stays at its strike voltage and passes a
    faint current (Townsend discharge), which cannot be seen: piece ``faint``.

    Examples
    --------
    >>> lamp = GlowLamp()
    >>> lamp.threshold, round(1e6 * lamp.extinction_current)
    (58.0, 50)
    """

    strike: float = 90.0
    maintain: float = 60.0
    extinction: float = 58.2
    dynamic_resistance: float = 4e3
    current: float = 0.5e-3
    unseen_below: float = 10e-6
    plain_above: float = 50e-6

    def __post_init__(self) -> None:
        for name, unit in (
            ("strike", "V"), ("maintain", "V"), ("extinction", "V"), ("dynamic_resistance", "Ω"), ("current", "A"),
            ("unseen_below", "A"), ("plain_above", "A"),
        ):  # fmt: skip
            single(getattr(self, name), name, unit)
        if not 0 < self.threshold < self.extinction <= self.maintain < self.strike:
            raise ValueError(
                "a glow lamp needs 0 < maintain − dynamic_resistance·current < extinction <= maintain < strike [V], "
                f"got {self.threshold:g}, {self.extinction:g}, {self.maintain:g}, {self.strike:g}"
            )

    @property
    def threshold(self) -> float:
        """Where the line of the lit lamp meets zero current [V]."""
        return self.maintain - self.dynamic_resistance * self.current

    @property
    def extinction_current(self) -> float:
        """Current at which the lit lamp goes out [A]."""
        return (self.extinction - self.threshold) / self.dynamic_resistance

    @cached_property
    def pieces(self) -> Mapping[str, Piece]:
        """``dark``, and for each direction ``glow`` and ``faint``."""
        g = 1 / self.dynamic_resistance
        brink = self.strike + self.dynamic_resistance * self.extinction_current
        found = {
            "dark": Piece(
                0.0,
                0.0,
                tuple(Leave(s, s * self.strike, (f"glow {_way(s)}", f"faint {_way(s)}")) for s in (1, -1)),
                glows=False,
            )
        }
        for s in (1, -1):
            glow, faint = f"glow {_way(s)}", f"faint {_way(s)}"
            found[glow] = Piece(g, s * self.threshold, (Leave(-s, s * self.extinction, ("dark",)),), glows=True)
            found[faint] = Piece(
                g,
                s * self.strike,
                (Leave(-s, s * self.strike, ("dark",)), Leave(s, s * brink, (glow,))),
                glows=False,
            )
        return found

    def easy(self, rms: float) -> Self:
        """The lamp that strikes at the peak of a sine of `rms` [V rms], its other voltages lowered in proportion."""
        return self._striking(np.sqrt(2) * rms)

    def hard(self, rms: float) -> Self:
        """The lamp that strikes only at the peak of a sine of `rms` [V rms]; lit, it burns like any other."""
        return replace(self, strike=max(float(np.sqrt(2) * rms), 1.01 * self.maintain))

    def _striking(self, volts: float) -> Self:
        part = min(float(volts) / self.strike, 1.0)
        return replace(
            self,
            strike=float(volts),
            maintain=part * self.maintain,
            extinction=part * self.extinction,
            dynamic_resistance=part * self.dynamic_resistance,
        )


@dataclass(frozen=True)
class Led:
    """An LED that conducts from a to b, by default with a diode across it the other way round.

    Parameters
    ----------
    threshold : float
        Forward voltage where current begins [V].
    slope : float
        Rise of the forward voltage over the current [Ω].
    reverse_diode : float or None
        Forward voltage of the protecting diode [V]; None: no diode, the LED alone blocks any reverse voltage (above
        its rating, commonly 5 V, a real one suffers).
    diode_slope : float
        Rise of the diode's voltage over its current [Ω].
    unseen_below, plain_above : float
        Mean current [A] below which the light is not seen, above which it is plainly seen.

    Raises
    ------
    ValueError
        Values that are not positive and finite.

    Notes
    -----
    Defaults: red LED 1.7 V and 20 Ω, small silicon diode 0.6 V and 5 Ω (common practice, data sheets). A mean of
    10 µA is not seen; of 0.2 mA, a hundredth of the usual rating, is seen indoors.

    Examples
    --------
    >>> list(Led().pieces), list(Led(reverse_diode=None).pieces)
    (['dark', 'glow', 'reverse'], ['dark', 'glow'])
    """

    threshold: float = 1.7
    slope: float = 20.0
    reverse_diode: float | None = 0.6
    diode_slope: float = 5.0
    unseen_below: float = 10e-6
    plain_above: float = 200e-6

    def __post_init__(self) -> None:
        amperes = (("unseen_below", "A"), ("plain_above", "A"))
        for name, unit in (("threshold", "V"), ("slope", "Ω"), ("diode_slope", "Ω"), *amperes):
            single(getattr(self, name), name, unit)
        if self.reverse_diode is not None:
            single(self.reverse_diode, "reverse_diode", "V")

    @cached_property
    def pieces(self) -> Mapping[str, Piece]:
        """``dark``, ``glow``, and ``reverse`` where there is a diode."""
        back = self.reverse_diode
        leaves = (Leave(1, self.threshold, ("glow",)),)
        if back is None:
            return {
                "dark": Piece(0.0, 0.0, leaves, glows=False),
                "glow": Piece(1 / self.slope, self.threshold, (Leave(-1, self.threshold, ("dark",)),), glows=True),
            }
        return {
            "dark": Piece(0.0, 0.0, (*leaves, Leave(-1, -back, ("reverse",))), glows=False),
            "glow": Piece(1 / self.slope, self.threshold, (Leave(-1, self.threshold, ("dark",)),), glows=True),
            "reverse": Piece(1 / self.diode_slope, -back, (Leave(1, -back, ("dark",)),), glows=False),
        }

    def easy(self, rms: float) -> Self:
        """The LED that conducts from the peak of a sine of `rms` [V rms]."""
        return replace(self, threshold=float(np.sqrt(2) * rms))

    def hard(self, rms: float) -> Self:
        """The LED that conducts only from the peak of a sine of `rms` [V rms]."""
        return replace(self, threshold=float(np.sqrt(2) * rms))


def _way(sign: int) -> str:
    return "forward" if sign > 0 else "backward"
