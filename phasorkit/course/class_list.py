"""The ids of a class, from a list as spreadsheets and learning platforms give it out."""

from __future__ import annotations

import re
from pathlib import Path

from phasorkit.course.briefs import normalise

HEADINGS = frozenset({"learner", "learners", "id", "user", "username", "student", "student id", "login", "name"})
"""First words of a list that are a heading and no id."""


class ListError(ValueError):
    """A class list in which no id can be found; the message says what is expected."""


def read_class(file: Path) -> list[str]:
    """The ids of a class in the order of its list, each once.

    Parameters
    ----------
    file : Path
        Text or CSV: an id in the first column of each line, a heading or not; ``#`` begins a remark. A class folder's
        ``grades.csv`` will do. UTF-8, or what an old spreadsheet program on Windows writes.

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
        text = raw.decode("utf-8-sig")
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
    """
    first = [re.split(r"[;,\t]", line)[0].strip().strip('"').strip() for line in text.splitlines()]
    named = [name for name in first if name and not name.startswith("#")]
    if named and named[0].casefold() in HEADINGS:
        named = named[1:]
    by_identity: dict[str, str] = {}
    for name in named:
        by_identity.setdefault(normalise(name), name)
    return list(by_identity.values())
