"""The answer key: what is right for one learner's numbers, what is accepted, and how it may be written."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from phasorkit.course.briefs import draw_brief
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.class_marks import OWN, ClassMarks, has_tolerance, reach
from phasorkit.course.handout_look import page
from phasorkit.course.model import Brief, Check, Task, task, truths
from phasorkit.course.numbers import PreferredCheck
from phasorkit.course.reading import PLAIN_UNITS
from phasorkit.quantities import code, render

EXACT = "exactly this"
FOLLOWS = "or what follows from the learner's own {earlier}, for full marks"

HEADER = ["exercise", "learner", "class_code", "check", "entry", "marks", "right", "accepted", "written"]
"""Columns of the key as a table."""


@dataclass(frozen=True)
class Line:
    """One right answer: `entry` of a table or empty, `right` for a person, what is accepted, and how it may be written.

    `written` are texts as they may stand behind the equals sign, or at the entry of a table.
    """

    entry: str
    right: str
    accepted: str
    written: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """The key to one check."""

    check: Check
    lines: tuple[Line, ...]


def key(exercise: Task, brief: Brief) -> list[Answer]:
    """The key to every check of an exercise for one learner; `exercise` may have a class's marks.

    >>> exercise = task("bridge")
    >>> answers = key(exercise, draw_brief(exercise, "app-01", "example"))
    >>> answers[0].lines[0].right, answers[0].lines[0].accepted
    ('2.21 MΩ', '2.166 MΩ to 2.255 MΩ')
    """
    right, seen, found = truths(exercise, brief), dict[str, Any](), list[Answer]()
    for check in exercise.checks:
        value = right[check.name]
        again = seen.get(check.variable) == value
        found.append(Answer(check, (_as_before(check),) if again else tuple(_lines(check, value))))
        seen[check.variable] = value
    return found


def _as_before(check: Check) -> Line:
    """The line of a check that reads the same answer as one before it."""
    return Line("", f"{check.variable}, as before", _of_words(check), ())


def _lines(check: Check, right: Any) -> Iterator[Line]:
    if not isinstance(right, Mapping):
        yield _line(check, "", right)
        return
    for entry, value in right.items():
        name = " · ".join(part for part in entry if part) if isinstance(entry, tuple) else str(entry)
        yield _line(check, name, value, entry[1] if isinstance(entry, tuple) else str(entry))


def _line(check: Check, entry: str, value: Any, part: str = "") -> Line:
    if isinstance(value, bool) or not isinstance(value, int | float):
        shown = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
        return Line(entry, shown, _of_words(check), (json.dumps(value, ensure_ascii=False),))
    unit = unit_of(check, part)
    if not has_tolerance(check):
        accepted = EXACT if isinstance(check, PreferredCheck) else _of_words(check)
    else:
        reach = check.tolerance.of(value)  # type: ignore[attr-defined]
        accepted = f"{_shown(value - reach, unit)} to {_shown(value + reach, unit)}"
    return Line(entry, _shown(value, unit), accepted, tuple(_forms(check, float(value), unit)))


def unit_of(check: Check, part: str = "") -> str:
    """The unit of an answer or of an entry of it; empty where it has none."""
    for name in ("units", "parts"):
        units = getattr(check, name, None)
        if isinstance(units, Mapping) and part in units:
            return str(units[part])
    return str(getattr(check, "unit", ""))


def _of_words(check: Check) -> str:
    """What else than this answer is accepted."""
    if isinstance(check, ChoiceCheck):
        return EXACT
    asked = [r.name for r in getattr(check, "requirements", ())] or [a.row for a in getattr(check, "asks", ())]
    return f"an example; any that does: {'; '.join(asked)}" if asked else EXACT


def _shown(value: float, unit: str) -> str:
    if not unit or unit in PLAIN_UNITS:
        return f"{value:.4g} {unit}".rstrip()
    return render(value, unit, digits=4)


def _forms(check: Check, value: float, unit: str) -> Iterator[str]:
    """How a number may be written, as text behind the equals sign."""
    plain = f"{float(f'{value:.4g}'):g}" if 1e-4 <= abs(value) < 1e7 or not value else f"{value:.3e}"
    yield plain
    if not unit or unit in PLAIN_UNITS or unit == "°":
        return
    shown = render(value, unit, digits=4)
    yield f'"{shown}"'
    if "." in shown and not re.search(r"\.\d{3}\b", shown):
        yield f'"{shown.replace(".", ",")}"'
    if isinstance(check, PreferredCheck) and unit in ("Ω", "F"):
        yield f'"{code(value)}"'


def rows(
    exercises: Sequence[str], learners: Sequence[str], class_code: str, marks: ClassMarks = OWN
) -> list[list[str]]:
    """The keys of a class as a table: `HEADER`, then a row for each right answer.

    A check's marks stand in its first row only, so that the column adds up to the marks of the exercise.
    """
    found = [HEADER]
    for name in exercises:
        exercise = marks.task(name)
        for learner in learners:
            for answer in key(exercise, draw_brief(task(name), learner, class_code)):
                about = [name, learner, class_code, answer.check.name]
                found += [
                    [
                        *about,
                        x.entry,
                        "" if n else f"{answer.check.points:g}",
                        x.right,
                        x.accepted,
                        " or ".join(x.written),
                    ]
                    for n, x in enumerate(answer.lines)
                ]
    return found


def text(exercise: Task, brief: Brief) -> str:
    """The key of one learner as plain text, no line wider than it must be."""
    lines = [
        f"Key: {exercise.name} · learner {brief.learner}{_class(brief)}",
        *(f"  {t}" for t in exercise.tells(brief)),
    ]
    for answer in key(exercise, brief):
        check = answer.check
        lines.append(f"{check.name} ({check.points:g} marks{_within(check)}): {check.says}{_follow(check)}")
        for x in answer.lines:
            entry = f"{x.entry}: " if x.entry else ""
            lines.append(f"  {entry}{x.right}   [{x.accepted}]   {'  '.join(x.written)}")
    return "\n".join(lines)


def key_page(exercise: Task, briefs: Sequence[Brief]) -> str:
    """The key to one exercise for these learners as a page to print, each learner's in a part of its own."""
    body = [
        f"<h1>Answer key: {escape(exercise.title)}</h1>",
        "<p><strong>For instructors.</strong> Not to be handed out. Numbers are rounded to four digits; answers are "
        "accepted within the range. Any other way of writing the same number counts too: with prefix or power of ten, "
        "with point or comma, with or without the unit (a comma with three digits behind it is not read, for it may "
        "stand between thousands). A known slip may earn part of the marks; the feedback names it."
        "</p>",
        *(_part(exercise, brief) for brief in briefs),
    ]
    return page("\n".join(body), title=f"Answer key: {exercise.title}")


