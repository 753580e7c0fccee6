"""Values as people in the trade read and write them: SI prefixes and IEC 60062 codes.

Inside the package every value is a plain float in SI units; this module is the edge where text comes in
(``4n7``, ``390 kΩ``, ``3.9e5``, ``4,7 nF``) and goes out again. The number grammar itself is quantiphy's,
the letter-for-the-point codes are rkm-codes'; here stand only the rules of the trade that they leave open:
the decimal comma, the many spellings of a unit, and what is refused.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from numbers import Real

from quantiphy import Quantity
from quantiphy.quantiphy import QuantiPhyError
from rkm_codes import from_rkm, to_rkm

from phasorkit._checks import number, whole

UNITS: dict[str, tuple[str, ...]] = {
    "Ω": ("Ω", "Ω", "ohm", "ohms", "R", "r"),
    "F": ("F", "farad", "farads"),
    "H": ("H", "henry", "henries"),
    "V": ("V", "volt", "volts", "Vrms", "V rms", "Veff", "V eff", "Vac", "V ac"),
    "A": ("A", "amp", "amps", "ampere", "amperes", "Arms", "A rms", "Aeff", "A eff"),
    "W": ("W", "watt", "watts"),
    "Hz": ("Hz", "hertz"),
    "°": ("°", "º", "˚", "deg", "degree", "degrees"),
    "s": ("s", "sec", "second", "seconds"),
}
"""Accepted spellings of each unit; the key is how it is written back."""

LONGEST = 60
"""Longer texts are refused unread [characters]: no value is that long, and a pasted page would take minutes."""

_RKM = re.compile(r"[0-9]*[RrKkMGTLpnuµμm][0-9]*|[0-9]+")
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}([ \u00a0\u2009\u202f'’][0-9]{3})+(?![0-9])")
_ABOUT = re.compile(r"^[≈~]\s*")
_CAPITAL = re.compile(r"(?<![A-Za-z])[NUP](?=[0-9]|\s*[FfHh]|\s*$)")
_TIMES_TEN = re.compile(
    r"(?<=[0-9.])\s*[·*x×]\s*10\s*(?:(?:\^|\*\*)\s*(?:([+-]?[0-9]+)|\(([+-]?[0-9]+)\))|([⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+))"
)
_PREFIXES = {"pico": "p", "nano": "n", "micro": "u", "milli": "m", "kil": "k", "meg": "M"}
_IN_WORDS = re.compile(
    r"(?<=[0-9.])\s*(pico|nano|micro|milli|kil(?=o)|meg)[oa]?(?=(?:ohm|farad|henr|volt|amp|watt|hertz|sec))",
    re.IGNORECASE,
)
_RAISED = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")
_SCALED = re.compile(rf"{_NUMBER.pattern}|[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)\s*[TGMkKmuµμnp]")


class QuantityError(ValueError):
    """A text or number that is not a usable value; the message names argument, value, unit and what is accepted."""


def parse(text: str | float, unit: str, *, name: str = "value") -> float:
    """Read one value written the way the trade writes it.

    Parameters
    ----------
    text : str or float
        ``"4n7"``, ``"390k"``, ``"390 kΩ"``, ``"3.9e5"``, ``"4,7 nF"``; a number is taken as it stands [SI unit].
    unit : str
        Unit the value must have, one of `UNITS`; the text may leave it out.
    name : str
        What to call the value in an error.

    Returns
    -------
    float
        The value [SI unit]. No range is checked here: see `positive`.

    Raises
    ------
    QuantityError
        Text that is no number, has another unit, or a comma that may mean thousands.
    KeyError
        Unknown `unit`; the message lists those there are.

    Notes
    -----
    Letter codes as in IEC 60062, where R marks the point of a resistance only; a capital ``K`` is read as kilo,
    ``u`` and both Greek letters as micro. Prefixes from pico to tera; rarer ones are taken for slips of the pen.
    A space between groups of three digits, and powers of ten, as in the SI brochure (9th edition, 5.4.4 and 5.4.5,
    from memory): ``390 000``, ``4.7·10^-9``. A prefix in words goes with a unit in words: ``390 kilohms``. As in the
    trade an apostrophe may part groups (``390'000``), ``≈`` or ``~`` stand before, and capitals N, U, P be the prefixes
    of farads and henries (``4N7``): no other reading is possible. A bare ``47f`` has two, and is refused.

    Examples
    --------
    >>> parse("4n7", "F"), parse("390 kΩ", "Ω"), parse("4,7 nF", "F")
    (4.7e-09, 390000.0, 4.7e-09)
    """
    if unit not in UNITS:
        raise KeyError(f"unit must be one of {', '.join(UNITS)}, got {unit!r}")
    if isinstance(text, Real) and not isinstance(text, bool):
        value = _as_float(text)
    elif isinstance(text, str) and len(text) <= LONGEST:
        value = _read(text, unit, name)
    else:
        raise QuantityError(f"{name}: {_shown(text)} is not a value; {accepted(unit)}")
    if not math.isfinite(value):
        raise QuantityError(f"{name}: {_shown(text)} is not a finite number; {accepted(unit)}")
    return value


def positive(text: str | float, unit: str, *, name: str = "value", low: float, high: float) -> float:
    """Read a value as `parse` does and require ``low <= value <= high`` [SI unit].

    Raises
    ------
    QuantityError
        Not a value, or outside the range; the message states the range.

    Examples
    --------
    >>> positive("50 Hz", "Hz", name="frequency", low=10, high=1000)
    50.0
    """
    value = parse(text, unit, name=name)
    if not low <= value <= high:
        raise QuantityError(
            f"{name}: {_shown(text)} is {render(value, unit)}; accepted: {render(low, unit)} to {render(high, unit)}"
        )
    return value


def has_unit_or_prefix(text: str) -> bool:
    """Tell whether a text says its size (``4n7``, ``4.7 nF``, ``4.7e-9``) or is a bare number (``4.7``).

    >>> has_unit_or_prefix("4n7"), has_unit_or_prefix("4.7e-9"), has_unit_or_prefix("4,7")
    (True, True, False)
    """
    return not re.fullmatch(r"[+-]?[0-9]*[.,]?[0-9]*", _one_word(text.strip()))


def render(value: float, unit: str, *, digits: int = 4) -> str:
    """Write a value with an SI prefix and its unit, rounded to `digits` significant digits.

    ValueError for a value that is not one real number, or digits that are no whole number from 1.

    >>> render(390_930.4, "Ω"), render(4.7e-9, "F"), render(346.4102, "V")
    ('390.9 kΩ', '4.7 nF', '346.4 V')
    """
    if not isinstance(value, float):
        real = _as_float(value) if isinstance(value, Real) and not isinstance(value, bool) else number(value)
        if math.isnan(real):
            raise ValueError(f"value must be one real number [{unit}], got {_shown(value)}")
        value = real
    whole(digits, "digits")
    return f"{value:.{digits}g}°" if unit == "°" else _rendered(value + 0.0, unit, digits)


@lru_cache(maxsize=1024)
def _rendered(value: float, unit: str, digits: int) -> str:
    return str(_Shown(value, unit).render(prec=digits - 1))


def code(value: float) -> str:
    """Write a resistance [Ω] or capacitance [F] in the letter code of IEC 60062 (``390k``, ``4n7``, ``4R7``).

    Four significant digits at most; 0.1 and more, below 1000, can only be a resistance and gets the letter R; what is
    below 1 pF is written in pF (``p47``), the smallest letter there is. ValueError unless the value is positive and
    finite.

    >>> code(390e3), code(4.7e-9), code(4.7), code(1.21e6), code(0.47)
    ('390k', '4n7', '4R7', '1M21', 'R47')
    """
    if not 0 < number(value) < math.inf:
        raise ValueError(f"value must be positive and finite [Ω] or [F], got {value!r}")
    rounded = float(f"{value:.4g}")
    if 0.1 <= rounded < 1000:
        text = f"{rounded:.4g}".removeprefix("0")
        return text.replace(".", "R") if "." in text else f"{text}R"
    if rounded < 1e-12:
        return f"{float(f'{1e12 * rounded:.4g}'):.16f}".strip("0").replace(".", "p")
    return _coded(rounded)


@lru_cache(maxsize=1024)
def _coded(value: float) -> str:
    return str(to_rkm(Quantity(value, ""), prec=3, show_units=False)).replace("K", "k")


def accepted(unit: str) -> str:
    """Say how a value of this unit may be written, for error messages.

    >>> accepted("V")
    'accepted: a value in V, for example 12.5 or 12.5 V'
    """
    samples = {"F": "4n7, 4.7 nF or 4.7e-9", "Ω": "390k, 390 kΩ or 3.9e5", "Hz": "50 or 50 Hz"}
    return f"accepted: a value in {unit}, for example {samples.get(unit, f'12.5 or 12.5 {unit}')}"


class _Shown(Quantity):
    """A quantity that writes micro as the trade does: µ."""


_Shown.set_prefs(map_sf=_Shown.map_sf_to_greek)


def _shown(value: object) -> str:
    """The value for an error message: one short line, whatever it is."""
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number beyond all measure"
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _as_float(number: Real) -> float:
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _read(text: str, unit: str, name: str) -> float:
    body = _decimal_point(_one_word(text.strip().replace("−", "-")), text, unit, name)
    if unit in ("F", "H"):
        body = _CAPITAL.sub(lambda found: found[0].lower(), body)
    body = _strip_unit(body, unit)
    sign, letters = -1 if body.startswith("-") else 1, re.sub(r"^[+-]", "", body)
    refused = QuantityError(f"{name}: {_shown(text)} is not a value in {unit}; {accepted(unit)}")
    if _RKM.fullmatch(letters):
        if unit != "Ω" and re.search("[RrL]", letters):
            raise refused
        quantity = from_rkm(letters.replace("r", "R").replace("k", "K").replace("L", "m"))
        if quantity is not None:
            return sign * float(quantity)
    if not _SCALED.fullmatch(body):
        raise refused
    try:
        return float(Quantity(body.replace("μ", "u").replace("µ", "u")))
    except QuantiPhyError:
        raise refused from None


def _one_word(body: str) -> str:
    """Digits in groups of three put together, a power of ten as ``e`` and exponent, a prefix in words as its letter."""
    body = _ABOUT.sub("", body)
    grouped = _GROUPED.match(body)
    if grouped:
        body = re.sub(r"[\s'’]", "", grouped[0]) + body[grouped.end() :]
    body = _IN_WORDS.sub(lambda found: _PREFIXES[found[1].casefold()], body)
    return _TIMES_TEN.sub(lambda found: "e" + (found[1] or found[2] or found[3].translate(_RAISED)), body, count=1)


def _decimal_point(body: str, text: str, unit: str, name: str) -> str:
    """Turn a decimal comma into a point; refuse a comma that could separate thousands."""
    if "," not in body:
        return body
    ambiguous = re.match(r"[+-]?[1-9][0-9]*,[0-9]{3}(?![0-9])", body)
    if body.count(",") > 1 or "." in body or ambiguous:
        raise QuantityError(
            f"{name}: {_shown(text)} can be read in two ways, leave out thousands separators; {accepted(unit)}"
        )
    return body.replace(",", ".")


def _strip_unit(body: str, unit: str) -> str:
    """Cut a trailing spelling of the unit; ``390R`` keeps its R only as a decimal letter would."""
    if unit == "Ω":
        body = re.sub(r"(?<=[0-9]\s)\s*[Rr]$|(?<=[kKMG])[Rr]$", "", body).rstrip()  # 390 R, 4.7 kR
    if unit == "F" and re.search(r"[0-9.]\s*f$", body):
        return body  # farad or femto
    for spelling in sorted(UNITS[unit], key=len, reverse=True):
        if len(spelling) == 1 and spelling in "Rr":
            continue  # 390R and 4R7 are letter codes
        match = re.fullmatch(rf"(.*?[0-9pnuµμmkKMGT.])\s*{re.escape(spelling)}", body, re.IGNORECASE)
        if match and _takes_unit(match[1]):
            return match[1].rstrip()
    return body


def _takes_unit(number: str) -> bool:
    return bool(_NUMBER.fullmatch(number) or re.fullmatch(r".*[0-9]\s*[pnuµμmkKMGT]?", number))
