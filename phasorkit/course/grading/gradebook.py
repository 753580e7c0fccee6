"""nbgrader's side of a class: its gradebook, its autograding steps around our marks, its feedback pages."""

from __future__ import annotations

import logging
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from nbconvert.exporters import NotebookExporter
from nbformat import NotebookNode, from_dict
from nbgrader.api import Gradebook, MissingEntry
from nbgrader.converters import GenerateAssignment, GenerateFeedback
from nbgrader.coursedir import CourseDirectory
from nbgrader.utils import compute_checksum
from sqlalchemy.exc import SQLAlchemyError
from traitlets.config import Config
from traitlets.config.loader import PyFileConfigLoader

from phasorkit.course.class_marks import OWN, ClassMarks
from phasorkit.course.grading import stored
from phasorkit.course.grading.converting import (
    OnePass,
    Step,
    is_locked,
    nbgrader_at_work,
    runs_cells,
    without_metadata_check,
)
from phasorkit.course.grading.feedback_page import FeedbackPage
from phasorkit.course.grading.folder import ClassFolder, GradebookError, GradebookLocked, locked
from phasorkit.course.grading.notebooks import check_name, grade_id, load, readable
from phasorkit.course.grading.rebuild import Master
from phasorkit.course.grading.safe import make_safe
from phasorkit.course.grading.stored import Score
from phasorkit.course.released import prepare

ATTEMPTS = 2
"""How often a locked gradebook is tried; SQLite itself waits five seconds each time."""


