"""Start a Jupyter server with nbgrader's formgrader over a copy of the course, for a test, and stop it again."""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lab_server import ROOT, Lab, _environment, _free_port, _wait_until_ready


def copy_course(course: Path) -> Path:
    """The course as an instructor has it, without lessons' contents and without a class."""
    for name in ("solutions", "exercises"):
        shutil.copytree(ROOT / name, course / name, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    (course / "lessons").mkdir()
    shutil.copy(ROOT / "nbgrader_config.py", course)
    return course


@contextmanager
def formgrader_server(folder: Path, course: Path) -> Iterator[Lab]:
    """Run a server whose formgrader looks at this course; its settings and log lie in `folder`."""
    folder.mkdir()
    token, port, log = secrets.token_hex(16), _free_port(), folder / "server.log"
    command = [
        sys.executable, "-m", "jupyter_server", "--no-browser", "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}", "--ServerApp.port_retries=0", f"--IdentityProvider.token={token}",
        f"--ServerApp.root_dir={course}",
    ]  # fmt: skip
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    with log.open("wb") as out:
        process = subprocess.Popen(command, cwd=course, env=_environment(folder), stdout=out, stderr=subprocess.STDOUT)
    lab = Lab(port, token, process.pid, log)
    try:
        _wait_until_ready(lab, process)
        yield lab
    finally:
        process.terminate()
        try:
            process.wait(timeout=60)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
