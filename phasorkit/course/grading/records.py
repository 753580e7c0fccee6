"""What one submission earned and why, as a record that outlives the run (JSON), and a whole class of them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

from phasorkit.course.class_marks import OWN, ClassMarks
from phasorkit.course.grading.rebuild import Flag
from phasorkit.course.plain import PlainData

FORMAT = 1
"""Number of the record's format; another number makes a submission be graded afresh."""


@dataclass(frozen=True)
class Row:
    """One check of one submission.

    `points` of `maximum`; `slip` names the mistake that was recognised, or None; `followed` tells that the marks are
    for an answer that follows from an earlier one; `outcome` as in `phasorkit.course.model.Mark`; `note` is the
    feedback the learner reads; `by_hand` tells that a person set the points in the gradebook.
    """

    check: str
    points: float
    maximum: float
    slip: str | None = None
    followed: bool = False
    outcome: str = "blank"
    note: str = ""
    by_hand: bool = False


@dataclass(frozen=True)
class Record:
    """One submission as graded. `source` is the fingerprint of all that its marks depend on.

    `begun`: learner and class code of the begin cell, or None; `answers`: what was answered, by check, as plain data;
    `late_penalty`: marks that nbgrader takes off because it came late.
    """

    learner: str
    exercise: str
    source: str
    rows: tuple[Row, ...]
    flags: tuple[Flag, ...] = ()
    seconds: float = 0.0
    begun: tuple[str, str] | None = None
    answers: Mapping[str, PlainData] = field(default_factory=dict)
    late_penalty: float = 0.0

    @property
    def points(self) -> float:
        """Sum over the checks."""
        return sum(row.points for row in self.rows)

    @property
    def counted(self) -> float:
        """What is left of the points after the late penalty, never below zero, as nbgrader exports it."""
        return max(0.0, self.points - self.late_penalty) if self.late_penalty else self.points

    @property
    def maximum(self) -> float:
        """Most that could be earned."""
        return sum(row.maximum for row in self.rows)

    def to_json(self) -> bytes:
        """The record as JSON text."""
        return json.dumps({"format": FORMAT, **asdict(self)}, indent=1, ensure_ascii=False).encode("utf-8", "replace")

    def flagged(self, flags: Iterable[Flag]) -> Record:
        """The same record with further flags in front."""
        return replace(self, flags=(*flags, *self.flags))


def load(file: Path) -> Record | None:
    """Read a record; None when there is none, or none of this format."""
    try:
        return parse(file.read_bytes())
    except OSError:
        return None


def parse(text: bytes) -> Record | None:
    """A record from its JSON text; None when it is none of this format."""
    try:
        found = json.loads(text)
        if found.pop("format") != FORMAT:
            return None
        rows = tuple(Row(**row) for row in found.pop("rows"))
        flags = tuple(Flag(**flag) for flag in found.pop("flags"))
        begun = found.pop("begun", None)
        return Record(rows=rows, flags=flags, begun=tuple(begun) if begun else None, **found)
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


@dataclass(frozen=True)
class Problem:
    """A submission or file that was not graded, and why, in one line."""

    learner: str
    exercise: str
    file: str
    reason: str


@dataclass(frozen=True)
class ClassResult:
    """A graded class: one record per submission, what was not graded, and which records stood from an earlier run.

    `marks`: what the class changes of the exercises' marks.
    """

    class_folder: Path
    records: tuple[Record, ...]
    problems: tuple[Problem, ...]
    unchanged: int = 0
    seconds: float = 0.0
    marks: ClassMarks = OWN

    @property
    def needs_a_person(self) -> bool:
        """Whether anything was left ungraded or flagged."""
        return bool(self.problems) or any(record.flags for record in self.records)

    def checks(self, exercise: str) -> tuple[str, ...]:
        """Names of an exercise's checks, in order."""
        for record in self.records:
            if record.exercise == exercise:
                return tuple(row.check for row in record.rows)
        return ()