@dataclass(frozen=True)
class Nbgrader:
    """nbgrader, set to one class folder and to the exercises under `root`.

    The configuration of the course (``nbgrader_config.py``) is honoured, late penalties for instance; only the places
    are our own, so that any folder can be the class folder. `marks`: what the class changes of the exercises' marks.
    One process at a time writes through this.
    """

    root: Path
    folder: ClassFolder
    log: logging.Logger
    marks: ClassMarks = OWN

    @cached_property
    def _config(self) -> Config:
        file = self.root / "nbgrader_config.py"
        config = PyFileConfigLoader(file.name, path=str(self.root)).load_config() if file.exists() else Config()
        config.CourseDirectory = Config(course_id=config.CourseDirectory.get("course_id", ""))
        prepare(config)
        make_safe(config)  # also where a course's own configuration does not
        config.Exporter.optimistic_validation = True  # once for each notebook, not after each of nbgrader's steps
        return config

    @property
    def _db_url(self) -> str:
        return f"sqlite:///{self.folder.gradebook.as_posix()}"

    def _course(self, root: Path, exercise: str, learner: str) -> CourseDirectory:
        return CourseDirectory(
            config=self._config, log=self.log, root=str(root), db_url=self._db_url,
            assignment_id=exercise, student_id=learner,
        )  # fmt: skip

    @contextmanager
    def _opened(self) -> Iterator[Gradebook]:
        """The gradebook, closed afterwards; what the database says becomes an error of ours."""
        try:
            with nbgrader_at_work():
                book = Gradebook(self._db_url, self._config.CourseDirectory.course_id)
            with book:
                yield book
        except SQLAlchemyError as error:
            self.log.exception("using the gradebook")
            if is_locked(error):
                raise locked(self.folder.gradebook) from error
            raise GradebookError(f"{self.folder.gradebook} cannot be used as an nbgrader gradebook") from error

    def ensure_assignment(self, exercise: str) -> None:
        """Enter an exercise into the gradebook by nbgrader's own generate step, unless it is there already."""
        try:
            with self._opened() as book:
                enter_points(book, exercise, self.marks)
            return
        except MissingEntry:
            pass
        self.folder.passing.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory(dir=self.folder.passing, ignore_cleanup_errors=True) as name:
            course = Path(name)
            shutil.copytree(self.root / "solutions" / exercise, course / "source" / exercise)
            converter = GenerateAssignment(
                coursedir=self._course(course, exercise, "."), config=self._config, log=self.log
            )
            converter.create_assignment = True
            self._run(
                Step(converter, self.log),
                exercise,
                ".",
                f"the exercise {exercise!r} could not be entered into the gradebook",
            )

    def master(self, exercise: str) -> Master:
        """The exercise as graded: the released notebook, with locked cells and points from the gradebook.

        Raises
        ------
        GradebookError
            The released exercise is missing, or its cells are not those of the gradebook.
        """
        file = self.root / "exercises" / exercise / f"{exercise}.ipynb"
        if not file.is_file():
            raise GradebookError(f"the released exercise {file} is missing")
        if not readable(file):
            raise GradebookError(f"the released exercise {file} cannot be read: phasorkit teach release makes it anew")
        release = file.read_bytes()
        with self._opened() as book:
            notebook = book.find_notebook(exercise, exercise)
            known = {cell.name for cell in notebook.source_cells}
            locked = {cell.name: str(cell.source) for cell in notebook.source_cells if cell.locked}
            points = {cell.name: float(cell.max_score) for cell in notebook.grade_cells}
        ids = [grade_id(cell) for cell in load(release).cells]
        if different := sorted(known.symmetric_difference(filter(None, ids))):
            raise GradebookError(
                f"the gradebook has another edition of {exercise!r} than exercises/ (cells that differ: "
                f"{', '.join(different)}); grade with the edition it was started with, or use a new class folder"
            )
        checks = {name: check_name(locked.get(name, "")) for name in ids if name in points}
        for name, check in checks.items():
            if points[name] not in [c.points for c in self.marks.task(exercise).checks if c.name == check]:
                raise GradebookError(f"the check cell {name!r} of {exercise!r} and the exercise's own checks disagree")
        return Master(exercise, release, locked, checks)

    def get_ready(self) -> None:
        """Do now what `save` and `feedback` would do at their first call; that tells what goes wrong with it."""
        with suppress(Exception):
            for step in (self._autograde, self._feedback):
                step.get_ready()

    def save(self, learner: str, exercise: str, graded: bytes) -> None:
        """Store a marked notebook by nbgrader's own autograding, our outputs in the place of its run of the cells.

        Raises
        ------
        GradebookError
            nbgrader refused; the gradebook then has no new marks of this learner.
        """
        marked = load(graded)

        def replay(notebook: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
            for cell, ours in zip(notebook.cells, marked.cells, strict=True):
                if cell.source != ours.source:
                    raise GradebookError(f"nbgrader changed a cell of {learner} after it was marked")
                if cell.cell_type == "code":
                    cell.outputs, cell.execution_count = ours.outputs, ours.execution_count
            return notebook, resources

        steps = [replay if runs_cells(step) else step for step in self._steps]
        self._autograde.converter.autograde_preprocessors = steps
        self._run(self._autograde, exercise, learner, "nbgrader could not store the marks")

    @cached_property
    def _autograde(self) -> Step:
        converter = OnePass(coursedir=self._course(self.folder.path, "", ""), config=self._config, log=self.log)
        converter.exporter_class = NotebookExporter
        converter.sanitize_preprocessors = without_metadata_check(converter.sanitize_preprocessors)
        converter.autograde_preprocessors = without_metadata_check(converter.autograde_preprocessors)
        return Step(converter, self.log)

    @cached_property
    def _steps(self) -> list[object]:
        """nbgrader's steps as the course's configuration has them."""
        return list(self._autograde.converter.autograde_preprocessors)

    def feedback(self, learner: str, exercise: str) -> None:
        """Write a learner's feedback page by nbgrader's own feedback step; errors as in `save`."""
        self._run(self._feedback, exercise, learner, "nbgrader could not write the feedback page")

    @cached_property
    def _feedback(self) -> Step:
        config = Config(self._config)
        config.HTMLExporter.template_name = "feedback"
        converter = GenerateFeedback(coursedir=self._course(self.folder.path, "", ""), config=config, log=self.log)
        converter.exporter_class = FeedbackPage
        return Step(converter, self.log)

    def learners(self) -> set[str]:
        """See `stored.learners`."""
        with self._opened() as book:
            return stored.learners(book)

    def scores(self) -> Mapping[tuple[str, str], Mapping[str, Score]]:
        """See `stored.scores`."""
        with self._opened() as book:
            return stored.scores(book)

    def late_penalties(self) -> Mapping[tuple[str, str], float]:
        """See `stored.late_penalties`."""
        with self._opened() as book:
            return stored.late_penalties(book)

    def commented(self) -> set[tuple[str, str]]:
        """See `stored.commented`."""
        with self._opened() as book:
            return stored.commented(book)

    def _run(self, step: Step, exercise: str, learner: str, failure: str) -> None:
        for attempt in range(ATTEMPTS):
            try:
                step.run(exercise, learner, failure)
                return
            except GradebookLocked as error:
                if attempt + 1 == ATTEMPTS:
                    raise locked(self.folder.gradebook) from error
            except GradebookError as error:
                raise GradebookError(f"{failure}; the reason is in {self.folder.log}") from error


def enter_points(book: Gradebook, exercise: str, marks: ClassMarks) -> None:
    """Give the checks of an exercise that a gradebook has the points that the class has for them now.

    nbgrader's checksum of a cell, by which it sees a change, covers its points and is renewed with them.

    Raises
    ------
    MissingEntry
        The gradebook does not have the exercise.
    """
    notebook = book.find_notebook(exercise, exercise)
    sources = {cell.name: cell for cell in notebook.source_cells}
    wanted = {check.name: check.points for check in marks.task(exercise).checks}
    for cell in notebook.grade_cells:
        source = sources[cell.name]
        points = wanted.get(check_name(str(source.source)), cell.max_score)
        if points != cell.max_score:
            cell.max_score = points
            about = {"grade": True, "solution": False, "locked": source.locked, "grade_id": cell.name, "points": points}
            source.checksum = compute_checksum(
                from_dict(  # type: ignore[no-untyped-call]
                    {"cell_type": source.cell_type, "source": source.source, "metadata": {"nbgrader": about}}
                )
            )
    book.db.commit()
