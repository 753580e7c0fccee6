"""For the tests of the sandbox: cells run in it, and what came of them."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from nbformat import NotebookNode, v4

from phasorkit.course.grading.kernel import Kernels, Limits
from phasorkit.course.grading.notebooks import dump, load
from phasorkit.course.grading.worker import Job, grade, trouble

ROOMY = Limits(cell_seconds=60, total_seconds=300)
"""Time that honest cells have on the most loaded machine; nothing here takes it up."""


def require_sandbox() -> None:
    """Skip where there is no sandbox; where there must be one (CI), fail."""
    why = trouble(Kernels.SANDBOX)
    if why and os.environ.get("PHASORKIT_NEED_SANDBOX"):
        pytest.fail(f"no sandbox: {why}")
    if why:
        pytest.skip(f"no sandbox: {why}")


@dataclass(frozen=True)
class Ran:
    """A notebook that was run: its cells, what was flagged, how long it took [s]."""

    cells: list[NotebookNode]
    flags: list[str]
    seconds: float

    def text(self, index: int = -1) -> str:
        """What a cell printed, showed or raised, as text."""
        outputs = self.cells[index].outputs
        return "".join(
            o.get("text") or o.get("evalue") or o.get("data", {}).get("text/plain", "") for o in outputs
        ).strip()


def ran(*sources: str, limits: Limits = ROOMY, kernels: Kernels = Kernels.SANDBOX) -> Ran:
    """Run cells as a learner's notebook without checks."""
    notebook = v4.new_notebook(cells=[v4.new_code_cell(source) for source in sources])
    graded = grade(Job("somebody", "bridge", dump(notebook), {}, limits=limits, kernels=kernels))
    flags = [flag.text for flag in graded.record.flags if flag.kind == "stopped"]
    return Ran(load(graded.notebook).cells, flags, graded.record.seconds)


def as_other_user(command: list[str], cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a command as an ordinary user who can read what this Python needs; only root can do so."""
    home = Path.home()
    shown = [p for p in (Path(sys.base_prefix).resolve(), Path(sys.prefix), cwd) if p.is_relative_to(home)]
    frame = ["bwrap", "--dev-bind", "/", "/", "--cap-add", "ALL"]
    if shown:
        frame += ["--perms", "0755", "--tmpfs", str(home)]
        for place in shown:
            for folder in reversed([p for p in place.parents if p.is_relative_to(home) and p != home]):
                frame += ["--perms", "0755", "--dir", str(folder)]
            frame += ["--ro-bind", str(place), str(place)]
    become = ["setpriv", "--reuid", "1000", "--regid", "1000", "--clear-groups", "--inh-caps=-all"]
    environment = {**os.environ, "HOME": "/tmp", "PYTHONPATH": str(cwd)}
    return subprocess.run(
        [*frame, "--", *become, *command], cwd=cwd, env=environment, capture_output=True, text=True, timeout=600,
        check=False,
    )  # fmt: skip
