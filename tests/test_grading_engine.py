"""A run that is stopped, disturbed or out of room: nothing is lost or done twice, and one line says what is wrong."""

from __future__ import annotations

import json
import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import warnings
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import nullcontext, suppress
from multiprocessing import get_context
from pathlib import Path

import pytest
from grading_runs import COURSE_ID, ROOT, automatic_scores, run
from nbgrader.api import Gradebook
from sandbox_runs import require_sandbox

from phasorkit.course.grading import gradebook
from phasorkit.course.grading import run as grading_run
from phasorkit.course.grading.demo import CLASS_CODE, make_class
from phasorkit.course.grading.folder import GradebookError, GradebookLocked
from phasorkit.course.grading.kernel import Kernels
from phasorkit.course.grading.lock import Busy, take
from phasorkit.course.grading.notebooks import dump, load
from phasorkit.course.grading.pool import Workers, local_workers
from phasorkit.course.grading.records import ClassResult
from phasorkit.course.grading.run import grade_folder
from phasorkit.course.grading.worker import Graded, Job, grade

Known = dict[tuple[str, str], float | None]


@pytest.fixture(autouse=True, scope="module")
def _sandbox() -> Iterator[None]:
    require_sandbox()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


@pytest.fixture(scope="module")
def inbox(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The work of seven learners, and a file that is cut short."""
    everybody, folder = tmp_path_factory.mktemp("everybody"), tmp_path_factory.mktemp("inbox")
    for file in make_class(everybody, root=ROOT):
        if re.search(r"app-(0[1-7]|13)", str(file.relative_to(everybody))):
            place = folder / file.relative_to(everybody)
            place.parent.mkdir(exist_ok=True)
            shutil.copy(file, place)
    return folder


@pytest.fixture(scope="module")
def whole(inbox: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The class graded in one go, by two workers."""
    folder = tmp_path_factory.mktemp("whole") / "class"
    graded(inbox, folder)
    return folder


@pytest.fixture(scope="module")
def started(inbox: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class folder whose gradebook has the exercise and nobody's marks, to be copied: making one takes seconds."""
    folder = tmp_path_factory.mktemp("started")
    (folder / "inbox").mkdir()
    grade_folder(folder / "inbox", root=ROOT, class_folder=folder / "class", workers=nullcontext(NOBODY))
    from phasorkit.course.grading.folder import ClassFolder
    from phasorkit.course.grading.logs import log_to

    place = ClassFolder.at(folder / "class")
    with log_to(place.log) as log:
        gradebook.Nbgrader(ROOT, place, log).ensure_assignment("bridge")
    return folder / "class"


class _Nobody(Workers):
    """Workers for a class without work."""

    def __init__(self) -> None:
        self.count = 1


NOBODY = _Nobody()


def graded(inbox: Path, folder: Path, workers: Workers | None = None) -> ClassResult:
    them = nullcontext(workers) if workers else local_workers(1, Kernels.SANDBOX)
    return grade_folder(inbox, root=ROOT, class_folder=folder, class_code=CLASS_CODE, workers=them)


def command(inbox: Path, folder: Path) -> list[str]:
    words = ["grade", str(inbox), "--class-folder", str(folder), "--class-code", CLASS_CODE, "--workers", "2"]
    return [sys.executable, "-m", "phasorkit", *words]


def marks_of(folder: Path) -> dict[str, tuple[float, ...]]:
    """Points of every record, by learner, without what depends on time."""
    found = {}
    for file in sorted((folder / "records").glob("*/*.json")):
        record = json.loads(file.read_bytes())
        found[record["learner"]] = tuple(row["points"] for row in record["rows"])
    return found


def require_whole(folder: Path, whole: Path) -> None:
    """The gradebook, the records, the pages and the tables are those of a run in one go, each once, none half."""
    assert automatic_scores(folder) == automatic_scores(whole)
    assert marks_of(folder) == marks_of(whole)
    assert not list(folder.rglob("*.part"))
    assert not (folder / "journal").exists()
    for kind in ("autograded/*/*/*.ipynb", "feedback/*/*/*.html"):
        names = [{p.relative_to(f) for p in f.glob(kind)} for f in (folder, whole)]
        assert names[0] == names[1]
        assert all(p.stat().st_size > 1000 for p in folder.glob(kind))
    assert [len((f / "grades.csv").read_text("utf-8-sig").splitlines()) for f in (folder, whole)] == [9, 9]
    with sqlite3.connect(folder / "gradebook.db") as book:
        assert book.execute("pragma integrity_check").fetchone() == ("ok",)
        works, learners = "select count(*) from submitted_assignment", "select count(distinct id) from student"
        assert [book.execute(q).fetchone() for q in (works, learners)] == [(8,), (8,)]
    book.close()


def worked_out(folder: Path) -> Counter[str]:
    """How often a worker's result came in, by learner, over all runs."""
    lines = (folder / "grading.log").read_text(encoding="utf-8").splitlines()
    return Counter(line.split()[-2] for line in lines if " worked out " in line)


# Killed --------------------------------------------------------------------------------------------------------------


def kill_and_resume(inbox: Path, started: Path, folder: Path, whole: Path, seconds: float | None) -> None:
    """Kill the command with SIGKILL after so long, or when three are done; look for what it leaves; run it again."""
    shutil.copytree(started, folder)
    first = subprocess.Popen(command(inbox, folder), cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    end = time.monotonic() + (seconds or 600)
    while time.monotonic() < end and first.poll() is None:
        if seconds is None and len(list((folder / "records").glob("*/*.json"))) >= 3:
            break
        time.sleep(0.01)
    family = descendants(first.pid)
    first.kill()
    first.wait()
    wait_until_gone(family)
    done = {f: f.read_bytes() for f in (folder / "records").glob("*/*.json")}
    second = subprocess.run(command(inbox, folder), cwd=ROOT, capture_output=True, text=True, timeout=6000, check=False)
    assert second.returncode == 1, second.stderr
    require_whole(folder, whole)
    assert {f: f.read_bytes() for f in done} == done
    counted = worked_out(folder)
    assert set(counted.values()) <= {1}
    assert set(marks_of(folder)) >= set(counted)


def descendants(process: int) -> list[int]:
    found = []
    for file in Path(f"/proc/{process}/task").glob("*/children"):
        with suppress(OSError):  # it may end while it is looked at
            for child in map(int, file.read_text().split()):
                found += [child, *descendants(child)]
    return found


def wait_until_gone(processes: list[int]) -> None:
    """Nothing that the killed command had started may stay."""
    end = time.monotonic() + 120
    while left := [p for p in processes if Path(f"/proc/{p}").exists()]:
        assert time.monotonic() < end, f"still there: {left}"
        time.sleep(0.05)


def test_a_killed_run_is_taken_up_where_it_was(inbox: Path, started: Path, whole: Path, tmp_path: Path) -> None:
    kill_and_resume(inbox, started, tmp_path / "class", whole, None)


@pytest.mark.slow
@pytest.mark.parametrize("turn", range(20))
def test_it_may_be_killed_at_any_time(turn: int, inbox: Path, started: Path, whole: Path, tmp_path: Path) -> None:
    seconds = random.Random(turn).uniform(0.3, 7.0)
    kill_and_resume(inbox, started, tmp_path / "class", whole, seconds)


def test_results_that_had_no_time_to_be_entered_are_not_worked_out_again(
    inbox: Path, started: Path, whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped between the journal and the gradebook, as a kill may."""

    class Stopped(BaseException):
        pass

    def stop(*_: object) -> None:
        raise Stopped

    folder = tmp_path / "class"
    shutil.copytree(started, folder)
    with monkeypatch.context() as patch:
        patch.setattr(gradebook.Nbgrader, "save", stop)
        with pytest.raises(Stopped):
            graded(inbox, folder)
    waiting = {p.parent.name for p in (folder / "journal").glob("*/*.json")}
    assert waiting
    assert waiting == set(worked_out(folder))
    graded(inbox, folder)
    require_whole(folder, whole)
    assert set(worked_out(folder).values()) == {1}


def test_an_exercise_of_another_edition_keeps_nobody_from_the_tables(
    inbox: Path, whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was graded with the edition before stands in the result, with the gradebook's points."""

    def other(*_: object) -> None:
        raise GradebookError("another edition")

    shutil.copytree(whole, tmp_path / "class")
    (tmp_path / "empty").mkdir()
    monkeypatch.setattr(gradebook.Nbgrader, "master", other)
    result = grade_folder(tmp_path / "empty", root=ROOT, class_folder=tmp_path / "class", workers=nullcontext(NOBODY))
    assert {r.learner: tuple(row.points for row in r.rows) for r in result.records} == marks_of(whole)


def test_a_table_that_somebody_has_open_is_no_learners_fault(
    inbox: Path, whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A spreadsheet program on Windows keeps its file to itself; tables are written on the way, and at the end."""

    def kept(*_: object, root: Path | None = None) -> None:
        if root is None:
            refused.append(1)
            raise PermissionError("in use")

    refused: list[int] = []
    before = graded(inbox, shutil.copytree(whole, tmp_path / "class"))
    monkeypatch.setattr(grading_run, "TABLES_EVERY", 0.0)
    monkeypatch.setattr(grading_run, "write_tables", kept)
    after = graded(inbox, tmp_path / "class")
    assert len(refused) >= 8
    assert (after.problems, after.unchanged) == (before.problems, before.unchanged)


def test_what_is_said_of_an_unreadable_file_includes_its_time(started: Path, tmp_path: Path) -> None:
    shutil.copytree(started, tmp_path / "class")
    place = tmp_path / "inbox" / "app-01" / "bridge"
    place.mkdir(parents=True)
    (place / "bridge.ipynb").write_bytes(b"no notebook")
    (place / "timestamp.txt").write_text("yesterday")
    folder = tmp_path / "class"
    result = grade_folder(tmp_path / "inbox", root=ROOT, class_folder=folder, workers=nullcontext(NOBODY))
    assert [flag.kind for flag in result.records[0].flags] == ["time", "unreadable"]


# Two at once ---------------------------------------------------------------------------------------------------------


def contents(folder: Path) -> dict[Path, bytes]:
    return {p: p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.suffix not in (".log", ".lock")}


def test_a_second_grader_is_told_and_stops(inbox: Path, whole: Path) -> None:
    before = contents(whole)
    with take(whole, "somebody"):
        done = run("phasorkit", "grade", str(inbox), "--class-folder", str(whole))
    assert done.code == 2
    line = done.said.splitlines()[-1]
    assert line.startswith("phasorkit grade: this class is being graded already (somebody, process ")
    assert contents(whole) == before
    with take(whole, "one"), pytest.raises(Busy, match="one, process"):
        take(whole, "two")


def test_nbgraders_own_grading_takes_the_same_path_and_the_same_lock(whole: Path, tmp_path: Path) -> None:
    """What formgrader's button runs: `nbgrader autograde` with the course's configuration."""
    for name in ("solutions", "exercises"):
        shutil.copytree(ROOT / name, tmp_path / name)
    shutil.copy(ROOT / "nbgrader_config.py", tmp_path)
    folder = tmp_path / "class"
    shutil.copytree(whole, folder)
    arguments = ("nbgrader", "autograde", "bridge", "--student", "app-03", "--force")
    before = contents(folder)
    with take(folder, "somebody"):
        done = run(*arguments, cwd=tmp_path, own_path=True)
    assert done.code != 0
    assert "this class is being graded already (somebody" in done.said
    assert contents(folder) == before
    file = folder / "submitted" / "app-03" / "bridge" / "bridge.ipynb"
    notebook = load(file.read_bytes())
    (cell,) = [cell for cell in notebook.cells if "reactance * 3 ** 0.5" in cell.source]
    cell.source = "import os\nprint(os.path.exists('/etc/passwd'))\nresistance = reactance / 3 ** 0.5"
    file.write_bytes(dump(notebook))
    done = run(*arguments, cwd=tmp_path, own_path=True)
    assert done.code == 0, done.said
    assert automatic_scores(folder)["app-03", "resistance-check"] == 3.0
    record = json.loads((folder / "records" / "app-03" / "bridge.json").read_bytes())
    assert [row["points"] for row in record["rows"]][:2] == [3.0, 3.0]
    marked = load((folder / "autograded" / "app-03" / "bridge" / "bridge.ipynb").read_bytes())
    (cell,) = [cell for cell in marked.cells if "/etc/passwd" in cell.source]
    assert cell.outputs[0].text == "False\n"


# Disturbed -----------------------------------------------------------------------------------------------------------


def test_marks_set_by_hand_while_it_runs_survive(inbox: Path, started: Path, tmp_path: Path) -> None:
    """An instructor edits one that is done and one that is being graded again."""
    folder = tmp_path / "class"
    shutil.copytree(started, folder)
    seen: list[str] = []

    def set_by_hand(learner: str, points: float) -> None:
        with Gradebook(f"sqlite:///{folder / 'gradebook.db'}", COURSE_ID) as book:
            book.find_grade("power-check", "bridge", "bridge", learner).manual_score = points
            book.db.commit()

    def watch(done: int, _total: int, what: str) -> None:
        if "bridge:" in what and "not graded" not in what:
            seen.append(what.split()[0])
            if len(seen) == 2:
                set_by_hand(seen[0], 0.25)

    result = grade_folder(
        inbox, root=ROOT, class_folder=folder, class_code=CLASS_CODE, progress=watch,
        workers=local_workers(1, Kernels.SANDBOX),
    )  # fmt: skip
    points = {r.learner: {row.check: (row.points, row.by_hand) for row in r.rows} for r in result.records}
    assert points[seen[0]]["power"] == (0.25, True)
    again = tmp_path / "again"
    shutil.copytree(inbox, again)
    (file,) = [p for p in again.rglob("*.ipynb") if seen[0] in str(p.relative_to(again))]
    file.write_bytes(file.read_bytes().replace(b"reactance =", b"reactance  ="))
    result = graded(again, folder)
    points = {r.learner: {row.check: (row.points, row.by_hand) for row in r.rows} for r in result.records}
    assert points[seen[0]]["power"] == (0.25, True)
    assert len(list((folder / "backups").glob(f"*/records/{seen[0]}/bridge.json"))) == 1


def test_a_gradebook_that_stays_locked_stops_the_run_in_one_line_and_nothing_is_lost(
    inbox: Path, started: Path, whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gradebook, "ATTEMPTS", 1)
    folder = tmp_path / "class"
    shutil.copytree(started, folder)
    other = sqlite3.connect(folder / "gradebook.db", isolation_level=None)

    def lock(done: int, _total: int, _what: str) -> None:
        if done == 3:
            other.execute("begin exclusive")

    with pytest.raises(GradebookLocked, match=r"another program keeps .*gradebook\.db locked: close it"):
        grade_folder(
            inbox, root=ROOT, class_folder=folder, class_code=CLASS_CODE, progress=lock,
            workers=local_workers(1, Kernels.SANDBOX),
        )  # fmt: skip
    other.execute("rollback")
    other.close()
    graded(inbox, folder)
    require_whole(folder, whole)
    assert set(worked_out(folder).values()) == {1}


def test_a_damaged_gradebook_is_not_written_to_and_its_copy_is_named(inbox: Path, whole: Path, tmp_path: Path) -> None:
    folder = tmp_path / "class"
    shutil.copytree(whole, folder)
    graded(inbox, folder)
    book = folder / "gradebook.db"
    data = bytearray(book.read_bytes())
    data[8192:16384] = os.urandom(8192)
    book.write_bytes(data)
    done = run("phasorkit", "grade", str(inbox), "--class-folder", str(folder))
    assert done.code == 2
    assert "is damaged" in done.said.splitlines()[-1]
    assert f"the newest copy is {folder}" in done.said.splitlines()[-1]
    assert book.read_bytes() == bytes(data)


# Out of room ---------------------------------------------------------------------------------------------------------


TWICE = """
import pathlib, sqlite3, subprocess, sys
command, folder = sys.argv[2:], pathlib.Path(sys.argv[1])
first = subprocess.run(command, capture_output=True, text=True)
print(first.returncode, first.stderr.strip().splitlines())
book = sqlite3.connect(folder / "gradebook.db")
print(book.execute("pragma integrity_check").fetchone()[0])
book.close()
(folder / "filler").unlink()
second = subprocess.run(command, capture_output=True, text=True)
print(second.returncode, second.stderr.strip())
print(sorted(p.parent.name for p in (folder / "records").glob("*/*.json")))
print([str(p) for p in folder.rglob("*.part")])
"""


def size_of(folder: Path) -> int:
    """Bytes of the files in a folder, in whole pages."""
    return sum(-(-p.stat().st_size // 4096) * 4096 for p in folder.rglob("*") if p.is_file())


def test_a_full_disk_is_one_line_and_the_next_run_finishes(
    inbox: Path, started: Path, whole: Path, tmp_path: Path
) -> None:
    """On a small disk where something else leaves room for half of the results."""
    folder = tmp_path / "class"
    folder.mkdir()
    needed, there = size_of(whole), size_of(started)
    filler = 2 * needed
    room = filler + there + (needed - there) // 2
    script = f'cp -r {started}/. {folder}/ && head -c {filler} /dev/zero > {folder}/filler && exec "$@"'
    frame = [
        "bwrap",
        "--dev-bind",
        "/",
        "/",
        "--size",
        str(room),
        "--tmpfs",
        str(folder),
        "--",
        "sh",
        "-c",
        script,
        "-",
    ]
    grading = [*command(inbox, folder), "--trust-learners"]
    words = [*frame, sys.executable, "-c", TWICE, str(folder), *grading]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    first, sound, second, learners, left = done.stdout.splitlines()
    assert first.startswith("2 ['phasorkit grade: nothing more can be written: No space left on device")
    assert first.endswith("what was graded is kept, run it again for the rest']")
    assert (sound, second, left) == ("ok", "1 ", "[]")
    assert learners == str(sorted(marks_of(whole)))


def test_a_read_only_folder_is_one_line(inbox: Path, whole: Path, tmp_path: Path) -> None:
    shutil.copytree(whole, tmp_path / "class")
    before = contents(tmp_path / "class")
    frame = ["bwrap", "--dev-bind", "/", "/", "--ro-bind", str(tmp_path / "class"), str(tmp_path / "class"), "--"]
    words = [*frame, *command(inbox, tmp_path / "class"), "--trust-learners"]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("phasorkit grade: nothing more can be written: Read-only file system")
    assert done.stderr.count("\n") == 1
    assert contents(tmp_path / "class") == before


# Workers that die ----------------------------------------------------------------------------------------------------


def _grade_or_die(job: Job) -> Graded:
    """One learner's job takes its worker down, every time; another's only the first time."""
    marker = Path(os.environ["PHASORKIT_TEST_MARKER"])
    if job.learner == "app-05" or (job.learner == "app-02" and not marker.exists()):
        marker.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return grade(job)


def test_a_worker_that_dies_costs_its_own_job_only(
    inbox: Path, started: Path, whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PHASORKIT_TEST_MARKER", str(tmp_path / "marker"))
    folder = tmp_path / "class"
    shutil.copytree(started, folder)
    workers = Workers(lambda: ProcessPoolExecutor(2, mp_context=get_context("spawn")), 2, _grade_or_die)
    try:
        result = graded(inbox, folder, workers)
    finally:
        workers.executor.shutdown()
    assert [p.learner for p in result.problems if "could not be graded" in p.reason] == ["app-05"]
    expected = marks_of(whole)
    del expected["app-05"]
    assert marks_of(folder) == expected
    graded(inbox, folder)
    assert marks_of(folder) == marks_of(whole)
