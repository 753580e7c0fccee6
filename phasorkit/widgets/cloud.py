"""The cloud around the null, live: tolerance, frequency and unbalance; one call, `cloud_app`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from phasorkit.analysis.cloud import Cloud, cloud
from phasorkit.analysis.margins import Margins
from phasorkit.draw import Picture
from phasorkit.draw.cloud import cloud_picture, describe
from phasorkit.indicators import circuit
from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE
from phasorkit.setting import Setting
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status
from phasorkit.widgets.percent import PercentControl

SAMPLES = 600
EXACT, PREFERRED = "exact", "from E24"


@dataclass(frozen=True, kw_only=True)
class CloudSettings:
    """All that can be set in the cloud app.

    Parameters
    ----------
    line_voltage, frequency, capacitance : float
        Nominal: line to line [V rms], [Hz], [F].
    frequency_off, unbalance, resistor, capacitor : float
        How far frequency, negative sequence, resistors and capacitor may be off [%].
    values : "exact" or "from E24"
        Resistors as calculated or as bought.
    batch : int
        Which testers out of the bin: another number, another handful.
    """

    line_voltage: float = 400.0
    frequency: float = 50.0
    capacitance: float = 4.7e-9
    frequency_off: float = 0.0
    unbalance: float = 0.0
    resistor: float = 1.0
    capacitor: float = 5.0
    values: str = EXACT
    batch: int = 1


@dataclass(frozen=True)
class CloudShown:
    """What the app shows: the cloud, its picture, the line below it."""

    cloud: Cloud
    picture: Picture
    line: str


def compute_cloud(settings: CloudSettings) -> CloudShown:
    """Sample, bound and draw for the settings.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> shown = compute_cloud(CloudSettings())
    >>> shown.cloud.pushes[0].name, round(shown.cloud.worst, 1)
    ('C1', 12.3)
    """
    s = settings
    bridge: Any = circuit("divider-bridge").sized(  # type: ignore[attr-defined]
        capacitance=s.capacitance, frequency=s.frequency, line_voltage=s.line_voltage
    )
    built = bridge.with_preferred_values("E24") if s.values == PREFERRED else bridge
    margins = Margins(
        resistor=s.resistor, capacitor=s.capacitor, voltage=(1, 1), negative=s.unbalance / 100,
        frequency=(1 - s.frequency_off / 100, 1 + s.frequency_off / 100),
    )  # fmt: skip
    found = cloud(built, margins=margins, samples=SAMPLES, seed=s.batch)
    heading = (
        f"{s.line_voltage:g} V, {s.frequency:g} Hz ± {s.frequency_off:g} %; resistors {s.values}, ± {s.resistor:g} %; "
        f"capacitor ± {s.capacitor:g} %; unbalance up to {s.unbalance:g} %."
    )
    return CloudShown(found, cloud_picture(found, heading=heading), describe(found))


def draw_cloud(shown: CloudShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def cloud_app(
    *, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0, capacitance: float = 4.7e-9
) -> Any:
    """Show what is left on the dark lamp of many null bridges, by tolerance, frequency and unbalance.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency, capacitance : float
        Where it starts: line to line [V rms], [Hz], [F].

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(cloud_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    start = CloudSettings(line_voltage=volts, frequency=hertz, capacitance=capacitance)
    return CloudApp(start).widget


class CloudApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: CloudSettings) -> None:
        self._quiet = True
        value = {"changed": self.update}
        self.volts = ValueControl(
            LINE_VOLTAGE, label="Line volts", value=start.line_voltage, span=(24, 690), changed=self.update
        )
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=self.update
        )
        self.farad = ValueControl(
            CAPACITOR,
            label="C1",
            value=start.capacitance,
            span=(start.capacitance / 10, start.capacitance * 10),
            logarithmic=True,
            changed=self.update,
        )
        self.percents = {
            name: PercentControl(label, value=getattr(start, name), high=high, step=step, **value)
            for name, label, high, step in (
                ("frequency_off", "Frequency ±", 10.0, 0.1),
                ("unbalance", "Unbalance", 5.0, 0.1),
                ("resistor", "Resistors ±", 20.0, 0.5),
                ("capacitor", "Capacitor ±", 20.0, 0.5),
            )
        }
        self.values = buttons("Resistors", ((EXACT, EXACT), (PREFERRED, PREFERRED)), start.values, "170px")
        self.batch, self.again = start.batch, w.Button(layout=w.Layout(width="418px"))
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: CloudShown = compute_cloud(start)
        self.widget = self._arranged()
        self.values.observe(self.update, "value")
        self.again.on_click(self._next_batch)
        self._quiet = False
        self.update()

    @property
    def settings(self) -> CloudSettings:
        """The settings that the controls show."""
        percents = {name: control.value for name, control in self.percents.items()}
        return CloudSettings(
            line_voltage=self.volts.value, frequency=self.hertz.value, capacitance=self.farad.value,
            values=self.values.value, batch=self.batch, **percents,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        self.again.description = f"Build another {SAMPLES} testers (these are batch {self.batch})"
        troubles = [c.trouble for c in (self.volts, self.hertz, self.farad) if c.trouble]
        troubles += [c.trouble for c in self.percents.values() if c.trouble]
        if troubles:
            self.line.value = status(troubles[0], good=False)
            return
        self.result = compute_cloud(self.settings)
        self.picture.value = draw_cloud(self.result)
        self.line.value = status(self.result.line)

    def _next_batch(self, _button: object) -> None:
        self.batch += 1
        self.update()

    def _arranged(self) -> Any:
        p = self.percents
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget, p["frequency_off"].widget, p["unbalance"].widget],
            "Parts": [self.farad.widget, p["resistor"].widget, p["capacitor"].widget, labelled(self.values)],
            "View": [self.again],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])
