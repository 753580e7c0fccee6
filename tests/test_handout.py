"""The handout: every lesson and table on a page that stands alone, with words for every figure.

Text alternatives, language, headings: WCAG 2.2, criteria 1.1.1, 3.1.1, 1.3.1 (tests/test_accessibility.py scans more).
"""

from __future__ import annotations

import asyncio
import re
from html.parser import HTMLParser
from pathlib import Path
from threading import current_thread
from types import SimpleNamespace
from urllib.parse import unquote

import nbformat
import pytest
from lesson_runs import LESSONS, ran, read, run, shows_picture

from phasorkit.cli import main
from phasorkit.course import handout, kernel_loop, pdf
from phasorkit.course.contents import contents
from phasorkit.course.handout import HandoutError, relinked, still, write

ROOT = LESSONS.parent
THERE = [x for x in contents(ROOT) if (LESSONS / x.file).is_file()]
FETCHES = ("src", "href", "data", "poster", "srcset", "action", "xlink:href")


class Page(HTMLParser):
    """What a page holds: tags with their attributes, its text, and the ids."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.text = ""
        self.feed(text)
        self.ids = [given["id"] for _, given in self.tags if "id" in given]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep it."""
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_data(self, data: str) -> None:
        """Keep it."""
        self.text += data

    def all(self, tag: str) -> list[dict[str, str]]:
        """Attributes of every tag of a kind."""
        return [given for name, given in self.tags if name == tag]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The handout of the course as it is, from the lessons as the other tests run them."""
    out = tmp_path_factory.mktemp("handout") / "new" / "folder"
    write(ROOT, out, run=lambda lesson: ran(LESSONS / lesson.file))
    return out


@pytest.fixture(scope="module")
def pages(folder: Path) -> dict[str, Page]:
    """Every page by its file name."""
    return {path.name: Page(path.read_text(encoding="utf-8")) for path in sorted(folder.iterdir())}


def test_there_is_a_page_for_every_lesson_and_every_table(pages: dict[str, Page]) -> None:
    """And an index that leads to each."""
    named = [*(Path(x.file).stem for x in THERE), *(p.stem for p in LESSONS.glob("*.md"))]
    assert set(pages) == {"index.html", *(f"{name}.html" for name in named)}
    assert {f"{name}.html" for name in named} <= {unquote(a["href"]) for a in pages["index.html"].all("a")}


def test_no_page_asks_the_network_or_needs_a_script(pages: dict[str, Page]) -> None:
    """Nothing but the page itself is fetched: pictures are in it, links lead to the other pages."""
    for name, page in pages.items():
        for tag, given in page.tags:
            assert tag not in ("script", "iframe", "link", "object", "embed"), name
            for value in (given[x] for x in FETCHES if x in given):
                ours = tag == "a" and re.match(r"([\w.-]+\.html)?(#|$)", value)
                assert ours or (tag == "img" and value.startswith("data:image/svg+xml;base64,")), (name, tag, value)
            assert "url(" not in given.get("style", "")
    style = pages["index.html"].text
    assert "@import" not in style
    assert "url(" not in style


def test_every_link_leads_to_a_page_and_a_place_on_it(pages: dict[str, Page]) -> None:
    """Also within a page."""
    for name, page in pages.items():
        for link in page.all("a"):
            file, _, anchor = link["href"].partition("#")
            there = pages[file or name]
            assert not anchor or {anchor, unquote(anchor)} & {*there.ids, *map(unquote, there.ids)}, (name, link)


def test_every_figure_has_words(pages: dict[str, Page]) -> None:
    """A text alternative of a dozen words or more on each picture and each figure."""
    count = 0
    for name, page in pages.items():
        words = [i.get("alt", "") for i in page.all("img")] + [f.get("aria-label", "") for f in page.all("figure")]
        assert [w for w in words if len(w.split()) < 12] == [], name
        assert len(page.all("svg")) == len(page.all("figure")), name
        count += len(words)
    assert count >= 4 * (len(THERE) - 1)


def test_every_picture_and_app_of_a_lesson_is_on_its_page(pages: dict[str, Page]) -> None:
    """One figure for each cell that shows one, and apps without controls but with their line of text."""
    for lesson in THERE:
        page = pages[f"{Path(lesson.file).stem}.html"]
        shown = [c for c in read(LESSONS / lesson.file).cells if c.cell_type == "code" and shows_picture(c)]
        assert len(page.all("figure")) == len(shown)
        stills = [given for given in page.all("div") if given.get("class") == "still"]
        calls = re.findall(r"^\w+_app\(", "\n".join(c.source for c in shown), re.MULTILINE)
        assert len(stills) == len(calls) >= len(lesson.app), lesson.file
        assert not {"button", "input", "select"} & {tag for tag, _ in page.tags}
        assert "Error displaying widget" not in page.text


def test_an_app_says_on_paper_what_it_shows(pages: dict[str, Page]) -> None:
    """Null bridge at its null: common practice, dark in 1-2-3."""
    text = " ".join(pages["05-null-bridges.html"].text.split())
    assert handout.STILL in text
    assert "Lamp H1 between M and P has 0 V: dark" in text
    assert "@media print" in text


def test_pages_say_their_language_and_title_and_begin_with_one_heading(pages: dict[str, Page]) -> None:
    """One h1 each; the lesson's number in the title."""
    for name, page in pages.items():
        assert page.all("html") == [{"lang": "en"}]
        assert len(page.all("h1")) == 1, name
        assert len(page.all("title")) >= 1
        assert len(page.all("main")) == 1
    assert "Lesson 05 · Null bridges" in pages["05-null-bridges.html"].text


