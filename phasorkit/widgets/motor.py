"""A rotating field and the shaft that follows it, live: one call, `motor_app`."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ipywidgets as w

from phasorkit.draw.motor import ENDS
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE
from phasorkit.rotating_field import WINDINGS
from phasorkit.setting import Setting
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status
from phasorkit.widgets.motor_shown import (
    ALL_WHOLE,
    TICK,
    MotorSettings,
    MotorShown,
    MotorState,
    after,
    compute_motor,
    draw_motor,
)
from phasorkit.widgets.percent import PercentControl
from phasorkit.widgets.player import Clock


def motor_app(*, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0) -> Any:
    """Show three windings, their rotating field and the shaft: start, stop, swap, open a line, look from either end.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency : float
        Where the supply starts, and what the motor is made for: line to line [V rms], [Hz].

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(motor_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    return MotorApp(MotorSettings(line_voltage=volts, frequency=hertz, made_for=(volts, hertz))).widget


class MotorApp:
    """The controls and what they show; `result` is the last good one, `state` that of the shaft."""

    def __init__(self, start: MotorSettings) -> None:
        self._made_for = start.made_for
        self._quiet, self.state, self.lines, self.on = True, MotorState(), start.lines, start.on
        self.volts, self.hertz = (
            ValueControl(given, label=label, value=value, span=span, changed=self.update)
            for given, label, value, span in (
                (LINE_VOLTAGE, "Line volts", start.line_voltage, (24.0, 690.0)),
                (FREQUENCY, "Frequency", start.frequency, (45.0, 65.0)),
            )
        )
        self.switch, self.swap, self.rest = (w.Button(layout=w.Layout(width=x)) for x in ("206px", "418px", "206px"))
        self.load = PercentControl("Pump load", value=start.load, high=150.0, step=5.0, changed=self.update)
        places = ((ALL_WHOLE, ALL_WHOLE), *((f"{name}1", f"{name}1") for name in WINDINGS))
        self.open_line = buttons("Open at", places, start.open_line, "82px")
        self.end = buttons("Seen on", tuple((end, end) for end in ENDS), start.end, "168px")
        self.clock = Clock(top=10**6, interval=int(1000 * TICK))
        self.play = self.clock.play
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: MotorShown = compute_motor(start, self.state)
        self.widget = self._arranged()
        self._wire()
        self._quiet = False
        self.update()

    @property
    def settings(self) -> MotorSettings:
        """The settings that the controls show."""
        return MotorSettings(
            line_voltage=self.volts.value, frequency=self.hertz.value, lines=self.lines, on=self.on,
            made_for=self._made_for, open_line=self.open_line.value, load=self.load.value, end=self.end.value,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        self.switch.description = "Switch off" if self.on else "Switch on"
        self.swap.description = f"Swap U1 and V1 (now {', '.join(self.lines)} on U1, V1, W1)"
        self.rest.description = "Off, wait for standstill"
        trouble = self.volts.trouble or self.hertz.trouble or self.load.trouble
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        self.result = compute_motor(self.settings, self.state)
        self.picture.value = draw_motor(self.result)
        said = status(self.result.line)
        if said != self.line.value:
            self.line.value = said

    # --- wiring ---------------------------------------------------------------------------------------

    def _wire(self) -> None:
        self.play.observe(self._ticked, "value")
        self.switch.on_click(self._switched)
        self.swap.on_click(self._swapped)
        self.rest.on_click(self._rested)
        for control in (self.open_line, self.end):
            control.observe(self.update, "value")

    def _ticked(self, change: Any) -> None:
        if change["new"] > 0 and not (self.volts.trouble or self.hertz.trouble or self.load.trouble):
            self.state = after(self.settings, self.state)
            self.update()

    def _switched(self, _button: object) -> None:
        self.on = not self.on
        self.update()

    def _swapped(self, _button: object) -> None:
        u, v, last = self.lines
        self.lines = (v, u, last)
        self.update()

    def _rested(self, _button: object) -> None:
        self.on, self.state = False, replace(self.state, speed=0.0)
        self.update()

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget, w.HBox([self.switch, self.rest]), self.swap],
            "Parts": [self.load.widget],
            "Fault": [labelled(self.open_line)],
            "View": [labelled(self.end), w.HBox([self.clock.widget, w.Label("in slow motion")])],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])
