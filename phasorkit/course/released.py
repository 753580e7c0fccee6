"""What nbgrader's release step adds to every exercise: the way to hints and progress, and a class's own marks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nbformat import NotebookNode
from nbgrader.converters import GenerateAssignment
from nbgrader.preprocessors import NbGraderPreprocessor
from sqlalchemy import make_url

from phasorkit.course.class_marks import FILE, read_marks
from phasorkit.course.grading.notebooks import check_name
from phasorkit.course.model import tasks

IMPORT = "from phasorkit.course import begin, check"
"""The line of a solution that the release makes longer."""

STUCK = (
    '**Stuck?** In a cell of your own, `hint("{check}")` gives a hint, each call one step more; `progress()` shows how '
    "far you are. Neither changes your marks."
)


def prepare(config: Any) -> None:
    """Put `AsReleased` before nbgrader's own steps, in a traitlets configuration."""
    steps = config.GenerateAssignment.get("preprocessors") or GenerateAssignment().preprocessors
    ours = f"{__name__}.{AsReleased.__name__}"
    config.GenerateAssignment.preprocessors = [ours, *(step for step in steps if step != ours)]


class AsReleased(NbGraderPreprocessor):  # type: ignore[misc]
    """The first step of a release: what every exercise says of hints, and the points of the class's file of marks."""

    def preprocess(self, notebook: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Change a solution notebook before nbgrader takes the solutions out; errors as in `read_marks`."""
        about = resources["nbgrader"]
        graded = [cell for cell in notebook.cells if cell.metadata.get("nbgrader", {}).get("grade")]
        names = [check_name(cell.source) for cell in graded]
        _say_where_help_is(notebook, names)
        if about["assignment"] in tasks():
            exercise = read_marks(class_folder_of(about["db_url"]) / FILE).task(about["assignment"])
            for cell, name in zip(graded, names, strict=True):
                points = next((c.points for c in exercise.checks if c.name == name), cell.metadata.nbgrader.points)
                if points != cell.metadata.nbgrader.points:
                    cell.metadata.nbgrader.points = points
        return notebook, resources


def _say_where_help_is(notebook: NotebookNode, checks: list[str]) -> None:
    """One line in the first cell, and the two functions in the import; nothing twice."""
    first = notebook.cells[0] if notebook.cells else None
    if not checks or first is None or first.cell_type != "markdown" or "**Stuck?**" in first.source:
        return
    for cell in notebook.cells:
        if cell.cell_type == "code" and cell.source.strip() == IMPORT:
            cell.source = f"{IMPORT}, hint, progress"
            first.source = f"{first.source.rstrip()}\n\n{STUCK.format(check=checks[0])}"
            return


def class_folder_of(db_url: str) -> Path:
    """The class folder: where the gradebook lies."""
    return Path(make_url(db_url).database or ".").resolve().parent
