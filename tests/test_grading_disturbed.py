"""What else happens to a class folder: programs that are killed, leftovers, clocks, other spellings, other editions."""

from __future__ import annotations

import errno
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
import zipfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext, suppress
from pathlib import Path

import pytest
from course_cases import answer_at, briefs, right_answers, slipped
from grading_runs import ROOT, automatic_scores
from nbformat import NotebookNode
from sandbox_runs import ROOMY, require_sandbox

from phasorkit.course.grading import archive, folder, warm
from phasorkit.course.grading.archive import opened
from phasorkit.course.grading.demo import filled_in
from phasorkit.course.grading.demo_work import Pupil
from phasorkit.course.grading.folder import ClassFolder, GradebookLocked
from phasorkit.course.grading.intake import Submission, match
from phasorkit.course.grading.journal import Journal
from phasorkit.course.grading.pool import Workers
from phasorkit.course.grading.records import ClassResult
from phasorkit.course.grading.run import grade_folder
from phasorkit.course.grading.taking_in import as_known
from phasorkit.course.grading.worker import Job, grade
from phasorkit.course.model import RIGHT, judge, tasks, truths

RELEASE = (ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
CHECKS = {f"{check.name}-check": check.name for check in tasks()["bridge"].checks}
CODE = "PUMP-24"


def hand_in(inbox: Path, name: str, learner: str = "", **answers: str) -> Path:
    file = inbox / name / "bridge.ipynb"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(filled_in(RELEASE, Pupil(learner or name, answers), CODE))
    return file


def run(inbox: Path, class_folder: Path, course: Path = ROOT) -> ClassResult:
    here = nullcontext(Workers(lambda: ThreadPoolExecutor(1), 1))
    return grade_folder(inbox, root=course, class_folder=class_folder, class_code=CODE, limits=ROOMY, workers=here)


def points(result: ClassResult) -> dict[str, float]:
    return {record.learner: record.points for record in result.records}


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the inbox of two learners and their class, graded."""
    require_sandbox()
    base = tmp_path_factory.mktemp("done")
    hand_in(base / "inbox", "app-01")
    hand_in(base / "inbox", "app-02", power="power = 1")
    assert points(run(base / "inbox", base / "class")) == {"app-01": 20, "app-02": 17}
    return base


@pytest.fixture
def base(done: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(done, tmp_path / "base"))


# Killed from outside -------------------------------------------------------------------------------------------------


def below(process: int) -> list[int]:
    found = []
    for file in Path(f"/proc/{process}/task").glob("*/children"):
        with suppress(OSError):
            for child in map(int, file.read_text().split()):
                found += [child, *below(child)]
    return found


def command_of(process: int) -> str:
    with suppress(OSError):
        return Path(f"/proc/{process}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    return ""


@pytest.mark.parametrize("which", ["frame", "zygote"])
@pytest.mark.parametrize("when", [0, 3])
def test_a_sandbox_that_is_killed_from_outside_costs_no_marks(
    which: str, when: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Memory runs short, or somebody kills what they do not know: no fault of the notebook that ran."""
    require_sandbox()
    killed: list[int] = []
    runs: list[int] = []
    run_cell = warm.WarmKernel.run

    def disturbed(kernel: warm.WarmKernel, cell: NotebookNode) -> None:
        runs.append(1)
        if len(runs) == when + 1:
            ours = [p for p in below(os.getpid()) if "grading.inside.zygote" in command_of(p)]
            frames = [p for p in ours if "bwrap" in command_of(p).split()[0]]
            killed.extend(frames if which == "frame" else [p for p in ours if p not in frames][:1])
            for process in killed:
                os.kill(process, signal.SIGKILL)
        run_cell(kernel, cell)

    monkeypatch.setattr(warm.WarmKernel, "run", disturbed)
    graded = grade(Job("a", "bridge", filled_in(RELEASE, Pupil("a"), CODE), CHECKS, limits=ROOMY))
    assert killed
    assert (graded.record.points, graded.record.flags) == (20, ())
    assert len(runs) > 10 + when


def test_in_the_sandbox_nothing_is_put_into_the_temporary_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is not there cannot be left behind by a process that is killed."""
    require_sandbox()
    seen: list[list[str]] = []
    run_cell = warm.WarmKernel.run

    def looked(kernel: warm.WarmKernel, cell: NotebookNode) -> None:
        seen.append(os.listdir(tmp_path))
        run_cell(kernel, cell)

    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(warm.WarmKernel, "run", looked)
    grade(Job("a", "bridge", filled_in(RELEASE, Pupil("a"), CODE), CHECKS, limits=ROOMY))
    assert len(seen) > 5
    assert not any(seen)


WAITING = """
import sys
from phasorkit.course.grading.kernel import Kernels, Limits
from phasorkit.course.grading.worker import Job, grade
grade(Job("a", "bridge", open(sys.argv[1], "rb").read(), {}, limits=Limits(3000, 3000), kernels=Kernels.FORKED))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="kernels are forked on Linux only")
def test_without_a_sandbox_a_killed_worker_leaves_no_folder(tmp_path: Path) -> None:
    place = tmp_path / "tmp"
    place.mkdir()
    wait = "open('here', 'w').close()\nimport time\ntime.sleep(3000)"
    (tmp_path / "a.ipynb").write_bytes(filled_in(RELEASE, Pupil("a", {"reactance": wait}), CODE))
    environment = {**os.environ, "TMPDIR": str(place)}
    worker = subprocess.Popen([sys.executable, "-c", WAITING, str(tmp_path / "a.ipynb")], cwd=ROOT, env=environment)
    try:
        await_(lambda: bool(list(place.glob("*/here"))))
    finally:
        worker.kill()
        worker.wait()
    await_(lambda: not list(place.iterdir()))


