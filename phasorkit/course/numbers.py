"""Checks whose answer is one number, or the preferred value nearest to one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from phasorkit.course.diagnosis import DECADE, SIGN, Candidate, Factor, Finding, Tolerance, candidates, explain, general
from phasorkit.course.model import PART, RIGHT, UNREADABLE, WRONG, Brief, Check, Landmark, Mark, Slip, Values
from phasorkit.course.plain import PlainData
from phasorkit.course.reading import PLAIN_UNITS, Trouble, read_number
from phasorkit.parts import nearest


@dataclass(frozen=True, kw_only=True)
class NumberCheck(Check):
    """One number with a unit.

    `value` gives the right number from the brief and the earlier values [`unit`]; `sense` bounds what later checks
    may follow, the same for every learner; `factors` are the general slips that can happen here (see
    `phasorkit.course.diagnosis.general`).
    """

    unit: str
    value: Callable[[Brief, Values], float]
    sense: tuple[float, float]
    tolerance: Tolerance = field(default_factory=Tolerance)
    slips: tuple[Slip, ...] = ()
    factors: tuple[Factor, ...] = general(volts=0, frequency=True)

    def truth(self, brief: Brief, earlier: Values) -> float:
        """The right number [`unit`]."""
        return self.value(brief, earlier)

    def own(self, answer: PlainData, truth: float) -> float | None:
        """The learner's number if it can be read and lies in the range of sense."""
        value = read_number(answer, self.unit)
        return value if isinstance(value, float) and self.sense[0] <= value <= self.sense[1] else None

    def candidates(self, brief: Brief, earlier: Values) -> list[Candidate]:
        """What every known slip gives for this brief."""
        own = [Candidate(s.name, s.words, float(s.value(brief, earlier)), 0, s.credit, s.must) for s in self.slips]
        return candidates(self.value(brief, earlier), own, self.factors)

    def landmarks(self, brief: Brief, earlier: Values) -> Iterator[Landmark]:
        """The right number, then the slips in the order they are looked for."""
        right = self.value(brief, earlier)
        yield Landmark("", "", right, self.tolerance.of(right), must=True)
        for c in sorted(self.candidates(brief, earlier), key=lambda c: c.rank):
            yield Landmark("", c.name, c.value, self.tolerance.of_slip(c.value), c.rank == 0, c.must)

    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """Right value, value that follows from own answers, known slip, or a nudge."""
        number = read_number(answer, self.unit)
        if isinstance(number, Trouble):
            return Mark(0.0, self.points, number.words, number.slip, outcome=UNREADABLE)
        for count, values in enumerate(earlier):
            if self._hits(number, self.value(brief, values)):
                return self._full(followed=count > 0)
        for values in earlier:
            finding = explain(number, self.candidates(brief, values), self.tolerance)
            if finding:
                return self._slipped(finding)
        return Mark(0.0, self.points, self._nudge(number))

    def fits(self, answer: PlainData) -> Callable[[Brief, Values], bool]:
        """See `Check.fits`."""
        number = read_number(answer, self.unit)
        return lambda _, true: not isinstance(number, Trouble) and self._hits(number, true[self.name])

    def _hits(self, number: float, right: float) -> bool:
        return self.tolerance.holds(number, right)

    def _full(self, *, followed: bool) -> Mark:
        return Mark(
            float(self.points), self.points, follow_note(self.follows) if followed else "Right.", None, followed, RIGHT
        )

    def _slipped(self, finding: Finding) -> Mark:
        points = round(finding.credit * self.points, 2)
        kept = " The rest of the way is right and keeps part of the marks." if points else ""
        return Mark(
            points, self.points, f"Not yet. {finding.words}{kept}", finding.name, outcome=PART if points else WRONG
        )

    def _nudge(self, number: float) -> str:
        hint = " ".join(self.hints[:1])
        if not self.sense[0] <= number <= self.sense[1]:
            lost = number > 0 and self.unit != "°" and self.unit not in PLAIN_UNITS
            advice = ": check prefixes and powers of ten." if lost else "."
            return f"Not yet. No circuit of this kind gives such a value{advice} {hint}".strip()
        return f"Not yet, and it is none of the usual slips. {hint}".strip()


@dataclass(frozen=True, kw_only=True)
class PreferredCheck(NumberCheck):
    """A value of a preferred series (IEC 60063), exact; as a number, with prefix and unit, or as its code."""

    series: str
    tolerance: Tolerance = field(default_factory=lambda: Tolerance(0.001))
    factors: tuple[Factor, ...] = (DECADE, SIGN)

    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """As every number; a value that the series does not have is told so."""
        mark = super().mark(brief, answer, earlier)
        number = read_number(answer, self.unit)
        if mark.slip or mark.points or isinstance(number, Trouble):
            return mark
        if not self.sense[0] <= number <= self.sense[1] or self._hits(float(nearest(number, self.series)), number):
            return mark
        words = f"Not yet. {self.series} has no such value: look it up in the table of preferred values."
        return Mark(0.0, self.points, words, f"not a value of {self.series}")


def follow_note(follows: Sequence[str], *, whole: bool = True) -> str:
    """What is told when an answer, or (where not `whole`) a part of it, follows from the learner's own earlier ones."""
    own = f"your own earlier answer ({' or '.join(follows)})"
    told = (
        f"Follows rightly from {own}, so it earns full marks here."
        if whole
        else f"A part of it follows rightly from {own} and counts as right."
    )
    return f"{told} Where that earlier answer is off, put it right first, then this one."
