"""Key drawings of the lessons on the RC shifter and on two lamps."""

from __future__ import annotations

from dataclasses import replace

from phasorkit.analysis.shifter import EARLY, Shifter
from phasorkit.analysis.two_lamps import CAPACITOR, INDUCTOR, LampBox, phase_lamp
from phasorkit.draw.picture import Picture
from phasorkit.draw.shifter import shifter_picture
from phasorkit.draw.two_lamps import lamps_picture


def drawings() -> dict[str, Picture]:
    """Drawings by file name: a shifter on 12 V and 50 Hz with 100 nF, lamp boxes on 400 V and 50 Hz.

    >>> sorted(drawings())[0]
    'shifter_early.svg'
    """
    late = Shifter(resistance=27e3, capacitance=100e-9, volts=12.0, frequency=50.0)
    loaded = Shifter(resistance=470e3, capacitance=4.7e-9, volts=12.0, frequency=50.0)
    return {
        "shifter_late.svg": shifter_picture(late),
        "shifter_early.svg": shifter_picture(replace(late, output=EARLY)),
        "shifter_loaded.svg": shifter_picture(loaded, meter=1e6),
        "two_lamps_123.svg": _box(CAPACITOR, "123", in_series=1),
        "two_lamps_132.svg": _box(CAPACITOR, "132", in_series=1),
        "two_lamps_inductor_123.svg": _box(INDUCTOR, "123", in_series=1),
        "two_lamps_series_123.svg": _box(CAPACITOR, "123", in_series=2),
    }


def _box(kind: str, sequence: str, *, in_series: int) -> Picture:
    box = LampBox(line_voltage=400, frequency=50, lamp=phase_lamp(400, in_series=in_series), kind=kind)
    star = box.star()
    return lamps_picture(box, star.on(star.supply(sequence)))
