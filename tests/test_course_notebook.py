"""`begin` and `check` in a notebook: the score traps of nbgrader, shadowed names, the released exercise as it is."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import nbformat
import numpy as np
import pytest
from course_cases import LEARNERS, right_answers
from nbclient import NotebookClient
from nbgrader.utils import determine_grade

from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import task
from phasorkit.course.notebook import BeginError, begin, check

ROOT = Path(__file__).resolve().parent.parent
BRIDGE = task("bridge")
IMPORT = "from phasorkit.course import begin, check\n"
BEGUN = IMPORT + "begin('bridge', learner='me')\n"
CHECKED = BEGUN + "points = check('reactance')"
HUGE = 10**5000
ME = right_answers(BRIDGE, draw_brief(BRIDGE, "me", ""))


def run(code: str, **names: Any) -> dict[str, Any]:
    """Run code in a namespace of its own, as a notebook's kernel would."""
    namespace: dict[str, Any] = {"__name__": "__main__", **names}
    exec(compile(code, "<cell>", "exec"), namespace)
    return namespace


def cells(folder: str) -> list[nbformat.NotebookNode]:
    """The cells of the exercise's notebook in `solutions` or `exercises`."""
    return list(nbformat.read(ROOT / folder / "bridge" / "bridge.ipynb", as_version=4).cells)


# --- in plain Python --------------------------------------------------------------------------------------


