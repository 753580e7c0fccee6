"""Key drawings of the lessons on phasors and on three-phase supplies."""

from __future__ import annotations

from phasorkit.draw.picture import Picture
from phasorkit.draw.scope import scope
from phasorkit.draw.star import star, supply_waves
from phasorkit.draw.star_delta import star_delta
from phasorkit.draw.turning import turning
from phasorkit.draw.two_arrows import two_arrows, waves_of
from phasorkit.phasors import polar
from phasorkit.supply import Supply

BENCH = (4 + 0j, complex(polar(3, -90)))
"""Two channels of a generator [V rms], the second a quarter of a period later."""


def drawings() -> dict[str, Picture]:
    """Drawings by file name; supplies at 400 V and 50 Hz.

    >>> sorted(drawings())[:2]
    ['phasors_scope.svg', 'phasors_tips.svg']
    """
    a, b = waves_of(*BENCH)
    late = waves_of(4, complex(polar(3, -54)))
    supply = Supply(line_voltage=400, frequency=50)
    l1, l2, l3 = supply_waves(supply)
    r1, r2, r3 = supply_waves(supply.reversed())
    return {
        "phasors_turning.svg": turning((a, b), frequency=50, turned=1 / 12),
        "phasors_tips.svg": two_arrows(*BENCH),
        "phasors_scope.svg": scope(*late, frequency=50, reading=False),
        "three_phase_waves.svg": turning((l1, l2, l3), frequency=50, sides=True),
        "three_phase_star.svg": star(supply),
        "three_phase_star_delta.svg": star_delta(),
        "three_phase_scope_123.svg": scope(l1, l2, frequency=50, star=(l1, l2, l3)),
        "three_phase_scope_132.svg": scope(r1, r2, frequency=50, star=(r1, r2, r3)),
        "three_phase_generator.svg": star(supply, other=supply.reversed()),
    }
