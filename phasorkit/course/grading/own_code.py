"""The code that learners wrote themselves, and what in it is worth a question to a person."""

from __future__ import annotations

import ast
import re
import warnings
from collections import defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from phasorkit.course.grading.notebooks import grade_id, load
from phasorkit.course.grading.roundabout import hidden_modules

BY_HAND = "By hand"
"""How an exercise says that it is done by hand, at the front of a sentence; inside one it may be a choice."""

LEAST = 300
"""Characters of own code, spaces left out, from which being the same is worth a question."""

TOOLS = {"phasorkit.quantities"}
"""Modules that only read and write values, as a calculator does; anybody may use them in a task by hand."""

NOTICED = (
    "Noticed: the code before this check uses {modules}, and this task is done by hand. No marks are taken for it. "
    "Be ready to say how you got there yourself."
)
"""What a learner is told, and no more: why it is there only a person can find out."""

_COMMAND = re.compile(r"\bphasorkit[\"',\s]+size\b")
_NAMES = re.compile(r"\bphasorkit(?:\.[A-Za-z_]\w*)+")


def own_cells(notebook: bytes, release: bytes) -> dict[str, str]:
    """What a learner wrote, by cell: lines of code cells that are not the release's own.

    Parameters
    ----------
    notebook : bytes
        The learner's work on the released exercise (a file of ``submitted``).
    release : bytes
        The released exercise.

    Returns
    -------
    dict
        Code by grade id, or by "extra cell 1" and so on; the begin cell, which holds an id, is left out.
    """
    return {name: code for name, code in _in_order(notebook, release) if code}


def _in_order(notebook: bytes, release: bytes) -> Iterator[tuple[str, str]]:
    """Every code cell in order: its name and the learner's own code, which a locked cell does not have."""
    given: Mapping[str, Any] = {grade_id(cell): cell for cell in load(release).cells if grade_id(cell)}
    written = 0
    for cell in load(notebook).cells:
        name = grade_id(cell)
        if cell.cell_type != "code" or (not name and "begin(" in cell.source):
            continue
        if cell.metadata.get("nbgrader", {}).get("locked", False):
            yield name, ""
            continue
        stub = {line.strip() for line in given[name].source.splitlines()} if name in given else set()
        lines = [line for line in cell.source.splitlines() if line.strip() and line.strip() not in stub]
        written += bool(lines)
        yield name or f"extra cell {written}", "\n".join(lines)


def handed_out(release: bytes) -> dict[str, set[str]]:
    """Modules of the library that a released exercise itself uses, by grade id of the cell; under "" all of them.

    What stands in a locked cell counts for every cell. Nothing at all where no cell of the exercise says that it is
    done by hand (`BY_HAND`).
    """
    cells = load(release).cells
    if not any(cell.cell_type == "markdown" and BY_HAND in cell.source for cell in cells):
        return {}
    used = {grade_id(cell): modules(cell.source) for cell in cells if cell.cell_type == "code"}
    locked = [grade_id(cell) for cell in cells if cell.metadata.get("nbgrader", {}).get("locked", False)]
    everywhere = set().union(TOOLS, *(used.get(name, set()) for name in locked))
    return {name: found | everywhere for name, found in used.items()} | {"": everywhere.union(*used.values())}


def library_use(cells: Mapping[str, str], allowed: Mapping[str, set[str]]) -> list[tuple[str, str]]:
    """Where a learner's code uses parts of the library that the exercise did not hand out there: cell and module.

    `allowed` as `handed_out` gives it.

    >>> library_use({"r": "from phasorkit.indicators import DividerBridge"}, {"": {"phasorkit.supply"}})
    [('r', 'phasorkit.indicators')]
    """
    found: list[tuple[str, str]] = []
    for name, code in cells.items() if allowed else ():
        found += [(name, module) for module in sorted(modules(code) - allowed.get(name, allowed[""]))]
    return found


def told_of_library(notebook: bytes, release: bytes, checks: Mapping[str, str]) -> dict[str, str]:
    """What a learner is told below a check whose answer, in a task by hand, comes from code that uses the library.

    Parameters
    ----------
    notebook, release : bytes
        As in `own_cells`.
    checks : mapping
        Name of the check by grade id of its cell.

    Returns
    -------
    dict
        The words by name of the check; only for checks before which, and after the check before, such code stands.
    """
    allowed = handed_out(release)
    told: dict[str, str] = {}
    since: list[str] = []
    for name, code in _in_order(notebook, release):
        since += [module for _, module in library_use({name: code}, allowed)]
        if name in checks:
            if since:
                told[checks[name]] = NOTICED.format(modules=" and ".join(dict.fromkeys(since)))
            since = []
    return told


def modules(code: str) -> set[str]:
    """Modules of this library that a piece of code names, imported or in a text; it is read, not run."""
    found = set(_NAMES.findall(code)) | {"phasorkit size" for _ in _COMMAND.findall(code)}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of a learner's code; they would go to the grader's screen
            tree = ast.parse(code)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        tree = ast.Module([], [])
        found |= set(re.findall(r"(?:from|import)\s+(phasorkit[\w.]*)", code))
    found |= hidden_modules(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name.split(".")[0] == "phasorkit"}
        elif isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "phasorkit":
            found |= _imported(node)
    return found


def _imported(node: ast.ImportFrom) -> set[str]:
    """`from phasorkit import indicators` names the module as well as `from phasorkit.indicators import ...`."""
    names = {alias.name for alias in node.names}
    if node.module == "phasorkit":
        return {f"phasorkit.{name}" for name in names}
    if node.module == "phasorkit.course" and names <= {"begin", "check", "answer", "hint", "progress"}:
        return set()
    return {str(node.module)}


def same_code(codes: Mapping[str, Mapping[str, str]]) -> list[list[str]]:
    """Groups of learners whose own code is the same in every letter, spaces and lines left out."""
    groups: dict[str, list[str]] = defaultdict(list)
    for learner, cells in codes.items():
        text = re.sub(r"\s+", "", "".join(cells.values()))
        if len(text) >= LEAST:
            groups[text].append(learner)
    return sorted(sorted(group) for group in groups.values() if len(group) > 1)


def read_submitted(file: Path, release: bytes) -> dict[str, str]:
    """`own_cells` of a file of ``submitted``; nothing where it cannot be read."""
    try:
        return own_cells(file.read_bytes(), release)
    except (OSError, ValueError, KeyError, AttributeError):
        return {}
