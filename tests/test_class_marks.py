"""A class with its own marks in both graders; what is told of the library; ids that change; a resit."""

from __future__ import annotations

import json
import re
import shutil
import warnings
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import pytest
from grading_runs import ROOT, Command, Scores, automatic_scores, run, stock
from nbgrader.api import Gradebook

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.demo import CLASS_CODE, filled_in, make_class
from phasorkit.course.grading.demo_work import RIGHT, Pupil
from phasorkit.course.grading.own_code import NOTICED, handed_out, told_of_library
from phasorkit.course.grading.records import Record, load
from phasorkit.course.model import task

MARKS = "[bridge.resistance]\npoints = 5\npercent = 4\n[bridge.preferred]\npoints = 2.5\n[bridge.power]\npercent = 20\n"
RELEASE = (ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
SIZED = (
    "from phasorkit.indicators import circuit\n"
    'found = circuit("divider-bridge").sized(\n'
    "    capacitance=brief.capacitance, frequency=brief.frequency, line_voltage=brief.line_voltage\n)\n"
    "resistance = found.resistance"
)
HELPED = f"hint('power')\n{RIGHT['power']}\nprogress()\nhint('power')"
KNOWN = {
    # learner: reactance 3, resistance 5, preferred 2.5, volts 5, power 3, residual 4: the demo's work, see there
    "app-01": (3, 5, 2.5, 5, 3, 4),
    "app-03": (3, 0, 2.5, 5, 3, 4),
    "app-07": (1.5, 2.5, 1.25, 5, 0, 0),  # half of the marks for a lost prefix, of the class's marks
    "app-09": (3, 5, 2.5, 4, 3, 0),  # power without the ten per cent is 17 % off: right within this class's 20 %
    "app-10": (3, 5, 1.25, 2.5, 0, 4),
    "app-31": (3, 5, 2.5, 5, 3, 4),  # by the library: noticed, not punished
    "app-32": (3, 5, 2.5, 5, 3, 4),  # began as app-01
    "app-33": (3, 5, 2.5, 5, 3, 4),  # with hints and progress in the answer's cell
}
CHECKS = ("reactance", "resistance", "preferred", "volts", "power", "residual")


@dataclass(frozen=True)
class Graded:
    """Inbox and class folder of ours, what our command said, and the course folder of stock nbgrader."""

    inbox: Path
    folder: Path
    command: Command
    course: Path

    def record(self, learner: str) -> Record:
        """Our record of a learner's work."""
        found = load(self.folder / "records" / learner / "bridge.json")
        assert found is not None
        return found

    def page(self, learner: str) -> str:
        """A learner's feedback page."""
        return (self.folder / "feedback" / learner / "bridge" / "bridge.html").read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def nbgrader_may_warn() -> Iterator[None]:
    """nbgrader's own database layer warns; that is none of ours."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def with_marks(folder: Path, text: str = MARKS) -> Path:
    """A class folder with a file of marks."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "marks.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Graded:
    base = tmp_path_factory.mktemp("marks")
    inbox, folder, course = base / "inbox", with_marks(base / "class"), base / "course"
    with_marks(course / "class")
    make_class(inbox, root=ROOT)
    for pupil in (Pupil("app-31", {"resistance": SIZED}), Pupil("app-32", begins_as="app-01"),
                  Pupil("app-33", {"power": HELPED})):  # fmt: skip
        (inbox / pupil.learner).mkdir()
        (inbox / pupil.learner / "bridge.ipynb").write_bytes(filled_in(RELEASE, pupil, CLASS_CODE))
    with ThreadPoolExecutor() as both:
        theirs = both.submit(stock, course, inbox)
        words = (str(inbox), "--class-folder", str(folder), "--class-code", CLASS_CODE, "--trust-learners")
        ours = both.submit(run, "phasorkit", "grade", *words)
        theirs.result()
        return Graded(inbox, folder, ours.result(), course)


def scores_of(scores: Scores, learner: str) -> tuple[float | None, ...]:
    """A learner's scores in the order of the checks."""
    return tuple(scores[learner, f"{check}-check"] for check in CHECKS)


# --- marks ------------------------------------------------------------------------------------------------------


def test_both_graders_give_the_classs_marks(graded: Graded) -> None:
    """Stock nbgrader, with the same file in its class folder, mark for mark; and what was worked out by hand."""
    ours, theirs = automatic_scores(graded.folder), automatic_scores(graded.course / "class")
    assert len(theirs) == 12 * 6
    assert {key: points for key, points in ours.items() if key in theirs} == theirs
    assert {learner: scores_of(ours, learner) for learner in KNOWN} == KNOWN


def test_gradebook_tables_and_feedback_have_the_classs_maxima(graded: Graded) -> None:
    """22.5 marks in all, in nbgrader's gradebook of both, in the table, in the report and under each check."""
    for folder in (graded.folder, graded.course / "class"):
        with Gradebook(f"sqlite:///{(folder / 'gradebook.db').as_posix()}", "phasorkit") as book:
            assert book.find_assignment("bridge").max_score == 22.5
    assert graded.record("app-01").maximum == 22.5
    assert "of 5 marks" in graded.page("app-03")
    rows = (graded.folder / "grades.csv").read_text(encoding="utf-8-sig").splitlines()
    assert rows[1].startswith("app-01,bridge,graded,22.5,22.5,100.0,3,5,2.5,5,3,4")
    assert "of 22.5 marks" in (graded.folder / "report.html").read_text(encoding="utf-8")


def test_a_learner_is_told_where_the_file_lies_beside_the_notebook(graded: Graded) -> None:
    """In stock's kernels, which find the class's file, begin says what differs from the text."""
    marked = (graded.course / "class" / "autograded" / "app-01" / "bridge" / "bridge.ipynb").read_text("utf-8")
    assert "resistance: 5 marks, within 4 %" in marked


def test_a_changed_file_grades_again_and_the_button_follows_it(graded: Graded, tmp_path: Path) -> None:
    """The gradebook's maxima change with it, nothing else is worked out twice; nbgrader's own command agrees."""
    for name in ("solutions", "exercises"):
        shutil.copytree(ROOT / name, tmp_path / name)
    shutil.copy(ROOT / "nbgrader_config.py", tmp_path)
    folder = tmp_path / "class"
    shutil.copytree(graded.folder, folder)
    one = tmp_path / "inbox" / "app-03"
    shutil.copytree(graded.inbox / "app-03", one)
    words = ("phasorkit", "grade", str(one.parent), "--class-folder", str(folder), "--class-code", CLASS_CODE)
    words = (*words, "--trust-learners")
    done = run(*words)
    assert "1 of them unchanged" in done.said
    with_marks(folder, "[bridge.power]\npoints = 9\n[sequence.line]\npoints = 7\n")
    done = run(*words)
    assert "unchanged" not in done.said
    assert scores_of(automatic_scores(folder), "app-03") == (3, 0, 2, 5, 9, 4)
    with_marks(folder, "[bridge.power]\npoints = 12\n")
    done = run("nbgrader", "autograde", "bridge", "--student", "app-03", "--force", cwd=tmp_path, own_path=True)
    assert done.code == 0, done.said
    assert scores_of(automatic_scores(folder), "app-03") == (3, 0, 2, 5, 12, 4)


def test_a_file_that_cannot_be_used_stops_both_before_anything_is_graded(graded: Graded, tmp_path: Path) -> None:
    """One line that names the check; the gradebook is as it was."""
    folder = tmp_path / "class"
    shutil.copytree(graded.folder, folder)
    with_marks(folder, "[bridge.pover]\npoints = 2\n")
    before = automatic_scores(folder)
    done = run("phasorkit", "grade", str(graded.inbox), "--class-folder", str(folder), "--trust-learners")
    assert done.code == 2
    assert "bridge has no check 'pover'" in done.said
    assert automatic_scores(folder) == before
    course = tmp_path / "course"
    shutil.copytree(ROOT / "solutions" / "bridge", course / "solutions" / "bridge")
    shutil.copy(ROOT / "nbgrader_config.py", course)
    with_marks(course / "class", "[bridge.power]\npercent = 90\n")
    done = run("nbgrader", "generate_assignment", "bridge", cwd=course, own_path=True)
    assert done.code != 0
    assert "percent must be a number from 0.1 to 20, got 90" in done.said


# --- help, library, ids -----------------------------------------------------------------------------------------


def test_hints_and_progress_do_nothing_while_it_is_graded(graded: Graded) -> None:
    """No output, no mark, no flag; the answer in the same cell counts."""
    record = graded.record("app-33")
    assert not record.flags
    page = graded.page("app-33")
    assert "Hint 1 of" not in page
    assert "Progress of" not in page


def test_use_of_the_library_is_told_and_not_punished(graded: Graded) -> None:
    """Below the one check it stands before, in the feedback; in the report as a question to a person; full marks."""
    words = NOTICED.format(modules="phasorkit.indicators")
    assert [words in graded.page(learner) for learner in ("app-31", "app-01")] == [True, False]
    assert graded.page("app-31").count("Noticed:") == 1
    report = (graded.folder / "report.html").read_text(encoding="utf-8")
    assert "uses phasorkit.indicators in resistance-answer" in report
    assert "Ask how the answer came about" in report
    assert len(re.findall("uses phasorkit", report)) == 1


CASES = {
    "not by the library": ("resistance-answer", "resistance = 1", None),
    "calculator": ("resistance-answer", "from phasorkit.quantities import parse", None),
    "handed out elsewhere": ("volts-answer", "from phasorkit.network import Network", "phasorkit.network"),
    "handed out here": ("residual-answer", "from phasorkit.network import Network", None),
    "by name": ("power-answer", "__import__('phasorkit.indicators')", "phasorkit.indicators"),
    "at the command line": ("power-answer", "!phasorkit size divider-bridge --capacitor 4n7", "phasorkit size"),
    "as a list": ("power-answer", "run([python, '-m', 'phasorkit', 'size'])", "phasorkit size"),
    "a cell that does not parse": ("power-answer", "import phasorkit.indicators as i; x = = 2", "phasorkit.indicators"),
}


@pytest.mark.parametrize("case", CASES)
def test_what_counts_as_use_of_the_library(case: str) -> None:
    """In which cell it stands decides; reading values with units is a calculator's work."""
    cell, code, module = CASES[case]
    notebook = json.loads(RELEASE)
    for there in notebook["cells"]:
        if there["id"] == cell:
            there["source"] = [*there["source"], "\n", code]
    checks = {f"{check}-check": check for check in CHECKS}
    told = told_of_library(json.dumps(notebook).encode(), RELEASE, checks)
    assert told == ({cell.removesuffix("-answer"): NOTICED.format(modules=module)} if module else {})


def test_an_exercise_that_is_not_by_hand_asks_nothing() -> None:
    """Where no text says that it is done by hand, the library may be used."""
    text = RELEASE.decode("utf-8")
    assert handed_out(RELEASE)
    free = re.sub("by hand", "any way you like", text, flags=re.I).encode()
    notebook = free.replace(b"resistance = None", b"import phasorkit.indicators\\nresistance = None")
    assert told_of_library(notebook, free, {"resistance-check": "resistance"}) == {}


def test_when_an_id_changes_the_numbers_of_the_begin_cell_count(graded: Graded) -> None:
    """Work begun as app-01 and handed in as app-32: full marks for app-01's numbers, and a question to a person."""
    record = graded.record("app-32")
    assert record.points == record.maximum
    assert [flag.kind for flag in record.flags] == ["learner"]
    assert "the begin cell says learner 'app-01', the file is from 'app-32'" in record.flags[0].text
    report = (graded.folder / "report.html").read_text(encoding="utf-8")
    assert "an id that has changed since" in report
    assert graded.record("app-01").points == 22.5


def test_a_resit_has_other_numbers_and_last_terms_work_does_not_fit() -> None:
    """A suffix to the class's code: nearly everybody has other numbers, in every exercise; spelling does not matter."""
    exercise = task("bridge")
    pairs = [(draw_brief(exercise, f"app-{n:02}", "PUMP-24"), draw_brief(exercise, f"app-{n:02}", "PUMP-24-R"))
             for n in range(100)]  # fmt: skip
    assert sum(first.values != second.values for first, second in pairs) >= 95
    assert draw_brief(exercise, "app-01", "pump-24-r ") == draw_brief(exercise, "app-01", "PUMP-24-R")
