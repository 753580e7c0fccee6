"""Read a number out of plain data, in every form the trade writes it, and say what is wrong with one that is not."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from phasorkit.course.plain import PlainData
from phasorkit.quantities import UNITS, parse
from phasorkit.supply import CONDUCTORS

LONGEST = 60
"""Characters of a number as text; more is not read."""

_NAMES = {
    "Ω": "ohms", "F": "farads", "H": "henries", "V": "volts", "A": "amperes", "W": "watts", "Hz": "hertz",
    "°": "degrees", "s": "seconds", "%": "per cent", "pieces": "pieces",
    "r/min": "revolutions per minute",
}  # fmt: skip

PLAIN_UNITS = {
    "%": ("%", "percent", "per cent", "pct"),
    "pieces": ("pieces", "piece", "pcs", "poles", "pole", "resistors", "resistor"),
    "r/min": ("rev/min", "r/min", "rpm", "r.p.m", "1/min", "/min", "min⁻¹", "min-1", "min^-1"),
}
"""Units that take no prefix, with their spellings in small letters: a share in per cent, a count, a speed."""

_UNSEEN = re.compile("[\u200b-\u200f\u2060\ufeff\u00ad]")
"""Letters without width that come along when a number is copied from a page or a chat."""

_COUNTS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
"""Small numbers in words, read where pieces are counted."""

_HABIT = re.compile(r"^\s*[=≈~]\s*(?=[0-9.,+-])")
_TWO_POWERS = re.compile(r"[0-9]\s*(?:[eE][+-]?[0-9]+|[·*x×]\s*10\s*\S+)\s*[pnuµμmkKMGT][A-Za-zΩ]*")
_PLAIN = re.compile(r"[+-]?[0-9.,\s]+([eE][+-]?[0-9]+)?")


@dataclass(frozen=True)
class Trouble:
    """Why an answer is no number: `slip` in a few words for a report, `words` for the learner."""

    slip: str
    words: str


def read_number(answer: PlainData, unit: str) -> float | Trouble:
    """Read an answer as a number in `unit` (SI, or one of `PLAIN_UNITS`), or say why it cannot be read.

    Never raises on plain data.
    The learner's text is not repeated, so a feedback never holds a result.

    >>> read_number("3,9e5", "Ω"), read_number("390k", "Ω"), read_number(390e3, "Ω")
    (390000.0, 390000.0, 390000.0)
    >>> read_number("200 V", "Ω").slip
    'another unit'
    >>> read_number("10 %", "%"), read_number("±5%", "%"), read_number("3 pieces", "pieces"), read_number("zero", "V")
    (10.0, 5.0, 3.0, 0.0)
    """
    if isinstance(answer, bool) or not isinstance(answer, str | int | float):
        return _strange(answer, unit)
    if isinstance(answer, str) and len(answer) > LONGEST:
        return Trouble("not a number", f"This is too long to be a number. {how_to_write(unit)}")
    if isinstance(answer, str) and answer.strip().casefold() == "zero":
        return 0.0
    value = _parsed(answer, unit)
    if value is not None:
        return value
    if isinstance(answer, str):
        return _why_not(answer, unit)
    return Trouble("not a finite number", f"This is not a finite number. {how_to_write(unit)}")


def how_to_write(unit: str) -> str:
    """How an answer in this unit may be written, without a digit that could give something away."""
    if unit in PLAIN_UNITS:
        return f"Write a plain number ({_NAMES[unit]})."
    return (
        f"Write a plain number in {_NAMES[unit]} ({unit}), or in quotes a number with prefix and unit, "
        "with decimal point or comma."
    )


def _parsed(answer: str | float, unit: str) -> float | None:
    """The number, or None.

    A sign of equality before it, a stop or comma behind it, and letters nobody sees are habits and no part of it.
    """
    answer = _HABIT.sub("", _UNSEEN.sub("", answer).rstrip(" .,")) if isinstance(answer, str) else answer
    try:
        value = _plain(answer, unit) if unit in PLAIN_UNITS else parse(answer, unit)
    except (ValueError, ArithmeticError):
        return None
    return value if math.isfinite(value) else None


def _plain(answer: str | float, unit: str) -> float:
    """A number without prefix, its unit written or left out."""
    body = answer
    if isinstance(answer, str):
        body = answer.strip().casefold()
        body = re.sub(r"^(±|\+/?-|\+)\s*", "", body) if unit == "%" else body
        for spelling in PLAIN_UNITS[unit]:
            body = body.removesuffix(spelling).rstrip()
        if unit == "pieces" and body in _COUNTS:
            return float(_COUNTS.index(body))
        if not _PLAIN.fullmatch(body):
            raise ValueError("no plain number")
    return parse(body, "°")  # a unit whose values are read as they stand


def _why_not(answer: str, unit: str) -> Trouble:
    for other in (o for o in UNITS if o != unit and _parsed(answer, o) is not None):
        if sum(_parsed(answer, o) is not None for o in UNITS) == 1 and answer.strip().upper() not in CONDUCTORS:
            words = f"Your answer is in {_NAMES[other]} ({other}), but this asks for {_NAMES[unit]} ({unit})."
            return Trouble("another unit", f"{words} {how_to_write(unit)}")
    if unit not in PLAIN_UNITS and _TWO_POWERS.search(answer):
        words = "A power of ten and a prefix stand one behind the other. Write one of the two."
        return Trouble("a power of ten and a prefix", words)
    if "," in answer and _parsed(answer.replace(",", ""), unit) is not None:
        words = "The comma can be read in two ways, as a decimal comma or between thousands. Leave out the latter."
        return Trouble("thousands separator", words)
    return Trouble("not a number", f"This cannot be read as a number. {how_to_write(unit)}")


def _strange(answer: PlainData, unit: str) -> Trouble:
    if isinstance(answer, dict) and answer.get("unreadable") == "complex":
        words = "A complex number is not wanted here: give its size (magnitude), a plain number."
        return Trouble("complex number", words)
    if isinstance(answer, list) and [type(n) for n in answer] in ([int, int], [int, float]):
        words = (
            "Outside quotes a comma makes two numbers of one. Write a decimal point, or put the number in quotes; "
            "between thousands write nothing."
        )
        return Trouble("a comma outside quotes", words)
    kind = {list: "a list", dict: "a dictionary or another object", bool: "True or False"}.get(
        type(answer), "an object"
    )
    return Trouble("not a number", f"This is {kind}, not a number. {how_to_write(unit)}")
