"""A slider with an exact box for a value that may be zero or negative: per cent, degrees."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from phasorkit.widgets.controls import exact_box


class NumberControl:
    """A slider and a box that agree; `value` is the last good one, `trouble` what is wrong now.

    Parameters
    ----------
    label, unit : str
        What stands before the slider, and its unit.
    value, low, high : float
        Start and ends of the slider [`unit`]; the box takes the same range.
    step : float
        Of the slider [`unit`].
    changed : callable
        Called without arguments after every change, good or bad.
    example : str
        A value that the box would take, for its message.
    """

    def __init__(
        self, label: str, *, unit: str, value: float, high: float, step: float, changed: Callable[[], None],
        low: float = 0.0, example: str = "2.5",
    ) -> None:  # fmt: skip
        self.label, self.unit, self.value, self.trouble = label, unit, value, ""
        self._low, self._high, self._example = low, high, example
        self._changed, self._echo = changed, False
        name = f"{label} [{unit}]"
        self.slider = w.FloatSlider(
            value, min=low, max=high, step=step, description=name, tooltip=name, readout=False,
            layout=w.Layout(width="318px"), style={"description_width": "132px"},
        )  # fmt: skip
        self.box = exact_box(self._written(value), name)
        self.slider.observe(self._slid, "value")
        self.box.observe(self._typed, "value")
        self.widget = w.HBox([self.slider, self.box])

    def set(self, value: float) -> None:
        """Take a value [`unit`]; shows it in slider and box, and reports the change."""
        self.value, self.trouble = value, ""
        self._echo = True
        try:
            self.box.value, self.slider.value = self._written(value), value
        finally:
            self._echo = False
        self._changed()

    def _slid(self, change: Any) -> None:
        place = float(change["new"])
        snapped = abs(place - self.value) <= 0.5001 * float(self.slider.step)  # by the page, beside an exact value
        if not self._echo and not snapped:
            self.set(place)

    def _typed(self, change: Any) -> None:
        if self._echo:
            return
        text = change["new"].strip()
        try:
            value = float(text.removesuffix(self.unit).strip().replace(",", ".").replace("−", "-"))
        except ValueError:
            value = float("nan")
        if self._low <= value <= self._high:
            self.set(value)
        else:
            self.trouble = (
                f"{self.label}: {text!r} is not accepted; accepted: {self._low:g} to {self._high:g} {self.unit}, "
                f"such as {self._example}"
            )
            self._changed()

    def _written(self, value: float) -> str:
        return f"{value:g} {self.unit}"
