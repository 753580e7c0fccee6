"""One grader at a time: a lock on the class folder that the system lifts by itself when its holder ends."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO

FILE = ".grading.lock"


class Busy(RuntimeError):
    """Somebody else grades this class now; the message says who."""


@contextmanager
def only_grader(folder: Path, who: str) -> Iterator[None]:
    """Hold the lock of a class folder; errors as in `take`."""
    lock = take(folder, who)
    try:
        yield
    finally:
        lock.truncate(0)
        lock.close()


def take(folder: Path, who: str) -> IO[str]:
    """Take the lock of a class folder; it lasts until the stream that is given back is closed or this process ends.

    Raises
    ------
    Busy
        Another process holds it.
    OSError
        Nothing can be written to the folder.
    """
    stream = (folder / FILE).open("a+", encoding="utf-8")
    if not _locked(stream):
        stream.seek(1)
        holder = "" if sys.platform == "win32" else stream.read(200).strip()
        stream.close()
        raise Busy(f"this class is being graded already ({holder or 'by another program'}): wait until that is done")
    stream.truncate(0)
    stream.write(f" {who}, process {os.getpid()}, since {datetime.now():%H:%M:%S}\n")
    stream.flush()
    return stream


if sys.platform == "win32":
    import msvcrt

    def _locked(stream: IO[str]) -> bool:
        stream.seek(0)
        with contextlib.suppress(OSError):
            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
            return True
        return False

else:
    import fcntl

    def _locked(stream: IO[str]) -> bool:
        with contextlib.suppress(BlockingIOError):
            fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return True
        return False
