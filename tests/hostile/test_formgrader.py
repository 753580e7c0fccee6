"""Formgrader, nbgrader's own page for looking through marks, opened in a browser on a class that we graded."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import nbformat
import pytest
from formgrader import copy_course, formgrader_server
from in_browser import browser_page
from lab_server import Lab
from sandbox_runs import require_sandbox

from phasorkit.course.grading.demo import CLASS_CODE, filled_in
from phasorkit.course.grading.demo_work import Pupil
from phasorkit.course.grading.run import grade_folder

pytestmark = pytest.mark.browser

HOSTILE = (
    "Reactance is $\\frac{1}{2\\pi f C}$. <script>window.hurt = 'script'</script>"
    "<img src=x onerror=\"window.hurt = 'image'\"> [press](javascript:window.hurt='link')"
)


def hand_in(inbox: Path, course: Path) -> None:
    """An honest learner's bridge, and one whose notes carry a formula and three ways to run a script."""
    release = (course / "exercises" / "bridge" / "bridge.ipynb").read_bytes()
    for learner, note in (("app-01", "My notes."), ("app-02", HOSTILE)):
        notebook = nbformat.reads(filled_in(release, Pupil(learner), CLASS_CODE).decode("utf-8"), as_version=4)
        notebook.cells.insert(4, nbformat.v4.new_markdown_cell(note, id="notes"))
        file = inbox / learner / "bridge.ipynb"
        file.parent.mkdir(parents=True)
        nbformat.write(notebook, file)


def home(lab: Lab) -> str:
    """Address of the server."""
    return f"http://127.0.0.1:{lab.port}"


def at_home(page: Any, lab: Lab) -> list[str]:
    """Sign in with the server's token; whatever the pages want from anywhere else is refused and listed."""
    wanted: list[str] = []

    def decide(route: Any) -> None:
        if route.request.url.startswith((home(lab), "data:", "blob:")):
            route.continue_()
        else:
            wanted.append(route.request.url)
            route.abort()

    page.route("**/*", decide)
    page.goto(f"{home(lab)}/tree?token={lab.token}")
    return wanted


def test_marks_and_feedback_are_seen_and_nothing_of_a_learner_runs(tmp_path: Path) -> None:
    """Both learners are listed with their marks; the submission shows feedback and formula, and no script has run."""
    require_sandbox()
    course = tmp_path / "course"
    course.mkdir()
    hand_in(tmp_path / "inbox", copy_course(course))
    grade_folder(tmp_path / "inbox", root=course, class_folder=course / "class", class_code=CLASS_CODE)
    with formgrader_server(tmp_path / "server", course) as lab, browser_page() as page:
        at_home(page, lab)
        page.goto(f"{home(lab)}/formgrader/gradebook/bridge/bridge")
        row = page.locator("tbody tr", has_text="20 / 20")
        row.first.wait_for()
        assert row.count() == 2
        addresses = sorted({a.get_attribute("href") for a in page.locator("td a[href*='/submissions/']").all()})
        formulas = 0
        for address in addresses:
            page.goto(f"{home(lab)}{address}")
            page.get_by_text("3 of 3 marks").first.wait_for()
            page.wait_for_timeout(500)
            assert page.evaluate("window.hurt") is None
            assert page.locator("a[href^='javascript']").count() == 0
            formulas += page.locator("img.formula").count() > 0
        assert (len(addresses), formulas) == (2, 1)
