"""Lessons in JupyterLab and the handout, scanned for people who see little, use no mouse, or listen.

Outside truth: axe-core's rules for WCAG 2.2, levels A and AA. What JupyterLab and ipywidgets draw around our cells is
theirs: the scan looks at text cells and at outputs, without the handle of a slider, which ipywidgets gives no name; the
same value is set in the box beside it, which has one.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from in_browser import SERIOUS, assert_nothing_serious, browser_page, findings, open_notebook, run_all
from lab_server import lab_server
from lesson_runs import LESSONS, lesson_files, ran, read, shows_picture

from phasorkit.course import handout

pytestmark = pytest.mark.browser

OURS = (".jp-MarkdownOutput", ".jp-OutputArea-output")
THEIRS = (".noUi-handle",)
CUT_OFF = """[...document.querySelectorAll('.jp-OutputArea-output button')]
    .filter(b => b.scrollWidth > b.clientWidth).map(b => b.textContent)"""
"""Words of buttons that are wider than their button: ipywidgets ends them with dots."""
CHANGED = "before => document.querySelector('.jp-OutputArea-output figure svg')?.outerHTML !== before"


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    """One browser page for all scans."""
    with browser_page() as opened:
        yield opened


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A running JupyterLab over a copy of the lessons."""
    with lab_server(tmp_path_factory.mktemp("lab")) as running:
        yield running


@pytest.mark.parametrize("path", lesson_files(), ids=lambda p: p.name)
def test_a_lesson_as_run_has_no_serious_finding(path: Path, page: Any, lab: Any) -> None:
    """Text, pictures, apps with their controls."""
    open_notebook(page, lab.address(f"lessons/{path.name}"))
    run_all(page)
    pictures = sum(1 for cell in read(path).cells if cell.cell_type == "code" and shows_picture(cell))
    page.wait_for_function("n => document.querySelectorAll('.jp-OutputArea-output figure').length >= n", arg=pictures)
    assert_nothing_serious(findings(page, include=OURS, exclude=THEIRS))
    assert page.evaluate(CUT_OFF) == [], "buttons whose words do not fit"


def test_the_handles_left_out_lack_a_name_and_nothing_else(page: Any, lab: Any) -> None:
    """When ipywidgets gives handles a name, this fails: then `THEIRS` goes."""
    open_notebook(page, lab.address("lessons/01-phasors.ipynb"))
    run_all(page)
    page.locator(THEIRS[0]).first.wait_for()
    rules = [rule.split(":")[0] for impact, rule, _ in findings(page, include=THEIRS) if impact in SERIOUS]
    assert rules == ["aria-input-field-name"]
    boxes = page.locator(".jp-OutputArea-output input[type=text]")
    handles = page.locator(THEIRS[0]).count()
    named = page.get_by_label("exact value").count()
    assert named >= handles > 0, f"{handles} handles, {named} of {boxes.count()} boxes with a name"


@pytest.mark.parametrize("name", ["01-phasors", "02-three-phase", "07-lamps-that-switch", "11-motor"])
def test_an_app_is_played_and_paused_by_keyboard(name: str, page: Any, lab: Any) -> None:
    """WCAG 2.2, 2.1.1 (keyboard) and 2.2.2 (pause): the space bar starts and stops it, and the focus stays."""
    open_notebook(page, lab.address(f"lessons/{name}.ipynb"))
    run_all(page)
    app = page.locator(".jp-OutputArea-output:has([role=status])").first
    app.scroll_into_view_if_needed()
    picture = app.locator("figure svg").first
    picture.wait_for()
    if name == "11-motor":  # else it stands still, played or not
        app.get_by_role("button", name="Switch on").focus()
        page.keyboard.press("Space")
        app.get_by_role("button", name="Switch off").wait_for()
    app.get_by_role("button", name="Play", exact=True).focus()
    before = picture.evaluate("svg => svg.outerHTML")
    page.keyboard.press("Space")
    page.wait_for_function(CHANGED, arg=before)
    assert page.evaluate("document.activeElement.innerText") == "Pause"
    page.keyboard.press("Space")
    app.get_by_role("button", name="Play", exact=True).wait_for()
    for _ in range(30):  # frames that were on their way may still come
        stopped = picture.evaluate("svg => svg.outerHTML")
        page.wait_for_timeout(2000)
        if picture.evaluate("svg => svg.outerHTML") == stopped:
            break
    else:
        raise AssertionError("the picture goes on after Pause")
    assert page.evaluate("document.activeElement.innerText") == "Play"


def test_the_handout_has_no_serious_finding(page: Any, tmp_path: Path) -> None:
    """Every page of it, as a whole document."""
    for made in handout.write(LESSONS.parent, tmp_path, run=lambda lesson: ran(LESSONS / lesson.file)):
        page.goto(made.as_uri())
        assert_nothing_serious(findings(page))


@pytest.mark.parametrize(
    ("html", "rule"),
    [
        ('<img src="data:,">', "image-alt"),
        ('<button title=""></button>', "button-name"),
        ('<p style="color:#bbb;background:#fff">pale words</p>', "color-contrast"),
        ('<input type="text" title="Volts">', "label-title-only"),
    ],
)
def test_the_scan_sees_a_breach(html: str, rule: str, page: Any) -> None:
    """A gate that cannot fail is none."""
    page.set_content(f'<html lang="en"><head><title>A</title></head><body><main><h1>A</h1>{html}</main></body></html>')
    found = findings(page)
    assert [f for f in found if f[1].startswith(rule)]
    with pytest.raises(AssertionError):
        assert_nothing_serious(found)
