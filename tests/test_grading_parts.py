"""Grading a class, the steps one by one: what a kernel hands over, records, files, the command."""

from __future__ import annotations

import json
import os
import sqlite3
from pathlib import Path

import numpy as np
import pytest
from grading_runs import ROOT
from nbformat import NotebookNode, v4
from nbgrader.utils import determine_grade

from phasorkit.cli import main
from phasorkit.course.grading import demo
from phasorkit.course.grading.command import _sentence
from phasorkit.course.grading.folder import ClassFolder, replace_file
from phasorkit.course.grading.insight import check_facts, slip_words
from phasorkit.course.grading.notebooks import check_name, printed, value
from phasorkit.course.grading.records import Record, Row
from phasorkit.course.grading.records import load as load_record
from phasorkit.course.grading.shown import KEPT_BYTES, Shown
from phasorkit.course.grading.worker import Handed, decode, write_mark
from phasorkit.course.model import Mark, task


def put(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"{}")


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
    """Of equals the first in the alphabet; a check of which no slip was recognised has none."""
    slips = ("b", "a", None, "b", "a", None)
    work = [Record(f"app-{n}", "bridge", "", (Row("power", 0, 3, slip),)) for n, slip in enumerate(slips)]
    facts = {count: check_facts(task("bridge"), work[:count])[4] for count in (0, 1, 6)}
    assert facts[6].name == "power"
    assert slip_words(facts[6], most=1) == ["2 of 6: a"]
    assert slip_words(facts[1]) == ["1 of 1: b"]
    assert slip_words(facts[0]) == []


def test_a_page_that_is_cleared_has_room_again() -> None:
    """An animation that clears what it showed keeps its last picture, however many came before."""
    shown = Shown()
    for number in range(20):
        shown.add({"shows": "clear_output", "content": {"wait": True}})
        data = {"image/png": "A" * (KEPT_BYTES // 4), "text/plain": f"picture {number}"}
        shown.add({"shows": "display_data", "content": {"data": data}})
    assert [o.data["text/plain"] for o in shown.outputs] == ["picture 19"]


def test_a_different_file_is_kept_before_it_is_replaced(tmp_path: Path) -> None:
    earlier = ClassFolder.at(tmp_path / "class")
    file = earlier.received("app-01", "bridge")
    for data in (b"first try", b"one", b"one"):
        earlier.write(file, data)
    assert not earlier.backups.exists()
    folder = ClassFolder.at(tmp_path / "class")
    folder.write(file, b"two")
    kept = folder.backups / file.relative_to(folder.path)
    assert (file.read_bytes(), kept.read_bytes()) == (b"two", b"one")
    assert ClassFolder.at(tmp_path / "class").stamp != folder.stamp
    assert [p.name for p in folder.path.rglob("*.part")] == []


def test_a_copy_of_the_gradebook_that_was_cut_short_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ended in the middle, as a kill may: nothing that looks like a copy is left."""
    folder = ClassFolder.at(tmp_path)
    with sqlite3.connect(folder.gradebook) as book:
        book.execute("create table marks (points real)")
    book.close()

    class Ended(BaseException):
        pass

    def ended(*_: object) -> None:
        raise Ended

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", ended)
        with pytest.raises(Ended):
            folder.keep_gradebook()
    assert list(tmp_path.rglob("backups/*/gradebook.db")) == []
    folder.keep_gradebook()
    assert len(list(tmp_path.rglob("backups/*/gradebook.db"))) == 1


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
        ([".", "--workers", "²"], "--workers must be a number from 1 to 61 or tcp://host:port, got '²'"),
        ([".", "--workers", "0"], "--workers must be a number from 1 to 61 or tcp://host:port, got '0'"),
        ([".", "--workers", "somewhere"], "or tcp://host:port, got 'somewhere'"),
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


def _held(monkeypatch: pytest.MonkeyPatch, times: int) -> list[Path]:
    """`os.replace` refuses so often, as on Windows while another program has the target open (error 5 or 32)."""
    tried: list[Path] = []
    move = os.replace

    def replace(source: Path, target: Path) -> None:
        tried.append(target)
        if len(tried) <= times:
            raise PermissionError(13, "Access is denied", str(source))
        move(source, target)

    monkeypatch.setattr("phasorkit.course.grading.folder.os.replace", replace)
    return tried


def test_a_file_that_a_scanner_holds_for_a_moment_is_replaced_after_it(tmp_path: Path, monkeypatch) -> None:
    tried = _held(monkeypatch, times=2)
    replace_file(tmp_path / "grades.csv", b"new")
    assert len(tried) == 3
    assert (tmp_path / "grades.csv").read_bytes() == b"new"


def test_a_table_that_is_open_in_a_spreadsheet_is_named_and_left_whole(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "grades.csv").write_bytes(b"old")
    _held(monkeypatch, times=1000)
    with pytest.raises(OSError, match="close it where it is open") as told:
        replace_file(tmp_path / "grades.csv", b"new")
    assert "nothing more can be written: Access is denied; close it where it is open" in _sentence(told.value)
    assert "grades.csv)" in _sentence(told.value)
    assert ".part" not in _sentence(told.value)
    assert [p.name for p in tmp_path.iterdir()] == ["grades.csv"]
    assert (tmp_path / "grades.csv").read_bytes() == b"old"
