"""What an exercise is made of, and the one pure function that marks an answer.

A `Task` holds its checks; a `Check` knows the right value for a learner's `Brief`, reads an answer and marks it.
`judge` is used by the notebook and by both graders, so an answer earns the same marks everywhere.
"""

from __future__ import annotations

import importlib
import pkgutil
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations
from typing import Any, ClassVar

from phasorkit.course.plain import PlainData

RIGHT, PART, WRONG, BLANK, UNREADABLE = "right", "part", "wrong", "blank", "unreadable"
"""Outcomes of a mark."""

Values = Mapping[str, Any]
"""Values of the checks by name: a float, a mapping of floats, or words."""


@dataclass(frozen=True)
class Brief:
    """One learner's numbers: read-only, each value an attribute in SI units.

    `values` are pairs of name and value. An AttributeError lists the names there are.

    >>> Brief("bridge", "app-01", "2025", (("line_voltage", 400.0), ("frequency", 50.0))).frequency
    50.0
    """

    exercise: str
    learner: str
    class_code: str
    values: tuple[tuple[str, float | str], ...]

    def __getattr__(self, name: str) -> Any:
        if not name.startswith("_") and name != "values":
            for known, value in self.values:
                if known == name:
                    return value
            raise AttributeError(f"this brief has no {name!r}; it has {', '.join(n for n, _ in self.values)}")
        raise AttributeError(name)


@dataclass(frozen=True)
class Mark:
    """What one answer earned: points of a maximum, the feedback text, and how it came about.

    `slip` names the slip in a few words ("multiplied by √3 instead of dividing") or is None; `followed` tells that
    marks were given because the answer follows from an earlier one; `outcome` is one of "right", "part", "wrong",
    "blank", "unreadable".
    """

    points: float
    maximum: float
    text: str
    slip: str | None = None
    followed: bool = False
    outcome: str = WRONG


@dataclass(frozen=True)
class Slip:
    """A known mistake of one check.

    `name`: the mistake in a few words, as a class report prints it. `words`: what the learner is told; teaches, and
    never holds a result. `value`: what the mistake gives, from the brief and the earlier values (a float, or for a
    table the entries it touches). `credit`: share of the marks it keeps. `must`: numbers are drawn again until it
    can be told apart.
    """

    name: str
    words: str
    value: Callable[[Brief, Values], Any]
    credit: float = 0.0
    must: bool = False


@dataclass(frozen=True, kw_only=True)
class Check(ABC):
    """One graded question; subclasses know a kind of answer (a number, a table of numbers, words).

    `says`: one line, what is checked. `points`: its maximum. `follows`: names of the earlier checks its answer builds
    on. `hints`: from a nudge to the set-up; none holds a result. `reads`: the variable that holds the answer, where it
    has another name than the check (several checks may read one).
    """

    mixes: ClassVar[bool] = True
    """Whether the answer may follow from some of the learner's earlier answers and the true others."""

    name: str
    says: str
    points: float
    follows: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    reads: str = ""

    @property
    def variable(self) -> str:
        """The variable in the notebook that holds the answer."""
        return self.reads or self.name

    @abstractmethod
    def truth(self, brief: Brief, earlier: Values) -> Any:
        """The value that is right, given the brief and the values of the checks it follows."""

    @abstractmethod
    def own(self, answer: PlainData, truth: Any) -> Any:
        """An answer as a value that later checks may follow, or None if it cannot be read or makes no sense."""

    @abstractmethod
    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """Mark an answer that is not blank; `earlier` holds first the true values, then those the learner had."""

    def fits(self, answer: PlainData) -> Callable[[Brief, Values], bool]:
        """Tells of a brief and its true values whether they make this answer right; as `judge`, but no slip is sought.

        The answer is read once, so that it can be held against the numbers of a whole class.
        """
        return lambda brief, true: self.mark(brief, answer, [true]).outcome == RIGHT

    @abstractmethod
    def landmarks(self, brief: Brief, earlier: Values) -> Iterator[Landmark]:
        """Where the right answer and every single slip lie for this brief (for `separation`)."""

    def blank(self) -> Mark:
        """The mark of a question that was not answered."""
        nudge = f" To get going: {self.hints[0]}" if self.hints else ""
        return Mark(0.0, self.points, f"No answer yet, that is fine.{nudge}", outcome=BLANK)


