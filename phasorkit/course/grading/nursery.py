"""The process that kernels are forked from, as the grader holds it: started in the sandbox's frame or without one."""

from __future__ import annotations

import os
import select
import socket
import subprocess
import sys
import tempfile

from phasorkit.course.grading import sandbox
from phasorkit.course.grading.inside import OPEN, frames
from phasorkit.course.grading.kernel import Limits, NoKernel
from phasorkit.course.grading.watch import children_of

ZYGOTE = "phasorkit.course.grading.inside.zygote"

START_SECONDS = 60
"""Longest wait for it [s]."""

ENDING_SECONDS = 10
"""Longest wait until what was killed is gone [s]."""


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
        except OSError as error:
            raise NoKernel(self.trouble() or str(error)) from error
        if len(numbers) != 2:
            raise NoKernel(self.trouble() or "no kernel could be forked")
        return socket.socket(fileno=numbers[0]), numbers[1]

    def ended(self, seconds: float) -> bool:
        """Whether it has ended; so long is waited for it. What it forked keeps its socket open as long as it lives."""
        return bool(select.select([self.control], [], [], seconds)[0])

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
