"""The null bridge with one capacitor: a halving divider against an R-C leg, one lamp between their midpoints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from phasorkit.indicators.base import (
    CAPACITOR,
    FREQUENCY,
    LINE_VOLTAGE,
    Choice,
    Given,
    SingleLamp,
    reactance,
)
from phasorkit.lamps import Lamp
from phasorkit.network import Element, Network


@dataclass(frozen=True, kw_only=True)
class DividerBridge(SingleLamp):
    """Equal resistors L1–M–L3, R from L3 to P, C from P to L2, lamp M–P; dark for 1-2-3 when R = Xc/√3.

    Parameters
    ----------
    capacitance : float
        C between P and L2 [F].
    resistance : float
        R between L3 and P [Ω].
    divider : float
        Each of the two equal resistors L1–M and M–L3 [Ω].
    line_voltage, frequency : float
        Nominal line-to-line voltage [V rms] and frequency [Hz].

    Notes
    -----
    P lies on the half circle over L3–L2 (right angle at P). With R = Xc/√3 the angle at L2 is 30°, and P falls on
    the middle of L1–L3, where the divider holds M. In the other sequence the half circle lies on the other side of
    L3–L2, and M–P is √3/2 of the line voltage.

    Examples
    --------
    >>> bridge = DividerBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> round(bridge.resistance), round(float(bridge.on(bridge.supply("132")).lamp_volts[0]), 1)
    (391013, 346.4)
    """

    capacitance: float
    resistance: float
    divider: float
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "divider-bridge"
    title: ClassVar[str] = "Null bridge with one capacitor"
    lit_says: ClassVar[str] = "132"
    inputs: ClassVar[tuple[Given | Choice, ...]] = (CAPACITOR, FREQUENCY, LINE_VOLTAGE)
    resistances: ClassVar[tuple[str, ...]] = ("resistance", "divider")
    also_needed: ClassVar[tuple[str, ...]] = (
        "H1: glow lamp without built-in resistor; the bridge limits its current.",
    )
    roles: ClassVar[dict[str, str]] = {
        "R1": "divider, L1 side",
        "R2": "divider, L3 side",
        "R3": "R of the R-C leg",
        "C1": "C of the R-C leg",
    }

    @classmethod
    def sized(cls, *, capacitance: float, frequency: float, line_voltage: float) -> Self:
        """Exact parts for a capacitor at hand: R = Xc/√3, divider resistors equal to R.

        Parameters
        ----------
        capacitance : float
            [F].
        frequency : float
            [Hz].
        line_voltage : float
            Line to line [V rms]; decides ratings only.
        """
        cls.check_given({"capacitance": capacitance, "frequency": frequency, "line_voltage": line_voltage})
        resistance = float(reactance(capacitance, frequency) / np.sqrt(3))
        return cls(
            capacitance=capacitance,
            resistance=resistance,
            divider=resistance,
            line_voltage=line_voltage,
            frequency=frequency,
        )

    def network(self) -> Network:
        """R1 L1–M, R2 M–L3, R3 L3–P, C1 P–L2."""
        return Network(
            (
                Element("R1", "R", self.divider, "L1", "M"),
                Element("R2", "R", self.divider, "M", "L3"),
                Element("R3", "R", self.resistance, "L3", "P"),
                Element("C1", "C", self.capacitance, "P", "L2"),
            )
        )

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """One glow lamp M–P."""
        return (Lamp("H1", "M", "P"),)

    def figures(self) -> dict[str, float]:
        """Reactance of the capacitor and the resistance [Ω]."""
        return {
            "reactance_ohm": reactance(self.capacitance, self.frequency),
            "resistance_ohm": self.resistance,
        }
