"""Two-probe indicator: the lamp's way back is a touch pad and the user's body, or a real neutral."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

import numpy as np

from phasorkit.indicators.base import (
    CAPACITOR,
    FREQUENCY,
    LINE_VOLTAGE,
    OVERVOLTAGE,
    SEQUENCES,
    Choice,
    Given,
    SingleLamp,
    reactance,
)
from phasorkit.lamps import Lamp
from phasorkit.network import SHORT, Element, Network
from phasorkit.parts import series_values

TOUCH_LIMIT = 0.5e-3
"""Steady touch current allowed [A rms] (IEC 61010-1 for measuring equipment, normal condition, from memory).

The edition in force and the local code go before this number; it is held here in every single fault as well.
"""

SIZED_TO = 0.9 * TOUCH_LIMIT
"""Touch current that `TouchProbe.sized` stays below [A rms]: a tenth is left for parts within their tolerance."""

BODY_RESISTANCE = 2000.0
"""A body as a path to earth [Ω]: IEC 60990 network, 1500 Ω and 500 Ω in series, from memory."""

BODY_CAPACITANCE = 100e-12
"""Capacitance of a standing person to earth [F] (common practice, 100 to 200 pF)."""

CHAIN_LADDER = [float(f"{v:g}e{p}") for p in (5, 6) for v in series_values("E12")]
SMALLEST_CHAIN = 470e3
"""Smallest value [Ω] taken for each of the two resistors to the pad, whatever the capacitor."""

RETURN = Choice(
    "return_path", "--return", ("pad", "neutral"), "pad", "the lamp's way back: touch pad or a real neutral"
)


@dataclass(frozen=True, kw_only=True)
class TouchProbe(SingleLamp):
    """2R from L1 and R + C from L2 meet at K; lamp and two resistors from K to the pad. Lit for 1-2-3, dark for 1-3-2.

    Parameters
    ----------
    capacitance : float
        Class Y capacitor in the L2 leg [F].
    resistance : float
        Each of the two resistors of the L1 leg, R = Xc/√3 [Ω].
    half : float
        Each of the two resistors of the L2 leg, R/2 [Ω].
    chain : float
        Each of the two resistors between lamp and pad [Ω].
    return_path : "pad" or "neutral"
        Pad: through the body to earth. Neutral: straight to N.
    line_voltage, frequency : float
        Nominal line-to-line voltage [V rms] and frequency [Hz].

    Notes
    -----
    |R − jXc| is 2R at −60° when R = Xc/√3: two equal arms, so K lies at the phase voltage for 1-2-3 and at the star
    point for 1-3-2. Every resistor is made of two parts, so that no single short puts K on a conductor. The third
    phase is unseen: the indicator is right about the two it touches only on a whole supply with earthed star point.

    Examples
    --------
    >>> probe = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400)
    >>> [round(float(probe.on(probe.supply(s)).lamp_volts[0]), 1) for s in ("123", "132")]
    [230.9, 0.0]
    """

    capacitance: float
    resistance: float
    half: float
    chain: float
    return_path: str = "pad"
    line_voltage: float
    frequency: float

    name: ClassVar[str] = "touch-probe"
    title: ClassVar[str] = "Two probes and a touch pad"
    lit_says: ClassVar[str] = "123"
    probes: ClassVar[tuple[str, ...]] = ("L1", "L2")
    inputs: ClassVar[tuple[Given | Choice, ...]] = (CAPACITOR, FREQUENCY, LINE_VOLTAGE, RETURN)
    resistances: ClassVar[tuple[str, ...]] = ("resistance", "half")
    no_parts: ClassVar[tuple[str, ...]] = ("RB", "CB")
    roles: ClassVar[dict[str, str]] = {
        "R1": "L1 leg, first half",
        "R2": "L1 leg, second half",
        "R3": "L2 leg, first half of R",
        "R4": "L2 leg, second half of R",
        "C1": "L2 leg, class Y capacitor",
        "R5": "lamp to pad, first",
        "R6": "lamp to pad, second",
        "RB": "body to earth, no part",
        "CB": "body to earth, no part",
    }

    @classmethod
    def sized(cls, *, capacitance: float, frequency: float, line_voltage: float, return_path: str = "pad") -> Self:
        """R = Xc/√3 for a capacitor [F]; the resistors to the pad as small as the touch current allows (E12).

        The touch current stays a tenth below its limit: 5 % resistors and a 20 % capacitor raise it by up to 9.5 %.
        """
        cls.check_given(
            {
                "capacitance": capacitance,
                "frequency": frequency,
                "line_voltage": line_voltage,
                "return_path": return_path,
            }
        )
        resistance = float(reactance(capacitance, frequency) / np.sqrt(3))
        probe = cls(
            capacitance=capacitance,
            resistance=resistance,
            half=resistance / 2,
            chain=SMALLEST_CHAIN,
            return_path=return_path,
            line_voltage=line_voltage,
            frequency=frequency,
        )
        for chain in (c for c in CHAIN_LADDER if c >= SMALLEST_CHAIN):
            probe = replace(probe, chain=chain)
            if probe.touch_current()[0] <= SIZED_TO:
                break
        return probe

    def network(self) -> Network:
        """R1 L1–A, R2 A–K; R3 L2–B, R4 B–D, C1 D–K; R5 G–F, R6 F–PAD; the body RB and CB PAD–PE."""
        legs = (
            Element("R1", "R", self.resistance, "L1", "A"),
            Element("R2", "R", self.resistance, "A", "K"),
            Element("R3", "R", self.half, "L2", "B"),
            Element("R4", "R", self.half, "B", "D"),
            Element("C1", "C", self.capacitance, "D", "K"),
            Element("R5", "R", self.chain, "G", "F"),
        )
        if self.return_path == "neutral":
            return Network((*legs, Element("R6", "R", self.chain, "F", "N")))
        body = (
            Element("R6", "R", self.chain, "F", "PAD"),
            Element("RB", "R", BODY_RESISTANCE, "PAD", "PE"),
            Element("CB", "C", BODY_CAPACITANCE, "PAD", "PE"),
        )
        return Network((*legs, *body))

    @property
    def also_needed(self) -> tuple[str, ...]:  # type: ignore[override]
        """The lamp, and what the way back needs."""
        back = "a touch pad of metal, insulated from everything but R6" if self.return_path == "pad" else "no touch pad"
        return (f"H1: glow lamp without built-in resistor; {back}.",)

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """One glow lamp between K and the resistors to the pad."""
        return (Lamp("H1", "K", "G"),)

    def touch_current(self, earthing: str = "star") -> tuple[float, str]:
        """Largest steady current through a body of 0 Ω [A rms] and the fault that gives it.

        Worst over both sequences, without fault and with every single part open or shorted, at 110 % of nominal
        voltage, the lamp taken as a short; ``corner`` earthed (or isolated with an earth fault) also over which of the
        three conductors is earthed; ``side`` over which side. ValueError for another `earthing`.
        """
        if earthing not in ("star", "corner", "side"):
            said = "isolated counts as corner, for an earth fault may be there"
            raise ValueError(f"earthing must be star, corner or side ({said}), got {earthing!r}")
        if self.return_path == "neutral":
            return 0.0, "none: the lamp returns to neutral"
        direct = self.network().shorted("RB").with_element(Element("H1", "R", SHORT, "K", "G"))
        cases = {"no fault": direct}
        for name in ("R1", "R2", "R3", "R4", "C1", "R5", "R6"):
            cases |= {f"{name} shorted": direct.shorted(name), f"{name} open": direct.opened(name)}
        known = [
            replace(self.supply(s), line_voltage=OVERVOLTAGE * self.line_voltage, earthing=earthing)
            .moved_round(steps)
            .sources()
            for s in SEQUENCES
            for steps in (range(1) if earthing == "star" else range(3))
        ]
        # counted from earth, for the person is a link of 1 µΩ to it: nearly equal volts would lose digits
        both = {node: np.stack([sources[node] - sources["PE"] for sources in known]) for node in known[0]}
        currents = {
            case: float(np.max(np.abs(net.solve(both, frequency=self.frequency).current("RB"))))
            for case, net in cases.items()
        }
        worst = max(currents, key=lambda case: currents[case])
        return currents[worst], worst

    def safety(self) -> dict[str, Any]:
        """``safe`` is false where any single fault passes more than the limit: then it must not be built.

        It holds for a supply with earthed star point; for others see `safety_elsewhere`.
        """
        current, fault = self.touch_current()
        return {
            "safe": current <= TOUCH_LIMIT,
            "worst_touch_current_ampere": current,
            "worst_touch_fault": fault,
            "touch_limit_ampere": TOUCH_LIMIT,
            "return_path": self.return_path,
        }

    def safety_elsewhere(self) -> dict[str, Any]:
        """The touch current on a supply that is corner earthed, or isolated with an earth fault."""
        return {"corner_touch_current_ampere": self.touch_current("corner")[0]}

    def figures(self) -> dict[str, float]:
        """Reactance, R, and each resistor to the pad [Ω]."""
        return {
            "reactance_ohm": reactance(self.capacitance, self.frequency),
            "resistance_ohm": self.resistance,
            "pad_resistor_ohm": self.chain,
        }
