"""National habits that go with a supply: one setting for volts, hertz, circuit symbols and conductor colours."""

from __future__ import annotations

import re
from dataclasses import dataclass

from phasorkit.conductors import COLOURS, SYSTEMS, ConductorColours
from phasorkit.quantities import positive
from phasorkit.supply import Supply

NORTH_AMERICA = ("United States", "Canada")
"""Regions whose circuit diagrams use the symbols usual there (zigzag resistor); elsewhere those of IEC 60617."""

_EXAMPLES = "'400 V 50 Hz', '208 V 60 Hz' or '415 V 50 Hz, Australia'"
_WRITTEN = re.compile(r"\s*(?P<volts>\S+) V\s+(?P<hertz>\S+) Hz\s*(?:,\s*(?P<region>.+?)\s*)?")


@dataclass(frozen=True, kw_only=True)
class Setting:
    """What changes when a lesson moves to another country.

    Parameters
    ----------
    supply : Supply
        Line voltage [V rms] and frequency [Hz], sequence 1-2-3.
    symbols : "IEC" or "NA"
        Style of the circuit symbols, as drawings and apps take it.
    colours : ConductorColours
        Usual colours of fixed wiring there; a habit, never a proof.
    """

    supply: Supply
    symbols: str
    colours: ConductorColours

    @property
    def line_voltage(self) -> float:
        """Line to line [V rms]."""
        return float(self.supply.line_voltage)  # type: ignore[arg-type]

    @property
    def frequency(self) -> float:
        """Of the supply [Hz]."""
        return float(self.supply.frequency)  # type: ignore[arg-type]

    @property
    def colour_words(self) -> str:
        """The colours as a phrase: ``"L1 brown, L2 black, L3 grey, N blue, PE green-yellow"``."""
        return ", ".join(f"{name} {self.colours[name]}" for name in ("L1", "L2", "L3", "N", "PE"))


def setting_of(system: str) -> Setting:
    """The setting that a text names: volts and hertz, and the habits that go with them.

    Parameters
    ----------
    system : str
        Line-to-line voltage [V rms] and frequency [Hz], such as ``"400 V 50 Hz"``; after a comma a name out of
        `phasorkit.conductors.COLOURS`, where the usual one for that voltage and frequency is not the right one.

    Raises
    ------
    ValueError
        Text that reads otherwise, values out of range, unknown region.

    Notes
    -----
    Without a region, up to 55 Hz means Europe. Above, 600 V means Canada (a nominal voltage there only) and the rest
    the United States, whose colours change above 240 V (`phasorkit.conductors`).

    Examples
    --------
    >>> setting = setting_of("208 V 60 Hz")
    >>> setting.line_voltage, setting.frequency, setting.symbols
    (208.0, 60.0, 'NA')
    >>> setting.colour_words
    'L1 black, L2 red, L3 blue, N white, PE green'
    >>> setting_of("415 V 50 Hz, Australia").colours["L2"]
    'white'
    """
    read = _WRITTEN.fullmatch(str(system))
    if read is None:
        raise ValueError(f"SYSTEM must read like {_EXAMPLES}, got {system!r}")
    volts = positive(read["volts"], "V", name="SYSTEM, line voltage", low=1, high=1000)
    hertz = positive(read["hertz"], "Hz", name="SYSTEM, frequency", low=10, high=1000)
    region = read["region"] or _usual(volts, hertz)
    if region not in COLOURS:
        raise ValueError(f"SYSTEM: region must be one of {', '.join(COLOURS)}, got {region!r}")
    colours = COLOURS[region]
    symbols = "NA" if colours.region in NORTH_AMERICA else "IEC"
    return Setting(supply=Supply(line_voltage=volts, frequency=hertz), symbols=symbols, colours=colours)


def _usual(volts: float, hertz: float) -> str:
    if hertz <= 55:
        return "Europe"
    if volts == SYSTEMS["347/600 V"].line_voltage:
        return "Canada"
    return "United States, 120/208 V" if volts <= 240 else "United States, 277/480 V"
