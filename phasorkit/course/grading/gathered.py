"""What a class folder holds, gathered for the tables: records with the gradebook's points, and what has none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from phasorkit.course.grading.folder import ClassFolder
from phasorkit.course.grading.records import Problem, Record, load
from phasorkit.course.grading.stored import Score
from phasorkit.course.model import tasks

UNREAD = (
    "its record cannot be read (damaged, or from a newer version of this package), so it is not in the tables; the "
    "marks stand in the gradebook; to have it graded again, hand in the file that is kept in received"
)
UNKNOWN = (
    "there is no such exercise in this version of the course, so it is not in the tables; "
    "the marks stand in the gradebook"
)


def gather(
    folder: ClassFolder,
    scores: Mapping[tuple[str, str], Mapping[str, Score]],
    late: Mapping[tuple[str, str], float],
) -> tuple[list[Record], list[Problem]]:
    """The records by exercise and learner, with the gradebook's points, so that marks set by hand are seen.

    Also, what has a record that the tables cannot show. `scores` and `late` as in `stored`.
    """
    records, problems = [], []
    for file in sorted((folder.path / "records").glob("*/*.json")):
        record = load(file)
        if record is None or record.exercise not in tasks():
            learner, exercise = (record.learner, record.exercise) if record else (file.parent.name, file.stem)
            place = file.relative_to(folder.path).as_posix()
            problems.append(Problem(learner, exercise, place, UNKNOWN if record else UNREAD))
            continue
        key = record.learner, record.exercise
        record = replace(record, late_penalty=late.get(key, 0.0))
        records.append(_with_scores(record, scores.get(key, {})))
    records.sort(key=lambda r: (r.exercise, r.learner))
    return records, problems


def _with_scores(record: Record, scores: Mapping[str, Score]) -> Record:
    rows = []
    for row in record.rows:
        score = scores.get(row.check)
        rows.append(replace(row, points=score.points, by_hand=score.by_hand) if score else row)
    return replace(record, rows=tuple(rows))
