"""`hint` and `progress`: steps, the learner's own page, nothing lost or sent, and no effect on marks or grading."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import nbformat
import pytest
from course_cases import right_answers, stray_digits
from nbclient import NotebookClient

from phasorkit.course import best_so_far
from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import task, tasks

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
ROOT = Path(__file__).resolve().parent.parent
START = "from phasorkit.course import begin, check, hint, progress\nbegin('bridge', learner='me', class_code='A-1')\n"
RIGHT = right_answers(task("bridge"), draw_brief(task("bridge"), "me", "A-1"))


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for the progress of one test; not graded."""
    monkeypatch.setenv("PHASORKIT_PROGRESS", str(tmp_path / "progress"))
    monkeypatch.delenv("NBGRADER_EXECUTION", raising=False)
    return tmp_path / "progress"


def run(code: str, **names: Any) -> dict[str, Any]:
    """Run code in a namespace of its own, as a notebook's kernel would."""
    namespace: dict[str, Any] = {"__name__": "__main__", **names}
    exec(compile(code, "<cell>", "exec"), namespace)
    return namespace


def test_each_call_gives_one_more_hint(capsys: pytest.CaptureFixture[str]) -> None:
    """A nudge, the law, the set-up; then all again, and where to read on. Other checks have their own count."""
    hints = task("bridge").check("resistance").hints
    run(START)
    capsys.readouterr()
    names = run(START)
    for calls in (1, 2, 3, 4):
        capsys.readouterr()
        exec("hint('resistance')", names)
        said = " ".join(capsys.readouterr().out.split())
        assert [h for h in hints if h in said] == list(hints[:calls])
        assert ("These are all hints" in said) == (calls >= 3)
    exec("hint('power')", names)
    assert capsys.readouterr().out.startswith("Hint 1 of 3 to power: ")


