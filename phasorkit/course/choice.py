"""Checks whose answer is a choice among words, or several such choices."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import ClassVar

from phasorkit.course.diagnosis import Candidate, Finding, Tolerance, explain
from phasorkit.course.model import PART, RIGHT, UNREADABLE, WRONG, Brief, Check, Landmark, Mark, Slip, Values
from phasorkit.course.numbers import follow_note
from phasorkit.course.plain import PlainData

Choices = Mapping[str, str]
"""Chosen words by entry; a single choice has the one entry ``""``."""

_EXACT = Tolerance(0.0)
_LONGEST = 80


@dataclass(frozen=True)
class _Given:
    """One entry as it was handed in: the option it names, or None; `blank` if nothing stands there."""

    option: str | None
    blank: bool = False


@dataclass(frozen=True)
class _Entry:
    """How one entry fared."""

    share: float
    finding: Finding | None = None
    followed: bool = False


@dataclass(frozen=True, kw_only=True)
class ChoiceCheck(Check):
    """One of several words, or with `entries` a dictionary with a choice for each, such as ``{"A": "1-2-3", ...}``.

    `options` are the words as the notebook offers them; `aliases` are other spellings (compared without case, dashes
    and commas; where `unordered`, "T2 T1" is "T1 T2", and a list counts as its words). `value` gives the right option
    (with `entries`: by entry). A slip's `value` gives the option it leads to, or a tuple of them (with `entries`: by
    entry, for those it touches). Marks are shared out evenly over the entries. How many are right is told, but not
    which ones, so that trying alone does not find them.
    """

    mixes: ClassVar[bool] = False

    options: tuple[str, ...]
    value: Callable[[Brief, Values], str | Choices]
    entries: tuple[str, ...] = ()
    aliases: Mapping[str, str] = field(default_factory=dict)
    unordered: bool = False
    slips: tuple[Slip, ...] = ()

    def truth(self, brief: Brief, earlier: Values) -> str | Choices:
        """The right option, or the right options by entry."""
        return self.value(brief, earlier)

    def own(self, answer: PlainData, truth: str | Choices) -> str | Choices | None:
        """The learner's option, or the true ones with the learner's in their places."""
        read = {k: g.option for k, g in (self._given(answer) or {}).items() if g.option}
        if isinstance(truth, str):
            return read.get("")
        return {**truth, **read} if read else None

    def candidates(self, brief: Brief, earlier: Values) -> dict[str, list[Candidate]]:
        """What every slip leads to, by entry; the value of a candidate is the option's place in `options`."""
        found: dict[str, list[Candidate]] = {}
        for s in self.slips:
            for entry, taken in _by_entry(s.value(brief, earlier)).items():
                for option in (taken,) if isinstance(taken, str) else taken:
                    place = float(self.options.index(option))
                    found.setdefault(entry, []).append(Candidate(s.name, s.words, place, 0, s.credit, s.must))
        return found

    def landmarks(self, brief: Brief, earlier: Values) -> Iterator[Landmark]:
        """Per entry the place of the right option, then those of the slips; half a place apart is apart."""
        found = self.candidates(brief, earlier)
        for entry, option in _by_entry(self.value(brief, earlier)).items():
            yield Landmark(entry, "", float(self.options.index(option)), 0.25, must=True)
            for c in found.get(entry, ()):
                yield Landmark(entry, c.name, c.value, 0.25, True, c.must)

    def mark(self, brief: Brief, answer: PlainData, earlier: Sequence[Values]) -> Mark:
        """Mark entry by entry."""
        given = self._given(answer)
        if given is None:
            return Mark(0.0, self.points, f"{self._shape()} {self._offer()}", "not a choice", outcome=UNREADABLE)
        if all(g.blank for g in given.values()):
            return self.blank()
        if not any(g.option for g in given.values()):
            return Mark(0.0, self.points, self._offer(), "not one of the words", outcome=UNREADABLE)
        rights = [_by_entry(self.value(brief, values)) for values in earlier]
        slipped = [self.candidates(brief, values) for values in earlier]
        return self._sum(given, {key: self._look(key, g, rights, slipped) for key, g in given.items()})

    def fits(self, answer: PlainData) -> Callable[[Brief, Values], bool]:
        """See `Check.fits`."""
        chosen = {key: given.option for key, given in (self._given(answer) or {}).items()}
        return lambda _, true: (
            bool(chosen) and all(option == _by_entry(true[self.name])[key] for key, option in chosen.items())
        )

    def _look(
        self, key: str, given: _Given, rights: Sequence[Choices], slipped: Sequence[Mapping[str, list[Candidate]]]
    ) -> _Entry:
        if given.option is None:
            return _Entry(0.0)
        for count, right in enumerate(rights):
            if given.option == right[key]:
                return _Entry(1.0, followed=count > 0)
        place = float(self.options.index(given.option))
        findings = (explain(place, found.get(key, ()), _EXACT) for found in slipped)
        finding = next((f for f in findings if f), None)
        return _Entry(finding.credit if finding else 0.0, finding)

    def _sum(self, given: Mapping[str, _Given], entries: Mapping[str, _Entry]) -> Mark:
        points = min(round(self.points * sum(e.share for e in entries.values()) / len(entries), 2), float(self.points))
        followed = any(e.followed for e in entries.values())
        slips = Counter(e.finding.name for e in entries.values() if e.finding)
        right = sum(e.share == 1 for e in entries.values())
        outcome = RIGHT if right == len(entries) else PART if points else WRONG
        slip = slips.most_common(1)[0][0] if slips else None
        return Mark(points, float(self.points), self._text(given, entries, right), slip, followed, outcome)

    def _text(self, given: Mapping[str, _Given], entries: Mapping[str, _Entry], right: int) -> str:
        whole = right == len(entries)
        followed = [follow_note(self.follows, whole=whole)] if any(e.followed for e in entries.values()) else []
        if whole:
            return " ".join(followed or ["Right." if len(entries) == 1 else "All right."])
        count = f"Right so far: {_words(right)} of {_words(len(entries))}." if self.entries else "Not yet."
        told = list(dict.fromkeys(e.finding.words for e in entries.values() if e.finding))
        if any(g.blank for g in given.values()):
            told.append("Something is still missing.")
        strange = [entry for entry, g in given.items() if g.option is None and not g.blank]
        if strange:
            told.append(f"What you wrote for {', '.join(strange)} is none of the words. {self._offer()}")
        unexplained = any(e.share < 1 and not e.finding and given[k].option for k, e in entries.items())
        return "\n".join([count, *told, *(self.hints[:1] if unexplained else ()), *followed])

    def _given(self, answer: PlainData) -> dict[str, _Given] | None:
        """What stands at every entry, or None if the answer has another form."""
        if not self.entries:
            return {"": self._read(answer)} if isinstance(answer, str | int | list) else None
        if not isinstance(answer, dict):
            return None
        named = {_key(e): e for e in self.entries}
        found = {
            named[k]: self._read(v) for k, v in ((_key(str(k)[:_LONGEST]), v) for k, v in answer.items()) if k in named
        }
        return {e: found.get(e, _Given(None, blank=True)) for e in self.entries} if found else None

    def _read(self, answer: PlainData) -> _Given:
        if isinstance(answer, list) and self.unordered:
            answer = " ".join(item[:_LONGEST] for item in answer[:9] if isinstance(item, str))
        if answer is None or (isinstance(answer, str) and not answer.strip()):
            return _Given(None, blank=True)
        if isinstance(answer, bool):
            answer = "yes" if answer else "no"
        if type(answer) is int and 0 <= answer < 10**9:
            answer = str(answer)
        if not isinstance(answer, str):
            return _Given(None)
        spellings = {_key(s, self.unordered): o for s, o in (*((o, o) for o in self.options), *self.aliases.items())}
        return _Given(spellings.get(_key(answer[:_LONGEST], self.unordered)))

    def _offer(self) -> str:
        return f"Choose among these words, in quotes: {', '.join(self.options)}."

    def _shape(self) -> str:
        if not self.entries:
            return "One choice is asked for."
        return f"Keep the form of the answer: a dictionary with {', '.join(self.entries)}."


def _by_entry(value: str | tuple[str, ...] | Mapping[str, str]) -> Mapping[str, str]:
    return value if isinstance(value, Mapping) else {"": value}  # type: ignore[dict-item]


def _key(text: str, unordered: bool = False) -> str:
    """A spelling as it is compared: words and digits in small letters, "and" and "with" left out."""
    words = [w for w in re.findall(r"\w+", text.casefold()) if w not in ("and", "with")]
    return " ".join(sorted(words) if unordered else words)


def _words(count: int) -> str:
    """A small number in words, so that a feedback holds no digit."""
    names = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    return names[count] if count < len(names) else "many"
