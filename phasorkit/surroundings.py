"""Where the course lies, and the environment its programs run in."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def course_folder(start: Path | None = None) -> Path:
    """The nearest folder with ``lessons`` and ``exercises``, from `start` (default: here) upwards, or beside the code.

    Raises
    ------
    FileNotFoundError
        None found; the message says what to do.
    """
    here = (start or Path.cwd()).resolve()
    candidates = [here, *here.parents, Path(__file__).resolve().parent.parent]
    for folder in candidates:
        if (folder / "lessons").is_dir() and (folder / "exercises").is_dir():
            return folder
    raise FileNotFoundError(
        f"no course found at or above {here}: go to the folder that holds lessons/ and exercises/ and try again"
    )


def command_environment() -> dict[str, str]:
    """The environment with this Python's own folder of commands first on PATH.

    Programs that look for their helpers on PATH then work in a virtual environment that nobody activated.
    """
    here = str(Path(sys.executable).parent)
    return os.environ | {"PATH": os.pathsep.join([here, os.environ.get("PATH", "")])}
