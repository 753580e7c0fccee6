"""Known slips of the exercise `double-bridge`, its legs: what each one gives, and the words that teach."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.diagnosis import BRACKETS
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.double_bridge.values import (
    PARTS,
    exact_reactance,
    part_volts,
)
from phasorkit.indicators.base import SEQUENCES

_PARTNERS = {"R1": "C1", "C1": "R1", "R2": "C2", "C2": "R2"}


def _legs_exchanged(brief: Brief, earlier: Values) -> Numbers:
    """Each part with the volts of its partner in the same leg."""
    v = part_volts(brief, earlier)
    return {(s, part): v[s, partner] for s in SEQUENCES for part, partner in _PARTNERS.items()}


def _legs_like_resistors(brief: Brief, earlier: Values) -> Numbers:
    """The line voltage shared out as if capacitors were resistors."""
    x, line = float(earlier["reactance"]), float(brief.line_voltage)
    found: dict[tuple[str, str], float] = {}
    for r, c, ohms in (("R1", "C1", float(earlier["first_leg"])), ("R2", "C2", float(earlier["second_leg"]))):
        for s in SEQUENCES:
            found |= {(s, r): line * ohms / (ohms + x), (s, c): line * x / (ohms + x)}
    return found


def _all_parts(value: float) -> Numbers:
    return {(s, part): value for s in SEQUENCES for part in PARTS}


REACTANCE_SLIPS = (
    Slip(
        "the frequency left out",
        "The supply frequency does not stand in your result. A capacitor lets more through the faster the voltage "
        "swings: f belongs in the denominator.",
        lambda b, e: exact_reactance(b, e) * b.frequency,
        must=True,
    ),
    Slip(
        "both capacitors together",
        "You took both capacitors as one. They sit in two different legs and never share a current: take one.",
        lambda b, e: exact_reactance(b, e) / 2,
        must=True,
    ),
    Slip(
        "both capacitors in series",
        "You took the two capacitors in series. They sit in two different legs, with different currents: take one.",
        lambda b, e: exact_reactance(b, e) * 2,
        must=True,
    ),
    Slip(*BRACKETS, lambda b, e: exact_reactance(b, e) * b.capacitance**2),
)

FIRST_SLIPS = (
    Slip(
        "R1 set equal to Xc",
        "Your R1 is as large as Xc, or a √3 is missing. With equal sides P lies in the middle of the half circle over "
        "L3–L2; it must lie in the middle of L1–L3. Look for the half of the equal-sided triangle: its sides differ.",
        lambda b, e: e["reactance"],
        must=True,
    ),
    Slip(
        "the legs exchanged, or the √3 on the wrong side",
        "Your √3 is on the wrong side, or you gave R2 here. In the first leg the resistor comes first, from L3 to P. "
        "Has it the shorter or the longer side of the right-angled triangle L3–P–L2?",
        lambda b, e: e["reactance"] * sqrt(3),
        must=True,
    ),
    Slip(
        "half of Xc",
        "You took half of Xc. Half is the shorter side over the longest one, the line voltage. R1 stands to Xc as the "
        "two sides at the right angle.",
        lambda b, e: e["reactance"] / 2,
        must=True,
    ),
    Slip(
        "√3/2 of Xc",
        "You took √3/2 of Xc. That is the longer side over the longest one, the line voltage. R1 stands to Xc as the "
        "two sides at the right angle.",
        lambda b, e: e["reactance"] * sqrt(3) / 2,
        must=True,
    ),
)

SECOND_SLIPS = (
    Slip(
        "R2 as in the first leg, or the √3 on the wrong side",
        "This is what the first leg needs. In the second leg the capacitor comes first, and it is C2 that has the "
        "shorter side of its triangle. What does that make of R2, larger or smaller than Xc?",
        lambda b, e: e["reactance"] / sqrt(3),
        must=True,
    ),
    Slip(
        "R2 set equal to Xc",
        "Your R2 is as large as Xc, or a √3 is missing. Then Q lies in the middle of the half circle over L1–L2, and P "
        "is not there. Q must lie in the middle of L1–L3.",
        lambda b, e: e["reactance"],
        must=True,
    ),
    Slip(
        "twice Xc",
        "You took twice Xc. Two is the longest side, the line voltage, over the shorter one. R2 stands to Xc as the "
        "two sides at the right angle.",
        lambda b, e: 2 * e["reactance"],
        must=True,
    ),
    Slip(
        "three times Xc",
        "Three is the ratio of R2 to R1, not to Xc (or you took three times an R1 that was as large as Xc). R2 stands "
        "to Xc as the longer to the shorter of the two sides at the right angle.",
        lambda b, e: 3 * e["reactance"],
        must=True,
    ),
    Slip(
        "2/√3 of Xc",
        "That is the longest side over the longer one. R2 stands to Xc as the two sides at the right angle.",
        lambda b, e: e["reactance"] * 2 / sqrt(3),
        must=True,
    ),
    Slip(
        "a third of R1",
        "This is a third of what the first leg needs. Three times is right, but which way? The capacitor has the "
        "shorter side here, so R2 has to be larger than Xc.",
        lambda b, e: e["reactance"] / sqrt(3) / 3,
    ),
)

VOLTS_SLIPS = (
    Slip(
        "R and C of a leg exchanged",
        "In this leg the volts of resistor and capacitor have changed places, or you shared the line voltage evenly. "
        "One current flows through both, so the one with more ohms has more volts: compare R1 and then R2 with Xc. And "
        "the two volts stand at a right angle.",
        _legs_exchanged,
        must=True,
    ),
    Slip(
        "volts at a right angle added like plain numbers",
        "You shared the line voltage out as if capacitors were resistors. Their volts stand at a right angle: they "
        "add like the two short sides of a right-angled triangle whose longest side is the line voltage.",
        _legs_like_resistors,
        must=True,
    ),
    Slip(
        "the whole line voltage on one part",
        "The whole line voltage lies across each leg, not on one part of it alone.",
        lambda b, e: _all_parts(b.line_voltage),
        must=True,
    ),
    Slip(
        "line and phase voltage mixed up",
        "This is the voltage from a line conductor to neutral. No part of this circuit goes to the neutral; work "
        "with the line voltage.",
        lambda b, e: _all_parts(b.line_voltage / sqrt(3)),
        must=True,
    ),
)
