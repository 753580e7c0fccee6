"""The table of marks: every exercise and check with its points and tolerance, as the class has them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from phasorkit.course.briefs import draw_brief
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.class_marks import FILE, ClassMarks, has_tolerance, reach
from phasorkit.course.model import Check, Task, task, truths
from phasorkit.course.numbers import PreferredCheck

HEADER = ["exercise", "check", "marks", "tolerance", "what is checked"]

TRIED = 50
"""Made-up learners for whom a changed tolerance is tried."""

_HEAD = f"""# {FILE}: what this class changes of the exercises' marks and tolerances.
# Take the # away from a line and change its number; what is left commented out stays as the exercise has it.
#   points   marks for the check
#   percent  accepted deviation in per cent of the right value
#   plus     and this much more, in the unit of the answer (V, Ω, W ...)
# Numbers have a point: 2.5. `phasorkit teach marks` shows what then counts.
"""


def tolerance_of(check: Check) -> str:
    """The tolerance of a check in words.

    >>> [tolerance_of(c) for c in task("bridge").checks if c.name in ("preferred", "volts")]
    ['the value of E24', '2 % + 0.5 V']
    """
    if isinstance(check, PreferredCheck):
        return f"the value of {check.series}"
    if has_tolerance(check):
        return reach(check)
    if isinstance(check, ChoiceCheck):
        return "the right words"
    asked = getattr(check, "requirements", ()) or getattr(check, "asks", ())
    return "meets what is asked" if asked else ""


def table(exercises: Sequence[str], marks: ClassMarks) -> list[list[str]]:
    """`HEADER` and a row for each check; what the class changes has the exercise's own value behind it."""
    rows = [HEADER]
    for name in exercises:
        for own, check in zip(task(name).checks, marks.task(name).checks, strict=True):
            points = _both(f"{check.points:g}", f"{own.points:g}")
            rows.append([name, check.name, points, _both(tolerance_of(check), tolerance_of(own)), check.says])
        rows.append([name, "all", f"{marks.task(name).points:g}", "", ""])
    return rows


def _both(now: str, own: str) -> str:
    return now if now == own else f"{now} (not {own})"


def template(exercises: Sequence[str]) -> str:
    """A file of marks that changes nothing yet: every check with its own values, commented out."""
    parts = [_HEAD]
    for name in exercises:
        for check in task(name).checks:
            lines = [f"# {check.says}", f"[{name}.{check.name}]", f"# points = {check.points:g}"]
            if has_tolerance(check):
                own = check.tolerance  # type: ignore[attr-defined]
                lines += [f"# percent = {100 * own.relative:g}", f"# plus = {own.absolute:g}"]
            parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


def swallowed(marks: ClassMarks) -> list[str]:
    """Known mistakes that a changed tolerance would take for right, a sentence each, tried on made-up learners."""
    found = []
    for change in marks.changes:
        own, changed = task(change.exercise), marks.task(change.exercise)
        counts = Counter(slip for n in range(TRIED) for slip in _inside(own, changed, change.check, f"try-{n:02}"))
        found += [
            f"{change.exercise}, {change.check}: with {tolerance_of(changed.check(change.check))} the mistake "
            f"“{slip}” counts as right for {count} of {TRIED} learners"
            for slip, count in counts.most_common()
        ]
    return found


def _inside(own: Task, changed: Task, check: str, learner: str) -> set[str]:
    """The check's own slips that lie within the tolerance of the right value for a learner, and did not before."""
    brief = draw_brief(own, learner, "marks")
    taken: list[set[str]] = []
    for exercise in (changed, own):
        places = list(exercise.check(check).landmarks(brief, truths(exercise, brief)))
        right = {place.entry: place for place in places if not place.slip}
        near = (p for p in places if p.slip and p.own and abs(p.value - right[p.entry].value) <= right[p.entry].reach)
        taken.append({place.slip for place in near})
    return taken[0] - taken[1]
