"""Own numbers for every learner: drawn from exercise, learner and class code, the same on every machine."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Sequence
from typing import TypeVar

from phasorkit.course.model import Brief, Task
from phasorkit.course.separation import acceptable

T = TypeVar("T")
ATTEMPTS = 500
"""Draws after which an exercise is reported as badly posed."""


def normalise(text: str) -> str:
    """A learner id or class code as it counts: Unicode NFKC, trimmed, case folded.

    >>> normalise("  App-01 "), normalise("ＡＰＰ-01")
    ('app-01', 'app-01')
    """
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).strip().casefold())


class Picker:
    """Picks from lists by integer arithmetic on SHA-256 digests: no random module, nothing to change between versions.

    >>> Picker("a seed").pick([10, 20, 30]) == Picker("a seed").pick([10, 20, 30])
    True
    """

    def __init__(self, seed: str) -> None:
        self._seed = seed
        self._count = 0

    def whole(self, below: int) -> int:
        """A whole number from 0 up to, not including, `below`."""
        if below < 1:
            raise ValueError(f"below must be at least 1, got {below!r}")
        self._count += 1
        digest = hashlib.sha256(f"{self._seed}\x1f{self._count}".encode()).digest()
        return int.from_bytes(digest, "big") % below

    def pick(self, options: Sequence[T]) -> T:
        """One of the options."""
        return options[self.whole(len(options))]


def draw_brief(exercise: Task, learner: str, class_code: str) -> Brief:
    """This learner's numbers.

    Parameters
    ----------
    exercise : Task
    learner : str
        Id of the learner; spelling variants that look alike count as one (see `normalise`).
    class_code : str
        Code of the class; may be empty in self-study. Another code gives other numbers (a resit).

    Raises
    ------
    ValueError
        Empty learner, or an exercise whose numbers cannot be told apart.

    Notes
    -----
    Numbers are drawn again until every slip that must be told apart is separated from the right answer and from the
    others (`phasorkit.course.separation`).

    Examples
    --------
    >>> from phasorkit.course.model import task
    >>> draw_brief(task("bridge"), "App-01 ", "2025") == draw_brief(task("bridge"), "app-01", "2025")
    True
    """
    if not normalise(learner):
        raise ValueError('learner must not be empty, for example learner="app-01" (in self-study learner="me" will do)')
    identity = (exercise.name, normalise(learner), normalise(class_code))
    for attempt in range(ATTEMPTS):
        seed = "\x1e".join([*identity, str(exercise.version), str(attempt)])
        brief = Brief(*identity, tuple(exercise.draw(Picker(seed)).items()))
        if acceptable(exercise, brief):
            return brief
    raise ValueError(f"exercise {exercise.name!r}: no numbers in {ATTEMPTS} draws keep its slips apart")
