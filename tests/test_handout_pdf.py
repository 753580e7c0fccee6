"""A page of the handout printed to PDF by a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from in_browser import CHROMIUM

from phasorkit.course.briefs import draw_brief
from phasorkit.course.handout_look import page
from phasorkit.course.model import task
from phasorkit.course.pdf import PdfError, browser, print_pages
from phasorkit.course.sheets import sheets_page

pytestmark = pytest.mark.browser


def test_a_page_is_printed_beside_itself(tmp_path: Path) -> None:
    """PDF by its first bytes (ISO 32000-1, 7.5.2), longer for a longer text."""
    short, long = tmp_path / "short page.html", tmp_path / "långt.html"
    short.write_text(page("<h1>Dark</h1>", title="A"), encoding="utf-8")
    long.write_text(page("<h1>Lit</h1>" + "<p>word</p>" * 500, title="B"), encoding="utf-8")
    made = print_pages([short, long], program=browser(CHROMIUM))
    assert [p.name for p in made] == ["short page.pdf", "långt.pdf"]
    texts = [p.read_bytes() for p in made]
    assert all(t.startswith(b"%PDF-") for t in texts)
    assert texts[1].count(b"/Type /Page\n") > texts[0].count(b"/Type /Page\n") == 1
    assert sorted(p.suffix for p in tmp_path.iterdir()) == [".html", ".html", ".pdf", ".pdf"]


def test_sheets_begin_on_the_first_page_and_each_learner_on_a_new_one(tmp_path: Path) -> None:
    """Three learners take three times the paper of one: no empty page, none shared (arithmetic)."""
    root, exercise, pages = Path(__file__).parents[1], task("bridge"), []
    for count in (1, 3):
        pages.append(tmp_path / f"{count}.html")
        briefs = [draw_brief(exercise, f"app-{n}", "PUMP-24") for n in range(count)]
        pages[-1].write_text(sheets_page(exercise, briefs, root=root), encoding="utf-8")
    one, three = (p.read_bytes().count(b"/Type /Page\n") for p in print_pages(pages, program=browser(CHROMIUM)))
    assert three == 3 * one > 0


def test_a_program_that_prints_nothing_is_told(tmp_path: Path) -> None:
    """With the name of the page; nothing half-made stays behind."""
    (tmp_path / "a.html").write_text("<p>a</p>", encoding="utf-8")
    with pytest.raises(PdfError, match=r"a\.html was not printed"):
        print_pages([tmp_path / "a.html"], program=browser("false"))
    assert not (tmp_path / "a.pdf").exists()
