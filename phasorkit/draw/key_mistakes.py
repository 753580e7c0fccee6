"""Key drawings of the lessons on wrong connections and on margins."""

from __future__ import annotations

from phasorkit.analysis.cloud import cloud
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.second_reading import two_readings
from phasorkit.draw.cloud import cloud_picture
from phasorkit.draw.pairs import pairs_picture
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import scale_drawing
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.indicators.twin_bridge import TwinBridge
from phasorkit.indicators.two_lamp_capacitor import TwoLampCapacitor


def drawings() -> dict[str, Picture]:
    """Drawings by file name, at 400 V and 50 Hz.

    >>> sorted(drawings())[:2]
    ['margins_c1_up.svg', 'margins_cloud.svg']
    """
    bridge = DividerBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    twin = TwinBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    star = TwoLampCapacitor.sized(capacitance=33e-9, frequency=50, line_voltage=400)
    off = bridge.network().with_value("C1", 1.2 * bridge.capacitance)
    built = Margins(voltage=(1, 1), frequency=(1, 1), negative=0.01)
    heading = "Resistors ± 1 %, capacitor ± 5 %, unbalance up to 1 %, 400 V."
    return {
        "margins_c1_up.svg": scale_drawing(bridge.on(bridge.supply(), network=off)),
        "margins_cloud.svg": cloud_picture(cloud(bridge, margins=built, samples=300), heading=heading),
        "wrong_bridge_neutral_l1.svg": scale_drawing(bridge.on(bridge.supply().neutral_on("L1"))),
        "wrong_two_lamps_open_l2.svg": scale_drawing(star.on(star.supply().without("L2"))),
        "wrong_lead_l2_broken.svg": _pairs((bridge, twin, star), "lead broken", "L2", ("L1", "L2")),
        "wrong_neutral_l3_fools.svg": _pairs((bridge, twin, star), "on neutral", "L3", ("L2", "L3")),
    }


def _pairs(
    testers: tuple[DividerBridge, TwinBridge, TwoLampCapacitor], mistake: str, at: str, exchange: tuple[str, str]
) -> Picture:
    pairs = [two_readings(t, mistake=mistake, at=at, exchange=exchange) for t in testers]
    return pairs_picture(pairs, mistake=mistake, at=at, exchange=exchange)
