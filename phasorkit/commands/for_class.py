"""``phasorkit teach key``, ``sheets`` and ``marks``: what an instructor needs beside grading."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from phasorkit.surroundings import course_folder

KINDS = ("key", "sheets", "marks")


def add_arguments(kinds: Any) -> None:
    """The three subcommands."""
    key = kinds.add_parser("key", help="answer key for one learner (on the screen) or a class (pages and a table)")
    sheets = kinds.add_parser("sheets", help="exercise texts to print, with each learner's own numbers")
    for sub, place in ((key, "key"), (sheets, "sheets")):
        sub.add_argument(
            "--learner", action="append", default=[], metavar="ID", help="id of a learner; may be repeated"
        )
        sub.add_argument("--class-list", type=Path, metavar="FILE", help="text or CSV with an id in each line")
        sub.add_argument("--class-code", default="", help="the class's code, as in the notebooks")
        sub.add_argument("--out", type=Path, help=f"folder for the pages (default: {place} in the class folder)")
        sub.add_argument("--pdf", action="store_true", help="also print each page to PDF, with a browser")
        sub.add_argument("--browser", help="the browser's program for --pdf, if it is not found by itself")
    marks = kinds.add_parser("marks", help="table of checks, marks and tolerances, and the file that changes them")
    marks.add_argument("--write", action="store_true", help="write a marks.toml that changes nothing yet, to be edited")
    marks.add_argument("--csv", type=Path, metavar="FILE", help="write the table as CSV, for a spreadsheet")
    for sub in (key, sheets, marks):
        sub.add_argument("--exercise", action="append", default=[], metavar="NAME", help="only this; may be repeated")
        sub.add_argument("--class-folder", type=Path, help="the class's folder (default: class); its marks.toml counts")


def run(given: argparse.Namespace) -> int:
    """Do it; what stands in the way is one line and exit code 2."""
    from phasorkit.course.class_list import ListError
    from phasorkit.course.class_marks import MarksError
    from phasorkit.course.pdf import PdfError
    from phasorkit.course.sheets import SheetError

    work: dict[str, Callable[[argparse.Namespace, Path], int]] = {"key": _key, "sheets": _sheets, "marks": _marks}
    try:
        folder = given.class_folder or course_folder() / "class"
        return work[given.kind](given, folder)
    except (ListError, MarksError, PdfError, SheetError, OSError, ValueError) as error:
        print(f"phasorkit teach {given.kind}: {' '.join(str(error).split())}", file=sys.stderr)
        return 2


def _exercises(given: argparse.Namespace) -> list[str]:
    from phasorkit.course.best_so_far import teaching_order

    there = teaching_order()
    for name in given.exercise:
        if name not in there:
            raise ValueError(f"--exercise must be one of {', '.join(there)}, got {name!r}")
    return [name for name in there if name in given.exercise] or there


def _learners(given: argparse.Namespace) -> list[str]:
    from phasorkit.course.briefs import normalise
    from phasorkit.course.class_list import read_class

    listed = [*given.learner, *(read_class(given.class_list) if given.class_list else ())]
    by_identity = {normalise(name): name for name in reversed(listed) if normalise(name)}
    if not by_identity:
        raise ValueError("say whose: --learner ID, or --class-list FILE with an id in each line")
    return list(reversed(by_identity.values()))


def _key(given: argparse.Namespace, folder: Path) -> int:
    from phasorkit.course.answer_key import key_page, rows, text
    from phasorkit.course.briefs import draw_brief
    from phasorkit.course.class_marks import FILE, read_marks
    from phasorkit.course.model import task

    marks, learners, exercises = read_marks(folder / FILE), _learners(given), _exercises(given)
    if len(learners) == 1 and given.out is None and not given.pdf:
        brief = {name: draw_brief(task(name), learners[0], given.class_code) for name in exercises}
        print("\n\n".join(text(marks.task(name), brief[name]) for name in exercises))
        return 0
    pages = {
        n: key_page(marks.task(n), [draw_brief(task(n), x, given.class_code) for x in learners]) for n in exercises
    }
    out = given.out or folder / "key"
    _write_pages(given, out, {f"key-{name}.html": html for name, html in pages.items()})
    _write_csv(out / "key.csv", rows(exercises, learners, given.class_code, marks))
    print(f"the key of {_count(learners)} is in {out}, as a table in key.csv; keep it from the learners")
    return 0


def _sheets(given: argparse.Namespace, folder: Path) -> int:
    from phasorkit.course.briefs import draw_brief
    from phasorkit.course.class_marks import FILE, read_marks, told
    from phasorkit.course.model import task
    from phasorkit.course.sheets import sheets_page

    marks, learners, root = read_marks(folder / FILE), _learners(given), course_folder()
    pages = {}
    for name in _exercises(given):
        briefs = [draw_brief(task(name), learner, given.class_code) for learner in learners]
        pages[f"{name}.html"] = sheets_page(marks.task(name), briefs, root=root, changed=told(task(name), marks))
    out = given.out or folder / "sheets"
    _write_pages(given, out, pages)
    print(f"the sheets of {_count(learners)} are in {out}: print them from any browser")
    return 0


def _marks(given: argparse.Namespace, folder: Path) -> int:
    from rich import box
    from rich.console import Console
    from rich.table import Table

    from phasorkit.course.class_marks import FILE, read_marks
    from phasorkit.course.marks_table import swallowed, table, template

    file, exercises = folder / FILE, _exercises(given)
    if given.write:
        if file.exists():
            raise ValueError(f"{file} is there already and was left as it is; edit it, or rename it first")
        folder.mkdir(parents=True, exist_ok=True)
        file.write_text(template(exercises), encoding="utf-8")
        print(f"wrote {file}: take the # away from what is to differ")
    marks = read_marks(file)
    rows = table(exercises, marks)
    if given.csv:
        _write_csv(given.csv, rows)
    shown = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in rows[0]:
        shown.add_column(heading, overflow="fold")
    for row in rows[1:]:
        shown.add_row(*row, end_section=row[1] == "all")
    console = Console(highlight=False, markup=False)
    console.print(shown)
    print(f"Changed by {file}." if marks.changes else f"The exercises' own marks: {file} changes none.")
    for line in swallowed(marks):
        print(f"Look at this: {line}.")
    return 0


def _count(learners: list[str]) -> str:
    return "1 learner" if len(learners) == 1 else f"{len(learners)} learners"


def _write_pages(given: argparse.Namespace, out: Path, pages: dict[str, str]) -> None:
    from phasorkit.course import pdf

    program = pdf.browser(given.browser) if given.pdf else ""
    out.mkdir(parents=True, exist_ok=True)
    for name, html in pages.items():
        (out / name).write_text(html, encoding="utf-8", newline="\n")
    if program:
        pdf.print_pages([out / name for name in pages], program=program)


def _write_csv(file: Path, rows: list[list[str]]) -> None:
    """A table for a spreadsheet: UTF-8 with mark; a cell never begins like a formula."""
    import csv

    from phasorkit.course.grading.report import inert

    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("w", encoding="utf-8-sig", newline="") as stream:
        csv.writer(stream, lineterminator="\r\n").writerows([inert(cell) for cell in row] for row in rows)
