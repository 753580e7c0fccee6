"""Preferred values (IEC 60063), tolerance letters and colour bands (IEC 60062)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import number, positive
from phasorkit.phasors import FloatArray

_E24 = (
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
)  # fmt: skip
SERIES = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")
"""Series of IEC 60063 that are known here; the number counts values per decade."""

TOLERANCE_LETTERS = {"B": 0.1, "C": 0.25, "D": 0.5, "F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0}
"""IEC 60062 tolerance letters [±%]."""

COLOURS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")
_TOLERANCE_COLOURS = {1.0: "brown", 2.0: "red", 0.5: "green", 0.25: "blue", 0.1: "violet", 5.0: "gold", 10.0: "silver"}


def series_values(series: str) -> FloatArray:
    """One decade of a preferred series, from 1 up to below 10.

    Parameters
    ----------
    series : str
        One of `SERIES`.

    Raises
    ------
    ValueError
        Unknown series; the message lists those there are.

    Notes
    -----
    IEC 60063: E24 is a table (its values from 2.7 to 4.7 and 8.2 are not the rounded powers) and E12, E6, E3 are
    every second, fourth and eighth of it; E48, E96, E192 are ``10^(k/n)`` rounded to three digits, with the one
    exception 9.20 in E192 (the power gives 9.19).

    Examples
    --------
    >>> series_values("E6").tolist()
    [1.0, 1.5, 2.2, 3.3, 4.7, 6.8]
    """
    if series not in SERIES:
        raise ValueError(f"series must be one of {', '.join(SERIES)}, got {series!r}")
    count = int(series[1:])
    if count <= 24:
        return np.array(_E24[:: 24 // count]) / 10
    values = np.round(10 ** (np.arange(192) / 192), 2)
    values[185] = 9.20
    return values[:: 192 // count]


def neighbours(value: ArrayLike, series: str = "E24") -> tuple[FloatArray, FloatArray]:
    """The preferred values just below (or equal) and just above a value.

    Parameters
    ----------
    value : array, shape (...)
        Wanted value, positive [any unit].
    series : str
        One of `SERIES`.

    Returns
    -------
    below, above : arrays, shape (...)
        Same unit; ``below <= value < above``.

    Raises
    ------
    ValueError
        Value not positive and finite, unknown series.

    Examples
    --------
    >>> [x.item() for x in neighbours(391e3, "E12")]
    [390000.0, 470000.0]
    """
    wanted = positive(value, "value", "any unit")
    decade = series_values(series)
    ladder = np.concatenate([decade, [10 * decade[0], 10 * decade[1]]])
    power = np.floor(np.log10(wanted))
    mantissa = wanted * 10.0**-power
    k = np.searchsorted(ladder, mantissa * (1 + 1e-12), side="right") - 1
    k = np.clip(k, 0, len(ladder) - 2)
    return _scaled(ladder[k], power), _scaled(ladder[k + 1], power)


def nearest(value: ArrayLike, series: str = "E24") -> FloatArray:
    """The preferred value nearest to a value: the one with the smallest deviation in percent of the wanted value.

    Shapes and errors as in `neighbours`; a tie takes the lower value.

    >>> nearest(391_013.4, "E24").item()
    390000.0
    """
    below, above = neighbours(value, series)
    wanted = np.asarray(value, dtype=float)
    halfway = (below + above) / 2 * (1 + 1e-12)  # binary dust does not break a tie
    return np.asarray(np.where(wanted <= halfway, below, above))


def colour_bands(resistance: float, *, tolerance: float = 5.0) -> tuple[str, ...]:
    """Colour bands of a resistor: two digits for 5 and 10 %, three for closer tolerances (IEC 60062).

    Parameters
    ----------
    resistance : float
        [Ω], from 1 Ω up to 99.9 GΩ.
    tolerance : float
        [±%], one of 0.1, 0.25, 0.5, 1, 2, 5, 10.

    Raises
    ------
    ValueError
        Outside the range, unknown tolerance, or a value that has more digits than bands.

    Examples
    --------
    >>> colour_bands(390e3, tolerance=1)
    ('orange', 'white', 'black', 'orange', 'brown')
    """
    if number(tolerance) not in _TOLERANCE_COLOURS:
        known = ", ".join(f"{t:g}" for t in sorted(_TOLERANCE_COLOURS))
        raise ValueError(f"tolerance must be one of {known} [±%], got {tolerance!r}")
    if not 1 <= number(resistance) < 1e11:
        raise ValueError(f"resistance must lie from 1 Ω to below 100 GΩ, got {resistance!r}")
    digits = 2 if tolerance >= 5 else 3
    text = f"{resistance:.{digits - 1}e}"
    if abs(float(text) - resistance) > 1e-6 * resistance or float(text) >= 1e11:
        raise ValueError(f"resistance {resistance!r} [Ω] has more than {digits} significant digits")
    mantissa, exponent = text.replace(".", "").split("e")
    power = int(exponent) - digits + 1
    multiplier = {-1: "gold", -2: "silver"}.get(power) or COLOURS[power]
    return (*(COLOURS[int(d)] for d in mantissa), multiplier, _TOLERANCE_COLOURS[tolerance])


def _scaled(mantissa: FloatArray, power: FloatArray) -> FloatArray:
    """Mantissa times a power of ten, without the dust of binary fractions (2.2e-9, not 2.2000000000000003e-9)."""
    text = np.char.mod("%.4g", mantissa)
    flat = [float(f"{m}e{int(p)}") for m, p in zip(text.ravel(), np.ravel(power), strict=True)]
    return np.array(flat).reshape(np.shape(mantissa))
