"""What stands in an open gradebook, read by nbgrader's own tables: points, late penalties, comments of a person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nbgrader.api import (
    Assignment,
    Comment,
    Grade,
    Gradebook,
    GradeCell,
    Student,
    SubmittedAssignment,
    SubmittedNotebook,
)

from phasorkit.course.grading.notebooks import check_name


@dataclass(frozen=True)
class Score:
    """Points of one check as the gradebook has them; `by_hand` tells that a person set them."""

    points: float
    maximum: float
    by_hand: bool


def learners(book: Gradebook) -> set[str]:
    """Ids of all learners, those included of whom nothing is graded yet."""
    return {learner for (learner,) in book.db.query(Student.id)}


def scores(book: Gradebook) -> Mapping[tuple[str, str], Mapping[str, Score]]:
    """Points by learner and exercise, then by check; marks set by hand in the place of ours."""
    found: dict[tuple[str, str], dict[str, Score]] = {}
    checks = {
        (exercise.name, cell.name): check_name(str(cell.source))
        for exercise in book.assignments
        for notebook in exercise.notebooks
        for cell in notebook.source_cells
    }
    rows = (
        book.db.query(SubmittedAssignment.student_id, Assignment.name, GradeCell, Grade)
        .select_from(Grade)
        .join(SubmittedNotebook, Grade.notebook_id == SubmittedNotebook.id)
        .join(SubmittedAssignment, SubmittedNotebook.assignment_id == SubmittedAssignment.id)
        .join(Assignment, SubmittedAssignment.assignment_id == Assignment.id)
        .join(GradeCell, Grade.cell_id == GradeCell.id)
    )
    for learner, exercise, cell, grade in rows:
        by_hand = grade.manual_score is not None or bool(grade.extra_credit)
        score = Score(float(grade.score), float(cell.max_score), by_hand)
        found.setdefault((learner, exercise), {})[checks.get((exercise, cell.name), "")] = score
    return found


def late_penalties(book: Gradebook) -> Mapping[tuple[str, str], float]:
    """What nbgrader takes off for work that came late, by learner and exercise; only where it takes something."""
    rows = (
        book.db.query(SubmittedAssignment.student_id, Assignment.name, SubmittedNotebook.late_submission_penalty)
        .select_from(SubmittedNotebook)
        .join(SubmittedAssignment, SubmittedNotebook.assignment_id == SubmittedAssignment.id)
        .join(Assignment, SubmittedAssignment.assignment_id == Assignment.id)
    )
    return {(learner, exercise): float(penalty) for learner, exercise, penalty in rows if penalty}


def commented(book: Gradebook) -> set[tuple[str, str]]:
    """Learner and exercise of all work to which a person has written a comment."""
    rows = (
        book.db.query(SubmittedAssignment.student_id, Assignment.name)
        .select_from(Comment)
        .join(SubmittedNotebook, Comment.notebook_id == SubmittedNotebook.id)
        .join(SubmittedAssignment, SubmittedNotebook.assignment_id == SubmittedAssignment.id)
        .join(Assignment, SubmittedAssignment.assignment_id == Assignment.id)
        .filter(Comment.manual_comment.isnot(None))
    )
    return {(learner, exercise) for learner, exercise in rows}
