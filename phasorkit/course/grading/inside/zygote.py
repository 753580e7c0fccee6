"""The process that kernels are forked from: it has imported what they need, and runs no learner's line itself.

Started by `phasorkit.course.grading.warm`, in the sandbox's outer frame or without one. It talks over the socket
whose number it is given: for each request it forks one kernel and sends back two descriptors, the socket of that
kernel and a handle of its process. When the other side is gone it ends, and in a frame everything ends with it.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
import shutil
import signal
import socket
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from phasorkit.course.grading.inside import OPEN, WALLED, frames, walls

if TYPE_CHECKING:
    from phasorkit.course.grading.inside.shell import Kernel, LearnerShell, Wire

READY = (
    "numpy", "numpy.random", "matplotlib.pyplot", "matplotlib_inline.backend_inline",
    "matplotlib.backends.backend_agg", "PIL.Image", "PIL.PngImagePlugin", "cmath", "statistics", "fractions", "decimal",
    "phasorkit.course", "phasorkit.course.notebook", "phasorkit.course.grading.reader", "phasorkit.course.model",
)  # fmt: skip
"""Modules that learners' cells import, and that take time."""


def main(number: int, wanted: str) -> None:
    """Serve the socket with this number; `wanted` is WALLED, HALF or OPEN."""
    control = socket.socket(fileno=number)
    if wanted != OPEN:
        walls.become_ordinary()
        walls.be_readable(False)
    frames.send(control, {"walls": wanted, "walled": wanted == WALLED and _try_out()})
    shell, wire = _warm_up()
    frames.send(control, {"ready": True})
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # the children that end need nobody to wait for them
    last, folder = -1, ""
    with contextlib.suppress(frames.Closed):
        while True:
            limits = frames.receive(control, 10_000)[0]
            folder = str(limits["folder"])
            last = _fork(control, limits, wanted, shell, wire)
    if wanted == OPEN and _is_child(last):
        os.killpg(last, signal.SIGKILL)
    if wanted == OPEN and folder:  # where the other side was killed nobody else clears it away
        shutil.rmtree(folder, ignore_errors=True)


def _is_child(process: int) -> bool:
    """Whether a process is a child of this one still, and no other that has got its number since."""
    with contextlib.suppress(OSError), open(f"/proc/{process}/stat", encoding="ascii", errors="replace") as stream:
        return int(stream.read().rpartition(")")[2].split()[1]) == os.getpid()
    return False


def _try_out() -> bool:
    """Whether a kernel's own walls can be put up here, tried by a child."""
    child = os.fork()
    if child == 0:
        try:
            walls.enclose()
            walls.private_places(1)
        except OSError:
            os._exit(1)
        os._exit(0)
    return os.waitpid(child, 0)[1] == 0


def _warm_up() -> tuple[LearnerShell, Wire]:
    """Import and do once what every kernel would do for the first time."""
    from phasorkit.course.briefs import draw_brief
    from phasorkit.course.grading.inside.shell import make_shell
    from phasorkit.course.model import tasks

    for name in READY:
        importlib.import_module(name)
    shell, wire = make_shell()
    untyped: Any = shell
    untyped.enable_matplotlib("inline")
    for cell in ("import matplotlib.pyplot as p", "p.plot([1, 2]); p.title('$x$'); p.show(); p.close('all')", "None.x"):
        untyped.run_cell(cell, silent=True)
    del shell.user_ns["p"]
    for exercise in tasks().values():  # their modules, and what `begin` works out for the first time
        draw_brief(exercise, "warm-up", "")
    gc.collect()
    gc.freeze()
    return shell, wire


def _fork(control: socket.socket, limits: Mapping[str, Any], wanted: str, shell: LearnerShell, wire: Wire) -> int:
    """Fork one kernel; its process number, or that of the process that waits for it."""
    ours, theirs = socket.socketpair()
    child = os.fork()
    if child:
        ours.close()
        if wanted != WALLED:
            _hand_out(control, theirs, child)
        theirs.close()
        return child
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    try:
        if wanted == WALLED:
            walls.enclose()
            kernel = os.fork()  # the first process of its namespace: with it everything in there ends
            if kernel:
                ours.close()
                _hand_out(control, theirs, kernel)
                theirs.close()
                os.waitpid(kernel, 0)
                os._exit(0)
        theirs.close()
        _become_kernel(control, ours, limits, wanted, shell, wire).serve()
    except BaseException as error:
        with contextlib.suppress(OSError):
            os.write(2, f"no kernel: {type(error).__name__}: {error}\n".encode())
    os._exit(1)


def _hand_out(control: socket.socket, theirs: socket.socket, kernel: int) -> None:
    handle = os.pidfd_open(kernel)
    socket.send_fds(control, [b"k"], [theirs.fileno(), handle])
    os.close(handle)


def _become_kernel(
    control: socket.socket, ours: socket.socket, limits: Mapping[str, Any], wanted: str, shell: LearnerShell, wire: Wire
) -> Kernel:
    from phasorkit.course.grading.inside.shell import Kernel

    control.close()
    os.setsid()
    if wanted == OPEN:
        os.chdir(str(limits["folder"]))
        walls.set_limits(limits, processes=False)
    else:
        walls.confine(limits, enclosed=wanted == WALLED)
        os.makedirs("/tmp/work", exist_ok=True)
        os.chdir("/tmp/work")
    nothing = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(nothing, number)
    last = ours.fileno()
    os.closerange(3, last)
    os.closerange(last + 1, 4096)
    return Kernel(shell, wire, ours)


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2])
