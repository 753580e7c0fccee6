"""Broken, edited and hostile work in one class with honest work: each gets its marks or its line."""

from __future__ import annotations

import json
import shutil
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from grading_runs import COURSE_ID, ROOT, automatic_scores
from nbformat import v4
from nbgrader.api import Gradebook
from sandbox_runs import require_sandbox

from phasorkit.course.grading.converting import nbgrader_at_work
from phasorkit.course.grading.demo import filled_in
from phasorkit.course.grading.demo_work import Pupil
from phasorkit.course.grading.kernel import Limits
from phasorkit.course.grading.notebooks import dump, load
from phasorkit.course.grading.records import ClassResult, Record
from phasorkit.course.grading.run import grade_folder
from phasorkit.course.grading.worker import Job, grade

CODE = "PUMP-24"
RELEASE = (ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
UNREADABLE = {"cut": "cut short", "page": "not a notebook", "empty": "is empty", "old": "without any cell"}
BLANK = {name: None for name in ("reactance", "resistance", "preferred", "volts", "power", "residual")}
Cells = list[dict[str, Any]]


def answer(cells: Cells, name: str) -> dict[str, Any]:
    return next(c for c in cells if c["metadata"].get("nbgrader", {}).get("grade_id") == name)


def delete_checks(cells: Cells) -> None:
    """Two check cells that are neighbours but for their answer cells, and the import cell."""
    gone = ("preferred-check", "volts-check", "bridge-import")
    cells[:] = [c for c in cells if c["metadata"].get("nbgrader", {}).get("grade_id") not in gone]


def forge_checks(cells: Cells) -> None:
    """Check cells that give full marks by themselves, with outputs to match; the answers stay blank."""
    answer(cells, "reactance-check")["source"] = "3.0"
    answer(cells, "resistance-check")["source"] = 'check = lambda name: 3.0\ncheck("resistance")'
    for cell in cells:
        if cell["metadata"].get("nbgrader", {}).get("grade"):
            cell["metadata"]["nbgrader"]["points"] = 100
            cell["outputs"] = [
                {"output_type": "execute_result", "execution_count": 1, "metadata": {}, "data": {"text/plain": "3.0"}}
            ]


def foreign_schema(cells: Cells) -> None:
    """A schema that is not known, and an answer cell copied below the notebook under the same name."""
    for cell in cells:
        if "nbgrader" in cell["metadata"]:
            cell["metadata"]["nbgrader"]["schema_version"] = 99
    cells.append(dict(answer(cells, "power-answer"), id="copy"))


def say(name: str, source: str) -> Callable[[Cells], None]:
    """Write something else into an answer cell."""

    def change(cells: Cells) -> None:
        answer(cells, f"{name}-answer")["source"] = source

    return change


def say_all(*sources: str) -> Callable[[Cells], None]:
    """The same for all six answer cells."""

    def change(cells: Cells) -> None:
        for name, source in zip(BLANK, sources, strict=True):
            answer(cells, f"{name}-answer")["source"] = source

    return change


EQUAL = (
    "class E:\n    def __eq__(self, other): return True\n    __float__ = __abs__ = __sub__ = lambda *a: 0.0\n"
    "    __hash__ = None\n    def keys(self): return ['123']\n    __getitem__ = lambda self, k: E()\n"
)
STRANGE = (
    "reactance = float('nan')",
    "resistance = 10 ** 4000",
    "preferred = '<script>alert(1)</script>'",
    "volts = {'123': {'R1': float('inf')}, '132': [1e999]}",
    "power = 3 + 4j",
    "residual = 'x' * 10 ** 7",
)
SHADOWS = "import builtins, json\nprint = str = check = repr = None\njson.dumps = lambda *a: '{}'\nbuiltins.float = int"
DEAF = "import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass"
WARNS = "import sys, warnings\nwarnings.warn('careful')\nprint('x', file=sys.stderr)\npreferred = 1.0"
WORK: dict[str, tuple[Pupil, Callable[[Cells], None] | None]] = {
    "good": (Pupil("good"), None),
    "missing": (Pupil("missing"), delete_checks),
    "forged": (Pupil("forged", BLANK), forge_checks),
    "schema": (Pupil("schema"), foreign_schema),
    "loop": (Pupil("loop"), say("preferred", "while True: pass")),
    "deaf": (Pupil("deaf"), say("preferred", DEAF)),
    "exit": (Pupil("exit"), say("preferred", "import os\nos._exit(0)")),
    "equal": (Pupil("equal"), say_all(*(f"{EQUAL}{name} = E()" for name in BLANK))),
    "strange": (Pupil("strange"), say_all(*STRANGE)),
    "shadow": (Pupil("shadow"), None),
    "warns": (Pupil("warns"), say("preferred", WARNS)),
    "surrogate": (Pupil("surrogate"), say("preferred", "print('\\ud800')  # \ud800")),
    "nobody": (Pupil("nobody"), None),
    "other": (Pupil("other"), None),
}


def written(release: bytes, name: str) -> bytes:
    """One notebook of the class."""
    pupil, change = WORK[name]
    document = json.loads(filled_in(release, pupil, "PUMP-23" if name == "other" else CODE))
    cells = document["cells"]
    if name == "nobody":
        begin = next(c for c in cells if "begin(" in "".join(c["source"]) and "bridge" in "".join(c["source"]))
        begin["source"] = 'brief = begin("bridge", learner="", class_code="")'
    elif name == "shadow":
        after = cells.index(answer(cells, "reactance-answer"))
        cells.insert(
            after,
            {
                "cell_type": "code",
                "id": "own",
                "metadata": {},
                "outputs": [],
                "execution_count": None,
                "source": SHADOWS,
            },
        )
    elif change:
        change(cells)
    return json.dumps(document).encode()


@pytest.fixture(scope="module")
def result(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ClassResult]:
    """The class, graded into a folder whose gradebook already holds another exercise with marks."""
    require_sandbox()
    base = tmp_path_factory.mktemp("broken")
    for name in WORK:
        (base / "inbox" / name).mkdir(parents=True)
        (base / "inbox" / name / "bridge.ipynb").write_bytes(written(RELEASE, name))
    (base / "inbox" / "good" / "bridge").mkdir()
    (base / "inbox" / "good" / "bridge.ipynb").rename(base / "inbox" / "good" / "bridge" / "bridge.ipynb")
    (base / "inbox" / "good" / "bridge" / "timestamp.txt").write_text("2025-02-03 10:15:00 UTC", encoding="utf-8")
    for name, data in (("cut", RELEASE[:90]), ("page", b"<html>"), ("empty", b""), ("old", b'{"nbformat": 3}')):
        (base / "inbox" / f"{name}_bridge.ipynb").write_bytes(data)
    (base / "class").mkdir()
    with warnings.catch_warnings(), nbgrader_at_work():
        warnings.simplefilter("ignore")
        with Gradebook(f"sqlite:///{(base / 'class' / 'gradebook.db').as_posix()}", COURSE_ID) as book:
            book.add_assignment("welding")
            book.add_student("app-77", first_name="kept")
        yield grade_folder(
            base / "inbox", root=ROOT, class_folder=base / "class", class_code=CODE, limits=Limits(10, 300)
        )


def record(result: ClassResult, learner: str) -> Record:
    return next(r for r in result.records if r.learner == learner)


def points(result: ClassResult, learner: str) -> list[float]:
    return [row.points for row in record(result, learner).rows]


def kinds(result: ClassResult, learner: str) -> set[str]:
    return {flag.kind for flag in record(result, learner).flags}


ALL = [3.0, 3.0, 2.0, 5.0, 3.0, 4.0]


def test_honest_work_among_broken_work_is_marked_in_full(result: ClassResult) -> None:
    assert points(result, "good") == ALL
    assert kinds(result, "good") == set()
    assert {r.learner for r in result.records} == {*WORK, *UNREADABLE}


def test_unreadable_files_get_rows_without_marks_and_one_line_each(result: ClassResult) -> None:
    assert result.problems == ()
    assert result.needs_a_person
    for learner, word in UNREADABLE.items():
        lines = [flag.text for flag in record(result, learner).flags]
        assert word in lines[0]
        assert "\n" not in lines[0]
        assert points(result, learner) == [0.0] * 6
        assert all(word in row.note for row in record(result, learner).rows)


def test_unreadable_work_does_not_take_away_earlier_marks(result: ClassResult, tmp_path: Path) -> None:
    """Work was graded; then a damaged file comes in its place: the marks stand, and the instructor is told."""
    folder = tmp_path / "class"
    shutil.copytree(result.class_folder, folder)
    (tmp_path / "inbox").mkdir()
    (tmp_path / "inbox" / "good_bridge.ipynb").write_bytes(b"<html>")
    (tmp_path / "inbox" / "page_bridge.ipynb").write_bytes(written(RELEASE, "good").replace(b'\\"good', b'\\"page'))
    again = grade_folder(tmp_path / "inbox", root=ROOT, class_folder=folder, class_code=CODE)
    assert points(again, "good") == ALL
    assert [p.reason for p in again.problems] == [
        "is not a notebook (there is no JSON in it); the marks of an earlier file stand"
    ]
    assert points(again, "page") == ALL
    assert kinds(again, "page") == set()


def test_missing_check_cells_are_put_back_and_marked(result: ClassResult) -> None:
    assert points(result, "missing") == ALL
    assert kinds(result, "missing") == {"missing"}


def test_edited_checks_and_forged_outputs_change_no_marks(result: ClassResult) -> None:
    assert points(result, "forged") == [0.0] * 6
    assert kinds(result, "forged") == {"edited"}


def test_foreign_metadata_and_doubled_cells_are_graded(result: ClassResult) -> None:
    assert points(result, "schema") == ALL
    assert "doubled" in kinds(result, "schema")


def test_an_endless_cell_costs_its_own_answer_only(result: ClassResult) -> None:
    """Power and volts do not need the preferred value; residual does, and its cell fails."""
    assert points(result, "loop") == [3.0, 3.0, 0.0, 5.0, 3.0, 0.0]
    assert kinds(result, "loop") == {"stopped"}


@pytest.mark.parametrize("learner", ["deaf", "exit"])
def test_a_lost_kernel_keeps_the_marks_earned_before(result: ClassResult, learner: str) -> None:
    assert points(result, learner) == [3.0, 3.0, 0.0, 0.0, 0.0, 0.0]
    assert kinds(result, learner) == {"stopped"}
    assert "Not marked" in record(result, learner).rows[-1].note
    assert record(result, learner).seconds < 300  # the notebook's whole time was not waited for


def test_objects_that_equal_everything_earn_nothing(result: ClassResult) -> None:
    assert points(result, "equal") == [0.0] * 6
    assert {row.outcome for row in record(result, "equal").rows} <= {"unreadable"}


def test_strange_values_earn_nothing_and_break_nothing(result: ClassResult) -> None:
    """NaN, infinity, huge numbers and texts, HTML, complex: none is full marks, none reaches a page as markup."""
    assert points(result, "strange") == [0.0] * 6
    page = (result.class_folder / "feedback" / "strange" / "bridge" / "bridge.html").read_text(encoding="utf-8")
    assert "<script>alert(1)" not in page


def test_names_the_learner_shadows_do_not_matter_to_the_checks(result: ClassResult) -> None:
    """An answer that cannot be handed over is no answer, never full marks."""
    assert all(0.0 <= p <= m for p, m in zip(points(result, "shadow"), ALL, strict=True))
    assert points(result, "shadow") != ALL


def test_a_warning_on_stderr_costs_nothing(result: ClassResult) -> None:
    assert points(result, "warns")[:2] == [3.0, 3.0]
    assert points(result, "warns")[3:5] == [5.0, 3.0]


def test_no_id_means_no_marks_and_a_question(result: ClassResult) -> None:
    assert points(result, "nobody") == [0.0] * 6
    assert kinds(result, "nobody") == {"begin"}


def test_another_class_code_is_flagged_and_marked_by_its_own_numbers(result: ClassResult) -> None:
    assert points(result, "other") == ALL
    assert kinds(result, "other") == {"class code"}
    assert "'pump-23'" in record(result, "other").flags[0].text


def test_half_a_character_stops_nothing(result: ClassResult) -> None:
    """A lone surrogate cannot be stored as UTF-8; the rest of the work counts."""
    assert points(result, "surrogate")[:2] == [3.0, 3.0]


def test_the_time_a_submission_came_in_reaches_the_gradebook(result: ClassResult) -> None:
    with Gradebook(f"sqlite:///{(result.class_folder / 'gradebook.db').as_posix()}", COURSE_ID) as book:
        assert str(book.find_submission("bridge", "good").timestamp) == "2025-02-03 10:15:00"


def test_the_gradebook_has_the_same_points(result: ClassResult) -> None:
    scores = automatic_scores(result.class_folder)
    for r in result.records:
        assert [scores[r.learner, f"{row.check}-check"] for row in r.rows] == [row.points for row in r.rows]


def test_what_the_gradebook_held_before_is_still_there(result: ClassResult) -> None:
    for file in (result.class_folder / "gradebook.db", *result.class_folder.glob("backups/*/gradebook.db")):
        with Gradebook(f"sqlite:///{file.as_posix()}", COURSE_ID) as book:
            assert [a.name for a in book.assignments if a.name == "welding"] == ["welding"]
            assert book.find_student("app-77").first_name == "kept"
    assert len(list(result.class_folder.glob("backups/*/gradebook.db"))) == 1


def test_learners_files_stay_out_of_the_class_folder(result: ClassResult) -> None:
    known = {"received", "submitted", "autograded", "feedback", "records", "backups"}
    assert {p.name for p in result.class_folder.iterdir() if p.is_dir()} == known
    assert not list(result.class_folder.rglob("*.part"))


def test_a_notebook_of_many_slow_cells_is_stopped_in_all() -> None:
    """A limit per cell alone is no bound on a notebook."""
    require_sandbox()
    slow = [v4.new_code_cell("import time\ntime.sleep(1.5)") for _ in range(200)]
    graded = grade(Job("slow", "bridge", dump(v4.new_notebook(cells=slow)), {}, limits=Limits(60, 3)))
    assert graded.record.seconds < 200  # all of it would take 300
    assert "longer than 3 s in all" in graded.record.flags[-1].text
    assert load(graded.notebook).cells[-1].outputs[0].ename == "NotRun"
