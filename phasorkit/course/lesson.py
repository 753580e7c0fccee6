"""What the lessons' own cells need: the one switch at their top."""

from __future__ import annotations

from phasorkit.quantities import positive
from phasorkit.supply import Supply

SYSTEMS = ("400 V 50 Hz", "208 V 60 Hz", "480 V 60 Hz")
"""Settings of the switch that every lesson is run with; any other voltage and frequency will do too."""


def supply_of(system: str) -> Supply:
    """The supply that a lesson's switch names, in the sequence 1-2-3.

    Parameters
    ----------
    system : str
        Line-to-line voltage [V rms] and frequency [Hz], such as ``"400 V 50 Hz"``.

    Raises
    ------
    ValueError
        Text that is not a voltage followed by a frequency, or values out of range.

    Examples
    --------
    >>> supply = supply_of("208 V 60 Hz")
    >>> supply.line_voltage, supply.frequency
    (208.0, 60.0)
    """
    words = str(system).split()
    if len(words) != 4 or (words[1], words[3]) != ("V", "Hz"):
        raise ValueError(f"SYSTEM must read like {SYSTEMS[0]!r} or {SYSTEMS[1]!r}, got {system!r}")
    return Supply(
        line_voltage=positive(words[0], "V", name="SYSTEM, line voltage", low=1, high=1000),
        frequency=positive(words[2], "Hz", name="SYSTEM, frequency", low=10, high=1000),
    )
