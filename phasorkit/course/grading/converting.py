"""nbgrader's converters, made once and run for one learner after the other, and what their failures mean."""

from __future__ import annotations

import glob
import logging
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from nbgrader.converters.base import BaseConverter
from nbgrader.preprocessors import CheckCellMetadata, Execute
from sqlalchemy.exc import OperationalError

from phasorkit.surroundings import command_environment

BUTTON = "phasorkit.course.grading.button.Marked"
"""What stands in the course's configuration in the place of nbgrader's run of the cells."""


class GradebookError(RuntimeError):
    """nbgrader could not do its part; the message says what and where to read more."""


class GradebookLocked(GradebookError):
    """Another program keeps the gradebook locked."""


@contextmanager
def programs_on_path() -> Iterator[None]:
    """Put this Python's own programs first on PATH: nbgrader calls `alembic` by its bare name.

    Without it a virtual environment that is not activated makes no new gradebook.
    """
    before = os.environ.get("PATH", "")
    os.environ["PATH"] = command_environment()["PATH"]
    try:
        yield
    finally:
        os.environ["PATH"] = before


def runs_cells(step: object) -> bool:
    """Whether one of nbgrader's autograding steps is the one that runs the cells: nbgrader's own, or our button's."""
    return step in (Execute, BUTTON)


def without_metadata_check(steps: Iterable[object]) -> list[object]:
    """nbgrader's steps but for its check of the cells' metadata: these are the released ones, put there by us.

    The check costs a third of the time of storing marks.
    """
    return [step for step in steps if step not in (CheckCellMetadata, "nbgrader.preprocessors.CheckCellMetadata")]


class Step:
    """One converter with its exporter, whose templates are then read and compiled once."""

    def __init__(self, converter: BaseConverter, log: logging.Logger) -> None:
        self.converter: Any = converter
        self.converter.force = True
        self.log = log
        self.started = False

    def run(self, exercise: str, learner: str, failure: str) -> None:
        """Convert one learner's work.

        Raises
        ------
        GradebookLocked
            Another program kept the gradebook locked for longer than SQLite waits.
        GradebookError
            Anything else, with the words of `failure`; more is in the log.
        """
        self.converter.coursedir.assignment_id = exercise
        self.converter.coursedir.student_id = glob.escape(learner)
        try:
            with programs_on_path():
                if self.started:
                    self._once_more()
                else:
                    self.converter.start()
            self.started = True
        except Exception as error:
            self.started = False
            self.log.exception("%s", failure)
            kind = GradebookLocked if is_locked(error) else GradebookError
            raise kind(failure) from error

    def _once_more(self) -> None:
        """What the converter's start does, without making the exporter anew."""
        self.converter.init_notebooks()
        before = os.getcwd()
        os.chdir(self.converter.coursedir.root)
        try:
            self.converter.convert_notebooks()
        finally:
            os.chdir(before)


def is_locked(error: BaseException | None) -> bool:
    """Whether an error comes from a database that somebody else keeps locked."""
    while error is not None:
        if isinstance(error, OperationalError) and "locked" in str(error):
            return True
        error = error.__cause__ or error.__context__
    return False
