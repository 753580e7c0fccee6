"""The ids of a class, from a list as spreadsheets and learning platforms give it out."""

from __future__ import annotations

import codecs
import csv
import re
from pathlib import Path

from phasorkit.course.briefs import normalise

HEADINGS = (
    "learner", "learners", "id", "id number", "student id", "username", "user name", "user", "login", "student", "name",
)  # fmt: skip
"""Headings of a column of ids; of several in a list the first of these counts."""


class ListError(ValueError):
    """A class list in which no id can be found; the message says what is expected."""


def read_class(file: Path) -> list[str]:
    """The ids of a class in the order of its list, each once.

    Parameters
    ----------
    file : Path
        Text or CSV: an id in each line, in the first column or in the one that has one of `HEADINGS`; ``#`` begins a
        remark. A class folder's ``grades.csv`` will do. UTF-8, or what a spreadsheet program on Windows writes.

    Raises
    ------
    ListError
        It cannot be read, or holds no id.
    """
    try:
        raw = file.read_bytes()
    except OSError as error:
        raise ListError(f"the class list {file} cannot be read: {error.strerror or error}") from error
    try:
        text = raw.decode("utf-16" if raw.startswith(codecs.BOM_UTF16_LE) else "utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", "replace")
    found = ids(text)
    if not found or "\x00" in text:
        raise ListError(f"the class list {file} holds no id: write one in each line, as text or CSV")
    return found


def ids(text: str) -> list[str]:
    """The ids in the text of a list.

    >>> ids("learner;name\\r\\napp-01;A\\r\\napp-02;B\\r\\nAPP-01;A again\\r\\n")
    ['app-01', 'app-02']
    >>> ids('name,id\\r\\n"A, B",app-01\\r\\nC,app-02\\r\\n')
    ['app-01', 'app-02']
    """
    rows = [_cells(line) for line in text.splitlines() if line.strip() and not line.lstrip().startswith(("#", "sep="))]
    heads = [cell.casefold() for cell in rows[0]] if rows else []
    column = next((heads.index(heading) for heading in HEADINGS if heading in heads), None)
    body = rows if column is None else rows[1:]
    named = [row[column or 0] for row in body if len(row) > (column or 0) and row[column or 0]]
    by_identity: dict[str, str] = {}
    for name in named:
        by_identity.setdefault(normalise(name), name)
    return list(by_identity.values())


def _cells(line: str) -> list[str]:
    """A line's cells: parted by tabs, else semicolons, else commas, each only outside quotes."""
    bare = re.sub(r'"[^"]*"', "", line)
    delimiter = next((mark for mark in "\t;" if mark in bare), ",")
    return [cell.strip() for row in csv.reader([line.strip(" ")], delimiter=delimiter) for cell in row]
