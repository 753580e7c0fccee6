"""Marks of work of which nothing can be read: none, and a reason under every check, without running anything."""

from __future__ import annotations

from collections.abc import Iterable

from phasorkit.course.grading.notebooks import dump, grade_id, load
from phasorkit.course.grading.rebuild import Flag
from phasorkit.course.grading.records import Record, Row
from phasorkit.course.grading.worker import Graded, Job, write_mark
from phasorkit.course.model import BLANK, Mark

UNREADABLE = "unreadable"
"""Kind of the flag that such work gets."""


def unread(job: Job, reason: str) -> Graded:
    """The result of a job whose notebook is the empty exercise, because the file that came `reason`."""
    notebook = load(job.notebook)
    text = f"Not marked: the file that was handed in {reason}. Hand in your notebook again, saved in JupyterLab."
    rows = []
    for cell in notebook.cells:
        if name := job.checks.get(grade_id(cell), ""):
            mark = Mark(0.0, job.task.check(name).points, text, outcome=BLANK)
            write_mark(cell, name, mark)
            rows.append(Row(name, mark.points, mark.maximum, outcome=mark.outcome, note=mark.text))
    flag = Flag(UNREADABLE, f"the file {reason}; the empty exercise was put in its place, with no marks")
    return Graded(dump(notebook), Record(job.learner, job.exercise, job.source, tuple(rows), (flag,)))


def nothing_read(flags: Iterable[Flag]) -> bool:
    """Whether work has no marks because nothing of it could be read."""
    return any(flag.kind == UNREADABLE for flag in flags)
