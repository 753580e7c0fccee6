"""LED pair: the two-lamp star with LEDs, each with a shunt resistor that keeps the dim side dark."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Self

import numpy as np

from phasorkit.indicators._two_lamp import ALIKE, BRIGHTER
from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE, Choice, Given, Indicator, reactance
from phasorkit.lamps import DARK, LED, LIT, Lamp
from phasorkit.network import Element, Network
from phasorkit.phasors import A
from phasorkit.switching import Led

STAR_POINT = (-1 + 3j) / 5
"""Star point over the phase on the capacitor, R = Xc (standard textbook problem)."""

BRIGHT_PART, DIM_PART = abs(A**2 - STAR_POINT), abs(A - STAR_POINT)
"""Branch volts over phase voltage: 1.496 and 0.401."""

WINDOW = (0.85, 1.10)
"""Part of nominal voltage over which one LED must light and the other stay dark (IEC 61557-7, from memory)."""

FIRST_GLOW, PLAIN_GLOW = 1.5, 1.9
"""Momentary volts below which a red LED is dark and above which it plainly glows (common practice, data sheets)."""


@dataclass(frozen=True, kw_only=True)
class LedPair(Indicator):
    """C on L1; from L2 and from L3 a dropping resistor and an LED with a shunt, joined at S.

    Parameters
    ----------
    capacitance : float
        C between L1 and S [F].
    dropping : float
        Each dropping resistor [Ω].
    shunt : float
        Resistor across each LED [Ω]: below its threshold the LED is dark, and the shunt carries the current.
    line_voltage, frequency : float
        Nominal line-to-line voltage [V rms] and frequency [Hz].

    Notes
    -----
    Dropping and shunt resistor together equal Xc, so the branches share out as two lamps do. The shunt is the geometric
    mean of what keeps the dim LED dark at 110 % and lights the bright one at 85 % of nominal voltage. A diode across
    each LED, the other way round, protects it in the reverse half-wave; it is in the bill of parts.

    Examples
    --------
    >>> pair = LedPair.sized(capacitance=33e-9, frequency=50, line_voltage=400)
    >>> pair.on(pair.supply("123")).conclusion, pair.on(pair.supply("132")).conclusion
    ('123', '132')
    """

    capacitance: float
    dropping: float
    shunt: float
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "led-pair"
    title: ClassVar[str] = "LED pair with a capacitor"
    inputs: ClassVar[tuple[Given | Choice, ...]] = (replace(CAPACITOR, typical=33e-9), FREQUENCY, LINE_VOLTAGE)
    resistances: ClassVar[tuple[str, ...]] = ("dropping", "shunt")
    also_needed: ClassVar[tuple[str, ...]] = (
        "H1, H2: red LEDs alike, from one batch, anode to A and B.",
        "D1, D2: a small-signal diode (100 V, 100 mA or more) across each LED the other way round: reverse protection.",
    )
    roles: ClassVar[dict[str, str]] = {
        "C1": "capacitor on L1",
        "R1": "dropping resistor on L2",
        "R2": "shunt of the LED on L2",
        "R3": "dropping resistor on L3",
        "R4": "shunt of the LED on L3",
    }

    @classmethod
    def sized(cls, *, capacitance: float, frequency: float, line_voltage: float) -> Self:
        """Exact parts for a capacitor [F] at a frequency [Hz] and line voltage [V rms].

        Raises
        ------
        ValueError
            So few volts that no resistor is left to drop.
        """
        cls.check_given({"capacitance": capacitance, "frequency": frequency, "line_voltage": line_voltage})
        xc = reactance(capacitance, frequency)
        peak = np.sqrt(2) * line_voltage / np.sqrt(3) / xc
        dim, bright = WINDOW[1] * DIM_PART * peak, WINDOW[0] * BRIGHT_PART * peak
        shunt = float(np.sqrt(FIRST_GLOW / dim * PLAIN_GLOW / bright))
        if shunt >= xc:
            least = line_voltage * shunt / xc
            raise ValueError(f"line_voltage must be above {least:.3g} V, what LEDs ask for, got {line_voltage!r} V")
        return cls(
            capacitance=capacitance,
            dropping=xc - shunt,
            shunt=shunt,
            line_voltage=line_voltage,
            frequency=frequency,
        )

    def network(self) -> Network:
        """C1 L1–S; R1 L2–A and its shunt R2 A–S; R3 L3–B and its shunt R4 B–S; LEDs not lit."""
        return Network(
            (
                Element("C1", "C", self.capacitance, "L1", "S"),
                Element("R1", "R", self.dropping, "L2", "A"),
                Element("R2", "R", self.shunt, "A", "S"),
                Element("R3", "R", self.dropping, "L3", "B"),
                Element("R4", "R", self.shunt, "B", "S"),
            )
        )

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """The LED on L2 and the one on L3; their window is the rms of a sine that peaks at the LED's own volts."""
        dark, lit = FIRST_GLOW / np.sqrt(2), PLAIN_GLOW / np.sqrt(2)
        return Lamp("H1", "A", "S", dark, lit, LED), Lamp("H2", "B", "S", dark, lit, LED)

    def conclude(self, states: tuple[str, ...], volts: tuple[float, ...]) -> str:
        """One lit, or one plainly brighter: the sequence. Alike and lit: a fault. Both dark: nothing."""
        if states == (DARK, DARK):
            return "nothing"
        high, low = max(volts), min(volts)
        if LIT not in states or ALIKE * low <= high < BRIGHTER * low:
            return "can't tell"
        if high < ALIKE * low:
            return "fault"
        return "123" if volts[0] > volts[1] else "132"

    def figures(self) -> dict[str, float]:
        """Reactance, dropping resistor, shunt [Ω]; least mean current of the LED [A]; capacitor that is enough [F]."""
        found = {
            "reactance_ohm": reactance(self.capacitance, self.frequency),
            "resistance_ohm": self.dropping,
            "shunt_ohm": self.shunt,
        }
        least = self.least_bright_current()
        enough = {"smallest_capacitor_farad": self.capacitance * Led().plain_above / least} if least else {}
        return found | {"bright_led_mean_at_85_percent_ampere": least} | enough

    def least_bright_current(self) -> float:
        """Mean current of the bright LED at 85 % of nominal voltage, with an LED that begins at 1.9 V [A].

        The branch current is taken as a sine; the shunt keeps what 1.9 V drive through it, the LED gets the rest.
        It grows as the capacitor does, so a smaller capacitor than ``smallest_capacitor_farad`` does not light an LED
        plainly (`Led.plain_above`).
        """
        peak = WINDOW[0] * BRIGHT_PART * np.sqrt(2 / 3) * self.line_voltage / (self.dropping + self.shunt)
        kept = PLAIN_GLOW / self.shunt
        if peak <= kept:
            return 0.0
        begins = np.arcsin(kept / peak)
        return float((2 * peak * np.cos(begins) - kept * (np.pi - 2 * begins)) / (2 * np.pi))
