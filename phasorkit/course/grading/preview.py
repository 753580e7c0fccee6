"""What would be graded of an inbox, and what would not: shown without running, writing or changing anything."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.text import Text

from phasorkit.course.briefs import normalise
from phasorkit.course.grading.archive import opened
from phasorkit.course.grading.handed_in import HandedIn, read_file
from phasorkit.course.grading.intake import Submission, match, shown_path

FOUND_AS = {"folder": "a folder per learner", "flat": "one flat folder", "platform": "a learning platform's names",
            "folder of an exercise": "a folder per exercise"}  # fmt: skip


@dataclass(frozen=True)
class Line:
    """One matched file: the submission, the id its begin cell says, and a remark, empty where all is well."""

    submission: Submission
    says: str
    remark: str


def look(inbox: Path, exercises: Collection[str]) -> tuple[list[Line], list[tuple[str, str]], Path]:
    """Matched files; file and reason of what was not matched; and the folder that the files lie in.

    Errors as in `phasorkit.course.grading.archive.opened`.
    """
    with opened(inbox, exercises) as (folder, left_out):
        submissions, refused = match(folder, exercises)
        lines = [_line(submission) for submission in submissions]
        others = [(shown_path(item.path, folder), item.reason) for item in [*refused, *left_out]]
        return lines, others, folder


def show_preview(inbox: Path, exercises: Collection[str], console: Console) -> int:
    """Print what is matched and what is not; 0 when everything is matched and readable, else 1."""
    lines, others, folder = look(inbox, exercises)
    console.print("Matched", style="bold")
    wide = max((len(line.submission.learner) for line in lines), default=0)
    for line in lines:
        found = line.submission
        start = f"  {found.learner:{wide}}  {found.exercise}  "
        file = shown_path(found.path, folder)
        console.print(Text.assemble(start, (file, "dim"), f"  ? {line.remark}" if line.remark else ""), soft_wrap=True)
    if others:
        console.print("\nNot matched, so not graded", style="bold")
    for file, reason in others:
        console.print(Text.assemble("  ", (file, "bold"), f"  {reason}"), soft_wrap=True)
    ways = Counter(line.submission.layout for line in lines)
    how = ", ".join(f"{count} from {FOUND_AS[way]}" for way, count in sorted(ways.items()))
    learners = len({normalise(line.submission.learner) for line in lines})
    summary = f"{len(lines)} matched{f' ({how})' if how else ''}, {learners} learners; {len(others)} not matched."
    console.print(f"\n{summary}", soft_wrap=True)
    console.print("Nothing was run or written.")
    return int(bool(others) or any(line.remark for line in lines))


def begin_words(handed: HandedIn) -> tuple[str, str] | None:
    """Learner and class code as they stand in the begin cell, read without running it; None when they do not.

    >>> from phasorkit.course.grading.handed_in import Cell
    >>> begin_words(HandedIn(b"", (Cell("code", 'brief = begin("bridge", learner="app-01", class_code="X")', None),)))
    ('app-01', 'X')
    """
    for cell in handed.cells:
        if cell.cell_type != "code" or "begin(" not in cell.source:
            continue
        try:
            calls = [node for node in ast.walk(ast.parse(cell.source)) if isinstance(node, ast.Call)]
        except (SyntaxError, ValueError, RecursionError, MemoryError):
            continue
        for call in calls:
            if isinstance(call.func, ast.Name) and call.func.id == "begin":
                words = {word.arg: word.value.value for word in call.keywords if isinstance(word.value, ast.Constant)}
                return str(words.get("learner", "")), str(words.get("class_code", ""))
    return None


def _line(submission: Submission) -> Line:
    handed = read_file(submission.path)
    words = begin_words(handed)
    says = words[0][:40] if words else ""
    if handed.trouble:
        remark = f"{handed.trouble}: the empty exercise, no marks"
    elif not normalise(says):
        remark = "no id in the begin cell: no marks"
    elif normalise(says) != normalise(submission.learner):
        remark = f"its begin cell says learner {says!r}"
    else:
        remark = "; ".join(handed.remarks)
    return Line(submission, says, remark)
