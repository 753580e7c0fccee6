"""What an instructor prepares: answer keys, printed sheets, the table of marks; each at the command line."""

from __future__ import annotations

import ast
import csv
import os
import re
from pathlib import Path
from typing import Any

import pytest
from course_cases import right_answers, with_answer

from phasorkit.cli import main
from phasorkit.course.answer_key import Line, key
from phasorkit.course.briefs import draw_brief
from phasorkit.course.class_list import ListError, ids, read_class
from phasorkit.course.class_marks import ClassMarks, MarksError, marks_near, parse_marks, read_marks, told
from phasorkit.course.marks_table import swallowed, template
from phasorkit.course.model import RIGHT, judge, task, tasks, truths
from phasorkit.course.notebook import BeginError, begin, check
from phasorkit.course.sheets import on_paper

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
NAMES = sorted(tasks())
LEARNERS = ("app-01", "app-02", "Zoë <b>")


def teach(*words: str | Path) -> int:
    """Run ``phasorkit teach``."""
    return main(["teach", *map(str, words)])


# --- the answer key ---------------------------------------------------------------------------------------------


def handed_in(right: Any, line: Line, form: str, answer: Any) -> Any:
    """The right answer of a check, one entry of it written in this form."""
    value = ast.literal_eval(form)
    if not isinstance(right, dict):
        return value
    (entry,) = [e for e in right if " · ".join(p for p in (e if isinstance(e, tuple) else (e,)) if p) == line.entry]
    if not isinstance(entry, tuple) or not entry[0]:
        return {**answer, (entry[1] if isinstance(entry, tuple) else entry): value}
    group, name = entry
    return {**answer, group: {**answer[group], name: value}}


@pytest.mark.parametrize("name", NAMES)
def test_every_answer_of_the_key_earns_full_marks_in_every_form_it_shows(name: str) -> None:
    """The key is right by the marking itself, for ten learners; it repeats no code of the marking."""
    exercise, shown = task(name), 0
    for number in range(10):
        brief = draw_brief(exercise, f"app-{number:02}", "PUMP-24")
        answers = right_answers(exercise, brief)
        for answer in key(exercise, brief):
            right = truths(exercise, brief)[answer.check.name]
            for line in answer.lines:
                for form in line.written:
                    given = handed_in(right, line, form, answers[answer.check.name])
                    mark = judge(exercise, brief, answer.check.name, with_answer(answers, answer.check.name, given))
                    assert mark.outcome == RIGHT, (answer.check.name, line, form, mark)
                    shown += 1
    assert shown >= 10 * len(exercise.checks)


def test_the_key_of_the_bridge_agrees_with_ohms_law() -> None:
    """Xc = 1/(2πfC), R = Xc/√3 (any textbook of alternating current), and a bench table: 4n7 at 50 Hz wants 390k."""
    exercise = task("bridge")
    for number in range(40):
        brief = draw_brief(exercise, f"app-{number:02}", "")
        reactance, resistance = (a.lines[0] for a in key(exercise, brief)[:2])
        xc = 1 / (2 * 3.141592653589793 * brief.frequency * brief.capacitance)
        assert float(reactance.written[0]) == pytest.approx(xc, rel=5e-4)
        assert float(resistance.written[0]) == pytest.approx(xc / 3**0.5, rel=5e-4)


