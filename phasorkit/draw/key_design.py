"""Key drawings of the lesson on designs of one's own."""

from __future__ import annotations

from phasorkit.analysis.design import Asked, Design
from phasorkit.analysis.requirements import requirements
from phasorkit.draw.desk import desk_picture
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import scale_drawing
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.indicators.twin_bridge import TwinBridge
from phasorkit.supply import Supply

HEADING = "Twin, first try: 4.7 nF film, quarter-watt resistors, 400 V"


def drawings() -> dict[str, Picture]:
    """Drawings by file name, at 400 V and 50 Hz.

    >>> sorted(drawings())
    ['design_60_on_50.svg', 'design_desk.svg']
    """
    elsewhere = DividerBridge.sized(capacitance=4.7e-9, frequency=60, line_voltage=400)
    twin = TwinBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    first = requirements(Design(exact=twin), Asked(one_reading=True))
    return {
        "design_60_on_50.svg": scale_drawing(elsewhere.on(Supply(line_voltage=400, frequency=50))),
        "design_desk.svg": desk_picture(first, heading=HEADING, rows=len(first) + 1),
    }
