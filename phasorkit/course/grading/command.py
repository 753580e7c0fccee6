"""``phasorkit grade``: grade a folder of submissions, or a made-up class."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from phasorkit.surroundings import course_folder

if TYPE_CHECKING:
    from phasorkit.course.grading.records import ClassResult

UNPROTECTED = (
    "Grading runs the learners' code on this machine without protection: it can read, change and delete your files."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of ``phasorkit grade``."""
    parser.add_argument(
        "folder", nargs="?", type=Path, help="submissions: learner/exercise.ipynb or learner_exercise.ipynb"
    )
    parser.add_argument("--demo", action="store_true", help="make a class of twelve and grade it")
    parser.add_argument("--class-code", help="the class's code; a notebook that says another one is flagged")
    parser.add_argument("--class-folder", type=Path, help="where results go (default: class; for the demo: demo-class)")
    parser.add_argument("--trust-learners", action="store_true", help="run the learners' code here without protection")
    parser.add_argument("--cell-seconds", type=int, default=30, help="longest time for one cell (default: 30)")
    parser.add_argument("--total-seconds", type=int, default=90, help="longest time for a notebook (default: 90)")


def run(given: argparse.Namespace) -> int:
    """Grade; 0 when all is graded, 1 when something needs a person, 2 for bad use, each with its line."""
    refusal = _refusal(given)
    if refusal:
        print(f"phasorkit grade: {refusal}", file=sys.stderr)
        return 2
    from phasorkit.course.grading.gradebook import GradebookError

    try:
        result = _grade(given)
    except (GradebookError, OSError, ValueError) as error:
        print(f"phasorkit grade: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("\nphasorkit grade: stopped; what was graded so far is kept, run it again for the rest", file=sys.stderr)
        return 1
    return int(result.needs_a_person)


def _refusal(given: argparse.Namespace) -> str:
    """Why the arguments cannot be used, or an empty text."""
    if given.demo == (given.folder is not None):
        return "give either a folder of submissions or --demo"
    if given.cell_seconds < 1 or given.total_seconds < 1:
        return "--cell-seconds and --total-seconds must be at least 1 [s]"
    if given.folder is not None and not given.folder.is_dir():
        return f"there is no folder {given.folder}"
    if given.folder is not None and not given.trust_learners:
        return f"{UNPROTECTED} If you trust the learners, say so with --trust-learners."
    return ""


def _grade(given: argparse.Namespace) -> ClassResult:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from phasorkit.course.grading.demo import CLASS_CODE, demo_inbox, make_class
    from phasorkit.course.grading.kernel import Limits
    from phasorkit.course.grading.report import show
    from phasorkit.course.grading.run import grade_folder

    root = course_folder()
    class_folder = given.class_folder or root / ("demo-class" if given.demo else "class")
    inbox, code, console = given.folder, given.class_code, Console()
    if given.demo:
        inbox, code = demo_inbox(class_folder), given.class_code or CLASS_CODE
        make_class(inbox, root=root, class_code=code)
        console.print(f"A made-up class, handed in to {inbox}", soft_wrap=True, markup=False)
    else:
        console.print(UNPROTECTED, style="yellow")
    bar = Progress(
        TextColumn("grading"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
        TextColumn("{task.description}"), console=console,
    )  # fmt: skip
    with bar:
        running = bar.add_task("", total=None)
        result = grade_folder(
            inbox, root=root, class_folder=class_folder, class_code=code,
            limits=Limits(given.cell_seconds, given.total_seconds),
            progress=lambda done, total, what: bar.update(running, completed=done, total=total, description=what),
        )  # fmt: skip
    show(result, console)
    return result
