"""The calls of an exercise notebook: `begin` draws the learner's numbers, `check` marks one answer.

`hint` and `progress` help, and change no marks. What is under way is kept in the notebook's own namespace under
`SESSION`, so two notebooks never mix.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, field
from textwrap import fill
from typing import Any

import numpy as np

from phasorkit.course.best_so_far import being_graded, keep, teaching_order
from phasorkit.course.best_so_far import page as progress_page
from phasorkit.course.briefs import draw_brief, normalise
from phasorkit.course.class_marks import OWN, ClassMarks, MarksError, marks_here, told
from phasorkit.course.model import Brief, Mark, Task, judge, task, tasks
from phasorkit.course.plain import PlainData, to_plain

SESSION = "__phasorkit_exercise__"
"""Name in the notebook's namespace under which `begin` keeps what `check` needs."""

WIDTH = 100


@dataclass
class Session:
    """The exercise under way in one notebook: whose it is, the snapshots of the answers checked so far, hints given."""

    exercise: Task
    brief: Brief
    answers: dict[str, PlainData] = field(default_factory=dict)
    hints: dict[str, int] = field(default_factory=dict)
    marks: ClassMarks = OWN


class BeginError(ValueError):
    """`begin` was called with something missing; shown in the notebook as one line, without a traceback."""

    def _render_traceback_(self) -> list[str]:
        return [f"BeginError: {self}"]


def begin(exercise: str, *, learner: str, class_code: str = "") -> Brief:
    """Draw this learner's numbers, print them, and register the exercise for the checks that follow.

    Parameters
    ----------
    exercise : str
        Name of the exercise, such as ``"bridge"``.
    learner : str
        Id of the learner; in self-study ``"me"`` will do.
    class_code : str
        Code of the class, from the instructor; may stay empty in self-study.

    Returns
    -------
    Brief
        Read-only; the numbers are attributes in SI units. A second `begin` starts over.

    Raises
    ------
    BeginError
        Empty or strange `learner`, unknown `exercise`, a class's file of marks that cannot be used; the checks then
        say that `begin` has to run.

    Examples
    --------
    >>> brief = begin("bridge", learner="app-01", class_code="example")
    Exercise bridge · learner app-01 · class example
      supply of the pump house: 400 V line to line, 60 Hz
      capacitor in the drawer:  1.2 nF
    >>> brief.frequency
    60.0
    """
    names = sys._getframe(1).f_globals
    names.pop(SESSION, None)
    for argument, value in (("exercise", exercise), ("learner", learner), ("class_code", class_code)):
        if not isinstance(value, str):
            raise BeginError(f"{argument} must be a text in quotes, got {type(value).__name__}")
    if exercise not in tasks():
        raise BeginError(f"exercise must be one of {', '.join(tasks())}, got {exercise!r}")
    if not normalise(learner):
        raise BeginError('learner is empty: write your id between the quotes, learner="app-01" (alone at home: "me")')
    chosen = task(exercise)
    try:
        marks = marks_here()
    except MarksError as error:
        raise BeginError(str(error)) from error
    brief = draw_brief(chosen, learner, class_code)
    names[SESSION] = Session(marks.task(exercise), brief, marks=marks)
    of_class = f" · class {brief.class_code}" if brief.class_code else ""
    _say("\n  ".join([f"Exercise {exercise} · learner {brief.learner}{of_class}", *chosen.tells(brief)]))
    if changed := told(chosen, marks):
        _say("\n  ".join(["In your class these count, whatever the text below says:", *changed]))
    return brief


