"""The walls around one kernel, put up by itself before it runs a line of a learner's: Linux calls that Python lacks.

`enclose` gives a process namespaces of its own, `confine` then takes from the kernel all it does not need. Both are
meant for a process that may do without privileges and has a single thread. Sources: the Linux manual pages
user_namespaces(7), pid_namespaces(7), mount_namespaces(7), capabilities(7), prctl(2), setrlimit(2).
"""

from __future__ import annotations

import ctypes
import os
import resource
import struct
from collections.abc import Mapping

from phasorkit.course.grading.inside.calls import refuse_calls

NEW_MOUNTS, NEW_IPC, NEW_USER, NEW_PID, NEW_NET = 0x00020000, 0x08000000, 0x10000000, 0x20000000, 0x40000000
NO_SETUID, NO_DEVICES = 2, 4
SET_DUMPABLE, DROP_BOUND, NO_NEW_PRIVILEGES = 4, 24, 38
CAPABILITY_VERSION = 0x20080522
LAST_CAPABILITY = 63

ORDINARY_USER = 64999
"""User id that kernels run as where grading was started by root: nobody's, and limits bind it."""


def _libc() -> ctypes.CDLL:
    return ctypes.CDLL(None, use_errno=True)


def _checked(result: int, what: str) -> None:
    if result != 0:
        number = ctypes.get_errno()
        raise OSError(number, f"{what}: {os.strerror(number)}")


def become_ordinary() -> None:
    """Leave root for good, if this is root; no capability survives, and none can be had again."""
    if os.getuid() != 0:
        return
    _forbid_capabilities()
    os.setgroups([])
    os.setresgid(ORDINARY_USER, ORDINARY_USER, ORDINARY_USER)
    os.setresuid(ORDINARY_USER, ORDINARY_USER, ORDINARY_USER)


def be_readable(yes: bool) -> None:
    """Let other processes of the same user look into this one by way of /proc, or not."""
    _checked(_libc().prctl(SET_DUMPABLE, int(yes), 0, 0, 0), "what /proc tells of this process")


def _forbid_capabilities() -> None:
    """Empty the bounding set, where this process may: no program that it starts can have a capability."""
    for capability in range(LAST_CAPABILITY + 1):
        _libc().prctl(DROP_BOUND, capability, 0, 0, 0)  # fails for numbers that this system does not have


def enclose() -> None:
    """Give this process user, mount, IPC and network namespaces of its own, and its next child one of processes.

    Raises
    ------
    OSError
        The system does not let an ordinary user do so here.
    """
    user, group = os.getuid(), os.getgid()
    be_readable(True)  # else its own settings below could not be written
    _checked(_libc().unshare(NEW_USER | NEW_MOUNTS | NEW_IPC | NEW_NET | NEW_PID), "new namespaces")
    for file, text in (("setgroups", "deny"), ("uid_map", f"{user} {user} 1"), ("gid_map", f"{group} {group} 1")):
        with open(f"/proc/self/{file}", "w", encoding="ascii") as stream:
            stream.write(text)
    be_readable(False)


def private_places(megabytes: int) -> None:
    """Mount empty places that hold no more than so much over what can be written to: /tmp and /dev/shm."""
    for place, size in (("/tmp", megabytes), ("/dev/shm", max(1, megabytes // 4))):
        options = f"size={size}m,nr_inodes=4096,mode=1777".encode()
        flags = NO_SETUID | NO_DEVICES
        _checked(_libc().mount(b"tmpfs", place.encode(), b"tmpfs", flags, options), f"a private {place}")


def drop_privileges() -> None:
    """Give up every capability, and the ways to get one back."""
    libc = _libc()
    _checked(libc.prctl(NO_NEW_PRIVILEGES, 1, 0, 0, 0), "no new privileges")
    _forbid_capabilities()
    header = ctypes.create_string_buffer(struct.pack("Ii", CAPABILITY_VERSION, 0))
    nothing = ctypes.create_string_buffer(struct.pack("6I", 0, 0, 0, 0, 0, 0))
    _checked(libc.capset(header, nothing), "no capabilities")


def set_limits(limits: Mapping[str, int], *, processes: bool) -> None:
    """Bind this process and all it will start by limits per process; the number of processes only where asked."""
    memory = limits["memory_mb"] * 2**20
    bounds = [
        (resource.RLIMIT_AS, _address_space() + memory),
        (resource.RLIMIT_CPU, limits["total_seconds"] + 5),
        (resource.RLIMIT_FSIZE, limits["files_mb"] * 2**20),
        (resource.RLIMIT_NOFILE, 256),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_MEMLOCK, 0),
        (resource.RLIMIT_MSGQUEUE, 0),
    ]
    if processes:
        bounds.append((resource.RLIMIT_NPROC, limits["processes"]))
    for kind, bound in bounds:
        hard = resource.getrlimit(kind)[1]
        bound = bound if hard == resource.RLIM_INFINITY else min(bound, hard)
        resource.setrlimit(kind, (bound, bound))


def _address_space() -> int:
    """Bytes of address space that the libraries of this process take already."""
    with open("/proc/self/statm", encoding="ascii") as stream:
        return int(stream.read().split()[0]) * resource.getpagesize()


def confine(limits: Mapping[str, int], *, enclosed: bool) -> None:
    """Take from this kernel all that a learner's work does not need; `enclosed` tells that `enclose` was done.

    Raises
    ------
    OSError
        One of the walls cannot be put up. The kernel must not run then.
    """
    if enclosed:
        private_places(limits["files_mb"])
    drop_privileges()
    be_readable(True)
    refuse_calls()
    set_limits(limits, processes=True)