def await_(holds: object) -> None:
    assert callable(holds)
    end = time.monotonic() + 300
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.05)


def test_what_a_killed_run_left_unfinished_is_cleared_away_and_nothing_else(base: Path) -> None:
    class_folder = base / "class"
    drafts = [".grades.csv.77.part", "records/app-01/.bridge.json.77.part", "journal/app-09/.bridge.json.77.part",
              "backups/20200101-000000/.gradebook.db.7.part-journal", ".passing/inbox/a/bridge.ipynb"]  # fmt: skip
    others = ["mine.part", "inbox/.a.1.part", "my notes/.x.1.part", "received/app-01/bridge/.hidden"]
    for name in [*drafts, *others]:
        (class_folder / name).parent.mkdir(parents=True, exist_ok=True)
        (class_folder / name).write_text("x")
    assert run(base / "inbox", class_folder).unchanged == 2
    assert [name for name in drafts if (class_folder / name).exists()] == []
    assert [name for name in others if not (class_folder / name).exists()] == []
    assert not (class_folder / ".passing").exists()


def test_a_journal_that_was_cut_short_is_worked_out_again(base: Path) -> None:
    class_folder = base / "class"
    hand_in(base / "inbox", "app-03", power="power = 2")
    run(base / "inbox", class_folder)
    scores = automatic_scores(class_folder)
    record = class_folder / "records" / "app-03" / "bridge.json"
    whole = json.dumps({"record": record.read_text(encoding="utf-8"), "notebook": "{}"})
    for text in (whole[: len(whole) // 2], "[]", "{}", '{"record": 1, "notebook": 2}'):
        place = class_folder / "journal" / "app-03" / "bridge.json"
        place.parent.mkdir(parents=True)
        place.write_text(text, encoding="utf-8")
        record.unlink()
        assert Journal(class_folder / "journal").get("app-03", "bridge", "x") is None
        assert points(run(base / "inbox", class_folder))["app-03"] == 17
        assert automatic_scores(class_folder) == scores
        assert not (class_folder / "journal").exists()


# Locked, full, clocks ------------------------------------------------------------------------------------------------


def test_a_locked_gradebook_is_not_called_damaged(base: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever reads "damaged" puts an old copy in its place."""
    monkeypatch.setattr(folder, "LOCK_SECONDS", 0.1)
    other = sqlite3.connect(base / "class" / "gradebook.db", isolation_level=None)
    other.execute("begin exclusive")
    with pytest.raises(GradebookLocked, match=r"another program keeps .*gradebook\.db locked: close it"):
        run(base / "inbox", base / "class")
    other.execute("rollback")
    other.close()
    assert run(base / "inbox", base / "class").unchanged == 2


def test_an_archive_is_unpacked_where_the_next_run_clears_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with zipfile.ZipFile(tmp_path / "c.zip", "w") as packed:
        packed.writestr("app-01/bridge.ipynb", b"{}")
    with opened(tmp_path / "c.zip", ["bridge"], tmp_path / "class" / ".passing") as (place, _):
        assert [s.path for s in match(place, ["bridge"])[0]] == [
            tmp_path / "class" / ".passing" / "app-01" / "bridge.ipynb"
        ]

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(archive, "_write", full)
    with pytest.raises(OSError, match="No space left") as told, opened(tmp_path / "c.zip", ["bridge"]):
        pass
    assert told.value.errno == errno.ENOSPC


def test_copies_sort_by_age_after_the_clock_was_set_back(tmp_path: Path) -> None:
    (tmp_path / "backups" / "20991231-235959").mkdir(parents=True)
    (tmp_path / "backups" / "my own copy").mkdir()
    for stamp in ("21000101-000000", "21000101-000001"):
        place = ClassFolder.at(tmp_path)
        assert place.stamp == stamp
        place.backups.mkdir()


# Records that cannot be told -----------------------------------------------------------------------------------------


def test_records_that_cannot_be_read_are_told_and_stop_nothing(base: Path) -> None:
    """A damaged one, one of a newer version, one of an exercise or a check that the course has no more."""
    records = base / "class" / "records"
    about = json.loads((records / "app-02" / "bridge.json").read_text(encoding="utf-8"))
    about["rows"].append({**about["rows"][0], "check": "older", "outcome": "wrong", "points": 0.0})
    about["answers"]["older"] = 1.0
    (records / "app-02" / "bridge.json").write_text(json.dumps(about), encoding="utf-8")
    for learner, text in (
        ("gone", "{"),
        ("later", json.dumps({**about, "format": 99, "learner": "later"})),
        ("early", json.dumps({**about, "exercise": "first-steps", "learner": "early"})),
    ):
        (records / learner).mkdir()
        name = "first-steps" if learner == "early" else "bridge"
        (records / learner / f"{name}.json").write_text(text, encoding="utf-8")
    before = {f: f.read_bytes() for f in records.glob("*/*.json")}
    result = run(base / "inbox", base / "class")
    assert (sorted(points(result)), result.unchanged) == (["app-01", "app-02"], 2)
    told = {(p.learner, p.exercise): p.reason for p in result.problems}
    assert sorted(told) == [("early", "first-steps"), ("gone", "bridge"), ("later", "bridge")]
    assert told["early", "first-steps"].startswith("there is no such exercise")
    assert told["later", "bridge"] == told["gone", "bridge"]
    assert told["later", "bridge"].startswith("its record cannot be read (damaged, or from a newer version")
    assert {f: f.read_bytes() for f in before} == before
    assert "gone" in (base / "class" / "report.html").read_text(encoding="utf-8")


# Spellings and editions ----------------------------------------------------------------------------------------------


def test_an_id_in_another_spelling_is_no_new_learner(base: Path) -> None:
    """Ids count alike when they look alike, as their numbers do (`normalise`): in one run, and from run to run."""
    later = base / "later"
    hand_in(later, "App-02")
    hand_in(later, "\uff21pp-03", "app-03")
    result = run(later, base / "class")
    assert points(result) == {"app-01": 20, "app-02": 20, "\uff21pp-03": 20}
    assert {learner for learner, _ in automatic_scores(base / "class")} == set(points(result))
    assert len(list((base / "class" / "backups").glob("*/received/app-02/bridge/bridge.ipynb"))) == 1
    hand_in(later, "app-03", power="power = 3")
    submissions, refused = match(later, ["bridge"])
    assert [s.learner for s in submissions] == ["App-02"]
    assert refused[0].reason.startswith("more than one file for the same work")


def test_an_id_known_letter_by_letter_or_twice_stays_as_it_is() -> None:
    came = [Submission(learner, "bridge", Path()) for learner in ("App-01", "app-01", "APP-01", "new")]
    taken = [s.learner for s in as_known(came, {"App-01", "app-01"})]
    assert taken == ["App-01", "app-01", "APP-01", "new"]
    assert [s.learner for s in as_known(came, {"aPP-01"})] == ["aPP-01", "aPP-01", "aPP-01", "new"]


def test_the_solution_notebook_is_asked_about(base: Path) -> None:
    text = (ROOT / "solutions" / "bridge" / "bridge.ipynb").read_text(encoding="utf-8")
    place = base / "inbox" / "app-05" / "bridge.ipynb"
    place.parent.mkdir()
    filled = text.replace('learner=\\"\\"', 'learner=\\"app-05\\"').replace(
        'class_code=\\"\\"', f'class_code=\\"{CODE}\\"'
    )
    place.write_text(filled, encoding="utf-8")
    result = run(base / "inbox", base / "class")
    flags = {r.learner: [f.kind for f in r.flags] for r in result.records}
    assert (
        flags == {"app-01": [], "app-02": [], "app-05": ["edited", "edited", "solution"]}
        or "solution" in flags["app-05"]
    )
    assert points(result)["app-05"] == 20
    assert "Handed in from the solution notebook" in (base / "class" / "report.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("count", [1, 4, 5, 9])
def test_a_notebook_of_another_edition_is_one_line(base: Path, count: int) -> None:
    """Last year's, say, where many texts differ; up to four cells that somebody changed are named each."""
    file = hand_in(base / "inbox", "app-06")
    document = json.loads(file.read_text(encoding="utf-8"))
    told = [cell for cell in document["cells"] if cell["cell_type"] == "markdown" and cell["metadata"].get("nbgrader")]
    for cell in told[:count]:
        cell["source"] = ["as it was last year"]
    file.write_text(json.dumps(document), encoding="utf-8")
    result = run(base / "inbox", base / "class")
    flags = next(record.flags for record in result.records if record.learner == "app-06")
    assert [flag.kind for flag in flags] == ["edited"] * (count if count <= 4 else 1)
    assert (f"{count} locked cells had been edited" in flags[0].text) == (count > 4)
    assert points(result)["app-06"] == 20


@pytest.mark.parametrize("text", ["{", "[]", '{"cells": 3}', "no notebook"])
def test_a_released_exercise_that_was_spoilt_is_one_line_and_the_tables_stand(base: Path, text: str) -> None:
    course = base / "course"
    for name in ("solutions", "exercises"):
        shutil.copytree(ROOT / name / "bridge", course / name / "bridge")
    (course / "exercises" / "bridge" / "bridge.ipynb").write_text(text, encoding="utf-8")
    result = run(base / "inbox", base / "class", course)
    assert points(result) == {"app-01": 20, "app-02": 17}
    assert {p.reason.split(": ")[0].split(" cannot")[0].split("/")[-1] for p in result.problems} == {"bridge.ipynb"}
    assert "phasorkit teach release" in result.problems[0].reason
    assert "app-02" in (base / "class" / "report.html").read_text(encoding="utf-8")


# Speed ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(tasks()))
def test_an_answer_held_against_many_numbers_counts_as_right_as_judge_says(name: str) -> None:
    """The quick way, which seeks no slip, agrees with the marking: on right answers, slips, other learners' answers."""
    exercise = tasks()[name]
    drawn = briefs(exercise, 8)
    seen = set()
    for check in exercise.checks:
        answers = [right_answers(exercise, brief)[check.name] for brief in drawn]
        answers += [answer_at(exercise, drawn[0], check, place) for place in slipped(exercise, drawn[0], check)[:20]]
        answers += [1, "x", "", [], {}, {"a": 1}, float("nan"), -1.0, "12 k\u03a9"]
        for answer in answers:
            fits = check.fits(answer)
            for brief in drawn:
                said = judge(exercise, brief, check.name, {check.name: answer}).outcome == RIGHT
                assert fits(brief, truths(exercise, brief)) == said, (check.name, answer)
                seen.add(said)
    assert seen == {True, False}
