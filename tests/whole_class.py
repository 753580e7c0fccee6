"""For the tests of grading: notebooks of every exercise, filled in as learners would, right or with known slips."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

import nbformat
from course_cases import answer_at, right_answers, slipped
from nbformat import NotebookNode

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.notebooks import grade_id
from phasorkit.course.model import Brief, Task, judge, tasks
from phasorkit.course.plain import PlainData

ROOT = Path(__file__).resolve().parent.parent
CODE = "PUMP-ALL"


@cache
def release(name: str) -> str:
    """The text of a released exercise."""
    return (ROOT / "exercises" / name / f"{name}.ipynb").read_text(encoding="utf-8")


def filled(name: str, learner: str, answers: Mapping[str, PlainData]) -> NotebookNode:
    """The released exercise with id and code, and below each stub the answer as a literal."""
    texts = {f"{c.variable}-answer": f"\n{c.variable} = {answers[c.name]!r}" for c in tasks()[name].checks}
    notebook = nbformat.reads(release(name), as_version=4)
    for cell in notebook.cells:
        if cell.cell_type == "code" and "begin(" in cell.source:
            cell.source = f'brief = begin("{name}", learner="{learner}", class_code="{CODE}")'
        cell.source += texts.get(grade_id(cell), "")
    return notebook


def answers_of(exercise: Task, brief: Brief, turn: int) -> dict[str, PlainData]:
    """Answers of a learner: some with a known slip, some blank, most right; `turn` decides which."""
    answers = right_answers(exercise, brief)
    for k, check in enumerate(exercise.checks):
        if check.reads:  # one answer for many checks, right or blank
            answers[check.name] = None if turn % 11 == 10 else answers[check.name]
            continue
        places = slipped(exercise, brief, check)
        if (turn + 2 * k) % 5 == 0 and places and turn:
            answers[check.name] = answer_at(exercise, brief, check, places[(turn + k) % len(places)])
        elif (turn + k) % 11 == 10:
            answers[check.name] = None
    return answers


def expected(exercise: Task, brief: Brief, answers: Mapping[str, PlainData]) -> dict[str, float]:
    """What the one pure function gives for these answers."""
    return {c.name: judge(exercise, brief, c.name, answers).points for c in exercise.checks}


def hand_in(inbox: Path, learners: int) -> dict[tuple[str, str, str], float]:
    """A class of so many with all exercises; gives the points each answer should get, by learner, exercise, check."""
    points: dict[tuple[str, str, str], float] = {}
    for name, exercise in tasks().items():
        for turn in range(learners):
            learner = f"app-{turn:02}"
            brief = draw_brief(exercise, learner, CODE)
            answers = answers_of(exercise, brief, turn)
            file = inbox / learner / f"{name}.ipynb"
            file.parent.mkdir(parents=True, exist_ok=True)
            nbformat.write(filled(name, learner, answers), file)
            points |= {(learner, name, c): p for c, p in expected(exercise, brief, answers).items()}
    return points
