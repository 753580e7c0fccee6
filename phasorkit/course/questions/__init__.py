"""Lesson questions: commit to an answer, then read why it is right or what the other choice overlooks.

Each lesson's questions stand in a module `lesson_NN` of this package as a tuple `QUESTIONS`; their ids begin with the
lesson's number: ``"05.why-dark"``.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass, field
from functools import cache
from string import ascii_lowercase
from textwrap import fill

from phasorkit.course.diagnosis import Candidate, Factor, Tolerance, candidates, explain
from phasorkit.course.plain import to_plain
from phasorkit.course.reading import Trouble, read_number

WIDTH = 100


@dataclass(frozen=True)
class Choice:
    """One answer to choose: its words, and what is told to whoever takes it."""

    words: str
    feedback: str
    right: bool = False


@dataclass(frozen=True)
class Question:
    """A question with choices, answered by letter.

    Parameters
    ----------
    id : str
        ``"05.why-dark"``: lesson number, point, name.
    text : str
    choices : tuple of Choice
        Two or more, exactly one of them right; each says what its taker is told.

    Raises
    ------
    ValueError
        Fewer than two choices, or not exactly one right one.
    """

    id: str
    text: str
    choices: tuple[Choice, ...]

    def __post_init__(self) -> None:
        if len(self.choices) < 2 or sum(c.right for c in self.choices) != 1:
            raise ValueError(f"question {self.id!r} needs two choices or more, exactly one of them right")

    def ask(self) -> str:
        """The question and its choices."""
        lines = [_folded(f"  {letter})  {c.words}", "      ") for letter, c in self._by_letter().items()]
        return "\n".join(
            [fill(self.text, WIDTH), *lines, f"Commit to an answer: put {self._letters()} in place of None."]
        )

    def reply(self, given: object) -> str:
        """What is told to whoever gives this answer."""
        plain = to_plain(given)
        letter = plain.strip().casefold().rstrip(").") if isinstance(plain, str) else ""
        chosen = self._by_letter().get(letter)
        if chosen is None:
            return f"Answer with one letter in quotes: {self._letters()}."
        return _folded(f"{letter})  {'Right. ' if chosen.right else 'Not so. '}{chosen.feedback}", "    ")

    def _by_letter(self) -> dict[str, Choice]:
        return dict(zip(ascii_lowercase, self.choices, strict=False))

    def _letters(self) -> str:
        letters = [f'"{letter}"' for letter in self._by_letter()]
        return f"{', '.join(letters[:-1])} or {letters[-1]}"


@dataclass(frozen=True)
class Mistake:
    """A number that a known mistake gives [unit of the question], its name and what is told."""

    name: str
    words: str
    value: float


@dataclass(frozen=True)
class NumberQuestion:
    """A question whose answer is a number, read and diagnosed as in an exercise.

    Parameters
    ----------
    id, text : str
        As in `Question`.
    value : float
        The right number [`unit`].
    unit : str
        One of `phasorkit.quantities.UNITS`.
    why : str
        What is told with a right answer.
    hint : str
        What is told when no known mistake explains the number; holds no result.
    tolerance : Tolerance
    mistakes : tuple of Mistake
        Own mistakes of this question; they win over the general factors.
    factors : tuple of Factor
        General slips that can happen, from `phasorkit.course.diagnosis.general`.
    """

    id: str
    text: str
    value: float
    unit: str
    why: str
    hint: str = ""
    tolerance: Tolerance = field(default_factory=Tolerance)
    mistakes: tuple[Mistake, ...] = ()
    factors: tuple[Factor, ...] = ()

    def ask(self) -> str:
        """The question, its unit and how close is close enough."""
        call = f"Commit to an answer: put a number [{self.unit}] in place of None (within {self.tolerance})."
        return f"{fill(self.text, WIDTH)}\n{call}"

    def reply(self, given: object) -> str:
        """What is told to whoever gives this number."""
        number = read_number(to_plain(given), self.unit)
        if isinstance(number, Trouble):
            return fill(number.words, WIDTH)
        if abs(number - self.value) <= self.tolerance.of(self.value):
            return fill(f"Right. {self.why}", WIDTH)
        own = [Candidate(m.name, m.words, m.value, 0) for m in self.mistakes]
        finding = explain(number, candidates(self.value, own, self.factors), self.tolerance)
        return fill(f"Not so. {finding.words if finding else self.hint}".rstrip(), WIDTH)


@cache
def questions(lesson: str) -> dict[str, Question | NumberQuestion]:
    """The questions of a lesson, such as ``"05"``, by id; a KeyError where there are none."""
    try:
        module = importlib.import_module(f"{__name__}.lesson_{lesson}")
    except ModuleNotFoundError:
        raise KeyError(f"lesson {lesson!r} has no questions") from None
    return {q.id: q for q in module.QUESTIONS}


def answer(question: str, given: object, behind_comma: object = None) -> None:
    """Ask a lesson question, or answer it; prints text, always the same for the same call.

    Parameters
    ----------
    question : str
        Its id, such as ``"05.why-dark"``.
    given : None, str or number
        None prints the question; a letter or a number prints what it shows.
    behind_comma : optional
        Nothing to fill in: what Python makes of the digits behind a decimal comma outside quotes. It is told so.

    Raises
    ------
    KeyError
        No such question; the message lists those of the lesson.
    """
    known = questions(question.partition(".")[0])
    if question not in known:
        raise KeyError(f"no question {question!r}; there are {', '.join(known)}")
    asked = known[question]
    given = given if behind_comma is None else (given, behind_comma)
    print(asked.ask() if given is None else asked.reply(given))


def _folded(text: str, indent: str) -> str:
    return fill(text, WIDTH, subsequent_indent=indent)
