"""Shared by the tests of the course: learners, right answers, and the digits that a feedback may hold."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from phasorkit.course.briefs import draw_brief
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.design import DesignCheck
from phasorkit.course.model import Brief, Check, Landmark, Task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.table import TableCheck

LEARNERS = tuple(f"app-{n:03}" for n in range(200))


@cache
def briefs(exercise: Task, count: int = len(LEARNERS)) -> tuple[Brief, ...]:
    """The briefs of a class of 200; those with equal numbers once."""
    drawn = {b.values: b for b in (draw_brief(exercise, learner, "gate") for learner in LEARNERS[:count])}
    return tuple(drawn.values())


def as_answer(exercise: Task, name: str, value: Any) -> PlainData:
    """A value of a check as a learner would hand it in."""
    if isinstance(exercise.check(name), TableCheck):
        table: dict[str, PlainData] = {}
        for (group, entry), number in value.items():
            table.setdefault(group, {})[entry] = number  # type: ignore[index, call-overload]
        return table.get("", table)
    return value  # type: ignore[no-any-return]


def right_answers(exercise: Task, brief: Brief) -> dict[str, PlainData]:
    """The right answer of every check."""
    return {name: as_answer(exercise, name, value) for name, value in truths(exercise, brief).items()}


def slipped(exercise: Task, brief: Brief, check: Check) -> list[Landmark]:
    """Every slip of a check, in the order they are looked for."""
    return [m for m in check.landmarks(brief, truths(exercise, brief)) if m.slip]


def answer_at(exercise: Task, brief: Brief, check: Check, place: Landmark) -> PlainData:
    """An answer that is right but for one entry, where it is what the slip gives."""
    right = truths(exercise, brief)[check.name]
    if isinstance(check, ChoiceCheck):
        option = check.options[int(place.value)]
        return {**right, place.entry: option} if check.entries else option
    if isinstance(check, TableCheck):
        group, entry = place.entry.split("/")
        return as_answer(exercise, check.name, {**right, (group, entry): place.value})
    if isinstance(check, DesignCheck):
        return {**right, place.entry: place.value}
    return place.value


_NAMES = re.compile(
    r"\b[RLCTHGV][0-9]\b|√[0-9]|\"1(23|32)\"|\b2π|1-2-3|1-3-2|\bE(6|12|24|96)\b|by 2 or|as 2 or|the 2 and"
)


def stray_digits(text: str) -> list[str]:
    """Digits of a feedback that belong to no name of a part, a conductor, a sequence or a series."""
    return re.findall(r"[0-9][0-9.,]*", _NAMES.sub(" ", text.replace("√3/2", " ")))


def with_answer(answers: Mapping[str, PlainData], name: str, answer: PlainData) -> dict[str, PlainData]:
    """The answers with one of them changed."""
    return {**answers, name: answer}
