"""One list of lessons: the links and tables written from it, and every link of the course followed to its end."""

from __future__ import annotations

import re
import shutil
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote

import nbformat
import pytest

import phasorkit.widgets
from phasorkit.course import contents as room
from phasorkit.course.contents import ContentsError, Lesson, contents, lessons_of, table, without_generated, write

ROOT = Path(__file__).resolve().parent.parent
LESSONS = ROOT / "lessons"
LISTED = contents(ROOT)
PAGES = sorted([*LESSONS.glob("*.ipynb"), *LESSONS.glob("*.md")])
EXERCISES = sorted((ROOT / "exercises").glob("*/*.ipynb"))

LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
OUTSIDE = re.compile(r"[a-z]+:")


def text_of(path: Path) -> str:
    """The text of a page; of a notebook, that of its text cells."""
    if path.suffix != ".ipynb":
        return path.read_text(encoding="utf-8")
    cells = nbformat.read(path, as_version=4).cells
    return "\n\n".join(c.source for c in cells if c.cell_type == "markdown")


def anchors(path: Path) -> set[str]:
    """Where a link into a page may lead: JupyterLab's rule, a heading's text with hyphens for spaces."""
    plain = re.sub(r"```.*?```", "", text_of(path), flags=re.DOTALL)
    headings = re.findall(r"^#{1,6} (.+?)\s*$", plain, re.MULTILINE)
    return {re.sub(r"[`*]", "", h).replace(" ", "-") for h in headings}


def broken(path: Path) -> list[str]:
    """Links and pictures of a page that lead nowhere, or outside."""
    found = []
    for target in LINK.findall(text_of(path)):
        file, _, anchor = unquote(target).partition("#")
        there = (path.parent / file).resolve() if file else path
        inside = not OUTSIDE.match(target) and there.is_file() and there.is_relative_to(ROOT)
        if not inside or (anchor and anchor not in anchors(there)):
            found.append(target)
    return found


@pytest.fixture
def course(tmp_path: Path) -> Path:
    """A small course of three lessons, one exercise, links not yet written."""
    listed = []
    for k, exercise in enumerate(([], ["bridge", "wiring"], [])):
        title = f"# Lesson {k:02d} · Part {k}\n\n**What is {k}?**\n\nAbout {30 + k} minutes."
        cells = [nbformat.v4.new_markdown_cell(text, id=f"c{k}-{n}") for n, text in enumerate((title, "## Next"))]
        path = tmp_path / "lessons" / ("00-start.ipynb" if k == 0 else f"{k:02d}-part.ipynb")
        path.parent.mkdir(exist_ok=True)
        nbformat.write(nbformat.v4.new_notebook(cells=cells), path)
        listed.append(
            f'[[lesson]]\nnumber = "{k:02d}"\nfile = "{path.name}"\ntitle = "Part {k}"\nquestion = "What is {k}?"\n'
            f'goals = "say {k}"\nminutes = {30 + k}\nexercise = {exercise}\napp = []\n'
        )
    (tmp_path / "lessons" / "contents.toml").write_text("\n".join(listed), encoding="utf-8")
    (tmp_path / "exercises" / "bridge").mkdir(parents=True)
    shutil.copy(ROOT / "exercises" / "bridge" / "bridge.ipynb", tmp_path / "exercises" / "bridge")
    return tmp_path


def cells(course: Path, name: str) -> list[str]:
    """The texts of a notebook's cells."""
    return [c.source for c in nbformat.read(course / "lessons" / name, as_version=4).cells]


# --- the course as it is ----------------------------------------------------------------------------------


def test_every_listed_lesson_is_there() -> None:
    """And no lesson is there that is not listed."""
    assert [x.file for x in LISTED] == [p.name for p in sorted(LESSONS.glob("*.ipynb"))]


def test_links_and_tables_are_written_and_lessons_say_what_the_list_says() -> None:
    """Nothing but lessons that are missing, which the test above tells."""
    assert [line for line in write(ROOT, check_only=True) if "is missing, though" not in line] == []


@pytest.mark.parametrize("path", [*PAGES, *EXERCISES], ids=lambda p: p.name)
def test_every_link_leads_somewhere(path: Path) -> None:
    """Lessons, exercises, pictures, glossary, anchors; and no page needs the network."""
    assert broken(path) == []


def test_every_lesson_is_reached_from_the_start_and_leads_back() -> None:
    """By following links alone, from the contents table and from the foot of the lesson before."""
    there = [x for x in LISTED if (LESSONS / x.file).is_file()]
    assert set(LINK.findall(text_of(LESSONS / "00-start.ipynb"))) >= {x.file for x in there}
    for before, after in pairwise(there):
        first, last = cells(ROOT, before.file)[0], cells(ROOT, before.file)[-1]
        assert after.file in LINK.findall(first)
        assert after.file in LINK.findall(last)
        assert before.file in LINK.findall(cells(ROOT, after.file)[0])


def test_what_the_list_names_exists() -> None:
    """Every app of a lesson that is there is one, and its lesson calls it; each exercise belongs to one lesson."""
    for lesson in (x for x in LISTED if (LESSONS / x.file).is_file()):
        code = "\n".join(c.source for c in nbformat.read(LESSONS / lesson.file, as_version=4).cells)
        for app in lesson.app:
            assert app in phasorkit.widgets.__all__, f"{lesson.number}: {app}"
            assert f"{app}(" in code, f"{lesson.number}: {app}"
    exercises = [name for lesson in LISTED for name in lesson.exercise]
    assert len(set(exercises)) == len(exercises)
    assert {p.parent.name for p in EXERCISES} <= set(exercises)


