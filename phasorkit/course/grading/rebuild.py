"""The learner's work put back on the released exercise: their own cells, our check cells."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass

from nbformat import NotebookNode

from phasorkit.course.grading.intake import Cell
from phasorkit.course.grading.notebooks import dump, grade_id, load, own_cell


@dataclass(frozen=True)
class Flag:
    """Something a person should look at: a short kind for counting and a sentence."""

    kind: str
    text: str


@dataclass(frozen=True)
class Master:
    """An exercise as the gradebook knows it.

    `release` is the released notebook file, `locked` the text of every cell that a learner may not change, by
    grade id, `checks` the name of the check in every check cell, by grade id and in order.
    """

    exercise: str
    release: bytes
    locked: Mapping[str, str]
    checks: Mapping[str, str]

    @property
    def fingerprint(self) -> str:
        """Changes with anything that marks could depend on."""
        return hashlib.sha256(repr((self.release, sorted(self.locked.items()))).encode()).hexdigest()


def rebuild(cells: Sequence[Cell], master: Master) -> tuple[bytes, tuple[Flag, ...]]:
    """Put a learner's cells on the released exercise.

    The learner's cells stay in their order. A cell that names a released cell gets that cell's kind and metadata,
    and its text too where it is locked; of several with the same name the last one counts, as in nbgrader, and the
    others run as plain cells. A locked cell that is missing comes back after the one it follows in the release.

    Returns
    -------
    notebook : bytes
        JSON, UTF-8, without outputs; every locked cell of the release is in it exactly once.
    flags : tuple of Flag
        What was found changed, missing or doubled.
    """
    release = load(master.release)
    known = {grade_id(cell): cell for cell in release.cells if grade_id(cell)}
    last = {cell.grade_id: index for index, cell in enumerate(cells) if cell.grade_id in known}
    flags: list[Flag] = []
    rebuilt: list[NotebookNode] = []
    for index, cell in enumerate(cells):
        name = cell.grade_id
        if name is not None and last.get(name) == index:
            rebuilt.append(_released(cell, known[name], master, flags))
            continue
        if name in last:
            flags.append(Flag("doubled", f"the cell {name} is there more than once; the last one counts"))
        rebuilt.append(own_cell(cell.cell_type, cell.source, f"own-{index}"))
    _put_back(rebuilt, list(known.values()), master, flags)
    release.cells = rebuilt
    return dump(release), tuple(flags)


def _released(cell: Cell, released: NotebookNode, master: Master, flags: list[Flag]) -> NotebookNode:
    name = grade_id(released)
    copy = deepcopy(released)
    if cell.cell_type != released.cell_type:
        flags.append(Flag("retyped", f"the cell {name} had been turned into a {cell.cell_type} cell"))
    if name not in master.locked:
        copy.source = cell.source
        return copy
    if cell.source.strip() != master.locked[name].strip():
        flags.append(Flag("edited", f"the locked cell {name} had been edited; the released one was used"))
    copy.source = master.locked[name]
    return copy


def _put_back(rebuilt: list[NotebookNode], released: Sequence[NotebookNode], master: Master, flags: list[Flag]) -> None:
    """Insert the locked cells that are missing; an answer cell that is missing stays away, its stub would undo work."""
    place = 0
    for cell in released:
        name = grade_id(cell)
        here = next((i for i, other in enumerate(rebuilt) if grade_id(other) == name), None)
        if here is not None:
            place = here + 1
        elif name in master.locked:
            copy = deepcopy(cell)
            copy.source = master.locked[name]
            rebuilt.insert(place, copy)
            place += 1
            flags.append(Flag("missing", f"the locked cell {name} was missing and has been put back"))
        else:
            flags.append(Flag("missing", f"the answer cell {name} is missing"))
