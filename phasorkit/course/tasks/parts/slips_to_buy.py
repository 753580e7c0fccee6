"""Known slips of the exercise `parts` where pieces are counted, bought and chosen."""

from __future__ import annotations

from collections.abc import Callable
from math import floor, sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.parts import values
from phasorkit.course.tasks.parts.values import (
    CERAMIC,
    CLOSER,
    FILM_DC,
    MEASURE,
    R1_WATTS,
    SERIES_OF,
    VOLTS,
    WATTS,
    X_LETTERS,
    Y_LETTERS,
)

CountWays = dict[str, float]


def _volt_ways(brief: Brief, _: Values) -> CountWays:
    ratio = brief.r1_volts / values.film(brief).volts
    return {"down": floor(ratio), "peak": values.up(sqrt(2) * ratio), "half": values.up(2 * ratio)}


def _watt_ways(brief: Brief, earlier: Values) -> CountWays:
    ratio = values.ratios(brief, float(earlier["stress"][R1_WATTS]))[WATTS]
    return {"down": floor(ratio), "whole": values.up(ratio / 2), "quarter": values.up(2 * ratio)}


def _only(
    entry: tuple[str, str], ways: Callable[[Brief, Values], CountWays], names: tuple[str, ...]
) -> Callable[[Brief, Values], Numbers]:
    """The count that just these ways lead to, where they lead to a wrong one."""

    def wrong(brief: Brief, earlier: Values) -> Numbers:
        counts = ways(brief, earlier)
        count = counts[names[0]]
        same = {name for name, other in counts.items() if other == count}
        return {entry: count} if same == set(names) and count != values.pieces(brief, earlier)[entry] else {}

    return wrong


def _unrounded(digits: int) -> Callable[[Brief, Values], Numbers]:
    """Both ratios, written with so many decimals, where they are no whole numbers."""

    def wrong(brief: Brief, earlier: Values) -> Numbers:
        found = values.ratios(brief, float(earlier["stress"][R1_WATTS]))
        kept = {key: round(ratio, digits) for key, ratio in found.items() if ratio > 0.1}
        return {key: ratio for key, ratio in kept.items() if abs(ratio - round(ratio)) > 0.02}

    return wrong


_ROUND = "The division is right. But pieces come whole: a part of a piece takes a whole one more."
_DOWN = "You rounded down. Then each piece has more than it bears: a part of a piece takes a whole one more."
_PEAK = "You took peaks. The volts that a resistor stands are rms here, as those of R1 are."
_HALF = "Only the watts are halved. The volts that a piece stands may be used in full."
_WHOLE = "You used all of the rated watts. They are for free air; in a closed case only half of them counts."
_TWICE = "You halved the watts twice: only half of the rated watts is used, once."
PIECE_SLIPS = (
    Slip("rounded down", _DOWN, _only(VOLTS, _volt_ways, ("down",))),
    Slip("peak volts counted", _PEAK, _only(VOLTS, _volt_ways, ("peak",))),
    Slip("the volts halved too", _HALF, _only(VOLTS, _volt_ways, ("half",))),
    Slip("peak volts counted, or the volts halved too", f"{_PEAK} Or: {_HALF}",
         _only(VOLTS, _volt_ways, ("peak", "half"))),
    Slip("rounded down", _DOWN, _only(WATTS, _watt_ways, ("down",))),
    Slip("all of the rated watts used", _WHOLE, _only(WATTS, _watt_ways, ("whole",))),
    Slip("rounded down, or all of the rated watts used", f"{_DOWN} Or: {_WHOLE}",
         _only(WATTS, _watt_ways, ("down", "whole"))),
    *(Slip("not rounded up to whole pieces", _ROUND, _unrounded(digits)) for digits in (9, 3, 2, 1)),
    Slip("the watts halved twice", _TWICE, _only(WATTS, _watt_ways, ("quarter",))),
)  # fmt: skip

