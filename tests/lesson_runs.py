"""Run a lesson in a real kernel, and store its text results as the repository keeps them.

    python tests/lesson_runs.py lessons/05-null-bridges.ipynb ...

runs the named lessons (all, if none is named) and writes their text outputs back. A cell that shows a picture or an
app carries the tag ``nbval-ignore-output``; its output is not stored, and neither is any widget state.
"""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path
from typing import Any

import nbformat

from phasorkit.course.lesson_run import SWITCH, read_lesson, run_lesson, widget_models

ROOT = Path(__file__).parents[1]
LESSONS = ROOT / "lessons"
SHOWS_PICTURE = "nbval-ignore-output"


def lesson_files() -> list[Path]:
    """Every lesson, in teaching order."""
    return sorted(LESSONS.glob("*.ipynb"))


def read(path: Path) -> Any:
    """A notebook as nbformat reads it, checked against the schema."""
    return read_lesson(path)


def run(notebook: Any, *, system: str | None = None) -> Any:
    """A copy of a notebook with the outputs of a fresh run; `system` sets its switch first.

    Raises
    ------
    nbclient.exceptions.CellExecutionError
        A cell raised.
    ValueError
        `system` is given and the notebook has not exactly one switch.
    """
    switches = sum(1 for c in notebook.cells if c.cell_type == "code" and SWITCH.search(c.source))
    if system is not None and switches != 1:
        raise ValueError(f"a lesson has one cell that sets SYSTEM, found {switches}")
    return run_lesson(notebook, folder=LESSONS, system=system)


@cache
def ran(path: Path, system: str | None = None) -> Any:
    """A lesson as run, once in a test session for each setting; whoever asks must leave it as it is."""
    return run(read(path), system=system)


def shows_picture(cell: Any) -> bool:
    """Tell whether a code cell is marked as one whose output is not stored."""
    return SHOWS_PICTURE in cell.metadata.get("tags", [])


def errors_in_widgets(ran: Any) -> list[str]:
    """Tracebacks that ended in a widget's Output: a callback that raised leaves the cell itself "OK"."""
    outputs = [out for state in widget_models(ran).values() for out in state.get("outputs", [])]
    return [f"{out['ename']}: {out['evalue']}" for out in outputs if out["output_type"] == "error"]


def stored(ran: Any) -> Any:
    """A run notebook as the repository keeps it: text results only, no run times, no widget state."""
    copy = nbformat.from_dict(ran)
    copy.metadata = nbformat.from_dict(
        {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        }
    )
    for cell in copy.cells:
        tags = cell.metadata.get("tags", [])
        cell.metadata = nbformat.from_dict({"tags": tags} if tags else {})
        if cell.cell_type == "code" and shows_picture(cell):
            cell.outputs = []
    return copy


def main(names: list[str]) -> None:
    for path in [Path(n) for n in names] or lesson_files():
        ran = run(read(path))
        failed = errors_in_widgets(ran)
        if failed:
            raise SystemExit(f"{path}: a widget's callback raised, nothing stored: {'; '.join(failed)}")
        nbformat.write(stored(ran), path)
        print(f"{path}: stored")


if __name__ == "__main__":
    main(sys.argv[1:])
