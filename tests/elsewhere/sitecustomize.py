"""Python imports this at its start where this folder is on PYTHONPATH: the project's modules then see no Linux.

What they import lacks what Python's own library says is "not available on Windows" (or there only in another form),
`sys.platform` is ``win32``, and a text file opened without an encoding is an error. Everybody else's modules see the
machine as it is, for they bring their own ways for every system. See `test_elsewhere.py`.
"""

import builtins
import importlib
import sys
import warnings
from collections.abc import Mapping, Sequence
from types import ModuleType
from typing import Any

NOT_THERE = {
    "crypt", "curses", "fcntl", "grp", "posix", "pty", "pwd", "readline", "resource", "syslog", "termios", "tty",
}  # fmt: skip
"""Modules whose page in the library reference has Availability: Unix, and `readline`."""

LACKS = {
    "os": {
        "O_CLOEXEC", "O_NOFOLLOW", "O_NONBLOCK", "WNOHANG", "chown", "chroot", "fchmod", "fchown", "fork", "forkpty",
        "getegid", "geteuid", "getgid", "getgroups", "getloadavg", "getpgid", "getpriority", "getuid", "killpg",
        "lchown", "mkfifo", "nice", "pidfd_open", "posix_spawn", "sched_getaffinity", "sched_setaffinity", "setgid",
        "setgroups", "setpgid", "setresgid", "setresuid", "setsid", "setuid", "statvfs", "sysconf", "uname",
        "unshare", "wait",
    },
    "signal": {
        "SIGALRM", "SIGCHLD", "SIGCONT", "SIGHUP", "SIGKILL", "SIGPIPE", "SIGQUIT", "SIGSTOP", "SIGUSR1", "SIGUSR2",
        "alarm", "pidfd_send_signal", "pthread_kill", "pthread_sigmask", "setitimer",
    },
    "socket": {"AF_UNIX", "SCM_RIGHTS", "recv_fds", "send_fds"},
    "select": {"epoll", "poll"},
}  # fmt: skip
"""Names in modules that are there: the library reference gives their Availability as Unix or Linux."""

ordinary_import = builtins.__import__


class Bare(ModuleType):
    """A module without some of its names."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        whole = importlib.import_module(name)
        self.__dict__.update({key: value for key, value in vars(whole).items() if key not in LACKS[name]})


class Elsewhere(ModuleType):
    """`sys` with another platform."""

    platform = "win32"

    def __getattr__(self, name: str) -> Any:
        return getattr(sys, name)


class Locking(ModuleType):
    """As much of `msvcrt` as is needed to lock a file, done by the lock that this system has."""

    LK_NBLCK = 2

    @staticmethod
    def locking(number: int, mode: int, size: int) -> None:
        """Lock an open file, or raise OSError, as its page in the library reference says."""
        fcntl = importlib.import_module("fcntl")
        assert mode == Locking.LK_NBLCK
        assert size >= 1
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)


STANDS_IN: dict[str, ModuleType] = {"sys": Elsewhere("sys"), **{name: Bare(name) for name in LACKS}}
if sys.platform != "win32":  # the machine is one of those then, and locks by itself
    STANDS_IN["msvcrt"] = Locking("msvcrt")


def _import(
    name: str,
    globals: Mapping[str, object] | None = None,
    locals: Mapping[str, object] | None = None,
    fromlist: Sequence[str] | None = (),
    level: int = 0,
) -> ModuleType:
    asks = globals or {}
    package = str(asks.get("__package__") or asks.get("__name__") or "")
    if level == 0 and package.partition(".")[0] == "phasorkit":
        if name in NOT_THERE:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
        if name in STANDS_IN:
            return STANDS_IN[name]
    return ordinary_import(name, globals, locals, fromlist or (), level)


builtins.__import__ = _import
warnings.filterwarnings("error", category=EncodingWarning, module=r"phasorkit\b")
