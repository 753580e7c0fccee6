"""What can be read of a file that a learner handed in: its cells, and what was strange about it."""

from __future__ import annotations

import json
import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from phasorkit.course.grading.notebooks import to_format_4
from phasorkit.course.grading.raster import MAX_PICTURES, picture

MAX_BYTES = 20_000_000
"""Largest notebook file that is opened; an honest one has less than a hundredth of it."""

MAX_CELLS = 1000
"""Most cells of a notebook; an exercise has some twenty."""

MAX_SOURCE, MAX_SOURCES = 200_000, 1_000_000
"""Characters of one cell's text and of all of them that are read; an honest notebook has some twenty thousand."""

_CELL_TYPES = ("code", "markdown", "raw")
_NOTHING: Mapping[str, Mapping[str, str]] = MappingProxyType({})


class IntakeError(ValueError):
    """A submission that cannot be read; the message says why, in words for learner and instructor."""


@dataclass(frozen=True)
class Cell:
    """What is taken of a learner's cell: kind, text, which released cell it says it is, and pictures put into it.

    `pictures`: attachments by name, each the base64 text by kind, as in the notebook format; raster pictures only.
    """

    cell_type: str
    source: str
    grade_id: str | None
    pictures: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True)
class HandedIn:
    """A file as it came, the cells that could be read, and sentences about what had to be put right.

    `trouble` says why nothing could be read, and is empty otherwise; `raw` is empty where the file was not opened.
    """

    raw: bytes
    cells: tuple[Cell, ...] = ()
    remarks: tuple[str, ...] = ()
    trouble: str = ""


def open_file(path: Path) -> bytes:
    """The bytes of a file that a learner handed in.

    Raises
    ------
    IntakeError
        No regular file, or too large.
    """
    if path.is_symlink() or not path.is_file():
        raise IntakeError("is a link or not a regular file, so it was not opened")
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise IntakeError(f"has {size / 1e6:.0f} MB, more than the {MAX_BYTES / 1e6:.0f} MB that are opened")
        return path.read_bytes()
    except OSError as error:
        raise IntakeError(f"cannot be read ({error.strerror})") from error


def read_file(path: Path) -> HandedIn:
    """What can be read of a file, or why nothing can; never raises for what stands in a file."""
    raw = b""
    try:
        raw = open_file(path)
        return read_cells(raw)
    except IntakeError as error:
        return HandedIn(raw, trouble=str(error))


def read_cells(raw: bytes) -> HandedIn:
    """The cells of a notebook file: old formats converted, what editors do to the text undone, outputs left behind.

    Raises
    ------
    IntakeError
        Empty, no text, no JSON, no notebook, or cut short before its first cell ends.

    Examples
    --------
    >>> read_cells(b'{"nbformat": 4, "cells": [{"cell_type": "code", "source": ["x = ", "1"]}]}').cells[0].source
    'x = 1'
    """
    text, remarks = decode(raw)
    document, more = _document(text)
    remarks += more
    version = document.get("nbformat")
    if isinstance(document.get("worksheets"), list) or version in (1, 2, 3):
        document = _converted(document)
        remarks.append(f"it was in the old format {version}, and was converted")
    elif not isinstance(document.get("cells"), list):
        raise IntakeError("is not a notebook (it has no cells)")
    elif version != 4:
        remarks.append(f"it says it has format {str(version)[:20]!r}; it was read as format 4")
    cells = document["cells"]
    if len(cells) > MAX_CELLS:
        raise IntakeError(f"has {len(cells)} cells, more than the {MAX_CELLS} that are read")
    read = [_cell(item) for item in cells]
    if strange := read.count(None):
        remarks.append(f"{strange} of its cells could not be read, and were left out")
    kept, long = _within_bounds([cell for cell in read if cell is not None])
    if long:
        remarks.append(f"{long} of its cells had more text than is read, and were emptied")
    if not kept:
        raise IntakeError("has no cell that can be read" if cells else "is a notebook without any cell")
    return HandedIn(raw, kept, tuple(remarks))


