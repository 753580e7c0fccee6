"""Grading a class, the steps one by one: whose work is which file, the rebuilt notebook, what a kernel hands over."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from grading_runs import ROOT
from nbformat import NotebookNode, v4
from nbgrader.utils import determine_grade

from phasorkit.cli import main
from phasorkit.course.grading import demo
from phasorkit.course.grading.folder import ClassFolder
from phasorkit.course.grading.gradebook import check_name
from phasorkit.course.grading.intake import Cell, IntakeError, match, parse_cells, read_cells
from phasorkit.course.grading.notebooks import dump, grade_id, load, printed, value
from phasorkit.course.grading.rebuild import Master, rebuild
from phasorkit.course.grading.records import Record, Row
from phasorkit.course.grading.records import load as load_record
from phasorkit.course.grading.report import commonest_slip
from phasorkit.course.grading.worker import Handed, decode, write_mark
from phasorkit.course.model import Mark

EXERCISES = ("bridge", "double-bridge")


def put(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"{}")


# Whose work is which file ------------------------------------------------------------------------------------------


def test_the_three_layouts_are_matched_mixed(tmp_path: Path) -> None:
    """Layouts as nbgrader's collecting step and instructors' folders have them (common practice)."""
    put(tmp_path, "app-01/bridge.ipynb", "app-02/bridge/bridge.ipynb", "app-03_bridge.ipynb")
    put(tmp_path, "app_04_double-bridge.ipynb", "app-02/bridge/timestamp.txt", ".hidden/bridge.ipynb")
    submissions, refused = match(tmp_path, EXERCISES)
    found = [(s.learner, s.exercise, s.timestamp is not None) for s in submissions]
    assert found == [
        ("app-01", "bridge", False),
        ("app-02", "bridge", True),
        ("app-03", "bridge", False),
        ("app_04", "double-bridge", False),
    ]
    assert refused == []


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("app-01/other.ipynb", "not an exercise of this course (bridge, double-bridge)"),
        ("app-01/other/other.ipynb", "not an exercise of this course"),
        ("app-01/notes.txt", "holds no notebook of this course"),
        ("bridge.ipynb", "not named learner_exercise.ipynb"),
        ("class.zip", "zip file must be unpacked"),
        ("=cmd_bridge.ipynb", "no usable learner id"),
        ("app-01./bridge.ipynb", "no usable learner id"),
        ("app-01/bridge/other.ipynb", "holds no bridge.ipynb"),
    ],
)
def test_what_cannot_be_matched_is_named_with_the_reason(tmp_path: Path, name: str, reason: str) -> None:
    put(tmp_path, name)
    submissions, refused = match(tmp_path, EXERCISES)
    assert submissions == []
    assert [reason in item.reason for item in refused] == [True]


def test_two_files_for_the_same_work_are_not_guessed(tmp_path: Path) -> None:
    put(tmp_path, "app-01/bridge.ipynb", "App-01_bridge.ipynb", "app-02/bridge.ipynb")
    submissions, refused = match(tmp_path, EXERCISES)
    assert [s.learner for s in submissions] == ["app-02"]
    assert len(refused) == 1
    assert "App-01_bridge.ipynb" in refused[0].reason
    assert "app-01/bridge.ipynb" in refused[0].reason.replace("\\", "/")


def test_links_are_not_followed(tmp_path: Path) -> None:
    secret = tmp_path / "secret.ipynb"
    put(tmp_path, "secret.ipynb", "inbox/app-02/bridge.ipynb")
    (tmp_path / "inbox" / "app-01_bridge.ipynb").symlink_to(secret)
    (tmp_path / "inbox" / "app-03").symlink_to(tmp_path / "inbox" / "app-02")
    (tmp_path / "inbox" / "app-02" / "double-bridge.ipynb").symlink_to(secret)
    submissions, refused = match(tmp_path / "inbox", EXERCISES)
    assert [s.path.name for s in submissions] == ["bridge.ipynb"]
    assert [r.reason for r in refused] == ["is a link, so it was not followed"] * 3
    with pytest.raises(IntakeError, match="link"):
        read_cells(tmp_path / "inbox" / "app-01_bridge.ipynb")


@pytest.mark.parametrize(
    ("raw", "reason"),
    [
        (b"", "is empty"),
        (b" \n", "is empty"),
        (b"<html>", "not a notebook"),
        (b"PK\x03\x04\xff\xfe", "not text in UTF-8"),
        (b'{"nbformat": 4, "cells": [', "cut short"),
        (b'{"a":' * 100_000, "damaged"),
        (b"[1]", "no notebook"),
        (b'{"nbformat": 3, "worksheets": []}', "format found: 3"),
        (b'{"nbformat": 4}', "format found: 4"),
        (b'{"nbformat": 4, "cells": [1]}', "number 1"),
        (b'{"nbformat": 4, "cells": [{"cell_type": "code", "source": 7}]}', "without text"),
    ],
)
def test_a_file_that_is_no_notebook_gets_a_reason(raw: bytes, reason: str) -> None:
    with pytest.raises(IntakeError, match=reason):
        parse_cells(raw)


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    file = tmp_path / "bridge.ipynb"
    with file.open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(IntakeError, match="50 MB"):
        read_cells(file)


def test_strange_metadata_is_no_obstacle() -> None:
    """A byte order mark, metadata of a wrong kind, a grade id that is no text: the cells are still read."""
    cells = [
        {"cell_type": "code", "source": "x", "metadata": m}
        for m in (None, [], {"nbgrader": 3}, {"nbgrader": {"grade_id": 5}})
    ]
    raw = b"\xef\xbb\xbf" + json.dumps({"nbformat": 4, "cells": cells}).encode()
    assert parse_cells(raw) == [Cell("code", "x", None)] * 4


# The learner's work on the released exercise -----------------------------------------------------------------------


def released(kind: str, name: str, source: str) -> NotebookNode:
    make = v4.new_code_cell if kind == "code" else v4.new_markdown_cell
    return make(source, metadata={"nbgrader": {"grade_id": name, "locked": not name.endswith("answer")}})


@pytest.fixture
def master() -> Master:
    cells = [
        released("markdown", "text", "Work."),
        released("code", "a-answer", "a = None"),
        released("code", "a-check", 'check("a")'),
        released("code", "b-check", 'check("b")'),
    ]
    locked = {"text": "Work.", "a-check": 'check("a")', "b-check": 'check("b")'}
    return Master("x", dump(v4.new_notebook(cells=cells)), locked, {"a-check": "a", "b-check": "b"})


def rebuilt(cells: Sequence[Cell], master: Master) -> tuple[list[tuple[str, str, str]], list[str]]:
    notebook, flags = rebuild(cells, master)
    return [(c.cell_type, grade_id(c), c.source) for c in load(notebook).cells], [f.kind for f in flags]


HONEST = [
    Cell("markdown", "Work.", "text"),
    Cell("code", "a = 2", "a-answer"),
    Cell("code", "note = 1", None),
    Cell("code", 'check("a")', "a-check"),
    Cell("code", 'check("b")', "b-check"),
]


def test_honest_work_comes_through_unchanged(master: Master) -> None:
    cells, flags = rebuilt(HONEST, master)
    assert [(c[0], c[2]) for c in cells] == [(c.cell_type, c.source) for c in HONEST]
    assert flags == []


def test_an_edited_check_cell_is_the_released_one_again(master: Master) -> None:
    edited = [*HONEST[:3], Cell("code", "3.0", "a-check"), Cell("markdown", "gone", "b-check")]
    cells, flags = rebuilt(edited, master)
    assert cells[3:] == [("code", "a-check", 'check("a")'), ("code", "b-check", 'check("b")')]
    assert flags == ["edited", "retyped", "edited"]


def test_missing_neighbours_come_back_in_place(master: Master) -> None:
    """nbgrader's own way to add missing cells fails when two neighbours are missing."""
    cells, flags = rebuilt(HONEST[1:3], master)
    assert [c[1] for c in cells] == ["text", "a-answer", "a-check", "b-check", ""]
    assert flags == ["missing"] * 3


