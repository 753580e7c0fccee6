"""The null bridge with two capacitors: two R-C legs, lamp between them; it sees 1.5 times line voltage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE, Choice, Given, SingleLamp, reactance
from phasorkit.lamps import Lamp
from phasorkit.network import Element, Network

SERIES = Given(
    "series_resistance",
    "--series-resistor",
    "Ω",
    0.0,
    1e9,
    "resistor in series with the lamp; default R of the first leg, 0 for none (then the lamp fires in pulses)",
    required=False,
)


@dataclass(frozen=True, kw_only=True)
class DoubleRcBridge(SingleLamp):
    """R from L3 to P, C from P to L2; C from L1 to Q, √3·Xc from Q to L2; a resistor and the lamp P–Q.

    Parameters
    ----------
    capacitance : float
        Each of the two capacitors [F].
    resistance : float
        R between L3 and P, Xc/√3 [Ω].
    second_resistance : float
        R between Q and L2, √3·Xc [Ω].
    series_resistance : float
        Resistor between P and the lamp [Ω]; 0 leaves it out. Without it the capacitors empty through the struck lamp:
        every strike is a pulse of some 8 to 30 mA, and a lamp that needs more current than it then gets goes out and
        strikes again, thousands of times a second.
    line_voltage, frequency : float
        Nominal line-to-line voltage [V rms] and frequency [Hz].

    Notes
    -----
    The default series resistor is R of the first leg, a value that is needed anyway. Stepped in time from 1 to 10 nF
    with lamps that go out below 0.05 to 0.4 mA (tests), a lamp then strikes once in a half-wave, without any pulse; so
    it does from R/2 upwards, with some 15 % more current, but not with R/8.

    Examples
    --------
    >>> bridge = DoubleRcBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> round(float(bridge.on(bridge.supply("132")).lamp_volts[0]), 1)
    600.0
    """

    capacitance: float
    resistance: float
    second_resistance: float
    series_resistance: float
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "double-rc-bridge"
    title: ClassVar[str] = "Null bridge with two capacitors"
    lit_says: ClassVar[str] = "132"
    inputs: ClassVar[tuple[Given | Choice, ...]] = (CAPACITOR, FREQUENCY, LINE_VOLTAGE, SERIES)
    resistances: ClassVar[tuple[str, ...]] = ("resistance", "second_resistance", "series_resistance")
    also_needed: ClassVar[tuple[str, ...]] = (
        "H1: glow lamp without built-in resistor; the series resistor limits its current.",
    )
    roles: ClassVar[dict[str, str]] = {
        "R1": "R of the first leg",
        "C1": "C of the first leg",
        "C2": "C of the second leg",
        "R2": "R of the second leg",
        "R3": "in series with the lamp",
    }

    @classmethod
    def sized(
        cls, *, capacitance: float, frequency: float, line_voltage: float, series_resistance: float | None = None
    ) -> Self:
        """R = Xc/√3 and √3·Xc for two equal capacitors [F] at a frequency [Hz]; series resistor R unless given [Ω]."""
        cls.check_given(
            {
                "capacitance": capacitance,
                "frequency": frequency,
                "line_voltage": line_voltage,
                "series_resistance": series_resistance,
            }
        )
        xc = reactance(capacitance, frequency)
        return cls(
            capacitance=capacitance,
            resistance=float(xc / np.sqrt(3)),
            second_resistance=float(xc * np.sqrt(3)),
            series_resistance=float(xc / np.sqrt(3)) if series_resistance is None else series_resistance,
            line_voltage=line_voltage,
            frequency=frequency,
        )

    def network(self) -> Network:
        """R1 L3–P, C1 P–L2, C2 L1–Q, R2 Q–L2, and R3 P–T where there is a series resistor."""
        legs = Network(
            (
                Element("R1", "R", self.resistance, "L3", "P"),
                Element("C1", "C", self.capacitance, "P", "L2"),
                Element("C2", "C", self.capacitance, "L1", "Q"),
                Element("R2", "R", self.second_resistance, "Q", "L2"),
            )
        )
        return (
            legs.with_element(Element("R3", "R", self.series_resistance, "P", "T")) if self.series_resistance else legs
        )

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """One glow lamp, from the series resistor (or P) to Q."""
        return (Lamp("H1", "T" if self.series_resistance else "P", "Q"),)

    def figures(self) -> dict[str, float]:
        """Reactance of a capacitor and the three resistances [Ω]."""
        return {
            "reactance_ohm": reactance(self.capacitance, self.frequency),
            "resistance_ohm": self.resistance,
            "second_resistance_ohm": self.second_resistance,
            "series_resistance_ohm": self.series_resistance,
        }
