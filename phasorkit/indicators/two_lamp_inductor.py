"""Two lamps and an inductor in star: the bright lamp is on the other phase than with a capacitor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from phasorkit.indicators._two_lamp import LAMP_POWER, LAMP_VOLTAGE, TwoLampStar, chain
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE, Choice, Given
from phasorkit.network import Element

INDUCTOR = Given("inductance", "--inductor", "H", 1e-6, 1e6, "inductor, such as 2H or 680mH", False, True, 10.0)
WINDING = Given("winding", "--winding-resistance", "Ω", 0.0, 1e6, "winding resistance [Ω], default 0", required=False)


@dataclass(frozen=True, kw_only=True)
class TwoLampInductor(TwoLampStar):
    """An inductor on L1, lamps on L2 and L3, joined at S. For 1-2-3 the lamp on L3 is bright.

    Parameters
    ----------
    inductance, winding : float
        Inductor between L1 and S [H] and its winding resistance [Ω], which blunts the ratio of the lamps.
    lamp_resistance, lamp_voltage, lamp_power, line_voltage, frequency
        As in the version with a capacitor.

    Examples
    --------
    >>> star = TwoLampInductor.sized(inductance=2.0, frequency=50, line_voltage=400)
    >>> [round(float(v) / (400 / 3**0.5), 3) for v in star.on(star.supply("123")).lamp_volts]
    [0.401, 1.496]
    """

    inductance: float
    winding: float = 0.0
    lamp_resistance: float
    lamp_voltage: float | None = None
    lamp_power: float | None = None
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "two-lamp-inductor"
    title: ClassVar[str] = "Two lamps and an inductor"
    inputs: ClassVar[tuple[Given | Choice, ...]] = (
        INDUCTOR, WINDING, FREQUENCY, LINE_VOLTAGE, LAMP_VOLTAGE, LAMP_POWER,
    )  # fmt: skip
    roles: ClassVar[dict[str, str]] = {
        "XL": "inductor on L1",
        "RW": "winding resistance of XL, no part of its own",
        "H1": "lamp on L2",
        "H2": "lamp on L3",
    }
    no_parts: ClassVar[tuple[str, ...]] = ("RW",)
    bright_for_123: ClassVar[int] = 1

    @classmethod
    def sized(
        cls,
        *,
        frequency: float,
        line_voltage: float,
        inductance: float | None = None,
        winding: float = 0.0,
        lamp_voltage: float | None = None,
        lamp_power: float | None = None,
    ) -> Self:
        """R = XL from an inductor [H] (lamps as resistors), or from lamps [V rms], [W], or as both are given.

        Raises
        ------
        ValueError
            Neither inductor nor lamps given, or a lamp with only one of its two values.
        """
        cls.check_given(
            {
                "frequency": frequency,
                "line_voltage": line_voltage,
                "inductance": inductance,
                "winding": winding,
                "lamp_voltage": lamp_voltage,
                "lamp_power": lamp_power,
            }
        )
        lamps = chain(line_voltage, lamp_voltage, lamp_power)
        if lamps is None and inductance is None:
            raise ValueError("give an inductance [H], or lamp_voltage [V] and lamp_power [W], or all three")
        phase = line_voltage / np.sqrt(3)
        omega = 2 * np.pi * frequency
        resistance = float(lamps.resistance(phase)) if lamps else omega * float(inductance or 0)
        return cls(
            inductance=inductance or resistance / omega,
            winding=winding,
            lamp_resistance=resistance,
            lamp_voltage=lamp_voltage,
            lamp_power=lamp_power,
            line_voltage=line_voltage,
            frequency=frequency,
        )

    def reactive_branch(self) -> tuple[Element, ...]:
        """XL L1–S, or XL L1–W and its winding resistance RW W–S."""
        if not self.winding:
            return (Element("XL", "L", self.inductance, "L1", "S"),)
        return Element("XL", "L", self.inductance, "L1", "W"), Element("RW", "R", self.winding, "W", "S")

    def figures(self) -> dict[str, float]:
        """Reactance of the inductor and resistance of a lamp branch [Ω]."""
        return {
            "reactance_ohm": float(2 * np.pi * self.frequency * self.inductance),
            "resistance_ohm": self.lamp_resistance,
            "inductance_henry": self.inductance,
        }
