"""The class folder: where everything of a class lies, and how nothing in it gets lost."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from shutil import rmtree
from time import sleep

GRADEBOOK = "gradebook.db"

LOCK_SECONDS = 10.0
"""How long somebody else's lock on the gradebook is waited for [s]."""

ROOM = 300_000
"""Bytes that must find room for one more submission's results."""

OWN_PLACES = ("backups", "journal", "received", "records", "submitted")
"""Folders of a class folder in which only a grading run writes, by `replace_file`."""

_DRAFT = re.compile(r"\..+\.\d+\.part(-journal)?")
_STAMP = "%Y%m%d-%H%M%S"

PAUSES = (0.05, 0.1, 0.2, 0.4, 0.8)
"""Waits before a file that cannot be replaced is tried again [s]."""


class GradebookError(RuntimeError):
    """nbgrader could not do its part; the message says what and where to read more."""


class GradebookLocked(GradebookError):
    """Another program keeps the gradebook locked."""


def locked(gradebook: Path) -> GradebookLocked:
    """What is told of a gradebook that another program keeps to itself."""
    return GradebookLocked(f"another program keeps {gradebook} locked: close it, and run this again")


def is_busy(error: sqlite3.Error) -> bool:
    """Whether SQLite says that somebody else has locked the database."""
    return "locked" in str(error)


