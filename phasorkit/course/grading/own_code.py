"""The code that learners wrote themselves, and what in it is worth a question to a person."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from phasorkit.course.grading.notebooks import grade_id, load

LEAST = 300
"""Characters of own code, spaces left out, from which being the same is worth a question."""

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
    given: Mapping[str, Any] = {grade_id(cell): cell for cell in load(release).cells if grade_id(cell)}
    found: dict[str, str] = {}
    for cell in load(notebook).cells:
        name = grade_id(cell)
        locked = cell.metadata.get("nbgrader", {}).get("locked", False)
        if cell.cell_type != "code" or locked or (not name and "begin(" in cell.source):
            continue
        stub = {line.strip() for line in given[name].source.splitlines()} if name in given else set()
        lines = [line for line in cell.source.splitlines() if line.strip() and line.strip() not in stub]
        if lines:
            found[name or f"extra cell {len(found) + 1}"] = "\n".join(lines)
    return found


def library_use(cells: Mapping[str, str], allowed: set[str]) -> list[tuple[str, str]]:
    """Where a learner's code uses parts of the library that the exercise did not hand out: cell and module.

    >>> library_use({"r": "from phasorkit.indicators import DividerBridge"}, set())
    [('r', 'phasorkit.indicators')]
    """
    found = []
    for name, code in cells.items():
        used = sorted(module for module in modules(code) if module not in allowed)
        found += [(name, module) for module in used]
    return found


def modules(code: str) -> set[str]:
    """Modules of this library that a piece of code names, imported or in a text; it is read, not run."""
    found = set(_NAMES.findall(code))
    try:
        tree = ast.parse(code)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        tree = ast.Module([], [])
        found |= set(re.findall(r"(?:from|import)\s+(phasorkit[\w.]*)", code))
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
    if node.module == "phasorkit.course" and names <= {"begin", "check", "answer"}:
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
