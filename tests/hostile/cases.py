"""Hostile and broken work as real notebooks: what each tries, and what it must get.

Every notebook is honest, right work of its own learner into which something was put. Nothing here harms a machine
even without a sandbox: what deletes or writes is aimed at folders made for the test, what grows stops by itself.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from phasorkit.course.grading.demo import filled_in
from phasorkit.course.grading.demo_work import Pupil

CODE = "PUMP-24"
CHECKS = ("reactance", "resistance", "preferred", "volts", "power", "residual")
ALL = (3.0, 3.0, 2.0, 5.0, 3.0, 4.0)
FIRST_TWO = (3.0, 3.0, 0.0, 0.0, 0.0, 0.0)
"""What is left when the kernel is lost before the third answer."""

NONE = (0.0,) * 6

CELL_SECONDS, TOTAL_SECONDS = 5, 20
"""Short deadlines, so that the suite is quick, but no honest cell takes so long on a loaded machine."""


@dataclass(frozen=True)
class Places:
    """Where the test keeps what hostile code is after, and the port of a server that must never be reached."""

    course: Path
    inbox: Path
    class_folder: Path
    canary: Path
    port: int


Cells = list[dict[str, Any]]
Change = Callable[[Cells, Places], None]
Write = Callable[[Path, bytes, Places], None]


@dataclass(frozen=True)
class Case:
    """One learner of the hostile class.

    `points`: what each check must give; None: no rows, only a line with the reason. `says`: a part of what the
    instructor is told; empty: nothing to tell. `also`: where it depends on the machine which limit is met first, the
    other marks, with a reason. `seconds`: how long it may take at most. `write`: puts the file into
    the inbox.
    """

    name: str
    tries: str
    write: Write
    points: tuple[float, ...] | None
    says: str = ""
    seconds: float = 60.0
    also: tuple[float, ...] | None = None


def named(cells: Cells, name: str) -> dict[str, Any]:
    """The cell with this grade id."""
    return next(cell for cell in cells if cell["metadata"].get("nbgrader", {}).get("grade_id") == name)


def code_cell(source: str) -> dict[str, Any]:
    """An extra code cell."""
    return {
        "cell_type": "code",
        "id": "extra",
        "metadata": {},
        "outputs": [],
        "execution_count": None,
        "source": source,
    }


def honest(release: bytes, learner: str, answers: Mapping[str, str | None] | None = None) -> dict[str, Any]:
    """A notebook with right answers, as plain data; `answers` replace some of them."""
    document: dict[str, Any] = json.loads(filled_in(release, Pupil(learner, answers or {}), CODE))
    return document


def written(name: str, change: Change) -> Write:
    """Writes the learner's notebook with a change to its cells."""

    def write(inbox: Path, release: bytes, places: Places) -> None:
        document = honest(release, name)
        change(document["cells"], places)
        put(inbox / f"{name}_bridge.ipynb", json.dumps(document).encode())

    return write


def put(file: Path, data: bytes) -> None:
    """Write a file of the inbox."""
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(data)


def extra(
    name: str,
    tries: str,
    source: str,
    *,
    points: tuple[float, ...] = ALL,
    says: str = "",
    seconds: float = 60.0,
    also: tuple[float, ...] | None = None,
) -> Case:
    """A case with an extra code cell before the third answer; ``<course>`` and the like stand for places."""

    def change(cells: Cells, places: Places) -> None:
        text = source
        for word in ("course", "inbox", "class_folder", "canary", "port"):
            text = text.replace(f"<{word}>", str(getattr(places, word)))
        cells.insert(cells.index(named(cells, "preferred-answer")), code_cell(text))

    return Case(name, tries, written(name, change), points, says, seconds, also)


def answering(
    name: str, tries: str, answers: Mapping[str, str], points: tuple[float, ...], says: str = "", before: str = ""
) -> Case:
    """A case with other answers, each the text of the whole answer cell."""

    def change(cells: Cells, places: Places) -> None:
        for check, source in answers.items():
            named(cells, f"{check}-answer")["source"] = source
        if before:
            cells.insert(cells.index(named(cells, "reactance-answer")), code_cell(before))

    return Case(name, tries, written(name, change), points, says)
