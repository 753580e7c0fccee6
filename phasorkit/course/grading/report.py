"""Tables of a graded class: CSV for the spreadsheet, and on the terminal scores, commonest slips and open questions."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from phasorkit.course.grading.folder import ClassFolder
from phasorkit.course.grading.insight import KINDS, CheckFacts, check_facts, read_work, shown_points, slip_words
from phasorkit.course.grading.records import ClassResult, Record

SHOWN = 60
"""Learners listed on the terminal; the CSV has all."""


def write_tables(result: ClassResult, folder: ClassFolder, *, root: Path | None = None) -> None:
    """Write ``grades.csv``, ``marks.csv`` and ``checks.csv`` (UTF-8 with mark), and with a course ``report.html``.

    A row per learner and exercise, per answer, and per check. Rows and columns come in a fixed order; decimal points.
    A cell never begins like a spreadsheet formula. `root`: the course, which the page needs and the tables do not.
    """
    if root is not None:
        from phasorkit.course.grading.class_page import class_page

        folder.write(folder.path / "report.html", class_page(result, root=root).encode("utf-8", "replace"))
    for name, rows in (("grades.csv", grades(result)), ("marks.csv", marks(result)), ("checks.csv", checks(result))):
        text = io.StringIO(newline="")
        csv.writer(text, lineterminator="\r\n").writerows([inert(cell) for cell in row] for row in rows)
        folder.write(folder.path / name, text.getvalue().encode("utf-8-sig", "replace"))


def grades(result: ClassResult) -> list[list[str]]:
    """Header and one row per learner and exercise; what could not be graded has a status and no points.

    Points and per cent are after the late penalty, as in nbgrader's own export.
    """
    exercises = dict.fromkeys(record.exercise for record in result.records)
    checks = list(dict.fromkeys(check for exercise in exercises for check in result.checks(exercise)))
    rows = [["learner", "exercise", "status", "points", "maximum", "percent", *checks, "late_penalty", "remarks"]]
    for record in result.records:
        points = {row.check: f"{row.points:g}" for row in record.rows}
        percent = f"{100 * record.counted / record.maximum:.1f}" if record.maximum else ""
        remarks = "; ".join(flag.text for flag in record.flags)
        status = "look at" if record.flags else "graded"
        rows.append(
            [record.learner, record.exercise, status, f"{record.counted:g}", f"{record.maximum:g}", percent]
            + [points.get(check, "") for check in checks]
            + [f"{record.late_penalty:g}", remarks]
        )
    for problem in result.problems:
        remark = f"{problem.file}: {problem.reason}"
        rows.append([problem.learner, problem.exercise, "not graded", "", "", "", *([""] * len(checks)), "", remark])
    return rows


def marks(result: ClassResult) -> list[list[str]]:
    """Header and one row per learner, exercise and check."""
    rows = [["learner", "exercise", "check", "points", "maximum", "outcome", "slip", "followed", "by_hand", "feedback"]]
    for record in result.records:
        for row in record.rows:
            yes = ("yes" if row.followed else "", "yes" if row.by_hand else "")
            about = [row.check, f"{row.points:g}", f"{row.maximum:g}", row.outcome, row.slip or "", *yes, row.note]
            rows.append([record.learner, record.exercise, *about])
    return rows


def checks(result: ClassResult) -> list[list[str]]:
    """Header and one row per exercise and check: what became of the answers, and the slips with their counts."""
    rows = [["exercise", "check", "learners", *KINDS, "followed", "share_right", "tells_apart", "slips", "remark"]]
    for name in dict.fromkeys(record.exercise for record in result.records):
        records = read_work([record for record in result.records if record.exercise == name])
        for check in check_facts(result.marks.task(name), records):
            tells = "" if check.discrimination is None else f"{check.discrimination:.3f}"
            numbers = [str(check.learners), *map(str, check.counts), str(check.followed), f"{check.share_right:.3f}"]
            slips = "; ".join(slip_words(check, most=len(check.slips)))
            rows.append([name, check.name, *numbers, tells, slips, check.remark])
    return rows


def show(result: ClassResult, console: Console) -> None:
    """Print scores, slips, what needs a person, and where everything lies."""
    for exercise in dict.fromkeys(record.exercise for record in result.records):
        records = [record for record in result.records if record.exercise == exercise]
        console.print(_scores(exercise, result.checks(exercise), records))
        if len(records) > SHOWN:
            console.print(f"… and {len(records) - SHOWN} more: see grades.csv")
        console.print("→ follows from an earlier answer   – not answered   ✎ set by hand   ? look at", style="dim")
        console.print(_slips(check_facts(result.marks.task(exercise), read_work(records))))
    _show_questions(result, console)
    graded = len(result.records)
    old = f", {result.unchanged} of them unchanged since an earlier run" if result.unchanged else ""
    console.print(f"\n{graded} graded{old}; {len(result.problems)} not graded. {result.seconds:.0f} s.")
    for name, what in (
        ("report.html", "the class on one page: scores, commonest slips, whom to ask what"),
        ("grades.csv", "a row per learner, for a spreadsheet"),
        ("marks.csv", "a row per answer, with slip and feedback"),
        ("checks.csv", "a row per check, with how often it was right and what went wrong"),
        ("feedback", "a page per learner, to hand back"), ("gradebook.db", "nbgrader's gradebook"),
        ("received", "every file as it was handed in"), ("backups", "what earlier runs had written"),
    ):  # fmt: skip
        if (result.class_folder / name).exists():
            console.print(Text.assemble((f"  {result.class_folder / name}", "bold"), f"  {what}"), soft_wrap=True)


def _scores(exercise: str, checks: Sequence[str], records: Sequence[Record]) -> Table:
    table = Table(title=f"Exercise {exercise}", title_justify="left", box=SIMPLE_HEAD, padding=0, pad_edge=False)
    table.add_column("learner", no_wrap=True)
    maxima = {row.check: row.maximum for row in records[0].rows}
    for check in checks:
        table.add_column(f"{check}\n/{maxima[check]:g}", justify="right")
    table.add_column(f"sum\n/{records[0].maximum:g}", justify="right", style="bold")
    table.add_column("%", justify="right")
    for record in records[:SHOWN]:
        percent = f"{100 * record.counted / record.maximum:.0f}" if record.maximum else ""
        name = Text(record.learner + (" ?" if record.flags else ""))
        table.add_row(name, *(shown_points(row) for row in record.rows), _sum(record), percent)
    return table


def _sum(record: Record) -> str:
    return f"{record.counted:g}" + (f" (late: -{record.late_penalty:g})" if record.late_penalty else "")


def _slips(facts: Sequence[CheckFacts]) -> Table:
    table = Table(title="What went wrong most often", title_justify="left", box=SIMPLE_HEAD, padding=0, pad_edge=False)
    for column in ("check", "right", "commonest slip"):
        table.add_column(column)
    for check in facts:
        slip = slip_words(check, most=1)
        words = Text(slip[0]) if slip else Text("none recognised", style="dim")
        table.add_row(check.name, f"{check.counts[0]} of {check.learners}", words)
    return table


def _show_questions(result: ClassResult, console: Console) -> None:
    lines = [(problem.file, problem.reason, "not graded") for problem in result.problems]
    for record in result.records:
        lines += [(f"{record.learner} {record.exercise}", flag.text, "graded, look at it") for flag in record.flags]
    if not lines:
        return
    console.print("\nFor a person to look at", style="bold")
    for where, what, status in lines:
        console.print(Text.assemble(("  ", ""), (where, "bold"), f" ({status}): {what}"), soft_wrap=True)


_FORMULA = re.compile("(^|[;\t\r\n])( *)(?=[=+\\-@\uff1d\uff0b\uff0d\uff20])")
"""How a formula begins, also in full-width letters, at the front or behind what a spreadsheet may take for an end."""


def inert(cell: str) -> str:
    """A cell that a spreadsheet shows as text even when it, or a part of it, begins like a formula.

    Where the decimal sign is a comma, spreadsheets part a line at semicolons and mind no quotes.

    >>> inert("-1.5"), inert("=1+1"), inert("says 'a;=1+1'")
    ('-1.5', "'=1+1", "says 'a;'=1+1'")
    """
    if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", cell):
        return cell
    text = _FORMULA.sub(r"\1'\2", cell)
    return f"'{text}" if text.startswith(("\t", "\r")) else text
