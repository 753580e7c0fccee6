"""Lessons run, say what they said when they were stored, and keep the habits that make them readable.

The habits are those of a notebook course with one-idea cells (short cells, one kind of output, prose around code,
the same order of sections everywhere) and of accessible pages (text alternatives: WCAG 2.2, criterion 1.1.1).
"""

from __future__ import annotations

import re
import statistics
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import nbformat
import pytest
from lesson_runs import LESSONS, SWITCH, errors_in_widgets, lesson_files, ran, read, run, shows_picture, stored

from phasorkit.course.contents import without_generated
from phasorkit.course.lesson import SYSTEMS
from phasorkit.course.questions import questions

ALL = lesson_files()
WITH_SWITCH = [p for p in ALL if any(SWITCH.search(c.source) for c in read(p).cells)]
TEACHES_HOW_TO_WORK = {"00-start.ipynb"}
"""Pages on how to use the course: little code by nature, and no worked example."""

ORDER = (
    "Safety", "Goal", "You need", "Predict", "App", "Explain", "Worked example", "From paper to bench",
    "Check yourself", "Recap", "Next",
)  # fmt: skip
IMAGE = re.compile(r"!\[([^\]]*)\]\(([^)\s]+)\)")
LINK = re.compile(r"(?<!!)\[[^\]]+\]\(([^)\s]+)\)")
QUANTITY = re.compile(r"(?<![\d.])(\d+(?:\.\d+)?)\s*(V|kΩ|MΩ|Ω|W|mm)\b")
QUESTION = re.compile(r'^answer\("([^"]+)", None\)$', re.MULTILINE)


def names(path: Path) -> str:
    return path.name


each_lesson = pytest.mark.parametrize("path", ALL, ids=names)


def code_cells(notebook: Any) -> list[Any]:
    return [c for c in notebook.cells if c.cell_type == "code"]


def prose(notebook: Any) -> str:
    """What the lesson's author wrote, without the links and tables that are generated."""
    return "\n\n".join(without_generated(c.source) for c in notebook.cells if c.cell_type == "markdown")


def text_of(cell: Any) -> str:
    """What a code cell printed or gave as text."""
    return "".join(o.text if o.output_type == "stream" else o.data.get("text/plain", "") for o in cell.outputs)


def headings(notebook: Any) -> list[str]:
    return re.findall(r"^## (.+)$", prose(notebook), re.MULTILINE)


# --- they run --------------------------------------------------------------------------------------------


@each_lesson
def test_a_fresh_run_says_what_the_stored_lesson_says(path: Path) -> None:
    for kept, fresh in zip(code_cells(read(path)), code_cells(ran(path)), strict=True):
        if not shows_picture(kept):
            assert text_of(kept) == text_of(fresh), f"cell {kept.id}: run `python tests/lesson_runs.py {path.name}`"


@each_lesson
def test_every_text_cell_is_stored_run(path: Path) -> None:
    """nbval compares nothing in a cell that was stored unrun."""
    unrun = [c.id for c in code_cells(read(path)) if c.execution_count is None]
    assert not unrun


@each_lesson
def test_a_cell_gives_one_kind_of_output(path: Path) -> None:
    for cell in code_cells(ran(path)):
        if shows_picture(cell):
            kinds = [o.output_type for o in cell.outputs]
            assert len(kinds) == 1, f"{cell.id} is marked as a picture and gives {kinds}"
            assert kinds[0] in ("display_data", "execute_result"), f"{cell.id} gives {kinds}"
        else:
            mimes = {m for o in cell.outputs for m in o.get("data", {o.get("name"): ""})}
            kinds = {o.output_type for o in cell.outputs}
            assert mimes <= {"text/plain", "stdout"}, f"{cell.id} gives text only, got {mimes}"
            assert kinds <= {"stream", "execute_result"}, f"{cell.id} gives text only, got {kinds}"


@each_lesson
def test_no_callback_of_an_app_raised(path: Path) -> None:
    assert errors_in_widgets(ran(path)) == []


def test_the_widget_gate_sees_an_error_that_the_cell_hides() -> None:
    """A callback that raises into an Output widget leaves its cell without an error."""
    lines = (
        "import ipywidgets as w",
        "out, box = w.Output(), w.IntText(1)",
        "box.observe(out.capture()(lambda change: 1 / 0), 'value')",
        "box.value = 2",
        "out",
    )
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("\n".join(lines))])
    after = run(notebook)
    assert not any(o.output_type == "error" for o in after.cells[0].outputs)
    assert errors_in_widgets(after) == ["ZeroDivisionError: division by zero"]


@pytest.mark.parametrize("system", SYSTEMS[1:])
@pytest.mark.parametrize("path", WITH_SWITCH, ids=names)
def test_a_lesson_runs_on_other_supplies_and_its_prose_stays_true(path: Path, system: str) -> None:
    """No quantity in the prose is one that a cell prints on the stored supply only."""
    kept, other = read(path), ran(path, system)
    assert errors_in_widgets(other) == []
    here = {q for c in code_cells(kept) for q in QUANTITY.findall(text_of(c))}
    there = {q for c in code_cells(other) for q in QUANTITY.findall(text_of(c))}
    assert here - there, "the switch changes nothing"
    lines = [x for x in prose(kept).splitlines() if not x.startswith(("![", "*Drawn for ")) and "drawn for" not in x]
    depends = [(q, line) for line in lines for q in QUANTITY.findall(line) if q in here - there]
    assert depends == []


