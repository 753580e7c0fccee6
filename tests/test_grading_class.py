"""The demo class, graded by the command as an instructor does, and mark for mark by stock nbgrader."""

from __future__ import annotations

import csv
import re
import shutil
import warnings
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from grading_runs import COURSE_ID, ROOT, Command, automatic_scores, run, stock, stock_config
from nbgrader.api import Gradebook
from nbgrader.utils import determine_grade
from sandbox_runs import require_sandbox

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading import worker
from phasorkit.course.grading.demo import CLASS_CODE, make_class
from phasorkit.course.grading.notebooks import grade_id, load
from phasorkit.course.grading.pool import Workers
from phasorkit.course.grading.records import ClassResult
from phasorkit.course.grading.run import grade_folder
from phasorkit.course.model import task, truths
from phasorkit.quantities import render

KNOWN = {
    # learner: reactance 3, resistance 3, preferred 2, volts 5, power 3, residual 4; worked out by hand from the work
    "app-01": (3, 3, 2, 5, 3, 4),  # all right, numbers
    "app-02": (3, 3, 2, 5, 3, 4),  # all right, as texts with decimal comma, prefix and unit
    "app-03": (3, 0, 2, 5, 3, 4),  # √3 on the wrong side; what follows follows
    "app-04": (0, 3, 2, 5, 3, 4),  # 2π forgotten; what follows follows
    "app-05": (3, 3, 2, 0.5, 3, 4),  # phase for line voltage: only the lamp's 0 V is right; power follows
    "app-06": (3, 0, 2, 5, 3, 0),  # R = Xc; the last one blank
    "app-07": (1.5, 1.5, 1, 5, 0, 0),  # nF for µF, half of the marks while the digits are right; power two slips
    "app-08": (0, 3, 0, 0, 0, 0),  # gave up after two
    "app-09": (3, 3, 2, 4, 1.5, 0),  # sequences exchanged in two of ten; no ten per cent; no tolerances
    "app-10": (3, 3, 1, 2.5, 0, 4),  # the other neighbour; five of ten volts; whole line voltage on R3
    "app-11": (3, 0, 0, 5, 0, 0),  # a cell that fails, guesses, a text
    "app-12": (3, 0, 2, 0.5, 0, 0),  # another learner's id in the begin cell
}
CHECKS = ("reactance", "resistance", "preferred", "volts", "power", "residual")


@dataclass(frozen=True)
class Graded:
    """The demo class folder, what its command said, and the class folder of stock nbgrader."""

    folder: Path
    command: Command
    stock: Path


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Graded:
    base = tmp_path_factory.mktemp("demo")
    make_class(base / "same-inbox", root=ROOT)
    with ThreadPoolExecutor() as both:
        theirs = both.submit(stock, base / "course", base / "same-inbox")
        ours = both.submit(run, "phasorkit", "grade", "--demo", "--class-folder", str(base / "class"))
        return Graded(base / "class", ours.result(), theirs.result())


@pytest.fixture(autouse=True)
def nbgrader_may_warn() -> Iterator[None]:
    """nbgrader's own database layer warns; that is none of ours."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def table(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.DictReader(stream))


def again(graded: Graded, tmp_path: Path) -> tuple[Path, ClassResult]:
    """A copy of the graded class, and the result of grading its inbox once more."""
    require_sandbox()
    folder = tmp_path / "class"
    if not folder.exists():
        shutil.copytree(graded.folder, folder)
    return folder, grade_folder(folder / "inbox", root=ROOT, class_folder=folder, class_code=CLASS_CODE)


# Scores ------------------------------------------------------------------------------------------------------------


def test_scores_equal_those_of_stock_nbgrader_mark_for_mark(graded: Graded) -> None:
    ours, theirs = automatic_scores(graded.folder), automatic_scores(graded.stock)
    assert len(theirs) == 12 * 6
    assert {key: points for key, points in ours.items() if key[0] in KNOWN} == theirs
    assert len(ours) == 14 * 6


def test_scores_are_the_known_ones(graded: Graded) -> None:
    scores = automatic_scores(graded.folder)
    found = {learner: tuple(scores[learner, f"{check}-check"] for check in CHECKS) for learner in KNOWN}
    assert found == KNOWN


def test_feedback_and_values_equal_those_a_notebook_prints(graded: Graded) -> None:
    """What `check` prints in the learner's own notebook, run by stock nbgrader, is what we write."""
    for learner in KNOWN:
        files = [c / "autograded" / learner / "bridge" / "bridge.ipynb" for c in (graded.folder, graded.stock)]
        ours, theirs = (
            {grade_id(c): [o.get("text") or o.data["text/plain"] for o in c.outputs] for c in load(f.read_bytes()).cells
             if grade_id(c).endswith("-check")} for f in files
        )  # fmt: skip
        assert ours == theirs, learner


