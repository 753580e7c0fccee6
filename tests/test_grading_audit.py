"""A sceptical audit of class grading: layouts nobody announced, late work, ids, spreadsheets, text that takes time."""

from __future__ import annotations

import csv
import json
import shutil
import sys
import warnings
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from course_cases import right_answers
from grading_runs import COURSE_ID, ROOT
from nbgrader.api import Gradebook
from sandbox_runs import require_sandbox

from phasorkit.course.briefs import draw_brief
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.grading.archive import opened
from phasorkit.course.grading.demo import filled_in
from phasorkit.course.grading.demo_work import Pupil
from phasorkit.course.grading.handed_in import MAX_SOURCE, MAX_SOURCES, read_cells
from phasorkit.course.grading.intake import match, shown_path
from phasorkit.course.grading.kernel import Limits
from phasorkit.course.grading.own_code import handed_out, library_use, modules
from phasorkit.course.grading.questions import _about_numbers
from phasorkit.course.grading.records import ClassResult, Record, Row
from phasorkit.course.grading.report import inert
from phasorkit.course.grading.roundabout import UNNAMED
from phasorkit.course.grading.run import grade_folder
from phasorkit.course.grading.safe_text import FORMULAS, MAX_PAGE, Budget, markdown_to_html
from phasorkit.course.model import judge, tasks
from phasorkit.course.plain import PlainData, to_plain
from phasorkit.course.reading import read_number

EXERCISES = ["bridge", "double-bridge", "parts"]
RELEASE = (ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
CODE = "PUMP-24"


def put(folder: Path, *names: str) -> Path:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(name.encode())
    return folder


def found(folder: Path) -> list[tuple[str, str]]:
    return [(s.learner, s.exercise) for s in match(folder, EXERCISES)[0]]


# Layouts -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("names", "learners"),
    [
        (["A/app-01_bridge.ipynb", "A/app-02_parts.ipynb", "B/x.txt"], ["app-01", "app-02"]),
        (["bridge/app-01_bridge.ipynb", "bridge/app-02_bridge.ipynb", "parts/app-03_parts.ipynb"],
         ["app-01", "app-02", "app-03"]),
        (["bridge/app-01.ipynb", "bridge/app-02.ipynb", "bridge/app-03/bridge.ipynb", "x/parts.ipynb"],
         ["app-01", "app-02", "app-03", "x"]),
        (["elec_24_01_bridge.ipynb", "elec_24_02/bridge.ipynb"], ["elec_24_01", "elec_24_02"]),
        (["leekim_12345_67890_bridge.ipynb", "park_LATE_12346_67891_bridge-2.ipynb"], ["leekim", "park"]),
        (["77-12 - Kim Lee - Feb 3, 2025 1015 AM/bridge.ipynb", "a/desktop.ini"], ["Kim Lee"]),
        (["Lee, Kim/bridge.ipynb", "Kim O\u2019Lee_bridge.ipynb", "k+x@mail.example/bridge.ipynb"],
         ["Kim O'Lee", "Lee Kim", "k+x@mail.example"]),
        (["प्रिया/bridge.ipynb", "ณัฐพล_bridge.ipynb", "דָּוִד/bridge.ipynb"], ["प्रिया", "ณัฐพล", "דָּוִד"]),
    ],
    ids=range(8),
)  # fmt: skip
def test_layouts_and_names_that_classes_really_have(tmp_path: Path, names: list[str], learners: list[str]) -> None:
    """Common practice; each of these went to a wrong learner or to nobody before."""
    assert sorted(learner for learner, _ in found(put(tmp_path, *names))) == sorted(learners)


def test_of_attempts_that_name_their_time_the_last_one_counts(tmp_path: Path) -> None:
    days = [f"Task 3_leekim_attempt_2025-02-{day}-10-15-00_bridge.ipynb" for day in ("03", "11", "04")]
    submissions, refused = match(put(tmp_path, *days), EXERCISES)
    assert [(s.learner, s.path.name) for s in submissions] == [("leekim", days[1])]
    assert [r.reason for r in refused] == ["is an earlier attempt; the last one was taken"] * 2


