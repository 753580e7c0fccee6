"""The circle of the RC shifter, live: R, C, frequency, a fault, a meter; one call, `shifter_app`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from phasorkit.analysis.shifter import EARLY, FAULTS, LATE, SOUND, Shifter, Turned
from phasorkit.draw import Picture
from phasorkit.draw.shifter import shifter_picture
from phasorkit.indicators.base import CAPACITOR, FREQUENCY, Given
from phasorkit.setting import Setting
from phasorkit.widgets.controls import ValueControl, buttons, labelled, status

VOLTS = Given("volts", "", "V", 0.1, 50.0, "a bench source [V rms]")
RESISTOR = Given("resistance", "", "Ω", 1.0, 1e9, "resistor")
METERS = (("none", ""), ("10 MΩ", "10e6"), ("1 MΩ", "1e6"), ("100 kΩ", "1e5"))
"""Meters between P and com by what the button says [Ω]."""
_SYMBOLS = (("IEC", "IEC"), ("North America", "NA"))


@dataclass(frozen=True, kw_only=True)
class ShifterSettings:
    """All that can be set: [V rms], [Hz], [Ω], [F]; where the output is taken; a fault; a meter [Ω]; symbols."""

    volts: float = 12.0
    frequency: float = 50.0
    resistance: float = 27e3
    capacitance: float = 100e-9
    output: str = LATE
    fault: str = SOUND
    meter: float | None = None
    symbols: str = "IEC"


@dataclass(frozen=True)
class ShifterShown:
    """What the app shows: the solved circuit, its picture, the line below."""

    turned: Turned
    picture: Picture
    line: str


def compute_shifter(settings: ShifterSettings) -> ShifterShown:
    """Solve and draw for the settings.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> round(compute_shifter(ShifterSettings(resistance=31831)).turned.late_deg, 2)
    45.0
    """
    s = settings
    shifter = Shifter(
        resistance=s.resistance, capacitance=s.capacitance, volts=s.volts, frequency=s.frequency, output=s.output
    )
    turned = shifter.turned(fault=s.fault, meter=s.meter)
    picture = shifter_picture(shifter, fault=s.fault, meter=s.meter, symbols=s.symbols)
    return ShifterShown(turned, picture, picture.text)


def draw_shifter(shown: ShifterShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def shifter_app(
    *, setting: Setting | None = None, volts: float = 12.0, frequency: float = 50.0, resistance: float = 27e3,
    capacitance: float = 100e-9,
) -> Any:  # fmt: skip
    """Show R and C in series: the half circle, the angle, the waves, a fault, a meter that loads.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of frequency and symbols.
    volts, frequency : float
        Where the source starts [V rms], [Hz].
    resistance, capacitance : float
        Where the parts start [Ω], [F].

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(shifter_app()).__name__
    'HBox'
    """
    hertz, symbols = (frequency, "IEC") if setting is None else (setting.frequency, setting.symbols)
    start = ShifterSettings(
        volts=volts, frequency=hertz, resistance=resistance, capacitance=capacitance, symbols=symbols
    )
    return ShifterApp(start).widget


class ShifterApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: ShifterSettings) -> None:
        self._quiet = True
        parts: dict[str, Any] = {"logarithmic": True, "changed": self.update}
        self.volts = ValueControl(VOLTS, label="Source", value=start.volts, span=(1, 24), changed=self.update)
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(10, 200), changed=self.update
        )
        self.ohms = ValueControl(
            RESISTOR, label="R1", value=start.resistance, span=(start.resistance / 100, start.resistance * 100), **parts
        )
        self.farad = ValueControl(
            CAPACITOR, label="C1", value=start.capacitance,
            span=(start.capacitance / 100, start.capacitance * 100), **parts,
        )  # fmt: skip
        self.output = buttons("Output", tuple((o, o) for o in (LATE, EARLY)), start.output, "170px")
        self.fault = buttons("Fault", tuple((f.replace("shorted", "short"), f) for f in FAULTS), start.fault, "80px")
        self.meter = buttons("Meter", METERS, METERS[0][1], "84px")
        self.symbols = buttons("Symbols", _SYMBOLS, start.symbols, "170px")
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: ShifterShown = compute_shifter(start)
        self.widget = self._arranged()
        for control in (self.output, self.fault, self.meter, self.symbols):
            control.observe(self.update, "value")
        self._quiet = False
        self.update()

    @property
    def settings(self) -> ShifterSettings:
        """The settings that the controls show."""
        return ShifterSettings(
            volts=self.volts.value, frequency=self.hertz.value, resistance=self.ohms.value,
            capacitance=self.farad.value, output=self.output.value, fault=self.fault.value,
            meter=float(self.meter.value) if self.meter.value else None, symbols=self.symbols.value,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        trouble = next((c.trouble for c in (self.volts, self.hertz, self.ohms, self.farad) if c.trouble), "")
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        self.result = compute_shifter(self.settings)
        self.picture.value = draw_shifter(self.result)
        self.line.value = status(self.result.line)

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget],
            "Parts": [self.ohms.widget, self.farad.widget, labelled(self.output)],
            "Fault": [self.fault, labelled(self.meter)],
            "View": [labelled(self.symbols)],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])
