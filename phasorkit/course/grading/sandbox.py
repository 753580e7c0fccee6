"""The outer frame of the sandbox: what bubblewrap shows the process that kernels are forked from, which is little."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import phasorkit

LINKS = ("/bin", "/sbin", "/lib", "/lib32", "/lib64", "/libx32")
PARTS = ("bin", "sbin", "lib", "lib32", "lib64", "libexec", "share", "pyvenv.cfg")
"""What is shown of /usr and of the folders of Python: programs and packages, but nothing else that may lie there."""

SETTINGS = ("/etc/ld.so.cache", "/etc/alternatives", "/etc/fonts", "/etc/localtime", "/etc/mime.types")
CODE = "/run/phasorkit-code"
"""Where the package lies inside; the course around it is not there."""

APART = "/run/phasorkit-python"
"""Where a Python that lies below /tmp or /dev/shm is shown: those two are empty inside."""

ENVIRONMENT = {
    "HOME": "/tmp/work",
    "LANG": "C.UTF-8",
    "USER": "learner",
    "LOGNAME": "learner",
    "PYTHONNOUSERSITE": "1",
}
CALM = {
    "MPLBACKEND": "module://matplotlib_inline.backend_inline",
    "NBGRADER_EXECUTION": "autograde",
    "PYTHONDONTWRITEBYTECODE": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
}
"""Set for every kernel, in a sandbox or not: one thread only, so that the process may be forked."""


def program() -> str | None:
    """Path of bubblewrap, or None where there is none."""
    return shutil.which("bwrap", path=f"{os.environ.get('PATH', '')}:/usr/bin:/usr/local/bin") if _linux() else None


def inside(place: str | Path) -> Path:
    """Where a file or folder of this Python is found in the frame.

    >>> inside("/usr/bin/python3").as_posix(), inside("/tmp/course/.venv/bin/python").as_posix()
    ('/usr/bin/python3', '/run/phasorkit-python/tmp/course/.venv/bin/python')
    """
    path = Path(place)
    hidden = any(path.is_relative_to(covered) for covered in ("/tmp", "/dev/shm"))
    return Path(APART) / path.relative_to("/") if hidden else path


def _linux() -> bool:
    return sys.platform == "linux"


def frame(megabytes: int) -> list[str]:
    """The command that a program's own words follow to run it in the frame: bubblewrap and all it is to do.

    No network, no users' folders, nothing writable but /tmp of that size; what the program starts ends with it.
    """
    root = os.getuid() == 0
    words = [program() or "bwrap", "--unshare-ipc", "--unshare-pid", "--unshare-net", "--unshare-uts"]
    words += ["--unshare-cgroup-try", "--die-with-parent", "--new-session", "--hostname", "grading", "--clearenv"]
    if root:  # an ordinary user is what it becomes by itself inside; files of root's own folders stay readable so
        words += ["--cap-drop", "ALL", "--cap-add", "CAP_SETUID", "--cap-add", "CAP_SETGID", "--cap-add", "CAP_SETPCAP"]
    else:
        words += ["--unshare-user", "--cap-drop", "ALL"]
    for name, value in {**ENVIRONMENT, **CALM, "PATH": f"{inside(sys.executable).parent}:/usr/bin:/bin"}.items():
        words += ["--setenv", name, value]
    words += ["--setenv", "PYTHONPATH", CODE]
    words += _places()
    words += ["--proc", "/proc", "--dev", "/dev", "--remount-ro", "/dev", "--tmpfs", "/dev/shm"]
    words += ["--size", str(megabytes << 20), "--perms", "1777", "--tmpfs", "/tmp"]
    return [*words, "--remount-ro", "/", "--chdir", "/tmp", "--"]


def _places() -> list[str]:
    """What is there to read: the system's programs, this Python and its packages, and this package."""
    words: list[str] = []
    binds = [(place, inside(place)) for place in _programs()]
    binds.append((Path(phasorkit.__file__).resolve().parent, Path(CODE) / "phasorkit"))
    above = [Path("/etc"), *(folder for _, shown in binds for folder in reversed(shown.parents[:-1]))]
    for folder in dict.fromkeys(above):
        words += ["--perms", "0755", "--dir", str(folder)]
    for place, shown in binds:
        if place.is_symlink():
            words += ["--symlink", os.readlink(place), str(shown)]
        else:
            words += ["--ro-bind", str(place), str(shown)]
    for file in SETTINGS:
        words += ["--ro-bind-try", file, file]
    return words


def _programs() -> list[Path]:
    """Folders and files to show, those inside another one left out."""
    prefixes = ["/usr", "/usr/local", sys.prefix, sys.base_prefix, os.path.realpath(sys.base_prefix)]
    parts = [Path(prefix) / part for prefix in prefixes for part in PARTS]
    packages = [Path(entry) for entry in sys.path if Path(entry).name in ("site-packages", "dist-packages")]
    wanted: list[Path] = []
    for place in sorted({*map(Path, LINKS), *parts, *packages}, key=lambda path: (len(path.parts), path)):
        if place.exists() and not any(place.is_relative_to(other) for other in wanted):
            wanted.append(place)
    return wanted