def test_two_people_of_one_name_are_not_merged_even_with_the_same_file(tmp_path: Path) -> None:
    for number in (1234, 7777):
        put(tmp_path, f"Kim Lee_{number}_file_/bridge.ipynb")
        (tmp_path / f"Kim Lee_{number}_file_" / "bridge.ipynb").write_bytes(b"{}")
    submissions, refused = match(tmp_path, EXERCISES)
    assert submissions == []
    assert "if these are two people, rename theirs to Kim Lee 1234" in refused[0].reason


@pytest.mark.skipif(sys.platform == "win32", reason="no such names there")
def test_a_files_name_cannot_act_on_the_terminal(tmp_path: Path) -> None:
    put(tmp_path, "a\x1b[2J_bridge.ipynb", "x\u202egnp_bridge.ipynb")
    submissions, refused = match(tmp_path, EXERCISES)
    assert submissions == []
    shown = " ".join(shown_path(item.path, tmp_path) + item.reason for item in refused)
    assert len(refused) == 2
    assert shown.isprintable()


@pytest.mark.parametrize(
    ("bad", "reason"),
    [
        ("app-01/bridge.ipynb/x.ipynb", "lies where the archive has a file already"),
        ("class\\", ""),
        ("Thumbs.db", ""),
    ],
)
def test_one_odd_member_does_not_spoil_an_archive(tmp_path: Path, bad: str, reason: str) -> None:
    with zipfile.ZipFile(tmp_path / "c.zip", "w") as archive:
        for name in ("app-01/bridge.ipynb", bad, "app-02/bridge.ipynb"):
            member = zipfile.ZipInfo("x")
            member.filename = name  # backslashes stay as they are
            archive.writestr(member, b"{}")
    with opened(tmp_path / "c.zip", EXERCISES) as (folder, left_out):
        assert found(folder) == [("app-01", "bridge"), ("app-02", "bridge")]
        assert [item.reason.startswith(reason) for item in left_out] == [True] * bool(reason)


@pytest.mark.parametrize("packed", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA, zipfile.ZIP_DEFLATED])
def test_a_damaged_member_costs_itself_only(tmp_path: Path, packed: int) -> None:
    with zipfile.ZipFile(tmp_path / "c.zip", "w") as archive:
        archive.writestr("app-01/bridge.ipynb", bytes(range(256)) * 20, packed)
        archive.writestr("app-02/bridge.ipynb", b"{}")
    raw = bytearray((tmp_path / "c.zip").read_bytes())
    start = raw.index(b"bridge.ipynb") + len(b"bridge.ipynb")
    raw[start + 12 : start + 40] = bytes(b ^ 0x5A for b in raw[start + 12 : start + 40])
    (tmp_path / "c.zip").write_bytes(raw)
    with opened(tmp_path / "c.zip", EXERCISES) as (folder, left_out):
        assert found(folder) == [("app-02", "bridge")]
        assert [item.reason.startswith("is damaged in the archive") for item in left_out] == [True]


# Text that takes time or room ---------------------------------------------------------------------------------------


def test_cells_with_more_text_than_anybody_writes_are_emptied_and_the_others_stay() -> None:
    texts = ["x = 1", "y" * (MAX_SOURCE + 1), *["z" * MAX_SOURCE] * 6, "w = 2"]
    cells = [{"cell_type": "code", "source": text} for text in texts]
    read = read_cells(json.dumps({"nbformat": 4, "cells": cells}).encode())
    assert [len(c.source) > 100 for c in read.cells] == [False, False, *[True] * 4, False, False, False]
    assert (read.cells[0].source, read.cells[-1].source) == ("x = 1", "w = 2")
    assert read.remarks == ("3 of its cells had more text than is read, and were emptied",)
    assert sum(len(c.source) for c in read.cells) <= MAX_SOURCES


