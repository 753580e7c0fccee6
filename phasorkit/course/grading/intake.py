"""From an inbox to submissions: which file is whose work, and what can be read of it."""

from __future__ import annotations

import json
import re
import unicodedata
from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

MAX_BYTES = 20_000_000
"""Largest notebook file that is opened; an honest one has less than a hundredth of it."""

_LEARNER = re.compile(r"[^\W_][\w.@ '()\-]{0,79}")
_CELL_TYPES = ("code", "markdown", "raw")


class IntakeError(ValueError):
    """A submission that cannot be read; the message says why, in words for the instructor."""


@dataclass(frozen=True)
class Submission:
    """One notebook in the inbox and whose it is; `timestamp` is nbgrader's timestamp.txt where there is one."""

    learner: str
    exercise: str
    path: Path
    timestamp: Path | None = None


@dataclass(frozen=True)
class Refused:
    """Something in the inbox that is not graded, and why; learner and exercise are empty where they are unknown."""

    path: Path
    reason: str
    learner: str = ""
    exercise: str = ""


@dataclass(frozen=True)
class Cell:
    """What is taken of a learner's cell: kind, text, and which released cell it says it is."""

    cell_type: str
    source: str
    grade_id: str | None


def match(inbox: Path, exercises: Collection[str]) -> tuple[list[Submission], list[Refused]]:
    """Find the submissions in a folder.

    Parameters
    ----------
    inbox : Path
        Holds ``<learner>/<exercise>.ipynb``, ``<learner>/<exercise>/<exercise>.ipynb`` (nbgrader's own layout) or
        ``<learner>_<exercise>.ipynb``, mixed as they come. Nothing in it is changed.
    exercises : collection of str
        Names of the exercises there are.

    Returns
    -------
    submissions, refused : lists
        Sorted by learner and exercise. Two files for the same learner and exercise are both refused: which one
        counts is for a person to say.
    """
    found: dict[tuple[str, str], list[Submission]] = defaultdict(list)
    refused: list[Refused] = []
    for item in _candidates(inbox, exercises):
        if isinstance(item, Refused):
            refused.append(item)
        else:
            found[item.learner.casefold(), item.exercise].append(item)
    submissions = []
    for _, same in sorted(found.items()):
        if len(same) == 1:
            submissions += same
            continue
        names = " and ".join(str(s.path.relative_to(inbox)) for s in same)
        reason = f"more than one file for the same work ({names}): keep one in the inbox"
        refused += [Refused(s.path, reason, s.learner, s.exercise) for s in same[:1]]
    return submissions, refused


def read_cells(path: Path) -> tuple[bytes, list[Cell]]:
    """Read a learner's notebook: its bytes, and its cells without outputs and metadata.

    Raises
    ------
    IntakeError
        No regular file, too large, not text, not JSON, cut short, no notebook of format 4.
    """
    if path.is_symlink() or not path.is_file():
        raise IntakeError("is a link or not a regular file, so it was not opened")
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise IntakeError(f"has {size / 1e6:.0f} MB, more than the {MAX_BYTES / 1e6:.0f} MB that are opened")
        raw = path.read_bytes()
    except OSError as error:
        raise IntakeError(f"cannot be read ({error.strerror})") from error
    return raw, parse_cells(raw)


def parse_cells(raw: bytes) -> list[Cell]:
    """Cells of a notebook file given as bytes; errors as in `read_cells`.

    >>> parse_cells(b'{"nbformat": 4, "cells": [{"cell_type": "code", "source": ["x = ", "1"]}]}')
    [Cell(cell_type='code', source='x = 1', grade_id=None)]
    """
    document = _document(raw)
    if document.get("nbformat") != 4 or not isinstance(document.get("cells"), list):
        found = document.get("nbformat")
        raise IntakeError(f"is not a notebook of format 4 (format found: {found!r}): open and save it in JupyterLab")
    return [_cell(number, item) for number, item in enumerate(document["cells"], start=1)]


