"""Can the right answer and the slips be told apart with these numbers? Decides which briefs are drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import inf

from phasorkit.course.model import Brief, Landmark, Task, truths


@dataclass(frozen=True)
class Overlap:
    """Two landmarks of one check whose windows touch; `second` is dropped in favour of `first`.

    `must` tells that the numbers are drawn again because of it.
    """

    check: str
    first: Landmark
    second: Landmark

    @property
    def must(self) -> bool:
        """A slip that must be told apart, against the right answer or against another such slip."""
        return self.first.must and self.second.must


@lru_cache(maxsize=1024)
def separation(exercise: Task, brief: Brief) -> tuple[Overlap, ...]:
    """Every pair of landmarks (right answer, slips) that a value could belong to both of.

    Parameters
    ----------
    exercise : Task
    brief : Brief

    Returns
    -------
    tuple of Overlap
        Empty when everything can be told apart.
    """
    true = truths(exercise, brief)
    return tuple(
        Overlap(check.name, first, second)
        for check in exercise.checks
        for first, second in combinations(check.landmarks(brief, true), 2)
        if _comparable(first, second) and _gap(first, second) <= 0
    )


def dropped(exercise: Task, brief: Brief, check_name: str) -> frozenset[Landmark]:
    """Those slips of a check that coincide with the answer or an earlier slip for this brief."""
    return frozenset(o.second for o in separation(exercise, brief) if o.check == check_name)


def acceptable(exercise: Task, brief: Brief) -> bool:
    """Whether the numbers are fair and every slip that must be told apart can be."""
    return exercise.fair(brief) and margin(exercise, brief) > 0


def margin(exercise: Task, brief: Brief) -> float:
    """The smallest gap between two landmarks that must be told apart; positive is enough.

    A gap is the distance of two values less both half windows, in units of the windows' sum.
    """
    true = truths(exercise, brief)
    gaps = [inf]
    for check in exercise.checks:
        marks = [m for m in check.landmarks(brief, true) if m.must]
        gaps += [_gap(a, b) for a, b in combinations(marks, 2) if _comparable(a, b)]
    return min(gaps)


def _comparable(first: Landmark, second: Landmark) -> bool:
    return first.entry == second.entry and first.slip != second.slip


def _gap(first: Landmark, second: Landmark) -> float:
    reach = first.reach + second.reach
    return (abs(first.value - second.value) - reach) / reach if reach else float(first.value != second.value)
