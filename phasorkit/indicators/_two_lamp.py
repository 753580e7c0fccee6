"""What the two-lamp stars with a capacitor and with an inductor share."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from math import ceil
from typing import ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike

from phasorkit.filament import FilamentLamp
from phasorkit.indicators.base import OVERVOLTAGE, Given, Indicator, Reading
from phasorkit.lamps import DARK, Lamp
from phasorkit.network import Element, Network
from phasorkit.phasors import FloatArray
from phasorkit.supply import Supply

BRIGHTER = 2.0
"""Volts ratio from which one lamp is plainly the brighter (some ten times the light); the ideal star gives 3.73."""

ALIKE = 1.3
"""Volts ratio up to which two lamps look alike: then something is wrong."""

BRIGHT_PART = 1.68
"""Bright branch over phase voltage: 1.496 with resistors, 1.68 with filaments, whose resistance rises with volts."""

VISIBLE_PART, CLEAR_PART = 0.10, 0.25
"""A filament glows visibly from about a tenth of its rated volts and plainly from a quarter (common practice)."""

LAMP_VOLTAGE = Given("lamp_voltage", "--lamp-voltage", "V", 1.0, 1000.0, "rated volts of one lamp", required=False)
LAMP_POWER = Given("lamp_power", "--lamp-power", "W", 0.1, 1000.0, "rated watts of one lamp", required=False)


def chain(line_voltage: float, lamp_voltage: float | None, lamp_power: float | None) -> FilamentLamp | None:
    """The lamps of one branch: so many in series that the bright branch at 110 % stays within their rated volts.

    Parameters
    ----------
    line_voltage : float
        Line to line [V rms].
    lamp_voltage, lamp_power : float or None
        Rated volts [V rms] and watts [W] of one lamp; both or none.

    Raises
    ------
    ValueError
        Only one of the two given.
    """
    if lamp_voltage is None and lamp_power is None:
        return None
    if lamp_voltage is None or lamp_power is None:
        raise ValueError("lamp_voltage [V] and lamp_power [W] go together: give both, as printed on the lamp, or none")
    bright = OVERVOLTAGE * BRIGHT_PART * line_voltage / np.sqrt(3)
    return FilamentLamp(lamp_voltage, lamp_power, in_series=ceil(bright / lamp_voltage))


class TwoLampStar(Indicator):
    """One reactance on L1, a lamp (or a chain of lamps) each on L2 and L3, joined at the star point S."""

    lamp_resistance: float
    lamp_voltage: float | None
    lamp_power: float | None

    bright_for_123: ClassVar[int]
    """Which lamp is bright for 123: 0 the one on L2, 1 the one on L3."""

    resistances: ClassVar[tuple[str, ...]] = ("lamp_resistance",)

    @abstractmethod
    def reactive_branch(self) -> tuple[Element, ...]:
        """The elements between L1 and S."""

    @property
    def filament(self) -> FilamentLamp | None:
        """The lamps of one branch, or None where they are plain resistors."""
        return chain(self.line_voltage, self.lamp_voltage, self.lamp_power)

    def network(self) -> Network:
        """The reactance L1–S and the two lamps as resistors: H1 L2–S, H2 L3–S."""
        lamps = tuple(
            Element(name, "R", self.lamp_resistance, node, "S") for name, node in (("H1", "L2"), ("H2", "L3"))
        )
        return Network(self.reactive_branch() + lamps)

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """H1 on L2 and H2 on L3; they are part of the network, so their volts are loaded volts."""
        rated = self.filament.rated_volts if self.filament else self.line_voltage / np.sqrt(3)
        dark, lit = VISIBLE_PART * rated, CLEAR_PART * rated
        return Lamp("H1", "L2", "S", dark, lit), Lamp("H2", "L3", "S", dark, lit)

    def on(
        self, supply: Supply, *, network: Network | None = None, sources: Mapping[str, ArrayLike] | None = None
    ) -> Reading:
        """Solve on a supply; filament lamps are solved with the resistance that belongs to their own volts.

        A lamp that a given network holds at some multiple of its own value (tolerance, drift, a short) keeps that
        multiple at any volts; one that the network lacks has failed.
        """
        known = supply.sources() if sources is None else sources
        reading = super().on(supply, network=network, sources=known)
        if self.filament is None:
            return reading
        part = {e.name: np.asarray(e.value) / self.lamp_resistance for e in reading.solution.network.elements}
        tried = [np.stack(np.broadcast_arrays(*reading.lamp_volts))]
        for _ in range(200):
            settled = reading.solution.network
            for lamp, v in zip(self.lamps, tried[-1], strict=True):
                if lamp.name in part:
                    settled = settled.with_value(lamp.name, part[lamp.name] * self.filament.resistance(v))
            reading = super().on(supply, network=settled, sources=known)
            found = np.stack(np.broadcast_arrays(*reading.lamp_volts))
            if np.all(np.abs(found - tried[-1]) <= 1e-9 + 1e-10 * found):
                return reading
            tried = [_ahead(tried[0], tried[1], found)] if len(tried) == 2 else [*tried, found]
        raise ValueError(f"{self.name}: the lamps' resistance did not settle on this supply")

    def with_preferred_values(self, series: str = "E24") -> Self:
        """Lamps taken as resistors are rounded to a series (IEC 60063); filament lamps are bought as printed."""
        rounded = super().with_preferred_values(series)
        return self if self.filament else rounded

    def conclude(self, states: tuple[str, ...], volts: tuple[float, ...]) -> str:
        """The brighter lamp tells the sequence if its volts are `BRIGHTER` times the other's; alike is a fault."""
        if states == (DARK, DARK):
            return "nothing"
        high, low = max(volts), min(volts)
        if high < ALIKE * low:
            return "fault"
        if high < BRIGHTER * low:
            return "can't tell"
        bright = int(volts[1] > volts[0])
        return "123" if bright == self.bright_for_123 else "132"


def _ahead(one: FloatArray, two: FloatArray, three: FloatArray) -> FloatArray:
    """Where three steps of an iteration lead to (Aitken's rule); the third step itself where they lead nowhere."""
    step, bend = three - two, three - 2 * two + one
    jump = np.divide(step**2, bend, out=np.zeros_like(step), where=np.abs(bend) > 1e-6 * np.abs(step))
    ahead = three - jump
    return np.where((np.abs(jump) < 10 * np.abs(step)) & (ahead > 0), ahead, three)
