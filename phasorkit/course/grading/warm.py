"""Warm kernels: forked from a process that has everything imported, in the sandbox or without it."""

from __future__ import annotations

import atexit
import contextlib
import os
import queue
import select
import signal
import socket
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from time import monotonic
from typing import Any

from nbformat import NotebookNode

from phasorkit.course.grading import sandbox
from phasorkit.course.grading.inside import HALF, OPEN, WALLED, frames
from phasorkit.course.grading.kernel import GRACE_SECONDS, KernelGone, Limits, NoKernel, SandboxEnded, timeout_output
from phasorkit.course.grading.nursery import ENDING_SECONDS, Nursery
from phasorkit.course.grading.shown import Shown
from phasorkit.course.grading.watch import memory_of, process_of

WATCH_SECONDS = 0.1
"""How often a running notebook's memory is looked at [s]."""

LARGEST = 16_000_000
"""Bytes of the largest message that a kernel may send; a picture is one."""

ENDED = "the notebook ended its own kernel"

LAST_SECONDS = 1.0
"""How long, when a kernel is gone, its sandbox is watched for being gone too [s]."""

AT_ONCE = 1 << 16
"""Bytes that are taken from a kernel at once."""


@cache
def _idle(walls: str) -> queue.SimpleQueue[Nursery]:
    """Nurseries of this process that nobody uses now; closed when it ends."""
    atexit.register(close_idle, walls)
    return queue.SimpleQueue()


def close_idle(walls: str) -> None:
    """Close the nurseries that nobody uses now."""
    with contextlib.suppress(queue.Empty):
        while True:
            _idle(walls).get_nowait().close()


@cache
def usable_walls() -> str:
    """WALLED where kernels can have walls of their own inside the frame, else HALF.

    Raises
    ------
    NoKernel
        There is no sandbox here; the message says why.
    """
    if sandbox.program() is None:
        linux = sys.platform == "linux"
        raise NoKernel("bubblewrap (the command bwrap) is not installed" if linux else "this is not Linux")
    nursery = Nursery(WALLED, Limits())
    if not nursery.walled:
        nursery.close()
        return HALF
    _idle(WALLED).put(nursery)
    return WALLED


@contextmanager
def _nursery(walls: str, limits: Limits) -> Iterator[Nursery]:
    idle, nursery = _idle(walls), None
    with contextlib.suppress(queue.Empty):
        nursery = idle.get_nowait()
    if nursery is not None and nursery.process.poll() is not None:  # it ended while nobody used it
        nursery.close()
        nursery = None
    nursery = nursery or Nursery(walls, limits)
    try:
        yield nursery
    except BaseException:
        nursery.close()
        raise
    if walls == HALF:
        nursery.close()
    else:
        idle.put(nursery)


