"""Controls with a slider for the feel and a box for the exact value."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from math import log10
from typing import Any

import ipywidgets as w

from phasorkit.indicators.base import Given
from phasorkit.quantities import QuantityError, accepted, has_unit_or_prefix, positive, render
from phasorkit.setting import Setting

_LABEL = "104px"


def starts_at(setting: Setting | None, line_voltage: float, frequency: float) -> tuple[float, float]:
    """Where an app's supply starts [V rms], [Hz]: where a lesson's setting says, if there is one."""
    return (line_voltage, frequency) if setting is None else (setting.line_voltage, setting.frequency)


class ValueControl:
    """One value: a slider and a box that agree; `value` is the last good one [SI unit], `trouble` what is wrong now.

    Parameters
    ----------
    given : Given
        Name, unit and bounds of the value.
    label : str
        What stands before the slider; the unit is added.
    value : float
        Start value [SI unit].
    span : (float, float)
        Range of the slider [SI unit]; the box takes all that `given` allows.
    changed : callable
        Called without arguments after every change, good or bad.
    logarithmic : bool
        Equal steps of the slider multiply the value.
    """

    def __init__(
        self,
        given: Given,
        *,
        label: str,
        value: float,
        span: tuple[float, float],
        changed: Callable[[], None],
        logarithmic: bool = False,
    ) -> None:
        self.given, self.label, self.value, self.trouble = given, label, value, ""
        self._changed, self._echo = changed, False
        name = f"{label} [{given.unit}]"
        self.slider = _slider(name, value, span, logarithmic)
        self.box = exact_box(render(value, given.unit), name)
        self.slider.observe(self._slid, "value")
        self.box.observe(self._typed, "value")
        self.widget = w.HBox([self.slider, self.box])

    def set(self, value: float) -> None:
        """Take a value [SI unit]; shows it in slider and box, and reports the change."""
        self.value, self.trouble = value, ""
        self._echo = True
        try:
            self.box.value = render(value, self.given.unit)
            self.slider.value = min(max(value, self._end("min")), self._end("max"))
        finally:
            self._echo = False
        self._changed()

    def _end(self, which: str) -> float:
        end = float(getattr(self.slider, which))
        return 10.0**end if isinstance(self.slider, w.FloatLogSlider) else end

    def _slid(self, change: Any) -> None:
        place = float(change["new"])
        if not self._echo and not self._is_snap(place):
            self.set(place)

    def _is_snap(self, place: float) -> bool:
        """Whether the page only moved the handle to the nearest step beside an exact value from the box."""
        shown, step = min(max(self.value, self._end("min")), self._end("max")), float(self.slider.step)
        off = log10(place / shown) if isinstance(self.slider, w.FloatLogSlider) else place - shown
        return abs(off) <= 0.5001 * step

    def _typed(self, change: Any) -> None:
        if self._echo:
            return
        text, given = change["new"], self.given
        try:
            if given.needs_unit and not has_unit_or_prefix(text):
                raise QuantityError(f"{self.label}: {text!r} has no unit; {accepted(given.unit)}")
            value = positive(text, given.unit, name=self.label, low=given.low, high=given.high)
        except QuantityError as error:
            self.trouble = str(error)
            self._changed()
        else:
            self.set(value)


def exact_box(text: str, name: str) -> Any:
    """A box for the exact value of what a slider sets.

    Its label takes no room, for the slider's stands before both, but programs that read the screen aloud find it.
    """
    label = f"{name}: exact value"
    return w.Text(
        text, continuous_update=False, description=label, tooltip=label, style={"description_width": "0px"},
        layout=w.Layout(width="96px"),
    )  # fmt: skip


def _slider(label: str, value: float, span: tuple[float, float], logarithmic: bool) -> Any:
    shared: dict[str, Any] = {
        "description": label, "tooltip": label, "readout": False, "layout": w.Layout(width="318px"),
        "style": {"description_width": _LABEL},
    }  # fmt: skip
    low, high = span
    inside = min(max(value, low), high)
    if logarithmic:
        return w.FloatLogSlider(inside, min=log10(low), max=log10(high), step=0.005, **shared)
    return w.FloatSlider(inside, min=low, max=high, step=0.5 if high < 100 else 1, **shared)


def buttons(label: str, options: tuple[tuple[str, str], ...], value: str, width: str) -> Any:
    """A row of buttons of which one is down, one click each; its label is its tooltip (see `labelled`)."""
    return w.ToggleButtons(
        options=options, value=value, tooltip=label, tooltips=[f"{label}: {text}" for text, _ in options],
        style={"button_width": width}, layout=w.Layout(width="auto"),
    )  # fmt: skip


def labelled(row: Any, width: str = "62px") -> Any:
    """A row of buttons with its label before it."""
    return w.HBox([w.Label(row.tooltip, layout=w.Layout(width=width)), row])


def status(text: str, *, good: bool = True) -> str:
    """The line under a picture as HTML, read aloud when it changes; a bad value is said in red and in words."""
    colour, lead = ("#1f2430", "") if good else ("#a3261b", "Not taken: ")
    style = f"color:{colour};line-height:1.3;min-height:3.9em"
    return f'<div role="status" aria-live="polite" style="{style}">{escape(lead + text)}</div>'