def test_check_cells_hold_feedback_and_a_plain_float_and_nothing_else(graded: Graded) -> None:
    """Anything else would be full marks or none for nbgrader."""
    seen = 0
    for file in sorted((graded.folder / "autograded").glob("*/bridge/bridge.ipynb")):
        for cell in load(file.read_bytes()).cells:
            if grade_id(cell).endswith("-check"):
                assert [(o.output_type, o.get("name")) for o in cell.outputs] == [
                    ("stream", "stdout"),
                    ("execute_result", None),
                ]
                assert re.fullmatch(r"\d\.\d{1,2}", cell.outputs[1].data["text/plain"])
                assert determine_grade(cell)[0] == float(cell.outputs[1].data["text/plain"])
                seen += 1
    assert seen == 14 * 6


# What the instructor sees ------------------------------------------------------------------------------------------


def test_the_command_prints_scores_slips_questions_and_places(graded: Graded) -> None:
    said = graded.command.said
    assert graded.command.code == 1, said
    assert re.search(r"app-03 +3 +0 +→2 +5 +→3 +→4 +17 +85", said)
    assert "2 of 13: R set equal to Xc" in said
    assert "2 of 13: line and phase voltage mixed up" in said
    assert re.search(r"app-13 bridge \(graded, look at it\): the file was put right: it is damaged or cut short", said)
    assert re.search(r"app-14 bridge \(graded, look at it\): the file is not a notebook", said)
    assert "the begin cell says learner 'app-21', the file is from 'app-12'" in said
    assert str(graded.folder / "grades.csv") in said
    rows = [line for line in said.splitlines() if line.startswith(" app-")]
    assert len(rows) == 14
    assert max(len(line.rstrip()) for line in rows) <= 80


def test_messages_of_nbgrader_go_to_the_log_only(graded: Graded) -> None:
    for word in ("INFO", "WARNING", "Warning", "Converting", "Traceback"):
        assert word not in graded.command.said
    assert "Converting notebook" in (graded.folder / "grading.log").read_text(encoding="utf-8")


def test_grades_csv_has_a_row_per_learner_and_a_column_per_check(graded: Graded) -> None:
    rows = table(graded.folder / "grades.csv")
    assert [row["learner"] for row in rows] == [*KNOWN, "app-13", "app-14"]
    for row, known in zip(rows, KNOWN.values(), strict=False):
        assert tuple(float(row[check]) for check in CHECKS) == known
        assert float(row["points"]) == sum(known)
        assert float(row["maximum"]) == 20
    assert [row["status"] for row in rows[10:]] == ["graded", "look at", "look at", "look at"]
    assert [row["points"] for row in rows[12:]] == ["6", "0"]


def test_marks_csv_tells_slip_and_follow_through(graded: Graded) -> None:
    rows = {(row["learner"], row["check"]): row for row in table(graded.folder / "marks.csv")}
    assert len(rows) == 14 * 6
    assert rows["app-03", "resistance"]["slip"] == "multiplied by √3 instead of dividing"
    assert (rows["app-03", "power"]["followed"], rows["app-01", "power"]["followed"]) == ("yes", "")
    assert rows["app-06", "residual"]["outcome"] == "blank"
    assert rows["app-11", "power"]["outcome"] == "unreadable"


def test_every_learner_gets_a_feedback_page_that_gives_nothing_away(graded: Graded) -> None:
    """No solution, no hidden text, and of a wrong answer not the right number."""
    for learner, known in KNOWN.items():
        page = (graded.folder / "feedback" / learner / "bridge" / "bridge.html").read_text(encoding="utf-8")
        assert f"Score: {float(sum(known))} / 20.0" in page
        for word in ("BEGIN SOLUTION", "HIDDEN", "outcome"):
            assert word not in page
        begun_as = "app-21" if learner == "app-12" else learner
        right = truths(task("bridge"), draw_brief(task("bridge"), begun_as, CLASS_CODE))
        for check, points in zip(CHECKS, known, strict=True):
            if points == 0 and check != "volts":
                unit = {"power": "W", "residual": "V"}.get(check, "Ω")
                assert render(right[check], unit) not in page
                assert f"{right[check]:.4g}" not in page


# Nothing is lost ---------------------------------------------------------------------------------------------------


def test_feedback_pages_are_those_of_nbgraders_own_command(graded: Graded, tmp_path: Path) -> None:
    """Ours leave out a second parse of each page: parsed alike, they equal those of `nbgrader generate_feedback`."""
    stock_config(tmp_path)
    shutil.copytree(graded.folder, tmp_path / "class", ignore=shutil.ignore_patterns("feedback"))
    done = run("nbgrader", "generate_feedback", "bridge", cwd=tmp_path, own_path=True)
    assert done.code == 0, done.said
    theirs = sorted((tmp_path / "class" / "feedback").glob("*/bridge/bridge.html"))
    assert {page.parts[-3] for page in theirs} > set(KNOWN)
    for page in theirs:
        ours = graded.folder / page.relative_to(tmp_path / "class")
        parsed = BeautifulSoup(ours.read_text(encoding="utf-8"), features="html.parser")
        assert str(parsed) == page.read_text(encoding="utf-8"), page
        assert all(picture.get("alt") for picture in parsed.select("img"))


