"""The kernel that runs a learner's cells: the shell of every Python notebook, its messages sent over one socket."""

from __future__ import annotations

import io
import os
import signal
import socket
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NoReturn

from ipykernel.zmqshell import ZMQInteractiveShell
from jupyter_client.session import Session

from phasorkit.course.grading.inside import frames

TEXT_AT_ONCE = 8_000
"""Characters of printed text that are sent together."""

TEXT_OF_A_CELL = 300_000
"""Characters that one cell may print; what follows is left out and said so."""

LARGEST_OUTPUT = 12_000_000
"""Bytes of one output; a larger one, which the grader would take for an attack, is left out and said so."""

TOO_LARGE = f"[an output of more than {LARGEST_OUTPUT // 1_000_000} MB was left out]\n"


class Wire(Session):
    """Stands where a notebook's shell has its session, and passes what it shows to the grader.

    `line` is set in the forked kernel only; before that nothing is sent.
    """

    line: socket.socket | None = None
    busy = threading.Lock()

    def send(  # type: ignore[override]
        self, stream: Any, msg_or_type: Any, content: Any = None, parent: Any = None, ident: Any = None
    ) -> None:
        """Pass on one output; the arguments are those of the class it stands for."""
        if isinstance(msg_or_type, dict):
            msg_or_type, content = msg_or_type["header"]["msg_type"], msg_or_type["content"]
        self.pass_on({"shows": msg_or_type, "content": content})

    def pass_on(self, message: dict[str, Any]) -> None:
        """Send a message, whole, whichever thread it comes from."""
        if self.line is not None:
            if "shows" in message and frames.size(message) > LARGEST_OUTPUT:
                message = {"shows": "stream", "content": {"name": "stderr", "text": TOO_LARGE}}
            with self.busy:
                frames.send(self.line, message)


class Printed(io.TextIOBase):
    """stdout or stderr of a learner's cell."""

    encoding = "utf-8"

    def __init__(self, name: str, wire: Wire) -> None:
        super().__init__()
        self.name = name
        self._wire = wire
        self._parts: list[str] = []
        self._waiting = 0
        self.left = TEXT_OF_A_CELL

    def writable(self) -> bool:
        """It is written to."""
        return True

    def write(self, text: str) -> int:
        """Take some text; it is sent when enough has come together, and at the end of the cell."""
        if not isinstance(text, str):
            raise TypeError(f"write() argument must be str, not {type(text).__name__}")
        if self.left > 0:
            kept = text[: self.left]
            self.left -= len(kept)
            self._parts.append(kept if self.left else kept + "\n... the rest of this output was left out ...\n")
            self._waiting += len(kept)
            if self._waiting >= TEXT_AT_ONCE or not self.left:
                self.flush()
        return len(text)

    def flush(self) -> None:
        """Send what has been written so far."""
        parts, self._parts, self._waiting = self._parts, [], 0
        if parts:
            self._wire.pass_on({"shows": "stream", "content": {"name": self.name, "text": "".join(parts)}})


class LearnerShell(ZMQInteractiveShell):
    """The shell of a notebook kernel where there is nobody to answer a question."""

    def enable_gui(self, gui: Any = None) -> None:
        """Windows cannot be opened here; pictures are shown in the notebook."""


def make_shell() -> tuple[LearnerShell, Wire]:
    """A shell that has run nothing yet, for a process that is going to be forked."""
    from traitlets.config import Config

    wire = Wire()
    settings = Config()
    settings.HistoryManager.enabled = False
    settings.InteractiveShell.colors = "nocolor"
    shell: LearnerShell = LearnerShell.instance(config=settings)
    hook: Any = shell.displayhook
    publisher: Any = shell.display_pub
    hook.session = publisher.session = wire
    hook.pub_socket = publisher.pub_socket = "line"
    return shell, wire


def _ask_nobody(prompt: object = "", stream: object = None) -> NoReturn:
    raise RuntimeError("input() has nobody to ask while the notebook is graded")


class Kernel:
    """Serves one grader until the socket closes."""

    def __init__(self, shell: LearnerShell, wire: Wire, line: socket.socket) -> None:
        self.untyped: Any = shell
        self.wire = wire
        wire.line = line
        self.line = line
        self.printed = (Printed("stdout", wire), Printed("stderr", wire))
        sys.stdout, sys.stderr = self.printed
        self._prepare()

    def _prepare(self) -> None:
        """Undo what a fork carries over that a fresh kernel would not have."""
        import builtins
        import getpass

        import numpy as np

        builtins.input = _ask_nobody
        getpass.getpass = _ask_nobody
        np.random.seed()  # noqa: NPY002 (the generator that learners call by np.random)
        for number in (signal.SIGTERM, signal.SIGCHLD, signal.SIGPIPE):
            signal.signal(number, signal.SIG_IGN if number == signal.SIGPIPE else signal.SIG_DFL)
        signal.signal(signal.SIGINT, signal.SIG_IGN)

    @contextmanager
    def _interruptible(self) -> Iterator[None]:
        """An interruption ends what runs in here, whatever a learner's cell has made of it before, and nothing else."""
        signal.signal(signal.SIGINT, signal.default_int_handler)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, signal.SIG_IGN)

    def serve(self) -> None:
        """Run cells and answer questions, one after the other."""
        while True:
            try:
                message, _ = frames.receive(self.line, 1 << 26)
            except frames.Closed:
                os._exit(0)
            try:
                if message["do"] == "run":
                    self._run(str(message["source"]))
                else:
                    self._answer(str(message["expression"]))
            except KeyboardInterrupt:  # came between the cell's end and here
                self.wire.pass_on({"done": True})

    def _run(self, source: str) -> None:
        for stream in self.printed:
            stream.left = TEXT_OF_A_CELL
        with self._interruptible():
            self.untyped.run_cell(source, store_history=True)
        for stream in self.printed:
            stream.flush()
        self.wire.pass_on({"done": True})

    def _answer(self, expression: str) -> None:
        with self._interruptible():
            found = self.untyped.user_expressions({"answer": expression})["answer"]
        text = found["data"]["text/plain"] if found["status"] == "ok" else ""
        self.wire.pass_on({"answer": text})
