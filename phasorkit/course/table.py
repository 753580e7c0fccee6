"""Checks whose answer is a table of numbers, marked entry by entry."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from phasorkit.course.diagnosis import (
    Candidate,
    Factor,
    Finding,
    Tolerance,
    candidates,
    explain,
    general,
    hitting,
)
from phasorkit.course.model import PART, RIGHT, UNREADABLE, WRONG, Brief, Check, Landmark, Mark, Slip, Values
from phasorkit.course.numbers import follow_note
from phasorkit.course.plain import PlainData
from phasorkit.course.reading import Trouble, read_number

Entry = tuple[str, str]
Numbers = Mapping[Entry, float]


@dataclass(frozen=True)
class Cell:
    """How one entry fared: `state` is what the table prints."""

    state: str
    finding: Finding | None = None
    followed: bool = False
    trouble: Trouble | None = None


@dataclass(frozen=True, kw_only=True)
class TableCheck(Check):
    """A dictionary of dictionaries of numbers in one unit, such as ``{"123": {"R1": ...}, "132": {"R1": ...}}``.

    `value` gives the right numbers by (row group, entry); `groups` and `entries` are the keys; with the one group
    ``""`` it is a plain dictionary of numbers. `aliases` are other spellings of an entry (compared without case).
    Marks are shared out evenly over the entries. A slip's `value` gives the entries it touches. `sense`, `tolerance`,
    `factors` as in `NumberCheck`. `units`: units of the entries that have another one than `unit`. `turn`: numbers
    that differ by this much are the same [`unit`], such as 360 for angles (right values and slips then lie between 0
    and `turn`).
    """

    unit: str
    value: Callable[[Brief, Values], Numbers]
    groups: tuple[str, ...]
    entries: tuple[str, ...]
    sense: tuple[float, float]
    aliases: Mapping[str, str] = field(default_factory=dict)
    tolerance: Tolerance = field(default_factory=Tolerance)
    slips: tuple[Slip, ...] = ()
    factors: tuple[Factor, ...] = general(volts=1, frequency=False)
    units: Mapping[str, str] = field(default_factory=dict)
    turn: float = 0.0

    def truth(self, brief: Brief, earlier: Values) -> Numbers:
        """The right numbers by (group, entry) [`unit`]."""
        return self.value(brief, earlier)

    def own(self, answer: PlainData, truth: Numbers) -> Numbers | None:
        """The true table with the learner's entries in it, as far as they can be read and make sense."""
        given = self._given(answer)
        numbers = {key: self._read(key, value) for key, value in given.items()}
        read = {k: self._turned(v) for k, v in numbers.items() if isinstance(v, float)}
        sane = {k: v for k, v in read.items() if self.sense[0] <= v <= self.sense[1]}
        return {**truth, **sane} if sane else None

    def candidates(self, brief: Brief, earlier: Values) -> dict[Entry, list[Candidate]]:
        """What every known slip gives for this brief, by entry."""
        own: dict[Entry, list[Candidate]] = {}
        for s in self.slips:
            for key, value in s.value(brief, earlier).items():
                own.setdefault(key, []).append(Candidate(s.name, s.words, float(value), 0, s.credit, s.must))
        right = self.value(brief, earlier)
        return {key: candidates(value, own.get(key, ()), self.factors) for key, value in right.items()}

    def landmarks(self, brief: Brief, earlier: Values) -> Iterator[Landmark]:
        """Per entry the right number, then the slips in the order they are looked for."""
        right, found = self.value(brief, earlier), self.candidates(brief, earlier)
        for key, value in right.items():
            entry = "/".join(key)
            yield Landmark(entry, "", value, self.tolerance.of(value), must=True)
            for c in sorted(found[key], key=lambda c: c.rank):
                yield Landmark(entry, c.name, c.value, self.tolerance.of_slip(c.value), c.rank == 0, c.must)

    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """Mark entry by entry and print a small table of what is right and what is not."""
        given = self._given(answer)
        if not given:
            return Mark(0.0, self.points, self._shape(), "not a table", outcome=UNREADABLE)
        if all(value is None for value in given.values()):
            return self.blank()
        tables = [(self.value(brief, values), values) for values in earlier]
        cells = {key: self._first_look(key, given.get(key), tables) for key in self._keys()}
        if any(c.state == "wrong" for c in cells.values()):
            slipped = [self.candidates(brief, values) for values in earlier]
            cells = {key: self._second_look(key, given.get(key), c, slipped) for key, c in cells.items()}
            cells = self._one_idea(given, cells, slipped)
        return self._sum(cells)

    def fits(self, answer: PlainData) -> Callable[[Brief, Values], bool]:
        """See `Check.fits`."""
        given = self._given(answer)
        read = {key: self._read(key, given.get(key)) for key in self._keys()}
        numbers = {key: self._turned(number) for key, number in read.items() if isinstance(number, float)}
        holds = self.tolerance.holds
        return lambda _, true: (
            len(numbers) == len(read) and all(holds(number, true[self.name][key]) for key, number in numbers.items())
        )

    def _first_look(self, key: Entry, answer: PlainData, tables: Sequence[tuple[Numbers, Values]]) -> Cell:
        if answer is None:
            return Cell("missing")
        number = self._read(key, answer)
        if isinstance(number, Trouble):
            return Cell("unreadable", trouble=number)
        for count, (table, _) in enumerate(tables):
            if self.tolerance.holds(self._turned(number), table[key]):
                return Cell("right", followed=count > 0)
        return Cell("wrong")

    def _second_look(
        self, key: Entry, answer: PlainData, cell: Cell, slipped: Sequence[Mapping[Entry, list[Candidate]]]
    ) -> Cell:
        number = self._read(key, answer)
        if cell.state != "wrong" or isinstance(number, Trouble):
            return cell
        tries = dict.fromkeys((number, self._turned(number)))
        findings = (explain(n, found[key], self.tolerance) for found in slipped for n in tries)
        return Cell("wrong", next((f for f in findings if f), None))

    def _one_idea(
        self,
        given: Mapping[Entry, PlainData],
        cells: dict[Entry, Cell],
        slipped: Sequence[Mapping[Entry, list[Candidate]]],
    ) -> dict[Entry, Cell]:
        """One slip told for all wrong entries, if it explains all and one of them has no other explanation.

        Only the words change: every entry keeps the marks of what was found in it by itself.
        """
        found = {key: c.finding for key, c in cells.items() if c.state == "wrong"}
        names = dict.fromkeys(f.name for f in found.values() if f)
        if None in found.values() or len(names) < 2:
            return cells
        for table in slipped:
            told = [self._by_name(key, given[key], table[key]) for key in found]
            idea = next((name for name in names if all(name in words for words in told)), None)
            if idea:
                words = zip(found.items(), told, strict=True)
                shared = {key: Finding(idea, by[idea], f.credit) for (key, f), by in words if f}
                return {key: replace(c, finding=shared.get(key)) for key, c in cells.items()}
        return cells

    def _by_name(self, key: Entry, answer: PlainData, found: Sequence[Candidate]) -> dict[str, str]:
        """Name and words of every slip that gives what stands at this entry."""
        number = self._read(key, answer)
        return {c.name: c.words for c in hitting(number, found, self.tolerance)} if isinstance(number, float) else {}

    def _sum(self, cells: Mapping[Entry, Cell]) -> Mark:
        share = self.points / len(cells)
        credits = [1.0 if c.state == "right" else c.finding.credit if c.finding else 0.0 for c in cells.values()]
        points = min(round(share * sum(credits), 2), float(self.points))
        followed = any(c.followed for c in cells.values())
        slips = Counter(name for name in map(_slip, cells.values()) if name)
        outcome = RIGHT if all(c.state == "right" for c in cells.values()) else PART if points else WRONG
        slip = slips.most_common(1)[0][0] if slips else None
        return Mark(points, float(self.points), self._text(cells, followed), slip, followed, outcome)

    def _text(self, cells: Mapping[Entry, Cell], followed: bool) -> str:
        if all(c.state == "right" for c in cells.values()):
            return f"All right. {follow_note(self.follows)}" if followed else "All right."
        width = max(len(e) for e in self.entries) + 2
        lines = [" " * width + "".join(f"{_dashed(g):12}" for g in self.groups).rstrip()] if any(self.groups) else []
        for entry in self.entries:
            states = "".join(f"{cells[g, entry].state:12}" for g in self.groups)
            lines.append(f"{entry:{width}}{states}".rstrip())
        for words in dict.fromkeys(_told(c) for c in cells.values() if _told(c)):
            where = [f"{e} in {_dashed(g)}" if g else e for (g, e), c in cells.items() if _told(c) == words]
            lines.append(f"{', '.join(where)}: {words}")
        if any(c.state == "wrong" and not c.finding for c in cells.values()):
            lines.append(f"Not every wrong entry is one of the usual slips. {' '.join(self.hints[:1])}".rstrip())
        if followed:
            lines.append(follow_note(self.follows, whole=False))
        return "\n".join(lines)

    def _keys(self) -> list[Entry]:
        return [(g, e) for g in self.groups for e in self.entries]

    def _given(self, answer: PlainData) -> dict[Entry, PlainData]:
        """The learner's entries under the names this check uses; what has another name is left out."""
        names = {e.casefold(): e for e in self.entries} | {a.casefold(): e for a, e in self.aliases.items()}
        found: dict[Entry, PlainData] = {}
        rows = {"": answer} if self.groups == ("",) else answer
        for group, row in rows.items() if isinstance(rows, dict) else ():
            key = str(group)[:20].replace("-", "").strip()
            if key in self.groups and isinstance(row, dict):
                for name, value in row.items():
                    entry = names.get(str(name)[:20].replace("–", "-").strip().casefold())
                    if entry:
                        found[key, entry] = value
        return found

    def _read(self, key: Entry, answer: PlainData) -> float | Trouble:
        return read_number(answer, self.units.get(key[1], self.unit))

    def _turned(self, number: float) -> float:
        """The same number less whole turns, where there are turns; a very large one is no angle and stays."""
        return number % self.turn if 0 < abs(number) <= 2 * self.turn else number

    def _shape(self) -> str:
        groups = ", ".join(f'"{g}"' for g in self.groups)
        entries = ", ".join(f'"{e}"' for e in self.entries)
        if self.groups == ("",):
            return f"Keep the form of the table: a dictionary with {entries}."
        return f"Keep the form of the table: a dictionary with {groups}, each a dictionary with {entries}."


def _slip(cell: Cell) -> str:
    if cell.finding:
        return cell.finding.name
    return cell.trouble.slip if cell.trouble else ""


def _told(cell: Cell) -> str:
    if cell.finding:
        return cell.finding.words
    return cell.trouble.words if cell.trouble else ""


def _dashed(group: str) -> str:
    """A sequence as it is said: 1-2-3 for 123; other group names stay as they are."""
    return "-".join(group) if group in ("123", "132") else group