@dataclass(frozen=True)
class Landmark:
    """A value an answer may have: the right one (`slip` is empty) or a slip's; `reach` is its half window.

    `own`: one of the check's own slips, not a general one. `must`: has to be told apart.
    """

    entry: str
    slip: str
    value: float
    reach: float
    own: bool = False
    must: bool = False


@dataclass(frozen=True, eq=False)
class Task:
    """An exercise: name, title, the story, how numbers are drawn, how they are told, and its checks in order.

    `draw` takes a `Picker` (integer arithmetic only) and returns the brief's values; `tells` words them, one line
    each; `fair` says whether honest rounding cannot change an answer with these numbers (they are drawn again
    otherwise). Raise `version` whenever one of them changes.
    """

    name: str
    title: str
    scenario: str
    draw: Callable[[Any], Mapping[str, float | str]]
    tells: Callable[[Brief], Sequence[str]]
    checks: tuple[Check, ...]
    fair: Callable[[Brief], bool] = lambda _: True
    version: int = 1

    @property
    def points(self) -> float:
        """Sum of the maxima."""
        return sum(c.points for c in self.checks)

    def check(self, name: str) -> Check:
        """The check of that name; a KeyError lists the names there are."""
        for c in self.checks:
            if c.name == name:
                return c
        raise KeyError(
            f"exercise {self.name!r} has no check {name!r}; there are {', '.join(c.name for c in self.checks)}"
        )


@cache
def tasks() -> dict[str, Task]:
    """Every exercise by name; a new one is a new module in `phasorkit.course.tasks`.

    >>> "bridge" in tasks()
    True
    """
    home = importlib.import_module("phasorkit.course.tasks")
    modules = [importlib.import_module(f"{home.__name__}.{m.name}") for m in pkgutil.iter_modules(home.__path__)]
    found: list[Task] = [m.TASK for m in modules if hasattr(m, "TASK")]
    return {t.name: t for t in found}


def task(name: str) -> Task:
    """The exercise of that name; a KeyError lists the names there are.

    >>> task("bridge").points
    20.0
    """
    if name not in tasks():
        raise KeyError(f"no exercise {name!r}; there are {', '.join(tasks())}")
    return tasks()[name]


@lru_cache(maxsize=1024)
def truths(exercise: Task, brief: Brief) -> Values:
    """The right value of every check of an exercise for one brief, by check name."""
    found: dict[str, Any] = {}
    for c in exercise.checks:
        found[c.name] = c.truth(brief, found)
    return found


def judge(exercise: Task, brief: Brief, check_name: str, answers: Mapping[str, PlainData]) -> Mark:
    """Mark one answer. Pure: the same arguments give the same mark, and nothing else is read or written.

    Parameters
    ----------
    exercise : Task
    brief : Brief
        The learner's numbers, from `phasorkit.course.briefs.draw_brief`.
    check_name : str
        Which check.
    answers : mapping of check name to plain data
        Snapshots taken so far, this one included; a missing one counts as not answered.

    Returns
    -------
    Mark
        Points between 0 and the maximum, as plain floats.

    Raises
    ------
    KeyError
        Unknown check. Never for anything that stands in `answers`.

    Notes
    -----
    The true value wins first; then a value that follows from the learner's own earlier answers (each combination of
    own and true ones; where few words are to choose from, all own ones) earns full marks with a note; then known
    slips are looked for.
    """
    check = exercise.check(check_name)
    answer = answers.get(check_name)
    if answer is None or (isinstance(answer, str) and not answer.strip()):
        return check.blank()
    true = truths(exercise, brief)
    return check.mark(brief, answer, _earlier(exercise, check, true, answers))


def _earlier(exercise: Task, check: Check, true: Values, answers: Mapping[str, PlainData]) -> list[Values]:
    """The true values, then every mix of true and own values of the checks it follows, most own ones first."""
    own = {name: exercise.check(name).own(answers.get(name), true[name]) for name in check.follows}
    usable = [name for name in check.follows if own[name] is not None and own[name] != true[name]]
    mixes: list[Values] = [true]
    fewest = 1 if check.mixes else max(len(usable), 1)
    for count in range(len(usable), fewest - 1, -1):
        mixes += [{**true, **{name: own[name] for name in chosen}} for chosen in combinations(usable, count)]
    return mixes
