"""Known slips of the exercise `double-bridge`, its lamp: what each one gives, and the words that teach."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.model import Brief, Slip
from phasorkit.course.tasks.double_bridge.values import least_series

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
        "phase voltage",
        "This is the voltage from a line conductor to neutral. The lamp lies between P and Q: measure from P to Q.",
        lambda b, e: b.line_voltage / sqrt(3),
        must=True,
    ),
    Slip(
        "twice the line voltage",
        "P and Q lie on different sides outside the triangle, but not a whole line voltage each. Measure from P to Q.",
        lambda b, e: 2.0 * b.line_voltage,
    ),
    Slip(
        "the other sequence",
        "That is the sequence in which P and Q meet. Mirror the triangle: P and Q do not go along.",
        lambda b, e: 0.0,
    ),
)


def _never_struck(brief: Brief) -> float:
    """Volts of a lamp that does not strike, in the sequence that lights it [V rms]."""
    return float(1.5 * brief.line_voltage)


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
    *(
        Slip(
            "the volts of the drawing",
            "You started from the volts of question five. They are those of a lamp that never strikes. A real one "
            "strikes on the way up, long before: start from the volts at which it strikes.",
            volts,
            must=True,
        )
        for volts in (
            lambda b, e: _series(_never_struck(b), b),
            lambda b, e: _series(_never_struck(b) - b.keeps, b),
            lambda b, e: (_never_struck(b) - b.keeps) / b.limit,
            lambda b, e: _series(_never_struck(b) * sqrt(2), b),
            lambda b, e: _series(_never_struck(b) * sqrt(2) - b.keeps, b),
        )
    ),
    Slip(
        "momentary volts taken for rms",
        "You turned the volts at which it strikes into a peak, or into rms. All values of this question are momentary "
        "already: no √2.",
        lambda b, e: _series(b.strike * sqrt(2) - b.keeps, b),
    ),
    Slip(
        "momentary volts taken for rms",
        "You turned both volts of the lamp into peaks. All values of this question are momentary already: no √2.",
        lambda b, e: _series((b.strike - b.keeps) * sqrt(2), b),
    ),
    Slip(
        "the rule of thumb",
        "R3 as large as R1 will do for a bridge of lesson five, and tames the pulse well. Asked is the LEAST one for "
        "the limit in your numbers: work it out from the lamp.",
        lambda b, e: e["first_leg"],
    ),
)
