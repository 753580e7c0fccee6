"""The seven circuits, sized for tests."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from reference_rows import Row

from phasorkit.indicators import Indicator, circuit, circuits

NAMES = tuple(circuits())
SMALL = ("divider-bridge", "twin-bridge", "double-rc-bridge", "touch-probe")
"""Those that take a few nanofarad; the stars take 33 nF or 2 H."""


def example(
    name: str, *, line_voltage: float = 400, frequency: float = 50, givens: Mapping[str, Any] | None = None
) -> Indicator:
    """One circuit, exact parts, with some of its givens changed."""
    usual: dict[str, Any] = {"capacitance": 4.7e-9 if name in SMALL else 33e-9}
    if name == "two-lamp-inductor":
        usual = {"inductance": 2.0, "winding": 30.0}
    return circuit(name).sized(**(usual | {"frequency": frequency, "line_voltage": line_voltage} | dict(givens or {})))


def filament_star(name: str = "two-lamp-capacitor", *, line_voltage: float = 400) -> Indicator:
    """A star of real filament lamps, 230 V 15 W."""
    return circuit(name).sized(frequency=50, line_voltage=line_voltage, lamp_voltage=230, lamp_power=15)


def about(rows: list[Row], quantity: str) -> list[Row]:
    """The reference rows on one quantity; a test without rows is a mistake, not a pass."""
    found = [row for row in rows if row.quantity == quantity]
    if not found:
        raise ValueError(f"no reference row on {quantity!r}")
    return found
