"""Known slips of the exercise `touch-probe`: verdict, count and readings; what each gives, and the words."""

from __future__ import annotations

from math import ceil, sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
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
)

OTHER = {"1-2-3": "1-3-2", "1-3-2": "1-2-3"}


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
        "not a whole number",
        "Resistors come in whole pieces. Which whole number keeps the limit for certain?",
        lambda b, e: needed(b) + 1,
        credit=0.5,
    ),
    Slip(
        "one too many",
        "So many hold the limit, and one is more than is needed: only one may be shorted at a time, and you round up "
        "once.",
        lambda b, e: values.resistors(b, e) + 1,
        credit=0.5,
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
