"""What in a graded class a person should look at: what was seen, what may be behind it, never a verdict."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import prod
from pathlib import Path

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.insight import read_work
from phasorkit.course.grading.notebooks import readable
from phasorkit.course.grading.own_code import handed_out, library_use, read_submitted, same_code
from phasorkit.course.grading.records import ClassResult, Record
from phasorkit.course.model import Brief, Task, task, tasks, truths
from phasorkit.course.parts_check import PartsCheck

FOREIGN = 2
"""Answers that must fit another learner's numbers, and not one's own, before it is asked about."""

CHANCE = 0.1
"""Learners whose numbers may fit such answers by chance alone; with more, as for a choice of two words, nobody asks."""

CROWD = 30
"""Sets of numbers that nobody has, drawn to tell what fits by chance in a small class too."""


Numbers = tuple[tuple[str, float | str], ...]
"""A brief's values."""


@dataclass(frozen=True)
class Topic:
    """A kind of question: a heading, and what may be behind it, the harmless first."""

    title: str
    may_be: str


TOPICS = {
    "unreadable": Topic(
        "Work that could not be read",
        "A wrong or damaged file. Ask for the notebook again; it is graded when you run this again.",
    ),
    "rescued": Topic(
        "Files that had to be put right",
        "Editors and old programs do this. Look whether the rest of the work is there.",
    ),
    "identity": Topic(
        "Another id or class code than expected",
        "A typing mistake, an id that has changed since, last year's code, a file under the wrong name, or somebody "
        "else's work. The marks are for the numbers that the notebook began with.",
    ),
    "cells": Topic(
        "Cells changed, moved, missing or doubled",
        "Mostly a slip of the hand. The released cells were put back and count, so nothing was gained by it.",
    ),
    "stopped": Topic(
        "Notebooks that were stopped",
        "Mostly a loop without an end. The feedback page shows where; the answers before it count.",
    ),
    "solution": Topic(
        "Handed in from the solution notebook",
        "Perhaps your own trial run, or a solution that was given out by mistake. Ask where the notebook came from.",
    ),
    "library": Topic(
        "The library's own work in tasks by hand",
        "Perhaps only to check an answer, as the exercise suggests. Ask how the answer came about.",
    ),
    "same": Topic(
        "The same code, letter by letter",
        "People may have worked together, which you may have allowed. Ask each to explain one step.",
    ),
    "foreign": Topic(
        "Answers that fit another learner's numbers",
        "Perhaps the begin cell was run with another id while working. Ask for the way to the answer.",
    ),
    "other": Topic("Other things", "See what it says."),
}
"""Kinds of questions in the order of the report."""

_TOPIC_OF = {
    "unreadable": "unreadable", "rescued": "rescued", "begin": "identity", "learner": "identity",
    "class code": "identity", "edited": "cells", "retyped": "cells", "missing": "cells", "doubled": "cells",
    "moved": "cells", "stopped": "stopped", "solution": "solution",
}  # fmt: skip


@dataclass(frozen=True)
class Question:
    """One thing to look at: its topic (a key of `TOPICS`), whose work, and what was seen."""

    topic: str
    learner: str
    exercise: str
    text: str


def questions(result: ClassResult, *, root: Path) -> list[Question]:
    """Everything about graded work that a person should look at, by topic, learner and exercise.

    Parameters
    ----------
    result : ClassResult
    root : Path
        The course, for its ``exercises``: what was handed out is nobody's own.
    """
    found = [
        Question(_TOPIC_OF.get(flag.kind, "other"), record.learner, record.exercise, flag.text)
        for record in result.records
        for flag in record.flags
    ]
    for name in tasks():
        records = read_work([record for record in result.records if record.exercise == name])
        release = root / "exercises" / name / f"{name}.ipynb"
        if records and readable(release):
            found += _about_code(result.class_folder, records, release.read_bytes())
        found += _about_numbers(result.marks.task(name), records)
    order = list(TOPICS)
    return sorted(dict.fromkeys(found), key=lambda q: (order.index(q.topic), q.exercise, q.learner))


def _about_code(class_folder: Path, records: Sequence[Record], release: bytes) -> list[Question]:
    exercise = records[0].exercise
    allowed = handed_out(release)
    codes = {
        r.learner: read_submitted(class_folder / "submitted" / r.learner / exercise / f"{exercise}.ipynb", release)
        for r in records
    }
    found = []
    for learner, cells in codes.items():
        used: dict[str, list[str]] = defaultdict(list)
        for cell, module in library_use(cells, allowed):
            used[module].append(cell)
        found += [
            Question("library", learner, exercise, f"uses {module} in {_list(where)}") for module, where in used.items()
        ]
    for group in same_code(codes):
        for learner in group:
            others = [other for other in group if other != learner]
            found.append(Question("same", learner, exercise, f"all of its own code is that of {_list(others)}"))
    return found


def _about_numbers(exercise: Task, records: Sequence[Record]) -> list[Question]:
    """Wrong answers that are right for another learner's numbers; `exercise` has the class's marks.

    Lists of parts are left out: one list is right for many numbers.
    """
    asked = {record.learner: wrong for record in records if record.begun and len(wrong := _wrong(exercise, record)) > 1}
    if not asked:
        return []
    briefs: dict[Numbers, Brief] = {}
    owners: dict[Numbers, list[str]] = defaultdict(list)
    drawn: dict[str, Brief] = {}
    for record in records:
        if record.begun:
            brief = drawn[record.learner] = draw_brief(task(exercise.name), *record.begun)
            briefs.setdefault(brief.values, brief)
            owners[brief.values].append(record.learner)
    for number in range(CROWD):
        brief = draw_brief(task(exercise.name), f"nobody-{number}", "")
        briefs.setdefault(brief.values, brief)
    true = {values: truths(exercise, brief) for values, brief in briefs.items()}
    found = []
    for record in records:
        fits: dict[Numbers, list[str]] = defaultdict(list)
        for check in asked.get(record.learner, ()):
            right = exercise.check(check).fits(record.answers[check])
            for values, brief in briefs.items():
                if values != drawn[record.learner].values and right(brief, true[values]):
                    fits[values].append(check)
        often = Counter(check for checks in fits.values() for check in checks)
        for values, checks in fits.items():
            if len(checks) < FOREIGN or values not in owners:
                continue
            if _by_chance([often[check] / (len(briefs) - 1) for check in checks], len(owners) - 1) <= CHANCE:
                text = f"{_list(checks)} wrong for its own numbers, and right for those of {_list(owners[values])}"
                found.append(Question("foreign", record.learner, record.exercise, text))
    return found


def _wrong(exercise: Task, record: Record) -> list[str]:
    """Checks of today's exercise that are answered wrong, lists of parts left out."""
    there = {check.name for check in exercise.checks if not isinstance(check, PartsCheck)}
    return [row.check for row in record.rows
            if row.check in there and row.outcome == "wrong" and row.check in record.answers]  # fmt: skip


def _by_chance(shares: Sequence[float], others: int) -> float:
    """How many of so many sets of numbers would fit all of these answers, each of which fits that share of all sets.

    >>> _by_chance([1 / 31, 1 / 31], 1) < CHANCE < _by_chance([0.5, 0.25], 400)
    True
    """
    return others * prod(shares)


def _list(words: Sequence[str], most: int = 5) -> str:
    """Words in a row; of many only the first.

    >>> _list(["a"]), _list(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    if len(words) > most:
        return f"{', '.join(words[:most])} and {len(words) - most} more"
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
