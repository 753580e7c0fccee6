"""Circuits for drawing tests only: kinds that the indicators do not hold yet, and all wiring states of three probes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from phasorkit.indicators import Indicator
from phasorkit.lamps import Lamp
from phasorkit.network import Element, Network
from phasorkit.supply import CONDUCTORS, Supply


def wiring_states(supply: Supply) -> Iterator[tuple[str, Supply]]:
    """The 13 wiring states of a three-probe indicator, with their names."""
    yield "right", supply
    for p in CONDUCTORS:
        yield f"open {p}", supply.without(p)
        yield f"neutral {p}", supply.neutral_on(p)
        for q in CONDUCTORS:
            if p != q:
                yield f"doubled {p}={q}", supply.doubled(p, q)


@dataclass(frozen=True, kw_only=True)
class Drawn(Indicator):
    """Any elements and lamps."""

    elements: tuple[Element, ...]
    where: tuple[Lamp, ...]
    title: str = "Test circuit"
    line_voltage: float = 400.0
    frequency: float = 50.0

    inputs: ClassVar = ()
    roles: ClassVar = {}
    resistances: ClassVar = ()

    def network(self) -> Network:
        return Network(self.elements)

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        return self.where

    def conclude(self, states: tuple[str, ...], volts: tuple[float, ...]) -> str:
        return "can't tell"

    def figures(self) -> dict[str, float]:
        return {}


def _r(name: str, value: float, a: str, b: str) -> Element:
    return Element(name, "R", value, a, b)


def _c(name: str, value: float, a: str, b: str) -> Element:
    return Element(name, "C", value, a, b)


C, XC, R = 4.7e-9, 677_255.0, 391_013.4

CIRCUITS = {
    "two lamps": Drawn(
        elements=(_c("C1", C, "L1", "S"), _r("H1", XC, "L2", "S"), _r("H2", XC, "L3", "S")),
        where=(Lamp("H1", "L2", "S"), Lamp("H2", "L3", "S")),
    ),
    "two lamps, inductor": Drawn(
        elements=(
            Element("L1a", "L", XC / 314.159, "L1", "W"), _r("R1", XC / 20, "W", "S"),
            _r("H1", XC, "L2", "S"), _r("H2", XC, "L3", "S"),
        ),
        where=(Lamp("H1", "L2", "S"), Lamp("H2", "L3", "S")),
    ),
    "twin": Drawn(
        elements=(
            _r("R1", R, "L1", "M"), _r("R2", R, "M", "L3"), _r("R3", R, "L3", "P"), _c("C1", C, "P", "L2"),
            _r("R4", R, "L1", "K"), _r("R5", R, "K", "L2"), _r("R6", R, "L2", "Q"), _c("C2", C, "Q", "L3"),
        ),
        where=(Lamp("H1", "M", "P"), Lamp("H2", "K", "Q")),
    ),
    "two capacitors": Drawn(
        elements=(
            _r("R1", R, "L1", "P"), _c("C1", C, "P", "L2"), _c("C2", C, "L1", "Q"), _r("R2", 3 * R, "Q", "L3"),
        ),
        where=(Lamp("H1", "P", "Q"),),
    ),
    "led pair": Drawn(
        elements=(
            _c("C1", C, "L1", "S"), _r("R1", XC, "L2", "A"), _r("R2", XC, "L3", "B"),
            _r("R3", XC / 20, "A", "S"), _r("R4", XC / 20, "B", "S"),
        ),
        where=(Lamp("H1", "A", "S", 2.0, 4.0), Lamp("H2", "B", "S", 2.0, 4.0)),
    ),
    "touch pad": Drawn(
        elements=(_r("R1", 2 * R, "L1", "P"), _r("R2", R, "L2", "T"), _c("C1", C, "T", "P")),
        where=(Lamp("H1", "P", "PE"),),
    ),
}  # fmt: skip
