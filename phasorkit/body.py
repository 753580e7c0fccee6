"""The human body as a path for current: impedance tables, and the network that stands in for it in a measurement.

For teaching and for estimates. No table makes a circuit safe: a verdict in this package takes a body of 0 Ω, and the
standard in force, the local code and a licensed person go before these numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import number, positive
from phasorkit.network import Element, Solution
from phasorkit.phasors import ComplexArray, FloatArray

PERCENTILES = (5.0, 50.0, 95.0)
"""Parts of a population [%] whose impedance is not above the value printed."""


@dataclass(frozen=True)
class ImpedanceTable:
    """Total body impedance hand to hand, large contact areas, 50/60 Hz, as a standard prints it.

    Parameters
    ----------
    source, note : str
        Where it stands, and what to know before using it.
    volts : tuple of float
        Touch voltages [V rms], rising.
    ohms : tuple of (float, float, float)
        Impedance [Ω] not exceeded by 5, 50 and 95 % of people, one triple per voltage.

    Notes
    -----
    A path from hand to both feet is somewhat lower, from a fingertip (small contact area) very much higher.
    """

    source: str
    note: str
    volts: tuple[float, ...]
    ohms: tuple[tuple[float, float, float], ...]

    def impedance(self, touch_voltage: ArrayLike, *, percentile: float = 50.0) -> FloatArray:
        """Total body impedance [Ω] at a touch voltage.

        Parameters
        ----------
        touch_voltage : float or array, shape (...)
            Across the body [V rms], up to the largest of the table. Below the smallest, the smallest voltage's value
            is given: the true one is higher.
        percentile : float
            Part of people [%] at or below the impedance, 5 to 95; the low one is the cautious one.

        Returns
        -------
        array, shape (...)
            Between voltages linear in log Ω over log V; between percentiles as a log-normal spread (our own choice of
            interpolation; the printed values come back exactly).

        Raises
        ------
        ValueError
            Voltage not positive or beyond the table, percentile outside 5 to 95.

        Examples
        --------
        >>> dry = IMPEDANCE_TABLES["2005 dry"]
        >>> round(float(dry.impedance(225))), round(float(dry.impedance(225, percentile=5)))
        (1225, 775)
        """
        volts = positive(touch_voltage, "touch_voltage", "V")
        if np.any(volts > self.volts[-1]):
            raise ValueError(
                f"touch_voltage must be at most {self.volts[-1]:g} V for this table, got {touch_voltage!r}"
            )
        if not PERCENTILES[0] <= number(percentile) <= PERCENTILES[-1]:
            raise ValueError(f"percentile must lie from 5 to 95 [%], got {percentile!r}")
        spread = [NormalDist().inv_cdf(p / 100) for p in PERCENTILES]
        wanted = NormalDist().inv_cdf(percentile / 100)
        column = [np.interp(wanted, spread, np.log(row)) for row in self.ohms]
        return np.asarray(np.exp(np.interp(np.log(volts), np.log(self.volts), column)))


IMPEDANCE_TABLES = {
    "1994 dry": ImpedanceTable(
        "IEC 479-1:1994, Table 1, from memory",
        "Superseded: IEC TS 60479-1 gives lower values from 2005 on.",
        (25, 50, 75, 100, 125, 220, 700, 1000),
        (
            (1750, 3250, 6100), (1450, 2625, 4375), (1250, 2200, 3500), (1200, 1875, 3200),
            (1125, 1625, 2875), (1000, 1350, 2125), (750, 1100, 1550), (700, 1050, 1500),
        ),
    ),
    "2005 dry": ImpedanceTable(
        "IEC TS 60479-1:2005, Table 1 (dry), from memory",
        "See the edition in force.",
        (25, 50, 75, 100, 125, 150, 175, 200, 225, 400, 500, 700, 1000),
        (
            (1750, 3250, 6100), (1375, 2500, 4600), (1125, 2000, 3600), (990, 1725, 3125), (900, 1550, 2675),
            (850, 1400, 2350), (825, 1325, 2175), (800, 1275, 2050), (775, 1225, 1900), (700, 950, 1275),
            (625, 850, 1150), (575, 775, 1050), (575, 775, 1050),
        ),
    ),
    "2005 water-wet": ImpedanceTable(
        "IEC TS 60479-1:2005, Table 2 (water-wet), from memory",
        "See the edition in force. Salt water gives less than half of the dry values at low voltage.",
        (25, 50, 75, 100, 125, 150, 175, 200, 225, 400, 500, 700, 1000),
        (
            (1175, 2175, 4100), (1100, 2000, 3675), (1025, 1825, 3275), (975, 1675, 2950), (900, 1550, 2675),
            (850, 1400, 2350), (825, 1325, 2175), (800, 1275, 2050), (775, 1225, 1900), (700, 950, 1275),
            (625, 850, 1150), (575, 775, 1050), (575, 775, 1050),
        ),
    ),
}  # fmt: skip
"""Tables by edition and skin: ``1994 dry``, ``2005 dry``, ``2005 water-wet``."""

# --- the measuring network -------------------------------------------------------------------------------

SKIN_RESISTANCE, SKIN_CAPACITANCE, INNER_RESISTANCE = 1500.0, 0.22e-6, 500.0
"""Body model of the measuring network: 1500 Ω beside 0.22 µF, then 500 Ω (IEC 60990, Fig. 3, from memory)."""

WEIGHT_RESISTANCE, WEIGHT_CAPACITANCE = 10e3, 22e-9
"""Low-pass across the 500 Ω that weights by perception (IEC 60990, Fig. 4, from memory)."""


def measuring_network(a: str, b: str, *, weighted: bool = False) -> tuple[Element, ...]:
    """The measuring network of IEC 60990 between two nodes, for `Network.with_element`.

    Parameters
    ----------
    a, b : str
        Where the hand is, and where the current goes.
    weighted : bool
        With the low-pass that weights the current by perception and reaction.

    Examples
    --------
    >>> from phasorkit.network import Network
    >>> solved = Network(measuring_network("pad", "0")).solve({"pad": 1.0, "0": 0.0}, frequency=50)
    >>> round(float(abs(touch_current(solved))) * 1e3, 2)
    0.5
    """
    body = (
        Element("RS", "R", SKIN_RESISTANCE, a, "body"),
        Element("CS", "C", SKIN_CAPACITANCE, a, "body"),
        Element("RI", "R", INNER_RESISTANCE, "body", b),
    )
    if not weighted:
        return body
    return (
        *body,
        Element("RF", "R", WEIGHT_RESISTANCE, "body", "weighted"),
        Element("CF", "C", WEIGHT_CAPACITANCE, "weighted", b),
    )


def touch_current(solution: Solution) -> ComplexArray:
    """Touch current that the measuring network shows [A rms]: its output voltage over 500 Ω.

    Parameters
    ----------
    solution : Solution
        Of a network that holds the elements of `measuring_network`; a KeyError names what is missing.
    """
    inner = solution.network.element("RI")
    out = "weighted" if "weighted" in solution.network.nodes else inner.a
    return np.asarray(solution.voltage(out, inner.b) / INNER_RESISTANCE)


def body_current(touch_voltage: ArrayLike, *, table: str = "2005 dry", percentile: float = 5.0) -> FloatArray:
    """Current through a body at a touch voltage that stands whatever flows [A rms].

    Parameters
    ----------
    touch_voltage : float or array, shape (...)
        [V rms].
    table : str
        One of `IMPEDANCE_TABLES`.
    percentile : float
        As in `ImpedanceTable.impedance`; the low one is the cautious one.

    Raises
    ------
    ValueError
        As in `ImpedanceTable.impedance`. KeyError for an unknown table.

    Examples
    --------
    >>> round(float(body_current(225)) * 1e3)
    290
    """
    if table not in IMPEDANCE_TABLES:
        raise KeyError(f"table must be one of {', '.join(IMPEDANCE_TABLES)}, got {table!r}")
    impedance = IMPEDANCE_TABLES[table].impedance(touch_voltage, percentile=percentile)
    return np.asarray(np.asarray(touch_voltage, dtype=float) / impedance)
