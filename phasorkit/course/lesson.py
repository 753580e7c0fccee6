"""What the lessons' own cells need: the one switch at their top.

::

    SYSTEM = "400 V 50 Hz"  # or "208 V 60 Hz", "480 V 60 Hz"

    setting = setting_of(SYSTEM)
    supply = setting.supply
    indicator_app("divider-bridge", setting=setting)
    both_sequences(bridge, symbols=setting.symbols)
"""

from __future__ import annotations

from phasorkit.setting import Setting, setting_of
from phasorkit.supply import Supply

__all__ = ["SYSTEMS", "Setting", "setting_of", "supply_of"]

SYSTEMS = ("400 V 50 Hz", "208 V 60 Hz", "480 V 60 Hz")
"""Settings of the switch that every lesson is run with; any other voltage and frequency will do too."""


def supply_of(system: str) -> Supply:
    """The supply that a lesson's switch names, in the sequence 1-2-3: ``setting_of(system).supply``.

    Parameters
    ----------
    system : str
        As `setting_of` reads it: line-to-line voltage [V rms] and frequency [Hz], such as ``"400 V 50 Hz"``.

    Raises
    ------
    ValueError
        Text that reads otherwise, or values out of range.

    Examples
    --------
    >>> supply = supply_of("208 V 60 Hz")
    >>> supply.line_voltage, supply.frequency
    (208.0, 60.0)
    """
    return setting_of(system).supply
