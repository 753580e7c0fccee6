"""Known slips of the exercise `sequence`, its colours: what each one gives, and the words that teach."""

from __future__ import annotations

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.tasks.sequence import values
from phasorkit.course.tasks.sequence.values import EITHER, LEADS, LINE, NEUTRAL, UNKNOWN


def _one_habit_only(brief: Brief, earlier: Values) -> dict[str, tuple[str, ...]]:
    return {n: (LINE, NEUTRAL) for n, what in values.colours(brief, earlier).items() if what == EITHER}


def _either_everywhere(brief: Brief, earlier: Values) -> Choices:
    right = values.colours(brief, earlier)
    return {n: EITHER for n in LEADS if right[n] != EITHER}


def _wrong_column(brief: Brief, earlier: Values) -> Choices:
    right = values.colours(brief, earlier)
    return {n: NEUTRAL if right[n] == LINE else LINE for n in LEADS if right[n] != EITHER}


COLOURS_SLIPS = (
    Slip(
        "one habit believed",
        "You went by one of the two habits. Where both meet, one colour can be a line conductor in a lead of the one "
        "and the neutral in a lead of the other: and that is the lead that hurts.",
        _one_habit_only,
        must=True,
    ),
    Slip(
        "colours taken for a proof of the sequence",
        "Colours do not tell the sequence. One exchange anywhere upstream turns it round, and no lead changes its "
        "colour for it. Only a test tells.",
        lambda b, e: {"sequence": ("1-2-3", "1-3-2")},
        must=True,
    ),
    Slip(
        "either, where both habits agree",
        "Rightly careful. But by the two tables a lead is called either only where one habit has it for a line and the "
        "other for the neutral. Look up each colour in both.",
        _either_everywhere,
        credit=0.25,
        must=True,
    ),
    Slip(
        "a lead called unknown",
        "Here the tables do tell something: look up the colour in both. Where they differ there is a word for it.",
        lambda b, e: dict.fromkeys(LEADS, UNKNOWN),
        must=True,
    ),
    Slip(
        "a lead's word for the sequence",
        "For the sequence there are three other words: look at the end of the question.",
        lambda b, e: {"sequence": (LINE, NEUTRAL, EITHER)},
        must=True,
    ),
    Slip(
        "line and neutral mixed up",
        "A line conductor and a neutral are mixed up. Look up the colour in both tables once more.",
        _wrong_column,
        must=True,
    ),
)
