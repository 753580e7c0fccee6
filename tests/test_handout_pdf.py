"""A page of the handout printed to PDF by a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from in_browser import CHROMIUM

from phasorkit.course.handout_look import page
from phasorkit.course.pdf import PdfError, browser, print_pages

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


def test_a_program_that_prints_nothing_is_told(tmp_path: Path) -> None:
    """With the name of the page; nothing half-made stays behind."""
    (tmp_path / "a.html").write_text("<p>a</p>", encoding="utf-8")
    with pytest.raises(PdfError, match=r"a\.html was not printed"):
        print_pages([tmp_path / "a.html"], program=browser("false"))
    assert not (tmp_path / "a.pdf").exists()