def test_a_page_draws_so_many_formulas_and_shows_the_source_of_the_others() -> None:
    budget = Budget()
    pages = [markdown_to_html(" ".join(f"$x^{{{n}}}$" for n in range(300)), budget=budget) for _ in range(2)]
    assert 0 < "".join(pages).count("<img") < FORMULAS / 50
    assert pages[1].count("<code>") == 300
    budget = Budget()
    laid_out = [markdown_to_html("**a** " * 3000, budget=budget).count("<strong>") for _ in range(MAX_PAGE // 17_000)]
    assert (laid_out[0], laid_out[-1]) == (3000, 3000 if budget.text >= 0 else 0)
    assert markdown_to_html("**a**", budget=Budget(text=0)).startswith("<pre>")


# Spreadsheets, numbers ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "cell", ["=1+1", "+1+1", "-1+1", "@a", "\t=1", "\uff1d1+1", "says 'a;=1+1'", "a\n=1", "a; =1", "x;-cmd"]
)
def test_nothing_in_a_table_is_a_formula_however_it_is_split(cell: str) -> None:
    """Spreadsheets with a decimal comma split at semicolons; full-width signs count in some (common practice)."""
    for part in inert(cell).replace("\t", ";").replace("\n", ";").split(";"):
        assert part.lstrip()[:1] not in ("=", "+", "-", "@", "\uff1d")
    assert [inert(number) for number in ("-1.5", "0", "12.25")] == ["-1.5", "0", "12.25"]


def test_exact_numbers_are_numbers_and_what_is_copied_along_is_not_seen() -> None:
    assert [to_plain(x) for x in (Decimal("1.5"), Fraction(3, 2))] == [1.5, 1.5]
    assert to_plain({"a": Decimal("NaN")})["a"] != to_plain({"a": Decimal("NaN")})["a"]  # type: ignore[index,call-overload]
    assert to_plain(type("D", (Decimal,), {})("1")) == {"unreadable": "D"}
    assert to_plain(Fraction(10**400)) == {"unreadable": "Fraction"}
    assert read_number("12.3\u200b kΩ\ufeff", "Ω") == 12_300


# A class ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Graded:
    """The class after grading: result and tables."""

    inbox: Path
    course: Path
    folder: Path
    result: ClassResult

    def row(self, learner: str) -> dict[str, str]:
        with (self.folder / "grades.csv").open(encoding="utf-8-sig", newline="") as stream:
            return next(row for row in csv.DictReader(stream) if row["learner"] == learner)

    def record(self, learner: str) -> Record:
        return next(r for r in self.result.records if r.learner == learner)

    def book(self) -> Gradebook:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return Gradebook(f"sqlite:///{(self.folder / 'gradebook.db').as_posix()}", COURSE_ID)


def handed_in(inbox: Path, learner: str, change: Any = None, **answers: str) -> None:
    document = json.loads(filled_in(RELEASE, Pupil(learner, answers), CODE))
    if change:
        change(document["cells"])
    folder = inbox / learner / "bridge"
    folder.mkdir(parents=True)
    (folder / "bridge.ipynb").write_text(json.dumps(document), encoding="utf-8")
    (folder / "timestamp.txt").write_text("2025-02-03 10:15:00 UTC", encoding="utf-8")


def as_another(cells: list[dict[str, Any]]) -> None:
    """All but the last answer are another learner's work on that one's numbers; then it begins as itself."""
    theirs = json.loads(filled_in(RELEASE, Pupil("good-1"), CODE))["cells"]
    for cell, other in zip(cells, theirs, strict=True):
        cell["source"] = other["source"]
    place = next(
        n for n, c in enumerate(cells) if c["metadata"].get("nbgrader", {}).get("grade_id") == "residual-answer"
    )
    again = f'brief = begin("bridge", learner="thief", class_code="{CODE}")'
    cells.insert(place, {"cell_type": "code", "metadata": {}, "source": again, "outputs": [], "execution_count": None})


def run(inbox: Path, course: Path, folder: Path) -> ClassResult:
    return grade_folder(inbox, root=course, class_folder=folder, class_code=CODE, limits=Limits(10, 40))


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Graded:
    """A course whose configuration takes all marks from late work, at a place with spaces and accents."""
    require_sandbox()
    base = tmp_path_factory.mktemp("à la classe")
    course, inbox = base / "course", base / "in box"
    for name in ("solutions", "exercises"):
        shutil.copytree(ROOT / name / "bridge", course / name / "bridge")
    config = (ROOT / "nbgrader_config.py").read_text(encoding="utf-8")
    (course / "nbgrader_config.py").write_text(config + '\nc.LateSubmissionPlugin.penalty_method = "zero"\n', "utf-8")
    handed_in(inbox, "good-1")
    handed_in(inbox, "late", power="power = 1")
    (inbox / "late" / "bridge" / "timestamp.txt").write_text("2025-03-02 12:00:00 UTC", encoding="utf-8")
    handed_in(inbox, "thief", as_another)
    exact = "from decimal import Decimal\nresistance = Decimal(repr(reactance / 3 ** 0.5))"
    handed_in(inbox, "exact", resistance=exact, preferred=None, power=None, residual=None)  # type: ignore[arg-type]  # fmt: skip
    folder = base / "classe d'été"
    graded = Graded(inbox, course, folder, run(inbox, course, folder))
    with graded.book() as book:
        book.update_or_create_assignment("bridge", duedate="2025-02-28 12:00:00 UTC")
    (inbox / "late" / "bridge" / "bridge.ipynb").write_bytes(
        (inbox / "late" / "bridge" / "bridge.ipynb").read_bytes() + b"\n"
    )
    return Graded(inbox, course, folder, run(inbox, course, folder))


def test_a_late_penalty_counts_in_our_tables_as_in_nbgraders_export(graded: Graded) -> None:
    """nbgrader 0.9 exports max(0, score - penalty) (its export.py); its penalty method "zero" takes all."""
    with graded.book() as book:
        submission = book.find_submission("bridge", "late")
        exported = max(0.0, submission.score - submission.late_submission_penalty)
    row = graded.row("late")
    assert (exported, submission.late_submission_penalty) == (0.0, 17.0)
    assert (row["points"], row["late_penalty"], row["percent"], row["power"]) == ("0", "17", "0.0", "0")
    assert (graded.row("good-1")["points"], graded.row("good-1")["late_penalty"]) == ("20", "0")
    assert "<strong>0</strong> (late: −17)" in (graded.folder / "report.html").read_text(encoding="utf-8")


def test_whoever_begins_as_another_and_then_as_oneself_is_asked(graded: Graded) -> None:
    record = graded.record("thief")
    assert [row.points for row in record.rows] == [3, 3, 2, 5, 3, 0]
    assert [flag.text for flag in record.flags] == [
        "the begin cell says learner 'good-1', the file is from 'thief'",
        "it begins 2 times, each time with another id or class code",
    ]
    assert graded.record("good-1").flags == ()


def test_a_decimal_is_marked_like_the_number_it_is(graded: Graded) -> None:
    assert [row.points for row in graded.record("exact").rows][:2] == [3, 3]


def test_comments_and_extra_credit_given_in_formgrader_stand_and_reach_the_page(graded: Graded, tmp_path: Path) -> None:
    folder = tmp_path / "class"
    shutil.copytree(graded.folder, folder)
    mine = Graded(graded.inbox, graded.course, folder, graded.result)
    with mine.book() as book:
        book.find_grade("power-check", "bridge", "bridge", "good-1").extra_credit = 1.5
        book.find_comment("power-answer", "bridge", "bridge", "exact").manual_comment = "Come & see me"
        book.db.commit()
    result = run(graded.inbox, graded.course, folder)
    assert (result.unchanged, mine.row("good-1")["points"]) == (4, "21.5")
    assert [r.learner for r in result.records if any(row.by_hand for row in r.rows)] == ["good-1"]
    page = (folder / "feedback" / "exact" / "bridge" / "bridge.html").read_text(encoding="utf-8")
    assert "Come &amp; see me" in page or "Come & see me" in page


def test_a_negative_mark_set_by_hand_is_drawn_at_the_left_end() -> None:
    from phasorkit.course.grading.figures import scores_figure

    record = Record("a", "bridge", "", (Row("x", -4.0, 20.0, by_hand=True),))
    assert "1 with 0 to 10 %" in scores_figure([record]).text


# Questions to a person ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "named"),
    [
        ("__import__('phasor' + 'kit.indicators')", {"phasorkit.indicators"}),
        ("import importlib as i\ni.import_module(f'phasor{\"kit\"}.indicators')", {"phasorkit.indicators"}),
        ("exec('from phasor' + 'kit.indicators import DividerBridge')", {"phasorkit.indicators"}),
        ("begin.__globals__['task']", {UNNAMED}),
        ("getattr(check, '__glo' + 'bals__')", {UNNAMED}),
        ("import sys\nsys.modules[name]", {UNNAMED}),
        ("__import__(name)", {UNNAMED}),
        ("exec(bytes.fromhex('00'))", {UNNAMED}),
        ("import importlib\nimportlib.import_module('math')\ngetattr(brief, name)\neval('1 + 1')", set()),
        ("x = " + " + ".join(["'x'"] * 900), set()),
    ],
    ids=range(10),
)
def test_the_library_is_seen_behind_texts_put_together(code: str, named: set[str]) -> None:
    assert modules(code) == named


