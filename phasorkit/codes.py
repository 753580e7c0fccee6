"""Reading what stands on a part: colour bands, three-digit codes, value with tolerance letter (IEC 60062)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from phasorkit.parts import COLOURS, TOLERANCE_LETTERS
from phasorkit.quantities import QuantityError, parse

MULTIPLIERS = {name: power for power, name in enumerate(COLOURS)} | {"gold": -1, "silver": -2, "pink": -3}
"""Power of ten of a multiplier band."""

TOLERANCE_BANDS = {
    "brown": 1.0, "red": 2.0, "green": 0.5, "blue": 0.25, "violet": 0.1, "gold": 5.0, "silver": 10.0,
}  # fmt: skip
"""Tolerance of a band [±%]; without a band it is 20 %. Grey, orange and yellow are left out: editions differ."""


def read_bands(bands: Sequence[str] | str) -> tuple[float, float]:
    """Resistance [Ω] and tolerance [±%] from colour bands.

    Parameters
    ----------
    bands : sequence of str, or str with spaces
        Three (no tolerance band: ±20 %), four (two digits) or five bands (three digits), from the end where the bands
        stand closer; ``gray`` is read as grey. A sixth band (temperature coefficient) is not read: leave it out.

    Raises
    ------
    ValueError
        Another number of bands, or a colour that cannot stand where it stands; the message names it.

    Notes
    -----
    IEC 60062, from memory. `phasorkit.parts.colour_bands` writes them.

    Examples
    --------
    >>> read_bands(["orange", "white", "black", "orange", "brown"]), read_bands("yellow violet gold gold".split())
    ((390000.0, 1.0), (4.7, 5.0))
    >>> read_bands("Brown Black Red Gold")
    (1000.0, 5.0)
    """
    if not isinstance(bands, Sequence):
        raise ValueError(f"bands must be three, four or five colours, got {bands!r}")
    words = bands.split() if isinstance(bands, str) else bands
    names = [str(band).strip().lower().replace("gray", "grey") for band in words]
    if len(names) not in (3, 4, 5):
        raise ValueError(f"bands must be three, four or five colours, got {len(names)}")
    count = 3 if len(names) == 5 else 2
    for place, name in enumerate(names):
        known = COLOURS if place < count else MULTIPLIERS if place == count else TOLERANCE_BANDS
        if name not in known:
            raise ValueError(f"band {place + 1} must be one of {', '.join(known)}, got {name!r}")
    digits = "".join(str(COLOURS.index(name)) for name in names[:count])
    if digits[0] == "0":
        raise ValueError("band 1 must not be black: read from the other end")
    tolerance = TOLERANCE_BANDS[names[count + 1]] if len(names) > 3 else 20.0
    return float(f"{digits}e{MULTIPLIERS[names[count]]}"), tolerance


def read_capacitor(marking: str | int) -> tuple[float, float | None]:
    """Capacitance [F] and tolerance [±%] (None if not marked) from what is printed on a capacitor.

    Parameters
    ----------
    marking : str, or int of three digits
        A letter code (``4n7``, ``4n7K``) or three digits in picofarads (``472``, ``472J``: 47 followed by two zeros;
        a last digit 8 or 9 stands for 10^−2 and 10^−1).

    Raises
    ------
    QuantityError
        Anything else; two digits alone are refused because they may be picofarads or a date.

    Examples
    --------
    >>> read_capacitor("4n7K"), read_capacitor("472J"), read_capacitor("104")
    ((4.7e-09, 10.0), (4.7e-09, 5.0), (1e-07, None))
    """
    match = re.fullmatch(rf"(.+?)([{''.join(TOLERANCE_LETTERS)}]?)", str(marking).strip())
    value, letter = (match[1], match[2]) if match else ("", "")
    tolerance = TOLERANCE_LETTERS.get(letter)
    if re.fullmatch(r"[1-9][0-9]{2}", value):
        power = {8: -2, 9: -1}.get(int(value[2]), int(value[2]))
        return float(f"{value[:2]}e{power - 12}"), tolerance
    if not re.fullmatch(r"[0-9]*[pnuµμ][0-9]*", value) or not re.search("[1-9]", value):
        raise QuantityError(f"marking: {marking!r} is not read; accepted: codes like 4n7K, or three digits like 472J")
    return parse(value, "F", name="marking"), tolerance
