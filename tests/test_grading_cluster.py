"""Workers of a Dask scheduler: a real scheduler and two workers on this machine's loopback, one of them killed."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import warnings
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
from grading_runs import ROOT, automatic_scores
from sandbox_runs import require_sandbox

from phasorkit.course.grading import cluster
from phasorkit.course.grading.demo import CLASS_CODE, make_class
from phasorkit.course.grading.kernel import Kernels
from phasorkit.course.grading.pool import NoWorkers, local_workers
from phasorkit.course.grading.run import grade_folder

pytest.importorskip("distributed", reason="the extra `cluster` is not installed")

PATIENCE = 300
"""Longest wait for scheduler and workers [s]."""


@dataclass(frozen=True)
class Cluster:
    """A scheduler's address and its workers' processes."""

    address: str
    workers: list[subprocess.Popen[bytes]]


@pytest.fixture(autouse=True, scope="module")
def _sandbox() -> Iterator[None]:
    require_sandbox()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def started(module: str, *arguments: str, cwd: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", f"distributed.cli.{module}", *arguments], cwd=cwd, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


@pytest.fixture
def two(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Cluster]:
    """A scheduler with two workers, without a disk that they share with the grader but by accident."""
    place = tmp_path / "elsewhere"
    place.mkdir()
    about = ("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", "scheduler.json")
    scheduler = started("dask_scheduler", *about, cwd=place)
    address = address_in(place / "scheduler.json")
    alone = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--host", "127.0.0.1", "--local-directory", str(place))
    workers = [started("dask_worker", address, *alone, cwd=place) for _ in range(2)]
    monkeypatch.setattr(cluster, "ANSWER_SECONDS", PATIENCE)
    try:
        wait_for(address, 2)
        yield Cluster(address, workers)
    finally:
        for process in (*workers, scheduler):
            process.terminate()
            process.wait(120)


def address_in(file: Path) -> str:
    """The address that a scheduler writes down once it listens."""
    end = time.monotonic() + PATIENCE
    while True:
        with suppress(OSError, ValueError):  # not there yet, or half written
            return str(json.loads(file.read_bytes())["address"])
        assert time.monotonic() < end
        time.sleep(0.1)


def wait_for(address: str, count: int) -> None:
    from distributed import Client

    end = time.monotonic() + PATIENCE
    while True:
        try:
            with Client(address, timeout=20, set_as_default=False) as client:
                client.wait_for_workers(count, timeout=PATIENCE)
            return
        except OSError:
            assert time.monotonic() < end
            time.sleep(0.2)


def graded_here(inbox: Path, folder: Path) -> Path:
    grade_folder(
        inbox, root=ROOT, class_folder=folder, class_code=CLASS_CODE, workers=local_workers(1, Kernels.SANDBOX)
    )
    return folder


@pytest.fixture(scope="module")
def inbox(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The work of seven learners."""
    everybody, folder = tmp_path_factory.mktemp("everybody"), tmp_path_factory.mktemp("inbox")
    for file in make_class(everybody, root=ROOT):
        if re.search(r"app-0[1-7]", str(file.relative_to(everybody))):
            place = folder / file.relative_to(everybody)
            place.parent.mkdir(exist_ok=True)
            shutil.copy(file, place)
    return folder


def test_a_worker_that_is_killed_costs_nothing(inbox: Path, two: Cluster, tmp_path: Path) -> None:
    """Killed with SIGKILL when the first result has come in; the scores are those of a run on this machine."""
    killed: list[int] = []

    def kill(done: int, _total: int, what: str) -> None:
        if "of 20" in what and not killed:
            two.workers[0].send_signal(signal.SIGKILL)
            killed.append(done)

    result = grade_folder(
        inbox, root=ROOT, class_folder=tmp_path / "class", class_code=CLASS_CODE, progress=kill,
        workers=cluster.cluster_workers(two.address, Kernels.SANDBOX),
    )  # fmt: skip
    assert killed == [1]
    assert two.workers[0].wait(120) == -signal.SIGKILL
    assert two.workers[1].poll() is None
    assert (len(result.records), result.problems) == (7, ())
    here = graded_here(inbox, tmp_path / "here")
    assert automatic_scores(tmp_path / "class") == automatic_scores(here)