BOUGHT_SLIPS = (
    Slip(
        "R in each piece",
        "Each piece has the whole R. That fits one piece by itself; several in series share R, for the ohms add.",
        lambda b, e: {"each": e["resistance"]},
        must=True,
    ),
    Slip(
        "side by side",
        "Such pieces would make up R side by side. In series the ohms add, so each has less than R.",
        lambda b, e: {"each": e["resistance"] * values.bought(b, e)["pieces"]},
        must=True,
    ),
    Slip(
        "the smaller of the two counts",
        "You took the smaller count. Volts and heat must both be borne: the larger count decides.",
        lambda b, e: (
            {"pieces": values.up(min(e["pieces"][VOLTS], e["pieces"][WATTS]))}
            if e["pieces"][VOLTS] != e["pieces"][WATTS]
            else {}
        ),
    ),
)


def _others(entry: str, pick: Callable[[Brief, str], tuple[str, ...]]) -> Callable[[Brief, Values], dict[str, object]]:
    """Wrong words at one entry, chosen with the right one at hand."""
    return lambda b, e: {entry: pick(b, values.choose(b, e)[entry])}


def _series_past(brief: Brief, right: str, *, finer: bool) -> tuple[str, ...]:
    ladder = (*reversed(SERIES_OF.values()), "E96")
    place = ladder.index(right)
    return ladder[place + 1 :] if finer else ladder[:place]


_DC = (
    "A plain capacitor's volts are for direct current. Alternating volts heat it and make it spark, mains brings "
    "pulses, and it may fail as a short. Across mains take a safety class."
)
CHOOSE_SLIPS = (
    Slip("dc volts taken for ac", _DC, _others("C1", lambda b, r: (FILM_DC,))),
    Slip("dc volts taken for ac", _DC, _others("pad", lambda b, r: (FILM_DC,))),
    Slip(
        "no class at all",
        "Nobody has tested this one on mains, and many ceramic discs change their capacitance with volts and warmth. "
        "Take a safety class.",
        lambda b, e: {"C1": CERAMIC, "pad": CERAMIC},
    ),
    Slip(
        "a class with too few volts",
        "The class is right, the volts are too few: compare them with what C1 has at worst, rms with rms.",
        _others("C1", lambda b, r: X_LETTERS[: X_LETTERS.index(r)]),
    ),
    Slip(
        "more volts than needed",
        "This one would hold, but one with fewer volts does as well, and is smaller and cheaper. An ac rating is "
        "compared with rms volts, not with the peak.",
        _others("C1", lambda b, r: X_LETTERS[X_LETTERS.index(r) + 1 :]),
        credit=0.5,
    ),
    Slip(
        "class Y where no person is in the circuit",
        "Class Y is for where a failure could put a person in danger. Here C1 lies between conductors only: which "
        "class is for that?",
        lambda b, e: {"C1": Y_LETTERS},
    ),
    Slip(
        "class X where a person is in the circuit",
        "Class X may fail as a short, and then the person gets the mains. Where a finger is a part of the circuit only "
        "another class counts.",
        lambda b, e: {"pad": X_LETTERS},
    ),
    Slip(
        "a class with too few volts",
        "The class is right, the volts are too few: compare them with your numbers.",
        _others("pad", lambda b, r: Y_LETTERS[: Y_LETTERS.index(r)]),
    ),
    Slip(
        "more volts than needed",
        "This one would hold, but one with fewer volts does as well, and is smaller and cheaper. Its ac rating is "
        "compared with rms volts, too.",
        _others("pad", lambda b, r: Y_LETTERS[Y_LETTERS.index(r) + 1 :]),
        credit=0.5,
    ),
    Slip(
        "rungs closer than the tolerance",
        "With such rungs the parts of one value reach far beyond the next rungs: you would pay for steps that nobody "
        "can tell apart. Which series has rungs as far apart as these parts may differ?",
        _others("series", lambda b, r: _series_past(b, r, finer=True)),
    ),
    Slip(
        "rungs wider than the tolerance",
        "With such rungs there are gaps between what the parts of one value and of the next reach. Which series has "
        "rungs as far apart as these parts may differ?",
        _others("series", lambda b, r: _series_past(b, r, finer=False)),
    ),
    Slip(
        "money for what is close already",
        "Near the null each per cent counts alike, in C1 or in R. Which of the two may be further off here? That one "
        "decides.",
        _others("spend", lambda b, r: (CLOSER if r == MEASURE else MEASURE,)),
    ),
)