@pytest.mark.parametrize("name", sorted(tasks()))
def test_every_check_has_hints_and_they_hold_no_number(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A nudge, the law to use, the set-up; no digit but in names, so no result."""
    names = run(f"from phasorkit.course import begin, hint\nbegin({name!r}, learner='me')\n")
    for check in task(name).checks:
        assert len(check.hints) == 3, check.name
        assert not [d for h in check.hints for d in stray_digits(h)], check.name
        capsys.readouterr()
        exec(f"hint({check.name!r})", names)
        assert capsys.readouterr().out.startswith(f"Hint 1 of {len(check.hints)} to {check.name}: ")


@pytest.mark.parametrize("call", ["hint('reactance')", "progress()"])
def test_before_begin_and_for_a_wrong_name_it_says_what_to_do(call: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A line, never an error."""
    run("from phasorkit.course import hint, progress\n" + call)
    assert capsys.readouterr().out.startswith("No exercise is under way")
    run(START + "hint('impedance')")
    assert "it has reactance, resistance" in capsys.readouterr().out


def test_hints_and_progress_change_no_marks(capsys: pytest.CaptureFixture[str]) -> None:
    """The same points and words with them and without."""
    work = "points = check('resistance')"
    run(START + work, resistance=RIGHT["resistance"])
    plain = capsys.readouterr().out
    helped = run(START + "hint('resistance')\n" * 4 + "progress()\n" + work, resistance=RIGHT["resistance"])
    assert helped["points"] == 3.0
    assert plain.splitlines()[-1] == capsys.readouterr().out.splitlines()[-1]


def test_the_page_shows_the_best_so_far_and_what_is_next(capsys: pytest.CaptureFixture[str]) -> None:
    """A later worse answer takes nothing away; a new kernel remembers; another learner and class have their own."""
    code = START + "check('reactance')\ncheck('volts')\nreactance = 1\ncheck('reactance')"
    volts = {"123": RIGHT["volts"]["123"], "132": {}}  # type: ignore[index, call-overload]
    run(code, reactance=RIGHT["reactance"], volts=volts)
    capsys.readouterr()
    run(START + "progress()")
    page = capsys.readouterr().out
    assert "Progress of me · class a-1" in page
    lines = {line.split()[0]: line for line in page.splitlines() if line.startswith("  ")}
    assert lines["reactance"].endswith("3 of 3, done")
    assert lines["volts"].endswith("2.5 of 5")
    assert lines["power"].endswith("not tried")
    assert "1 of 6 checks right" in lines["bridge"]
    assert "5.5 of 20 marks" in lines["bridge"]
    assert "not begun" in lines["sequence"]
    assert page.splitlines()[-1] == 'Next: resistance, in this exercise. A hint is at hand: hint("resistance")'
    order = [line.split()[0] for line in page.splitlines() if line.startswith("  ") and not line.startswith("    ")]
    assert order.index("sequence") < order.index("bridge")
    run(START.replace("'me'", "'you'") + "progress()")
    assert "0 of 6 checks" not in (other := capsys.readouterr().out)
    assert "5.5 of 20" not in other


def test_a_finished_exercise_leads_to_the_next(capsys: pytest.CaptureFixture[str]) -> None:
    """All right: done, and the first exercise that is not."""
    checks = "\n".join(f"check({c.name!r})" for c in task("bridge").checks)
    run(START + checks + "\nprogress()", **RIGHT)
    page = capsys.readouterr().out
    assert "done                  20 of 20 marks" in page
    assert page.splitlines()[-1].startswith("Next: the exercise ")


def test_what_is_kept_is_small_and_on_this_computer(place: Path) -> None:
    """One file per learner, class and exercise, with a name that every system takes; shares, no answers."""
    run(START.replace("'me'", "'a/b: <Zoë>'") + "check('reactance')", reactance=1.0)
    (file,) = place.iterdir()
    assert file.name.startswith("bridge-")
    assert set(file.name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
    assert json.loads(file.read_text(encoding="utf-8"))["best"] == {"reactance": 0.0}


@pytest.mark.parametrize("text", ["", "{", "[]", '{"best": 3}', '{"best": {"reactance": "x", "volts": 7}}', "\x00"])
def test_a_damaged_file_is_passed_over(text: str, place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The check marks as ever, and the file is good again."""
    work = START + "points = check('reactance')\nprogress()"
    run(work, reactance=RIGHT["reactance"])
    (file,) = place.iterdir()
    file.write_text(text, encoding="utf-8")
    assert run(work, reactance=RIGHT["reactance"])["points"] == 3.0
    assert json.loads(file.read_text(encoding="utf-8"))["best"]["reactance"] == 1.0


def test_a_share_that_nobody_can_have_earned_is_passed_over(place: Path) -> None:
    """Never more than the maximum, whatever stands in the file."""
    bridge, me = task("bridge"), draw_brief(task("bridge"), "me", "A-1")
    best_so_far.keep(bridge, me, "power", 3.0)
    (file,) = place.glob("*.json")
    kept = json.loads(file.read_bytes())
    kept["best"] |= {"power": 1.01, "volts": -0.1, "reactance": 0.5}
    file.write_text(json.dumps(kept), encoding="utf-8")
    assert best_so_far.best_of(bridge, "me", "A-1") == {"reactance": 1.5}


def test_where_nothing_can_be_written_nothing_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file in the way of the folder, and no home at all: the check still marks."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setenv("PHASORKIT_PROGRESS", str(tmp_path / "file" / "below"))
    work = START + "points = check('reactance')\nprogress()"
    assert run(work, reactance=RIGHT["reactance"])["points"] == 3.0
    monkeypatch.delenv("PHASORKIT_PROGRESS")

    def no_home() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(best_so_far.Path, "home", no_home)
    assert run(work, reactance=RIGHT["reactance"])["points"] == 3.0


def test_nothing_is_kept_or_said_while_it_is_graded(
    place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In a grader both do nothing at all."""
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    names = run(START + "points = check('reactance')", reactance=RIGHT["reactance"])
    capsys.readouterr()
    exec("hint('reactance'); progress()", names)
    assert capsys.readouterr().out == ""
    assert not place.exists()


def test_the_released_notebook_names_both_and_they_work_in_a_kernel() -> None:
    """The first cell says so in one line; typed as it says into a cell of one's own, it works."""
    notebook = nbformat.read(ROOT / "exercises" / "bridge" / "bridge.ipynb", as_version=4)
    (said,) = [line for line in notebook.cells[0].source.splitlines() if "progress()" in line]
    assert '`hint("reactance")`' in said
    begun = [c for c in notebook.cells if c.id in ("bridge-import", "bridge-begin")]
    for cell in begun:
        cell.source = cell.source.replace('learner=""', 'learner="me"')
    own = nbformat.v4.new_code_cell('hint("reactance")\nprogress()')
    small = nbformat.v4.new_notebook(cells=[*begun, own], metadata=notebook.metadata)
    NotebookClient(small, timeout=300, kernel_name="python3").execute()
    text = "".join(o.text for o in own.outputs)
    assert text.startswith("Hint 1 of 3 to reactance")
    assert "Progress of me" in text


@pytest.mark.parametrize("name", sorted(p.parent.name for p in (ROOT / "exercises").glob("*/*.ipynb")))
def test_every_released_exercise_names_them_once(name: str) -> None:
    """One line in the first cell, and the import."""
    cells = nbformat.read(ROOT / "exercises" / name / f"{name}.ipynb", as_version=4).cells
    assert cells[0].source.count("**Stuck?**") == 1
    assert sum("begin, check, hint, progress" in c.source for c in cells) == 1
