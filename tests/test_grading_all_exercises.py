"""A class with all exercises in one run, and each exercise mangled as learners' editors mangle notebooks.

The points that are expected come from `judge`, which other tests hold against independent calculations; here it is
checked that none is lost or gained on the way through files, kernels and gradebook.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import nbformat
import pytest
from course_cases import right_answers
from nbformat import NotebookNode
from sandbox_runs import require_sandbox
from whole_class import CODE, ROOT, expected, filled, hand_in

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.kernel import Kernels
from phasorkit.course.grading.notebooks import grade_id
from phasorkit.course.grading.pool import local_workers
from phasorkit.course.grading.records import ClassResult
from phasorkit.course.grading.run import grade_folder
from phasorkit.course.model import task, tasks

Points = dict[tuple[str, str, str], float]
LEARNERS = 3
NAMES = sorted(tasks())


@pytest.fixture(autouse=True, scope="module")
def _sandbox() -> Iterator[None]:
    require_sandbox()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def graded(inbox: Path, folder: Path) -> ClassResult:
    """The class graded by two workers."""
    workers = local_workers(2, Kernels.SANDBOX)
    return grade_folder(inbox, root=ROOT, class_folder=folder, class_code=CODE, workers=workers)


def points(result: ClassResult) -> Points:
    """Points by learner, exercise and check, as the gradebook has them."""
    return {(r.learner, r.exercise, row.check): row.points for r in result.records for row in r.rows}


def test_a_class_with_all_exercises_has_the_points_that_its_answers_earn(tmp_path: Path) -> None:
    right = hand_in(tmp_path / "inbox", LEARNERS)
    result = graded(tmp_path / "inbox", tmp_path / "class")
    assert result.problems == ()
    assert points(result) == pytest.approx(right)
    assert len({name for _, name, _ in right}) == len(NAMES) >= 12
    report = (tmp_path / "class" / "report.html").read_text(encoding="utf-8")
    assert [task(name).title for name in NAMES if f">{task(name).title}<" not in report] == []
    assert not re.search(r"<script|src=\"http", report)


# Mangled -------------------------------------------------------------------------------------------------------------

Cells = list[NotebookNode]


def at(cells: Cells, name: str) -> int:
    """Where the cell of that grade id stands."""
    return next(k for k, cell in enumerate(cells) if grade_id(cell) == name)


def answer_deleted(cells: Cells, variable: str) -> None:
    """The first answer's cell is gone."""
    del cells[at(cells, f"{variable}-answer")]


def check_deleted(cells: Cells, variable: str) -> None:
    """Every check's cell is gone."""
    cells[:] = [cell for cell in cells if not grade_id(cell).endswith("-check")]


def copied(cells: Cells, variable: str) -> None:
    """All cells stand there twice, as after a paste at the end."""
    cells.extend([NotebookNode({**cell, "id": f"copy-{k}"}) for k, cell in enumerate(list(cells))])


def split(cells: Cells, variable: str) -> None:
    """The first answer is split in two cells at its last line."""
    k = at(cells, f"{variable}-answer")
    above, below = cells[k].source.rsplit(f"\n{variable} =", 1)
    cells[k].source = above
    cells.insert(k + 1, nbformat.v4.new_code_cell(f"{variable} ={below}", id="lower-half"))


def retyped(cells: Cells, variable: str) -> None:
    """The first check became text, and the first answer a raw cell."""
    for name, kind in (
        (f"{variable}-answer", "raw"),
        (next(n for n in map(grade_id, cells) if n.endswith("-check")), "markdown"),
    ):
        cell = cells[at(cells, name)]
        cell.cell_type = kind
        for key in ("outputs", "execution_count"):
            cell.pop(key, None)


def other_kernel(cells: Cells, variable: str) -> None:
    """Nothing in the cells; the notebook names another kernel."""


MANGLES: dict[Callable[[Cells, str], None], bool] = {
    answer_deleted: False, check_deleted: True, copied: True, split: True, retyped: True, other_kernel: True
}  # fmt: skip
"""Whether the first answer is still there to be marked."""


@dataclass(frozen=True)
class Mangled:
    """The graded class, and the points that each submission should have."""

    result: ClassResult
    right: Points


@pytest.fixture(scope="module")
def mangled(tmp_path_factory: pytest.TempPathFactory) -> Mangled:
    """Every exercise in every state, under names as browsers save them."""
    base = tmp_path_factory.mktemp("mangled")
    right: Points = {}
    for name in NAMES:
        exercise = task(name)
        for change, kept in MANGLES.items():
            learner = change.__name__.replace("_", "-")
            brief = draw_brief(exercise, learner, CODE)
            answers = right_answers(exercise, brief)
            notebook = filled(name, learner, answers)
            first = exercise.checks[0].variable
            change(notebook.cells, first)
            if change is other_kernel:
                notebook.metadata = {"kernelspec": {"name": "ir", "display_name": "R", "language": "R"}}
            if not kept:
                answers |= {c.name: None for c in exercise.checks if c.variable == first}
            right |= {(learner, name, c): p for c, p in expected(exercise, brief, answers).items()}
            file = base / "inbox" / learner / f"{name}{' (1)' if change is copied else ''}.ipynb"
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(nbformat.writes(notebook), encoding="utf-8")
    return Mangled(graded(base / "inbox", base / "class"), right)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("change", MANGLES, ids=lambda change: change.__name__)
def test_mangled_work_keeps_its_marks(mangled: Mangled, change: Callable[[Cells, str], None], name: str) -> None:
    learner = change.__name__.replace("_", "-")
    found = {k: p for k, p in points(mangled.result).items() if k[:2] == (learner, name)}
    assert found == pytest.approx({k: p for k, p in mangled.right.items() if k[:2] == (learner, name)})


def test_nothing_was_left_ungraded(mangled: Mangled) -> None:
    assert mangled.result.problems == ()