def test_the_switch_can_be_set_for_another_country() -> None:
    """A page made for 208 V tells 208 V."""
    lesson = next(x for x in THERE if x.number == "05")
    other = ran(LESSONS / lesson.file, "208 V 60 Hz")
    html = handout.lesson_page(other, title=lesson.name, folder=LESSONS, pages={})
    assert re.search(r'^SYSTEM = "208 V 60 Hz"', Page(html).text, re.MULTILINE)
    assert "346" not in Page(html).text.split("With the library")[1].split("Open is not zero volts")[0]


def test_links_without_a_page_keep_their_words() -> None:
    """Exercises are not part of the handout; a picture is left alone; a place on the page itself stays."""
    pages = {"glossary.md": "glossary.html"}
    assert relinked("[Exercise](../exercises/a/a.ipynb)", pages) == "Exercise"
    assert relinked("[rms](glossary.md#rms)", pages) == "[rms](glossary.html#rms)"
    assert relinked("[above](#Goal)", pages) == "[above](#Goal)"
    assert relinked("![a picture](pictures/a.svg)", pages) == "![a picture](pictures/a.svg)"


def test_a_still_has_no_headings_of_controls() -> None:
    """Figure, line and table only; nothing is announced as changing."""
    made = still(["<b>Supply</b>", "<figure>F</figure>", '<div role="status" aria-live="polite">S</div>', "<table>T"])
    assert re.findall(r"[FST](?=<)|T$", made.split("</p>")[1]) == ["F", "S", "T"]
    assert "aria-live" not in made
    assert "Supply" not in made


def small_course(root: Path, code: str) -> Path:
    """A course of one lesson with one cell of code."""
    (root / "lessons").mkdir()
    (root / "exercises").mkdir()
    cells = [
        nbformat.v4.new_markdown_cell("# Lesson 00 · A\n\n**B?**\n\nAbout 15 minutes."),
        nbformat.v4.new_code_cell(code),
    ]
    nbformat.write(nbformat.v4.new_notebook(cells=cells), root / "lessons" / "00-start.ipynb")
    listed = 'number = "00"\nfile = "00-start.ipynb"\ntitle = "A"\nquestion = "B?"\ngoals = "c"\nminutes = 15\n'
    (root / "lessons" / "contents.toml").write_text(f"[[lesson]]\n{listed}exercise = []\napp = []\n", encoding="utf-8")
    return root


