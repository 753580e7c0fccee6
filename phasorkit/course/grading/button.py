"""nbgrader's own ways to grade (formgrader's button, ``nbgrader autograde``) on the same path as ``phasorkit grade``.

The course's configuration names these two classes: the cells then run in the sandbox, the checks outside, and never
while another run grades the class.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from nbconvert.exporters import NotebookExporter
from nbformat import NotebookNode
from nbgrader.api import Gradebook, MissingEntry
from nbgrader.preprocessors import NbGraderPreprocessor

from phasorkit.course.class_marks import FILE, read_marks
from phasorkit.course.grading import worker
from phasorkit.course.grading.folder import ClassFolder, replace_file
from phasorkit.course.grading.gradebook import enter_points
from phasorkit.course.grading.kernel import Kernels, Limits
from phasorkit.course.grading.lock import Busy, take
from phasorkit.course.grading.notebooks import check_name, dump, grade_id, load
from phasorkit.course.grading.own_code import told_of_library
from phasorkit.course.grading.records import load as load_record
from phasorkit.course.released import class_folder_of

NO_SANDBOX = (
    "There is no sandbox here ({why}), so nothing was graded: grade by the command phasorkit grade with "
    "--trust-learners, and this button will trust them too"
)

OURS = ("stopped", "begin", "learner", "class code")
"""Kinds of flags that grading gives; others come from taking the work in, and stay."""


@dataclass(frozen=True)
class Settings:
    """How the class was graded last: its code, whether its learners are trusted, and the time for a notebook [s]."""

    class_code: str | None = None
    trusted: bool = False
    cell_seconds: int = Limits.cell_seconds
    total_seconds: int = Limits.total_seconds

    @classmethod
    def of(cls, class_code: str | None, kernels: Kernels, limits: Limits) -> Settings:
        """The settings of a run."""
        return cls(class_code, kernels != Kernels.SANDBOX, limits.cell_seconds, limits.total_seconds)


def write_settings(folder: ClassFolder, settings: Settings) -> None:
    """Keep the settings for the button."""
    replace_file(folder.settings, json.dumps(settings.__dict__, indent=1).encode("utf-8"))


def read_settings(folder: ClassFolder) -> Settings:
    """The settings of the last run; the safe ones where there are none that can be read."""
    try:
        return Settings(**json.loads(folder.settings.read_bytes()))
    except (OSError, ValueError, TypeError):
        return Settings()


class OneAtATime(NotebookExporter):
    """Takes the lock of the class folder before nbgrader touches anything, and gives it back when it is done."""

    def __init__(self, config: Any = None, parent: Any = None) -> None:
        super().__init__(config=config, parent=parent)  # type: ignore[no-untyped-call]
        folder = class_folder_of(parent.coursedir.db_url)
        try:
            self.lock = take(folder, "nbgrader")
        except Busy:
            gc.collect()  # an earlier click that failed half-way may hold it still, with nobody left to give it back
            self.lock = take(folder, "nbgrader")

    def from_filename(self, filename: str, resources: Any = None) -> tuple[Any, Any]:  # type: ignore[override]
        """Convert one notebook; nbgrader calls this twice, first to clean it up, then to grade it."""
        converter: Any = self.parent
        try:
            if converter._sanitizing:
                _enter_points(converter.coursedir)
            result: tuple[Any, Any] = super().from_filename(filename, resources=resources)
        except BaseException:
            self.lock.close()
            raise
        if not converter._sanitizing:
            self.lock.close()
        return result


class Marked(NbGraderPreprocessor):  # type: ignore[misc]
    """Runs and marks a notebook as `phasorkit grade` does, in the place of nbgrader's run of the cells."""

    def preprocess(self, notebook: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Put in the outputs and marks, and write our record of them."""
        about = resources["nbgrader"]
        folder = ClassFolder(class_folder_of(about["db_url"]), "")
        settings = read_settings(folder)
        cells = {grade_id(cell): cell for cell in notebook.cells if cell.metadata.get("nbgrader", {}).get("grade")}
        checks = {name: check_name(cell.source) for name, cell in cells.items()}
        marks, noticed = read_marks(folder.path / FILE), self._noticed(about["assignment"], notebook, checks)
        job = worker.Job(
            about["student"], about["assignment"], dump(notebook), checks, class_code=settings.class_code,
            limits=Limits(settings.cell_seconds, settings.total_seconds),
            kernels=_kernels(settings), marks=marks, noticed=noticed,
        )  # fmt: skip
        with ThreadPoolExecutor(1) as apart:  # an event loop may be running here, and a kernel may need its own
            graded = apart.submit(worker.grade, job).result()
        for cell, ours in zip(notebook.cells, load(graded.notebook).cells, strict=True):
            if cell.cell_type == "code":
                cell.outputs, cell.execution_count = ours.outputs, ours.execution_count
        self._keep(folder, graded)
        return notebook, resources

    def _noticed(self, exercise: str, notebook: NotebookNode, checks: Mapping[str, str]) -> dict[str, str]:
        """What is told of the library, where the released exercise is at hand."""
        course: Any = self.parent.parent.coursedir
        file = Path(course.root) / course.release_directory / exercise / f"{exercise}.ipynb"
        return told_of_library(dump(notebook), file.read_bytes(), checks) if file.is_file() else {}

    def _keep(self, folder: ClassFolder, graded: worker.Graded) -> None:
        record = graded.record
        file = folder.record(record.learner, record.exercise)
        old = load_record(file)
        if old is not None:
            record = replace(record, source=old.source).flagged(flag for flag in old.flags if flag.kind not in OURS)
        replace_file(file, record.to_json())


def _kernels(settings: Settings) -> Kernels:
    """Where the cells run.

    Raises
    ------
    RuntimeError
        There is no sandbox, and nobody said that the learners can be trusted.
    """
    why = worker.trouble(Kernels.SANDBOX)
    if why and not settings.trusted:
        raise RuntimeError(NO_SANDBOX.format(why=why))
    return Kernels.unprotected() if why else Kernels.SANDBOX


def _enter_points(course: Any) -> None:
    """The class's points of today, where the gradebook has the exercise; nbgrader reads them from there."""
    marks = read_marks(class_folder_of(course.db_url) / FILE)
    with suppress(MissingEntry), Gradebook(course.db_url, course.course_id) as book:
        enter_points(book, course.assignment_id, marks)