def test_the_capstone_may_use_the_library_and_exercises_by_hand_ask() -> None:
    """The capstone says "as you like: by hand, with Python, at the design desk"; bridge says "By hand"."""
    use = {"x": "from phasorkit.indicators import DividerBridge"}
    assert library_use(use, handed_out((ROOT / "exercises" / "capstone" / "capstone.ipynb").read_bytes())) == []
    assert library_use(use, handed_out(RELEASE)) == [("x", "phasorkit.indicators")]
    hand = [f.parent.name for f in (ROOT / "exercises").glob("*/*.ipynb") if handed_out(f.read_bytes())]
    assert sorted(hand) == sorted(set(tasks()) - {"capstone"})


def worked(name: str, learner: str, answers: Mapping[str, PlainData]) -> Record:
    """The record of a learner with these answers, marked one after the other."""
    exercise, brief = tasks()[name], draw_brief(tasks()[name], learner, CODE)
    rows, given = [], dict[str, PlainData]()
    for check in exercise.checks:
        given[check.name] = answers[check.name]
        mark = judge(exercise, brief, check.name, given)
        rows.append(Row(check.name, mark.points, mark.maximum, outcome=mark.outcome, followed=mark.followed))
    return Record(learner, name, "", tuple(rows), begun=(learner, CODE), answers=answers)


