"""Checks whose answer is a design: part values of which many sets will do, judged requirement by requirement."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from math import isclose

from phasorkit.course.diagnosis import Candidate, Finding, Tolerance, explain
from phasorkit.course.model import PART, RIGHT, UNREADABLE, WRONG, Brief, Check, Landmark, Mark, Slip, Values
from phasorkit.course.numbers import follow_note
from phasorkit.course.plain import PlainData
from phasorkit.course.reading import Trouble, read_number

Design = Mapping[str, float]
"""Part values by name [SI unit]."""


@dataclass(frozen=True)
class Requirement:
    """One thing a design has to do.

    `name` in a few words, as the feedback and a class report print it; `share` of the marks. `miss` gives None where
    the design does it, else the words that say how it fails; they hold no result.
    """

    name: str
    share: float
    miss: Callable[[Brief, Values, Design], str | None]


@dataclass(frozen=True)
class _Judged:
    """A design judged with one set of earlier values: what is missed, in order, and the share of marks earned."""

    missed: tuple[tuple[Requirement, str], ...]
    share: float


@dataclass(frozen=True, kw_only=True)
class DesignCheck(Check):
    """A dictionary of part values, such as ``{"R1": "47k", "R2": 330}``: any that meets the requirements is right.

    `parts` gives the unit of each; `sense` bounds what each may be at all; `example` is one good design. The shares
    of the requirements make up one, and they alone give the marks (a slip's `credit` does not count here). A slip's
    `value` gives, for the parts it touches, the value it leads to; it is recognised within `near`, since a designer
    rounds to what is sold. `explains`: slips that account for the miss of one requirement only, and are told only
    where that one is missed.
    """

    parts: Mapping[str, str]
    sense: Mapping[str, tuple[float, float]]
    example: Callable[[Brief, Values], Design]
    requirements: tuple[Requirement, ...]
    slips: tuple[Slip, ...] = ()
    near: Tolerance = field(default_factory=lambda: Tolerance(0.06))
    explains: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        total = sum(r.share for r in self.requirements)
        if not isclose(total, 1.0):
            raise ValueError(f"{self.name}: the shares of the requirements make up {total:g}, they must make up 1")

    def truth(self, brief: Brief, earlier: Values) -> dict[str, float]:
        """One design that meets all requirements."""
        return dict(self.example(brief, earlier))

    def own(self, answer: PlainData, truth: Design) -> Design | None:
        """The learner's design if every value can be read and makes sense."""
        read = self._read(answer)
        sane = {p: v for p, v in read.items() if isinstance(v, float) and self._possible(p, v)}
        return sane if len(sane) == len(self.parts) else None

    def candidates(self, brief: Brief, earlier: Values) -> dict[str, list[Candidate]]:
        """What every slip leads to, by part."""
        found: dict[str, list[Candidate]] = {}
        for s in self.slips:
            for part, value in s.value(brief, earlier).items():
                found.setdefault(part, []).append(Candidate(s.name, s.words, float(value), 0, s.credit, s.must))
        return found

    def landmarks(self, brief: Brief, earlier: Values) -> Iterator[Landmark]:
        """Per part the value of the example, then those of the slips."""
        found = self.candidates(brief, earlier)
        for part, value in self.truth(brief, earlier).items():
            yield Landmark(part, "", value, self.near.of(value), must=True)
            for c in found.get(part, ()):
                yield Landmark(part, c.name, c.value, self.near.of_slip(c.value), True, c.must)

    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """Judge with the true earlier values, then with the learner's own; the better one counts."""
        read = self._read(answer)
        if not read:
            return Mark(0.0, self.points, self._shape(), "not a design", outcome=UNREADABLE)
        if all(value is None for value in read.values()):
            return self.blank()
        trouble = self._trouble(read)
        if trouble:
            return Mark(0.0, self.points, trouble.words, trouble.slip, outcome=UNREADABLE)
        design = {part: float(value) for part, value in read.items() if isinstance(value, float)}
        strange = [part for part, value in design.items() if not self._possible(part, value)]
        if strange:
            advice = "are two of them exchanged?" if self._exchanged(design) else "check the prefixes."
            words = f"Not yet. No circuit of this kind has such a value of {' and '.join(strange)}: {advice}"
            return Mark(0.0, self.points, words, "beyond all sense")
        judged = [self._judge(brief, values, design) for values in earlier]
        best = max(range(len(judged)), key=lambda k: (judged[k].share, -k))
        return self._told(judged[best], self._slip(brief, design, earlier[best]), followed=best > 0)

    def fits(self, answer: PlainData) -> Callable[[Brief, Values], bool]:
        """See `Check.fits`."""
        design = self.own(answer, {})
        return lambda brief, true: (
            design is not None and not any(r.miss(brief, true, design) for r in self.requirements)
        )

    def _judge(self, brief: Brief, values: Values, design: Design) -> _Judged:
        said = [(r, r.miss(brief, values, design)) for r in self.requirements]
        return _Judged(tuple((r, words) for r, words in said if words), sum(r.share for r, words in said if not words))

    def _slip(self, brief: Brief, design: Design, earlier: Values) -> Finding | None:
        """The first slip that explains one of the values."""
        findings = (explain(design[p], found, self.near) for p, found in self.candidates(brief, earlier).items())
        return next((f for f in findings if f), None)

    def _told(self, judged: _Judged, slip: Finding | None, *, followed: bool) -> Mark:
        if not judged.missed:
            text = follow_note(self.follows) if followed else "Right: this design does all that is asked for."
            return Mark(float(self.points), self.points, text, None, followed, RIGHT)
        points = min(round(judged.share * self.points, 2), float(self.points))
        missed = {r.name for r, _ in judged.missed}
        if slip and self.explains.get(slip.name, next(iter(missed))) not in missed:
            slip = None
        width = max(len(r.name) for r in self.requirements) + 2
        lines = [f"{r.name:{width}}{'no' if r.name in missed else 'yes'}" for r in self.requirements]
        told = dict.fromkeys([*([slip.words] if slip else []), *(words for _, words in judged.missed)])
        named = slip.name if slip else judged.missed[0][0].name + ": not met"
        own = (
            f"Judged with your own earlier answer ({' or '.join(self.follows)}): where that is off, put it right first."
        )
        notes = [own] if followed else []
        text = "\n".join(["Not yet.", *lines, *told, *notes])
        return Mark(points, self.points, text, named, followed, PART if points else WRONG)

    def _trouble(self, read: Mapping[str, float | Trouble | None]) -> Trouble | None:
        """What keeps a design from being judged: a value that is missing or cannot be read."""
        missing = [part for part, value in read.items() if value is None]
        if missing:
            return Trouble("a part is missing", f"Still without a value: {', '.join(missing)}.")
        for part, value in read.items():
            if isinstance(value, Trouble):
                return Trouble(value.slip, f"{part}: {value.words}")
        return None

    def _possible(self, part: str, value: float) -> bool:
        return self.sense[part][0] <= value <= self.sense[part][1]

    def _exchanged(self, design: Design) -> bool:
        """Whether every value would make sense if two parts had each other's."""
        pairs = combinations(design, 2)
        return any(
            all(self._possible(p, v) for p, v in {**design, a: design[b], b: design[a]}.items()) for a, b in pairs
        )

    def _read(self, answer: PlainData) -> dict[str, float | Trouble | None]:
        """Every part as a number, as the reason why it is none, or None; nothing at all if no part is named."""
        names = {p.casefold(): p for p in self.parts}
        given: dict[str, PlainData] = {}
        for key, value in answer.items() if isinstance(answer, dict) else ():
            part = names.get(str(key)[:20].strip().casefold())
            if part:
                given[part] = None if isinstance(value, str) and not value.strip() else value
        if not given:
            return {}
        values = {part: given.get(part) for part in self.parts}
        return {p: None if v is None else read_number(v, self.parts[p]) for p, v in values.items()}

    def _shape(self) -> str:
        return f"Keep the form of the answer: a dictionary with {', '.join(self.parts)}."