def decode(raw: bytes) -> tuple[str, list[str]]:
    """Text of a file in one of the encodings that editors write, and a remark unless it is plain UTF-8.

    >>> decode("{é".encode("utf-16"))
    ('{é', ['its text was in UTF-16'])
    """
    if not raw.strip(b" \t\r\n\0"):
        raise IntakeError("is empty")
    if raw.startswith(b"PK\x03\x04"):
        raise IntakeError("is a zip archive under the name of a notebook: hand in the notebook itself")
    if raw.startswith(b"\xef\xbb\xbf"):
        encodings = ["utf-8-sig"]
    elif raw.startswith((b"\xff\xfe\0\0", b"\0\0\xfe\xff")):
        encodings = ["utf-32"]
    elif raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif b"\0" in raw[:4]:
        encodings = ["utf-16-be" if raw[0] == 0 else "utf-16-le"]
    else:
        encodings = ["utf-8", "cp1252", "latin-1"]
    for encoding in encodings:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        name = {"utf-16-be": "UTF-16", "utf-16-le": "UTF-16"}.get(encoding, encoding.upper())
        return text, [] if encoding in ("utf-8", "utf-8-sig") else [f"its text was in {name}"]
    raise IntakeError("is not text, so it is no notebook or a damaged one")


def _document(text: str) -> tuple[dict[str, Any], list[str]]:
    try:
        document = json.loads(text)
    except RecursionError:
        raise IntakeError("is damaged (nested too deeply)") from None
    except ValueError as error:
        if not text.lstrip().startswith("{"):
            raise IntakeError("is not a notebook (there is no JSON in it)") from None
        place = f"line {error.lineno}" if isinstance(error, json.JSONDecodeError) else "a number without end"
        return _beginning(text, place)
    if not isinstance(document, dict):
        raise IntakeError("is not a notebook (JSON, but no notebook)")
    return document, []


def _beginning(text: str, place: str) -> tuple[dict[str, Any], list[str]]:
    """The cells before the place where a file is damaged or ends too early."""
    broken = IntakeError(f"is damaged or cut short ({place})")
    start = re.search(r'"cells"\s*:\s*\[\s*', text)
    if start is None:
        raise broken
    cells: list[Any] = []
    place_now, decoder = start.end(), json.JSONDecoder()
    try:
        while len(cells) <= MAX_CELLS:
            cell, place_now = decoder.raw_decode(text, place_now)
            cells.append(cell)
            following = re.compile(r"\s*,\s*").match(text, place_now)
            if following is None:
                break
            place_now = following.end()
    except (ValueError, RecursionError):
        pass
    if not cells:
        raise broken
    remark = f"it is damaged or cut short ({place}): only its first {len(cells)} cells could be read"
    return {"nbformat": 4, "cells": cells}, [remark]


def _converted(document: dict[str, Any]) -> dict[str, Any]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            converted = to_format_4(document)
    except Exception as error:
        raise IntakeError(f"is in an old format that cannot be converted ({type(error).__name__})") from None
    if not isinstance(converted.get("cells"), list):
        raise IntakeError("is in an old format that cannot be converted")
    return converted


def _cell(item: object) -> Cell | None:
    if not isinstance(item, dict) or item.get("cell_type") not in _CELL_TYPES:
        return None
    source = item.get("source", "")
    if isinstance(source, list) and all(isinstance(line, str) for line in source):
        source = "".join(source)
    if not isinstance(source, str):
        return None
    metadata = item.get("metadata")
    nbgrader = metadata.get("nbgrader") if isinstance(metadata, dict) else None
    grade_id = nbgrader.get("grade_id") if isinstance(nbgrader, dict) else None
    pictures = _pictures(item.get("attachments")) if item["cell_type"] == "markdown" else _NOTHING
    return Cell(item["cell_type"], source, grade_id if isinstance(grade_id, str) else None, pictures)


def _within_bounds(cells: list[Cell]) -> tuple[tuple[Cell, ...], int]:
    """The cells, those emptied whose text is too long alone or with those before it, and how many these are."""
    kept: list[Cell] = []
    total = 0
    for cell in cells:
        if len(cell.source) > MAX_SOURCE or total + len(cell.source) > MAX_SOURCES:
            cell = replace(cell, source=f"# This cell had {len(cell.source)} characters, more than are read.")
        total += len(cell.source)
        kept.append(cell)
    return tuple(kept), sum(a is not b for a, b in zip(cells, kept, strict=True))


def _pictures(attachments: object) -> Mapping[str, Mapping[str, str]]:
    """A photograph of a sheet of paper is work too; anything but raster pictures is left out."""
    kept: dict[str, Mapping[str, str]] = {}
    if not isinstance(attachments, dict):
        return _NOTHING
    for name, kinds in list(attachments.items())[:MAX_PICTURES]:
        for kind, text in kinds.items() if isinstance(kinds, dict) else ():
            if clean := picture(kind, text):
                kept[str(name)] = {kind: clean}
    return kept
