"""Known slips of the exercise `double-bridge`: what each one gives, and the words that teach."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.double_bridge.values import PARTS, exact_reactance, least_series, part_volts
from phasorkit.indicators.base import SEQUENCES

_PARTNERS = {"R1": "C1", "C1": "R1", "R2": "C2", "C2": "R2"}
_OTHER_LEG = {"R1": "R2", "R2": "R1", "C1": "C2", "C2": "C1"}


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
)

VOLTS_SLIPS = (
    Slip(
        "R and C of a leg exchanged",
        "In this leg the volts of resistor and capacitor have changed places. One current flows through both, so the "
        "one with more ohms has more volts: compare R1 and then R2 with Xc.",
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

LAMP_SLIPS = (
    Slip(
        "the bridge with one capacitor, or the phase voltage",
        "So much has the lamp of the bridge with one capacitor, where M stays in the middle of L1–L3; the phase "
        "voltage leads to the same number. Here Q moves as well: P and Q both lie outside the triangle.",
        lambda b, e: b.line_voltage * sqrt(3) / 2,
        must=True,
    ),
    Slip(
        "two distances added that do not lie on one line",
        "You added L2–P and L2–Q as plain numbers. The lamp goes straight from P to Q, and at L2 there is an angle: "
        "the way round over L2 is longer.",
        lambda b, e: b.line_voltage * sqrt(3),
        must=True,
    ),
    Slip(
        "a right angle where there is none",
        "You took the angle at L2 between P and Q as a right angle. Add it up: the triangle's own corner, and on "
        "either side of it half as much again.",
        lambda b, e: b.line_voltage * sqrt(3 / 2),
        must=True,
    ),
    Slip(
        "the line voltage",
        "This is the line voltage. P and Q both lie outside the triangle, on different sides: measure from P to Q.",
        lambda b, e: float(b.line_voltage),
        must=True,
    ),
    Slip(
        "the other sequence",
        "That is the sequence in which P and Q meet. Mirror the triangle: P and Q do not go along.",
        lambda b, e: 0.0,
    ),
)


def _series(volts: float, brief: Brief) -> float:
    """R3 [Ω] if these volts [V] were left for R3 and the lamp's own resistance."""
    return float(volts / brief.limit - brief.lamp_resistance)


SERIES_SLIPS = (
    Slip(
        "the lamp's own resistance forgotten",
        "The volts and the current are right, but R3 is not alone: the lamp's own resistance is in series with it "
        "and does a part of the work.",
        lambda b, e: least_series(b, e) + b.lamp_resistance,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the lamp's own resistance added",
        "The lamp's own resistance is there already, in series. What R3 has to add is less, not more.",
        lambda b, e: least_series(b, e) + 2 * b.lamp_resistance,
        credit=0.5,
        must=True,
    ),
    Slip(
        "all the volts at which it strikes",
        "You put all the volts at which the lamp strikes on R3. The lit lamp keeps a part of them for itself: only "
        "what is left drives the current through R3.",
        lambda b, e: _series(b.strike, b),
        must=True,
    ),
    Slip(
        "all the volts at which it strikes, and the lamp's own resistance forgotten",
        "You put all the volts at which the lamp strikes on R3 alone. The lit lamp keeps a part of them for itself, "
        "and its own resistance is in series with R3.",
        lambda b, e: b.strike / b.limit,
        must=True,
    ),
    Slip(
        "the volts that the lamp keeps",
        "You put on R3 the volts that the lit lamp keeps. R3 gets what is left over.",
        lambda b, e: _series(b.keeps, b),
        must=True,
    ),
    Slip(
        "the volts added instead of subtracted",
        "The two voltages of the lamp were added. It keeps one of them: take it away from the other.",
        lambda b, e: _series(b.strike + b.keeps, b),
        must=True,
    ),
    Slip(
        "the volts of the drawing",
        "The drawing shows a lamp that never strikes. A real one strikes on the way up, long before the volts of the "
        "drawing are there: start from the volts at which it strikes.",
        lambda b, e: _series(1.5 * b.line_voltage, b),
        must=True,
    ),
    Slip(
        "the peak volts of the drawing",
        "The drawing shows a lamp that never strikes. A real one strikes on the way up, long before the peak: start "
        "from the volts at which it strikes.",
        lambda b, e: _series(1.5 * sqrt(2) * b.line_voltage, b),
        must=True,
    ),
)