def check(name: str) -> float:
    """Mark the answer that stands in the variable `name`: print the feedback, return the points.

    Parameters
    ----------
    name : str
        Name of the check and of the variable that holds the answer, such as ``"resistance"``.

    Returns
    -------
    float
        Points, a plain float from 0 to the maximum; never raises and never writes a warning. The answer is kept as
        plain data for the checks that follow from it.

    Examples
    --------
    >>> brief = begin("bridge", learner="app-01", class_code="example")  # doctest: +ELLIPSIS
    Exercise bridge ...
    >>> reactance = None
    >>> check("reactance")  # doctest: +ELLIPSIS
    reactance: 0 of 3 marks. No answer yet, that is fine. ...
    0.0
    """
    frame = sys._getframe(1)
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("ignore")
        return _check(name, {**frame.f_globals, **frame.f_locals})


def hint(name: str) -> None:
    """Print the hints to a check, one more with each call: a nudge, the law to use, the set-up. Costs no marks.

    Parameters
    ----------
    name : str
        Name of the check.

    Examples
    --------
    >>> brief = begin("bridge", learner="app-01", class_code="example")  # doctest: +ELLIPSIS
    Exercise bridge ...
    >>> hint("reactance")
    Hint 1 of 3 to reactance: The reactance of a capacitor falls when frequency or capacitance rise.
    """
    session = _under_way(sys._getframe(1).f_globals)
    if session is None or being_graded():
        return
    named = [c for c in session.exercise.checks if c.name == name]
    if not named:
        _say(f"This exercise has no check of that name; it has {', '.join(c.name for c in session.exercise.checks)}.")
        return
    hints = named[0].hints
    given = session.hints[name] = min(session.hints.get(name, 0) + 1, len(hints))
    for number, words in enumerate(hints[:given], start=1):
        _say(fill(f"Hint {number} of {len(hints)} to {name}: {words}", WIDTH))
    if given == len(hints):
        _say("These are all hints to it. The lesson of this exercise has the rest.")


def progress() -> None:
    """Print how far you are: the best of each check so far and what is next. Kept on this computer, costs no marks.

    >>> brief = begin("bridge", learner="app-01", class_code="example")  # doctest: +ELLIPSIS
    Exercise bridge ...
    >>> progress()  # doctest: +ELLIPSIS
    Progress of app-01 · class example (best so far; ...
    """
    session = _under_way(sys._getframe(1).f_globals)
    if session is None or being_graded():
        return
    brief = session.brief
    exercises = [session.marks.task(name) for name in teaching_order()]
    _say(progress_page(exercises, brief.exercise, brief.learner, brief.class_code))


def report(name: str, mark: Mark) -> str:
    """The feedback of one check as it is printed, lines no longer than a notebook is wide.

    >>> report("power", Mark(1.5, 3.0, "Not yet."))
    'power: 1.5 of 3 marks. Not yet.'
    """
    text = f"{name}: {mark.points:g} of {mark.maximum:g} marks. "
    if "\n" in mark.text:
        return (
            text.rstrip()
            + "\n"
            + "\n".join(fill(line, WIDTH) if len(line) > WIDTH else line for line in mark.text.split("\n"))
        )
    return fill(text + mark.text, WIDTH)


def _check(name: str, names: Mapping[str, Any]) -> float:
    session = _under_way(names)
    if session is None:
        return 0.0
    if name not in [c.name for c in session.exercise.checks]:
        _say(f"This exercise has no check of that name; it has {', '.join(c.name for c in session.exercise.checks)}.")
        return 0.0
    variable = session.exercise.check(name).variable
    if variable not in names:
        session.answers.pop(name, None)
        _say(f"There is no variable called {variable}: run the cell that sets it, then this one.")
        return 0.0
    session.answers[name] = to_plain(names[variable])
    mark = judge(session.exercise, session.brief, name, session.answers)
    _say(report(name, mark))
    points = min(max(float(mark.points), 0.0), float(mark.maximum))
    keep(session.exercise, session.brief, name, points)
    return points


def _under_way(names: Mapping[str, Any]) -> Session | None:
    """What `begin` has registered; otherwise it is told that it has to run."""
    session = names.get(SESSION)
    if isinstance(session, Session):
        return session
    _say('No exercise is under way: run the cell with  begin(...)  first, with your id in  learner="..." .')
    return None


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
