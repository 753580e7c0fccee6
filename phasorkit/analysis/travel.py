"""The tester as built on other systems than the one it was sized for: does it still tell, and do its parts bear it?"""

from __future__ import annotations

from dataclasses import dataclass, replace

from phasorkit.analysis.lamp_in_time import in_time_table
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.ratings import DERATING, ratings
from phasorkit.analysis.stress import stresses
from phasorkit.analysis.tolerance import tolerance_table
from phasorkit.indicators.base import Indicator
from phasorkit.lamps import DARK, LIT

SYSTEMS = ((208.0, 60.0), (240.0, 60.0), (400.0, 50.0), (415.0, 50.0), (480.0, 60.0), (600.0, 60.0), (690.0, 50.0))
"""Line volts [V rms] and hertz of usual systems (IEC 60038 and North American practice, from memory)."""

HOLDS = "holds"


@dataclass(frozen=True)
class TravelRecord:
    """One system: the highest volts of a lamp that should be dark and the lowest of one that should be lit [V rms].

    Both within tolerance. `part` bears most of what was chosen for it, `share` [1] of its volts or its half of the
    rated watts. `verdict` is ``holds``, or says what does not; a lamp that gets too little current is not lit either.
    """

    line_voltage: float
    frequency: float
    dark_highest: float
    lit_lowest: float
    part: str
    share: float
    verdict: str


def travel_table(indicator: Indicator, *, margins: Margins | None = None) -> tuple[TravelRecord, ...]:
    """One record for each of `SYSTEMS`; parts and ratings are those of the indicator, whatever the system.

    Parameters
    ----------
    indicator : Indicator
        As built, with lamps that switch: ValueError for filament lamps and plain resistors, which have no dark lamp.
    margins : Margins, optional
        Default as for `tolerance_table`, around the volts and hertz of each system.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> for r in travel_table(bridge)[2:5]:
    ...     print(f"{r.line_voltage:.0f} V {r.frequency:.0f} Hz: {r.dark_highest:.0f} V, {r.verdict}")
    400 V 50 Hz: 31 V, holds
    415 V 50 Hz: 32 V, too much for C1
    480 V 60 Hz: 82 V, dark lamp may light; too much for R1, C1
    """
    if {lamp.name for lamp in indicator.lamps} & {e.name for e in indicator.network().elements}:
        raise ValueError(f"indicator must have lamps that switch, got {indicator.name}, whose lamps are resistors")
    rated = {r.name: (r.rated_volts, r.rated_watts) for r in ratings(indicator)}
    at_home = {(r.sequence, r.lamp): r.state for r in tolerance_table(indicator, margins=margins)}
    there = (replace(indicator, line_voltage=v, frequency=f) for v, f in SYSTEMS)  # type: ignore[type-var]
    return tuple(_record(moved, rated, at_home, margins) for moved in there)


def _record(
    there: Indicator,
    rated: dict[str, tuple[float | None, float | None]],
    at_home: dict[tuple[str, str], str],
    margins: Margins | None,
) -> TravelRecord:
    """One system; what should be dark and what lit is what the tester shows at home."""
    rows = tolerance_table(there, margins=margins)
    dark = max((r.highest for r in rows if at_home[r.sequence, r.lamp] == DARK), default=0.0)
    lit = min((r.lowest for r in rows if at_home[r.sequence, r.lamp] == LIT), default=0.0)
    need = stresses(there, faulty=bool(there.safety()))
    shares = {
        name: max(need[name].volts / v if v else 0.0, need[name].watts / (DERATING * w) if w else 0.0)
        for name, (v, w) in rated.items()
    }
    part = max(shares, key=lambda name: shares[name])
    lamp = there.lamps[0]
    faint = any(at_home[r.sequence, r.lamp] == LIT != r.state for r in in_time_table(there))
    over = [name for name, share in shares.items() if share > 1 + 1e-6]
    wrong = [
        *(["dark lamp may light"] if dark >= lamp.dark_below else []),
        *(["lit lamp may stay dark"] if faint or lit <= lamp.lit_above else []),
        *([f"too much for {', '.join(over)}"] if over else []),
        *(["touch current above its limit"] if there.safety().get("safe") is False else []),
    ]
    verdict = "; ".join(wrong) or HOLDS
    return TravelRecord(there.line_voltage, there.frequency, dark, lit, part, shares[part], verdict)
