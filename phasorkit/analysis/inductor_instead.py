"""Why not an inductor with a glow lamp: the henries, the turns and the watts it would take."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from phasorkit._checks import single

MU0 = 4e-7 * pi
"""Magnetic constant [H/m]."""

GLOW_AMPERE = 0.5e-3
"""Current of a small glow lamp [A rms] (common practice, 0.3 to 1 mA)."""

COPPER = 1.72e-8
"""Resistivity of annealed copper at 20 °C [Ω·m] (IEC 60028)."""


@dataclass(frozen=True)
class Core:
    """A closed iron core: cross-section [m²], path length [m], relative permeability, length of one turn [m].

    The default is a small mains transformer core of laminated iron (common practice): 16 mm × 16 mm, 96 mm round, with
    a relative permeability of some 2000 at the low induction it would have here.
    """

    area: float = 256e-6
    path: float = 96e-3
    permeability: float = 2000.0
    turn: float = 0.1

    def __post_init__(self) -> None:
        for name, unit in (("area", "m²"), ("path", "m"), ("permeability", "1"), ("turn", "m")):
            single(getattr(self, name), name, unit)

    @property
    def henry_per_turn_squared(self) -> float:
        """Inductance of one turn [H]: µ0·µr·A/l."""
        return MU0 * self.permeability * self.area / self.path


@dataclass(frozen=True)
class InductorRecord:
    """The inductor that takes the capacitor's place, at the same impedance or at the size that is sold.

    `inductance` [H], `turns` on the core, `wire` [m] of 0.05 mm copper and its `winding_ohm` [Ω]; `watts` is what the
    three resistors of the bridge then take together on the nominal supply, `ampere` the current of the R-L leg [A rms];
    `resonance` is where 200 pF of winding capacitance tunes the coil [Hz].
    """

    inductance: float
    resistance: float
    turns: float
    wire: float
    winding_ohm: float
    ampere: float
    watts: float
    resonance: float


WIRE_AREA = pi * (0.05e-3 / 2) ** 2
WINDING_CAPACITANCE = 200e-12
"""Of a layered coil of many turns [F] (common practice, 100 pF to 1 nF)."""


def instead_of_capacitor(
    *, capacitance: float, frequency: float, line_voltage: float, core: Core | None = None
) -> InductorRecord:
    """The inductor with the reactance that a capacitor has at this frequency: L = 1/(ω²·C).

    Parameters
    ----------
    capacitance : float
        [F].
    frequency : float
        [Hz].
    line_voltage : float
        Line to line [V rms].
    core : Core, optional

    Raises
    ------
    ValueError
        Values that are not positive and finite.

    Notes
    -----
    With an inductor for C and R = XL/√3 the bridge is dark for 1-3-2 and lit for 1-2-3: the mirror image.

    Examples
    --------
    >>> coil = instead_of_capacitor(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> round(coil.inductance), round(coil.turns, -2)
    (2156, 17900.0)
    """
    omega = 2 * pi * single(frequency, "frequency", "Hz")
    henry = 1 / (omega**2 * single(capacitance, "capacitance", "F"))
    return with_inductor(inductance=henry, frequency=frequency, line_voltage=line_voltage, core=core)


def with_inductor(
    *, inductance: float, frequency: float, line_voltage: float, core: Core | None = None
) -> InductorRecord:
    """What a null bridge around an inductor [H] needs and wastes; arguments and errors as `instead_of_capacitor`.

    The R-L leg takes U/|R + jX| with R = X/√3, that is √3/2·U/X; each resistor stands half the line voltage.

    >>> round(with_inductor(inductance=10, frequency=50, line_voltage=400).watts)
    66
    """
    iron = core or Core()
    henry = single(inductance, "inductance", "H")
    reactance = 2 * pi * single(frequency, "frequency", "Hz") * henry
    volts = single(line_voltage, "line_voltage", "V")
    turns = sqrt(henry / iron.henry_per_turn_squared)
    wire = turns * iron.turn
    return InductorRecord(
        inductance=henry,
        resistance=reactance / sqrt(3),
        turns=turns,
        wire=wire,
        winding_ohm=COPPER * wire / WIRE_AREA,
        ampere=sqrt(3) / 2 * volts / reactance,
        watts=3 * (volts / 2) ** 2 / (reactance / sqrt(3)),
        resonance=1 / (2 * pi * sqrt(henry * WINDING_CAPACITANCE)),
    )


def comparison(*, capacitance: float, frequency: float, line_voltage: float) -> tuple[InductorRecord, ...]:
    """The inductor of equal reactance, then coils of 100, 10 and 1 H: fewer henries, more watts in the resistors.

    A glow lamp is content with some half a milliampere; all the rest is heat. Arguments as `instead_of_capacitor`.
    """
    equal = instead_of_capacitor(capacitance=capacitance, frequency=frequency, line_voltage=line_voltage)
    others = (
        with_inductor(inductance=henry, frequency=frequency, line_voltage=line_voltage) for henry in (100.0, 10.0, 1.0)
    )
    return (equal, *others)