def _document(raw: bytes) -> dict[str, Any]:
    if not raw.strip():
        raise IntakeError("is empty")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise IntakeError("is not text in UTF-8, so it is no notebook or a damaged one") from None
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        if text.lstrip().startswith("{"):
            place = f"line {error.lineno}" if isinstance(error, json.JSONDecodeError) else "nested too deeply"
            raise IntakeError(f"is damaged or cut short ({place})") from None
        raise IntakeError("is not a notebook (there is no JSON in it)") from None
    if not isinstance(document, dict):
        raise IntakeError("is not a notebook (JSON, but no notebook)")
    return document


def _cell(number: int, item: object) -> Cell:
    if not isinstance(item, dict) or item.get("cell_type") not in _CELL_TYPES:
        raise IntakeError(f"has a cell (number {number}) of no known kind")
    source = item.get("source", "")
    if isinstance(source, list) and all(isinstance(line, str) for line in source):
        source = "".join(source)
    if not isinstance(source, str):
        raise IntakeError(f"has a cell (number {number}) without text")
    metadata = item.get("metadata")
    nbgrader = metadata.get("nbgrader") if isinstance(metadata, dict) else None
    grade_id = nbgrader.get("grade_id") if isinstance(nbgrader, dict) else None
    return Cell(item["cell_type"], source, grade_id if isinstance(grade_id, str) else None)


def _candidates(inbox: Path, exercises: Collection[str]) -> Iterator[Submission | Refused]:
    for entry in _visible(inbox):
        if entry.is_symlink():
            yield Refused(entry, "is a link, so it was not followed")
        elif entry.is_dir():
            try:
                yield from list(_of_learner(entry, exercises))
            except OSError as error:
                yield Refused(entry, f"cannot be opened ({error.strerror})", entry.name)
        elif entry.suffix.lower() == ".ipynb":
            yield _flat(entry, exercises)
        else:
            yield Refused(entry, "is not a notebook (a zip file must be unpacked first)")


def _visible(folder: Path) -> list[Path]:
    return sorted(entry for entry in folder.iterdir() if not entry.name.startswith((".", "__")))


def _flat(file: Path, exercises: Collection[str]) -> Submission | Refused:
    for exercise in exercises:
        if file.stem.endswith(f"_{exercise}"):
            return _submission(file.stem.removesuffix(f"_{exercise}"), exercise, file)
    return Refused(file, f"is not named learner_exercise.ipynb with an exercise of this course ({_list(exercises)})")


def _of_learner(folder: Path, exercises: Collection[str]) -> Iterator[Submission | Refused]:
    empty = True
    for entry in _visible(folder):
        file = entry / f"{entry.name}.ipynb" if entry.is_dir() else entry
        if entry.is_dir() and not entry.is_symlink() and entry.name not in exercises:
            yield Refused(entry, f"is not an exercise of this course ({_list(exercises)})", folder.name)
        elif file.suffix.lower() != ".ipynb":
            continue
        elif entry.is_symlink():
            yield Refused(entry, "is a link, so it was not followed", folder.name)
        elif file.stem not in exercises:
            yield Refused(file, f"is not an exercise of this course ({_list(exercises)})", folder.name)
        elif not file.exists():
            yield Refused(entry, f"holds no {file.name}", folder.name, entry.name)
        else:
            yield _submission(folder.name, file.stem, file)
        empty = False
    if empty:
        yield Refused(folder, f"holds no notebook of this course ({_list(exercises)})", folder.name)


def _submission(learner: str, exercise: str, file: Path) -> Submission | Refused:
    learner = unicodedata.normalize("NFC", learner).strip()
    if not _LEARNER.fullmatch(learner) or learner.endswith("."):
        return Refused(
            file, f"has no usable learner id: {learner!r} (a letter or digit first, then also . @ - _ ' ( ))"
        )
    timestamp = file.parent / "timestamp.txt"
    own = file.parent.name == exercise and timestamp.is_file() and not timestamp.is_symlink()
    return Submission(learner, exercise, file, timestamp if own else None)


def _list(names: Collection[str]) -> str:
    return ", ".join(sorted(names))
