"""R and C in series as a phase shifter: the voltage between P and the common wire, turned against the source."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians, tan
from typing import Self

from phasorkit._checks import number, single
from phasorkit.indicators.base import reactance
from phasorkit.network import Element, Network
from phasorkit.phasors import angle_deg

LATE, EARLY = "across C1", "across R1"
"""Where the output is taken: across the capacitor it comes late, across the resistor early."""

SOUND = "none"
FAULTS = (SOUND, "R1 open", "R1 shorted", "C1 open", "C1 shorted")


@dataclass(frozen=True)
class Turned:
    """What a shifter gives: phasors against the common wire [V rms], with the source at 0°, and the current [A rms].

    `r` and `c` are the volts along R1 and C1 in the direction of the current [V rms].
    """

    source: complex
    output: complex
    r: complex
    c: complex
    ampere: complex

    @property
    def late_deg(self) -> float:
        """How much later the output peaks than the source [degrees]; negative: earlier; 0 where there is no output."""
        if abs(self.output) < 1e-9 * abs(self.source):
            return 0.0
        return -float(angle_deg(self.output / self.source)) + 0.0


@dataclass(frozen=True, kw_only=True)
class Shifter:
    """A resistor and a capacitor in series from A to the common wire `com`, tapped at P.

    Parameters
    ----------
    resistance, capacitance : float
        R1 [Ω], C1 [F].
    volts, frequency : float
        Of the source [V rms], [Hz].
    output : `LATE` or `EARLY`
        Which of the two lies between P and com.

    Raises
    ------
    ValueError
        Values that are not positive and finite, unknown output.

    Examples
    --------
    >>> shifter = Shifter.turning_by(30, capacitance=100e-9, volts=12, frequency=50)
    >>> round(shifter.resistance), round(shifter.turned().late_deg, 6)
    (18378, 30.0)
    """

    resistance: float
    capacitance: float
    volts: float
    frequency: float
    output: str = LATE

    def __post_init__(self) -> None:
        for name, unit in (("resistance", "Ω"), ("capacitance", "F"), ("volts", "V"), ("frequency", "Hz")):
            single(getattr(self, name), name, unit)
        if self.output not in (LATE, EARLY):
            raise ValueError(f"output must be {LATE!r} or {EARLY!r}, got {self.output!r}")

    @classmethod
    def turning_by(
        cls, degrees: float, *, capacitance: float, volts: float, frequency: float, output: str = LATE
    ) -> Self:
        """The shifter whose output is so many degrees late (or early): R = Xc·tan of the angle, or Xc over it.

        Raises
        ------
        ValueError
            An angle that is not between 0° and 90°: one R and one C reach neither.
        """
        if not 0 < number(degrees) < 90:
            raise ValueError(f"degrees must lie between 0° and 90°, both left out, got {degrees!r}")
        xc, slope = reactance(capacitance, frequency), tan(radians(degrees))
        ohms = xc * slope if output == LATE else xc / slope
        return cls(resistance=ohms, capacitance=capacitance, volts=volts, frequency=frequency, output=output)

    @property
    def time_constant(self) -> float:
        """R·C [s]."""
        return self.resistance * self.capacitance

    @property
    def slope(self) -> float:
        """R over Xc, which is the volts of R1 over those of C1: 2π·f·R·C [1]."""
        return 2 * pi * self.frequency * self.time_constant

    def network(self) -> Network:
        """R1 and C1 between A, P and com."""
        first, second = (("R", self.resistance), ("C", self.capacitance))
        if self.output == EARLY:
            first, second = second, first
        ends = ((first, "A", "P"), (second, "P", "com"))
        return Network(tuple(Element(f"{kind}1", kind, value, a, b) for (kind, value), a, b in ends))

    def turned(self, *, fault: str = SOUND, meter: float | None = None) -> Turned:
        """Solve it, with one part faulty or a meter of so many ohms between P and com.

        Raises
        ------
        ValueError
            Unknown fault, or a meter that is not positive [Ω].

        Examples
        --------
        >>> shifter = Shifter(resistance=470e3, capacitance=4.7e-9, volts=12, frequency=50)
        >>> [round(shifter.turned(meter=ohms).late_deg, 1) for ohms in (None, 1e6)]
        [34.8, 25.3]
        """
        if fault not in FAULTS:
            raise ValueError(f"fault must be one of {', '.join(FAULTS)}, got {fault!r}")
        network = self.network()
        name, _, how = fault.partition(" ")
        if fault != SOUND:
            network = network.opened(name) if how == "open" else network.shorted(name)
        if meter is not None:
            network = network.with_element(Element("meter", "R", single(meter, "meter", "Ω"), "P", "com"))
        solved = network.solve({"A": complex(self.volts), "com": 0j}, frequency=self.frequency)
        across = {e.name: (e.a, e.b) for e in self.network().elements}
        r, c = (complex(solved.voltage(*across[part])) for part in ("R1", "C1"))
        ampere = complex(solved.source_current("A"))
        return Turned(complex(self.volts), complex(solved.voltage("P")), r, c, ampere)
