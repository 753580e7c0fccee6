"""The same wrong connection on three testers, each read twice: one call, `mistakes_app`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from phasorkit.analysis.second_reading import EXCHANGES, MISTAKES, NOTHING_WRONG, TwoReadings, two_readings
from phasorkit.draw import Picture, words
from phasorkit.draw.pairs import pairs_picture
from phasorkit.indicators import Indicator, circuit
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE, SEQUENCES
from phasorkit.setting import Setting
from phasorkit.supply import CONDUCTORS
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status

TESTERS = (("divider-bridge", 4.7e-9), ("twin-bridge", 4.7e-9), ("two-lamp-capacitor", 33e-9))
"""The circuits side by side, each with its capacitor [F]."""


@dataclass(frozen=True, kw_only=True)
class MistakeSettings:
    """All that can be set: line to line [V rms], [Hz], sequence; mistake, its place and exchange as `two_readings`."""

    line_voltage: float = 400.0
    frequency: float = 50.0
    sequence: str = "123"
    mistake: str = NOTHING_WRONG
    at: str = "L1"
    exchange: tuple[str, str] = EXCHANGES[0]


@dataclass(frozen=True)
class MistakeShown:
    """What the app shows: the readings of each tester, the picture, the line below it."""

    pairs: tuple[TwoReadings, ...]
    picture: Picture
    line: str


def testers(line_voltage: float, frequency: float) -> tuple[Indicator, ...]:
    """The three testers, sized for a supply: line to line [V rms], [Hz].

    >>> [tester.name for tester in testers(400, 50)]
    ['divider-bridge', 'twin-bridge', 'two-lamp-capacitor']
    """
    return tuple(
        circuit(name).sized(capacitance=farad, frequency=frequency, line_voltage=line_voltage)  # type: ignore[attr-defined]
        for name, farad in TESTERS
    )


def compute_mistake(settings: MistakeSettings) -> MistakeShown:
    """Read every tester twice.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> shown = compute_mistake(MistakeSettings(mistake="lead broken", at="L2"))
    >>> [pair.first.verdict for pair in shown.pairs]
    ["can't tell", 'true', 'misleading']
    """
    fault = {"mistake": settings.mistake, "at": settings.at}
    pairs = []
    for tester in testers(settings.line_voltage, settings.frequency):
        supply = tester.supply(settings.sequence)
        pairs.append(two_readings(tester, **fault, exchange=settings.exchange, supply=supply))
    picture = pairs_picture(pairs, **fault, exchange=settings.exchange)
    return MistakeShown(tuple(pairs), picture, picture.text)


def draw_mistake(shown: MistakeShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def mistakes_app(
    *, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0, sequence: str = "123"
) -> Any:
    """Show one mistake on a null bridge, a twin and two lamps: what each says from one reading and from two.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency : float
        Where the supply starts: line to line [V rms], [Hz].
    sequence : "123" or "132"
        Where the sequence starts.

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(mistakes_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    return MistakesApp(MistakeSettings(line_voltage=volts, frequency=hertz, sequence=sequence)).widget


class MistakesApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: MistakeSettings) -> None:
        self._quiet = True
        self.volts = ValueControl(
            LINE_VOLTAGE, label="Line volts", value=start.line_voltage, span=(24, 690), changed=self.update
        )
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=self.update
        )
        self.sequence, self.swap = start.sequence, w.Button(layout=w.Layout(width="418px"))
        self.mistake = buttons("Mistake", tuple((m, m) for m in MISTAKES), start.mistake, "134px")
        self.at = buttons("Where", tuple((f"at {c}", c) for c in CONDUCTORS), start.at, "108px")
        pairs = tuple((f"{a} and {b}", f"{a} {b}") for a, b in EXCHANGES)
        self.exchange = buttons("Exchange", pairs, " ".join(start.exchange), "108px")
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: MistakeShown = compute_mistake(start)
        self.widget = self._arranged()
        self.swap.on_click(self._swapped)
        for control in (self.mistake, self.at, self.exchange):
            control.observe(self.update, "value")
        self._quiet = False
        self.update()

    @property
    def settings(self) -> MistakeSettings:
        """The settings that the controls show."""
        one, two = self.exchange.value.split()
        return MistakeSettings(
            line_voltage=self.volts.value, frequency=self.hertz.value, sequence=self.sequence,
            mistake=self.mistake.value, at=self.at.value, exchange=(one, two),
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        self.swap.description = f"Swap two phases (sequence is {words.sequence(self.sequence)})"
        trouble = self.volts.trouble or self.hertz.trouble
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        self.result = compute_mistake(self.settings)
        self.picture.value = draw_mistake(self.result)
        self.line.value = status(self.result.line)

    def _swapped(self, _button: object) -> None:
        self.sequence = SEQUENCES[1 - SEQUENCES.index(self.sequence)]
        self.update()

    def _arranged(self) -> Any:
        left = [
            _head("Supply"), self.volts.widget, self.hertz.widget, self.swap,
            _head("Fault"), self.mistake, labelled(self.at),
            _head("Probes exchanged for the second reading"), labelled(self.exchange),
        ]  # fmt: skip
        controls = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])


def _head(text: str) -> Any:
    return w.HTML(f'<b style="line-height:1.4">{text}</b>')
