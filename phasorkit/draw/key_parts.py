"""Key drawings of the lessons on choosing parts and on lamps that switch."""

from __future__ import annotations

from dataclasses import replace

from phasorkit.analysis.design import Design
from phasorkit.analysis.lamp_in_time import lamp_course
from phasorkit.analysis.purchase import purchase
from phasorkit.draw.bands import bands_picture
from phasorkit.draw.lamp_time import lamp_time
from phasorkit.draw.picture import Picture
from phasorkit.draw.purchase import purchase_picture
from phasorkit.indicators import Indicator
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.indicators.double_rc_bridge import DoubleRcBridge
from phasorkit.indicators.led_pair import LedPair
from phasorkit.network import Element, Network
from phasorkit.switching import GlowLamp, SwitchingLamp
from phasorkit.time_course import TimeCourse
from phasorkit.transient import steady_state

ALONE = (230.0, 50.0, 220e3)
"""A glow lamp by itself: volts [V rms], frequency [Hz], its series resistor [Ω]."""


def drawings() -> dict[str, Picture]:
    """Drawings by file name, at 400 V and 50 Hz; the lamp by itself at 230 V.

    >>> sorted(drawings())[:2]
    ['lamp_alone.svg', 'lamp_held.svg']
    """
    nominal = {"frequency": 50.0, "line_voltage": 400.0}
    bridge = DividerBridge.sized(capacitance=4.7e-9, **nominal)
    double = DoubleRcBridge.sized(capacitance=4.7e-9, **nominal)
    bare = replace(double, series_resistance=0.0)
    pair = LedPair.sized(capacitance=47e-9, **nominal)
    return {
        "lamp_alone.svg": alone(),
        "lamp_held.svg": _in_time(double, "132", close=True),
        "lamp_led_pair.svg": _in_time(pair, "123"),
        "lamp_pulse.svg": _in_time(bare, "132", close=True),
        "parts_bands.svg": bands_picture(390e3, tolerance=1),
        "parts_ladder.svg": purchase_picture(purchase(Design(exact=bridge, pieces=3))),
    }


def alone_course() -> TimeCourse:
    """A glow lamp ``H1`` and its series resistor on a sine that starts at zero: the steady state.

    >>> round(1e3 * alone_course().switchings("H1")[0][0], 2)
    0.89
    """
    volts, hertz, ohms = ALONE
    lamp = SwitchingLamp("H1", "a", "N", GlowLamp())
    network = Network((Element("R1", "R", ohms, "L1", "a"),))
    return steady_state(network, {"L1": -1j * volts, "N": 0}, frequency=hertz, lamps=(lamp,))


def alone() -> Picture:
    """The lamp by itself, drawn in time."""
    volts, hertz, _ = ALONE
    return lamp_time(alone_course(), frequency=hertz, free={"H1": -1j * volts})


def _in_time(indicator: Indicator, sequence: str, *, close: bool = False) -> Picture:
    supply = indicator.supply(sequence)
    solution = indicator.on(supply).solution
    free = {lamp.name: complex(solution.voltage(lamp.a, lamp.b)) for lamp in indicator.lamps}
    return lamp_time(lamp_course(indicator, supply), frequency=indicator.frequency, free=free, close=close)
