"""``phasorkit grade``: grade a folder of submissions, or a made-up class."""

from __future__ import annotations

import argparse
import errno
import os
import re
import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from phasorkit.surroundings import course_folder

if TYPE_CHECKING:
    from rich.console import Console

    from phasorkit.course.grading.kernel import Kernels
    from phasorkit.course.grading.pool import Workers
    from phasorkit.course.grading.records import ClassResult
    from phasorkit.course.grading.run import Progress

MOST_WORKERS = 61
"""As many processes as Python can wait for at a time on Windows."""

NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EPERM)

UNPROTECTED = (
    "Grading would run the learners' code on this machine without protection, so that it can read, change and delete "
    "your files"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of ``phasorkit grade``."""
    parser.add_argument(
        "folder", nargs="?", type=Path, help="submissions: learner/exercise.ipynb or learner_exercise.ipynb; or a zip"
    )
    parser.add_argument("--preview", action="store_true", help="only show what would be graded and what would not")
    parser.add_argument("--demo", action="store_true", help="make a class of twelve and grade it")
    parser.add_argument("--class-code", help="the class's code; a notebook that says another one is flagged")
    parser.add_argument("--class-folder", type=Path, help="where results go (default: class; for the demo: demo-class)")
    parser.add_argument(
        "--trust-learners", action="store_true", help="where there is no sandbox, run the learners' code without one"
    )
    parser.add_argument(
        "--workers", default="", help="how many at a time (default: one per core), or a Dask scheduler: tcp://host:port"
    )
    parser.add_argument("--cell-seconds", type=int, default=30, help="longest time for one cell (default: 30)")
    parser.add_argument("--total-seconds", type=int, default=90, help="longest time for a notebook (default: 90)")


def run(given: argparse.Namespace) -> int:
    """Grade; 0 when all is graded, 1 when something needs a person, 2 for bad use, each with its line."""
    refusal = _refusal(given)
    if refusal:
        print(f"phasorkit grade: {refusal}", file=sys.stderr)
        return 2
    from phasorkit.course.grading.folder import GradebookError
    from phasorkit.course.grading.kernel import NoKernel
    from phasorkit.course.grading.lock import Busy
    from phasorkit.course.grading.pool import NoWorkers

    try:
        if given.preview:
            return _preview(given.folder)
        result = _grade(given)
    except (GradebookError, NoKernel, NoWorkers, Busy, OSError, ValueError) as error:
        print(f"phasorkit grade: {_sentence(error)}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("\nphasorkit grade: stopped; what was graded so far is kept, run it again for the rest", file=sys.stderr)
        return 1
    return int(result.needs_a_person)


def _sentence(error: Exception) -> str:
    """One line that says what stopped it and that nothing is lost."""
    if isinstance(error, OSError) and error.errno in NO_ROOM:
        where = f" ({error.filename})" if error.filename else ""
        kept = "what was graded is kept, run it again for the rest"
        return f"nothing more can be written: {error.strerror}{where}; {kept}"
    return " ".join(str(error).split())


def _refusal(given: argparse.Namespace) -> str:
    """Why the arguments cannot be used, or an empty text."""
    if given.demo == (given.folder is not None):
        return "give either a folder of submissions or --demo"
    if given.cell_seconds < 1 or given.total_seconds < 1:
        return "--cell-seconds and --total-seconds must be at least 1 [s]"
    if given.folder is not None and not given.folder.exists():
        return f"there is no folder {given.folder}"
    if given.preview and given.demo:
        return "--preview needs a folder of submissions"
    number = given.workers.isdecimal() and 1 <= int(given.workers) <= MOST_WORKERS
    if given.workers and not number and not re.fullmatch(r"(tcp|tls)://[^\s/]+:\d+", given.workers):
        return f"--workers must be a number from 1 to {MOST_WORKERS} or tcp://host:port, got {given.workers!r}"
    return ""


def _preview(inbox: Path) -> int:
    from rich.console import Console

    from phasorkit.course.grading.preview import show_preview
    from phasorkit.course.model import tasks

    root = course_folder()
    return show_preview(inbox, [name for name in tasks() if (root / "solutions" / name).is_dir()], Console())


def _grade(given: argparse.Namespace) -> ClassResult:
    kernels, note = _kernels(given)
    with _workers(given.workers, kernels) as workers:  # they get ready while the rest is imported
        return _grade_by(workers, given, kernels, note)


def _grade_by(workers: Workers, given: argparse.Namespace, kernels: Kernels, note: str) -> ClassResult:
    from rich.console import Console

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
    console.print(note, soft_wrap=True, markup=False)
    with progress_bar(console) as progress:
        result = grade_folder(
            inbox, root=root, class_folder=class_folder, class_code=code, kernels=kernels,
            limits=Limits(given.cell_seconds, given.total_seconds), workers=nullcontext(workers), progress=progress,
        )  # fmt: skip
    show(result, console)
    return result


def _kernels(given: argparse.Namespace) -> tuple[Kernels, str]:
    """Where learners' cells will run, and a sentence about it.

    Raises
    ------
    NoKernel
        There is no sandbox, and nobody said that the learners can be trusted.
    """
    from phasorkit.course.grading.kernel import Kernels, NoKernel
    from phasorkit.course.grading.worker import trouble

    if "://" in given.workers:
        if given.trust_learners:
            return Kernels.FORKED, "The learners' code runs on the workers without a sandbox, as you said you trust it."
        return Kernels.SANDBOX, "The learners' code runs in a sandbox on each worker."
    why = trouble(Kernels.SANDBOX)
    if not why:
        from phasorkit.course.grading.inside import WALLED
        from phasorkit.course.grading.warm import close_idle

        close_idle(WALLED)  # it was only tried here: each worker has its own
        return Kernels.SANDBOX, "The learners' code runs in a sandbox: no network, none of your files."
    if not given.demo and not given.trust_learners:
        raise NoKernel(f"There is no sandbox here ({why}). {UNPROTECTED}. If you trust them, say so: --trust-learners")
    return Kernels.unprotected(), f"The learners' code runs without a sandbox ({why})."


def _workers(said: str, kernels: Kernels) -> AbstractContextManager[Workers]:
    from phasorkit.course.grading.cluster import cluster_workers
    from phasorkit.course.grading.pool import local_workers

    if "://" in said:
        return cluster_workers(said, kernels)
    return local_workers(int(said) if said else _cores(), kernels)


def _cores() -> int:
    """Cores that this process may use."""
    usable = len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1
    return min(usable, MOST_WORKERS)


@contextmanager
def progress_bar(console: Console) -> Iterator[Progress]:
    """A line on the terminal: how many of how many, how many a minute, the time left, and who was last."""
    from rich.markup import escape
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as Bar

    started = monotonic()
    columns = (BarColumn(20), MofNCompleteColumn(), TextColumn("{task.fields[rate]}"), TimeRemainingColumn())
    with Bar(TextColumn("grading"), *columns, TextColumn("{task.description}"), console=console) as bar:
        running = bar.add_task("", total=None, rate="")

        def progress(done: int, total: int, what: str) -> None:
            minutes = (monotonic() - started) / 60
            rate = f"{done / minutes:.0f} a minute" if done else ""
            bar.update(running, completed=done, total=total, description=escape(what), rate=rate)

        yield progress