@pytest.mark.parametrize("path", WITH_SWITCH, ids=names)
def test_circuit_symbols_follow_the_switch(path: Path) -> None:
    """Whatever draws circuit symbols is told which ones."""
    code = "\n".join(c.source for c in code_cells(read(path)))
    drawn = re.findall(r"\b(scale_drawing|both_sequences|indicator_app)(\((?:[^()]|\([^()]*\))*\))", code)
    assert [name for name, given in drawn if not re.search(r"symbols=setting\.symbols|setting=setting", given)] == []


# --- how they are stored ---------------------------------------------------------------------------------


@each_lesson
def test_no_picture_and_no_widget_state_is_stored(path: Path) -> None:
    notebook = read(path)
    assert set(notebook.metadata) == {"kernelspec", "language_info"}
    assert notebook.metadata.kernelspec.name == "python3"
    for cell in notebook.cells:
        assert "attachments" not in cell, cell.id
        mimes = {m for o in cell.get("outputs", []) for m in o.get("data", {})}
        assert mimes <= {"text/plain"}, f"{cell.id} stores {mimes}"
        assert not (cell.cell_type == "code" and shows_picture(cell) and cell.outputs), cell.id


@each_lesson
def test_what_a_cell_prints_is_stored_in_one_piece(path: Path) -> None:
    """A slow cell's text comes in several messages (Jupyter protocol, stream); a page shows a gap between them."""
    for cell in read(path).cells:
        names = [o.name for o in cell.get("outputs", []) if o.output_type == "stream"]
        assert len(names) == len(set(names)), cell.id


def test_storing_joins_what_a_slow_cell_prints() -> None:
    slow = "import time\nfor n in range(3):\n    print(n, flush=True)\n    time.sleep(0.5)"
    after = stored(run(nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(slow)])))
    assert [o.text for o in after.cells[0].outputs] == ["0\n1\n2\n"]


def test_storing_drops_pictures_and_widget_state() -> None:
    cell = nbformat.v4.new_code_cell("import ipywidgets as w\nw.IntText(1)", metadata={"tags": ["nbval-ignore-output"]})
    after = stored(run(nbformat.v4.new_notebook(cells=[cell])))
    assert after.cells[0].outputs == []
    assert "widgets" not in after.metadata


