"""The one face of every indicator: from it alone come drawings, tables, sheets and checks."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from phasorkit._checks import number, positive, single
from phasorkit.lamps import DARK, LIT, Lamp
from phasorkit.network import UNIT_OF_KIND, Network, Solution
from phasorkit.parts import nearest
from phasorkit.phasors import ComplexArray, FloatArray
from phasorkit.quantities import render
from phasorkit.supply import CONDUCTORS, Supply

OVERVOLTAGE = 1.10
"""Ratings are for 110 % of the nominal voltage (upper end of the usual supply window, from memory: EN 50160)."""

SEQUENCES = ("123", "132")


@dataclass(frozen=True)
class Given:
    """A value that a builder gives, for the command line and for error messages.

    `name` is the keyword of `Indicator.sized`, `option` how the command line calls it, `unit` its unit; `low` and
    `high` bound what is accepted [SI unit]; `needs_unit` refuses a bare number; `typical` is where an app starts.
    """

    name: str
    option: str
    unit: str
    low: float
    high: float
    help: str
    required: bool = True
    needs_unit: bool = False
    typical: float | None = None

    def check(self, value: object) -> None:
        """ValueError unless the value is one number from `low` to `high`, or None where that may be given."""
        if (value is None and not self.required) or self.low == number(value) == 0:
            return
        if not self.low <= single(value, self.name, self.unit) <= self.high:  # type: ignore[arg-type]
            low, high = render(self.low, self.unit), render(self.high, self.unit)
            raise ValueError(f"{self.name} must be {low} to {high} [{self.unit}], got {value!r}")


CAPACITOR = Given(
    "capacitance", "--capacitor", "F", 1e-12, 1e-3, "capacitor, such as 4n7", needs_unit=True, typical=4.7e-9
)
FREQUENCY = Given("frequency", "--frequency", "Hz", 10.0, 1000.0, "supply frequency [Hz]")
LINE_VOLTAGE = Given("line_voltage", "--line-voltage", "V", 1.0, 1000.0, "line-to-line voltage [V rms]")


@dataclass(frozen=True)
class Choice:
    """A choice among words that a builder makes; like `Given` for the command line."""

    name: str
    option: str
    words: tuple[str, ...]
    default: str
    help: str

    def check(self, value: object) -> None:
        """ValueError unless the value is one of the words."""
        if not (isinstance(value, str) and value in self.words):
            raise ValueError(f"{self.name} must be one of {', '.join(self.words)}, got {value!r}")


@dataclass(frozen=True)
class PartLine:
    """One line of the bill of parts.

    `value` as the circuit has it [`unit`]; `volts` and `watts` are the worst over both sequences at 110 % of the
    nominal voltage [V rms], [W]; `volts_peak` is √2 times `volts`.
    """

    name: str
    kind: str
    value: float
    unit: str
    between: tuple[str, str]
    role: str
    volts: float
    volts_peak: float
    watts: float


@dataclass(frozen=True)
class Reading:
    """An indicator solved on a supply. Volts are rms; arrays have the batch shape of supply and part values."""

    indicator: Indicator
    supply: Supply
    solution: Solution

    @cached_property
    def lamp_phasors(self) -> tuple[ComplexArray, ...]:
        """Voltage across each lamp, unloaded [V rms]; a lamp to a floating group, or at a broken end, has 0 V."""
        nodes = {*self.solution.network.nodes, *self.solution.sources}
        volts = (
            self.solution.voltage(lamp.a, lamp.b) if {lamp.a, lamp.b} <= nodes else np.zeros((), dtype=complex)
            for lamp in self.indicator.lamps
        )
        return tuple(np.broadcast_to(np.where(np.isnan(v), 0, v), self.solution.shape) for v in volts)

    @property
    def lamp_volts(self) -> tuple[FloatArray, ...]:
        """Magnitude of `lamp_phasors` [V rms], in the order of `Indicator.lamps`."""
        return tuple(np.abs(v) for v in self.lamp_phasors)

    @property
    def lamp_states(self) -> tuple[NDArray[np.str_], ...]:
        """State of each lamp: ``dark``, ``unsure`` or ``lit`` by its own strike window."""
        pairs = zip(self.indicator.lamps, self.lamp_volts, strict=True)
        return tuple(lamp.state(v) for lamp, v in pairs)

    @property
    def conclusion(self) -> str:
        """What a person who knows the instructions would say of a single (not batched) reading."""
        volts = tuple(float(v) for v in self.lamp_volts)
        return self.indicator.conclude(tuple(str(s) for s in self.lamp_states), volts)


def reactance(capacitance: float, frequency: float) -> float:
    """Xc = 1/(2π·f·C) [Ω] of a capacitance [F] at a frequency [Hz].

    ValueError unless both are one positive and finite number each, and the reactance is finite too.

    >>> round(reactance(4.7e-9, 50))
    677255
    """
    c, f = positive(capacitance, "capacitance", "F"), positive(frequency, "frequency", "Hz")
    with np.errstate(all="ignore"):
        ohms = np.asarray(1 / (2 * np.pi * f * c))
    if ohms.ndim or not 0 < ohms < np.inf:
        got = f"{capacitance!r} and {frequency!r}"
        raise ValueError(f"capacitance [F] and frequency [Hz] must be one number each that give a reactance, got {got}")
    return float(ohms)


class Indicator(ABC):
    """Base of all indicators; a subclass is a frozen dataclass of its part values in a module of its own.

    A subclass names itself and its parts, says how it is sized, and gives its network, lamps and conclusion; the
    rest follows. `line_voltage` [V rms, line to line] and `frequency` [Hz] are the nominal ones it is built for.
    """

    name: ClassVar[str]
    title: ClassVar[str]
    probes: ClassVar[tuple[str, ...]] = CONDUCTORS
    inputs: ClassVar[tuple[Given | Choice, ...]]
    roles: ClassVar[dict[str, str]]
    resistances: ClassVar[tuple[str, ...]]
    """Field names that `with_preferred_values` rounds."""
    also_needed: ClassVar[tuple[str, ...]] = ()
    """Parts that the network lacks, each in a sentence for the sheet: reverse diodes and the like."""

    no_parts: ClassVar[tuple[str, ...]] = ()
    """Elements that nobody buys: a person's body, the winding resistance of a coil."""

    line_voltage: float
    frequency: float

    def __post_init__(self) -> None:
        units = {given.name: given.unit for given in self.inputs if isinstance(given, Given)}
        may_be_zero = {given.name for given in self.inputs if isinstance(given, Given) and given.low == 0}
        for field, unit in (units | dict.fromkeys(self.resistances, "Ω")).items():
            value = getattr(self, field)
            if value is not None and not (value == 0 and field in may_be_zero):
                positive(value, field, unit)
        for choice in (given for given in self.inputs if isinstance(given, Choice)):
            choice.check(getattr(self, choice.name))

    @classmethod
    def check_given(cls, values: Mapping[str, object]) -> None:
        """Refuse what a builder cannot give, before anything is worked out with it.

        Raises
        ------
        ValueError
            Names the argument, its unit or the accepted words, and the value.
        """
        for given in cls.inputs:
            if given.name in values:
                given.check(values[given.name])

    @abstractmethod
    def network(self) -> Network:
        """Its parts between named nodes, the probes L1, L2, L3 (and N, PE where used) included."""

    @property
    @abstractmethod
    def lamps(self) -> tuple[Lamp, ...]:
        """Where its lamps sit."""

    @abstractmethod
    def conclude(self, states: tuple[str, ...], volts: tuple[float, ...]) -> str:
        """``123``, ``132``, ``fault``, ``nothing`` or ``can't tell`` from lamp states and volts [V rms]."""

    def after_swap(self, first: tuple[str, ...], second: tuple[str, ...], said: tuple[str, str]) -> str:
        """Conclusion after a second reading with two conductors exchanged (then the reading must change over).

        `first`, `second`: lamp states of the two readings; `said`: their single conclusions.
        """
        if set(said) == set(SEQUENCES):
            return said[0]
        if said[0] == said[1] == "nothing":
            return "nothing"
        same_both_times = said[0] in SEQUENCES and said[0] == said[1]
        return "fault" if same_both_times or "fault" in said else "can't tell"

    @abstractmethod
    def figures(self) -> dict[str, float]:
        """Sizing results for the sheet, keyed with their unit, such as ``reactance_ohm``."""

    def safety(self) -> dict[str, Any]:
        """Verdict for the sheet where a person is part of the circuit (``safe`` and its figures); empty elsewhere."""
        return {}

    def safety_elsewhere(self) -> dict[str, Any]:
        """Figures beside `safety` for other earthings than the star point's; empty where no person is in it."""
        return {}

    def supply(self, sequence: str = "123") -> Supply:
        """The nominal supply in one sequence."""
        return Supply(line_voltage=self.line_voltage, frequency=self.frequency, sequence=sequence)

    def on(
        self, supply: Supply, *, network: Network | None = None, sources: Mapping[str, ArrayLike] | None = None
    ) -> Reading:
        """Solve on a supply; `network` replaces the own one (tolerances, faults), `sources` the supply's node volts."""
        known = supply.sources() if sources is None else sources
        solved = (network or self.network()).solve(known, frequency=supply.frequency)
        return Reading(self, supply, solved)

    def resized(self, changes: Mapping[str, float | str]) -> Self:
        """Sized afresh from its own givens (`inputs`, kept as fields of the same names) with some changed."""
        givens: dict[str, Any] = {given.name: getattr(self, given.name) for given in self.inputs}
        return type(self).sized(**(givens | dict(changes)))  # type: ignore[attr-defined, no-any-return]

    def with_preferred_values(self, series: str = "E24") -> Self:
        """The same circuit with its resistors rounded to the nearest value of a series (IEC 60063)."""
        exact = {field: getattr(self, field) for field in self.resistances}
        rounded = {field: float(nearest(ohms, series)) for field, ohms in exact.items() if ohms}
        return replace(self, **rounded)  # type: ignore[type-var]

    def parts(self) -> tuple[PartLine, ...]:
        """Bill of parts with the worst volts [V rms] and watts [W] over both sequences at 110 % voltage."""
        network = self.network()
        readings = [self.on(self.supply(s)).solution for s in SEQUENCES]
        lines = []
        for e in network.elements:
            volts = OVERVOLTAGE * max(float(np.abs(r.voltage(e.a, e.b))) for r in readings)
            watts = OVERVOLTAGE**2 * max(float(r.power(e.name).real) for r in readings)
            lines.append(
                PartLine(
                    name=e.name, kind=e.kind, value=float(np.asarray(e.value)), unit=UNIT_OF_KIND[e.kind],
                    between=(e.a, e.b), role=self.roles[e.name], volts=volts,
                    volts_peak=float(np.sqrt(2) * volts), watts=max(watts, 0.0),
                )
            )  # fmt: skip
        return tuple(lines)


class SingleLamp(Indicator):
    """An indicator whose one lamp is lit for one sequence and dark for the other.

    One reading cannot tell: nearly every wrong connection lights the lamp as the one sequence does, and no supply
    leaves it dark as the other does. Two readings, before and after exchanging two conductors, can.
    """

    lit_says: ClassVar[str]
    """Sequence that lights the lamp."""

    def conclude(self, states: tuple[str, ...], volts: tuple[float, ...]) -> str:
        """Never more than ``can't tell`` from one reading."""
        return "can't tell"

    def after_swap(self, first: tuple[str, ...], second: tuple[str, ...], said: tuple[str, str]) -> str:
        """Lit then dark, or dark then lit, tells the sequence; lit twice is a fault; dark twice is nothing."""
        other = SEQUENCES[1 - SEQUENCES.index(self.lit_says)]
        known = {
            (LIT, DARK): self.lit_says,
            (DARK, LIT): other,
            (LIT, LIT): "fault",
            (DARK, DARK): "nothing",
        }
        return known.get((first[0], second[0]), "can't tell")
