"""Two lamps and a capacitor in star: the bright lamp is on the phase that follows the capacitor's."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Self

import numpy as np

from phasorkit.indicators._two_lamp import LAMP_POWER, LAMP_VOLTAGE, TwoLampStar, chain
from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE, Choice, Given, reactance
from phasorkit.network import Element


@dataclass(frozen=True, kw_only=True)
class TwoLampCapacitor(TwoLampStar):
    """C on L1, lamps on L2 and L3, joined at S. For 1-2-3 the lamp on L2 is bright (1.496 against 0.401 of phase).

    Parameters
    ----------
    capacitance : float
        C between L1 and S [F].
    lamp_resistance : float
        Each lamp, or chain of lamps, as a resistor [Ω]; for filament lamps the value at phase voltage.
    lamp_voltage, lamp_power : float or None
        What is printed on one filament lamp [V rms], [W]; None: plain resistors.
    line_voltage, frequency : float
        Nominal line-to-line voltage [V rms] and frequency [Hz].

    Notes
    -----
    Volts ratio of the lamps with R = Xc: 2 + √3, the largest that any R/Xc gives (standard textbook problem).

    Examples
    --------
    >>> star = TwoLampCapacitor.sized(capacitance=33e-9, frequency=50, line_voltage=400)
    >>> [round(float(v) / (400 / 3**0.5), 3) for v in star.on(star.supply("123")).lamp_volts]
    [1.496, 0.401]
    """

    capacitance: float
    lamp_resistance: float
    lamp_voltage: float | None = None
    lamp_power: float | None = None
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "two-lamp-capacitor"
    title: ClassVar[str] = "Two lamps and a capacitor"
    inputs: ClassVar[tuple[Given | Choice, ...]] = (
        replace(CAPACITOR, required=False, typical=33e-9), FREQUENCY, LINE_VOLTAGE, LAMP_VOLTAGE, LAMP_POWER,
    )  # fmt: skip
    roles: ClassVar[dict[str, str]] = {"C1": "capacitor on L1", "H1": "lamp on L2", "H2": "lamp on L3"}
    bright_for_123: ClassVar[int] = 0

    @classmethod
    def sized(
        cls,
        *,
        frequency: float,
        line_voltage: float,
        capacitance: float | None = None,
        lamp_voltage: float | None = None,
        lamp_power: float | None = None,
    ) -> Self:
        """R = Xc from a capacitor [F] (lamps as resistors), or from lamps [V rms], [W], or as both are given.

        Raises
        ------
        ValueError
            Neither capacitor nor lamps given, or a lamp with only one of its two values.
        """
        cls.check_given(
            {
                "frequency": frequency,
                "line_voltage": line_voltage,
                "capacitance": capacitance,
                "lamp_voltage": lamp_voltage,
                "lamp_power": lamp_power,
            }
        )
        lamps = chain(line_voltage, lamp_voltage, lamp_power)
        if lamps is None and capacitance is None:
            raise ValueError("give a capacitance [F], or lamp_voltage [V] and lamp_power [W], or all three")
        phase = line_voltage / np.sqrt(3)
        resistance = float(lamps.resistance(phase)) if lamps else reactance(float(capacitance or 0), frequency)
        return cls(
            capacitance=capacitance or 1 / (2 * np.pi * frequency * resistance),
            lamp_resistance=resistance,
            lamp_voltage=lamp_voltage,
            lamp_power=lamp_power,
            line_voltage=line_voltage,
            frequency=frequency,
        )

    def reactive_branch(self) -> tuple[Element, ...]:
        """C1 L1–S."""
        return (Element("C1", "C", self.capacitance, "L1", "S"),)

    def figures(self) -> dict[str, float]:
        """Reactance of the capacitor and resistance of a lamp branch [Ω]."""
        return {
            "reactance_ohm": reactance(self.capacitance, self.frequency),
            "resistance_ohm": self.lamp_resistance,
            "capacitance_farad": self.capacitance,
        }
