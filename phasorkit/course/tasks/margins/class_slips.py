"""Known slips of the exercise `margins`, tolerance classes and harmonics: what each one gives, and the words."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot, sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.tasks.margins import values
from phasorkit.course.tasks.margins.values import LETTERS, NONE, RESISTORS
from phasorkit.indicators.base import OVERVOLTAGE

Told = dict[str, tuple[str, ...]]

TIGHTEST_FIRST = (NONE, *LETTERS)


def _with(brief: Brief, resistor: str, *, below: float = 40.0, over: float = OVERVOLTAGE, root: bool = False) -> str:
    worst = {c: values.worst_by_rule(brief, resistor, c, over=over, root=root) for c in LETTERS}
    return values.loosest(worst, below)


def _without_unbalance(brief: Brief, resistor: str) -> str:
    return values.loosest({c: values.worst_by_rule(brief, resistor, c, unbalance=False) for c in LETTERS}, 40.0)


WAYS: tuple[Callable[[Brief, str], str], ...] = (
    lambda b, r: _with(b, r, root=True),
    lambda b, r: _with(b, r, below=values.LIT_ABOVE),
    lambda b, r: _with(b, r, over=1.0),
    _without_unbalance,
)
"""Ways to the wrong letter; one that leads where an earlier one led is not told apart from it."""


def _only_by(way: int) -> Callable[[Brief, Values], Told]:
    """The letters that this way leads to, and neither the right one nor any way before it."""

    def gives(brief: Brief, earlier: Values) -> Told:
        right = values.classes(brief, earlier)
        found: Told = {}
        for r in RESISTORS:
            letter = WAYS[way](brief, r)
            if letter not in {right[r], *(w(brief, r) for w in WAYS[:way])}:
                found[r] = (letter,)
        return found

    return gives


def _tighter(brief: Brief, earlier: Values) -> Told:
    right = values.classes(brief, earlier)
    return {r: tuple(c for c in LETTERS if _place(c) < _place(right[r])) for r in RESISTORS}


def _looser(brief: Brief, earlier: Values) -> Told:
    right = values.classes(brief, earlier)
    known = {r: {way(brief, r) for way in WAYS} for r in RESISTORS}
    return {
        r: tuple(c for c in TIGHTEST_FIRST if _place(c) > _place(right[r]) and c not in known[r]) for r in RESISTORS
    }


def _place(letter: str) -> int:
    return TIGHTEST_FIRST.index(letter)


CLASSES_SLIPS = (
    Slip(
        "the likely limit for what must always hold",
        "This fits the root of the squares. The lamp of EVERY tester has to stay dark: worst case, so plain adding. If "
        "you did add plainly, look at the rules again: they are parts of the LINE voltage.",
        _only_by(0),
    ),
    Slip(
        "the lit limit for the dark one",
        "This fits the volts above which a lamp is surely LIT. Surely dark is the lower end of its window.",
        _only_by(1),
    ),
    Slip(
        "without the ten per cent",
        "At the high end of the supply all that is left on the lamp is a tenth more. Take that in.",
        _only_by(2),
        credit=0.5,
    ),
    Slip(
        "without the unbalance",
        "So it would come out without the unbalance. The supply has its part in it: frequency and unbalance push as "
        "well. If you have them, look at your rules again: they are parts of the LINE voltage.",
        _only_by(3),
        credit=0.5,
    ),
    Slip(
        "tighter than need be",
        "With this one the lamp stays dark, and you pay for more than you need. Add up for the next looser letter, by "
        "the rules of thumb.",
        _tighter,
        credit=0.25,
    ),
    Slip(
        "given up too early",
        "There is a class with which the lamp stays dark. Begin with the tightest letter and add up.",
        lambda b, e: {r: (NONE,) for r, letter in values.classes(b, e).items() if letter != NONE},
    ),
    Slip(
        "looser than the lamp allows",
        "Add up for this pair of letters once more: C1, R3, R1 and R2, frequency, unbalance, and a tenth on top.",
        _looser,
    ),
)


def _ways(wanted: str, taken: tuple[str, ...]) -> Callable[[Brief, Values], Told]:
    return lambda b, e: {n: taken for n, way in values.directions(b, e).items() if way == wanted}


DIRECTION_SLIPS = (
    Slip(
        "a wave that runs backward taken for forward",
        "The delay of L2 is as many times a third of a turn as the order says. Take whole turns away: is a third left, "
        "or two?",
        _ways("backward", ("forward",)),
        must=True,
    ),
    Slip(
        "a wave that runs forward taken for backward",
        "Not all harmonics run backward. Take whole turns away from the delay of L2: one third left means forward.",
        _ways("forward", ("backward",)),
        must=True,
    ),
    Slip(
        "a multiple of three overlooked",
        "Of this order the three phases swing together: the delay of L2 is a number of whole turns, and nothing is "
        "left.",
        _ways("zero", ("forward", "backward")),
        must=True,
    ),
    Slip(
        "called zero, and no multiple of three",
        "Zero is for waves that swing together in all three phases. Is the delay of L2 a number of whole turns here?",
        lambda b, e: _ways("forward", ("zero",))(b, e) | _ways("backward", ("zero",))(b, e),
        must=True,
    ),
)


def _likely_of(earlier: Values) -> float:
    return float(earlier["limits"]["", "likely"])


TOGETHER_SLIPS = (
    Slip(
        "plain adding",
        "You added them like plain numbers. Waves of different frequency add like the sides of a right-angled "
        "triangle.",
        lambda b, e: _likely_of(e) + values.fifth(b),
        credit=0.25,
        must=True,
    ),
    Slip(
        "the fifth as a part of the phase voltage",
        "You took the per cent of the phase voltage. They are per cent of the LINE voltage.",
        lambda b, e: hypot(_likely_of(e), values.fifth(b) / sqrt(3)),
        credit=0.5,
    ),
    Slip(
        "the fifth left out",
        "This is what the parts and the fundamental leave. The fifth harmonic runs backward, and the bridge has no "
        "null for it.",
        lambda b, e: _likely_of(e),
        must=True,
    ),
    Slip(
        "the fifth by itself",
        "This is the fifth harmonic by itself. The likely limit of the parts stands on the lamp besides.",
        lambda b, e: values.fifth(b),
        credit=0.25,
        must=True,
    ),
    Slip(
        "no root",
        "You added the squares. Now take the root.",
        lambda b, e: values.together(b, e) ** 2,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the worst case with it",
        "You took the limit that nothing exceeds. Asked for is the LIKELY limit together with the fifth.",
        lambda b, e: hypot(float(e["limits"]["", "worst"]), values.fifth(b)),
        credit=0.5,
    ),
    Slip(
        "subtracted",
        "Nothing is taken away here. Square each, add, take the root.",
        lambda b, e: abs(_likely_of(e) - values.fifth(b)),
    ),
)