def _part(exercise: Task, brief: Brief) -> str:
    tells = "".join(f"<li>{escape(line)}</li>" for line in exercise.tells(brief))
    body = []
    for answer in key(exercise, brief):
        check = answer.check
        body.append(
            f'<tr><th colspan="4" scope="rowgroup">{escape(check.name)} · {check.points:g} marks{_within(check)}: '
            f"{escape(check.says)}{escape(_follow(check))}</th></tr>"
        )
        for x in answer.lines:
            written = " or ".join(f"<code>{escape(form)}</code>" for form in x.written)
            cells = (escape(x.entry), f"<strong>{escape(x.right)}</strong>", escape(x.accepted), written)
            body.append("<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>")
    heads = "".join(f'<th scope="col">{h}</th>' for h in ("entry", "right", "accepted", "may be written"))
    return (
        f"<h2>Learner {escape(brief.learner)}{escape(_class(brief))}</h2><ul>{tells}</ul>"
        f"<table><thead><tr>{heads}</tr></thead><tbody>{''.join(body)}</tbody></table>"
    )


def _class(brief: Brief) -> str:
    return f" · class {brief.class_code}" if brief.class_code else ""


def _within(check: Check) -> str:
    return f", within {reach(check)}" if has_tolerance(check) else ""


def _follow(check: Check) -> str:
    return f" ({FOLLOWS.format(earlier=' or '.join(check.follows))})" if check.follows else ""
