"""The class folder: where everything of a class lies, and how nothing in it gets lost."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from time import sleep

GRADEBOOK = "gradebook.db"

ROOM = 300_000
"""Bytes that must find room for one more submission's results."""

PAUSES = (0.05, 0.1, 0.2, 0.4, 0.8)
"""Waits before a file that cannot be replaced is tried again [s]."""


class GradebookError(RuntimeError):
    """nbgrader could not do its part; the message says what and where to read more."""


class GradebookLocked(GradebookError):
    """Another program keeps the gradebook locked."""


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
        first = stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
        number = 1
        while (path / "backups" / stamp).exists():
            number += 1
            stamp = f"{first}-{number}"
        return cls(path.resolve(), stamp)

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
    def settings(self) -> Path:
        """How the class was graded last."""
        return self.path / "settings.json"

    @property
    def journal(self) -> Path:
        """Results that are not in the gradebook yet."""
        return self.path / "journal"

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
        """
        if not self.gradebook.exists():
            return
        try:
            with closing(sqlite3.connect(self.gradebook)) as book:
                found = str(book.execute("pragma integrity_check").fetchone()[0])
        except sqlite3.Error as error:
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
