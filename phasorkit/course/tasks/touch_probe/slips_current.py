"""Known slips of the exercise `touch-probe`: the person's current; what each gives, and the words."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot, sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.touch_probe import values
from phasorkit.course.tasks.touch_probe.values import SHORTED, phase
from phasorkit.indicators.base import OVERVOLTAGE

K_WITH_R3_SHORTED = 7 / sqrt(37)
"""Volts from K to N without the chain, in phase voltages, R3 shorted, sequence 1-2-3 (exact)."""


def _resistance(earlier: Values) -> float:
    return float(earlier["ohms"]["", "R1"])


def _unaided(brief: Brief, _: Values) -> Numbers:
    """What the chain alone would let through, with the right volts at K."""
    chain = 2 * brief.pad_resistor
    at_k = dict.fromkeys(SHORTED, 1.0) | {"R3": K_WITH_R3_SHORTED, "C1": 1 / sqrt(3)}
    return {("", case): at_k[case] * phase(brief) / (chain / 2 if case == "R5" else chain) for case in SHORTED}


def _plain_sum(brief: Brief, earlier: Values) -> Numbers:
    r, chain = _resistance(earlier), 2 * brief.pad_resistor
    aside = r / sqrt(3)
    return {
        ("", "none"): phase(brief) / (chain + r + aside),
        ("", "R5"): phase(brief) / (chain / 2 + r + aside),
    }


LEGS = {"none": (1.0, 1.0, 0.577), "R1": (1.0, 0.714, 0.247), "R3": (1.151, 0.919, 0.749), "R5": (1.0, 1.0, 0.577)}
"""The notebook's table: volts at K in phase voltages, resistance and reactance of the legs in R."""


def _from_table(
    brief: Brief, earlier: Values, cases: tuple[str, ...], ohms: Callable[[float, float], float], *, one: bool = False
) -> Numbers:
    """The table's chain with its ohms put together in some way; `one`: with one pad resistor where there are two."""
    r, found = _resistance(earlier), {}
    for case in cases:
        at_k, legs, aside = LEGS[case]
        chain = brief.pad_resistor * (1 if one or case == "R5" else 2)
        found["", case] = at_k * phase(brief) / ohms(chain + legs * r, aside * r)
    return found


def _both_shorted(brief: Brief, earlier: Values) -> Numbers:
    r = _resistance(earlier)
    return {("", "R5"): phase(brief) / hypot(r, r / sqrt(3))}


def _in_series(brief: Brief, earlier: Values) -> Numbers:
    return {("", "C1"): phase(brief) / sqrt(3) / (2 * brief.pad_resistor + 3 * _resistance(earlier))}


_PLAIN = (
    "You added the reactance of the legs like a plain number. It stands at a right angle to all the resistance in the "
    "way: first add up the resistance, then Pythagoras."
)
_ONE = (
    "You counted one of the two resistors of the chain. Unless one of them is shorted both stand in the way: R5 and R6."
)
CURRENT_SLIPS = (
    Slip(
        "without the ten per cent",
        "You judged at the nominal voltage. A supply may run high: take the ten per cent in.",
        lambda b, e: {key: amps / OVERVOLTAGE for key, amps in values.current(b, e).items()},
        credit=0.5,
        must=True,
    ),
    Slip(
        "the legs left out",
        "You counted the two resistors of the chain alone. The current also comes through the legs: add what they "
        "have, seen from K.",
        _unaided,
        must=True,
    ),
    Slip(
        "ohms at a right angle added like plain numbers",
        _PLAIN,
        _plain_sum,
        credit=0.5,
        must=True,
    ),
    Slip(
        "ohms at a right angle added like plain numbers",
        _PLAIN,
        lambda b, e: _from_table(b, e, ("R1", "R3"), lambda along, aside: along + aside),
        credit=0.5,
    ),
    Slip(
        "one resistor of the chain counted",
        _ONE,
        lambda b, e: _from_table(b, e, ("R1", "R3"), hypot, one=True),
    ),
    Slip(
        "the short left out",
        "This is the current without a fault. A shorted resistor is a wire: take it out of the sum.",
        lambda b, e: {("", "R5"): values.current(b, e)["", "none"]},
        must=True,
    ),
    Slip(
        "one resistor of the chain counted",
        _ONE,
        lambda b, e: {("", "none"): values.current(b, e)["", "R5"]},
    ),
    Slip(
        "both resistors of the chain shorted",
        "You took the whole chain out. Only R5 is shorted. R6 still stands before the person, and that is why there "
        "are two.",
        _both_shorted,
        must=True,
    ),
    Slip(
        "the volts at K without the fault",
        "You kept the volts that K has without a fault. The table gives others for this one.",
        lambda b, e: {("", "R3"): values.current(b, e)["", "R3"] / K_WITH_R3_SHORTED},
        credit=0.5,
        must=True,
    ),
    Slip(
        "the legs and the volts at K left out",
        "You counted the chain alone, with the phase voltage at K. With this fault K has other volts, and the legs "
        "have ohms, too.",
        lambda b, e: dict.fromkeys((("", "R3"), ("", "C1")), phase(b) / (2 * b.pad_resistor)),
        must=True,
    ),
    Slip(
        "K left outside the triangle",
        "You kept K at the phase voltage. With C1 a wire both legs are resistors only: nothing turns, and K lies ON "
        "the line from L1 to L2. Draw it there, and measure from N.",
        lambda b, e: {("", "C1"): values.current(b, e)["", "C1"] * sqrt(3)},
        credit=0.5,
        must=True,
    ),
    Slip(
        "K in the middle between L1 and L2",
        "You put K in the middle between L1 and L2. It lies on that line, but the two legs are not equally long then: "
        "which of them has more ohms?",
        lambda b, e: {("", "C1"): values.current(b, e)["", "C1"] * sqrt(3) / 2},
        credit=0.5,
    ),
    Slip(
        "the current doubled for half of the chain",
        "You doubled the current without a fault. R5 is gone, but the ohms of the legs are still there.",
        lambda b, e: {("", "R5"): 2 * values.current(b, e)["", "none"]},
    ),
    Slip(
        "no current at all",
        "It is this current that lights the lamp, without a fault and with one. K has volts against N, and the chain "
        "leads from it to earth.",
        lambda b, e: {("", case): 0.0 for case in SHORTED},
    ),
    Slip(
        "the legs taken in series",
        "You added up the two legs. Seen from K they lie side by side: each leads to a conductor of its own.",
        _in_series,
        must=True,
    ),
)
