"""Workers in parallel: processes of this machine, or those of a Dask scheduler, behind one executor."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, field

from phasorkit import __version__
from phasorkit.course.grading import worker
from phasorkit.course.grading.kernel import Kernels
from phasorkit.course.grading.worker import Graded, Job

AHEAD = 8
"""Jobs for each worker that are under way or waiting for it; few, so that memory stays flat."""

Outcome = Graded | BaseException


class NoWorkers(RuntimeError):
    """There are no workers that could grade; the message says why."""


@dataclass
class Workers:
    """An executor that `make` gives, again after it broke; how many jobs it runs at a time, and what it does with one.

    `task` is None for `worker.grade`.
    """

    make: Callable[[], Executor]
    count: int
    task: Callable[[Job], Graded] | None = None
    executor: Executor = field(init=False)

    def __post_init__(self) -> None:
        self.executor = self.make()

    def submit(self, job: Job) -> Future[Graded]:
        """Have a job graded; a worker may have died while it had nothing to do."""
        task = self.task or worker.grade
        try:
            return self.executor.submit(task, job)
        except BrokenExecutor:
            self.renew()
            return self.executor.submit(task, job)

    def renew(self) -> None:
        """Another executor in the place of a broken one."""
        self.executor.shutdown(wait=False, cancel_futures=True)
        self.executor = self.make()


@contextmanager
def local_workers(count: int, kernels: Kernels) -> Iterator[Workers]:
    """So many processes of this machine; they get ready while something else is done, and end with this process."""
    context = multiprocessing.get_context("spawn")
    workers = Workers(lambda: ProcessPoolExecutor(count, mp_context=context, initializer=_begin), count)
    others = set(multiprocessing.active_children())
    for _ in range(count):
        workers.executor.submit(report, kernels)
    try:
        yield workers
    except BaseException:  # do not wait for what nobody will want
        for process in set(multiprocessing.active_children()) - others:
            process.terminate()
        raise
    finally:
        workers.executor.shutdown(wait=True, cancel_futures=True)


def _begin() -> None:
    """In a worker process: leave a keyboard interrupt to the parent, and end when the parent has ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
        os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


@dataclass(frozen=True)
class Report:
    """What a worker says of itself: its version of this package, and why it cannot grade, or nothing."""

    version: str
    trouble: str


def report(kernels: Kernels) -> Report:
    """Report on the process that this runs in; the sandbox is started to see."""
    return Report(__version__, worker.trouble(kernels))


def _nothing() -> None:
    """Nothing to be done."""


def outcomes(
    jobs: Iterator[Job], workers: Workers, meanwhile: Callable[[], None] = _nothing
) -> Iterator[list[tuple[Job, Outcome]]]:
    """Let the workers grade all jobs; give out what is done as it gets done, and take new jobs only as there is room.

    `meanwhile` is called once, when the first jobs are under way.

    When a worker's process dies, what was under way is tried once more, one job at a time; the job that then takes
    its worker down again gets the error.
    """
    under_way: dict[Future[Graded], Job] = {}
    suspects: deque[Job] = deque()
    while True:
        if suspects:
            job = suspects.popleft()
            yield [(job, _alone(job, workers))]
            continue
        while len(under_way) < AHEAD * workers.count and (following := next(jobs, None)) is not None:
            under_way[workers.submit(following)] = following
        if not under_way:
            return
        meanwhile()
        meanwhile = _nothing
        done = wait(under_way, return_when=FIRST_COMPLETED).done
        if any(isinstance(future.exception(), BrokenExecutor) for future in done):
            done = wait(under_way).done
            workers.renew()
        results = [(under_way.pop(future), future.exception() or future.result()) for future in done]
        suspects.extend(job for job, result in results if isinstance(result, BrokenExecutor))
        yield [(job, result) for job, result in results if not isinstance(result, BrokenExecutor)]


def _alone(job: Job, workers: Workers) -> Outcome:
    future = workers.submit(job)
    result = future.exception() or future.result()
    if isinstance(result, BrokenExecutor):
        workers.renew()
    return result
