"""The lessons in their order, from one file; the links between them and the contents table, written from it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nbformat

CONTENTS = "contents.toml"
START, HEADING = "00-start.ipynb", "Contents"
_FIELDS = {
    "number": str, "file": str, "title": str, "question": str, "goals": str, "minutes": int, "exercise": list,
    "app": list,
}  # fmt: skip


class ContentsError(ValueError):
    """The list of lessons is not what it should be; the message says where and what is accepted."""


@dataclass(frozen=True, kw_only=True)
class Lesson:
    """One lesson as the list has it.

    Parameters
    ----------
    number, file, title, question, goals : str
        ``"05"``, file below lessons/, title, the question at its top, what one can do after it.
    minutes : int
        How long it takes [min].
    exercise, app : tuple of str
        Names below exercises/; functions of `phasorkit.widgets`.
    """

    number: str
    file: str
    title: str
    question: str
    goals: str
    minutes: int
    exercise: tuple[str, ...]
    app: tuple[str, ...]

    @property
    def name(self) -> str:
        """Number and title as they are written in links.

        >>> lessons_of('''[[lesson]]
        ... number = "00"
        ... file = "00-start.ipynb"
        ... title = "Start here"
        ... question = "In which order?"
        ... goals = "read volts"
        ... minutes = 50
        ... exercise = []
        ... app = []''')[0].name
        'Lesson 00 · Start here'
        """
        return f"Lesson {self.number} · {self.title}"


def contents(root: Path) -> tuple[Lesson, ...]:
    """The lessons listed in lessons/contents.toml of a course folder, in order.

    Raises
    ------
    ContentsError
        The file is missing or not as it should be.
    """
    path = root / "lessons" / CONTENTS
    try:
        return lessons_of(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ContentsError(f"{path} is missing: it lists the lessons") from None


def lessons_of(text: str) -> tuple[Lesson, ...]:
    """The lessons in the text of a contents file; see `contents`."""
    try:
        tables = tomllib.loads(text).get("lesson", [])
    except tomllib.TOMLDecodeError as error:
        raise ContentsError(f"{CONTENTS}: {error}") from None
    lessons = tuple(_lesson(table, k) for k, table in enumerate(tables))
    if not lessons:
        raise ContentsError(f"{CONTENTS} lists no lesson: begin each with [[lesson]]")
    return lessons


def _lesson(table: dict[str, Any], place: int) -> Lesson:
    number = f"{place:02d}"
    if set(table) != set(_FIELDS):
        odd = ", ".join(sorted(set(table) ^ set(_FIELDS)))
        raise ContentsError(f"{CONTENTS}, lesson {number}: wants exactly {', '.join(_FIELDS)}; see to {odd}")
    wrong = [f"{name} ({kind.__name__})" for name, kind in _FIELDS.items() if type(table[name]) is not kind]
    if wrong:
        raise ContentsError(f"{CONTENTS}, lesson {number}: of the wrong kind: {', '.join(wrong)} expected")
    if table["number"] != number or not table["file"].startswith(f"{number}-"):
        raise ContentsError(
            f"{CONTENTS}: in place {number} stand number {table['number']!r} and file {table['file']!r}; "
            f"accepted: number {number!r}, a file that begins with it"
        )
    values: dict[str, Any] = {k: tuple(v) if isinstance(v, list) else v for k, v in table.items()}
    return Lesson(**values)


# --- what is written ----------------------------------------------------------------------------------------


def write(root: Path, *, check_only: bool = False) -> list[str]:
    """Write the links of every lesson and the contents table of lesson 00 from lessons/contents.toml.

    Parameters
    ----------
    root : Path
        The course folder.
    check_only : bool
        Write nothing, only compare.

    Returns
    -------
    list of str
        One line for each lesson whose links or table differ (unless `check_only`, they are now put right), that is
        listed and missing, that lies in lessons/ and is not listed, or whose own title, question or minutes differ
        from the list.

    Raises
    ------
    ContentsError
        The list is not as it should be.
    """
    lessons, folder = contents(root), root / "lessons"
    there = [lesson for lesson in lessons if (folder / lesson.file).is_file()]
    lines = [f"lessons/{x.file} is missing, though {CONTENTS} lists it" for x in lessons if x not in there]
    listed = {lesson.file for lesson in lessons}
    lines += [f"lessons/{p.name} is not in {CONTENTS}" for p in sorted(folder.glob("*.ipynb")) if p.name not in listed]
    for lesson in there:
        path = folder / lesson.file
        notebook = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
        lines += [f"lessons/{lesson.file}: {line}" for line in disagreements(lesson, notebook)]
        if _put(lesson, notebook, there, root):
            lines.append(f"lessons/{lesson.file}: links differ" if check_only else f"wrote lessons/{lesson.file}")
            if not check_only:
                text = nbformat.writes(notebook)  # type: ignore[no-untyped-call]
                path.write_text(f"{text.rstrip()}\n", encoding="utf-8", newline="\n")
    return lines


def _put(lesson: Lesson, notebook: Any, there: Sequence[Lesson], root: Path) -> bool:
    """Put links and table into a notebook; tells whether anything changed."""
    wanted = navigation(lesson, there, root)
    cells = [notebook.cells[0], notebook.cells[-1]]
    changed = [_renew(cell, "links", wanted) for cell in cells]
    if lesson.file == START:
        kept = [cell for cell in notebook.cells if _BLOCK["contents"].search(cell.source)]
        if not kept:
            new = nbformat.v4.new_markdown_cell(f"## {HEADING}", id="contents")  # type: ignore[no-untyped-call]
            notebook.cells.insert(len(notebook.cells) - 1, new)
            kept = [new]
        changed += [_renew(cell, "contents", table(there, root)) for cell in kept]
    return any(changed)


_BLOCK = {
    name: re.compile(rf"<!-- {name}: generated -->.*?<!-- {name}: end -->", re.DOTALL) for name in ("links", "contents")
}


def _renew(cell: Any, name: str, text: str) -> bool:
    """Put text between a cell's markers, or at its end with markers; tells whether the cell changed."""
    block = f"<!-- {name}: generated -->\n\n{text}\n\n<!-- {name}: end -->"
    before = cell.source
    if _BLOCK[name].search(before):
        cell.source = _BLOCK[name].sub(lambda _: block, before)
    else:
        cell.source = f"{before.rstrip()}\n\n{block}"
    return bool(cell.source != before)


