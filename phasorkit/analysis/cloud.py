"""The cloud around the null: where lamps of many testers stand on the phasor plane, and what pushes them there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from phasorkit._checks import number
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.monte_carlo import sample_lamp_phasors
from phasorkit.analysis.tolerance import causes, corners, root_sum_square
from phasorkit.indicators.base import Indicator
from phasorkit.phasors import ComplexArray


@dataclass(frozen=True)
class Push:
    """What one cause by itself does to the lamp at the edge of its margin [V rms].

    `shift` is the way and length at the upper edge; for the unbalance, which may push any way, its length counts.
    """

    name: str
    edge: str
    shift: complex
    volts: float


@dataclass(frozen=True)
class Cloud:
    """One lamp in one sequence: volts [V rms].

    `points` are the lamp's phasors in random copies; `pushes` the causes, largest first. `nominal` is the lamp as
    built; `likely` the root-sum-square limit, `worst` the corner where all push the same way, `typical` what half of
    the copies stay below, `nearly_all` what 999 of 1000 do; `dark_below` is the lower end of the lamp's strike window.
    """

    points: ComplexArray
    pushes: tuple[Push, ...]
    nominal: complex
    likely: float
    worst: float
    typical: float
    nearly_all: float
    dark_below: float


def cloud(
    indicator: Indicator,
    *,
    margins: Margins | None = None,
    samples: int = 1000,
    distribution: str = "uniform",
    seed: int = 1,
    sequence: str = "123",
    lamp: int = 0,
) -> Cloud:
    """Sample, add up and bound what is left on a lamp.

    Parameters
    ----------
    indicator : Indicator
        As built.
    margins : Margins, optional
        Default as for `tolerance_table`.
    samples, distribution, seed
        As for `sample_lamp_volts`.
    sequence : "123" or "132"
    lamp : int
        Place in `Indicator.lamps`.

    Raises
    ------
    ValueError
        As `sample_lamp_volts`; an unknown sequence, a lamp that is not there.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> found = cloud(bridge, margins=Margins(voltage=(1, 1), frequency=(1, 1), negative=0))
    >>> found.pushes[0].name, round(found.pushes[0].volts, 1), round(found.likely, 1)
    ('C1', 8.7, 8.9)
    """
    given = margins or Margins()
    if sequence not in ("123", "132"):
        raise ValueError(f"sequence must be '123' or '132', got {sequence!r}")
    if number(lamp) not in range(len(indicator.lamps)):
        raise ValueError(f"lamp must be 0 to {len(indicator.lamps) - 1}, its place in lamps, got {lamp!r}")
    found = causes(indicator, given, sequence)
    pushes = [Push(n, c.edge, complex(c.upper[lamp]), float(c.volts[lamp])) for n, c in found.items()]
    points = sample_lamp_phasors(
        indicator, margins=given, samples=samples, distribution=distribution, seed=seed
    )[sequence][lamp]  # fmt: skip
    volts = np.abs(points)
    nominal = complex(indicator.on(indicator.supply(sequence)).lamp_phasors[lamp])
    edges = [(complex(c.lower[lamp]), complex(c.upper[lamp])) for c in found.values()]
    return Cloud(
        points=points,
        pushes=tuple(sorted(pushes, key=lambda p: (-round(p.volts, 6), p.name))),
        nominal=nominal,
        likely=root_sum_square(nominal, edges)[1],
        worst=float(corners(indicator, given).high[sequence][lamp].max()),
        typical=float(np.quantile(volts, 0.5)),
        nearly_all=float(np.quantile(volts, 0.999)),
        dark_below=indicator.lamps[lamp].dark_below,
    )