@dataclass(frozen=True)
class ClassFolder:
    """Places inside a class folder, and the stamp of this run under which old files are kept.

    ``received`` holds what learners handed in, byte for byte; ``submitted`` the same work on the released exercise,
    as nbgrader reads it; ``records`` our own record of each submission (beside, not inside ``autograded``: nbgrader
    copies every extra file from there into the learner's feedback). ``written`` are the files of this very run, of
    which no copy is kept when it writes them again.
    """

    path: Path
    stamp: str
    written: set[Path] = field(default_factory=set)

    @classmethod
    def at(cls, path: Path) -> ClassFolder:
        """The class folder at a path, made where it is missing, with a stamp that no earlier run has used.

        Raises
        ------
        ValueError
            A path with ``* ? [``: nbgrader takes these for wildcards and would find nothing.
        """
        if set("*?[") & set(str(path.resolve())):
            raise ValueError(f"the path of the class folder must have no * ? [ in it, got {path.resolve()}")
        path.mkdir(parents=True, exist_ok=True)
        return cls(path.resolve(), _new_stamp(path / "backups"))

    @property
    def gradebook(self) -> Path:
        """nbgrader's database."""
        return self.path / GRADEBOOK

    @property
    def log(self) -> Path:
        """Where nbgrader's own messages go."""
        return self.path / "grading.log"

    @property
    def feedback(self) -> Path:
        """HTML feedback, one folder per learner."""
        return self.path / "feedback"

    @property
    def backups(self) -> Path:
        """Copies of what this run replaced."""
        return self.path / "backups" / self.stamp

    def received(self, learner: str, exercise: str) -> Path:
        """The notebook as it was handed in."""
        return self.path / "received" / learner / exercise / f"{exercise}.ipynb"

    def submitted(self, learner: str, exercise: str) -> Path:
        """The notebook as nbgrader reads it."""
        return self.path / "submitted" / learner / exercise / f"{exercise}.ipynb"

    def autograded(self, learner: str, exercise: str) -> Path:
        """The notebook with its marks."""
        return self.path / "autograded" / learner / exercise / f"{exercise}.ipynb"

    def record(self, learner: str, exercise: str) -> Path:
        """Our record of the marks and their reasons."""
        return self.path / "records" / learner / f"{exercise}.json"

    @property
    def passing(self) -> Path:
        """What a run needs only while it goes on; one that is killed leaves it to the next."""
        return self.path / ".passing"

    @contextmanager
    def tidied(self) -> Iterator[None]:
        """Clear away what is left unfinished, now and at the end; only for who holds the lock."""
        self.clear_away()
        try:
            yield
        finally:
            rmtree(self.passing, ignore_errors=True)

    @property
    def settings(self) -> Path:
        """How the class was graded last."""
        return self.path / "settings.json"

    @property
    def journal(self) -> Path:
        """Results that are not in the gradebook yet."""
        return self.path / "journal"

    def clear_away(self) -> None:
        """Remove what a run that was killed has left unfinished."""
        rmtree(self.passing, ignore_errors=True)
        for place in (self.path, *(e for e in self.path.iterdir() if e.is_dir() and e.name in OWN_PLACES)):
            for draft in place.glob("*") if place == self.path else place.rglob("*"):
                if _DRAFT.fullmatch(draft.name):
                    draft.unlink(missing_ok=True)

    def write(self, file: Path, data: bytes) -> None:
        """Write a file of this folder whole or not at all; a different one that stood there is kept in `backups`."""
        if file.exists():
            if file.read_bytes() == data:
                return
            if file not in self.written:
                self.keep(file)
        replace_file(file, data)
        self.written.add(file)

    def keep(self, file: Path) -> None:
        """Copy a file of this folder to `backups`, once per run."""
        copy = self.backups / file.relative_to(self.path)
        if file.exists() and not copy.exists():
            replace_file(copy, file.read_bytes())

    def keep_gradebook(self) -> None:
        """Copy the gradebook to `backups` before anything opens it, unless the newest copy there is the same.

        By SQLite's own backup, which is sound while somebody else writes.

        Raises
        ------
        OSError
            It is no database, or cannot be read now.
        """
        if not self.gradebook.exists():
            return
        copies = sorted((self.path / "backups").glob(f"*/{GRADEBOOK}"))
        if copies and copies[-1].read_bytes() == self.gradebook.read_bytes():
            return
        copy = self.backups / GRADEBOOK
        draft = copy.with_name(f".{copy.name}.{os.getpid()}.part")  # a run that is killed here leaves no half copy
        copy.parent.mkdir(parents=True, exist_ok=True)
        try:
            with closing(sqlite3.connect(self.gradebook)) as source, closing(sqlite3.connect(draft)) as target:
                source.backup(target)
            os.replace(draft, copy)
        except sqlite3.Error as error:
            if is_busy(error):
                raise locked(self.gradebook) from error
            raise OSError(
                f"the gradebook {self.gradebook} cannot be copied ({error}), so nothing was graded"
            ) from error
        finally:
            draft.unlink(missing_ok=True)

    def require_sound(self) -> None:
        """Let SQLite check the gradebook from end to end.

        Raises
        ------
        OSError
            It is damaged; the message names the newest copy.
        GradebookLocked
            Another program keeps it to itself.
        """
        if not self.gradebook.exists():
            return
        try:
            with closing(sqlite3.connect(self.gradebook, timeout=LOCK_SECONDS)) as book:
                found = str(book.execute("pragma integrity_check").fetchone()[0])
        except sqlite3.Error as error:
            if is_busy(error):
                raise locked(self.gradebook) from error
            found = str(error)
        if found != "ok":
            copies = sorted((self.path / "backups").glob(f"*/{GRADEBOOK}"))
            copy = f"the newest copy is {copies[-1]}" if copies else "there is no copy"
            raise OSError(f"the gradebook {self.gradebook} is damaged ({found.splitlines()[0]}); {copy}")

    def require_room(self) -> None:
        """Try to write to the folder.

        Raises
        ------
        OSError
            The disk is full, or nothing may be written here.
        """
        probe = self.path / f".room.{os.getpid()}.part"
        try:
            probe.write_bytes(bytes(ROOM))
        finally:
            with suppress(OSError):
                probe.unlink(missing_ok=True)


def _new_stamp(backups: Path) -> str:
    """The time now, or if the clock has been set back just after the newest copy, so that names sort by age."""
    stamp = datetime.now(UTC).replace(tzinfo=None, microsecond=0)
    for earlier in backups.glob("*"):
        with suppress(ValueError, OverflowError):
            stamp = max(stamp, datetime.strptime(earlier.name[:15], _STAMP) + timedelta(seconds=1))
    return stamp.strftime(_STAMP)


def replace_file(file: Path, data: bytes) -> None:
    """Write beside the target, then move into place, so that no reader ever sees half a file."""
    file.parent.mkdir(parents=True, exist_ok=True)
    draft = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        draft.write_bytes(data)
        _move(draft, file)
    finally:
        draft.unlink(missing_ok=True)


def _move(draft: Path, file: Path) -> None:
    """Move into place; on Windows a file that a virus scanner looks at, or a spreadsheet has open, cannot be replaced.

    The first lasts a moment and is waited for, the second is an OSError with the file's own name.
    """
    for pause in (*PAUSES, None):
        try:
            os.replace(draft, file)
            return
        except PermissionError as error:
            if pause is None:
                raise OSError(error.errno, f"{error.strerror}; close it where it is open", str(file)) from error
            sleep(pause)
