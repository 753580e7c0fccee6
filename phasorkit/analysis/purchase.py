"""One resistor value as it is bought: the piece, how far off it is, and what it does to volts, heat and lamp."""

from __future__ import annotations

from dataclasses import dataclass

from phasorkit.analysis.design import Design
from phasorkit.analysis.ratings import DERATING, MOST_PIECES, RatingRecord, ratings
from phasorkit.indicators.divider_bridge import DividerBridge


@dataclass(frozen=True)
class Purchase:
    """A null bridge with its three resistors made of equal pieces that are sold.

    `exact` is R for `capacitance` [F], `wanted` the exact value of one piece and `piece` what is bought [Ω], `off`
    its relative deviation. `volts` [V rms] and `watts` [W] are what the hardest-pressed piece must bear at 110 % of
    the voltage, in `volts_state` and `watts_state`; `volts_limit` and `watts_limit` what it may (half its rated
    watts). `left` [V rms] stays on the dark lamp of exact parts, against `dark_below`; `lit` [V rms] is the lamp in
    the other sequence. `capacitor` says what C1 must bear and what to buy; `fewest` is how many pieces of this size
    do it, None if none of 1 to 4 does.
    """

    design: Design
    exact: float
    capacitance: float
    wanted: float
    piece: float
    volts: float
    volts_limit: float
    volts_state: str
    watts: float
    watts_limit: float
    watts_state: str
    left: float
    lit: float
    dark_below: float
    capacitor: RatingRecord
    fewest: int | None

    @property
    def off(self) -> float:
        """Deviation of the bought piece from the wanted one [1]."""
        return self.piece / self.wanted - 1

    @property
    def holds(self) -> bool:
        """Whether every piece bears its volts and its heat."""
        return self.volts <= self.volts_limit and self.watts <= self.watts_limit


def purchase(design: Design) -> Purchase:
    """Judge what a design buys.

    Parameters
    ----------
    design : Design
        Of the null bridge with one capacitor, whose three resistors are alike.

    Raises
    ------
    TypeError
        Another circuit.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> found = purchase(Design(exact=bridge))
    >>> found.piece, round(100 * found.off, 1), round(found.left, 2), found.holds, found.fewest
    (390000.0, -0.3, 0.45, False, 3)
    """
    exact, built, n = design.exact, design.bought, design.pieces
    if not isinstance(exact, DividerBridge):
        raise TypeError(f"design must be of a divider-bridge, whose resistors are alike, got one of {exact.name}")
    needs = {r.name: r for r in ratings(built)}
    resistors = [r for r in needs.values() if r.kind == "R"]
    hard = max(resistors, key=lambda r: r.volts)
    hot = max(resistors, key=lambda r: r.watts)
    lamp = built.lamps[0]
    volts = [float(built.on(built.supply(s)).lamp_volts[0]) for s in ("123", "132")]
    limits = design.size.volts, DERATING * design.size.watts
    counts = range(1, MOST_PIECES + 1)
    return Purchase(
        design=design,
        exact=exact.resistance,
        capacitance=exact.capacitance,
        wanted=exact.resistance / n,
        piece=design.each("resistance"),
        volts=hard.volts / n, volts_limit=limits[0], volts_state=f"{hard.name}, {hard.volts_state}",
        watts=hot.watts / n, watts_limit=limits[1], watts_state=f"{hot.name}, {hot.watts_state}",
        left=volts[0], lit=volts[1], dark_below=lamp.dark_below,
        capacitor=next(r for r in needs.values() if r.kind == "C"),
        fewest=next((k for k in counts if hard.volts <= k * limits[0] and hot.watts <= k * limits[1]), None),
    )  # fmt: skip
