"""Lesson 05 in a real browser: opened in JupyterLab, run, a control moved, and the picture seen to change."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from lab_server import lab_server

pytestmark = pytest.mark.browser
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
LAPTOP = {"width": 1366, "height": 768}
NOISE = "ResizeObserver loop"
"""What Chromium reports of any page that resizes itself while it is being laid out."""

if CHROMIUM is None and not os.environ.get("PHASORKIT_NEED_BROWSER"):
    pytest.skip("no Chromium is installed (Debian: apt-get install chromium)", allow_module_level=True)


@pytest.fixture(scope="module")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Any, list[str]]]:
    """Lesson 05 open in JupyterLab, and the list into which the console's errors go."""
    from playwright.sync_api import sync_playwright

    folder = tmp_path_factory.mktemp("lab")
    with lab_server(folder) as lab, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport=LAPTOP)
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda m: errors.append(f"{m.text} {m.location}") if m.type == "error" else None)
        page.set_default_timeout(30_000)
        page.goto(lab.address("lessons/05-null-bridges.ipynb"))
        page.locator(".jp-Notebook .jp-MarkdownCell h1").first.wait_for()
        yield page, errors
        browser.close()


def test_the_lesson_runs_and_its_app_follows_the_controls(lesson: tuple[Any, list[str]], tmp_path: Path) -> None:
    from playwright.sync_api import expect

    page, errors = lesson
    _run_all(page)
    app = page.locator(".jp-OutputArea-output:has([role=status])")
    app.scroll_into_view_if_needed()
    seen = _next_picture(page, "")
    line = app.get_by_role("status")
    expect(line).to_contain_text("dark")
    page.screenshot(path=tmp_path / "app-123.png")
    panel = page.locator(".jp-NotebookPanel-notebook").bounding_box()
    assert app.bounding_box()["height"] <= panel["height"], "controls and picture share one laptop screen"

    app.get_by_role("button", name=re.compile("^Swap")).click()
    seen = _next_picture(page, seen)
    expect(line).to_contain_text("lit")
    page.screenshot(path=tmp_path / "app-132.png")

    before = line.inner_text()
    app.locator(".widget-slider", has_text="R3 [Ω]").get_by_role("slider").focus()
    page.keyboard.press("ArrowRight")
    seen = _next_picture(page, seen)
    expect(line).not_to_have_text(before)

    app.get_by_title("Probe L1: open").focus()
    page.keyboard.press("Enter")
    _next_picture(page, seen)
    expect(line).to_contain_text("L1 open")
    page.screenshot(path=tmp_path / "app-open.png")
    assert [e for e in errors if NOISE not in e] == []


def _next_picture(page: Any, before: str) -> str:
    """Wait until the app shows another picture than `before`, and return its SVG."""
    shown = "document.querySelector('.jupyter-widgets figure svg')?.outerHTML"
    page.wait_for_function(f"before => {{ const now = {shown}; return now && now !== before }}", arg=before)
    return str(page.evaluate(shown))


def _run_all(page: Any) -> None:
    """Menu Run, Run All Cells; wait until the last code cell has its number."""
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    page.wait_for_function(
        """() => { const p = [...document.querySelectorAll('.jp-CodeCell .jp-InputPrompt')].map(e => e.textContent);
                   return p.length > 0 && !p.some(t => t.includes('*')); }"""
    )
