"""Cases whose file is broken, edited, mislabelled, or not what it says it is."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from cases import ALL, CHECKS, CODE, NONE, Case, Cells, Places, code_cell, honest, named, put, written
from nbformat import convert, reads, v3

EMPTY_SAYS = "the empty exercise was put in its place"
PUT_BACK, NO_ID = "missing cells have been put back", "the begin cell gave no learner id"
HALF = (3.0, 3.0, 0.0, 0.0, 0.0, 0.0)


def changed(
    name: str, tries: str, change: Callable[[Cells, Places], None], points: tuple[float, ...], says: str
) -> Case:
    """A case whose cells were changed."""
    return Case(name, tries, written(name, change), points, says)


def file(
    name: str, tries: str, make: Callable[[dict[str, Any]], bytes], points: tuple[float, ...] | None, says: str,
    as_name: str = "",
) -> Case:  # fmt: skip
    """A case that is a whole file made from an honest notebook."""

    def write(inbox: Path, release: bytes, places: Places) -> None:
        put(inbox / (as_name or f"{name}_bridge.ipynb"), make(honest(release, name)))

    return Case(name, tries, write, points, says)


def encoded(document: dict[str, Any], encoding: str = "utf-8") -> bytes:
    """The notebook's text with all letters as they are."""
    return json.dumps(document, ensure_ascii=False, indent=1).encode(encoding)


def drop(*names: str) -> Callable[[Cells, Places], None]:
    """Leave out cells with these grade ids."""

    def change(cells: Cells, places: Places) -> None:
        cells[:] = [c for c in cells if c["metadata"].get("nbgrader", {}).get("grade_id") not in names]

    return change


def _answers_elsewhere(cells: Cells, places: Places) -> None:
    for check in CHECKS:
        cell = named(cells, f"{check}-answer")
        del cell["metadata"]["nbgrader"]


def _twice(cells: Cells, places: Places) -> None:
    cells.extend([dict(cell, id=f"copy-{n}") for n, cell in enumerate(list(cells))])


def _answer_twice(cells: Cells, places: Places) -> None:
    right = named(cells, "resistance-answer")
    cells.insert(cells.index(right), dict(right, id="copy", source="resistance = 1"))


def _retype(cells: Cells, places: Places) -> None:
    for name, kind in (("reactance-answer", "raw"), ("power-check", "markdown"), ("volts-answer", "markdown")):
        cell = named(cells, name)
        cell["cell_type"] = kind
        cell.pop("outputs", None)
        cell.pop("execution_count", None)


def _checks_first(cells: Cells, places: Places) -> None:
    checks = [named(cells, f"{check}-check") for check in CHECKS]
    cells[:] = [*checks, *(cell for cell in cells if cell not in checks)]


def _import_last(cells: Cells, places: Places) -> None:
    imported = named(cells, "bridge-import")
    cells.remove(imported)
    cells.append(imported)


def _edit_checks(cells: Cells, places: Places) -> None:
    for check in CHECKS:
        named(cells, f"{check}-check")["source"] = "3.0"
        named(cells, f"{check}-answer")["source"] = f"{check} = None"


def _forge_outputs(cells: Cells, places: Places) -> None:
    for check in CHECKS:
        named(cells, f"{check}-answer")["source"] = f"{check} = None"
        cell = named(cells, f"{check}-check")
        cell["metadata"]["nbgrader"].update(points=100, grade=False, locked=False, schema_version=99)
        cell["outputs"] = [
            {"output_type": "execute_result", "execution_count": 1, "metadata": {}, "data": {"text/plain": "3.0"}}
        ]


def _begin(**words: str) -> Callable[[Cells, Places], None]:
    def change(cells: Cells, places: Places) -> None:
        cell = next(c for c in cells if "brief = begin(" in "".join(c["source"]))
        given = ", ".join(f"{name}={value!r}" for name, value in words.items() if name != "exercise")
        cell["source"] = f"brief = begin({words.get('exercise', 'bridge')!r}, {given})"

    return change


def _no_begin(cells: Cells, places: Places) -> None:
    cells[:] = [c for c in cells if "brief = begin(" not in "".join(c["source"])]


def _strange_metadata(cells: Cells, places: Places) -> None:
    for number, cell in enumerate(cells):
        cell["metadata"]["tags"] = [{"a": 1}, None]
        cell["metadata"].setdefault("nbgrader", {})["schema_version"] = 99
        cell["id"] = "same" if number % 2 else "x" * 500
    cells.append({"cell_type": "hologram", "source": "?", "metadata": {}})
    cells.append({"cell_type": "code", "source": 7})