def test_a_cell_that_raises_is_told_and_leaves_no_page(tmp_path: Path) -> None:
    """Lesson and error in one line."""
    with pytest.raises(HandoutError, match=r"lessons/00-start\.ipynb: a cell raised ZeroDivisionError"):
        write(small_course(tmp_path, "1 / 0"), tmp_path / "out")
    assert list((tmp_path / "out").iterdir()) == []


def test_the_command_writes_pages_and_leaves_other_files_alone(tmp_path: Path, monkeypatch, capfd) -> None:
    """By default into handout/, once more over the old pages."""
    monkeypatch.chdir(small_course(tmp_path, "print('six volts')"))
    assert main(["teach", "handout"]) == 0
    (tmp_path / "handout" / "mine.txt").write_text("kept", encoding="utf-8")
    assert main(["teach", "handout"]) == 0
    assert {p.name for p in (tmp_path / "handout").iterdir()} == {"index.html", "00-start.html", "mine.txt"}
    assert "six volts" in (tmp_path / "handout" / "00-start.html").read_text(encoding="utf-8")
    said = capfd.readouterr()  # of the kernels too
    assert ("wrote 2 pages" in said.out, said.err) == (True, "")


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (["--system", "208"], "SYSTEM must read like"),
        (["--pdf", "--browser", "no-such-program"], "'no-such-program' is no program here"),
        (["--out", "lessons/contents.toml"], "contents.toml"),
    ],
)
def test_what_stands_in_the_way_is_told_in_one_line(
    given: list[str], says: str, tmp_path: Path, monkeypatch, capsys
) -> None:
    """Exit code 2, nothing written."""
    monkeypatch.chdir(small_course(tmp_path, "1"))
    assert main(["teach", "handout", *given]) == 2
    told = capsys.readouterr().err
    assert says in told
    assert told.count("\n") == 1
    assert not (tmp_path / "handout").exists()


def test_without_a_browser_the_command_says_what_to_do(monkeypatch) -> None:
    """Print from any browser, or name one."""
    monkeypatch.setenv("PATH", "")
    with pytest.raises(pdf.PdfError, match="or open the pages in any browser"):
        pdf.browser()


def test_a_notebook_given_stays_as_it_is() -> None:
    """Tests share their run lessons."""
    kept = run(nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("import ipywidgets as w\nw.HTML('x')")]))
    before = nbformat.writes(kept)
    handout.lesson_page(kept, title="A", folder=LESSONS, pages={})
    assert nbformat.writes(kept) == before


@pytest.mark.parametrize(("platform", "default"), [("win32", False), ("linux", True)])
def test_on_windows_a_lesson_is_not_run_in_the_default_loop(
    monkeypatch: pytest.MonkeyPatch, platform: str, default: bool
) -> None:
    """The default one there lacks `add_reader` (asyncio, Platform Support), so pyzmq warns the instructor of it.

    jupyter_client's heart beat has a thread of its own, and a loop that waits for nothing.
    """
    monkeypatch.setattr(kernel_loop, "sys", SimpleNamespace(platform=platform))
    asked, make = [], asyncio.new_event_loop
    monkeypatch.setattr(asyncio, "new_event_loop", lambda: asked.append(current_thread().name) or make())
    ran = run(nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1 + 1")]))
    assert ran.cells[0].outputs[0].data["text/plain"] == "2"
    assert any(name.startswith("lesson") for name in asked) is default


def test_a_lesson_can_be_run_where_an_event_loop_runs() -> None:
    """A notebook's cells run in one, and asyncio lets no second one run in the same thread (`asyncio.run`)."""

    async def inside() -> str:
        done = run(nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1 + 1")]))
        return str(done.cells[0].outputs[0].data["text/plain"])

    assert asyncio.run(inside()) == "2"