@pytest.mark.parametrize("learner", [*LEARNERS[::10], "Zoë", "学习者"])
@pytest.mark.parametrize("class_code", ["", "2025-A"])
def test_the_reference_solution_scores_full_marks_for_anybody(
    learner: str, class_code: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The solution notebook's own code, run for other ids and class codes: every check gives its maximum."""
    namespace: dict[str, Any] = {"__name__": "__main__"}
    scores = {}
    for cell in cells("solutions"):
        source = cell.source.replace('learner="", class_code=""', f"learner={learner!r}, class_code={class_code!r}")
        if cell.cell_type == "code" and cell.metadata.get("nbgrader", {}).get("grade"):
            scores[cell.id] = eval(source.splitlines()[-1], namespace)
        elif cell.cell_type == "code":
            exec(source, namespace)
    assert scores == {f"{c.name}-check": c.points for c in BRIDGE.checks}
    assert "own earlier answer" not in capsys.readouterr().out


def test_check_reads_the_answer_and_keeps_a_snapshot(capsys: pytest.CaptureFixture[str]) -> None:
    """Two checks, the second following from the first although the learner has overwritten it since."""
    code = BEGUN + "reactance = 5e5\nfirst = check('reactance')\n"
    code += "reactance = 1\nresistance = 5e5 / 3**0.5\nsecond = check('resistance')\n"
    names = run(code)
    assert (names["first"], names["second"]) == (0.0, 3.0)
    assert "resistance: 3 of 3 marks. Follows rightly from your own earlier answer" in capsys.readouterr().out


def test_a_second_begin_starts_over() -> None:
    """Snapshots of the first run are gone."""
    code = BEGUN + "reactance = 5e5\ncheck('reactance')\nbegin('bridge', learner='me')\n"
    assert run(code + "resistance = 5e5 / 3**0.5\npoints = check('resistance')")["points"] == 0.0


def test_two_notebooks_do_not_mix() -> None:
    """What is under way belongs to one namespace."""
    run(BEGUN)
    assert run(IMPORT + "reactance = 1\npoints = check('reactance')")["points"] == 0.0


def test_check_works_inside_a_function(capsys: pytest.CaptureFixture[str]) -> None:
    """In plain Python the caller's local names count too."""
    begin("bridge", learner="me")
    reactance = ME["reactance"]
    assert reactance
    assert check("reactance") == 3.0
    assert "Right." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("points = check('reactance')", "begin(...)"),
        ("begin('bridge', learner='me')\npoints = check('reactance')", "no variable called reactance"),
        ("begin('bridge', learner='me')\npoints = check('impedance')", "reactance, resistance"),
        ("begin('bridge', learner='me')\nreactance = None\npoints = check('reactance')", "No answer yet"),
    ],
)
def test_what_goes_before_is_asked_for_in_words(code: str, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    """No traceback: a line that says what to do, and 0.0."""
    assert run(IMPORT + code)["points"] == 0.0
    assert words in capsys.readouterr().out


@pytest.mark.parametrize(
    ("call", "words"),
    [
        ({"exercise": "bridge", "learner": ""}, "learner"),
        ({"exercise": "bridge", "learner": " "}, "learner"),
        ({"exercise": "bridge", "learner": 7}, "learner must be a text"),
        ({"exercise": "bridge", "learner": "me", "class_code": None}, "class_code must be a text"),
        ({"exercise": "brigde", "learner": "me"}, "exercise must be one of bridge"),
    ],
)
def test_begin_names_what_is_missing(call: dict[str, Any], words: str) -> None:
    """A clear error with the argument's name; the checks that follow say that begin has to run."""
    with pytest.raises(BeginError, match=words) as caught:
        begin(**call)
    assert len(caught.value._render_traceback_()) == 1
    assert check("reactance") == 0.0


@pytest.mark.parametrize(
    "answer",
    [np.float64(ME["reactance"]), np.float32(ME["reactance"]), int(ME["reactance"]), f"{ME['reactance']:.0f} Ω"],
    ids=lambda a: type(a).__name__,
)
def test_points_are_a_plain_float_for_any_kind_of_number(answer: object) -> None:
    """nbgrader gives full marks to ``np.float64(0.0)``: never return anything but a float."""
    points = run(CHECKED, reactance=answer)["points"]
    assert (type(points), points) == (float, 3.0)


@pytest.mark.parametrize(
    "answer",
    [
        float("nan"),
        float("-inf"),
        -1.0,
        "<b>3.0</b>",
        "3.0",
        np.float64("nan"),
        np.array(["x"]),
        object(),
        print,
        10**5000,
    ],
    ids=lambda a: type(a).__name__,
)
def test_no_answer_gets_more_than_it_earns_or_writes_a_warning(
    answer: object, capsys: pytest.CaptureFixture[str]
) -> None:
    """NaN, negative numbers, HTML and strange objects: 0.0, and nothing on stderr."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        points = run(CHECKED, reactance=answer)["points"]
    assert (type(points), points) == (float, 0.0)
    assert capsys.readouterr().err == ""


def test_a_check_that_warns_inside_stays_silent(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were something below to warn, the learner's right answer would score zero: warnings are shut off inside."""

    def warns(*_: object) -> object:
        warnings.warn("noise", stacklevel=1)
        np.log(np.array(-1.0))
        return real(*_)  # type: ignore[arg-type]

    from phasorkit.course import notebook

    real = notebook.judge
    monkeypatch.setattr(notebook, "judge", warns)
    assert run(CHECKED, reactance=ME["reactance"])["points"] == 3.0


def test_notebook_and_exercise_agree_on_checks_and_marks() -> None:
    """One locked check cell per check, in order, with its maximum, one call under one line that says what it checks."""
    graded = [c for c in cells("solutions") if c.metadata.get("nbgrader", {}).get("grade")]
    assert [(c.source.splitlines()[-1], float(c.metadata.nbgrader.points)) for c in graded] == [
        (f'check("{c.name}")', c.points) for c in BRIDGE.checks
    ]
    assert all(c.metadata.nbgrader.locked and not c.metadata.nbgrader.solution for c in graded)
    assert all(c.source.startswith("# Checks the ") and len(c.source.splitlines()) == 2 for c in graded)
    assert len(graded) <= 6


def test_the_answer_cells_are_the_learners_own() -> None:
    """Answer cells are solution cells without marks; begin's cell is neither locked nor graded; all ids are stable."""
    by_id = {c.id: c for c in cells("exercises")}
    for c in BRIDGE.checks:
        meta = by_id[f"{c.name}-answer"].metadata
        assert (meta.nbgrader.solution, meta.nbgrader.grade, meta.nbgrader.locked) == (True, False, False)
        assert by_id[f"{c.name}-answer"].metadata.get("editable", True)
    assert by_id["bridge-begin"].source == 'brief = begin("bridge", learner="", class_code="")'
    assert not by_id["bridge-begin"].metadata
    assert by_id["bridge-import"].source == "from phasorkit.course import begin, check, hint, progress"


def test_the_released_exercise_holds_no_solution() -> None:
    """Neither a marker nor a line of the reference solution."""
    released = "\n".join(c.source for c in cells("exercises"))
    assert "SOLUTION" not in released
    assert "sqrt" not in released
    assert all(not c.get("outputs") for c in cells("exercises"))


def test_texts_state_units_tolerance_and_marks() -> None:
    """Every question says its marks, and its tolerance as the check has it."""
    texts = {c.id: c.source for c in cells("exercises")}
    for c in BRIDGE.checks:
        text = texts[f"{c.name}-text"]
        assert f"({c.points:g} marks)" in text
        if c.name != "preferred":
            relative, _, absolute = str(c.tolerance).partition(" + ")  # type: ignore[attr-defined]
            assert f"within {relative}" in text
            assert not absolute or f"plus {absolute} V" in text


# --- in a real kernel ---------------------------------------------------------------------------------------


def kernel_run(notebook: nbformat.NotebookNode) -> dict[str, nbformat.NotebookNode]:
    """Run all cells, errors allowed; the cells by id."""
    NotebookClient(notebook, timeout=300, kernel_name="python3", allow_errors=True).execute()
    return {c.id: c for c in notebook.cells}


def stdout(cell: nbformat.NotebookNode) -> str:
    """What a cell printed."""
    return "".join(o.text for o in cell.outputs if o.output_type == "stream" and o.name == "stdout")


pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
FULL = [c.points for c in BRIDGE.checks]


def test_the_reference_solution_scores_full_marks_in_a_kernel() -> None:
    """A real kernel, and nbgrader's own reading of the outputs: 20 of 20, nothing on stderr."""
    notebook = nbformat.read(ROOT / "solutions" / "bridge" / "bridge.ipynb", as_version=4)
    for cell in notebook.cells:
        cell.source = cell.source.replace('learner=""', 'learner="app-07"')
    done = kernel_run(notebook)
    assert [determine_grade(done[f"{c.name}-check"])[0] for c in BRIDGE.checks] == FULL
    assert "Right." in stdout(done["reactance-check"])
    assert not [o for c in done.values() for o in c.get("outputs", ()) if o.get("name") == "stderr"]


def test_the_released_exercise_run_as_it_is_says_what_to_do() -> None:
    """Nothing filled in: one line at begin, one line at each check, no traceback of ours, all scores zero."""
    done = kernel_run(nbformat.read(ROOT / "exercises" / "bridge" / "bridge.ipynb", as_version=4))
    (error,) = done["bridge-begin"].outputs
    assert error.output_type == "error"
    assert len("\n".join(error.traceback).splitlines()) == 1
    assert "learner is empty" in error.traceback[0]
    for c in BRIDGE.checks:
        cell = done[f"{c.name}-check"]
        assert stdout(cell).startswith("No exercise is under way")
        assert [o.output_type for o in cell.outputs] == ["stream", "execute_result"]
        assert determine_grade(cell)[0] == 0.0


TRAPS = {
    "np": ("import numpy as np; reactance = np.float64({x})", 3.0),
    "wrong-np": ("reactance = np.float64(1.0)", 0.0),
    "nan": ("reactance = np.float64('nan')", 0.0),
    "html": ("reactance = '<b>3.0</b>'", 0.0),
    "warns": ("import warnings; warnings.simplefilter('error'); reactance = {x}", 3.0),
    "old-error-state": ("np.seterr(all='raise'); reactance = {x}", 3.0),
    "shadowed": (
        "float = print = str = len = max = min = isinstance = begin = answer = judge = None; reactance = {x}",
        3.0,
    ),
    "half": ("reactance = {x} / 1000", 1.5),
}


def test_score_traps_as_nbgrader_reads_them() -> None:
    """Each trap of stock nbgrader in one kernel: the score is what the answer earns, with shadowed names too."""
    made = [nbformat.v4.new_code_cell(IMPORT + "begin('bridge', learner='me');", id="begin")]
    for name, (code, _) in TRAPS.items():
        made.append(nbformat.v4.new_code_cell(code.format(x=ME["reactance"]), id=f"{name}-code"))
        made.append(nbformat.v4.new_code_cell("# Checks.\ncheck('reactance')", id=name))
        made[-1].metadata["nbgrader"] = {"grade": True, "solution": False, "points": 3}
    done = kernel_run(nbformat.v4.new_notebook(cells=made))
    assert {name: determine_grade(done[name])[0] for name in TRAPS} == {name: p for name, (_, p) in TRAPS.items()}
    assert not [o for c in done.values() for o in c.outputs if o.get("name") == "stderr"]
