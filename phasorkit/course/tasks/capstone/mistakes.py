"""Known mistakes of a parts list, and the words that teach."""

from __future__ import annotations

from math import sqrt

from phasorkit.analysis.design_faults import try_faults
from phasorkit.analysis.wiring import MISLEADING
from phasorkit.course.model import Brief
from phasorkit.course.parts_check import Mistake
from phasorkit.course.parts_list import Listed
from phasorkit.indicators.base import OVERVOLTAGE, reactance
from phasorkit.indicators.touch_probe import TOUCH_LIMIT

NEAR = 0.04
"""Relative deviation within which a value is that of a mistake: a designer rounds to what is sold."""

TUNED = {"null bridge": "R3", "two-capacitor bridge": "R1", "twin": "R3", "touch pad": "R1"}
"""The part that has R = Xc/√3, by circuit."""


def _over_right(brief: Brief, listed: Listed) -> float:
    """R over Xc/√3; zero where the circuit has no such resistor."""
    if listed.named not in TUNED:
        return 0.0
    wanted = reactance(listed.exact.capacitance, brief.frequency) / sqrt(3)  # type: ignore[attr-defined]
    return float(listed.exact.resistance / wanted)  # type: ignore[attr-defined]


def _pieces(listed: Listed) -> int:
    return listed.pieces_of(TUNED.get(listed.named, ""))


def _is(value: float, wanted: float) -> bool:
    return abs(value / wanted - 1) < NEAR


LAMPS = (
    Mistake(
        "the whole value in every piece",
        "Every piece has the whole value of R. In a row the ohms add: each piece gets its share of R.",
        lambda b, d: _pieces(d) > 1 and _is(_over_right(b, d), _pieces(d)),
    ),
    Mistake(
        "R = Xc without the √3",
        "R was made as large as Xc. The null asks for R = Xc/√3: only then P lies on the middle of the side.",
        lambda b, d: _is(_over_right(b, d), sqrt(3)),
    ),
    Mistake(
        "the √3 on the wrong side",
        "The √3 is on the wrong side: R = Xc/√3 is smaller than Xc.",
        lambda b, d: _is(_over_right(b, d), 3),
    ),
    Mistake(
        "R for another frequency",
        "R fits another supply frequency. Use the one in your numbers, not the one you are used to.",
        lambda b, d: any(_is(_over_right(b, d), f) for f in (50 / 60, 60 / 50)),
    ),
    Mistake(
        "2π missing or used twice",
        "A 2π went astray in Xc: the reactance is one over 2π·f·C.",
        lambda b, d: any(_is(_over_right(b, d), f) for f in (6.2832, 1 / 6.2832)),
    ),
    Mistake(
        "a prefix lost or doubled",
        "R and C do not fit each other by a power of ten: look at nano and pico, kilo and mega.",
        lambda b, d: any(_is(_over_right(b, d), 10.0**n) for n in (-6, -3, -2, -1, 1, 2, 3, 6)),
    ),
)

RATINGS = (
    Mistake(
        "dc volts of a film capacitor taken for ac",
        "The volts on a plain film capacitor are for dc. On ac it stands about half of them, and it has no class.",
        lambda b, d: not d.capacitor.pulse,
    ),
    Mistake(
        "a capacitor for phase volts",
        "This capacitor stands the volts to neutral. Doubled probes put nearly the whole line voltage on it.",
        lambda b, d: b.line_voltage / sqrt(3) <= d.capacitor.volts < b.line_voltage,
    ),
    Mistake(
        "no 110 per cent",
        "It just stands the nominal volts. Ratings are for the top of the window.",
        lambda b, d: b.line_voltage <= d.capacitor.volts < 0.98 * OVERVOLTAGE * b.line_voltage,
    ),
)


def _counts_on_both(brief: Brief, listed: Listed) -> bool:
    """Two resistors to the pad that hold the touch current together, and not one alone."""
    pad = getattr(listed.exact, "chain", 0.0)
    return bool(pad < OVERVOLTAGE * brief.line_voltage / sqrt(3) / TOUCH_LIMIT <= 2 * pad)


PERSON = (
    Mistake(
        "both resistors to the pad counted on",
        "Both resistors to the pad together would hold the current. But one of them may short: then the other stands "
        "alone between a conductor and a person.",
        _counts_on_both,
    ),
)


def _falls_with_a_short(brief: Brief, listed: Listed) -> bool:
    """Every resistor one piece, and the short of one of them overloads a part or misleads."""
    single = all(count == 1 for _, count in listed.counts)
    tried = try_faults(listed) if single else ()
    return any(
        r.fault[0] == "R" and r.fault.endswith(" shorted") and (r.share > 1 or r.indication == MISLEADING)
        for r in tried
    )


FAULTS = (
    Mistake(
        "one piece alone",
        "Where a resistor is one piece alone, nothing is left when it shorts. Several small ones in a row share volts, "
        "watts and the risk.",
        _falls_with_a_short,
    ),
)