def test_a_missing_answer_cell_is_not_replaced_by_its_stub(master: Master) -> None:
    """The stub ``a = None`` would undo an answer given in another cell."""
    cells, flags = rebuilt([HONEST[0], Cell("code", "a = 2", None), *HONEST[3:]], master)
    assert ("code", "a-answer", "a = None") not in cells
    assert flags == ["missing"]


def test_of_two_cells_with_one_name_the_last_counts(master: Master) -> None:
    cells, flags = rebuilt([Cell("code", "a = 1", "a-answer"), *HONEST], master)
    assert cells[0] == ("code", "", "a = 1")
    assert ("code", "a-answer", "a = 2") in cells
    assert flags == ["doubled"]


# What a kernel hands over, and what nbgrader makes of it -----------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "",
        "<A object>",
        "1 + 1",
        "'not json'",
        "'[]'",
        "'{}'",
        "b'{}'",
        "'" + "[" * 100_000 + "'",
        "(" * 5000,
        "'" + "x" * 2_000_000 + "'",
    ],
    ids=range(10),
)
def test_what_is_not_of_the_agreed_form_is_no_answer(text: str) -> None:
    assert decode(text) == Handed()


def test_an_answer_is_made_plain_again_here() -> None:
    """The cap on size holds even if the learner has replaced the function that keeps it."""
    handed = decode(repr(json.dumps({"begun": ["bridge", "app-01", ""], "kept": 0, "answer": [0.0] * 5000})))
    assert handed.answered
    assert handed.answer == {"unreadable": "list"}


