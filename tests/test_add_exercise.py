"""A new exercise is one module and one notebook: added to a copy of the course, it is released, gated and graded."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import nbformat
import pytest
from added_exercise.shares import TASK
from grading_runs import ROOT, run
from sandbox_runs import require_sandbox

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.notebooks import dump, load
from phasorkit.course.model import truths

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
SOLUTION = {
    "total": "total = brief.r1 + brief.r2",
    "current": "current = brief.volts / total",
    "share": "share = current * brief.r2",
    "power": "power = share * current",
}


def cell(kind: str, name: str, source: str, **role: object) -> nbformat.NotebookNode:
    """A cell of a source notebook with its part in nbgrader."""
    made = {"code": nbformat.v4.new_code_cell, "markdown": nbformat.v4.new_markdown_cell}[kind](source, id=name)
    about = {"grade": False, "grade_id": name, "locked": True, "schema_version": 3, "solution": False, "task": False}
    made.metadata["nbgrader"] = {**about, **role}
    return made


def cells() -> Iterator[nbformat.NotebookNode]:
    """The source notebook of the exercise `shares`, in the order of every exercise."""
    intro = (
        f"# {TASK.title}\n\n{TASK.scenario}\n\n**Safety.** Extra-low voltage only.\n\nBy hand. {TASK.points:g} marks."
    )
    yield cell("markdown", "shares-start", intro)
    yield cell("code", "shares-import", "from phasorkit.course import begin, check")
    yield nbformat.v4.new_code_cell('brief = begin("shares", learner="", class_code="")', id="shares-begin")
    for c in TASK.checks:
        yield cell("markdown", f"{c.name}-text", f"## {c.says} ({c.points:g} marks), in {c.unit}, within 2 %")
        worked = f"{c.name} = None\n### BEGIN SOLUTION\n{SOLUTION[c.name]}\n### END SOLUTION"
        yield cell("code", f"{c.name}-answer", worked, locked=False, solution=True)
        checks = f'# Checks {c.says}.\ncheck("{c.name}")'
        yield cell("code", f"{c.name}-check", checks, grade=True, points=int(c.points))


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the course with one module and one notebook more, released by the command."""
    root = tmp_path_factory.mktemp("course")
    for name in ("phasorkit", "tests", "lessons"):
        shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("__pycache__", "hostile", "bench"))
    for name in ("exercises", "solutions"):
        shutil.copytree(ROOT / name / "bridge", root / name / "bridge")
    for name in ("nbgrader_config.py", "pyproject.toml"):
        shutil.copy(ROOT / name, root)
    shutil.copy(ROOT / "tests" / "added_exercise" / "shares.py", root / "phasorkit" / "course" / "tasks")
    notebook = nbformat.v4.new_notebook(cells=list(cells()))
    kernel = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
    notebook.metadata = {"kernelspec": kernel, "language_info": {"name": "python"}}
    source = root / "solutions" / "shares" / "shares.ipynb"
    source.parent.mkdir()
    nbformat.write(notebook, source)
    done = run("phasorkit", "teach", "release", cwd=root)
    assert (done.code, done.said.strip()) == (0, "exercises/shares/shares.ipynb is missing")
    return root


def test_it_is_released_with_hints_and_without_its_solution(course: Path) -> None:
    """Nothing but the two files was written by hand."""
    text = (course / "exercises" / "shares" / "shares.ipynb").read_text(encoding="utf-8")
    assert "begin, check, hint, progress" in text
    assert 'hint(\\"total\\")' in text
    assert "brief.r1" not in text


def test_it_passes_the_gates_of_every_exercise(course: Path) -> None:
    """The tests that find exercises by themselves find it."""
    words = ("-q", "-p", "no:cacheprovider", "-n", "0", "tests/test_every_task.py", "-k", "shares")
    done = run("pytest", *words, cwd=course)
    assert done.code == 0, done.said
    assert " passed" in done.said


def test_it_is_graded_by_the_command_with_key_sheet_and_marks(course: Path) -> None:
    """Two learners: all right, and resistors reckoned in parallel with all that follows from it."""
    require_sandbox()
    release = (course / "exercises" / "shares" / "shares.ipynb").read_bytes()
    wrong = {**SOLUTION, "total": "total = brief.r1 * brief.r2 / (brief.r1 + brief.r2)"}
    for learner, work in (("app-01", SOLUTION), ("app-02", wrong)):
        notebook = load(release)
        for there in notebook.cells:
            there.source = there.source.replace('learner=""', f'learner="{learner}"')
            if code := work.get(there.id.removesuffix("-answer")):
                there.source += f"\n{code}"
        place = course / "inbox" / learner / "shares.ipynb"
        place.parent.mkdir(parents=True)
        place.write_bytes(dump(notebook))
    done = run("phasorkit", "grade", "inbox", cwd=course)
    assert done.code == 0, done.said
    table = (course / "class" / "grades.csv").read_text(encoding="utf-8-sig").splitlines()
    assert table[1].startswith("app-01,shares,graded,6,6,100.0,1,2,2,1")
    assert table[2].startswith("app-02,shares,graded,5,6,83.3,0,2,2,1")
    assert "reckoned as in parallel" in (course / "class" / "checks.csv").read_text(encoding="utf-8-sig")
    said = run("phasorkit", "teach", "key", "--learner", "app-01", "--exercise", "shares", cwd=course).said
    right = truths(TASK, draw_brief(TASK, "app-01", ""))
    assert f"{right['total']:.4g}" in said
    assert run("phasorkit", "teach", "sheets", "--learner", "app-01", "--exercise", "shares", cwd=course).code == 0
    assert "resistance of both in series" in run("phasorkit", "teach", "marks", "--exercise", "shares", cwd=course).said
