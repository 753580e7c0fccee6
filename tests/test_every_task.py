"""Gates that every exercise passes by itself: a class of 200, right answers, every slip, no result told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from course_cases import LEARNERS, answer_at, briefs, right_answers, slipped, stray_digits, with_answer

from phasorkit.course.model import RIGHT, Brief, Check, Landmark, Mark, Task, judge, task, tasks, truths
from phasorkit.course.parts_check import PartsCheck
from phasorkit.course.plain import PlainData
from phasorkit.course.separation import dropped, separation

ROOT = Path(__file__).resolve().parent.parent
NAMES = sorted(tasks())
EVERY_CHECK = [(name, check.name) for name in NAMES for check in task(name).checks]
MOST_CELLS = 6
"""Graded cells of one notebook (STYLE.md)."""

_POOR: dict[str, PlainData] = {
    "R kind": "0.25 W film", "R tolerance": 4, "C kind": "film, 400 V dc", "C tolerance": "20 %"
}  # fmt: skip
POOR_LISTS: tuple[dict[str, PlainData], ...] = (
    {"circuit": "null bridge", "R1 R2": "5 x 78k", "R3": "391k", "C1": "4n6", **_POOR},
    {"circuit": "twin", "R1 R2 R3 R4 R5 R6": "390k", "C1 C2": "4n7", **_POOR},
    {"circuit": "two-capacitor bridge", "R1 R3": "390k", "R2": "1M2", "C1 C2": "4n7", **_POOR},
    {"circuit": "LED pair", "R1 R3": "1M5", "R2 R4": "10k", "C1": "2n2", **_POOR},
    {"circuit": "touch pad", "R1 R2": "39k", "R3 R4": "20k", "R5 R6": "1M", "C1": "47n", **_POOR},
    {"circuit": "touch pad", "R1 R2": "39k", "R3 R4": "20k", "R5 R6": "10M", "C1": "47n", **_POOR},
    {"circuit": "null bridge", "R1 R2 R3": "1M", "C1": "1u", **_POOR},
    {"circuit": "null bridge", "R1 R2 R3": "1T", "C1": "1u", **_POOR},
)
"""Parts lists that fail in many ways."""


def mark_at(exercise: Task, brief: Brief, check: Check, place: Landmark) -> Mark:
    """Its mark, no earlier answers given."""
    return judge(exercise, brief, check.name, {check.name: answer_at(exercise, brief, check, place)})


def rounded(value: Any, digits: int) -> Any:
    """Numbers rounded to so many digits, words as they are."""
    if isinstance(value, dict):
        return {key: rounded(v, digits) for key, v in value.items()}
    return float(f"{value:.{digits}g}") if isinstance(value, float | int) else value


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("digits", [3, 4, 12])
def test_no_right_answer_is_marked_wrong(name: str, digits: int) -> None:
    """Every check of a class of 200, full values and honestly rounded ones."""
    exercise = task(name)
    for brief in briefs(exercise):
        answers = {n: rounded(value, digits) for n, value in right_answers(exercise, brief).items()}
        for check in exercise.checks:
            mark = judge(exercise, brief, check.name, answers)
            got = (mark.points, mark.outcome, mark.slip, mark.followed)
            assert got == (check.points, RIGHT, None, False), (brief, check.name, mark)


@pytest.mark.parametrize(("name", "check_name"), EVERY_CHECK)
def test_every_slip_is_diagnosed_by_name_or_counted_as_coincident(name: str, check_name: str) -> None:
    """For each of 200 learners: a slip that has a value of its own is named, and never earns full marks."""
    exercise = task(name)
    check, named, coincident = exercise.check(check_name), Counter[str](), Counter[str]()
    for brief in briefs(exercise):
        gone = dropped(exercise, brief, check_name)
        for place in slipped(exercise, brief, check):
            if place in gone:
                coincident[place.slip] += 1
                continue
            mark = mark_at(exercise, brief, check, place)
            assert mark.slip, (brief.values, place, mark)
            assert place.slip in mark.slip.split("; or "), (brief.values, place, mark)
            assert mark.points < mark.maximum
            named[place.slip] += 1
    print(f"\n{name} {check_name}: {named.total()} named, {coincident.total()} coincident {dict(coincident)}")
    assert {s.name for s in getattr(check, "slips", ())} <= named.keys()


@pytest.mark.parametrize("name", NAMES)
def test_declared_slips_are_diagnosed_for_95_of_100_learners(name: str) -> None:
    """The exercise's own slips with another value than the right one: named at least 95 times in 100.

    A table's slip that leaves an entry as it is, or two words for one wrong choice, is no second slip there.
    """
    exercise, named, total = task(name), 0, 0
    for brief in briefs(exercise):
        for check in exercise.checks:
            right = {m.entry: m for m in check.landmarks(brief, truths(exercise, brief)) if not m.slip}
            own = {p for p in slipped(exercise, brief, check) if p.own and p.value != right[p.entry].value}
            total += len(own)
            named += len(own - dropped(exercise, brief, check.name))
    print(f"\n{name}: {named} of {total} declared slips named: {100 * named / max(total, 1):.1f} %")
    assert named >= 0.95 * total


@pytest.mark.parametrize("name", NAMES)
def test_slips_that_must_be_told_apart_are(name: str) -> None:
    """No brief of the class has two of them within each other's reach."""
    exercise = task(name)
    assert not [o for brief in briefs(exercise) for o in separation(exercise, brief) if o.must]


