"""A slider with an exact box for a value in per cent."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w


class PercentControl:
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
        self.label, self.value, self.trouble = label, value, ""
        self._high, self._changed, self._echo = high, changed, False
        name = f"{label} [%]"
        self.slider = w.FloatSlider(
            value, min=0, max=high, step=step, description=name, readout=False, layout=w.Layout(width="318px"),
            style={"description_width": "132px"},
        )  # fmt: skip
        self.box = w.Text(
            _written(value), continuous_update=False, tooltip=f"{name}: exact value", layout=w.Layout(width="92px")
        )
        self.slider.observe(self._slid, "value")
        self.box.observe(self._typed, "value")
        self.widget = w.HBox([self.slider, self.box])

    def set(self, value: float) -> None:
        """Take a value [%]; shows it in slider and box, and reports the change."""
        self.value, self.trouble = value, ""
        self._echo = True
        try:
            self.box.value, self.slider.value = _written(value), value
        finally:
            self._echo = False
        self._changed()

    def _slid(self, change: Any) -> None:
        if not self._echo:
            self.set(float(change["new"]))

    def _typed(self, change: Any) -> None:
        if self._echo:
            return
        try:
            value = float(change["new"].strip().removesuffix("%").strip().replace(",", "."))
        except ValueError:
            value = -1.0
        if 0 <= value <= self._high:
            self.set(value)
        else:
            self.trouble = (
                f"{self.label}: {change['new']!r} is not accepted; accepted: 0 to {self._high:g} %, such as 2.5"
            )
            self._changed()


def _written(value: float) -> str:
    return f"{value:g} %"
