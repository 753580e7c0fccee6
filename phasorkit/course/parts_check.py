"""Checks of a parts list: whatever meets the requirements in simulation is right, the rest is told case by case."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isclose

from phasorkit.course.model import PART, RIGHT, UNREADABLE, WRONG, Brief, Check, Landmark, Mark, Values
from phasorkit.course.parts_list import Listed, is_blank, read_list
from phasorkit.course.parts_verdict import NOT_DRAWN, Job, Row, no_tester, verdict
from phasorkit.course.plain import PlainData
from phasorkit.course.reading import Trouble

PartsList = Mapping[str, PlainData]


@dataclass(frozen=True)
class Asks:
    """One requirement: a row of the verdict, its share of the check's marks, and what is told where it is not met."""

    row: str
    share: float
    words: str


@dataclass(frozen=True)
class Mistake:
    """A known mistake of a design: its name for the class report, what is told, and whether a list has it."""

    name: str
    words: str
    made: Callable[[Brief, Listed], bool]


@dataclass(frozen=True, kw_only=True)
class PartsCheck(Check):
    """Some requirements of a parts list (see `phasorkit.course.parts_list`), judged by simulation.

    `job` gives what the brief asks, `example` one good list; the shares of `asks` make up one. With `sound` marks are
    given only to a design that is a tester for the job at all. `mistakes` are looked for where something is not met.
    """

    job: Callable[[Brief], Job]
    example: Callable[[Brief], PartsList]
    asks: tuple[Asks, ...]
    sound: bool = True
    mistakes: tuple[Mistake, ...] = ()

    def __post_init__(self) -> None:
        total = sum(a.share for a in self.asks)
        if not isclose(total, 1.0):
            raise ValueError(f"{self.name}: the shares of the requirements make up {total:g}, they must make up 1")

    def truth(self, brief: Brief, earlier: Values) -> dict[str, PlainData]:
        """One parts list that meets all requirements."""
        return dict(self.example(brief))

    def own(self, answer: PlainData, truth: PartsList) -> PartsList | None:
        """The learner's list, as it is."""
        return answer if isinstance(answer, dict) else None

    def landmarks(self, brief: Brief, earlier: Values) -> Iterator[Landmark]:
        """None: a design is no point on a line."""
        return iter(())

    def listed(self, brief: Brief, answer: PlainData) -> Listed | Trouble:
        """The list as a design for the brief's supply, or why it cannot be read."""
        return read_list(answer, line_voltage=brief.line_voltage, frequency=brief.frequency)

    def failing(self, brief: Brief, answer: PlainData) -> tuple[Listed, tuple[tuple[Asks, Row], ...]] | None:
        """The design and the requirements it does not meet, in order; None where there is nothing to judge."""
        listed = self.listed(brief, answer)
        if isinstance(listed, Trouble) or (self.sound and no_tester(listed, self.job(brief))):
            return None
        rows = verdict(listed, self.job(brief))
        return listed, tuple((a, rows[a.row]) for a in self.asks if not rows[a.row].met)

    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """Judge by simulation."""
        if is_blank(answer):
            return self.blank()
        listed = self.listed(brief, answer)
        if isinstance(listed, Trouble):
            return Mark(0.0, self.points, listed.words, listed.slip, outcome=UNREADABLE)
        job = self.job(brief)
        if self.sound and (trouble := no_tester(listed, job)):
            return Mark(0.0, self.points, trouble[1], trouble[0])
        rows = verdict(listed, job)
        missed = [a for a in self.asks if not rows[a.row].met]
        if not missed:
            return Mark(float(self.points), self.points, "Right: this design does all that is asked for here.",
                        outcome=RIGHT)  # fmt: skip
        share = sum(a.share for a in self.asks if rows[a.row].met)
        points = min(round(share * self.points, 2), float(self.points))
        made = next((m for m in self.mistakes if m.made(brief, listed)), None)
        slip = made.name if made else f"{missed[0].row}: not met"
        text = self._text(missed, rows, made)
        return Mark(points, self.points, text, slip, outcome=PART if points else WRONG)

    def _text(self, missed: Sequence[Asks], rows: Mapping[str, Row], made: Mistake | None) -> str:
        width = max(len(a.row) for a in self.asks) + 2
        lines = ["Not yet.", *(f"{a.row:{width}}{'no' if a in missed else 'yes'}" for a in self.asks)]
        lines += [made.words] if made else []
        for a in missed:
            case = in_words(rows[a.row].case)
            lines.append(f"{a.words} The case: {case}." if case else a.words)
        if any(a.row not in NOT_DRAWN for a in missed):
            lines.append(f'See it to scale:  from phasorkit.course.case import draw_case; draw_case("{self.name}")')
        return "\n".join(lines)


_FIGURES = (
    (r"^of [0-9]+, first: ", ""),
    (r" at [0-9.]+ % of its rating", " above its rating"),
    (r"f [89][0-9.]* %", "lowest frequency, supply unbalanced"),
    (r"f 1[0-9.]+ %", "highest frequency, supply unbalanced"),
    (r"×0.5", "drifted to half"),
    (r"×2", "drifted to double"),
    (r" 1 of [0-9]+ shorted", ": one piece shorted"),
    (r"; half the rated watts", ""),
    (r"lamp taken as 100 kΩ, 85 % of voltage", "lowest voltage"),
    (r", bright LED at 85 % of voltage", " of the bright LED, lowest voltage"),
    (r"([RC][0-9])− ", r"\1 low, "),
    (r"([RC][0-9])\+ ", r"\1 high, "),
    (r"^right wiring$", ""),
)
"""Figures of a case, and the words for them."""


def in_words(case: str) -> str:
    """A case as the library names it, without a figure: a feedback holds no result.

    >>> in_words("H1, 1-2-3, R1− C1+ f 98 %")
    'H1, 1-2-3, R1 low, C1 high, lowest frequency, supply unbalanced'
    >>> in_words("of 36, first: R3 1 of 2 shorted: C1 at 211 % of its rating")
    'R3: one piece shorted: C1 above its rating'
    """
    for figure, words in _FIGURES:
        case = re.sub(figure, words, case)
    return case