def test_a_class_gets_pages_and_a_table_and_one_learner_a_text(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A list as a spreadsheet program writes it; nothing of an id is markup; the table opens in a spreadsheet."""
    listed = tmp_path / "class.csv"
    listed.write_bytes("learner;name\r\napp-01;A\r\n=app-02;B\r\nZoë <b>;C\r\n".encode("utf-8-sig"))
    out = tmp_path / "key"
    words = ("--class-code", "PUMP-24", "--class-folder", tmp_path / "class", "--exercise", "bridge")
    assert teach("key", "--class-list", listed, "--out", out, *words) == 0
    html = (out / "key-bridge.html").read_text(encoding="utf-8")
    assert html.count("<h2>Learner") == 3
    assert "zoë &lt;b&gt;" in html
    assert "<script" not in html
    rows = list(csv.DictReader((out / "key.csv").read_text(encoding="utf-8-sig").splitlines()))
    assert len(rows) == 3 * 15
    assert sum(float(row["marks"] or 0) for row in rows) == 3 * task("bridge").points  # the column adds up
    assert {row["learner"] for row in rows} == {"app-01", "'=app-02", "Zoë <b>"}
    capsys.readouterr()
    assert teach("key", "--learner", "app-01", *words) == 0
    said = capsys.readouterr().out
    (right,) = [row["right"] for row in rows if row["learner"] == "app-01" and row["check"] == "resistance"]
    assert f"  {right}   [" in said
    assert sorted(p.name for p in tmp_path.iterdir()) == ["class.csv", "key"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["key"], "--learner ID, or --class-list FILE"),
        (["key", "--learner", " "], "--learner ID"),
        (["sheets", "--class-list", "nowhere.csv"], "nowhere.csv cannot be read"),
        (["key", "--learner", "a", "--exercise", "brigde"], "must be one of"),
        (["marks", "--exercise", "brigde"], "must be one of"),
    ],
)
def test_bad_use_is_one_line_and_exit_2(words: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The line says what is wrong and what is accepted."""
    assert teach(*words) == 2
    said = capsys.readouterr()
    assert says in said.err
    assert len(said.err.splitlines()) == 1
    assert said.out == ""


def test_a_tolerance_is_told_with_its_unit(capsys: pytest.CaptureFixture[str]) -> None:
    """A value of a quantity is a number and a unit (ISO 80000-1, from memory), in the key and for the learner."""
    assert teach("key", "--learner", "app-01", "--exercise", "bridge", "--class-folder", "nowhere") == 0
    assert "volts (5 marks, within 2 % + 0.5 V)" in capsys.readouterr().out
    lines = told(task("bridge"), parse_marks("[bridge.volts]\nplus = 0.7"))
    assert lines == ["volts: 5 marks, within 2 % + 0.7 V"]


def test_class_lists_as_they_come(tmp_path: Path) -> None:
    """Headings, remarks, blank lines, quotes, tabs, the same id twice, an old Windows code page; none at all."""
    assert ids('Username,Mark\n# left\n\n"app-01",3\napp-02\tx\n  app-03  \nAPP-02\n') == ["app-01", "app-02", "app-03"]
    assert ids("app-01\napp-02") == ["app-01", "app-02"]
    old = tmp_path / "old.txt"
    old.write_bytes("Zoë\r\n".encode("cp1252"))
    assert read_class(old) == ["Zoë"]
    old.write_bytes(b"id\r\n\r\n")
    with pytest.raises(ListError, match="holds no id"):
        read_class(old)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize(
    "text",
    [
        "id;group\r\nmüller-2;Süd\r\napp-01;3,5\r\n",
        "sep=;\r\nid;group\r\nmüller-2;Süd\r\napp-01;\r\n",
        'name,id\r\n"Süd, A",müller-2\r\n"Süd; B",app-01\r\n',
        "First name\tLast name\tID number\r\nA\tB\tmüller-2\r\nA\tC\tapp-01\r\n",
        'learner,remark,id\r\nmüller-2,"x; y",7\r\napp-01,,8\r\n',
    ],
)
def test_class_lists_of_spreadsheets_and_platforms(tmp_path: Path, text: str, encoding: str) -> None:
    """The column below the heading, wherever it stands; quoted cells as RFC 4180, section 2, has them.

    Semicolons where the comma is the decimal sign, a first line ``sep=;``, a byte order mark, and UTF-16 for "Unicode
    text" are what spreadsheet programs on Windows write (common practice).
    """
    file = tmp_path / "class.csv"
    file.write_bytes(text.encode(encoding))
    assert read_class(file) == ["müller-2", "app-01"]


# --- sheets on paper --------------------------------------------------------------------------------------------


def test_sheets_have_own_numbers_every_question_and_no_code(tmp_path: Path) -> None:
    """For every exercise: the brief's lines, the headings of all questions, a frame for each answer, and no result."""
    words = [w for learner in LEARNERS for w in ("--learner", learner)]
    out = tmp_path / "sheets"
    assert teach("sheets", *words, "--class-code", "PUMP-24", "--class-folder", tmp_path / "none", "--out", out) == 0
    written = {p.stem for p in out.glob("*.html")}
    assert written == set(tasks())
    for name in written:
        html = (out / f"{name}.html").read_text(encoding="utf-8")
        exercise = task(name)
        answers = len({c.variable for c in exercise.checks})
        assert html.count('<p class="who') == len(LEARNERS)
        assert html.count('<p class="who next">') == len(LEARNERS) - 1
        assert html.count('<div class="answer">') == answers * len(LEARNERS)
        assert html.count("Safety.") == len(LEARNERS)
        for word in ("check(&quot;", 'check("', "begin(", "import ", "def ", "kernel", "`", "**", "Stuck?"):
            assert word not in html, (name, word)
        for learner in LEARNERS:
            brief = draw_brief(exercise, learner, "PUMP-24")
            assert exercise.tells(brief)[0].split(":")[1].strip() in html
    assert "zoë &lt;b&gt;" in html


def test_the_sheet_of_a_free_design_does_not_name_its_parts(tmp_path: Path) -> None:
    """Which parts a design has is the learner's to find: the frame has empty rows, and the key one example."""
    words = ("--learner", "app-01", "--exercise", "capstone", "--class-folder", tmp_path)
    assert teach("sheets", *words) == 0
    html = (tmp_path / "sheets" / "capstone.html").read_text(encoding="utf-8")
    frame = html.split('<div class="answer">')[1].split("</div>")[0]
    assert "<td></td>" in frame
    assert not re.search(r"\bR[0-9]|circuit", frame)
    assert teach("key", *words, "--out", tmp_path) == 0
    assert (tmp_path / "key-capstone.html").read_text(encoding="utf-8").count("as before") == 5


def test_what_is_only_about_cells_is_left_out() -> None:
    """Sentences, not paragraphs; headings, drawings and what matters on paper stay."""
    text = "**How to work.** By hand. Put each answer in place of `None`, run that cell. Round at the end.\n\n# 1 cell"
    assert on_paper(text) == "**How to work.** By hand. Round at the end.\n\n# 1 cell"
    assert on_paper("**Stuck?** In a cell of your own, `hint()` helps. Neither changes your marks.") == ""


# --- the table and the file of marks ------------------------------------------------------------------------------

FILE = "[bridge.resistance]\npoints = 5\npercent = 4\n[bridge.volts]\nplus = 2\n[bridge.preferred]\npoints = 2.5\n"


def test_the_file_changes_marks_and_tolerances_and_nothing_else() -> None:
    """An answer 3 % off is right at 4 %, half a volt counts as said, and the numbers drawn stay the same."""
    own, marks = task("bridge"), parse_marks(FILE)
    changed = marks.task("bridge")
    assert [c.points for c in changed.checks] == [3, 5, 2.5, 5, 3, 4]
    brief = draw_brief(own, "app-01", "")
    right = right_answers(own, brief)
    answers = {**right, "resistance": 1.03 * truths(own, brief)["resistance"]}
    assert judge(own, brief, "resistance", answers).points == 0
    assert judge(changed, brief, "resistance", answers).points == 5
    volts = {**right["volts"], "123": {**right["volts"]["123"], "lamp": 1.9}}  # type: ignore[dict-item, index]
    assert judge(changed, brief, "volts", {**right, "volts": volts}).points == 5
    assert judge(own, brief, "volts", {**right, "volts": volts}).points == 4.5
    assert marks.task("bridge") is changed
    assert marks.task("sequence") is task("sequence")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[brigde.power]\npoints = 1", "no exercise 'brigde'; there are "),
        ("[bridge.pover]\npoints = 1", "bridge has no check 'pover'; it has reactance, "),
        ("[bridge.power]\nmarks = 1", "bridge.power has no value 'marks'; it takes points, percent, plus"),
        ("[bridge.power]\npoints = 0", "bridge.power: points must be a number from 0.5 to 100, got 0"),
        ("[bridge.power]\npoints = '3'", "got '3'"),
        ("[bridge.power]\npoints = true", "got True"),
        ("[bridge.power]\npoints = nan", "got nan"),
        ("[bridge.power]\npercent = 40", "percent must be a number from 0.1 to 20, got 40"),
        ("[bridge.power]\nplus = -1", "plus must be a number from 0 to"),
        ("[bridge.preferred]\npercent = 3", "bridge.preferred takes points only"),
        ("[sequence.swap]\nplus = 3", "sequence.swap takes points only"),
        ("[bridge.power]\npoints = 2,5", "line 2"),
        ("bridge = 3", "marks.toml: bridge must be a table, got 3"),
        ("[bridge]\npower = 3", "bridge.power must be a table, got 3"),
        ("points = 3", "no exercise 'points'"),
    ],
)
def test_a_file_that_cannot_be_used_is_told_what_is_accepted(text: str, says: str) -> None:
    """The error names exercise, check, value, and what would be accepted."""
    with pytest.raises(MarksError, match=re.escape(says)):
        parse_marks(text)


