"""Marks and tolerances of a class: what its file ``marks.toml`` changes, read by everything that marks.

One table for each check, with what is to differ from the exercise's own values::

    [bridge.resistance]
    points = 5      # marks
    percent = 3     # accepted deviation [% of the right value]
    plus = 0.5      # and this much more [unit of the answer]

A learner's numbers do not depend on it: they are drawn with the exercise's own tolerances.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from phasorkit.course.diagnosis import Tolerance
from phasorkit.course.model import Check, Task, task, tasks
from phasorkit.course.numbers import PreferredCheck

FILE = "marks.toml"

LIMITS = {"points": (0.5, 100.0), "percent": (0.1, 20.0), "plus": (0.0, 1e9)}
"""What a value of the file may be, bounds included."""

LEVELS = 4
"""Folders above a notebook in which its class's file is looked for."""


class MarksError(ValueError):
    """A file of marks that cannot be used; the message names file, exercise, check and value, and what is accepted."""


@dataclass(frozen=True)
class Change:
    """What a class changes of one check; None stays as the exercise has it.

    `points`: maximum [marks]; `percent` and `plus`: accepted deviation [% of the right value, unit of the answer].
    """

    exercise: str
    check: str
    points: float | None = None
    percent: float | None = None
    plus: float | None = None

    def on(self, check: Check) -> Check:
        """The check with these marks and this tolerance."""
        changed: dict[str, Any] = {} if self.points is None else {"points": self.points}
        if self.percent is not None or self.plus is not None:
            own: Tolerance = check.tolerance  # type: ignore[attr-defined]
            relative = own.relative if self.percent is None else self.percent / 100
            changed["tolerance"] = Tolerance(relative, own.absolute if self.plus is None else self.plus)
        return replace(check, **changed)


@dataclass(frozen=True)
class ClassMarks:
    """All changes of a class, plain data; none for the exercises' own marks.

    >>> ClassMarks((Change("bridge", "resistance", points=5.0),)).task("bridge").points
    22.0
    """

    changes: tuple[Change, ...] = ()

    def task(self, name: str) -> Task:
        """The exercise of that name with the class's marks; a KeyError lists the names there are."""
        return _changed(task(name), tuple(c for c in self.changes if c.exercise == name))


@lru_cache(maxsize=256)
def _changed(exercise: Task, changes: tuple[Change, ...]) -> Task:
    by_check = {c.check: c for c in changes}
    if not by_check:
        return exercise
    checks = tuple(by_check[c.name].on(c) if c.name in by_check else c for c in exercise.checks)
    return replace(exercise, checks=checks)


OWN = ClassMarks()
"""The exercises' own marks."""


def has_tolerance(check: Check) -> bool:
    """Whether a check accepts deviations that a class may set; a value of a series has to be met exactly.

    >>> [has_tolerance(task("bridge").check(name)) for name in ("resistance", "preferred", "volts")]
    [True, False, True]
    """
    return isinstance(getattr(check, "tolerance", None), Tolerance) and not isinstance(check, PreferredCheck)


def read_marks(file: Path) -> ClassMarks:
    """The marks of a class.

    Parameters
    ----------
    file : Path
        A file as above (UTF-8); where there is none, the exercises' own marks count.

    Raises
    ------
    MarksError
        No TOML, an exercise, check or value that is not there, or a number out of range.
    """
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return OWN
    except (OSError, UnicodeDecodeError) as error:
        raise MarksError(f"{file} cannot be read ({error}); save it as plain text, UTF-8") from error
    return parse_marks(text, str(file))


def parse_marks(text: str, where: str = FILE) -> ClassMarks:
    """The marks of a class from the text of its file; `where` names it in an error. Errors as in `read_marks`.

    >>> parse_marks("[bridge.resistance]\\npoints = 5").changes[0].points
    5.0
    >>> parse_marks("[bridge.resistence]\\npoints = 5")
    Traceback (most recent call last):
    ...
    phasorkit.course.class_marks.MarksError: marks.toml: bridge has no check 'resistence'; it has reactance, \
resistance, preferred, volts, power, residual
    """
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        hint = "write lines such as  points = 5  or  percent = 2.5  (with a point) below  [exercise.check]"
        raise MarksError(f"{where} cannot be read: {error}; {hint}") from error
    changes: list[Change] = []
    for name, checks in found.items():
        if name not in tasks():
            raise MarksError(f"{where}: there is no exercise {name!r}; there are {', '.join(tasks())}")
        for check, values in _table(checks, f"{where}: {name}").items():
            if check not in [c.name for c in task(name).checks]:
                there = ", ".join(c.name for c in task(name).checks)
                raise MarksError(f"{where}: {name} has no check {check!r}; it has {there}")
            changes.append(_change(task(name), check, values, f"{where}: {name}.{check}"))
    return ClassMarks(tuple(c for c in changes if c != Change(c.exercise, c.check)))


def _table(found: object, where: str) -> Mapping[str, Any]:
    if not isinstance(found, dict):
        raise MarksError(f"{where} must be a table, got {found!r}; write  [exercise.check]  above the values")
    return found


def _change(exercise: Task, check: str, values: object, where: str) -> Change:
    read: dict[str, float] = {}
    for key, value in _table(values, where).items():
        if key not in LIMITS:
            raise MarksError(f"{where} has no value {key!r}; it takes {', '.join(LIMITS)}")
        if key != "points" and not has_tolerance(exercise.check(check)):
            raise MarksError(f"{where} takes points only: its answer has no tolerance that could be set")
        low, high = LIMITS[key]
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not low <= value <= high:
            raise MarksError(f"{where}: {key} must be a number from {low:g} to {high:g}, got {value!r}")
        read[key] = float(value)
    return Change(exercise.name, check, read.get("points"), read.get("percent"), read.get("plus"))


def marks_here() -> ClassMarks:
    """`marks_near` the folder that a notebook runs in; the exercises' own where that folder is gone."""
    try:
        here = Path.cwd()
    except OSError:
        return OWN
    return marks_near(here)


def marks_near(folder: Path) -> ClassMarks:
    """The marks of the class that a notebook in this folder belongs to.

    The nearest of this folder and the four above it that holds ``marks.toml`` or ``class/marks.toml``, so that the
    file counts in the course folder and wherever it is handed out with the notebooks. Errors as in `read_marks`.

    >>> marks_near(Path("nowhere")) == OWN
    True
    """
    for place in (folder, *list(folder.parents)[:LEVELS]):
        for file in (place / FILE, place / "class" / FILE):
            if file.is_file():
                return read_marks(file)
    return OWN


def reach(check: Check) -> str:
    """The tolerance of a check that has one, in words with its unit.

    >>> reach(task("bridge").check("volts"))
    '2 % + 0.5 V'
    """
    tolerance, unit = check.tolerance, str(getattr(check, "unit", ""))  # type: ignore[attr-defined]
    return f"{tolerance} {unit}" if tolerance.absolute and unit else str(tolerance)


def told(exercise: Task, marks: ClassMarks) -> list[str]:
    """What a class changes of an exercise, a line for each check, for a learner to read.

    >>> told(task("bridge"), parse_marks("[bridge.power]\\npoints = 4\\npercent = 5"))
    ['power: 4 marks, within 5 %']
    """
    lines = []
    for change in (c for c in marks.changes if c.exercise == exercise.name):
        check = marks.task(exercise.name).check(change.check)
        within = f", within {reach(check)}" if has_tolerance(check) else ""
        lines.append(f"{check.name}: {check.points:g} marks{within}")
    return lines
