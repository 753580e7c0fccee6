"""A zip file of submissions, as learning platforms give it out: unpacked with care, where nothing can go wrong."""

from __future__ import annotations

import errno
import lzma
import re
import stat
import tempfile
import zipfile
import zlib
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from phasorkit.course.grading.handed_in import MAX_BYTES
from phasorkit.course.grading.intake import LITTER, SUFFIX, TWICE, Refused, exercise_named

MAX_MEMBERS = 20_000
MAX_TOTAL = 2_000_000_000
"""Bytes that all notebooks of one archive may have."""

MAX_RATIO = 200
"""How many times larger than its packed form a large notebook may be; text shrinks to a tenth."""

LARGE = 1_000_000
"""Bytes from which the ratio is looked at."""

LONGEST_NAME = 200
"""Bytes of a file's or a folder's name; most systems take 255."""

WANTED = (SUFFIX, *TWICE)


class ArchiveError(ValueError):
    """An archive that is not opened at all; the message says why."""


@contextmanager
def opened(inbox: Path, exercises: Collection[str], place: Path | None = None) -> Iterator[tuple[Path, list[Refused]]]:
    """The folder to look for submissions in: the inbox itself, or a passing folder with the notebooks of a zip file.

    `place` is where to unpack it, for a caller who clears it away; by default a temporary folder.

    Yields
    ------
    folder, refused
        A folder, and what of the archive was left out, with the reason; paths lie in that folder.

    Raises
    ------
    ArchiveError
        A file that is no zip archive, damaged, or with more in it than any class has.
    OSError
        There is no room to unpack it.
    """
    if inbox.is_dir():
        yield inbox, []
        return
    if place is not None:
        place.mkdir(parents=True)
        yield place, unpack(inbox, place, exercises)
        return
    with tempfile.TemporaryDirectory(prefix="phasorkit-inbox-", ignore_cleanup_errors=True) as name:
        folder = Path(name).resolve()
        yield folder, unpack(inbox, folder, exercises)


def unpack(archive: Path, folder: Path, exercises: Collection[str]) -> list[Refused]:
    """Write what was handed in below a folder: notebooks, and what is named like one of the exercises.

    Returns what is left out, with the reason; errors as in `opened`.
    """
    refused: list[Refused] = []
    try:
        with zipfile.ZipFile(archive) as source:
            members = source.infolist()
            if len(members) > MAX_MEMBERS:
                raise ArchiveError(f"{archive} holds {len(members)} files, more than the {MAX_MEMBERS} that are opened")
            total = 0
            for member in members:
                if member.filename.endswith(("/", "\\")) or _ignored(member.filename):
                    continue
                name, reason = _place(member, exercises)
                target = folder.joinpath(*name.parts)
                if not reason and target.exists():
                    reason = "is in the archive twice under one name; the first one was taken"
                if not reason:
                    reason, size = _write(source, member, target)
                    total += size
                if total > MAX_TOTAL:
                    raise ArchiveError(f"{archive} holds more than {MAX_TOTAL // 1_000_000} MB of notebooks")
                if reason:
                    refused.append(Refused(folder / name, reason))
    except (zipfile.BadZipFile, OSError, NotImplementedError, ValueError) as error:
        if isinstance(error, ArchiveError) or getattr(error, "errno", None) in (errno.ENOSPC, errno.EDQUOT):
            raise
        raise ArchiveError(f"{archive} cannot be opened as a zip archive ({error})") from error
    return refused


def _ignored(name: str) -> bool:
    """What systems and platforms put beside the work: hidden files, and the text typed into a form."""
    parts = PurePosixPath(name.replace("\\", "/")).parts
    hidden = any((part.startswith((".", "__")) and part != "..") or part.casefold() in LITTER for part in parts)
    return hidden or name.endswith("onlinetext.html")


def _place(member: zipfile.ZipInfo, exercises: Collection[str]) -> tuple[PurePosixPath, str]:
    """Where a member goes below the folder, and why it does not go there, or an empty text."""
    name = _name(member).replace("\\", "/")
    parts = [part for part in name.split("/") if part not in ("", ".")]
    harmless = PurePosixPath(*[_harmless(part) for part in parts if part != ".."] or ["file"])
    if name.startswith("/") or re.match(r"[A-Za-z]:", name) or ".." in parts:
        return harmless, "points out of its folder, so it was not unpacked"
    if not parts or any(ord(letter) < 32 for letter in name) or len(parts) > 8:
        return harmless, "has a name that no notebook has, so it was not unpacked"
    if stat.S_ISLNK(member.external_attr >> 16):
        return harmless, "is a link, so it was not unpacked"
    wanted = harmless.name.lower().endswith(WANTED) or exercise_named(harmless.name, exercises)
    if not wanted and harmless.name != "timestamp.txt":
        return harmless, "is not a notebook"
    if member.flag_bits & 0x1:
        return harmless, "is locked by a password"
    return harmless, ""


def _harmless(part: str) -> str:
    """A folder's or a file's name that every system takes; of a long one its beginning and its end.

    >>> _harmless("a:b.ipynb"), len(_harmless("名" * 100 + "_bridge.ipynb").encode()), _harmless("名" * 100 + "_x")[-3:]
    ('a_b.ipynb', 199, '名_x')
    """
    data = re.sub(r'[<>:"|?*\x00-\x1f]', "_", part).encode()
    if len(data) > LONGEST_NAME:
        half = LONGEST_NAME // 2
        data = data[:half].decode("utf-8", "ignore").encode() + data[-half:].decode("utf-8", "ignore").encode()
    return data.decode()


def _name(member: zipfile.ZipInfo) -> str:
    """A member's name; some programs write UTF-8 without saying so."""
    if not member.flag_bits & 0x800:
        try:
            return member.filename.encode("cp437").decode("utf-8")
        except UnicodeError:
            pass
    return member.filename


def _write(source: zipfile.ZipFile, member: zipfile.ZipInfo, target: Path) -> tuple[str, int]:
    """Unpack one member, never more than a notebook may have; the reason why not, and the bytes written."""
    if member.file_size > MAX_BYTES:
        return f"has {member.file_size / 1e6:.0f} MB, more than the {MAX_BYTES / 1e6:.0f} MB that are opened", 0
    if member.file_size > LARGE and member.file_size > MAX_RATIO * max(1, member.compress_size):
        return "is packed as no honest notebook is (it would grow more than 200 times), so it was not unpacked", 0
    try:
        with source.open(member) as packed:
            data = packed.read(MAX_BYTES + 1)  # what the archive says about sizes is not taken on trust
    except (zipfile.BadZipFile, zlib.error, lzma.LZMAError, OSError, EOFError, ValueError, RuntimeError) as error:
        return f"is damaged in the archive ({error})", 0
    if len(data) > MAX_BYTES:
        return f"has more than the {MAX_BYTES / 1e6:.0f} MB that are opened", 0
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        return "lies where the archive has a file already, so it was not unpacked", 0
    target.write_bytes(data)
    return "", len(data)
