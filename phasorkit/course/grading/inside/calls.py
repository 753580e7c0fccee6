"""System calls that no learner's work needs, refused to it: ways around the limits, and to what is not its own.

A filter of the kernel's own kind (seccomp(2), classic BPF); numbers from the Linux sources for the two machines that
are common. Another machine gets no filter: the other walls stand there too.
"""

from __future__ import annotations

import ctypes
import errno
import os
import platform
import struct

_X86, _ARM = 0, 1
_MACHINES = {"x86_64": (_X86, 0xC000003E), "aarch64": (_ARM, 0xC00000B7)}
_CALLS = {
    "memfd_create": (319, 279), "shmget": (29, 194), "shmat": (30, 196), "msgget": (68, 186), "semget": (64, 190),
    "unshare": (272, 97), "setns": (308, 268), "mount": (165, 40), "umount2": (166, 39), "pivot_root": (155, 41),
    "chroot": (161, 51), "open_tree": (428, 428), "move_mount": (429, 429), "fsopen": (430, 430),
    "mount_setattr": (442, 442),
    "ptrace": (101, 117), "process_vm_readv": (310, 270), "process_vm_writev": (311, 271), "kcmp": (312, 272),
    "pidfd_getfd": (438, 438),
    "bpf": (321, 280), "perf_event_open": (298, 241), "userfaultfd": (323, 282), "io_uring_setup": (425, 425),
    "add_key": (248, 217), "request_key": (249, 218), "keyctl": (250, 219), "open_by_handle_at": (304, 265),
}  # fmt: skip
"""Name and number on x86_64 and on aarch64."""

_CLONE, _CLONE3 = (56, 220), (435, 435)
_NEW_NAMESPACES = 0x7E020000
_X32 = 0x40000000
_SET_SECCOMP, _FILTER = 22, 2
_LOAD, _JUMP_EQUAL, _JUMP_AT_LEAST, _JUMP_ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_ALLOW, _KILL, _ERROR = 0x7FFF0000, 0x80000000, 0x00050000
_NUMBER, _MACHINE, _FIRST_ARGUMENT = 0, 4, 16


def _program(column: int, machine: int) -> list[tuple[int, int, int, int]]:
    """The filter: operation, steps to jump when true and when false, operand."""
    refused = _ERROR | errno.EPERM
    lines = [
        (_LOAD, 0, 0, _MACHINE),
        (_JUMP_EQUAL, 1, 0, machine),
        (_RETURN, 0, 0, _KILL),
        (_LOAD, 0, 0, _NUMBER),
    ]
    if column == _X86:
        lines += [(_JUMP_AT_LEAST, 0, 1, _X32), (_RETURN, 0, 0, refused)]
    for numbers in _CALLS.values():
        lines += [(_JUMP_EQUAL, 0, 1, numbers[column]), (_RETURN, 0, 0, refused)]
    lines += [
        (_JUMP_EQUAL, 0, 1, _CLONE3[column]),
        (_RETURN, 0, 0, _ERROR | errno.ENOSYS),  # its flags cannot be seen here; libraries then use clone
        (_JUMP_EQUAL, 0, 3, _CLONE[column]),
        (_LOAD, 0, 0, _FIRST_ARGUMENT),
        (_JUMP_ANY_BIT, 0, 1, _NEW_NAMESPACES),
        (_RETURN, 0, 0, refused),
        (_RETURN, 0, 0, _ALLOW),
    ]
    return lines


def refuse_calls() -> bool:
    """Refuse these calls to this process and all it starts, from now on; False on a machine that is not known.

    Raises
    ------
    OSError
        The system has no such filters, or new privileges have not been given up.
    """
    found = _MACHINES.get(platform.machine())
    if found is None:
        return False
    lines = _program(*found)
    program = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *line) for line in lines))
    head = ctypes.create_string_buffer(struct.pack("HxxxxxxQ", len(lines), ctypes.addressof(program)))
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.prctl(_SET_SECCOMP, _FILTER, ctypes.byref(head), 0, 0) != 0:
        number = ctypes.get_errno()
        raise OSError(number, f"refusing system calls: {os.strerror(number)}")
    return True
