"""What a kernel for one learner's notebook is to the grader, and the bounds of what it may use."""

from __future__ import annotations

import sys
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Protocol

from nbformat import NotebookNode

from phasorkit.course.grading.notebooks import output

LOGGER = "phasorkit.grading"
"""Name of the logger that nbgrader's and the kernels' messages go to."""

GRACE_SECONDS = 5.0
"""How long a cell may take to stop once it is told to [s]."""


class Kernels(StrEnum):
    """Where learners' cells run: in the sandbox; forked from a warm process; each in a fresh process (any system)."""

    SANDBOX = "sandbox"
    FORKED = "forked"
    FRESH = "fresh"

    @classmethod
    def unprotected(cls) -> Kernels:
        """The fastest way on this system that has no sandbox."""
        return cls.FORKED if sys.platform == "linux" else cls.FRESH


@dataclass(frozen=True)
class Limits:
    """How much a learner's notebook may use: seconds for one cell and for all of it, and amounts for all of it.

    `files_mb` and `processes` bind in the sandbox only, the memory and what is shown not in a fresh process.
    """

    cell_seconds: int = 30
    total_seconds: int = 90
    memory_mb: int = 1000
    files_mb: int = 64
    output_mb: int = 64
    processes: int = 24
    ask_seconds: int = 10

    def as_numbers(self) -> dict[str, int]:
        """By name."""
        return asdict(self)


class KernelGone(RuntimeError):
    """The kernel died or was killed; the message says why, in words for learner and instructor."""


class NoKernel(RuntimeError):
    """No kernel can be started on this machine; the message says why."""


class SandboxEnded(NoKernel):
    """The sandbox was ended from outside while a notebook ran in it, which is no fault of that notebook."""


class Kernel(Protocol):
    """Runs single cells of a notebook.

    `gone` says why there is no kernel any more, else None; `stopped_cells` counts the cells that ran out of time.
    """

    gone: str | None
    stopped_cells: int

    def run(self, cell: NotebookNode) -> None:
        """Run one code cell; its outputs, an error among them, are stored in it.

        Raises
        ------
        KernelGone
            The kernel died, ignored its interruption, or one of the limits is used up. It is of no more use then.
        """

    def ask(self, expression: str) -> str:
        """Value of an expression in the learner's kernel, as its text form; errors as in `run`.

        The text is whatever the kernel says: the caller takes nothing in it on trust. An expression that fails gives
        an empty text.
        """


def timeout_output(limits: Limits) -> NotebookNode:
    """What stands under a cell that was stopped."""
    text = f"Stopped: this cell ran longer than {limits.cell_seconds} s."
    value = f"stopped after {limits.cell_seconds} s"
    return output("error", {"ename": "Timeout", "evalue": value, "traceback": [text]})