class WarmKernel:
    """One forked kernel; what it says is taken for an output or an answer, and nothing else."""

    def __init__(self, line: socket.socket, handle: int, limits: Limits, *, walled: bool) -> None:
        self.line, self.handle, self.limits, self.walled = line, handle, limits, walled
        self.deadline = monotonic() + limits.total_seconds
        self.gone: str | None = None
        self.stopped_cells = 0
        self.incoming = frames.Incoming(LARGEST)
        self.received = 0
        self.watched = monotonic()

    def run(self, cell: NotebookNode) -> None:
        """Run one code cell; its outputs, an error among them, are stored in it; errors as in `Kernel.run`."""
        shown = Shown()
        cell.outputs = shown.outputs
        if cell.source.strip() and self._talk({"do": "run", "source": cell.source}, self.limits.cell_seconds, shown)[1]:
            self.stopped_cells += 1
            cell.outputs.append(timeout_output(self.limits))

    def ask(self, expression: str) -> str:
        """Value of an expression in the learner's kernel, as its text form; errors as in `Kernel.ask`."""
        message, _ = self._talk({"do": "ask", "expression": expression}, self.limits.ask_seconds, Shown())
        text = message.get("answer")
        return text if isinstance(text, str) else ""

    def _talk(self, request: dict[str, Any], seconds: float, shown: Shown) -> tuple[dict[str, Any], bool]:
        """Send a request and take in what comes until it is done; also, whether it had to be interrupted."""
        if self.gone is not None:
            raise KernelGone(self.gone)
        until, interrupted = min(monotonic() + seconds, self.deadline), False
        try:
            self.line.settimeout(self.limits.ask_seconds)
            frames.send(self.line, request)
            while True:
                message = self._next(until)
                if message is None and interrupted:
                    raise self._end(f"a cell ran longer than {self.limits.cell_seconds} s and could not be interrupted")
                if message is None:
                    interrupted, until = True, self._interrupt()
                elif "shows" in message:
                    shown.add(message)
                else:
                    return message, interrupted
        except (frames.Closed, OSError) as error:
            raise self._end(ENDED) from error

    def _next(self, until: float) -> dict[str, Any] | None:
        """The next message, or None when the time is up; half a message is none, however it trickles in."""
        while True:
            if monotonic() - self.watched >= WATCH_SECONDS:
                self._watch()
            if (found := self.incoming.take()) is not None:
                break
            left = until - monotonic()
            if left <= 0:
                return None
            if select.select([self.line], [], [], min(left, WATCH_SECONDS))[0]:
                self.incoming.add(self.line.recv(AT_ONCE))
        message, length = found
        self.received += length
        if self.received > self.limits.output_mb << 20:
            raise self._end(f"the notebook printed more than {self.limits.output_mb} MB")
        return message

    def _watch(self) -> None:
        self.watched = monotonic()
        used = memory_of(self.handle)
        if used > self.limits.memory_mb << 20:
            raise self._end(f"the notebook took more than {self.limits.memory_mb} MB of memory")

    def _interrupt(self) -> float:
        """Interrupt the cell, or end all when the notebook's time is up; returns until when to wait."""
        if monotonic() >= self.deadline:
            raise self._end(f"the notebook ran longer than {self.limits.total_seconds} s in all and was stopped")
        with contextlib.suppress(OSError):
            signal.pidfd_send_signal(self.handle, signal.SIGINT)
        return monotonic() + GRACE_SECONDS

    def _end(self, reason: str) -> KernelGone:
        self.gone = self.gone or reason
        self.kill()
        return KernelGone(self.gone)

    def kill(self) -> None:
        """End it and all it started, and wait until that is done."""
        with contextlib.suppress(OSError):
            if not self.walled and (number := process_of(self.handle)) > 0:
                os.killpg(number, signal.SIGKILL)
            signal.pidfd_send_signal(self.handle, signal.SIGKILL)
        select.select([self.handle], [], [], ENDING_SECONDS)

    def close(self) -> None:
        """End it and close the connection."""
        self.kill()
        self.line.close()
        os.close(self.handle)


@contextmanager
def warm_kernel(limits: Limits, *, boxed: bool) -> Iterator[WarmKernel]:
    """A forked kernel, in the sandbox or without walls, ended with all that it started whatever happens.

    Raises
    ------
    SandboxEnded
        Not by the notebook, which cannot reach the process that its kernel comes from where it has walls of its own.
    """
    walls = usable_walls() if boxed else OPEN
    with _folder(walls) as folder, _nursery(walls, limits) as nursery:
        line, handle = nursery.fork(limits, folder)
        kernel = WarmKernel(line, handle, limits, walled=walls == WALLED)
        try:
            yield kernel
            if walls == WALLED and kernel.gone == ENDED and nursery.ended(LAST_SECONDS):
                raise SandboxEnded("the sandbox was ended by something outside it")
        finally:
            kernel.close()


@contextmanager
def _folder(walls: str) -> Iterator[str]:
    """A kernel's folder to work in; one with walls has its own inside, so that nothing lies around outside."""
    if walls != OPEN:
        yield ""
        return
    with tempfile.TemporaryDirectory(prefix="phasorkit-", ignore_cleanup_errors=True) as folder:
        yield folder
