"""The loosest tolerance classes with which the indication still holds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from phasorkit.analysis.margins import Margins
from phasorkit.analysis.tolerance import Corners, corners
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.lamps import DARK
from phasorkit.phasors import FloatArray

RESISTOR_CLASSES = (1.0, 2.0, 5.0, 10.0)
CAPACITOR_CLASSES = (1.0, 2.0, 5.0, 10.0, 20.0)
"""Tolerance classes that are sold [±%] (IEC 60062 letters F, G, J, K and M); coils are ordered like capacitors."""


@dataclass(frozen=True)
class ClassRecord:
    """One pair of tolerance classes [±%]: worst volts on a lamp that should be dark, and if the indication holds."""

    resistor: float
    capacitor: float
    dark_highest: float | None
    holds: bool
    loosest: bool


def classes(indicator: Indicator, *, margins: Margins | None = None) -> tuple[ClassRecord, ...]:
    """Every pair of classes that are sold, for resistors and for capacitors (or coils), and which are the loosest.

    The indication holds where, at every corner, each lamp that is dark as built stays below its window, and the two
    readings (before and after exchanging two conductors) still name the sequence; where they do not do so as built,
    there is nothing to hold. A pair is among the loosest if it holds and no looser one does. Arguments as
    `tolerance_table`; of `margins` all but the classes themselves is kept.

    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [(c.resistor, c.capacitor) for c in classes(bridge) if c.loosest]
    [(2.0, 5.0), (5.0, 1.0)]
    """
    given = margins or Margins()
    tried = {
        (r, c): _holds(indicator, replace(given, resistor=r, capacitor=c, inductor=c))
        for r in RESISTOR_CLASSES
        for c in CAPACITOR_CLASSES
    }
    good = [pair for pair, (_, holds) in tried.items() if holds]

    def loosest(pair: tuple[float, float]) -> bool:
        return pair in good and not any(g != pair and g[0] >= pair[0] and g[1] >= pair[1] for g in good)

    return tuple(ClassRecord(*pair, dark, holds, loosest(pair)) for pair, (dark, holds) in tried.items())


def _holds(indicator: Indicator, margins: Margins) -> tuple[float | None, bool]:
    """Highest volts of the lamps that are dark as built, and if the indication holds at every corner."""
    box = corners(indicator, margins)
    built = {s: indicator.on(indicator.supply(s)) for s in SEQUENCES}
    dark = [
        (float(box.high[s][k].max()), lamp.dark_below)
        for s in SEQUENCES
        for k, lamp in enumerate(indicator.lamps)
        if str(built[s].lamp_states[k]) == DARK
    ]
    stays = all(highest < limit for highest, limit in dark)
    tells = _tells(indicator, {s: [np.array(r.lamp_volts)] for s, r in built.items()})
    holds = tells and stays and _tells(indicator, {s: _extremes(box, s) for s in SEQUENCES})
    return max((highest for highest, _ in dark), default=None), holds


def _extremes(box: Corners, sequence: str) -> list[FloatArray]:
    """Sets of lamp volts that are hardest to read: each lamp highest or lowest, by itself and against the others."""
    found = []
    for k in range(len(box.low[sequence])):
        for mine, theirs, pick in ((box.high, box.low, np.argmax), (box.low, box.high, np.argmin)):
            mixed = theirs[sequence].copy()
            mixed[k] = mine[sequence][k]
            others = mixed.sum(axis=0) - mixed[k] + 1.0
            found += [mixed[:, int(pick(mixed[k]))], mixed[:, int(pick(mixed[k] / others))]]
    return found


def _tells(indicator: Indicator, volts: dict[str, list[FloatArray]]) -> bool:
    """Whether every pair of a first and a second reading names the sequence of the first."""
    seen = {s: [_states(indicator, v) for v in sets] for s, sets in volts.items()}
    return all(
        indicator.after_swap(first, second, (said, later)) == s
        for s, other in (SEQUENCES, SEQUENCES[::-1])
        for first, said in seen[s]
        for second, later in seen[other]
    )


def _states(indicator: Indicator, volts: FloatArray) -> tuple[tuple[str, ...], str]:
    values = tuple(float(v) for v in volts)
    states = tuple(str(lamp.state(v)) for lamp, v in zip(indicator.lamps, values, strict=True))
    return states, indicator.conclude(states, values)
