"""A slider with an exact box for a value in per cent."""

from __future__ import annotations

from collections.abc import Callable

from phasorkit.widgets.numbers import NumberControl


class PercentControl(NumberControl):
    """A slider and a box that agree; `value` is the last good one [%], `trouble` what is wrong now.

    Parameters
    ----------
    label : str
        What stands before the slider; the unit is added.
    value, high : float
        Start and end of the slider, which starts at 0 [%]; the box takes the same range.
    step : float
        Of the slider [%].
    changed : callable
        Called without arguments after every change, good or bad.
    """

    def __init__(self, label: str, *, value: float, high: float, step: float, changed: Callable[[], None]) -> None:
        super().__init__(label, unit="%", value=value, high=high, step=step, changed=changed)
