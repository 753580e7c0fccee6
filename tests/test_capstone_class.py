"""Exercise `capstone` in a class: six checks read one list in both graders; the page shows the failing case in words.

Outside the project: stock nbgrader's own two commands are the reference for the marks; a picture carries a text
alternative (WCAG 2.2, criterion 1.1.1).
"""

from __future__ import annotations

import re
import shutil
import warnings
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from time import process_time

import pytest
from grading_runs import ROOT, Scores, automatic_scores, run, stock_config
from PIL import Image
from sandbox_runs import require_sandbox
from test_task_capstone import CAPSTONE, CHECKS, DOUBLE, LED, NULL, PAD, PUMP, STALL, TWIN, WORKSHOP, Parts, mark_of

from phasorkit.course import parts_verdict as v
from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.notebooks import dump, grade_id, load, output
from phasorkit.course.grading.outputs import plain_output
from phasorkit.course.model import judge
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.capstone import values

CODE = "PUMP-DEMO"
GOOD = {who: values.example(draw_brief(CAPSTONE, who, CODE)) for who in ("app-01", "app-19", "app-03")}
WORK: Mapping[str, PlainData] = {
    "app-01": GOOD["app-01"],
    "app-19": {**GOOD["app-19"], "C tolerance": 20},  # at 480 V its dark lamp is not dark for sure
    "app-03": {**GOOD["app-03"], "R kind": "strong ones"},  # cannot be read
    "app-04": None,  # nothing filled in
}


@dataclass(frozen=True)
class Graded:
    """Scores by learner and check of ours and of stock nbgrader, and our pages of feedback."""

    ours: Scores
    stock: Scores
    pages: Mapping[str, str]


def handed_in(who: str, design: PlainData) -> bytes:
    """The released exercise with a name and a list."""
    notebook = load((ROOT / "exercises" / "capstone" / "capstone.ipynb").read_bytes())
    for cell in notebook.cells:
        if "begin(" in cell.source and cell.cell_type == "code":
            cell.source = f'brief = begin("capstone", learner="{who}", class_code="{CODE}")'
        if grade_id(cell) == "design-answer" and design is not None:
            cell.source += f"\ndesign = {design!r}"
    return dump(notebook)


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Graded:
    """The class graded by our command, and by nbgrader's own two."""
    require_sandbox()
    place = tmp_path_factory.mktemp("capstone")
    inbox, folder, course = place / "inbox", place / "class", place / "course"
    shutil.copytree(ROOT / "solutions" / "capstone", course / "solutions" / "capstone")
    stock_config(course)
    for who, design in WORK.items():
        for home in (inbox / who, course / "class" / "submitted" / who / "capstone"):
            home.mkdir(parents=True)
            (home / "capstone.ipynb").write_bytes(handed_in(who, design))
    done = run("phasorkit", "grade", str(inbox), "--class-folder", str(folder), "--class-code", CODE)
    assert done.code in (0, 1), done.said
    for step in ("generate_assignment", "autograde"):
        done = run("nbgrader", step, "capstone", cwd=course, own_path=True)
        assert done.code == 0, done.said
    pages = {
        who: (folder / "feedback" / who / "capstone" / "capstone.html").read_text(encoding="utf-8") for who in WORK
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # nbgrader's own database layer
        return Graded(automatic_scores(folder, "capstone"), automatic_scores(course / "class", "capstone"), pages)


def test_both_graders_read_the_one_list(graded: Graded) -> None:
    """Six checks of each learner, mark for mark; and as the check itself marks the list."""
    assert len(graded.stock) == len(WORK) * len(CHECKS)
    assert graded.ours == graded.stock
    for who, design in WORK.items():
        brief = draw_brief(CAPSTONE, who, CODE)
        expected = {name: judge(CAPSTONE, brief, name, {name: design}).points for name in CHECKS}
        assert {name: graded.ours[who, f"{name}-check"] for name in CHECKS} == pytest.approx(expected), who
    assert sum(graded.ours["app-01", f"{name}-check"] or 0 for name in CHECKS) == 24
    assert sum(graded.ours["app-04", f"{name}-check"] or 0 for name in CHECKS) == 0


def test_the_page_shows_the_failing_case_in_picture_and_words(graded: Graded) -> None:
    """PNG inside the page, its alternative names the requirement; none where nothing fails or nothing can be read."""
    poor = judge(CAPSTONE, draw_brief(CAPSTONE, "app-19", CODE), "lamps", {"lamps": WORK["app-19"]})
    assert re.search(rf"^{v.DARK} +no$", poor.text, re.MULTILINE)
    found = {who: re.findall(r"<img[^>]*>", page) for who, page in graded.pages.items()}
    shown = [tag for tag in found["app-19"] if f"Not met: {v.DARK}" in tag]
    assert len(shown) == 1
    assert "data:image/png;base64," in shown[0].replace("\n", "")
    alt = re.search(r'alt="([^"]*)"', shown[0])
    assert alt is not None
    assert len(alt[1].split()) > 12
    assert not any("Not met" in tag for who in ("app-01", "app-03", "app-04") for tag in found[who])


def test_markup_in_a_text_alternative_is_removed() -> None:
    """A learner's own picture may claim any words: no letter of them ends an attribute or begins a tag."""
    held = BytesIO()
    Image.new("RGB", (2, 2)).save(held, "PNG")
    words = "\"><script>x</script> onerror='y' & `z`"
    data = {"image/png": b64encode(held.getvalue()).decode("ascii")}
    plain = plain_output(output("display_data", {"data": data, "metadata": {"image/png": {"alt": words}}}))
    assert plain is not None
    alt = plain.metadata["image/png"]["alt"]
    assert "script" in alt
    assert not set("<>&\"'`") & set(alt)


@pytest.mark.parametrize("design", [NULL, TWIN, DOUBLE, LED, PAD], ids=lambda d: d["circuit"])
def test_a_check_is_soon_done(design: Parts) -> None:
    """Well under a second of processor time, nothing remembered, even of twenty pieces in a row."""
    rows = {k: "20 x 20k" for k in design if re.match(r"R[0-9]", k)}
    for brief in (STALL, WORKSHOP, PUMP):
        for listed in (design, {**design, **rows}):
            v.verdict.cache_clear()
            start = process_time()
            mark_of(brief, "lamps", listed)
            assert process_time() - start < 0.6
