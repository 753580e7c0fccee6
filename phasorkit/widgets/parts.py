"""Buying the parts of a null bridge, live: capacitor, series, pieces, size; one call, `parts_app`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from phasorkit.analysis.design import Design
from phasorkit.analysis.purchase import Purchase, purchase
from phasorkit.analysis.ratings import MOST_PIECES, RESISTORS
from phasorkit.draw import Picture
from phasorkit.draw.purchase import purchase_picture
from phasorkit.indicators import circuit
from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE
from phasorkit.setting import Setting
from phasorkit.widgets.controls import ValueControl, buttons, starts_at, status

OFFERED = ("E6", "E12", "E24", "E96")
SIZES = {f"{size.watts:g} W": size for size in RESISTORS[:3]}


@dataclass(frozen=True, kw_only=True)
class PartsSettings:
    """All that can be set in the parts app.

    Parameters
    ----------
    line_voltage, frequency, capacitance : float
        Nominal: line to line [V rms], [Hz], [F].
    series : str
        Preferred series of the resistors (IEC 60063).
    pieces : int
        How many equal resistors in series make up each of R1, R2, R3.
    size : str
        Rated watts of one piece: a key of `SIZES`.
    """

    line_voltage: float = 400.0
    frequency: float = 50.0
    capacitance: float = 4.7e-9
    series: str = "E24"
    pieces: int = 1
    size: str = "0.25 W"


@dataclass(frozen=True)
class PartsShown:
    """What the app shows: the purchase, its picture, the line below it."""

    purchase: Purchase
    picture: Picture
    line: str


def compute_parts(settings: PartsSettings) -> PartsShown:
    """Size, round to what is sold, and judge.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> shown = compute_parts(PartsSettings(pieces=3))
    >>> shown.purchase.piece, shown.purchase.holds
    (130000.0, True)
    """
    s = settings
    exact: Any = circuit("divider-bridge").sized(  # type: ignore[attr-defined]
        capacitance=s.capacitance, frequency=s.frequency, line_voltage=s.line_voltage
    )
    found = purchase(Design(exact=exact, series=s.series, pieces=s.pieces, size=SIZES[s.size]))
    picture = purchase_picture(found)
    return PartsShown(found, picture, picture.text)


def draw_parts(shown: PartsShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def parts_app(
    *, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0,
    capacitance: float = 4.7e-9,
) -> Any:  # fmt: skip
    """Pick the parts of a null bridge: the ladder of values that are sold, and what each piece must bear.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency, capacitance : float
        Where it starts: line to line [V rms], [Hz], [F].

    Returns
    -------
    ipywidgets widget

    Raises
    ------
    ValueError
        Values that the circuit refuses.

    Examples
    --------
    >>> type(parts_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    return PartsApp(PartsSettings(line_voltage=volts, frequency=hertz, capacitance=capacitance)).widget


class PartsApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: PartsSettings) -> None:
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
        counts = tuple(str(k) for k in range(1, MOST_PIECES + 1))
        self.series = buttons("Series", tuple((s, s) for s in OFFERED), start.series, "68px")
        self.pieces = buttons("Pieces in series", tuple((k, k) for k in counts), str(start.pieces), "68px")
        self.size = buttons("Each piece", tuple((s, s) for s in SIZES), start.size, "92px")
        self.picture, self.line = w.HTML(), w.HTML()
        self.result = compute_parts(start)
        self.widget = self._arranged()
        for control in (self.series, self.pieces, self.size):
            control.observe(self.update, "value")
        self.update()

    @property
    def settings(self) -> PartsSettings:
        """The settings that the controls show."""
        return PartsSettings(
            line_voltage=self.volts.value, frequency=self.hertz.value, capacitance=self.farad.value,
            series=self.series.value, pieces=int(self.pieces.value), size=self.size.value,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        troubles = [c.trouble for c in (self.volts, self.hertz, self.farad) if c.trouble]
        try:
            if troubles:
                raise ValueError(troubles[0])
            self.result = compute_parts(self.settings)
        except ValueError as error:
            self.line.value = status(str(error), good=False)
            return
        self.picture.value = draw_parts(self.result)
        self.line.value = status(self.result.line)

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget],
            "Parts": [self.farad.widget, *(_row(c) for c in (self.series, self.pieces, self.size))],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])


def _row(control: Any) -> Any:
    """A row of buttons with a longer label before it."""
    return w.HBox([w.Label(control.tooltip, layout=w.Layout(width="104px")), control])