def without_generated(text: str) -> str:
    """A cell's text without what is written here: what its author wrote."""
    for block in _BLOCK.values():
        text = block.sub("", text)
    return text.rstrip()


def navigation(lesson: Lesson, there: Sequence[Lesson], root: Path) -> str:
    """The line of links of one lesson among those that are there: previous, contents, exercises, next."""
    place = there.index(lesson)
    links = [f"[← {x.name}]({x.file})" for x in there[max(place - 1, 0) : place]]
    links.append(f"[{HEADING}]({'' if lesson.file == START else START}#{HEADING})")
    links += [_exercise(name, root, lead="Exercise ") for name in lesson.exercise]
    links += [f"[{x.name} →]({x.file})" for x in there[place + 1 : place + 2]]
    return " · ".join(links)


def table(there: Sequence[Lesson], root: Path) -> str:
    """The contents as a table: lesson and question, what one can do after it, minutes, exercise."""
    rows = ["| lesson | after it you can | minutes | exercise |", "|---|---|---|---|"]
    for lesson in there:
        exercises = "<br>".join(_exercise(name, root) for name in lesson.exercise) or "none"
        rows.append(
            f"| [{lesson.name}]({lesson.file})<br>*{lesson.question}* | {lesson.goals} | {lesson.minutes} "
            f"| {exercises} |"
        )
    hours = sum(lesson.minutes for lesson in there) / 60
    return "\n".join(rows) + f"\n\nAll lessons together: about {hours:.0f} hours."


def _exercise(name: str, root: Path, *, lead: str = "") -> str:
    """Link to an exercise, or its bare name while there is none."""
    there = (root / "exercises" / name / f"{name}.ipynb").is_file()
    return f"[{lead}`{name}`](../exercises/{name}/{name}.ipynb)" if there else f"{lead}`{name}`"


def disagreements(lesson: Lesson, notebook: Any) -> list[str]:
    """Where a lesson's first cell says something else than the list does."""
    top = notebook.cells[0].source
    said = {
        "title": (re.search(r"^# (.+)$", top, re.MULTILINE), lesson.name),
        "question": (re.search(r"^\*\*([^*]+\?)\*\*$", top, re.MULTILINE), lesson.question),
        "minutes": (re.search(r"About (\d+) minutes", top), str(lesson.minutes)),
    }
    return [
        f"{what} is {found[1] if found else 'missing'!r}, {CONTENTS} has {listed!r}"
        for what, (found, listed) in said.items()
        if found is None or found[1] != listed
    ]
