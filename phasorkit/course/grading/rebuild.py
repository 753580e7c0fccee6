"""The learner's work put back on the released exercise: their own cells, our check cells."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass

from nbformat import NotebookNode

from phasorkit.course.grading.handed_in import Cell, HandedIn
from phasorkit.course.grading.notebooks import dump, grade_id, load, own_cell

SOLUTION = "it holds the lines that mark a solution in the instructor's own notebook (### BEGIN SOLUTION)"

NAMED = 4
"""Missing cells that are named; the others are counted."""


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

    The learner's cells stay in their order, unless a check then stood before what it checks: the released order is
    restored in that case, each extra cell behind the cell it followed. A cell that names a released cell gets that
    cell's kind and metadata, and its text too where it is locked. Of several answer cells with the same name the last
    one counts, as in nbgrader, and the others run as plain cells; of locked cells one is enough.

    Returns
    -------
    notebook : bytes
        JSON, UTF-8, without outputs; every named cell of the release is in it exactly once.
    flags : tuple of Flag
        What was found changed, moved, missing or doubled.
    """
    release = load(master.release)
    known = {grade_id(cell): cell for cell in release.cells if grade_id(cell)}
    last = {cell.grade_id: index for index, cell in enumerate(cells) if cell.grade_id in known}
    flags = [Flag("solution", SOLUTION)] if any("### BEGIN SOLUTION" in cell.source for cell in cells) else []
    rebuilt: list[NotebookNode] = []
    for index, cell in enumerate(cells):
        name = cell.grade_id
        if name is not None and last.get(name) == index:
            rebuilt.append(_released(cell, known[name], master, flags))
            continue
        if name in last:
            flags.append(Flag("doubled", _doubled(str(name), cell, cells[last[name]], master)))
            if name in master.locked:
                continue
        rebuilt.append(_own(cell, f"own-{index}"))
    rebuilt = _in_order(rebuilt, list(known.values()), master, flags)
    _put_back(rebuilt, list(known.values()), master, flags)
    release.cells = rebuilt
    return dump(release), tuple(_in_one(flags))


def _in_one(flags: list[Flag]) -> list[Flag]:
    """The flags, with one in the place of those about edited cells where there are many."""
    edited = [flag for flag in flags if flag.kind == "edited"]
    if len(edited) <= NAMED:
        return flags
    text = (
        f"{len(edited)} locked cells had been edited, as in a notebook of another edition; the released ones were used"
    )
    return [Flag("edited", text), *(flag for flag in flags if flag.kind != "edited")]


def put_on_release(handed: HandedIn, master: Master) -> tuple[bytes, tuple[Flag, ...]]:
    """What nbgrader is to read: the work rebuilt (see `rebuild`), or the empty exercise where nothing can be read."""
    if handed.trouble:
        return _empty(master, f"The file that was handed in {handed.trouble}, so this is the empty exercise."), ()
    notebook, flags = rebuild(handed.cells, master)
    return notebook, (*(Flag("rescued", f"the file was put right: {text}") for text in handed.remarks), *flags)


def _empty(master: Master, note: str) -> bytes:
    """The released exercise as it is, with a note on top."""
    release = load(master.release)
    words = "".join(f"\\{letter}" if letter in "\\`*_{}[]()<>#+-.!|~$" else letter for letter in note)
    release.cells.insert(0, own_cell("markdown", f"**{words}**", "own-note"))
    return dump(release)


def _own(cell: Cell, cell_id: str) -> NotebookNode:
    own = own_cell(cell.cell_type, cell.source, cell_id)
    if cell.pictures and cell.cell_type == "markdown":
        own.attachments = {name: dict(kinds) for name, kinds in cell.pictures.items()}
    return own


def _doubled(name: str, cell: Cell, counts: Cell, master: Master) -> str:
    if name in master.locked:
        return f"the locked cell {name} is there more than once; it runs once"
    same = ", and both say the same" if cell.source.strip() == counts.source.strip() else ""
    return f"the cell {name} is there more than once; the last one counts{same}"


def _released(cell: Cell, released: NotebookNode, master: Master, flags: list[Flag]) -> NotebookNode:
    name = grade_id(released)
    copy = deepcopy(released)
    if cell.cell_type != released.cell_type:
        flags.append(Flag("retyped", f"the cell {name} had been turned into a {cell.cell_type} cell"))
    if name not in master.locked:
        copy.source = cell.source
        if cell.pictures and copy.cell_type == "markdown":
            copy.attachments = {picture: dict(kinds) for picture, kinds in cell.pictures.items()}
        return copy
    if cell.source.strip() != master.locked[name].strip():
        flags.append(Flag("edited", f"the locked cell {name} had been edited; the released one was used"))
    copy.source = master.locked[name]
    return copy


def _in_order(
    rebuilt: list[NotebookNode], released: Sequence[NotebookNode], master: Master, flags: list[Flag]
) -> list[NotebookNode]:
    """The cells as they are, or in the released order where one would come before what it needs."""
    needs = _needs(released, master)
    here = {grade_id(cell) for cell in rebuilt}
    passed: set[str] = set()
    for cell in rebuilt:
        begins = cell.cell_type == "code" and "begin(" in cell.source and not grade_id(cell)
        if (needs["begin(" if begins else grade_id(cell)] & here) - passed:
            break
        passed.add(grade_id(cell))
    else:
        return rebuilt
    flags.append(Flag("moved", "cells had been moved before what they need; the released order was restored"))
    groups: dict[str, list[NotebookNode]] = defaultdict(list)
    name = ""
    for cell in rebuilt:
        name = grade_id(cell) or name
        groups[name].append(cell)
    return [cell for name in ("", *map(grade_id, released)) for cell in groups[name]]


def _needs(released: Sequence[NotebookNode], master: Master) -> Mapping[str, set[str]]:
    """What each named cell needs before it: a check its answer cells; these, and the begin cell, what is imported."""
    needs: dict[str, set[str]] = defaultdict(set)
    answers: set[str] = set()
    for cell in released:
        name = grade_id(cell)
        if name in master.checks:
            needs[name], answers = answers, set()
        elif name not in master.locked:
            needs[name] = needs["begin("]
            answers.add(name)
        elif cell.cell_type == "code":
            needs["begin("] = needs["begin("] | {name}
    return needs


def _put_back(rebuilt: list[NotebookNode], released: Sequence[NotebookNode], master: Master, flags: list[Flag]) -> None:
    """Insert the named cells that are missing, an answer cell without its text: the stub would undo work elsewhere.

    A check comes as late as it may, so that an answer given in an extra cell comes before it.
    """
    place, missing = 0, []
    for number, cell in enumerate(released):
        name = grade_id(cell)
        here = {grade_id(other): index for index, other in enumerate(rebuilt) if grade_id(other)}
        if name in here:
            place = here[name] + 1
            continue
        if name in master.checks:
            later = [here[grade_id(other)] for other in released[number + 1 :] if grade_id(other) in here]
            place = max(place, min(later, default=len(rebuilt)))
        copy = deepcopy(cell)
        copy.source = master.locked.get(name, "")
        rebuilt.insert(place, copy)
        place += 1
        missing.append(name if name in master.locked else f"{name}, now empty")
    if missing:
        more = f" and {len(missing) - NAMED} more" if len(missing) > NAMED else ""
        flags.append(Flag("missing", f"missing cells have been put back: {'; '.join(missing[:NAMED])}{more}"))