def test_a_file_as_windows_editors_save_it(tmp_path: Path) -> None:
    """Byte order mark and Windows line ends are read; another code page is told, without a traceback."""
    file = tmp_path / "marks.toml"
    file.write_bytes(FILE.replace("\n", "\r\n").encode("utf-8-sig"))
    assert read_marks(file) == parse_marks(FILE)
    file.write_bytes("# für alle\n".encode("cp1252"))
    with pytest.raises(MarksError, match="save it as plain text, UTF-8"):
        read_marks(file)
    assert read_marks(tmp_path / "none.toml") == ClassMarks()


def test_a_notebook_finds_the_file_of_its_class(tmp_path: Path) -> None:
    """From exercises/ and from nbgrader's own folders below class/, and beside handed-out notebooks; not elsewhere."""
    (tmp_path / "class").mkdir()
    (tmp_path / "class" / "marks.toml").write_text(FILE, encoding="utf-8")
    for place in ("exercises/bridge", "class/autograded/app-01/bridge", "."):
        assert marks_near(tmp_path / place) == parse_marks(FILE)
    assert marks_near(tmp_path / "a/b/c/d/e") == ClassMarks()


def test_begin_tells_the_classs_marks_and_check_gives_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A notebook beside a handed-out file; a file that cannot be used is one line at begin; a folder that is gone."""
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "marks.toml"
    file.write_text(FILE, encoding="utf-8")
    brief = begin("bridge", learner="app-01")
    assert "In your class these count" in capsys.readouterr().out
    resistance = 1.03 * truths(task("bridge"), brief)["resistance"]
    assert resistance
    assert check("resistance") == 5.0
    file.write_text("[bridge.pover]\npoints = 1\n", encoding="utf-8")
    with pytest.raises(BeginError, match="bridge has no check 'pover'"):
        begin("bridge", learner="app-01")
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    if os.name == "posix":  # other systems do not let go of a folder that is in use
        gone.rmdir()
        assert begin("bridge", learner="app-01") == brief
        assert check("resistance") == 0.0


def test_the_table_shows_what_counts_and_the_file_is_never_overwritten(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The written file changes nothing yet; edited, the table shows both values; a second --write is refused."""
    place = ("--class-folder", tmp_path)
    assert teach("marks", "--write", *place) == 0
    file = tmp_path / "marks.toml"
    assert file.read_text(encoding="utf-8") == template(
        [*dict.fromkeys(re.findall(r"^\[([a-z-]+)\.", file.read_text("utf-8"), re.M))]
    )
    assert read_marks(file) == ClassMarks()
    assert "changes none" in capsys.readouterr().out
    file.write_text(
        file.read_text("utf-8").replace("[bridge.power]\n# points = 3", "[bridge.power]\npoints = 4"), "utf-8"
    )
    table = tmp_path / "t.csv"
    assert teach("marks", "--csv", table, *place) == 0
    assert "4 (not 3)" in capsys.readouterr().out
    rows = list(csv.DictReader(table.read_text(encoding="utf-8-sig").splitlines()))
    assert [r["marks"] for r in rows if r["exercise"] == "bridge"] == ["3", "3", "2", "5", "4 (not 3)", "4", "21"]
    assert {r["exercise"] for r in rows} == set(tasks())
    before = file.read_bytes()
    assert teach("marks", "--write", *place) == 2
    assert "is there already" in capsys.readouterr().err
    assert file.read_bytes() == before


