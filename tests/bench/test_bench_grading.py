"""Grading bench: submissions a minute by stock nbgrader, by ours, by ours without a sandbox, and by Dask's workers.

Aims (issue), on the same two cores and the same files, sandbox on: at least 8 times stock for a notebook that draws
one figure; at least 5 times, and at most 0.2 s a submission, for our own exercise; memory flat over 500 submissions.
All four ways run as commands, start-up counted, rounds taken in turn; ours also writes feedback and report, stock
only grades. The machine may be busy, so the gates are on ratios and generous.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from threading import Event, Thread
from time import monotonic, perf_counter, sleep

import psutil
import pytest
from grading_runs import ROOT, automatic_scores, run, stock_config
from sandbox_runs import require_sandbox

from phasorkit.course.grading.demo import CLASS_CODE, filled_in
from phasorkit.course.grading.demo_work import PUPILS, Pupil

pytestmark = pytest.mark.bench

COUNT, ROUNDS, MANY = 100, 3, 500
DRAWS = (
    "\nimport numpy as np\nimport matplotlib.pyplot as plt\nplt.figure()\n"
    "plt.plot(np.linspace(0, 0.04, 400), np.sin(np.linspace(0, 12.6, 400)))\nplt.show()\n"
)


def hand_in(inbox: Path, count: int, *, draws: bool = False, name: str = "app") -> Path:
    """A class of so many: the answers of the demo's pupils in turn, each with own numbers; with a figure if asked."""
    release = (ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
    for number in range(count):
        model = PUPILS[number % len(PUPILS)]
        answers = dict(model.answers)
        if draws:
            answers["reactance"] = (answers.get("reactance") or "reactance = None") + DRAWS
        pupil = Pupil(f"{name}-{number:03}", answers=answers)
        file = inbox / pupil.learner / "bridge.ipynb"
        file.parent.mkdir(parents=True)
        file.write_bytes(filled_in(release, pupil, CLASS_CODE))
    return inbox


def stock_seconds(inbox: Path, course: Path) -> float:
    """Time of nbgrader's own command, the exercise already in its gradebook [s]."""
    shutil.copytree(ROOT / "solutions" / "bridge", course / "solutions" / "bridge")
    stock_config(course)
    for file in inbox.glob("*/bridge.ipynb"):
        place = course / "class" / "submitted" / file.parent.name / "bridge"
        place.mkdir(parents=True)
        shutil.copy(file, place)
    assert run("nbgrader", "generate_assignment", "bridge", cwd=course, own_path=True).code == 0
    start = perf_counter()
    done = run("nbgrader", "autograde", "bridge", cwd=course, own_path=True)
    assert done.code == 0, done.said
    return perf_counter() - start


def our_seconds(inbox: Path, folder: Path, *more: str) -> float:
    """Time of our command [s]."""
    start = perf_counter()
    done = run("phasorkit", "grade", str(inbox), "--class-folder", str(folder), "--class-code", CLASS_CODE, *more)
    assert done.code in (0, 1), done.said
    return perf_counter() - start


def begun(first: Path, folder: Path) -> Path:
    """A class folder whose gradebook has the exercise, as stock's has when its time is taken."""
    if not first.exists():
        our_seconds(hand_in(first / "inbox", 1, name="first"), first / "class")
    shutil.copytree(first / "class", folder)
    return folder


UNPROTECTED = """
import os
import sys
from pathlib import Path
from phasorkit.course.grading.kernel import Kernels
from phasorkit.course.grading.pool import local_workers
from phasorkit.course.grading.run import grade_folder
inbox, root, folder, code = sys.argv[1:]
workers = local_workers(len(os.sched_getaffinity(0)), Kernels.FORKED)
grade_folder(Path(inbox), root=Path(root), class_folder=Path(folder), class_code=code, kernels=Kernels.FORKED,
             workers=workers)
"""


def unprotected_seconds(inbox: Path, folder: Path) -> float:
    """Time of the same without a sandbox, which the command refuses where there is one [s]."""
    start = perf_counter()
    arguments = [str(inbox), str(ROOT), str(folder), CLASS_CODE]
    done = subprocess.run([sys.executable, "-c", UNPROTECTED, *arguments], cwd=ROOT, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
    return perf_counter() - start


@contextmanager
def dask_workers(place: Path) -> Iterator[str]:
    """The address of a scheduler with two workers."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
    alone = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--host", "127.0.0.1", "--local-directory", str(place))
    port = address.rsplit(":", 1)[1]
    scheduler = ("dask_scheduler", "--host", "127.0.0.1", "--port", port, "--no-dashboard")
    commands: list[tuple[str, ...]] = [scheduler, ("dask_worker", address, *alone), ("dask_worker", address, *alone)]
    running = [
        subprocess.Popen([sys.executable, "-m", f"distributed.cli.{module}", *rest], cwd=place,
                         stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for module, *rest in commands
    ]  # fmt: skip
    try:
        sleep(8)  # a scheduler without its workers would have the command refuse
        yield address
    finally:
        for process in running[::-1]:
            process.terminate()
            process.wait(20)


@pytest.mark.parametrize(("draws", "aim"), [(True, 8.0), (False, 5.0)], ids=["one figure", "our exercise"])
def test_throughput(tmp_path: Path, draws: bool, aim: float) -> None:
    """Same files four ways, rounds in turn; ours is many times as fast, and every score is equal."""
    require_sandbox()
    pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    inbox = hand_in(tmp_path / "inbox", COUNT, draws=draws)
    spent: dict[str, list[float]] = {}
    with dask_workers(tmp_path) as address:
        ours: dict[str, Callable[[Path], float]] = {
            "ours, sandbox": lambda folder: our_seconds(inbox, folder),
            "ours, no sandbox": lambda folder: unprotected_seconds(inbox, folder),
            "ours, Dask": lambda folder: our_seconds(inbox, folder, "--workers", address),
        }
        for turn in range(ROUNDS):
            spent.setdefault("stock nbgrader", []).append(stock_seconds(inbox, tmp_path / f"stock-{turn}"))
            for way, work in ours.items():
                folder = begun(tmp_path / "first", tmp_path / f"{way}-{turn}")
                spent.setdefault(way, []).append(work(folder))
                stock = automatic_scores(tmp_path / f"stock-{turn}" / "class")
                assert len(stock) == COUNT * 6
                assert stock.items() <= automatic_scores(folder).items()
    one = {way: median(times) / COUNT for way, times in spent.items()}
    print(f"\n{COUNT} submissions, medians of {ROUNDS} rounds{', one figure each' if draws else ''}")
    for way, seconds in one.items():
        print(f"{way:18}{60 / seconds:7.0f} a minute{seconds:8.3f} s each{one['stock nbgrader'] / seconds:7.1f} times")
    assert one["stock nbgrader"] / one["ours, sandbox"] > 0.8 * aim


@dataclass
class Seen:
    """Memory of a command and all it started [MB, shared pages counted once], by time; when the first score stood."""

    memory: list[float]
    first: float | None = None


def watch(process: subprocess.Popen[bytes], records: Path, ended: Event, seen: Seen) -> None:
    """Look twice a second until it has ended."""
    start, root = monotonic(), psutil.Process(process.pid)
    while not ended.wait(0.5):
        total = 0.0
        for one in [root, *root.children(recursive=True)]:
            try:
                total += one.memory_full_info().pss / 1e6
            except psutil.Error:
                continue
        seen.memory.append(total)
        if seen.first is None and any(records.glob("*/*.json")):
            seen.first = monotonic() - start


def test_five_hundred(tmp_path: Path) -> None:
    """500 submissions: memory in the last fifth of the time is that of the second fifth; scores come at once."""
    require_sandbox()
    inbox, folder, ended, seen = hand_in(tmp_path / "inbox", MANY), tmp_path / "class", Event(), Seen([])
    command = ("grade", str(inbox), "--class-folder", str(folder), "--class-code", CLASS_CODE)
    start = perf_counter()
    process = subprocess.Popen([sys.executable, "-m", "phasorkit", *command], cwd=ROOT, stdout=subprocess.DEVNULL,
                               env={**os.environ, "COLUMNS": "80"})  # fmt: skip
    watcher = Thread(target=watch, args=(process, folder / "records", ended, seen))
    watcher.start()
    code = process.wait(1200)
    seconds = perf_counter() - start
    ended.set()
    watcher.join()
    assert code in (0, 1)
    assert len(automatic_scores(folder)) == MANY * 6
    fifth = len(seen.memory) // 5
    early, late = median(seen.memory[fifth : 2 * fifth]), median(seen.memory[-fifth:-2])
    print(f"\n{MANY} submissions in {seconds:.0f} s, {seconds / MANY:.3f} s each, first score after {seen.first:.1f} s")
    print(f"memory of all processes: {early:.0f} MB early, {late:.0f} MB late, {max(seen.memory):.0f} MB at most")
    assert late < 1.25 * early
