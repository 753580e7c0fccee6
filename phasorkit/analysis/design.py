"""A design as it is to be bought, the brief it answers, and one line of the verdict."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

from phasorkit._checks import whole
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.ratings import CLASS_X, CLASS_Y, FILM, RESISTORS, Size
from phasorkit.indicators.base import Indicator
from phasorkit.parts import nearest

CAPACITOR_KINDS = (*FILM, *CLASS_X, *CLASS_Y)
"""Kinds of capacitor to choose from."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """The brief: the window of the supply, and what one reading must do.

    `margins` holds voltage and frequency window, unbalance and the tolerance classes of the parts; `one_reading` asks
    that a single reading names the sequence; `faults`: every single fault is tried as well, which takes its time.
    """

    margins: Margins = field(default_factory=Margins)
    one_reading: bool = False
    faults: bool = False


@dataclass(frozen=True, kw_only=True)
class Design:
    """What is to be bought: the circuit sized for its capacitor, resistors of a series in so many equal pieces.

    `exact` is the circuit as sized; `bought` gives it the values that are sold. `size` is the kind of each piece,
    `capacitor` the kind of every capacitor. ValueError unless `pieces` is a whole number from 1.
    """

    exact: Indicator
    series: str = "E24"
    pieces: int = 1
    size: Size = RESISTORS[0]
    capacitor: Size = FILM[-1]

    def __post_init__(self) -> None:
        whole(self.pieces, "pieces")

    @property
    def bought(self) -> Indicator:
        """The circuit with every resistance made of `pieces` preferred values."""
        rounded = {f: self.pieces * self.each(f) for f in self.exact.resistances if getattr(self.exact, f)}
        return replace(self.exact, **rounded)  # type: ignore[type-var]

    def pieces_of(self, part: str) -> int:
        """How many pieces a part is made of: `pieces` where its value follows a resistance, else one.

        >>> from phasorkit.indicators import circuit
        >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
        >>> [Design(exact=bridge, pieces=2).pieces_of(part) for part in ("R1", "C1")]
        [2, 1]
        """
        return self.pieces if part in self._chains else 1

    @cached_property
    def _chains(self) -> frozenset[str]:
        """Names of the elements whose value follows one of the resistances."""
        twice = {f: 2 * getattr(self.exact, f) for f in self.exact.resistances if getattr(self.exact, f)}
        other = replace(self.exact, **twice)  # type: ignore[type-var]
        pairs = zip(self.exact.network().elements, other.network().elements, strict=True)
        return frozenset(e.name for e, doubled in pairs if e.value != doubled.value)

    def each(self, resistance: str) -> float:
        """Value of one piece of a resistance (a field of the circuit) [Ω].

        >>> from phasorkit.indicators import circuit
        >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
        >>> Design(exact=bridge, pieces=2).each("resistance")
        200000.0
        """
        return float(nearest(getattr(self.exact, resistance) / self.pieces, self.series))


@dataclass(frozen=True)
class Requirement:
    """One line of the verdict.

    `name` says what is asked. `value` and `limit` have the `unit`; `at_most` tells on which side of the limit the
    value must lie. `case` is where the value comes from. A yes-or-no requirement has value and limit 0 or 1 and no
    unit. `passed` is None where it was not tried.
    """

    name: str
    value: float
    limit: float
    unit: str
    at_most: bool
    passed: bool | None
    case: str