def check_cell(points: float) -> NotebookNode:
    return v4.new_code_cell(
        'check("a")', metadata={"nbgrader": {"grade": True, "solution": False, "grade_id": "a", "points": points}}
    )


@pytest.mark.parametrize("points", [0.0, 1.5, 3.0, np.float64(1.5), 2])
def test_nbgrader_reads_the_points_that_were_given(points: float) -> None:
    cell = check_cell(3)
    write_mark(cell, "a", Mark(points, 3.0, "Text."))
    assert determine_grade(cell) == (float(points), 3.0)
    assert cell.outputs[1]["data"]["text/plain"] == repr(float(points))


@pytest.mark.parametrize("points", [float("nan"), -1.0, 3.5, float("inf")])
def test_points_out_of_range_never_become_full_marks(points: float) -> None:
    cell = check_cell(3)
    write_mark(cell, "a", Mark(points, 3.0, "Text."))
    assert determine_grade(cell) == (0.0, 3.0)


@pytest.mark.parametrize("text", ["np.float64(0.0)", "nan", "-1.0", "'nothing'", "<b>0</b>"])
def test_why_the_value_must_be_a_plain_float(text: str) -> None:
    """nbgrader 0.9 gives full (or no sensible) marks to these values."""
    cell = check_cell(3)
    cell.outputs = [printed("Text.\n"), value(text)]
    points, _ = determine_grade(cell)
    assert points == 3.0 or points != points


def test_the_name_of_a_check_is_read_from_its_released_cell() -> None:
    assert check_name('# what is checked\ncheck("power")') == "power"
    assert [check_name(s) for s in ("", "check(name)", 'check("a")\ncheck("b")', 'other("a")', "check(")] == [""] * 5


# Records, tables, files --------------------------------------------------------------------------------------------


def test_a_record_survives_its_file(tmp_path: Path) -> None:
    record = Record(
        "app-01", "bridge", "abc", (Row("power", 1.5, 3.0, "peak for rms", True, "part", "Noch: Ω"),), (), 0.5
    )
    file = tmp_path / "r.json"
    file.write_bytes(record.to_json())
    assert load_record(file) == record
    file.write_bytes(record.to_json()[:-20])
    assert load_record(file) is None
    assert load_record(tmp_path / "none.json") is None


