"""What every solver asks of the numbers it is given; one wording for all errors."""

from __future__ import annotations

import cmath
import math
import sys

import numpy as np
from numpy.typing import ArrayLike

from phasorkit.phasors import ComplexArray, FloatArray

LARGEST = sys.float_info.max


def positive(value: ArrayLike, name: str, unit: str) -> FloatArray:
    """The value as an array, or a ValueError that names argument, unit and value.

    >>> positive(400, "line_voltage", "V").item()
    400.0
    """
    if isinstance(value, float | int) and not isinstance(value, bool) and 0 < value <= LARGEST:  # the usual, fast
        return np.asarray(value, dtype=float)
    array = _numbers(value, "iuf")
    if array is None or not (np.all(np.isfinite(array)) and np.all(array > 0)):
        raise ValueError(f"{name} must be positive and finite [{unit}], got {value!r}")
    return np.asarray(array, dtype=float)


def single(value: ArrayLike, name: str, unit: str) -> float:
    """The value as one number, or a ValueError as of `positive`; a list or an array is refused too.

    >>> single(400, "line_voltage", "V")
    400.0
    """
    array = positive(value, name, unit)
    if array.ndim:
        raise ValueError(f"{name} must be one number [{unit}], got {value!r}")
    return float(array)


def not_negative(value: ArrayLike, name: str, unit: str) -> FloatArray:
    """The value as an array of numbers from 0, or a ValueError that names argument, unit and value.

    >>> not_negative([0, 2], "torque", "N·m").tolist()
    [0.0, 2.0]
    """
    array = _numbers(value, "iuf")
    if array is None or not (np.all(np.isfinite(array)) and np.all(array >= 0)):
        raise ValueError(f"{name} must be 0 or more and finite [{unit}], got {value!r}")
    return np.asarray(array, dtype=float)


def number(value: object) -> float:
    """One real number as a float; NaN for anything else, so that no comparison holds.

    >>> number(2), 0 <= number("2") < 5, 0 <= number([2]) < 5
    (2.0, False, False)
    """
    if isinstance(value, float):  # the usual, fast
        return value
    array = None if isinstance(value, str | bytes) else _numbers(value, "iuf")  # type: ignore[arg-type]
    return math.nan if array is None or array.ndim else float(array)


def whole(value: object, name: str) -> int:
    """A whole number from 1, or a ValueError that names argument and value.

    >>> whole(3, "samples")
    3
    """
    if isinstance(value, bool) or not isinstance(value, int | np.integer) or value < 1:
        raise ValueError(f"{name} must be a whole number from 1, got {value!r}")
    return int(value)


def phasor(value: ArrayLike, name: str, unit: str) -> ComplexArray:
    """The value as a finite complex array, or a ValueError that names argument, unit and value.

    >>> phasor(1j, "source", "V").item()
    1j
    """
    if isinstance(value, complex | float) and cmath.isfinite(value):  # the usual, fast
        return np.asarray(value, dtype=complex)
    array = _numbers(value, "iufc")
    if array is None or not np.all(np.isfinite(array)):
        raise ValueError(f"{name} must be finite [{unit}], got {value!r}")
    return np.asarray(array, dtype=complex)


def _numbers(value: ArrayLike, kinds: str) -> np.ndarray | None:
    """The value as an array if its numbers are of one of these numpy kinds."""
    try:
        array = np.asarray(value)
    except ValueError:  # a ragged list
        return None
    return array if array.dtype.kind in kinds else None