def test_what_was_handed_in_is_kept_byte_for_byte(graded: Graded) -> None:
    for learner in KNOWN:
        came = [
            p
            for p in (graded.folder / "inbox").rglob("*.ipynb")
            if p.parent.name == learner or p.stem == f"{learner}_bridge"
        ]
        kept = graded.folder / "received" / learner / "bridge" / "bridge.ipynb"
        assert [p.read_bytes() for p in came] == [kept.read_bytes()]


def test_a_second_run_grades_nothing_again_and_changes_nothing(graded: Graded, tmp_path: Path) -> None:
    shutil.copytree(graded.folder, tmp_path / "class")
    before = {p: p.read_bytes() for p in (tmp_path / "class").rglob("*") if p.is_file() and p.suffix != ".log"}
    folder, result = again(graded, tmp_path)
    after = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.suffix != ".log"}
    assert result.unchanged == 14
    assert {p: after[p] for p in before} == before
    assert {p.name for p in after.keys() - before.keys()} <= {"gradebook.db"}


def test_changed_work_is_graded_again_beside_marks_set_by_hand(graded: Graded, tmp_path: Path) -> None:
    """One learner hands in better work, an instructor had set a mark by hand: both stay, and so does the old file."""
    folder = tmp_path / "class"
    shutil.copytree(graded.folder, folder)
    file = folder / "inbox" / "app-03" / "bridge.ipynb"
    old = file.read_bytes()
    file.write_bytes(old.replace(b"reactance * 3 ** 0.5", b"reactance / 3 ** 0.5"))
    with Gradebook(f"sqlite:///{(folder / 'gradebook.db').as_posix()}", COURSE_ID) as book:
        for learner, points in (("app-03", 0.5), ("app-08", 2.5)):
            book.find_grade("power-check", "bridge", "bridge", learner).manual_score = points
        book.db.commit()
    _, result = again(graded, tmp_path)
    assert result.unchanged == 13
    points = {r.learner: {row.check: row.points for row in r.rows} for r in result.records}
    assert points["app-03"] == {**dict(zip(CHECKS, KNOWN["app-01"], strict=True)), "power": 0.5}
    assert points["app-08"]["power"] == 2.5
    assert {r.learner for r in result.records if any(row.by_hand for row in r.rows)} == {"app-03", "app-08"}
    assert {row["learner"]: row["power"] for row in table(folder / "grades.csv")}["app-08"] == "2.5"
    page = (folder / "feedback" / "app-08" / "bridge" / "bridge.html").read_text(encoding="utf-8")
    assert "Score: 5.5 / 20.0" in page
    kept = next((folder / "backups").glob("*/received/app-03/bridge/bridge.ipynb"))
    assert kept.read_bytes() == old
    for name in ("autograded/app-03/bridge/bridge.ipynb", "records/app-03/bridge.json", "gradebook.db", "grades.csv"):
        assert len(list((folder / "backups").glob(f"*/{name}"))) == 1


def test_a_fault_of_ours_costs_one_submission_and_none_of_its_marks(
    graded: Graded, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the worker raises, the others are graded and the earlier marks stand."""

    def fails(job: worker.Job) -> worker.Graded:
        raise LookupError(f"no idea what to do\nwith {job.learner}")

    folder = tmp_path / "class"
    shutil.copytree(graded.folder, folder)
    file = folder / "inbox" / "app-01" / "bridge.ipynb"
    file.write_bytes(file.read_bytes().replace(b"reactance / 3", b"reactance/ 3"))
    monkeypatch.setattr(worker, "grade", fails)
    here = nullcontext(Workers(lambda: ThreadPoolExecutor(1), 1))
    result = grade_folder(folder / "inbox", root=ROOT, class_folder=folder, class_code=CLASS_CODE, workers=here)
    lines = [p.reason for p in result.problems if p.learner == "app-01"]
    assert len(lines) == 1
    assert lines[0].startswith("could not be graded (LookupError: no idea what to do with app-01)")
    assert lines[0].endswith("the marks of an earlier file stand")
    assert "no idea what to do" in (folder / "grading.log").read_text(encoding="utf-8")
    assert result.unchanged == 13
    assert automatic_scores(folder) == automatic_scores(graded.folder)


def test_the_demo_class_is_the_same_every_time(graded: Graded, tmp_path: Path) -> None:
    files = make_class(tmp_path, root=ROOT)
    assert len(files) == 14
    for file in files:
        assert file.read_bytes() == (graded.folder / "inbox" / file.relative_to(tmp_path)).read_bytes()