def asked(name: str, answers: Mapping[str, PlainData], count: int) -> list[str]:
    """What is asked about the first of a class when it gives these answers and the others the right ones."""
    exercise = tasks()[name]
    others = [f"app-{n:02}" for n in range(1, count)]
    class_ = [worked(name, o, right_answers(exercise, draw_brief(exercise, o, CODE))) for o in others]
    found = _about_numbers(exercise, [worked(name, "first", answers), *class_])
    assert {q.learner for q in found} <= {"first"}
    return [q.text for q in found]


@pytest.mark.parametrize(("name", "count"), [("shifter", 12), ("shifter", 2), ("bridge", 3)])
def test_another_learners_numbers_are_asked_about_in_a_small_class(name: str, count: int) -> None:
    """Also in a class of two, where the class itself cannot tell what fits by chance."""
    theirs = right_answers(tasks()[name], draw_brief(tasks()[name], "app-01", CODE))
    assert [text for text in asked(name, theirs, count) if text.endswith("right for those of app-01")]


@pytest.mark.parametrize("name", ["margins", "two-lamp", "wiring"])
def test_wrong_choices_that_fit_many_are_no_reason_to_ask(name: str) -> None:
    """Two wrong words out of a few are right for somebody in every class: that says nothing of anybody."""
    exercise = tasks()[name]
    own = draw_brief(exercise, "first", CODE)
    answers = dict(right_answers(exercise, own))
    fitting = []
    for check in exercise.checks:
        for n in range(1, 60):
            theirs = right_answers(exercise, draw_brief(exercise, f"app-{n:02}", CODE))[check.name]
            wrong = judge(exercise, own, check.name, {check.name: theirs}).outcome == "wrong"
            if wrong and isinstance(check, ChoiceCheck):
                answers[check.name] = theirs
                fitting.append(check.name)
                break
    assert len(fitting) >= 2
    assert asked(name, answers, 60) == []