# --- how it is written ------------------------------------------------------------------------------------


def test_links_are_written_once_and_then_stay(course: Path) -> None:
    """First and last cell of each, the table in lesson 00; a second run finds nothing to do."""
    assert write(course) == [f"wrote lessons/{n}" for n in ("00-start.ipynb", "01-part.ipynb", "02-part.ipynb")]
    assert write(course) == []
    assert write(course, check_only=True) == []
    first, last = cells(course, "01-part.ipynb")
    line = (
        "[← Lesson 00 · Part 0](00-start.ipynb) · [Contents](00-start.ipynb#Contents) · "
        "[Exercise `bridge`](../exercises/bridge/bridge.ipynb) · Exercise `wiring` · "
        "[Lesson 02 · Part 2 →](02-part.ipynb)"
    )
    assert line in first.splitlines()
    assert line in last.splitlines()
    assert (
        "| [Lesson 02 · Part 2](02-part.ipynb)<br>*What is 2?* | say 2 | 32 | none |"
        in cells(course, "00-start.ipynb")[1].splitlines()
    )
    assert without_generated(last) == "## Next"


def test_checking_writes_nothing_and_tells_what_differs(course: Path) -> None:
    """A lesson whose links somebody edited is named; its bytes stay."""
    write(course)
    path = course / "lessons" / "02-part.ipynb"
    text = path.read_text(encoding="utf-8").replace("Contents", "List")
    path.write_text(text, encoding="utf-8", newline="\n")
    assert write(course, check_only=True) == ["lessons/02-part.ipynb: links differ"]
    assert path.read_text(encoding="utf-8") == text
    assert write(course) == ["wrote lessons/02-part.ipynb"]
    assert write(course, check_only=True) == []


def test_a_new_exercise_gets_its_link(course: Path) -> None:
    """Its lesson and the table differ until they are written again."""
    write(course)
    (course / "exercises" / "wiring").mkdir()
    shutil.copy(ROOT / "exercises" / "bridge" / "bridge.ipynb", course / "exercises" / "wiring" / "wiring.ipynb")
    changed = ["00-start.ipynb", "01-part.ipynb"]
    assert write(course, check_only=True) == [f"lessons/{n}: links differ" for n in changed]
    write(course)
    assert "../exercises/wiring/wiring.ipynb" in cells(course, "01-part.ipynb")[0]


def test_a_missing_lesson_is_told_and_the_links_pass_it_by(course: Path) -> None:
    """Told in both modes, so that the gate fails; nobody is sent to a page that is not there."""
    (course / "lessons" / "01-part.ipynb").unlink()
    told = "lessons/01-part.ipynb is missing, though contents.toml lists it"
    assert write(course)[0] == told
    assert write(course, check_only=True) == [told]
    assert "[Lesson 02 · Part 2 →](02-part.ipynb)" in cells(course, "00-start.ipynb")[0]


def test_an_unlisted_lesson_is_told(course: Path) -> None:
    """It would have no way in."""
    write(course)
    shutil.copy(course / "lessons" / "02-part.ipynb", course / "lessons" / "03-more.ipynb")
    assert write(course, check_only=True) == ["lessons/03-more.ipynb is not in contents.toml"]


@pytest.mark.parametrize(
    ("what", "was", "now"),
    [
        ("title", "# Lesson 02 · Part 2", "# Lesson 02 · Part two"),
        ("question", "**What is 2?**", "**What is two?**"),
        ("minutes", "About 32 minutes", "About 35 minutes"),
    ],
)
def test_a_lesson_that_says_otherwise_than_the_list_is_told(course: Path, what: str, was: str, now: str) -> None:
    """Title, question and minutes stand in both places and must agree."""
    write(course)
    path = course / "lessons" / "02-part.ipynb"
    path.write_text(path.read_text(encoding="utf-8").replace(was, now), encoding="utf-8", newline="\n")
    (line,) = write(course, check_only=True)
    assert line.startswith(f"lessons/02-part.ipynb: {what} is ")


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        ('number = "01"', 'number = "07"', "accepted: number '01'"),
        ("minutes = 31", 'minutes = "31"', "minutes (int) expected"),
        ("minutes = 31\n", "", "see to minutes"),
        ("minutes = 31", "minutes = 31\ncolour = 1", "see to colour"),
        ("[[lesson]]", "[[lesson", "contents.toml: "),
        ("[[lesson]]", "[[page]]", "lists no lesson"),
    ],
)
def test_a_bad_list_is_told_in_one_line(course: Path, was: str, now: str, says: str) -> None:
    """Which lesson, what is wrong, what is accepted."""
    path = course / "lessons" / "contents.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(was, now), encoding="utf-8")
    with pytest.raises(ContentsError) as error:
        contents(course)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_a_missing_list_is_told(tmp_path: Path) -> None:
    """With its path."""
    with pytest.raises(ContentsError, match=r"contents\.toml is missing"):
        contents(tmp_path)


def test_the_table_without_exercise_says_none() -> None:
    """And the hours are those of the lessons in it."""
    lesson = Lesson(
        number="00", file="00-start.ipynb", title="A", question="B?", goals="c", minutes=90, exercise=(), app=()
    )  # fmt: skip
    assert "| 90 | none |" in table([lesson], ROOT)
    assert "about 2 hours" in table([lesson], ROOT)
    assert lessons_of((LESSONS / room.CONTENTS).read_text(encoding="utf-8")) == LISTED