@pytest.mark.slow
@pytest.mark.parametrize("turn", range(3))
def test_a_larger_class_on_two_workers_of_which_one_is_killed(turn: int, two: Cluster, tmp_path: Path) -> None:
    """Forty learners by the command itself, a worker killed in the middle, its place taken by a new one."""
    make_class(tmp_path / "once", root=ROOT)
    source = next((tmp_path / "once").rglob("app-01/bridge.ipynb")).read_bytes()
    for number in range(40):
        file = tmp_path / "inbox" / f"app-{number:02}_bridge.ipynb"
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(source.replace(b'learner=\\"app-01\\"', f'learner=\\"app-{number:02}\\"'.encode()))
    arguments = ["grade", str(tmp_path / "inbox"), "--class-folder", str(tmp_path / "class"), "--workers", two.address]
    grading = subprocess.Popen([sys.executable, "-m", "phasorkit", *arguments], cwd=ROOT, stdout=subprocess.DEVNULL)
    records = tmp_path / "class" / "records"
    while grading.poll() is None and len(list(records.glob("*/*.json"))) < 5 + 10 * turn:
        time.sleep(0.05)
    two.workers[turn % 2].kill()
    alone = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--host", "127.0.0.1")
    another = started("dask_worker", two.address, *alone, "--local-directory", str(tmp_path / "third"), cwd=tmp_path)
    assert grading.wait(900) in (0, 1)
    another.terminate()
    another.wait(120)
    here = graded_here(tmp_path / "inbox", tmp_path / "here")
    assert automatic_scores(tmp_path / "class") == automatic_scores(here)
    assert len(list(records.glob("*/*.json"))) == 40


# What cannot work is one line --------------------------------------------------------------------------------------


def test_no_scheduler_is_one_line(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "ANSWER_SECONDS", 1)
    workers = cluster.cluster_workers("tcp://127.0.0.1:9", Kernels.SANDBOX)
    with pytest.raises(NoWorkers, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"), workers:
        pass


NO_SANDBOX = "lambda kernels: __import__('phasorkit.course.grading.pool', fromlist=['x']).Report({!r}, 'no bwrap here')"


def test_workers_that_do_not_fit_are_named(two: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another version of this package, no sandbox, or not this package at all."""

    def line() -> str:
        with pytest.raises(NoWorkers) as caught, cluster.cluster_workers(two.address, Kernels.SANDBOX):
            pass
        return str(caught.value)

    with monkeypatch.context() as patch:
        patch.setattr(cluster, "__version__", "9.9.9")
        assert re.fullmatch(r"the worker tcp://127.0.0.1:\d+ has phasorkit [\d.]+, this is 9\.9\.9", line())
    with monkeypatch.context() as patch:
        patch.setattr(cluster, "report", eval(NO_SANDBOX.format(cluster.__version__), {}))
        assert re.fullmatch(r"the worker tcp://127.0.0.1:\d+ cannot grade: no bwrap here", line())
    with monkeypatch.context() as patch:
        patch.setattr(cluster, "report", wait_for)
        assert "a worker cannot run phasorkit" in line()
        assert "No module named 'test_grading_cluster'" in line()


def test_without_the_extra_one_line_says_what_to_install(inbox: Path, tmp_path: Path) -> None:
    (tmp_path / "distributed.py").write_text("raise ImportError", encoding="utf-8")
    words = ["grade", str(inbox), "--class-folder", str(tmp_path / "class"), "--workers", "tcp://127.0.0.1:9"]
    code = (
        f"import sys; sys.path.insert(0, {str(tmp_path)!r}); from phasorkit.cli import main; sys.exit(main({words!r}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=600, check=False
    )
    assert done.returncode == 2
    assert "pip install 'phasorkit[cluster]'" in done.stderr.splitlines()[-1]
