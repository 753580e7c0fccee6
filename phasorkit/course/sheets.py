"""An exercise on paper: its text with a learner's own numbers and room for the answers, without code and cells."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import Any

from phasorkit.course.answer_key import unit_of
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.grading.notebooks import check_name, load
from phasorkit.course.handout import text_page
from phasorkit.course.model import Brief, Check, Task, truths
from phasorkit.course.reading import PLAIN_UNITS

NOTE = (
    "On paper: write each answer in the frame below its question, a number with its unit, and your working beside it "
    "or on another sheet. Where a question hands out a piece of program, do it at the computer."
)
_OF_NOTEBOOKS = re.compile(
    r"\bcells?\b|kernel|`None`|`brief\b|`progress\(|check again|in quotes|between the quotes"
    r"|\bsave\b|only show the forms|a check says|may be written `|Neither changes"
)
"""Sentences with one of these are about cells and typing."""
_SENTENCES = re.compile(r"(?<=[.!?)])\s+(?=[A-Z(*`])")

_LOOK = """<style>
.next { break-before: page; } .answer { border: 1.5px solid #1f2430; padding: .3rem .6rem; margin: .6rem 0 1.2rem;
  break-inside: avoid; } .answer table { width: 100%; table-layout: fixed; } .answer td { height: 1.6rem; }
.marks { float: right; } .line { display: inline-block; border-bottom: 1px solid #1f2430; width: 12rem; }
.who { border-bottom: 1px solid #5d6672; padding-bottom: .3rem; }
</style>"""


class SheetError(ValueError):
    """An exercise whose text is not there; the message names the file."""


def sheets_page(exercise: Task, briefs: Sequence[Brief], *, root: Path, changed: Sequence[str] = ()) -> str:
    """The sheets of these learners for one exercise as a page to print, each on paper of its own.

    Parameters
    ----------
    exercise : Task
        With the class's marks, if it has any.
    briefs : sequence of Brief
    root : Path
        The course folder: the text is that of its ``exercises``.
    changed : sequence of str
        What the class changes of the marks (see `phasorkit.course.class_marks.told`), for the head of each sheet.

    Raises
    ------
    SheetError
        The released exercise is missing.
    """
    folder = root / "exercises" / exercise.name
    file = folder / f"{exercise.name}.ipynb"
    try:
        cells = load(file.read_bytes()).cells
    except OSError as error:
        raise SheetError(f"the exercise {file} cannot be read: run  phasorkit teach release") from error
    text = "\n\n".join(
        [_LOOK, *(_sheet(exercise, brief, cells, changed, follows=n > 0) for n, brief in enumerate(briefs))]
    )
    return text_page(text, title=f"Exercise {exercise.name}", folder=folder, pages={})


def _sheet(exercise: Task, brief: Brief, cells: Sequence[Any], changed: Sequence[str], *, follows: bool) -> str:
    of_class = f" · class {escape(brief.class_code)}" if brief.class_code else ""
    who = f"Learner <strong>{escape(brief.learner)}</strong>{of_class} · date"
    parts = [f'<p class="who{" next" if follows else ""}">{who} <span class="line"></span></p>']
    seen: set[str] = set()
    for number, cell in enumerate(cells):
        if cell.cell_type == "markdown":
            before_numbers = _begins(cells[number + 1 : number + 2])
            parts.append(cell.source.split("\n")[0] if before_numbers else on_paper(cell.source))
            if number == 0:
                parts.append(f"*{NOTE}*")
                if changed:
                    parts.append(f"**In this class these count, whatever the text says:** {'; '.join(changed)}.")
        elif _begins([cell]):
            parts.append("\n".join(f"    {line}" for line in exercise.tells(brief)))
        elif name := check_name(cell.source):
            check = exercise.check(name)
            if check.variable not in seen:
                together = [c for c in exercise.checks if c.variable == check.variable]
                parts.append(_frame(check, truths(exercise, brief)[name], sum(c.points for c in together)))
            seen.add(check.variable)
    return "\n\n".join(part for part in parts if part.strip())


def _begins(cells: Sequence[Any]) -> bool:
    return any(cell.cell_type == "code" and "begin(" in cell.source for cell in cells)


def on_paper(text: str) -> str:
    """A text of an exercise without the sentences that are only about cells and how to type.

    >>> on_paper("Pencil and ruler. Put each answer in place of `None`, run that cell. Four digits are plenty.")
    'Pencil and ruler. Four digits are plenty.'
    """
    kept: list[str] = []
    for paragraph in text.split("\n\n"):
        if paragraph.lstrip().startswith(("```", "|", "#", "<")):
            kept.append(paragraph)
            continue
        sentences = [s for s in _SENTENCES.split(paragraph) if not _OF_NOTEBOOKS.search(s)]
        if any(re.sub(r"\*\*[^*]*\*\*", "", s).strip() for s in sentences):
            kept.append(" ".join(sentences))
    return "\n\n".join(kept)


def _frame(check: Check, right: Any, points: float) -> str:
    """Room for an answer: a line, or a table to fill in; of `right` only its form is used."""
    marks = f'<span class="marks">marks: ______ of {points:g}</span>'
    words = f"<p>One of: {escape(', '.join(check.options))}</p>" if isinstance(check, ChoiceCheck) else ""
    if not isinstance(right, dict):
        unit = str(getattr(check, "unit", ""))
        said = f"in {escape(unit)}" if unit and unit not in PLAIN_UNITS else escape(unit)
        return f'<div class="answer">{marks}{words}Answer {said}: <span class="line"></span></div>'
    known = any(getattr(check, name, ()) for name in ("entries", "parts"))
    return f'<div class="answer">{marks}{words}{_grid(check, list(right)) if known else _EMPTY}</div>'


_EMPTY = f"<table><tbody>{'<tr><td></td><td></td></tr>' * 10}</tbody></table>"
"""Room for a list whose entries are the learner's own choice: not even their names may be told."""


def _grid(check: Check, entries: list[Any]) -> str:
    """An empty table with a row for each entry and a column for each group."""
    keys = [e if isinstance(e, tuple) else ("", e) for e in entries]
    groups, names = list(dict.fromkeys(g for g, _ in keys)), list(dict.fromkeys(n for _, n in keys))
    said = ["-".join(g) if g in ("123", "132") else str(g) for g in groups]
    heads = "".join(f'<th scope="col">{escape(g) or "answer"}</th>' for g in said)
    named = [f"{n} in {unit}" if (unit := unit_of(check, str(n))) else str(n) for n in names]
    rows = [f'<tr><th scope="row">{escape(n)}</th>' + "".join("<td></td>" for _ in groups) + "</tr>" for n in named]
    return f"<table><thead><tr><th></th>{heads}</tr></thead><tbody>{''.join(rows)}</tbody></table>"
