"""A loose probe tip while the other probes are on: what it passes through a person who touches it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from phasorkit.analysis.loading import with_lit_lamps
from phasorkit.analysis.ratings import EXTRA_LOW
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator
from phasorkit.network import SHORT
from phasorkit.supply import CONDUCTORS

LET_GO = 10e-3
"""Current from which a person may not let go [A rms] (IEC 60479-1, hand to hand, adults, from memory)."""


@dataclass(frozen=True)
class LooseTip:
    """One loose tip held by a person on earth: `ampere` on a star-earthed supply, `corner_ampere` on one that is
    corner earthed, or isolated with an earth fault on a conductor [A rms]; a body of 0 Ω, 110 % of voltage."""

    probe: str
    ampere: float
    corner_ampere: float


def loose_tips(indicator: Indicator) -> tuple[LooseTip, ...]:
    """Every probe in turn off its conductor and held, the others on theirs; a lead to neutral counts as a probe.

    Returns
    -------
    tuple of LooseTip
        Worst over both sequences, with no lamp lit and with every lamp as a short.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [f"{tip.probe} {1e3 * tip.ampere:.2f} mA" for tip in loose_tips(bridge)]
    ['L1 0.54 mA', 'L2 0.32 mA', 'L3 0.65 mA']
    """
    leads = tuple(n for n in (*CONDUCTORS, "N") if n in indicator.network().nodes)
    return tuple(LooseTip(n, _held(indicator, n, "star"), _held(indicator, n, "corner")) for n in leads)


def worst_tip(tips: Sequence[LooseTip]) -> tuple[str, float]:
    """The probe that passes most, on the earthing that makes it most, and its current [A rms].

    >>> worst_tip([LooseTip("L1", 0.001, 0.002), LooseTip("L2", 0.0005, 0.003)])
    ('L2', 0.003)
    """
    tip = max(tips, key=lambda t: max(t.ampere, t.corner_ampere))
    return tip.probe, max(tip.ampere, tip.corner_ampere)


def loose_tip_caution(indicator: Indicator) -> str:
    """The caution for the sheet, with the worst tip's current; shorter at extra-low voltage."""
    if indicator.line_voltage <= EXTRA_LOW:
        return "A loose tip is alive through the circuit while another is on."
    tips = loose_tips(indicator)
    worst, corner = max(tips, key=lambda t: t.ampere), max(tips, key=lambda t: t.corner_ampere)
    highest = max(worst.ampere, corner.corner_ampere)
    danger = " THAT CAN KILL." if highest > LET_GO else ""
    return (
        "A loose tip is alive through the circuit while another is on: held by a person on earth it passes up to "
        f"{1000 * worst.ampere:.2g} mA ({worst.probe}; star earthed), {1000 * corner.corner_ampere:.2g} mA "
        f"({corner.probe}; corner earthed, or isolated with an earth fault); body of 0 Ω, 110 % of voltage.{danger} "
        "Never touch a tip before all are off."
    )


def _held(indicator: Indicator, lead: str, earthing: str) -> float:
    """Current through the person [A rms]."""
    dark = indicator.network()
    lit = with_lit_lamps(indicator, dark, ohms=SHORT, lamps=tuple(lamp.name for lamp in indicator.lamps))
    found = []
    for sequence in SEQUENCES:
        base = replace(indicator.supply(sequence), line_voltage=OVERVOLTAGE * indicator.line_voltage, earthing=earthing)
        for steps in range(len(CONDUCTORS)):  # each probe meets the earthed conductor once
            supply = base.moved_round(steps)
            laid = supply if lead == "N" else supply.earth_on(lead)
            for network in (dark, lit):
                current = indicator.on(laid, network=network).solution.source_current(lead)
                found.append(float(np.nan_to_num(np.abs(current))))
    return max(found)