@each_lesson
def test_cell_ids_are_words_and_unique(path: Path) -> None:
    ids = [c.id for c in read(path).cells]
    assert len(set(ids)) == len(ids)
    assert [i for i in ids if not re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", i)] == []


# --- how they read ---------------------------------------------------------------------------------------


@each_lesson
def test_code_cells_are_short(path: Path) -> None:
    lengths = {c.id: sum(1 for x in c.source.splitlines() if x.strip()) for c in code_cells(read(path))}
    assert statistics.median(lengths.values()) <= 4
    assert {i: n for i, n in lengths.items() if n > 15} == {}


@each_lesson
def test_code_lines_fit_beside_the_file_list_on_a_laptop(path: Path) -> None:
    """1366 pixels less JupyterLab's side bar hold about 105 characters."""
    wide = [(c.id, x) for c in code_cells(read(path)) for x in c.source.splitlines() if len(x) > 100]
    assert wide == []


@pytest.mark.parametrize("path", [p for p in ALL if p.name not in TEACHES_HOW_TO_WORK], ids=names)
def test_there_are_three_to_six_words_of_prose_per_word_of_code(path: Path) -> None:
    notebook = read(path)
    code = sum(len(c.source.split()) for c in code_cells(notebook))
    assert 3 <= len(prose(notebook).split()) / code <= 6


@each_lesson
def test_sentences_are_short(path: Path) -> None:
    """A plain text for tradespeople keeps to about 15 words a sentence (plain-language guides, common practice)."""
    plain = re.sub(r"^\|.*$|^#.*$|!\[[^\]]*\]\([^)]*\)", "", prose(read(path)), flags=re.MULTILINE)
    lengths = [len(s.split()) for s in re.split(r"(?<=[.?!:;])\s+|\n\n", plain) if s.split()]
    assert statistics.mean(lengths) <= 13
    assert max(lengths) <= 40


@each_lesson
def test_sections_stand_in_the_written_order(path: Path) -> None:
    found = [next((o for o in ORDER if h.startswith(o)), None) for h in headings(read(path))]
    known = [o for o in found if o]
    assert known == sorted(known, key=ORDER.index)
    wanted = set(ORDER)
    if path.name in TEACHES_HOW_TO_WORK:
        wanted -= {"App", "Explain", "Worked example", "From paper to bench"}
    assert wanted <= set(known)


@each_lesson
def test_one_question_stands_at_the_top_and_the_time_is_stated(path: Path) -> None:
    top = read(path).cells[0].source
    assert re.search(r"^\*\*[^*]+\?\*\*$", top, re.MULTILINE)
    minutes = re.search(r"About (\d+) minutes", top)
    assert minutes
    low, high = (10, 15) if path.name in TEACHES_HOW_TO_WORK else (30, 50)
    assert low <= int(minutes[1]) <= high


@each_lesson
def test_the_recap_answers_the_question_and_has_as_many_points_as_the_goal(path: Path) -> None:
    sections = re.split(r"^## ", prose(read(path)), flags=re.MULTILINE)
    goal = next(s for s in sections if s.startswith("Goal"))
    recap = next(s for s in sections if s.startswith("Recap"))
    points = [len(re.findall(r"^\d\. ", s, re.MULTILINE)) for s in (goal, recap)]
    assert points[0] == points[1]
    assert 2 <= points[0] <= 4
    assert re.search(r"^\*\*[^*]+\*\*$", recap, re.MULTILINE)


@each_lesson
def test_every_picture_has_a_text_alternative_and_a_sentence_that_says_the_same(path: Path) -> None:
    notebook = read(path)
    assert "<img" not in prose(notebook)
    for cell in notebook.cells:
        for alt, target in IMAGE.findall(cell.source):
            assert len(alt.split()) >= 12, f"{cell.id}: {target} needs words"
            assert re.search(r"^\*[^*]+\*", cell.source.split(target, 1)[1], re.MULTILINE), f"{cell.id}: caption"
    for cell, after in zip(notebook.cells, notebook.cells[1:], strict=False):
        if cell.cell_type == "code" and shows_picture(cell):
            assert after.cell_type == "markdown", f"{cell.id}: say in words what the picture shows"


@each_lesson
def test_links_lead_somewhere(path: Path) -> None:
    notebook = read(path)
    targets = [t for c in notebook.cells if c.cell_type == "markdown" for t in LINK.findall(c.source)]
    targets += [t for _, t in IMAGE.findall(prose(notebook))]
    missing = [t for t in targets if not (LESSONS / (unquote(t.split("#")[0]) or path.name)).is_file()]
    assert targets
    assert missing == []


@each_lesson
def test_the_cautions_are_said(path: Path) -> None:
    text = " ".join(prose(read(path)).split())
    for words in ("Electricity can kill", "24 V or less", "under the local code", "IEC 61243-3"):
        assert words in text
    assert re.search(r"[Dd]ark[^.]* is never proof", text)
    assert "not yet a rotation" in text


# --- questions -------------------------------------------------------------------------------------------


@each_lesson
def test_a_lesson_asks_at_least_two_predictions_and_three_to_five_checks(path: Path) -> None:
    count: dict[str, int] = {}
    section = ""
    for cell in read(path).cells:
        if cell.cell_type == "markdown":
            section = [section, *re.findall(r"^## (.+)$", cell.source, re.MULTILINE)][-1]
        else:
            count[section] = count.get(section, 0) + len(QUESTION.findall(cell.source))
    assert count["Predict"] >= 2
    assert 3 <= count["Check yourself"] <= 5


@each_lesson
def test_every_question_of_a_lesson_is_asked_in_it_once(path: Path) -> None:
    asked = [q for c in code_cells(read(path)) for q in QUESTION.findall(c.source)]
    assert sorted(asked) == sorted(questions(path.name[:2]))


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (433, "Right"),  # height of an equal-sided triangle: side × √3/2 (Euclid); side 500 V
        ("433 V", "Right"),
        (500 / 3**0.5, "phase voltage"),
        (250, "one resistor"),
        (500, "whole side"),
        (500 * 3**0.5 / 2 * 2**0.5, "eak"),
        (0, "in 1-2-3"),
        ("433 W", "watts"),
    ],
)
def test_the_lamp_question_knows_the_height_of_the_triangle_and_its_mix_ups(given: object, says: str) -> None:
    assert says in " ".join(questions("05")["05.lamp-volts"].reply(given).split())


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("69.6k", "Right"),  # by pocket calculator: 1/(2π·60·22e-9) = 120.57 kΩ, over 1.7321
        ("69,6 kΩ", "Right"),
        (120.57e3, "This is Xc"),
        (208.8e3, "multiplied by √3"),
        (83.5e3, "another supply frequency"),
        (69.6, "power of ten"),
    ],
)
def test_the_resistance_question_knows_the_rule_and_its_mix_ups(given: object, says: str) -> None:
    assert says in " ".join(questions("05")["05.resistance"].reply(given).split())


def test_no_wrong_number_is_told_the_right_one() -> None:
    asked = questions("05")
    for guess in (1, 10, 100, 250, 289, 500, 866, 1e3, 69.6, 83.5e3, 120.57e3, 208.8e3, 1e6, "x"):
        for name, digits in (("05.lamp-volts", "433"), ("05.resistance", "69")):
            assert digits not in asked[name].reply(guess)
