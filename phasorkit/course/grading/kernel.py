"""One kernel for one learner's notebook: runs their cells within limits and hands over answers as text."""

from __future__ import annotations

import asyncio
import logging
import os
import subprocess
import sys
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from queue import Empty
from time import monotonic

from jupyter_client.asynchronous.client import AsyncKernelClient
from jupyter_client.kernelspec import KernelSpec
from jupyter_client.manager import AsyncKernelManager
from jupyter_core.utils import ensure_async
from nbclient import NotebookClient
from nbclient.exceptions import CellTimeoutError, DeadKernelError
from nbformat import NotebookNode

LOGGER = "phasorkit.grading"
"""Name of the logger that nbgrader's and the kernels' messages go to."""

ASK_SECONDS = 10
"""Longest wait for an answer to be handed over [s]."""


@dataclass(frozen=True)
class Limits:
    """How long a learner's notebook may run: one cell, and all of it [s]."""

    cell_seconds: int = 30
    total_seconds: int = 90


class KernelGone(RuntimeError):
    """The kernel died or was killed; the message says why, in words for learner and instructor."""


class _ThisPython(AsyncKernelManager):
    """Starts a kernel of the Python that runs this, whatever kernels the machine has installed."""

    @property
    def kernel_spec(self) -> KernelSpec:
        argv = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
        return KernelSpec(argv=argv, display_name="Python 3", language="python")


class LearnerKernel:
    """Runs single cells of a notebook; see `learner_kernel`."""

    def __init__(self, notebook: NotebookNode, limits: Limits) -> None:
        self.deadline = monotonic() + limits.total_seconds
        self.limits = limits
        self.gone: str | None = None
        self.stopped_cells = 0
        self.client = NotebookClient(
            notebook,
            log=logging.getLogger(LOGGER),
            kernel_manager_class=_ThisPython,
            allow_errors=True,
            timeout_func=lambda _cell: max(1, min(limits.cell_seconds, int(self.deadline - monotonic()))),
            interrupt_on_timeout=True,
            error_on_timeout={
                "ename": "Timeout",
                "evalue": f"stopped after {limits.cell_seconds} s",
                "traceback": [f"Stopped: this cell ran longer than {limits.cell_seconds} s."],
            },
            raise_on_iopub_timeout=True,
            iopub_timeout=4,
            startup_timeout=60,
        )

    async def run(self, cell: NotebookNode, index: int) -> None:
        """Run one code cell; its outputs, an error among them, are stored in it.

        Raises
        ------
        KernelGone
            The kernel died, ignored its interruption, or the total time is used up. It is of no more use then.
        """
        if self.gone is None and monotonic() >= self.deadline:
            await self._kill(f"the notebook ran longer than {self.limits.total_seconds} s in all and was stopped")
        if self.gone is not None:
            raise KernelGone(self.gone)
        started = monotonic()
        try:
            await self.client.async_execute_cell(cell, index)
        except DeadKernelError:
            await self._kill("the notebook ended its own kernel")
        except CellTimeoutError:
            await self._kill(f"a cell ran longer than {self.limits.cell_seconds} s and could not be interrupted")
        self.stopped_cells += monotonic() - started >= self.limits.cell_seconds
        if self.gone is not None:
            raise KernelGone(self.gone)

    async def ask(self, expression: str) -> str:
        """Value of an expression in the learner's kernel, as its text form; errors as in `run`.

        The text is whatever the kernel says: the caller takes nothing in it on trust. An expression that fails gives
        an empty text.
        """
        kernel = self.client.kc
        if self.gone is not None or not isinstance(kernel, AsyncKernelClient):
            raise KernelGone(self.gone or "the kernel is not running")
        message = kernel.execute(
            "", silent=True, user_expressions={"answer": expression}, reply=True, timeout=ASK_SECONDS
        )
        try:
            reply = await message
        except (Empty, TimeoutError, RuntimeError):
            await self._kill("the kernel gave no answer")
            raise KernelGone(self.gone or "") from None
        found = reply["content"].get("user_expressions", {}).get("answer", {})
        text = found.get("data", {}).get("text/plain", "") if found.get("status") == "ok" else ""
        return text if isinstance(text, str) else ""

    async def start(self, folder: Path) -> None:
        """Start the kernel with a folder of its own to work in."""
        self.client.km = self.client.create_kernel_manager()
        own = {"IPYTHONDIR": str(folder / ".ipython"), "NBGRADER_EXECUTION": "autograde"}
        await self.client.async_start_new_kernel(
            cwd=str(folder), env={**os.environ, **own}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        await self.client.async_start_new_kernel_client()

    async def stop(self) -> None:
        """End the kernel at once and close the connection to it."""
        if self.client.km is not None:
            await ensure_async(self.client.km.shutdown_kernel(now=True))
        if self.client.kc is not None:
            self.client.kc.stop_channels()

    async def _kill(self, reason: str) -> None:
        self.gone = reason
        if self.client.km is not None:
            await ensure_async(self.client.km.shutdown_kernel(now=True))


@asynccontextmanager
async def learner_kernel(notebook: NotebookNode, limits: Limits) -> AsyncIterator[LearnerKernel]:
    """A running kernel in an empty folder of its own, ended and cleared away afterwards whatever happens."""
    with tempfile.TemporaryDirectory(prefix="phasorkit-", ignore_cleanup_errors=True) as name:
        kernel = LearnerKernel(notebook, limits)
        try:
            await kernel.start(Path(name))
            yield kernel
        finally:
            await kernel.stop()


def event_loop() -> asyncio.AbstractEventLoop:
    """An event loop that sockets of the kernel protocol can use (on Windows not the default one)."""
    return asyncio.SelectorEventLoop() if sys.platform == "win32" else asyncio.new_event_loop()
