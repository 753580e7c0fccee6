"""A class of hostile and broken work among honest work, graded by the command in the sandbox.

Each case has its right score or a clear reason, the others are unharmed, nothing outside is touched, and it ends.
"""

from __future__ import annotations

import csv
import hashlib
import json
import os
import socket
import sys
import threading
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from cases import ALL, CELL_SECONDS, CHECKS, CODE, TOTAL_SECONDS, Case, Places, honest, put
from code_cases import CODE_CASES
from file_cases import FILE_CASES
from formgrader import copy_course
from grading_runs import COURSE_ID, ROOT, Command, automatic_scores, run
from nbgrader.api import Gradebook
from sandbox_runs import require_sandbox

from phasorkit.course.grading.converting import nbgrader_at_work

CASES = (*CODE_CASES, *FILE_CASES)
GOOD = tuple(f"good-{n}" for n in range(1, 5))
TABLE = Path(__file__).with_name("CASES.md")
MARK = "LEAKED"


@dataclass(frozen=True)
class Graded:
    """The hostile class after grading: places, what the command said, records and lines by learner."""

    places: Places
    command: Command
    records: dict[str, dict[str, Any]]
    grades: list[dict[str, str]]
    calls: list[object]
    before: dict[str, str]

    def told(self, case: Case) -> str:
        """All that the instructor is told of a case."""
        flags = self.records.get(case.name, {}).get("flags", [])
        rows = [
            row["remarks"]
            for row in self.grades
            if case.name in (row["learner"], row["remarks"].lstrip("'").split("_")[0])
        ]
        return "; ".join([flag["text"] for flag in flags] or rows)


