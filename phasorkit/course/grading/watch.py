"""How much memory a kernel and all it started take, read from the system's own list of processes."""

from __future__ import annotations

import os
import re


def memory_of(handle: int) -> int:
    """Bytes of memory of a process and its descendants, files that are only read left out.

    `handle` is a process descriptor (Linux). What has ended meanwhile counts nothing. A page that processes share
    since a fork counts once for all of them, so that many small helpers are not taken for much memory.
    """
    waiting, total = [process_of(handle)], 0
    while waiting:
        process = waiting.pop()
        total += _own(process)
        waiting += children_of(process)
    return total


def process_of(handle: int) -> int:
    """Number of the process, as this process sees it; -1 when it has ended."""
    found = re.search(r"^Pid:\s*(-?\d+)", _text(f"/proc/self/fdinfo/{handle}"), re.M)
    return int(found[1]) if found else -1


def _own(process: int) -> int:
    """What a process has in memory, pages shared after a fork in equal parts; whole where the system does not tell."""
    parts = re.findall(r"^Pss_(?:Anon|Shmem):\s*(\d+) kB", _text(f"/proc/{process}/smaps_rollup"), re.M)
    whole = parts or re.findall(r"^Rss(?:Anon|Shmem):\s*(\d+) kB", _text(f"/proc/{process}/status"), re.M)
    return 1024 * sum(map(int, whole))


def children_of(process: int) -> list[int]:
    """Numbers of the processes that a process has started and that are still its own; none when it has ended."""
    try:
        threads = os.listdir(f"/proc/{process}/task")
    except OSError:
        return []
    return [int(word) for thread in threads for word in _text(f"/proc/{process}/task/{thread}/children").split()]


def _text(file: str) -> str:
    try:
        with open(file, encoding="ascii", errors="replace") as stream:
            return stream.read()
    except OSError:
        return ""