def test_the_commonest_slip_is_counted() -> None:
    rows = [Row("power", 0, 3, slip) for slip in ("b", "a", None, "b", "a", None)]
    assert commonest_slip(rows) == ("a", 2)
    assert commonest_slip(rows[2:3]) is None


def test_a_different_file_is_kept_before_it_is_replaced(tmp_path: Path) -> None:
    folder = ClassFolder.at(tmp_path / "class")
    file = folder.received("app-01", "bridge")
    for data in (b"one", b"one", b"two"):
        folder.write(file, data)
    kept = folder.backups / file.relative_to(folder.path)
    assert (file.read_bytes(), kept.read_bytes()) == (b"two", b"one")
    assert ClassFolder.at(tmp_path / "class").stamp != folder.stamp
    assert [p.name for p in folder.path.rglob("*.part")] == []


def test_a_gradebook_is_copied_sound_and_once(tmp_path: Path) -> None:
    folder = ClassFolder.at(tmp_path)
    with sqlite3.connect(folder.gradebook) as book:
        book.execute("create table marks (points real)")
        book.execute("insert into marks values (7)")
    book.close()
    folder.keep_gradebook()
    copy = sqlite3.connect(folder.backups / "gradebook.db")
    assert copy.execute("select points from marks").fetchall() == [(7.0,)]
    copy.close()


# The command -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        ([], "either a folder of submissions or --demo"),
        (["x", "--demo"], "either a folder of submissions or --demo"),
        (["no-such-folder", "--trust-learners"], "there is no folder no-such-folder"),
        (["."], "If you trust the learners, say so with --trust-learners"),
        ([".", "--trust-learners", "--cell-seconds", "0"], "at least 1"),
    ],
)
def test_bad_use_is_one_clear_line_and_exit_2(
    arguments: list[str], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["grade", *arguments]) == 2
    said = capsys.readouterr().err
    assert line in said
    assert said.count("\n") == 1


def test_the_course_and_the_class_folder_are_no_inbox(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`grade .` in the course would take solutions/ for a learner; results must not land among submissions."""
    put(tmp_path, "class/submitted/app-01/bridge.ipynb")
    submitted = tmp_path / "class" / "submitted"
    for inbox, folder in ((ROOT, tmp_path / "new"), (submitted, tmp_path / "class")):
        assert main(["grade", str(inbox), "--trust-learners", "--class-folder", str(folder)]) == 2
        assert "nothing but submissions" in capsys.readouterr().err
    assert [p.name for p in (tmp_path / "class").iterdir()] == ["submitted"]


def test_a_class_folder_that_nbgrader_cannot_search_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, "inbox/app-01/bridge.ipynb")
    arguments = ["grade", str(tmp_path / "inbox"), "--trust-learners", "--class-folder", str(tmp_path / "class[1]")]
    assert main(arguments) == 2
    assert "no * ? [ in it" in capsys.readouterr().err


def test_the_demo_does_not_go_into_a_real_class(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path, "gradebook.db")
    assert main(["grade", "--demo", "--class-folder", str(tmp_path)]) == 2
    assert "a folder of its own" in capsys.readouterr().err
    with pytest.raises(FileExistsError):
        demo.demo_inbox(tmp_path)


def test_a_foreign_gradebook_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path, "inbox/app-01/bridge.ipynb", "class/gradebook.db")
    (tmp_path / "class" / "gradebook.db").write_bytes(b"not a database, but somebody's work" * 100)
    before = (tmp_path / "class" / "gradebook.db").read_bytes()
    arguments = ["grade", str(tmp_path / "inbox"), "--trust-learners", "--class-folder", str(tmp_path / "class")]
    assert main(arguments) == 2
    assert "gradebook" in capsys.readouterr().err
    assert (tmp_path / "class" / "gradebook.db").read_bytes() == before