def fingerprints(*folders: Path) -> dict[str, str]:
    """What lies below the folders, by path: digest, or where a link points."""
    found = {}
    for folder in folders:
        for path in sorted(folder.rglob("*")):
            if path.is_symlink():
                found[str(path)] = os.readlink(path)
            elif path.is_file() and "__pycache__" not in path.parts:
                found[str(path)] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def make_inbox(places: Places, chosen: tuple[Case, ...]) -> None:
    """The class hands in: the cases, honest work before and after each dozen of them."""
    release = (places.course / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
    places.inbox.mkdir()
    for case in chosen:
        case.write(places.inbox, release, places)
    for learner in GOOD:
        put(places.inbox / f"{learner}_bridge.ipynb", json.dumps(honest(release, learner)).encode())


def due_at(class_folder: Path) -> None:
    """A gradebook as an instructor prepares it: the exercise was due on the 28th of February."""
    class_folder.mkdir()
    with warnings.catch_warnings(), nbgrader_at_work():
        warnings.simplefilter("ignore")
        with Gradebook(f"sqlite:///{(class_folder / 'gradebook.db').as_posix()}", COURSE_ID) as book:
            book.add_assignment("bridge", duedate="2025-02-28 12:00:00 UTC")
            book.add_student("app-77", first_name="kept")


def grade_class(base: Path, chosen: tuple[Case, ...], *deadlines: str) -> Graded:
    """Hand in, grade by the command, and read what came of it."""
    course = copy_course(base / "course")
    with socket.create_server(("127.0.0.1", 0)) as server:
        places = Places(course, base / "inbox", course / "class", base / "canary", server.getsockname()[1])
        put(places.canary / "keep.txt", b"mine")
        make_inbox(places, chosen)
        due_at(places.class_folder)
        before = fingerprints(course / "solutions", course / "exercises", places.inbox, places.canary)
        calls: list[object] = []
        threading.Thread(target=listen, args=(server, calls), daemon=True).start()
        os.environ["PHASORKIT_TEST_SECRET"] = "a key"
        try:
            command = run("phasorkit", "grade", str(places.inbox), "--class-code", CODE, *deadlines, cwd=course)
        finally:
            del os.environ["PHASORKIT_TEST_SECRET"]
    records = {f.parent.name: json.loads(f.read_bytes()) for f in (places.class_folder / "records").glob("*/*.json")}
    with (places.class_folder / "grades.csv").open(encoding="utf-8-sig", newline="") as stream:
        grades = list(csv.DictReader(stream))
    return Graded(places, command, records, grades, calls, before)


def listen(server: socket.socket, calls: list[object]) -> None:
    """Note every call to a server that nobody should reach."""
    while True:
        try:
            calls.append(server.accept()[1])
        except OSError:
            return


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Graded:
    require_sandbox()
    deadlines = ("--cell-seconds", str(CELL_SECONDS), "--total-seconds", str(TOTAL_SECONDS))
    found = grade_class(tmp_path_factory.mktemp("hostile"), CASES, *deadlines)
    write_measured(found, tmp_path_factory.getbasetemp() / "hostile_cases.md")
    return found


def points(graded: Graded, learner: str) -> tuple[float, ...] | None:
    record = graded.records.get(learner)
    return tuple(row["points"] for row in record["rows"]) if record else None


# Every case ----------------------------------------------------------------------------------------------------------


def test_there_are_enough_cases_and_each_has_its_own_name() -> None:
    assert len(CASES) >= 40
    assert len({case.name.casefold() for case in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_each_case_has_its_score_or_a_reason_within_its_time(graded: Graded, case: Case) -> None:
    found = points(graded, case.name)
    assert found == case.points or (case.also and found == case.also), (graded.told(case), notes(graded, case))
    assert case.says in graded.told(case)
    if case.points is None:
        assert case.says
    else:
        assert graded.records[case.name]["seconds"] < case.seconds
        assert (graded.places.class_folder / "feedback" / case.name / "bridge" / "bridge.html").exists()
    assert case.also or bool(graded.told(case)) == bool(case.says), graded.told(case)
    assert found == case.points or graded.told(case)


def notes(graded: Graded, case: Case) -> list[str]:
    return [row["note"] for row in graded.records.get(case.name, {}).get("rows", [])]


@pytest.mark.parametrize("learner", GOOD)
def test_honest_work_among_them_is_unharmed(graded: Graded, learner: str) -> None:
    assert points(graded, learner) == ALL
    assert graded.records[learner]["flags"] == []


def test_work_without_marks_says_why_under_every_check(graded: Graded) -> None:
    for name in ("not-json", "huge", "link", "zip-inside"):
        page = (graded.places.class_folder / "feedback" / name / "bridge" / "bridge.html").read_text(encoding="utf-8")
        assert page.count("Not marked: the file that was handed in") == len(CHECKS)


# Nothing outside is touched ------------------------------------------------------------------------------------------


def test_course_inbox_and_canary_are_as_they_were(graded: Graded) -> None:
    places = graded.places
    after = fingerprints(places.course / "solutions", places.course / "exercises", places.inbox, places.canary)
    assert after == graded.before
    assert sorted(p.name for p in places.course.iterdir()) == [
        "class", "exercises", "lessons", "nbgrader_config.py", "solutions",
    ]  # fmt: skip
    assert not list((ROOT / "phasorkit").glob("hostile-*"))


def test_nothing_was_read_that_is_not_theirs(graded: Graded) -> None:
    seen = 0
    for file in (graded.places.class_folder / "autograded").glob("*/bridge/bridge.ipynb"):
        for cell in json.loads(file.read_bytes())["cells"]:
            text = json.dumps(cell.get("outputs", []))
            assert MARK not in text, file
            seen += "nothing" in text
    assert seen >= 6


def test_nobody_called_a_server(graded: Graded) -> None:
    assert graded.calls == []


def test_no_process_outlives_its_notebook(graded: Graded) -> None:
    if not sys.platform.startswith("linux"):
        pytest.skip("reads /proc")
    running = []
    for file in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            running.append(file.read_bytes())
        except OSError:
            continue
    assert running
    assert not [line for line in running if b"98765.4321" in line]


def test_the_gradebook_has_these_points_and_what_it_had_before(graded: Graded) -> None:
    scores = automatic_scores(graded.places.class_folder)
    for learner, record in graded.records.items():
        assert [scores[learner, f"{row['check']}-check"] for row in record["rows"]] == [
            r["points"] for r in record["rows"]
        ]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with Gradebook(f"sqlite:///{(graded.places.class_folder / 'gradebook.db').as_posix()}", COURSE_ID) as book:
            assert book.find_student("app-77").first_name == "kept"
            late = book.find_submission("bridge", "late")
            assert (late.score, round(late.total_seconds_late / 86400, 3)) == (20.0, 2.0)


def test_the_command_ends_with_a_word_about_each(graded: Graded) -> None:
    assert graded.command.code == 1
    assert "Traceback" not in graded.command.said
    for case in CASES:
        if case.points is None:
            assert case.says in " ".join(graded.command.said.split())


def test_pages_and_records_stay_small(graded: Graded) -> None:
    """A flood of output does not reach the disk or the learner's page."""
    folder = graded.places.class_folder
    for kind in ("autograded", "feedback", "records"):
        for file in (folder / kind).rglob("*.*"):
            assert file.stat().st_size < 3_000_000, file
    assert not list((folder / "journal").rglob("*.json"))


# The table -----------------------------------------------------------------------------------------------------------


def table(measured: Graded | None = None) -> str:
    """The cases as a table; with a graded class also the seconds that each took."""
    head = ["case", "what it tries", "marks of 20", "what the instructor reads (a part of it)"]
    head += ["seconds"] * (measured is not None)
    lines = [" | ".join(["", *head, ""]).strip(), "|" + " --- |" * len(head)]
    for case in CASES:
        marks = "no row" if case.points is None else f"{sum(case.points):g}"
        marks += f" or {sum(case.also):g}" if case.also else ""
        cells = [case.name.replace("<", "&lt;"), case.tries, marks, case.says or "nothing: there is nothing to tell"]
        if measured is not None:
            cells.append(str(measured.records.get(case.name, {}).get("seconds", "")))
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"


HEAD = f"""# Hostile and broken work

Written by `tests/hostile/test_hostile.py`, which compares it: do not edit. Each line is a real notebook of one learner
in one class of {len(CASES)} cases and honest work, graded by `phasorkit grade` in the sandbox, with {CELL_SECONDS} s
for a cell and {TOTAL_SECONDS} s for a notebook. To write it anew:
`PYTHONPATH=tests python tests/hostile/test_hostile.py`.

"""


def write_measured(graded: Graded, file: Path) -> None:
    file.write_text(HEAD + table(graded), encoding="utf-8")
    print(f"\nmeasured: {file}")


def test_the_table_in_this_folder_is_that_of_these_cases() -> None:
    assert TABLE.read_text(encoding="utf-8") == HEAD + table()


if __name__ == "__main__":
    TABLE.write_text(HEAD + table(), encoding="utf-8")
