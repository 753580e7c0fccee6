"""The one thing that is asked of a learner's kernel: what the notebook began with, and one answer, as plain data."""

from __future__ import annotations

import json
import sys
from typing import Any

EXPRESSION = "__import__('phasorkit.course.grading.reader', fromlist=['hand_over']).hand_over({name})"
"""Evaluated in the learner's kernel, with the name of the check's variable in place of ``{name}``."""


def hand_over(name: str) -> str:
    """Take a snapshot of an answer as `phasorkit.course.check` does, and give it out as JSON instead of marking it.

    Parameters
    ----------
    name : str
        Name of the variable that holds the answer, in the caller's namespace.

    Returns
    -------
    str
        ASCII JSON: ``begun`` (exercise, learner, class code, or null), ``kept`` (answers handed over since then),
        ``answer`` (plain data) unless there is no such variable.
    """
    from phasorkit.course.notebook import SESSION, Session
    from phasorkit.course.plain import to_plain

    names = sys._getframe(1).f_globals
    session = names.get(SESSION)
    if not isinstance(session, Session):
        return json.dumps({"begun": None, "kept": 0})
    brief = session.brief
    found: dict[str, Any] = {"begun": [brief.exercise, brief.learner, brief.class_code], "kept": len(session.answers)}
    if name in names:
        found["answer"] = session.answers[name] = to_plain(names[name])
    return json.dumps(found)
