"""What every solver asks of the numbers it is given; one wording for all errors."""

from __future__ import annotations

import cmath
import math

import numpy as np
from numpy.typing import ArrayLike

from phasorkit.phasors import ComplexArray, FloatArray


def positive(value: ArrayLike, name: str, unit: str) -> FloatArray:
    """The value as an array, or a ValueError that names argument, unit and value.

    >>> positive(400, "line_voltage", "V").item()
    400.0
    """
    if isinstance(value, float | int) and not isinstance(value, bool) and 0 < value < math.inf:  # the usual, fast
        return np.asarray(value, dtype=float)
    array = _numbers(value, "iuf")
    if array is None or not (np.all(np.isfinite(array)) and np.all(array > 0)):
        raise ValueError(f"{name} must be positive and finite [{unit}], got {value!r}")
    return np.asarray(array, dtype=float)


def phasor(value: ArrayLike, name: str, unit: str) -> ComplexArray:
    """The value as a finite complex array, or a ValueError that names argument, unit and value.

    >>> phasor(1j, "source", "V").item()
    1j
    """
    if isinstance(value, complex | float | int) and not isinstance(value, bool) and cmath.isfinite(value):
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
