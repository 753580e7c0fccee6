"""A real browser for tests: where it is, a page in it, a lesson run in JupyterLab, and the scan for accessibility.

Modules that import this are skipped, with the reason, where no Chromium is installed; in CI (PHASORKIT_NEED_BROWSER)
they fail instead.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib import resources
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
LAPTOP = {"width": 1366, "height": 768}
SERIOUS = ("serious", "critical")
"""Findings that fail a page; the others are printed."""

if CHROMIUM is None and not os.environ.get("PHASORKIT_NEED_BROWSER"):
    pytest.skip("no Chromium is installed (Debian: apt-get install chromium)", allow_module_level=True)


@contextmanager
def browser_page() -> Iterator[Any]:
    """A page of a laptop's size."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport=LAPTOP)
        page.set_default_timeout(120_000)
        page.on("dialog", lambda dialog: dialog.accept())  # "leave this page?", for a lesson that was run
        page.add_locator_handler(page.locator("dialog.jp-Dialog"), _answer)
        yield page
        browser.close()


def _answer(dialog: Any) -> None:
    """Do what a person does whom JupyterLab asks for a kernel, or tells that its server is slow: agree, and go on."""
    print("JupyterLab asked:", dialog.inner_text())
    dialog.locator("button.jp-mod-accept").last.click()


def open_notebook(page: Any, address: str) -> None:
    """Open a notebook in JupyterLab and wait until its first heading stands there."""
    page.goto(address)
    page.locator(".jp-Notebook .jp-MarkdownCell h1").first.wait_for()


PROMPTS = "[...document.querySelectorAll('.jp-CodeCell .jp-InputPrompt')].map(e => e.textContent)"
ASKS = 4
"""How often a run is asked for: JupyterLab drops what is asked of a kernel whose connection is renewed just then."""


def run_all(page: Any) -> None:
    """Wait for an idle kernel; menu Run, Run All Cells; wait until every code cell on the page has a number again.

    Stored numbers do not count, so they are wiped first; and JupyterLab takes the focus when a run ends.
    """
    from playwright.sync_api import TimeoutError as Waited

    idle = page.locator(".jp-NotebookPanel:not(.lm-mod-hidden) .jp-Notebook-ExecutionIndicator[data-status=idle]")
    for _ in range(ASKS):
        idle.wait_for()
        page.evaluate("document.querySelectorAll('.jp-CodeCell .jp-InputPrompt').forEach(e => e.textContent = '')")
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        with suppress(Waited):  # dropped, where nothing has begun by then
            page.wait_for_function(f"() => {PROMPTS}.some(t => /[*\\d]/.test(t))", timeout=20_000)
        page.wait_for_function(f"() => !{PROMPTS}.some(t => t.includes('*'))")
        if page.evaluate(f"{PROMPTS}.length > 0 && {PROMPTS}.every(t => /\\d/.test(t))"):
            break
    else:
        raise AssertionError(f"asked {ASKS} times, the notebook did not run: {page.evaluate(PROMPTS)}")
    idle.wait_for()
    page.wait_for_timeout(1000)


def findings(page: Any, *, include: tuple[str, ...] = (), exclude: tuple[str, ...] = ()) -> list[tuple[str, str, str]]:
    """What axe-core (MPL-2.0, from the package axe-playwright-python) finds: impact, rule with help, first place."""
    page.evaluate(resources.files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8"))
    context = {"include": [[s] for s in include or ("html",)], "exclude": [[s] for s in exclude]}
    found = page.evaluate("context => axe.run(context)", context)
    assert found["passes"], "the scan looked at nothing"
    return [
        (v["impact"], f"{v['id']}: {v['help']} ({len(v['nodes'])} places)", v["nodes"][0]["html"][:200])
        for v in found["violations"]
    ]


def assert_nothing_serious(found: list[tuple[str, str, str]]) -> None:
    """No finding of an impact in `SERIOUS`."""
    assert [f for f in found if f[0] in SERIOUS] == []
