"""How far a learner is: the best of each check, kept in a small file of the learner's own; no network, no marks.

Nothing is kept while a notebook is graded. A file that cannot be read or written is passed over: a check never fails
because of it.
"""

from __future__ import annotations

import hashlib
import json
import os
from contextlib import suppress
from pathlib import Path

from phasorkit.course.briefs import normalise
from phasorkit.course.model import Brief, Task, tasks
from phasorkit.surroundings import course_folder

PLACE = "PHASORKIT_PROGRESS"
"""Environment variable that names another folder than ``.phasorkit/progress`` in the learner's home."""

GRADING = "NBGRADER_EXECUTION"
"""Environment variable that is set while a notebook is graded or validated."""

Best = dict[str, float]
"""Best points so far by check."""


def being_graded() -> bool:
    """Whether this notebook runs in a grader, where hints and progress do nothing."""
    return bool(os.environ.get(GRADING))


def _file(exercise: str, learner: str, class_code: str) -> Path:
    """One file for each learner, class and exercise, so that two open notebooks do not overwrite each other."""
    place = os.environ.get(PLACE)
    folder = Path(place) if place else Path.home() / ".phasorkit" / "progress"
    who = "\x1e".join((normalise(learner), normalise(class_code)))
    return folder / f"{exercise}-{hashlib.sha256(who.encode()).hexdigest()[:12]}.json"


def best_of(exercise: Task, learner: str, class_code: str) -> Best:
    """The best points of each check so far, never more than its maximum; empty where nothing was kept."""
    found: Best = {}
    with suppress(OSError, ValueError, RuntimeError, AttributeError, TypeError, RecursionError):
        kept = json.loads(_file(exercise.name, learner, class_code).read_text(encoding="utf-8"))["best"]
        for c in exercise.checks:
            share = kept.get(c.name)
            if isinstance(share, int | float) and 0 <= share <= 1:
                found[c.name] = round(share * c.points, 2)
    return found


def keep(exercise: Task, brief: Brief, check: str, points: float) -> None:
    """Keep the points of a check if they are the best so far; as a share, so that changed marks do no harm."""
    if being_graded():
        return
    best = best_of(exercise, brief.learner, brief.class_code)
    if points <= best.get(check, -1.0):
        return
    shares = {name: value / exercise.check(name).points for name, value in (best | {check: points}).items()}
    about = {"exercise": exercise.name, "learner": brief.learner, "class_code": brief.class_code, "best": shares}
    with suppress(OSError, ValueError, RuntimeError):
        file = _file(exercise.name, brief.learner, brief.class_code)
        file.parent.mkdir(parents=True, exist_ok=True)
        part = file.with_name(f"{file.name}.{os.getpid()}.part")
        part.write_text(json.dumps(about), encoding="utf-8")
        part.replace(file)


def teaching_order() -> list[str]:
    """The exercises in the order of the lessons; those that no lesson names, and all where there is no course, by name.

    >>> sorted(teaching_order()) == sorted(tasks())
    True
    """
    from phasorkit.course.contents import ContentsError, contents

    named: list[str] = []
    with suppress(OSError, ContentsError):
        named = [name for lesson in contents(course_folder()) for name in lesson.exercise if name in tasks()]
    return list(dict.fromkeys([*named, *sorted(tasks())]))


def page(exercises: list[Task], current: str, learner: str, class_code: str) -> str:
    """A learner's page: a line for each exercise, the checks of the current one, and what is next.

    Parameters
    ----------
    exercises : list of Task
        In the order in which they are done, the current one among them.
    current, learner, class_code : str
        The exercise under way, and whose page it is.
    """
    of_class = f" · class {class_code}" if class_code else ""
    lines = [f"Progress of {learner}{of_class} (best so far; kept on this computer only, and no part of your marks)"]
    width = max(len(e.name) for e in exercises) + 2
    open_: list[tuple[str, str]] = []
    for e in exercises:
        best = best_of(e, learner, class_code)
        full = [c.name for c in e.checks if best.get(c.name, 0.0) >= c.points]
        open_ += [(e.name, c.name) for c in e.checks if c.name not in full]
        state = "done" if len(full) == len(e.checks) else f"{len(full)} of {len(e.checks)} checks right"
        total = f"{sum(best.values()):g} of {e.points:g} marks"
        lines.append(f"  {e.name:{width}}{state if best else 'not begun':22}{total}")
        if e.name == current:
            lines += [f"    {c.name:{width}}{_of(best.get(c.name), c.points)}" for c in e.checks]
    lines.append(_next(open_, current))
    return "\n".join(lines)


def _of(best: float | None, points: float) -> str:
    return "not tried" if best is None else f"{best:g} of {points:g}{', done' if best >= points else ''}"


def _next(still_open: list[tuple[str, str]], current: str) -> str:
    """What to do next: the rest of this exercise, then the first that is not done."""
    if not still_open:
        return "Next: nothing is left. Every check of every exercise has been right once."
    here = [check for exercise, check in still_open if exercise == current]
    if here:
        return f"Next: {here[0]}, in this exercise. A hint is at hand: hint({here[0]!r})".replace("'", '"')
    exercise, check = still_open[0]
    return f"Next: the exercise {exercise}, with {check}."