EDITED = (
    changed("deleted-checks", "check cells, neighbours among them, and the import are deleted",
            drop("preferred-check", "volts-text", "volts-check", "bridge-import"), ALL, PUT_BACK),
    changed("deleted-answers", "answer cells are deleted, the answers stand in cells of the learner's own",
            _answers_elsewhere, ALL, PUT_BACK),
    changed("deleted-all", "everything is deleted but one cell",
            lambda cells, places: cells.__setitem__(slice(None), [code_cell("x = 1")]), NONE, PUT_BACK),
    changed("deleted-begin", "the begin cell is deleted", _no_begin, NONE, NO_ID),
    changed("doubled-all", "the whole notebook stands there twice", _twice, ALL, "is there more than once"),
    changed("doubled-answer", "an answer stands there twice, wrong above right", _answer_twice, ALL,
            "the last one counts"),
    changed("retyped", "code cells were turned into text and raw cells", _retype, ALL,
            "had been turned into a raw cell"),
    changed("moved-checks", "all checks were moved to the top", _checks_first, ALL, "cells had been moved"),
    changed("moved-import", "the import was moved to the end", _import_last, ALL, "cells had been moved"),
    changed("edited-checks", "checks edited to give full marks, answers blank", _edit_checks, NONE, "had been edited"),
    changed("forged-outputs", "outputs and points of checks forged, answers blank", _forge_outputs, NONE, ""),
    changed("metadata", "foreign schema, doubled cell ids, unknown kinds of cells", _strange_metadata, ALL,
            "2 of its cells could not be read"),
    changed("no-id", "no id in the begin cell", _begin(learner="", class_code=CODE), NONE, NO_ID),
    changed("other-id", "another learner's id, and work on that one's numbers",
            _begin(learner="good-2", class_code=CODE), ALL, "the begin cell says learner 'good-2'"),
    changed("other-class", "another class's code", _begin(learner="other-class", class_code="PUMP-23"), ALL,
            "the begin cell says class code 'pump-23'"),
    changed("other-exercise", "begins an exercise that there is not",
            _begin(exercise="footbridge", learner="other-exercise", class_code=CODE), NONE, NO_ID),
)  # fmt: skip


def _old(document: dict[str, Any], version: int) -> bytes:
    old = json.loads(v3.writes_json(convert(reads(json.dumps(document), 4), 3)))
    return json.dumps({**old, "nbformat": version}).encode()


