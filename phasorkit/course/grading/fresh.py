"""Kernels that are started anew for every notebook, on any system, by nbclient; nothing protects the machine."""

from __future__ import annotations

import asyncio
import logging
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
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

from phasorkit.course.grading.kernel import LOGGER, KernelGone, Limits, timeout_output
from phasorkit.course.kernel_loop import kernel_loop


class _ThisPython(AsyncKernelManager):
    """Starts a kernel of the Python that runs this, whatever kernels the machine has installed."""

    @property
    def kernel_spec(self) -> KernelSpec:
        argv = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
        return KernelSpec(argv=argv, display_name="Python 3", language="python")


class FreshKernel:
    """A kernel in a process of its own; see `phasorkit.course.grading.kernel.Kernel` and `fresh_kernel`."""

    def __init__(self, notebook: NotebookNode, limits: Limits, runner: asyncio.Runner) -> None:
        self.deadline = monotonic() + limits.total_seconds
        self.limits = limits
        self.gone: str | None = None
        self.stopped_cells = 0
        self.runner = runner
        self.cells = notebook.cells
        self.client = NotebookClient(
            notebook,
            log=logging.getLogger(LOGGER),
            kernel_manager_class=_ThisPython,
            allow_errors=True,
            timeout_func=lambda _cell: max(1, min(limits.cell_seconds, int(self.deadline - monotonic()))),
            interrupt_on_timeout=True,
            error_on_timeout={k: v for k, v in timeout_output(limits).items() if k != "output_type"},
            raise_on_iopub_timeout=True,
            iopub_timeout=4,
            startup_timeout=180,  # a crowded machine has taken more than 60
        )

    def run(self, cell: NotebookNode) -> None:
        """Run one code cell; see `Kernel.run`."""
        self.runner.run(self._run(cell, next(i for i, other in enumerate(self.cells) if other is cell)))

    def ask(self, expression: str) -> str:
        """Value of an expression as text; see `Kernel.ask`."""
        return self.runner.run(self._ask(expression))

    async def _run(self, cell: NotebookNode, index: int) -> None:
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

    async def _ask(self, expression: str) -> str:
        kernel = self.client.kc
        if self.gone is not None or not isinstance(kernel, AsyncKernelClient):
            raise KernelGone(self.gone or "the kernel is not running")
        message = kernel.execute(
            "", silent=True, user_expressions={"answer": expression}, reply=True, timeout=self.limits.ask_seconds
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


@contextmanager
def fresh_kernel(notebook: NotebookNode, limits: Limits) -> Iterator[FreshKernel]:
    """A running kernel in an empty folder of its own, ended and cleared away afterwards whatever happens."""
    with (
        tempfile.TemporaryDirectory(prefix="phasorkit-", ignore_cleanup_errors=True) as name,
        asyncio.Runner(loop_factory=kernel_loop) as runner,
    ):
        kernel = FreshKernel(notebook, limits, runner)
        try:
            runner.run(kernel.start(Path(name)))
            yield kernel
        finally:
            runner.run(kernel.stop())
