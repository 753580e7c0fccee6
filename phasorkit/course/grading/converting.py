"""nbgrader's converters, made once and run for one learner after the other, and what their failures mean."""

from __future__ import annotations

import glob
import logging
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from importlib import import_module
from typing import Any

from nbconvert.writers.files import FilesWriter
from nbgrader.api import Gradebook
from nbgrader.converters import Autograde
from nbgrader.converters.base import BaseConverter
from nbgrader.preprocessors import CheckCellMetadata, Execute
from nbgrader.utils import setenv
from sqlalchemy.exc import OperationalError

from phasorkit.course.grading.feedback_page import FeedbackPage
from phasorkit.course.grading.folder import GradebookError, GradebookLocked
from phasorkit.surroundings import command_environment

BUTTON = "phasorkit.course.grading.button.Marked"
"""What stands in the course's configuration in the place of nbgrader's run of the cells."""


_gradebook = cache(Gradebook)
"""Makes a gradebook's object once: closed, it can be used again, and it remembers the SQL of its queries."""

OPENS_IT = (
    "converters.autograde", "preprocessors.getgrades", "preprocessors.latesubmissions", "preprocessors.overwritecells",
    "preprocessors.overwritekernelspec", "preprocessors.saveautogrades",
)  # fmt: skip
"""Modules of nbgrader that open the gradebook, ten times in all for one submission."""


@contextmanager
def nbgrader_at_work() -> Iterator[None]:
    """Two things that nbgrader lacks when it works in this process.

    This Python's own programs come first on PATH, for nbgrader calls `alembic` by its bare name: without it a virtual
    environment that is not activated makes no new gradebook. And its steps share the gradebook's object, which takes
    longer to make than what they do with it.
    """
    path = os.environ.get("PATH", "")
    modules: list[Any] = [import_module(f"nbgrader.{name}") for name in OPENS_IT]
    os.environ["PATH"] = command_environment()["PATH"]
    for module in modules:
        module.Gradebook = _gradebook
    try:
        yield
    finally:
        os.environ["PATH"] = path
        for module in modules:
            module.Gradebook = Gradebook


class OnePass(Autograde):  # type: ignore[misc]
    """nbgrader's autograding with its two rounds, to clean a notebook up and to grade it, in one conversion."""

    def convert_single_notebook(self, notebook_filename: str) -> None:
        """Take one notebook through the steps of both rounds, in their order."""
        self.exporter._preprocessors = []
        for step in [*self.sanitize_preprocessors, *self.autograde_preprocessors]:
            self.exporter.register_preprocessor(step)
        with setenv(NBGRADER_EXECUTION="autograde"):
            BaseConverter.convert_single_notebook(self, notebook_filename)


def runs_cells(step: object) -> bool:
    """Whether one of nbgrader's autograding steps is the one that runs the cells: nbgrader's own, or our button's."""
    return step in (Execute, BUTTON)


def without_metadata_check(steps: Iterable[object]) -> list[object]:
    """nbgrader's steps but for its check of the cells' metadata: these are the released ones, put there by us.

    The check costs a third of the time of storing marks.
    """
    return [step for step in steps if step not in (CheckCellMetadata, "nbgrader.preprocessors.CheckCellMetadata")]


class Step:
    """One converter with its exporter, whose templates are read and compiled once."""

    def __init__(self, converter: BaseConverter, log: logging.Logger) -> None:
        self.converter: Any = converter
        self.converter.force = True
        self.log = log
        self.ready = False

    def get_ready(self) -> None:
        """Make the exporter, as the converter does when it starts, and have it read its templates where it has any."""
        it = self.converter
        it.writer = FilesWriter(parent=it, config=it.config)  # type: ignore[no-untyped-call]
        it.exporter = it.exporter_class(parent=it, config=it.config)
        if isinstance(it.exporter, FeedbackPage):
            it.exporter.get_ready()
        for step in it.preprocessors:
            it.exporter.register_preprocessor(step)
        self.ready = True

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
            if not self.ready:
                self.get_ready()
            with nbgrader_at_work():
                self.converter.init_notebooks()
                self._convert()
        except Exception as error:
            self.ready = False
            self.log.exception("%s", failure)
            kind = GradebookLocked if is_locked(error) else GradebookError
            raise kind(failure) from error

    def _convert(self) -> None:
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
