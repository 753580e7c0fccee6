"""Start JupyterLab for a test on a free port, over a copy of the lessons, and stop it again.

Nothing outside the given folder is written: JupyterLab gets its own settings, runtime and data folders there, so a
learner's own set-up neither helps nor hurts, and a lesson that saves itself saves a copy. The server settings are those
of ``phasorkit open``.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from phasorkit.commands.open_course import SETTINGS

ROOT = Path(__file__).parents[1]
STARTS_WITHIN = 180.0
"""Seconds after which a JupyterLab that does not answer counts as failed."""


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab: where it listens, its token, its process id and its log."""

    port: int
    token: str
    pid: int
    log: Path

    def address(self, notebook: str) -> str:
        """Page that opens a notebook, its path relative to the copy, such as ``lessons/00-start.ipynb``."""
        return f"http://127.0.0.1:{self.port}/lab/tree/{notebook}?token={self.token}&reset"


@contextmanager
def lab_server(folder: Path) -> Iterator[Lab]:
    """Run JupyterLab over ``folder/course`` (a copy of the lessons) until the block ends.

    Raises
    ------
    RuntimeError
        If it stops early or does not answer in time; the message carries the end of its log.
    """
    course = folder / "course"
    shutil.copytree(ROOT / "lessons", course / "lessons", ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    lab = _start(folder, course)
    try:
        yield lab[0]
    finally:
        lab[1].terminate()
        try:
            lab[1].wait(timeout=60)
        except subprocess.TimeoutExpired:
            lab[1].kill()
            lab[1].wait()


def _start(folder: Path, course: Path) -> tuple[Lab, subprocess.Popen[bytes]]:
    token, port, log = secrets.token_hex(16), _free_port(), folder / "lab.log"
    command = [
        sys.executable, "-m", "jupyterlab", "--no-browser", "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}", "--ServerApp.port_retries=0", f"--IdentityProvider.token={token}",
        f"--ServerApp.root_dir={course}", "--LabApp.extension_manager=readonly",
        "--LanguageServerManager.autodetect=False",
    ]  # fmt: skip
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    with log.open("wb") as out:
        process = subprocess.Popen(command, env=_environment(folder), stdout=out, stderr=subprocess.STDOUT)
    lab = Lab(port, token, process.pid, log)
    try:
        _wait_until_ready(lab, process)
    except BaseException:
        process.kill()
        process.wait()
        raise
    return lab, process


def _environment(folder: Path) -> dict[str, str]:
    """Own folders, no news pop-up, and the kernel of this very Python."""
    settings = folder / "settings" / "@jupyterlab" / "apputils-extension"
    settings.mkdir(parents=True)
    quiet = {"fetchNews": "false", "checkForUpdates": False}
    (settings / "notification.jupyterlab-settings").write_text(json.dumps(quiet), encoding="utf-8")
    own = {
        "JUPYTERLAB_SETTINGS_DIR": folder / "settings",
        "JUPYTERLAB_WORKSPACES_DIR": folder / "workspaces",
        "JUPYTER_CONFIG_DIR": folder / "config",
        "JUPYTER_CONFIG_PATH": SETTINGS,
        "JUPYTER_RUNTIME_DIR": folder / "runtime",
        "JUPYTER_DATA_DIR": folder / "data",
        "IPYTHONDIR": folder / "ipython",
    }
    return os.environ | {name: str(path) for name, path in own.items()}


def _free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def _wait_until_ready(lab: Lab, process: subprocess.Popen[bytes]) -> None:
    status = f"http://127.0.0.1:{lab.port}/api/status?token={lab.token}"
    end = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < end:
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(status, timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
    tail = lab.log.read_text(encoding="utf-8", errors="replace")[-2000:]
    raise RuntimeError(
        f"JupyterLab did not answer on port {lab.port} within {STARTS_WITHIN:.0f} s; its log ends:\n{tail}"
    )
