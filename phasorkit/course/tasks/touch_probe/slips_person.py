"""Known slips of the exercise `touch-probe`: the person's current and the verdict; what each gives, and the words."""

from __future__ import annotations

from math import ceil, hypot, sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.touch_probe import values
from phasorkit.course.tasks.touch_probe.values import (
    ALIVE,
    DEAD,
    NO,
    NOTHING,
    READINGS,
    SHORTED,
    YES,
    needed,
    phase,
)
from phasorkit.indicators.base import OVERVOLTAGE

OTHER = {"1-2-3": "1-3-2", "1-3-2": "1-2-3"}
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


def _both_shorted(brief: Brief, earlier: Values) -> Numbers:
    r = _resistance(earlier)
    return {("", "R5"): phase(brief) / hypot(r, r / sqrt(3))}


def _in_series(brief: Brief, earlier: Values) -> Numbers:
    return {("", "C1"): phase(brief) / sqrt(3) / (2 * brief.pad_resistor + 3 * _resistance(earlier))}


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
        "You added the reactance of the legs like a plain number. It stands at a right angle to all the resistance in "
        "the way: first add up the resistance, then Pythagoras.",
        _plain_sum,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the short left out",
        "This is the current without a fault. A shorted resistor is a wire: take it out of the sum.",
        lambda b, e: {("", "R5"): values.current(b, e)["", "none"]},
        must=True,
    ),
    Slip(
        "one resistor of the chain counted",
        "You counted one of the two resistors of the chain. Without a fault both stand in the way: R5 and R6.",
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
        "the legs taken in series",
        "You added up the two legs. Seen from K they lie side by side: each leads to a conductor of its own.",
        _in_series,
        must=True,
    ),
)


def _not_the_largest(brief: Brief, earlier: Values) -> dict[str, tuple[str, ...]]:
    right = values.verdict(brief, earlier)["worst"]
    return {"worst": tuple(case for case in SHORTED if case not in (right, "none"))}


def _within(brief: Brief, earlier: Values, *, sound: bool) -> Choices:
    """The wrong word on the limit, if it is (`sound`) or is not what the tester without fault would earn."""
    right = values.verdict(brief, earlier)["within"]
    wrong = NO if right == YES else YES
    without = YES if float(earlier["current"]["", "none"]) <= brief.limit else NO
    return {"within": wrong} if (wrong == without) == sound else {}


VERDICT_SLIPS = (
    Slip(
        "judged without a fault",
        "A circuit that people touch is judged by its worst single fault, and not as it is when all is well.",
        lambda b, e: {"worst": "none", **_within(b, e, sound=True)},
        must=True,
    ),
    Slip(
        "not the largest current",
        "Another of your five currents is larger.",
        _not_the_largest,
        must=True,
    ),
    Slip(
        "the limit compared wrongly",
        "Write the largest of your five currents and the limit in the same unit, one under the other, and look again.",
        lambda b, e: _within(b, e, sound=False),
        must=True,
    ),
)


def _count(brief: Brief, *, factor: float) -> float:
    return float(ceil(factor * needed(brief)) + 1)


RESISTORS_SLIPS = (
    Slip(
        "one too few",
        "One is missing. Either you rounded down, and the limit is crossed by a little; or you did not add the one "
        "that may be shorted: the others have to hold the limit without it.",
        lambda b, e: values.resistors(b, e) - 1,
        credit=0.5,
        must=True,
    ),
    Slip(
        "two too few",
        "Two are missing. Round UP, for half a resistor cannot be bought; then add the one that may be shorted.",
        lambda b, e: values.resistors(b, e) - 2,
        must=True,
    ),
    Slip(
        "not a whole number",
        "Resistors come in whole pieces. Which whole number keeps the limit for certain?",
        lambda b, e: needed(b),
        credit=0.5,
        must=True,
    ),
    Slip(
        "line voltage for phase voltage",
        "You took the line voltage. The current goes from a line conductor to EARTH, and the star point is earthed: "
        "that is the phase voltage.",
        lambda b, e: _count(b, factor=sqrt(3)),
        must=True,
    ),
    Slip(
        "peak for rms",
        "You counted with the peak of the voltage. The limit is an rms value, so compare rms with rms: no √2.",
        lambda b, e: _count(b, factor=sqrt(2)),
    ),
)


def _one_believed(brief: Brief, earlier: Values) -> dict[str, tuple[str, ...]]:
    """Either sequence where none is proved."""
    right = values.readings(brief, earlier)
    return {n: tuple(OTHER) for n in READINGS if right[n] == NOTHING}


def _other_sequence(brief: Brief, earlier: Values) -> Choices:
    right = values.readings(brief, earlier)
    return {n: OTHER[right[n]] for n in READINGS if right[n] != NOTHING}


READINGS_SLIPS = (
    Slip(
        "a reading believed that proves nothing",
        "Two readings that are alike name no sequence, and one reading alone names none. A lamp is also lit by a "
        "single phase or an earthed corner, and dark where nothing leads back to the supply.",
        _one_believed,
        must=True,
    ),
    Slip(
        "the sequences exchanged",
        "You have the sequences exchanged. With the probes on L1 and L2, as they are marked, for which one is the "
        "lamp lit?",
        _other_sequence,
        must=True,
    ),
    Slip(
        "too careful",
        "One of these may be trusted: the star point is earthed, and the lamp changed with the exchange of the probes.",
        lambda b, e: {n: NOTHING for n in READINGS if values.readings(b, e)[n] != NOTHING},
        must=True,
    ),
    Slip(
        "the third line taken as seen",
        "Neither probe touches L3. Whatever happens on it, nothing in this tester changes.",
        lambda b, e: {"L3": (ALIVE, DEAD)},
        must=True,
    ),
)
