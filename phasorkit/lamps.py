"""Lamps as an indicator sees them: a pair of nodes and the voltage at which they light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from phasorkit._checks import number

GLOW, LED = "glow", "LED"
"""Kinds of lamps that switch; a lamp that is part of its network (a filament) does not."""

DARK, UNSURE, LIT = "dark", "unsure", "lit"
"""Lamp states: below the strike window, inside it, above it."""


@dataclass(frozen=True)
class Lamp:
    """A lamp between two nodes, drawing no current until it strikes.

    Parameters
    ----------
    name : str
        Such as ``"H1"`` (IEC 81346 letter for a signal lamp).
    a, b : str
        Its nodes.
    dark_below, lit_above : float
        Strike window [V rms of the unloaded sine]; give one value twice for a lamp whose strike voltage is known.
    kind : "glow" or "LED"
        What it is, for its course in time.

    Raises
    ------
    ValueError
        Unless ``0 < dark_below <= lit_above``, or for an unknown kind.

    Notes
    -----
    The default window of 40 to 90 V is that of small glow lamps (common practice): where a batch or an old lamp
    strikes inside it is not known beforehand.

    Examples
    --------
    >>> Lamp("H1", "M", "P").state([6.5, 65.0, 346.0]).tolist()
    ['dark', 'unsure', 'lit']
    """

    name: str
    a: str
    b: str
    dark_below: float = 40.0
    lit_above: float = 90.0
    kind: str = GLOW

    def __post_init__(self) -> None:
        if self.kind not in (GLOW, LED):
            raise ValueError(f"{self.name}: kind must be one of {GLOW}, {LED}, got {self.kind!r}")
        if not 0 < number(self.dark_below) <= number(self.lit_above) < np.inf:
            raise ValueError(
                f"{self.name}: strike window must be 0 < dark_below <= lit_above [V rms], "
                f"got {self.dark_below!r} to {self.lit_above!r}"
            )

    def state(self, volts: ArrayLike) -> NDArray[np.str_]:
        """Lamp state for an unloaded voltage [V rms], shape (...): ``dark``, ``unsure`` or ``lit``.

        NaN (a floating node) is ``unsure``. ValueError for volts that are no real numbers from 0.
        """
        v = np.asarray(volts)
        if v.dtype.kind not in "iuf" or np.any(v < 0):
            raise ValueError(f"{self.name}: volts must be real and 0 or more [V rms], got {volts!r}")
        return np.where(v < self.dark_below, DARK, np.where(v > self.lit_above, LIT, UNSURE))