def test_a_tolerance_that_swallows_a_mistake_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At 10 % the ten per cent that were not squared (1.1 for 1.21: 9 % off) count as right; at 5 % nothing does."""
    assert swallowed(parse_marks("[bridge.power]\npercent = 5")) == []
    (tmp_path / "marks.toml").write_text("[bridge.power]\npercent = 10\n", encoding="utf-8")
    assert teach("marks", "--exercise", "bridge", "--class-folder", tmp_path) == 0
    (line,) = [x for x in capsys.readouterr().out.splitlines() if x.startswith("Look at this")]
    assert "the ten per cent not squared" in line
    assert "50 of 50" in line


def test_key_and_sheets_follow_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Points and ranges of the key, and the head and frames of the sheets, are those of the class."""
    (tmp_path / "marks.toml").write_text(FILE, encoding="utf-8")
    words = ("--learner", "app-01", "--exercise", "bridge", "--class-folder", tmp_path)
    assert teach("key", *words) == 0
    assert "resistance (5 marks, within 4 %)" in capsys.readouterr().out
    assert teach("sheets", *words) == 0
    html = (tmp_path / "sheets" / "bridge.html").read_text(encoding="utf-8")
    assert "resistance: 5 marks, within 4 %" in html
    assert "marks: ______ of 5<" in html
