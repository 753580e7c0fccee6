"""For the tests of grading: the demo class graded by the command, and the same files by stock nbgrader."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from nbgrader.api import Gradebook

from phasorkit.course.grading.demo_work import PUPILS

ROOT = Path(__file__).resolve().parent.parent
COURSE_ID = "phasorkit"
Scores = dict[tuple[str, str], float | None]


@dataclass(frozen=True)
class Command:
    """A finished command: exit code and what it printed on both streams."""

    code: int
    said: str


def run(*arguments: str, cwd: Path = ROOT, own_path: bool = False) -> Command:
    """Run a module of this Python; without `own_path` its programs are not on PATH, as in a venv nobody activated."""
    search = "/usr/bin:/bin" if os.name == "posix" else os.environ.get("SYSTEMROOT", "")
    if own_path:
        search = os.pathsep.join([str(Path(sys.executable).parent), search])
    done = subprocess.run(
        [sys.executable, "-m", *arguments],
        cwd=cwd, env={**os.environ, "PATH": search, "COLUMNS": "80", "PYTHONUTF8": "1"}, stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=900, check=False,
    )  # fmt: skip
    return Command(done.returncode, done.stdout.decode("utf-8"))


def stock(course: Path, inbox: Path) -> Path:
    """Grade the demo's readable files by nbgrader's own two commands; returns its class folder."""
    shutil.copytree(ROOT / "solutions", course / "solutions")
    stock_config(course)
    for pupil in PUPILS:
        handed_in = inbox / (f"{pupil.learner}_bridge.ipynb" if pupil.flat else f"{pupil.learner}/bridge.ipynb")
        place = course / "class" / "submitted" / pupil.learner / "bridge" / "bridge.ipynb"
        place.parent.mkdir(parents=True)
        shutil.copy(handed_in, place)
    for step in ("generate_assignment", "autograde"):
        done = run("nbgrader", step, "bridge", cwd=course, own_path=True)
        assert done.code == 0, done.said
    return course / "class"


def stock_config(course: Path) -> None:
    """The course's configuration without the part that puts nbgrader's grading on our path."""
    text = (ROOT / "nbgrader_config.py").read_text(encoding="utf-8")
    kept, ours = text.split("\n# nbgrader's own grading")
    assert "course_id" in kept
    assert "Marked" in ours
    (course / "nbgrader_config.py").write_text(kept, encoding="utf-8")


def automatic_scores(class_folder: Path, exercise: str = "bridge") -> Scores:
    """Automatic score of every check of every submission of an exercise in a gradebook."""
    with Gradebook(f"sqlite:///{(class_folder / 'gradebook.db').as_posix()}", COURSE_ID) as book:
        return {
            (submission.student.id, grade.name): grade.auto_score
            for submission in book.assignment_submissions(exercise)
            for notebook in submission.notebooks
            for grade in notebook.grades
        }
