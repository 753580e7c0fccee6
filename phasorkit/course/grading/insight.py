"""What a graded class tells about each check: who had it right, which slips came how often, whether it tells apart.

Sources, from memory: the correlation of an item with the rest of the test as the measure of discrimination, good from
0.3 on, Ebel and Frisbie, Essentials of Educational Measurement; the interval of a correlation, R. A. Fisher 1915.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import atanh, sqrt, tanh
from statistics import StatisticsError, correlation, median

from phasorkit.course.grading.records import Record, Row
from phasorkit.course.grading.unread import nothing_read
from phasorkit.course.model import BLANK, UNREADABLE, Check, Task

ENOUGH = 10
"""Learners below which nothing is said about how well a check tells them apart."""

POOR = 0.3
"""Correlation that a check should reach; it is called poor where even the upper end of its interval stays below."""

ONE_IN_TEN = 1.2816
"""Standard deviations that a normal deviate exceeds once in ten times."""

EASY = 0.95
"""Share of right answers from which a check tells little, because nearly all have it right (or nearly none)."""

KINDS = ("right", "part", "wrong", "blank", "unreadable")
"""What became of an answer: full marks, some, none, not answered, or not to be read as an answer."""


@dataclass(frozen=True)
class CheckFacts:
    """One check over a class.

    `counts`: how many of each of `KINDS`; `followed`: how many of the right ones follow from an earlier answer;
    `slips`: slips and how often, the commonest first; `discrimination`: correlation of its marks with the marks of the
    other checks, or None where it cannot be said.
    """

    name: str
    says: str
    points: float
    counts: tuple[int, ...]
    followed: int
    slips: tuple[tuple[str, int], ...]
    discrimination: float | None

    @property
    def learners(self) -> int:
        """How many learners' answers are counted."""
        return sum(self.counts)

    @property
    def share_right(self) -> float:
        """Share of full marks, 0 to 1."""
        return self.counts[0] / self.learners if self.learners else 0.0

    @property
    def remark(self) -> str:
        """In words, where the check tells good work from poor badly; empty where it does well or cannot be said."""
        if self.learners < ENOUGH:
            return ""
        if self.share_right >= EASY:
            return "nearly everybody has it right, so it hardly tells learners apart (fine for a warm-up)"
        if self.share_right <= 1 - EASY:
            return "hardly anybody has it right: look at the question, the lesson before it, and the right answer"
        highest = self._highest()
        if highest >= POOR:
            return ""
        if highest < 0:
            return "those who do well elsewhere do worse here: look at its wording and at its right answer"
        return "it goes little with the rest of the work: look whether its wording or its form trips people up"

    def _highest(self) -> float:
        """Upper end of the discrimination (Fisher's transformation): what it may well be in so small a class."""
        if self.discrimination is None or abs(self.discrimination) >= 1:
            return 1.0 if self.discrimination is None else self.discrimination
        return tanh(atanh(self.discrimination) + ONE_IN_TEN / sqrt(self.learners - 3))


def read_work(records: Sequence[Record]) -> list[Record]:
    """The records that count: those of which something could be read."""
    return [record for record in records if not nothing_read(record.flags)]


def check_facts(exercise: Task, records: Sequence[Record]) -> list[CheckFacts]:
    """Facts about every check of an exercise, in order; `records` are those of `read_work`."""
    return [_facts(exercise.check(c.name), [r for r in records if any(row.check == c.name for row in r.rows)])
            for c in exercise.checks]  # fmt: skip


def _facts(check: Check, records: Sequence[Record]) -> CheckFacts:
    rows = [next(row for row in record.rows if row.check == check.name) for record in records]
    counts = Counter(map(kind_of, rows))
    slips = Counter(row.slip for row in rows if row.slip)
    ordered = sorted(slips.items(), key=lambda item: (-item[1], item[0]))
    rest = [record.points - row.points for record, row in zip(records, rows, strict=True)]
    tells = _correlation([row.points for row in rows], rest) if len(rows) >= ENOUGH else None
    right = tuple(counts[kind] for kind in KINDS)
    followed = sum(row.followed and kind_of(row) == "right" for row in rows)
    return CheckFacts(check.name, check.says, check.points, right, followed, tuple(ordered), tells)


def kind_of(row: Row) -> str:
    """Which of `KINDS` an answer is; marks set by hand count as they are."""
    if row.points >= row.maximum:
        return "right"
    if row.points > 0:
        return "part"
    return row.outcome if row.outcome in (BLANK, UNREADABLE) else "wrong"


def shown_points(row: Row) -> str:
    """Points of an answer as the tables show them, with a sign where they were set by hand or follow from another.

    >>> shown_points(Row("power", 1.5, 3.0, followed=True)), shown_points(Row("power", 0.0, 3.0))
    ('→1.5', '–')
    """
    mark = "✎" if row.by_hand else "→" if row.followed else ""
    return "–" if row.outcome == BLANK and not row.points else f"{mark}{row.points:g}"


def _correlation(one: Sequence[float], other: Sequence[float]) -> float | None:
    try:
        return correlation(one, other)
    except StatisticsError:  # all the same
        return None


def summary(records: Sequence[Record]) -> str:
    """Scores of a class in one sentence.

    >>> summary([])
    'No work could be read.'
    """
    if not records:
        return "No work could be read."
    points = sorted(record.points for record in records)
    most = records[0].maximum
    full = sum(value >= most for value in points)
    half = sum(value < most / 2 for value in points)
    learners = "1 learner" if len(points) == 1 else f"{len(points)} learners"
    return (
        f"{learners}: half of them have {median(points):g} of {most:g} marks or more (from {points[0]:g} to "
        f"{points[-1]:g}). Full marks: {full}. Below half of the marks: {half}."
    )


def slip_words(facts: CheckFacts, most: int = 3) -> list[str]:
    """The commonest slips with counts: "11 of 28: line and phase voltage mixed up"."""
    return [f"{count} of {facts.learners}: {name}" for name, count in facts.slips[:most]]
