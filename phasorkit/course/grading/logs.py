"""Where messages and warnings of nbgrader and its libraries go while a class is graded: into a file."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from phasorkit.course.grading.kernel import LOGGER


@contextmanager
def log_to(file: Path) -> Iterator[logging.Logger]:
    """A logger for nbgrader and for warnings that writes to a file and not to the terminal."""
    log, warned = logging.getLogger(LOGGER), logging.getLogger("py.warnings")
    handler = logging.FileHandler(file, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    log.setLevel(logging.INFO)
    before = log.propagate, warned.propagate
    log.propagate = warned.propagate = False
    with warnings.catch_warnings():
        warnings.simplefilter("default")
        logging.captureWarnings(True)
        log.addHandler(handler)
        warned.addHandler(handler)
        try:
            yield log
        finally:
            warned.removeHandler(handler)
            log.removeHandler(handler)
            handler.close()
            logging.captureWarnings(False)
            log.propagate, warned.propagate = before
