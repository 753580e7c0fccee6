"""Which known slip explains a wrong number: the general factors, a check's own slips, and both with a lost prefix.

What is told of an answer that no slip explains is only the law to use. "Too large" or "too small" is not told:
with as many tries as one likes it would let the right number be found by halving, without a thought about circuits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import pi, sqrt


@dataclass(frozen=True)
class Tolerance:
    """Accepted deviation: `relative` times the value plus `absolute` [unit of the answer].

    >>> Tolerance(0.02).of(-50.0), str(Tolerance(0.02, 0.5))
    (1.0, '2 % + 0.5')
    """

    relative: float = 0.02
    absolute: float = 0.0

    def of(self, value: float) -> float:
        """Half window around a right value."""
        return self.relative * abs(value) + self.absolute

    def holds(self, answer: float, right: float) -> bool:
        """Whether an answer is accepted; the edge counts as inside, whatever binary fractions make of it.

        >>> Tolerance(0.01).holds(3.03, 3.0)
        True
        """
        return abs(answer - right) <= self.of(right) * (1 + 1e-9) + 1e-12 * abs(right)

    def of_slip(self, value: float) -> float:
        """Half window around a slip's value: relative only, so that an absolute part does not swallow small values."""
        return self.relative * abs(value) if value else self.absolute

    def __str__(self) -> str:
        return f"{100 * self.relative:g} %" + (f" + {self.absolute:g}" if self.absolute else "")


@dataclass(frozen=True)
class Factor:
    """A general slip: one of `factors` times the right value to the power `power`.

    Identical factors are one slip with a joint text.
    """

    name: str
    words: str
    factors: tuple[float, ...]
    credit: float = 0.0
    power: int = 1

    def on(self, right: float) -> tuple[float, ...]:
        """What the slip gives instead of a right value other than zero."""
        return tuple(f * right**self.power for f in self.factors)


@dataclass(frozen=True)
class Candidate:
    """A value that a slip would give; a check's own slips (rank 0) win over general ones (rank 1)."""

    name: str
    words: str
    value: float
    rank: int
    credit: float = 0.0
    must: bool = False


@dataclass(frozen=True)
class Finding:
    """The slip, or the slips that cannot be told apart, that explain an answer."""

    name: str
    words: str
    credit: float


def _both(factor: float) -> tuple[float, float]:
    return factor, 1 / factor


PREFIX = Factor(
    "a prefix lost or doubled",
    "The digits are right, the power of ten is not: a prefix was lost or taken twice. Write every value with its "
    "power of ten (nano, micro, milli, kilo, mega) before you calculate, and check that pF, nF or µF, ms or s, Ω or kΩ "
    "is what you meant. A plain number has no prefix.",
    tuple(10.0**n for n in (-12, -9, -6, -3, 3, 6, 9, 12)),
    credit=0.5,
)
DECADE = Factor(
    "the wrong decade",
    "The two digits are right, the decade is not: count the zeros, or look at the letter of the code again.",
    (0.01, 0.1, 10.0, 100.0),
    credit=0.5,
)
SIGN = Factor("a minus sign", "The size is right; it is asked for without a minus sign.", (-1.0,), credit=0.5)
UPSIDE = Factor(
    "upside down", "This is the reciprocal: numerator and denominator have changed places.", (1.0,), power=-1
)
RADIANS = Factor(
    "radians for degrees",
    "Degrees and radians are mixed up. Calculators can be set to either, and Python counts in radians: half a turn "
    "is π radians. Use degrees() or radians() where you go from one to the other.",
    _both(pi / 180),
)
_TWO_PI = Factor(
    "2π missing or used twice",
    "A 2π went astray: angular frequency is ω = 2π·f. Use ω or 2π·f, and use it once.",
    _both(2 * pi),
)
_PI = Factor("2π taken as 2 or as π", "Only half of 2π arrived: ω is 2π·f, both the 2 and the π.", _both(pi))
_FREQUENCY = Factor(
    "50 Hz taken for 60 Hz or the reverse",
    "This fits another supply frequency. Use the frequency in your numbers, not the one you are used to.",
    _both(1.2),
)
BRACKETS = (
    "brackets missing",
    "All of 2π·f and what goes with it belongs under the fraction bar. In Python and on a calculator put it in "
    "brackets: without them only the first factor divides, and the others multiply.",
)
"""Name and words of a slip: ``1/2*pi*f*C`` or ``1/(2*pi*f)*C`` for one over all of it."""

