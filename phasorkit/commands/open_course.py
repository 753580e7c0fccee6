"""``phasorkit open``: JupyterLab on the start lesson."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path

from phasorkit.surroundings import command_environment, course_folder

HELP = "open the course in JupyterLab on the start lesson"
SETTINGS = Path(__file__).with_name("lab_settings")
"""Settings that JupyterLab reads besides the user's own: no questions about news on a learner's first screen."""

START = Path("lessons") / "00-start.ipynb"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``phasorkit open``."""
    parser.add_argument("--port", type=int, default=8888, help="first port to try (default 8888)")
    parser.add_argument("--no-browser", action="store_true", help="print the address instead of opening a browser")


def run(given: argparse.Namespace) -> int:
    """Start JupyterLab and stay until it ends."""
    root = course_folder()
    command = lab_command(given.port, browser=has_display() and not given.no_browser)
    print("Opening the course. If no browser opens, copy the address below that starts with http://127.0.0.1")
    print("To stop: press Ctrl+C in this window, twice.", flush=True)
    with subprocess.Popen(command, cwd=root, env=lab_environment()) as lab:
        while True:
            try:
                return lab.wait()
            except KeyboardInterrupt:  # JupyterLab gets it too: it asks, or ends its kernels and then itself
                continue


def lab_command(port: int, *, browser: bool) -> list[str]:
    """The command line that starts JupyterLab on the start lesson, as an ordinary user or as root."""
    import zmq

    command = [sys.executable, "-m", "jupyterlab", f"--ServerApp.port={port}", "--ServerApp.log_level=WARN"]
    command += [f"--LabApp.default_url=/lab/tree/{START.as_posix()}"]
    command += ["--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate"]
    if zmq.has("curve"):  # else each kernel warns the learner that its line is not encrypted
        command.append("--KernelManager.transport_encryption=auto")
    if not browser:
        command.append("--no-browser")
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    return command


def lab_environment() -> dict[str, str]:
    """The environment JupyterLab runs in: our settings before the user's, which stay untouched."""
    paths = [str(SETTINGS), *filter(None, [os.environ.get("JUPYTER_CONFIG_PATH")])]
    return command_environment() | {"JUPYTER_CONFIG_PATH": os.pathsep.join(paths)}


def has_display() -> bool:
    """Whether a browser window can be shown here."""
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
