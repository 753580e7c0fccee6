"""Can the right answer and the slips be told apart with these numbers? Decides which briefs are drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import inf

from phasorkit.course.model import Brief, Landmark, Task, truths


@dataclass(frozen=True)
class Overlap:
    """Two landmarks of one check whose windows touch; `second` is dropped in favour of `first` ("" is the answer).

    `gap` is the distance of the values minus both half windows, in units of the windows' sum; negative.
    """

    check: str
    entry: str
    first: str
    second: str
    gap: float
    must: bool


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
        Empty when everything can be told apart. `must` tells that the numbers are drawn again because of it.
    """
    true = truths(exercise, brief)
    pairs = (
        (check.name, first, second)
        for check in exercise.checks
        for first, second in combinations(check.landmarks(brief, true), 2)
    )
    return tuple(
        Overlap(check, first.entry, first.slip, second.slip, _gap(first, second), _must(first, second))
        for check, first, second in pairs
        if first.entry == second.entry and first.slip != second.slip and _gap(first, second) <= 0
    )


def dropped(exercise: Task, brief: Brief, check_name: str) -> frozenset[tuple[str, str]]:
    """(entry, slip) of those slips of a check that coincide with the answer or an earlier slip for this brief."""
    overlaps = separation(exercise, brief)
    return frozenset((o.entry, o.second) for o in overlaps if o.check == check_name)


def acceptable(exercise: Task, brief: Brief) -> bool:
    """Whether the numbers are fair and every slip that must be told apart can be."""
    return exercise.fair(brief) and margin(exercise, brief) > 0


def margin(exercise: Task, brief: Brief) -> float:
    """The smallest gap between two landmarks that must be told apart, as in `Overlap`; positive is enough."""
    true = truths(exercise, brief)
    gaps = [inf]
    for check in exercise.checks:
        marks = [m for m in check.landmarks(brief, true) if m.must]
        gaps += [_gap(a, b) for a, b in combinations(marks, 2) if a.entry == b.entry and a.slip != b.slip]
    return min(gaps)


def _gap(first: Landmark, second: Landmark) -> float:
    reach = first.reach + second.reach
    return (abs(first.value - second.value) - reach) / reach if reach else float(first.value != second.value)


def _must(first: Landmark, second: Landmark) -> bool:
    """A slip that must be told apart, against the right answer or against another such slip."""
    return second.must and (first.slip == "" or first.must)