_BRACKETS = Factor(*BRACKETS, (1 / 4,), power=-1)
_TWO = Factor("a factor of two", "A factor of two is missing or too much: look at each step for a half.", _both(2.0))


BETWEEN_LINES = "These parts lie between line conductors, no part touches the neutral."


def general(*, volts: int, frequency: bool, line_or_phase: str = BETWEEN_LINES) -> tuple[Factor, ...]:
    """The general slips of an answer that goes with the voltage to the power `volts` (0 for ohms, 1 volts, 2 watts).

    `frequency`: whether the supply frequency enters its formula. `line_or_phase`: what helps to choose between line
    and phase voltage in this circuit; the usual words are false where something lies on the neutral.

    >>> [f.name for f in general(volts=0, frequency=False)][:2]
    ['a √3 in the wrong place', 'a √2 in the wrong place']
    """
    if volts == 0:
        three = "A √3 is missing, too much, or on the wrong side of the fraction. Draw the triangle and look."
        two = "A √2 slipped in. It belongs to peak values; there are no peak values in an impedance."
        factors = [
            Factor("a √3 in the wrong place", three, _both(sqrt(3))),
            Factor("a √2 in the wrong place", two, _both(sqrt(2))),
            _TWO,
            UPSIDE,
        ]
    else:
        factors = _voltage_factors(volts, line_or_phase)
    angular = (_TWO_PI, _PI, _BRACKETS, _FREQUENCY) if frequency else ()
    return (*factors, *angular, SIGN)


def _voltage_factors(volts: int, line_or_phase: str) -> list[Factor]:
    square = " squared" if volts == 2 else ""
    line = (
        f"Line and phase voltage are mixed up: they differ by √3{square and ', and power goes with the square'}. "
        f"{line_or_phase}"
    )
    peak = f"Peak and rms are mixed up: they differ by √2{square and ', and power goes with the square'}. Use rms."
    factors = [
        Factor(f"line and phase voltage mixed up{square}", line, _both(3.0 ** (volts / 2))),
        Factor(f"peak for rms{square}", peak, _both(2.0 ** (volts / 2))),
    ]
    if volts == 1:
        return [*factors, _TWO]
    once = "A √3 or √2 is in the wrong place: power goes with the square of the voltage, so such roots vanish in it."
    return [*factors, Factor("a root in a power", once, (*_both(sqrt(3)), *_both(sqrt(2))))]


def candidates(right: float, slips: Iterable[Candidate], factors: Sequence[Factor]) -> list[Candidate]:
    """Every value that one known slip gives: own slips, general factors on the right value, a lost prefix.

    Own slips come in as candidates of rank 0. A right value of zero has no factors.
    """
    usual = [*factors, PREFIX] if right else []
    return [*slips, *(Candidate(f.name, f.words, v, 1, f.credit) for f in usual for v in f.on(right))]


def hitting(answer: float, found: Sequence[Candidate], tolerance: Tolerance) -> list[Candidate]:
    """The known slips that give this number, a lost prefix on top of one not looked for."""
    return [c for c in found if abs(answer - c.value) <= tolerance.of_slip(c.value)]


def explain(answer: float, found: Sequence[Candidate], tolerance: Tolerance) -> Finding | None:
    """The slip that explains an answer, else a slip with a lost prefix on top, else None.

    Where several slips give the same number it says so rather than guess.
    """
    hits = hitting(answer, found, tolerance)
    if hits:
        return _named(hits)
    for shift in PREFIX.factors:
        moved = answer / shift
        hits = [c for c in found if c.value and abs(moved - c.value) <= tolerance.of_slip(c.value)]
        hits = [c for c in hits if c.name != PREFIX.name]
        if hits:
            under = _named(hits)
            words = f"Two slips in one. {under.words} And: {PREFIX.words}"
            return Finding(f"{under.name}, and {PREFIX.name}", words, 0.0)
    return None


def _named(hits: Sequence[Candidate]) -> Finding:
    """One finding for all hits of the best rank."""
    best = min(c.rank for c in hits)
    named = {c.name: c for c in hits if c.rank == best}
    if len(named) == 1:
        hit = next(iter(named.values()))
        return Finding(hit.name, hit.words, hit.credit)
    words = " Or: ".join(c.words for c in named.values())
    credit = min(c.credit for c in named.values())
    return Finding("; or ".join(named), f"More than one slip leads to this number. {words}", credit)