def _zipped(document: dict[str, Any]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("bridge.ipynb", encoded(document))
    return stream.getvalue()


def _kernel(document: dict[str, Any], metadata: object) -> bytes:
    document["metadata"] = metadata
    return encoded(document)


def _accents(document: dict[str, Any]) -> dict[str, Any]:
    document["cells"].append(
        {"cell_type": "markdown", "metadata": {}, "source": "größer als 5 Ω²? naïve Prüfung".replace("Ω", "")}
    )
    return json.loads(json.dumps(document).replace("\\u00b7", "-").replace("\\u2500", "-"))  # type: ignore[no-any-return]


def _latin(document: dict[str, Any]) -> bytes:
    return encoded(_accents(document)).decode().encode("latin-1", "replace")


def _cut(share: float) -> Callable[[dict[str, Any]], bytes]:
    return lambda document: encoded(document)[: int(share * len(encoded(document)))]


FILES = (
    file("kernel-foreign", "asks for a kernel of another language",
         lambda d: _kernel(d, {"kernelspec": {"name": "ir", "display_name": "R", "language": "R"}}), ALL, ""),
    file("kernel-missing", "asks for no kernel at all, metadata is a list", lambda d: _kernel(d, []), ALL, ""),
    file("old-format-3", "saved in the format of 2013", lambda d: _old(d, 3), ALL, "old format 3, and was converted"),
    file("old-format-2", "saved in the format of 2011", lambda d: _old(d, 2), ALL, "old format 2, and was converted"),
    file("new-format", "says a format that is not out yet",
         lambda d: encoded({**d, "nbformat": 5, "nbformat_minor": 9}), ALL,
         "it was read as format 4"),
    file("truncated", "cut short in the middle", _cut(0.47), HALF, "only its first"),
    file("truncated-early", "cut short before the first cell ends", _cut(0.01), NONE, "cut short"),
    file("not-json", "a web page saved under the notebook's name",
         lambda d: b"<html><script>alert(1)</script></html>", NONE,
         "there is no JSON in it"),
    file("json-list", "JSON, but no notebook", lambda d: b"[1, 2, 3]", NONE, "JSON, but no notebook"),
    file("empty", "an empty file", lambda d: b"", NONE, "is empty"),
    file("no-cells", "a notebook without cells", lambda d: encoded({**d, "cells": []}), NONE, "without any cell"),
    file("nested", "brackets nested a hundred thousand deep",
         lambda d: b'{"cells":' + b"[" * 100_000, NONE, EMPTY_SAYS),
    file("many-cells", "a hundred thousand cells", lambda d: encoded({**d, "cells": [code_cell("1")] * 100_000}), NONE,
         "100000 cells"),
    file("utf-8-mark", "UTF-8 with a byte order mark", lambda d: encoded(d, "utf-8-sig"), ALL, ""),
    file("utf-16", "UTF-16", lambda d: encoded(d, "utf-16"), ALL, "its text was in UTF-16"),
    file("latin-1", "Latin-1, neither UTF-8 nor marked", _latin, ALL, "its text was in CP1252"),
    file("binary", "random bytes", lambda d: bytes(range(128, 256)) * 50, NONE, EMPTY_SAYS),
    file("surrogate", "half a character in an answer cell",
         lambda d: json.dumps(d).replace("# Work", "# \\ud800 Work").encode(), ALL, ""),
    file("huge", "a file of 50 MB", lambda d: b" " * 50_000_000 + encoded(d), NONE, "50 MB, more than the 20 MB"),
    file("zip-inside", "a zip archive under the notebook's name", _zipped, NONE, "is a zip archive"),
    file("pdf", "a PDF in the notebook's place", lambda d: b"%PDF-1.7\n%\xe2\xe3", NONE, "there is no JSON in it",
         "pdf/bridge.pdf"),
    file("browser-name", "named by a browser's second download", encoded, ALL, "", "browser-name/bridge (1).ipynb"),
    file("hidden-ending", "an ending that the system hides", encoded, ALL, "", "hidden-ending/bridge.ipynb.txt"),
    file("Jörg Ñandú é", "a name with spaces and accents", encoded, ALL, ""),
)  # fmt: skip


def _link(inbox: Path, release: bytes, places: Places) -> None:
    (inbox / "link").mkdir()
    (inbox / "link" / "bridge.ipynb").symlink_to(places.course / "solutions" / "bridge" / "bridge.ipynb")


def _folder(inbox: Path, release: bytes, places: Places) -> None:
    (inbox / "folder" / "bridge.ipynb").mkdir(parents=True)


def _two_files(inbox: Path, release: bytes, places: Places) -> None:
    document = honest(release, "two-files")
    put(inbox / "two-files" / "bridge.ipynb", encoded(document))
    put(inbox / "two-files_bridge.ipynb", encoded(document).replace(b"reactance / 3", b"reactance * 3"))


def _late(inbox: Path, release: bytes, places: Places) -> None:
    put(inbox / "late" / "bridge" / "bridge.ipynb", encoded(honest(release, "late")))
    put(inbox / "late" / "bridge" / "timestamp.txt", b"2025-03-02 12:00:00 UTC")


def _bad_time(inbox: Path, release: bytes, places: Places) -> None:
    put(inbox / "bad-time" / "bridge" / "bridge.ipynb", encoded(honest(release, "bad-time")))
    put(inbox / "bad-time" / "bridge" / "timestamp.txt", b"yesterday" * 1_000_000)


def _formula_id(inbox: Path, release: bytes, places: Places) -> None:
    put(inbox / "=cmd_bridge.ipynb", encoded(honest(release, "=cmd")))


def _markup_id(inbox: Path, release: bytes, places: Places) -> None:
    put(inbox / "<b>bold_bridge.ipynb", encoded(honest(release, "bold")))


PLACES = (
    Case("link", "a link to the solution in the notebook's place", _link, NONE, "is a link"),
    Case("folder", "a folder under the notebook's name", _folder, None, "is not an exercise of this course"),
    Case(
        "two-files", "two different files for the same work", _two_files, None, "more than one file for the same work"
    ),
    Case("late", "handed in two days late, one mark off per day", _late, ALL, ""),
    Case("bad-time", "nine megabytes in the place of a time", _bad_time, ALL, "holds no time"),
    Case("=cmd", "an id that a spreadsheet takes for a formula", _formula_id, None, "no usable learner id"),
    Case("<b>bold", "an id that a page takes for markup", _markup_id, None, "no usable learner id"),
)

FILE_CASES = (*EDITED, *FILES, *PLACES)
