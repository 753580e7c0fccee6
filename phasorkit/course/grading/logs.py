"""Where messages and warnings of nbgrader and its libraries go while a class is graded: into a file."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from phasorkit.course.grading.kernel import LOGGER


class _Quiet(logging.FileHandler):
    """A log file that says nothing when the disk is full; the grading itself does."""

    def handleError(self, record: logging.LogRecord) -> None:
        """Let it go."""


OTHERS = ("py.warnings", "tornado.application")
"""Loggers of warnings, and of nbgrader's gradebook, which writes to the one of a web server that is not there."""


@contextmanager
def log_to(file: Path) -> Iterator[logging.Logger]:
    """A logger for nbgrader and for warnings that writes to a file and not to the terminal."""
    logs = [logging.getLogger(name) for name in (LOGGER, *OTHERS)]
    handler = _Quiet(file, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    logs[0].setLevel(logging.INFO)
    before = [log.propagate for log in logs]
    with warnings.catch_warnings():
        warnings.simplefilter("default")
        logging.captureWarnings(True)
        for log in logs:
            log.propagate = False
            log.addHandler(handler)
        try:
            yield logs[0]
        finally:
            for log, propagated in zip(logs, before, strict=True):
                log.removeHandler(handler)
                log.propagate = propagated
            handler.close()
            logging.captureWarnings(False)