@pytest.mark.parametrize("name", NAMES)
def test_numbers_are_own(name: str) -> None:
    """A class of 200 shares at least forty sets of numbers, and another class code gives others."""
    assert len(briefs(task(name))) >= 40


def feedbacks(exercise: Task, brief: Brief) -> Iterator[tuple[str, str]]:
    """Check and feedback of right, slipped, odd, blank and unreadable answers."""
    right = right_answers(exercise, brief)
    odd: list[PlainData] = [None, "x", "5 s", "1,234", True, [1], {"A": {"R1": "oops"}, "T1": 1, "": 7}, 1e12, -3.7]
    for check in exercise.checks:
        name = check.name
        marks = [judge(exercise, brief, name, with_answer(right, name, a)) for a in (right[name], *odd)]
        marks += [mark_at(exercise, brief, check, p) for p in slipped(exercise, brief, check)]
        if isinstance(check, PartsCheck):
            marks += [judge(exercise, brief, name, {name: parts}) for parts in POOR_LISTS]
        if isinstance(right[name], float | int):
            factors = (0.3, 0.71, 0.9, 1.1, 1.37, 7.7, 45.0)
            marks += [judge(exercise, brief, name, {name: right[name] * f}) for f in factors]  # type: ignore[operator]
        yield from ((name, mark.text) for mark in marks)


@pytest.mark.parametrize("name", NAMES)
def test_no_feedback_holds_a_number(name: str) -> None:
    """No digit at all besides names (R1, L3, E24, 1-2-3, √3, 2π): so no result in any rendering."""
    exercise = task(name)
    said = {(n, text) for brief in briefs(exercise)[::8] for n, text in feedbacks(exercise, brief)}
    assert len(said) > 5 * len(exercise.checks)
    assert {(n, text, *stray_digits(text)) for n, text in said if stray_digits(text)} == set()


@pytest.mark.parametrize("name", NAMES)
def test_the_notebook_fits_its_task(name: str) -> None:
    """At most six graded cells, one for each check, with its points, a line of what it checks, and one call."""
    cells = nbformat.read(ROOT / "solutions" / name / f"{name}.ipynb", as_version=4).cells
    graded = [c for c in cells if c.metadata.get("nbgrader", {}).get("grade")]
    assert {c.id: float(c.metadata.nbgrader.points) for c in graded} == {
        f"{c.name}-check": c.points for c in task(name).checks
    }
    assert 4 <= len(graded) <= MOST_CELLS
    for cell in graded:
        comment, call = cell.source.splitlines()
        assert comment.startswith("# Checks ")
        assert call == f'check("{cell.id.removesuffix("-check")}")'
    text = "\n".join(c.source for c in cells)
    assert "**Safety.**" in text
    assert f"{task(name).points:g} marks" in text
    assert all(f"({c.points:g} mark" in text for c in task(name).checks)


@pytest.mark.parametrize("learner", [*LEARNERS[::20], "Zoë"])
@pytest.mark.parametrize("name", NAMES)
def test_the_reference_solution_scores_full_marks_for_anybody(
    name: str, learner: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The solution notebook's own code, run for other ids: every check gives its maximum."""
    namespace: dict[str, Any] = {"__name__": "__main__"}
    scores = {}
    for cell in nbformat.read(ROOT / "solutions" / name / f"{name}.ipynb", as_version=4).cells:
        source = cell.source.replace('learner="", class_code=""', f"learner={learner!r}, class_code='2025-A'")
        if cell.cell_type == "code" and cell.metadata.get("nbgrader", {}).get("grade"):
            scores[cell.id] = eval(source.splitlines()[-1], namespace)
        elif cell.cell_type == "code":
            exec(source, namespace)
    assert scores == {f"{c.name}-check": c.points for c in task(name).checks}
    assert "own earlier answer" not in capsys.readouterr().out


@pytest.mark.parametrize(("name", "check_name"), EVERY_CHECK)
def test_an_unexplained_number_cannot_be_halved_in(name: str, check_name: str) -> None:
    """What no slip explains is told in the same words above and below the right value: nothing to bisect with."""
    exercise, said = task(name), set()
    for brief in briefs(exercise)[:40]:
        right = truths(exercise, brief)[check_name]
        if not isinstance(right, float | int) or not right:
            continue
        low, high = getattr(exercise.check(check_name), "sense", (0, 0))
        for answer in (right * f for f in (0.35, 0.62, 0.78, 1.11, 1.37, 1.62)):
            mark = judge(exercise, brief, check_name, {check_name: answer})
            if mark.slip is None and low <= answer <= high:
                assert mark.outcome != RIGHT
                said.add(mark.text)
    assert len(said) <= 1
