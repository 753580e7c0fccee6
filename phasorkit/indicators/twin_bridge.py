"""Twin bridge: two null bridges that mirror two phases, one lamp each: one is dark in either sequence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE, Choice, Given, Indicator, reactance
from phasorkit.lamps import DARK, LIT, Lamp
from phasorkit.network import Element, Network

MIRROR = {"L1": ("L1", "L2", "L3"), "L2": ("L3", "L1", "L2"), "L3": ("L2", "L3", "L1")}
"""By shared phase: the conductors of the second bridge's divider ends (first, second with R) and of its C."""

SHARED = Choice(
    "shared",
    "--shared",
    ("L1", "L2", "L3"),
    "L3",
    "phase that keeps its place in both bridges (default L3: at 208 V its wiring table names most faults)",
)
DIVIDER = Choice(
    "divider_kind",
    "--divider",
    ("own", "common"),
    "own",
    "own: a divider for each bridge; common: one for both (study case, needs --shared L2)",
)


@dataclass(frozen=True, kw_only=True)
class TwinBridge(Indicator):
    """Two null bridges; H1 is dark for 1-2-3, H2 for 1-3-2, and the other one then sees √3/2 of line voltage.

    Parameters
    ----------
    capacitance : float
        Each of the two capacitors [F].
    resistance, divider : float
        R of each R-C leg and each divider resistor [Ω].
    shared : "L1", "L2" or "L3"
        Phase that keeps its place in both bridges; the other two are exchanged in the second.
    divider_kind : "own" or "common"
        One divider for each bridge, or one for both. Common is a study case: a lit lamp's current through the common
        divider puts volts on the dark lamp.
    line_voltage, frequency : float
        Nominal line-to-line voltage [V rms] and frequency [Hz].

    Raises
    ------
    ValueError
        A common divider with another shared phase than L2: only there do both bridges divide L1–L3.

    Examples
    --------
    >>> twin = TwinBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [round(float(v)) for v in twin.on(twin.supply("132")).lamp_volts], twin.on(twin.supply("132")).conclusion
    ([346, 0], '132')
    """

    capacitance: float
    resistance: float
    divider: float
    shared: str = "L3"
    divider_kind: str = "own"
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "twin-bridge"
    title: ClassVar[str] = "Twin null bridge with two lamps"
    inputs: ClassVar[tuple[Given | Choice, ...]] = (CAPACITOR, FREQUENCY, LINE_VOLTAGE, SHARED, DIVIDER)
    resistances: ClassVar[tuple[str, ...]] = ("resistance", "divider")
    also_needed: ClassVar[tuple[str, ...]] = (
        "H1, H2: glow lamps alike, without built-in resistor; the bridges limit their current.",
    )
    roles: ClassVar[dict[str, str]] = {
        "R1": "first divider, first half",
        "R2": "first divider, second half",
        "R3": "R of the first R-C leg",
        "C1": "C of the first R-C leg",
        "R4": "second divider, first half",
        "R5": "second divider, second half",
        "R6": "R of the second R-C leg",
        "C2": "C of the second R-C leg",
    }

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.divider_kind == "common" and self.shared != "L2":
            raise ValueError(f"divider_kind 'common' needs shared='L2' (both divide L1–L3), got {self.shared!r}")

    @classmethod
    def sized(
        cls,
        *,
        capacitance: float,
        frequency: float,
        line_voltage: float,
        shared: str = "L3",
        divider_kind: str = "own",
    ) -> Self:
        """Exact parts for two equal capacitors [F] at a frequency [Hz]: R = Xc/√3, dividers equal to R."""
        cls.check_given(
            {
                "capacitance": capacitance,
                "frequency": frequency,
                "line_voltage": line_voltage,
                "shared": shared,
                "divider_kind": divider_kind,
            }
        )
        resistance = float(reactance(capacitance, frequency) / np.sqrt(3))
        return cls(
            capacitance=capacitance,
            resistance=resistance,
            divider=resistance,
            shared=shared,
            divider_kind=divider_kind,
            line_voltage=line_voltage,
            frequency=frequency,
        )

    def network(self) -> Network:
        """First bridge L1–M–L3, L3–P–L2; second with two conductors exchanged, at M2 and P2."""
        first, second, far = MIRROR[self.shared]
        own = (
            Element("R4", "R", self.divider, first, "M2"),
            Element("R5", "R", self.divider, "M2", second),
        )
        return Network(
            (
                Element("R1", "R", self.divider, "L1", "M"),
                Element("R2", "R", self.divider, "M", "L3"),
                Element("R3", "R", self.resistance, "L3", "P"),
                Element("C1", "C", self.capacitance, "P", "L2"),
                *(own if self.divider_kind == "own" else ()),
                Element("R6", "R", self.resistance, second, "P2"),
                Element("C2", "C", self.capacitance, "P2", far),
            )
        )

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """H1 in the first bridge, H2 in the second."""
        return Lamp("H1", "M", "P"), Lamp("H2", "M2" if self.divider_kind == "own" else "M", "P2")

    def conclude(self, states: tuple[str, ...], volts: tuple[float, ...]) -> str:
        """One dark and one lit tell the sequence; both lit is a fault; both dark is nothing."""
        known = {(DARK, LIT): "123", (LIT, DARK): "132", (LIT, LIT): "fault", (DARK, DARK): "nothing"}
        return known.get((states[0], states[1]), "can't tell")

    def figures(self) -> dict[str, float]:
        """Reactance of a capacitor and the resistance [Ω]."""
        return {
            "reactance_ohm": reactance(self.capacitance, self.frequency),
            "resistance_ohm": self.resistance,
        }
