"""Warm kernels: forked from a process that has everything imported, in the sandbox or without it."""

from __future__ import annotations

import atexit
import contextlib
import os
import queue
import select
import signal
import socket
import subprocess
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
from phasorkit.course.grading.kernel import GRACE_SECONDS, KernelGone, Limits, NoKernel, timeout_output
from phasorkit.course.grading.shown import Shown
from phasorkit.course.grading.watch import children_of, memory_of, process_of

ZYGOTE = "phasorkit.course.grading.inside.zygote"

START_SECONDS = 60
"""Longest wait for the process that kernels are forked from [s]."""

ENDING_SECONDS = 10
"""Longest wait until what was killed is gone [s]."""

WATCH_SECONDS = 0.1
"""How often a running notebook's memory is looked at [s]."""

LARGEST = 16_000_000
"""Bytes of the largest message that a kernel may send; a picture is one."""

AT_ONCE = 1 << 16
"""Bytes that are taken from a kernel at once."""


class Nursery:
    """The process that forks kernels; see `phasorkit.course.grading.inside.zygote`."""

    def __init__(self, walls: str, limits: Limits) -> None:
        self.walls = walls
        self.control, theirs = socket.socketpair()
        self.control.settimeout(START_SECONDS)
        command = [sys.executable, "-m", ZYGOTE, str(theirs.fileno()), walls]
        environment = {**os.environ, **sandbox.CALM}
        if walls != OPEN:
            command[0] = str(sandbox.inside(sys.executable))
            command, environment = [*sandbox.frame(limits.files_mb), *command], {"PATH": os.defpath}
        self.errors = tempfile.TemporaryFile()  # noqa: SIM115 (closed with the rest, in close)
        self.process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=self.errors, env=environment,
            pass_fds=[theirs.fileno()],
        )  # fmt: skip
        theirs.close()
        self.frame: list[int] = []
        try:
            self.walled = bool(frames.receive(self.control, 10_000)[0]["walled"])
        except (frames.Closed, TimeoutError) as error:
            reason = self.trouble() or "the sandbox did not start"
            self.close()
            raise NoKernel(reason) from error
        if walls != OPEN:  # the first process of the frame's namespace: it is gone when all in there are gone
            self.frame = [os.pidfd_open(number) for number in children_of(self.process.pid)]
        self.ready = False

    def trouble(self) -> str:
        """The last line that it wrote about what went wrong."""
        self.errors.seek(0)
        lines = self.errors.read()[-2000:].decode("utf-8", "replace").strip().splitlines()
        return lines[-1] if lines else ""

    def fork(self, limits: Limits, folder: str) -> tuple[socket.socket, int]:
        """A new kernel: the socket to it, and a handle of its process.

        Raises
        ------
        NoKernel
            None could be started.
        """
        try:
            if not self.ready:
                frames.receive(self.control, 10_000)
                self.ready = True
            frames.send(self.control, {**limits.as_numbers(), "folder": folder})
            _, numbers, _, _ = socket.recv_fds(self.control, 1, 2)
        except (OSError, TimeoutError) as error:
            raise NoKernel(self.trouble() or str(error)) from error
        if len(numbers) != 2:
            raise NoKernel(self.trouble() or "no kernel could be forked")
        return socket.socket(fileno=numbers[0]), numbers[1]

    def close(self) -> None:
        """End it, and wait until everything that it started in a frame is gone too."""
        self.control.close()
        self.process.kill()
        self.process.wait()
        while self.frame:
            handle = self.frame.pop()
            select.select([handle], [], [], ENDING_SECONDS)
            os.close(handle)
        self.errors.close()


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
            raise self._end("the notebook ended its own kernel") from error

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
    """A forked kernel, in the sandbox or without walls, ended with all that it started whatever happens."""
    walls = usable_walls() if boxed else OPEN
    with (
        tempfile.TemporaryDirectory(prefix="phasorkit-", ignore_cleanup_errors=True) as folder,
        _nursery(walls, limits) as nursery,
    ):
        line, handle = nursery.fork(limits, folder)
        kernel = WarmKernel(line, handle, limits, walled=walls == WALLED)
        try:
            yield kernel
        finally:
            kernel.close()
