"""Workers of a Dask scheduler: more machines than one. Needs the package `distributed` (the extra ``cluster``)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib import import_module
from typing import Any

from phasorkit import __version__
from phasorkit.course.grading.kernel import Kernels
from phasorkit.course.grading.pool import NoWorkers, Report, Workers, report

ANSWER_SECONDS = 10
"""Longest wait for a scheduler [s]."""


@contextmanager
def cluster_workers(address: str, kernels: Kernels) -> Iterator[Workers]:
    """The workers that a scheduler has now, each of which has said that it can grade.

    Parameters
    ----------
    address : str
        Such as ``tcp://192.0.2.7:8786``.
    kernels : Kernels
        Where learners' cells run on the workers.

    Raises
    ------
    NoWorkers
        `distributed` is not installed, no scheduler answers, it has no workers, or one of them has another version of
        this package, or none, or no sandbox.
    """
    client = _client(address)
    try:
        reports = _reports(client, kernels)
        for place, found in sorted(reports.items()):
            if found.version != __version__:
                raise NoWorkers(f"the worker {place} has phasorkit {found.version}, this is {__version__}")
            if found.trouble:
                raise NoWorkers(f"the worker {place} cannot grade: {found.trouble}")
        count = sum(client.nthreads().values())
        if not count:
            raise NoWorkers(f"the scheduler {address} has no workers")
        yield Workers(lambda: client.get_executor(pure=False), count)
    finally:
        client.close()


def _reports(client: Any, kernels: Kernels) -> Mapping[str, Report]:
    try:
        reports: Mapping[str, Report] = client.run(report, kernels)
    except Exception as error:  # whatever the worker raised; most often it does not have this package
        raise NoWorkers(f"a worker cannot run phasorkit {__version__}: {error}") from error
    return reports


def _client(address: str) -> Any:
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise NoWorkers("workers elsewhere need the package distributed: pip install 'phasorkit[cluster]'") from None
    try:
        return distributed.Client(address, timeout=ANSWER_SECONDS, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise NoWorkers(f"no scheduler answers at {address}") from error
