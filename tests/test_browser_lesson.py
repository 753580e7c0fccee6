"""Lesson 05 in a real browser: opened in JupyterLab, run, a control moved, and the picture seen to change."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from in_browser import browser_page, open_notebook, run_all
from lab_server import lab_server

pytestmark = pytest.mark.browser
NOISE = "ResizeObserver loop"
"""What Chromium reports of any page that resizes itself while it is being laid out."""


@pytest.fixture(scope="module")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Any, list[str]]]:
    """Lesson 05 open in JupyterLab, and the list into which the console's errors go."""
    with lab_server(tmp_path_factory.mktemp("lab")) as lab, browser_page() as page:
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda m: errors.append(f"{m.text} {m.location}") if m.type == "error" else None)
        open_notebook(page, lab.address("lessons/05-null-bridges.ipynb"))
        yield page, errors


def test_the_lesson_runs_and_its_app_follows_the_controls(lesson: tuple[Any, list[str]], tmp_path: Path) -> None:
    from playwright.sync_api import expect

    page, errors = lesson
    run_all(page)
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


def test_the_links_of_a_lesson_lead_to_the_contents_and_on(lesson: tuple[Any, list[str]]) -> None:
    """JupyterLab opens the start lesson; its own link goes down to the table, and from there another lesson opens."""
    page, _ = lesson
    in_front = page.locator(".jp-NotebookPanel:not(.lm-mod-hidden)")
    page.get_by_role("link", name="Contents", exact=True).first.click()
    in_front.get_by_role("heading", name=re.compile("^Lesson 00")).wait_for()
    in_front.get_by_role("link", name="Contents", exact=True).first.click()
    page.wait_for_function(
        """() => [...document.querySelectorAll("h2[data-jupyter-id='Contents']")].some(heading => {
               const box = heading.getBoundingClientRect();
               return box.height > 0 && box.top >= 0 && box.top < 300; })"""
    )
    in_front.get_by_role("link", name=re.compile("^Lesson 09")).first.click()
    in_front.get_by_role("heading", name=re.compile("^Lesson 09")).wait_for()
