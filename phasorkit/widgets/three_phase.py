"""A three-phase supply as turning arrows and waves, and on a two-channel scope: one call, `three_phase_app`."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

import ipywidgets as w

from phasorkit.draw import Picture, words
from phasorkit.draw.dial import Wave, decimal, milliseconds
from phasorkit.draw.scope import TIME_BASES, in_words, scope
from phasorkit.draw.star import supply_waves
from phasorkit.draw.turning import moment, turning
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE, SEQUENCES
from phasorkit.setting import Setting
from phasorkit.supply import CONDUCTORS, Supply
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status
from phasorkit.widgets.player import Player

WAVES, SCOPE = "arrows and waves", "two-channel scope"
VIEWS = (WAVES, SCOPE)
SHOWN, HIDDEN = "shown", "hidden"


@dataclass(frozen=True, kw_only=True)
class ThreePhaseSettings:
    """All that can be set: line to line [V rms], [Hz], sequence; what is shown; channels; [ms per division].

    With `told` False the scope shows neither arrows nor delay, and no word names the sequence.
    """

    line_voltage: float = 400.0
    frequency: float = 50.0
    sequence: str = "123"
    view: str = WAVES
    channels: tuple[str, str] = ("L1", "L2")
    ms_per_division: float = 2.0
    told: bool = True
    turned: float = 0.0
    moving: bool = False


@dataclass(frozen=True)
class ThreePhaseShown:
    """What the app shows: the phase voltages, the picture, the line below it."""

    waves: tuple[Wave, ...]
    picture: Picture
    line: str


def compute_three_phase(settings: ThreePhaseSettings) -> ThreePhaseShown:
    """Arrows, waves or screen, and words for the settings.

    Raises
    ------
    ValueError
        Values that the supply refuses, an unknown view or conductor.

    Examples
    --------
    >>> shown = compute_three_phase(ThreePhaseSettings(sequence="132"))
    >>> shown.line.split(". ")[0]
    'Sequence 1-3-2: peaks in the order L1, L3 and L2, each 6.67 ms after the one before'
    """
    s = settings
    if s.view not in VIEWS or set(s.channels) - set(CONDUCTORS):
        raise ValueError(f"view must be one of {', '.join(VIEWS)} and channels among L1, L2, L3, got {s!r}")
    supply = Supply(line_voltage=s.line_voltage, frequency=s.frequency, sequence=s.sequence)
    waves = supply_waves(supply)
    if s.view == WAVES:
        picture = turning(waves, frequency=s.frequency, turned=s.turned, sides=True)
        now = "" if s.moving else moment(waves, s.frequency, s.turned)
        return ThreePhaseShown(waves, picture, words.sentences((_order(s, waves), _volts(s), now)))
    one, two = (waves[CONDUCTORS.index(c)] for c in s.channels)
    asked = {"frequency": s.frequency, "ms_per_division": s.ms_per_division}
    picture = scope(one, two, **asked, reading=s.told, star=waves, turned=s.turned)
    read = in_words(one, two, **asked, reading=s.told)
    told = (_order(s, waves), _volts(s)) if s.told else ("Read the delay; which sequence is it?",)
    return ThreePhaseShown(waves, picture, words.sentences((read, *told)))


def draw_three_phase(shown: ThreePhaseShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def three_phase_app(
    *, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0, sequence: str = "123"
) -> Any:
    """Show a three-phase supply: turning arrows with their waves, or two channels of a scope.

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
    >>> type(three_phase_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    start = ThreePhaseSettings(line_voltage=volts, frequency=hertz, sequence=sequence)
    return ThreePhaseApp(start).widget


class ThreePhaseApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: ThreePhaseSettings) -> None:
        self._quiet, self._draws = True, Random(1)  # the same riddles for everybody
        self.volts = ValueControl(
            LINE_VOLTAGE, label="Line volts", value=start.line_voltage, span=(24, 690), changed=self.update
        )
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=self.update
        )
        self.sequence, self.swap = start.sequence, w.Button(layout=w.Layout(width="418px"))
        self.riddle = w.Button(description="Give me an unknown sequence to read", layout=w.Layout(width="418px"))
        self.view = buttons("Picture", tuple((v, v) for v in VIEWS), start.view, "170px")
        named = tuple((c, c) for c in CONDUCTORS)
        self.channels = [buttons(f"Channel {k + 1}", named, start.channels[k], "80px") for k in (0, 1)]
        bases = tuple((f"{ms:g} ms", f"{ms:g}") for ms in TIME_BASES)
        self.base = buttons("Division", bases, f"{start.ms_per_division:g}", "80px")
        self.told = buttons("Reading", ((SHOWN, SHOWN), (HIDDEN, HIDDEN)), SHOWN if start.told else HIDDEN, "122px")
        self.player = Player(changed=self.update)
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: ThreePhaseShown = compute_three_phase(start)
        self.widget = self._arranged()
        self.swap.on_click(self._swapped)
        self.riddle.on_click(self._asked)
        for control in (self.view, *self.channels, self.base, self.told):
            control.observe(self.update, "value")
        self._quiet = False
        self.update()

    @property
    def settings(self) -> ThreePhaseSettings:
        """The settings that the controls show."""
        one, two = self.channels
        return ThreePhaseSettings(
            line_voltage=self.volts.value, frequency=self.hertz.value, sequence=self.sequence, view=self.view.value,
            channels=(one.value, two.value), ms_per_division=float(self.base.value), told=self.told.value == SHOWN,
            turned=self.player.turned, moving=self.player.playing,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        now = self.settings
        secret = now.view == SCOPE and not now.told
        self.swap.description = (
            f"Swap two phases (sequence {'hidden' if secret else 'is ' + words.sequence(now.sequence)})"
        )
        trouble = self.volts.trouble or self.hertz.trouble or self.player.trouble
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        self.result = compute_three_phase(now)
        self.picture.value = draw_three_phase(self.result)
        self.line.value = status(self.result.line)

    def _swapped(self, _button: object) -> None:
        self.sequence = SEQUENCES[1 - SEQUENCES.index(self.sequence)]
        self.update()

    def _asked(self, _button: object) -> None:
        """Hide the reading and draw sequence and channels."""
        self._quiet = True
        self.sequence = self._draws.choice(SEQUENCES)
        for control, conductor in zip(self.channels, self._draws.sample(CONDUCTORS, 2), strict=True):
            control.value = conductor
        self.view.value, self.told.value = SCOPE, HIDDEN
        self._quiet = False
        self.update()

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget, self.swap, self.riddle],
            "View": [labelled(self.view), self.player.widget],
            "Scope": [labelled(c, "76px") for c in (*self.channels, self.base, self.told)],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])


def _order(s: ThreePhaseSettings, waves: tuple[Wave, ...]) -> str:
    order = words.listed(w.name for w in sorted(waves, key=Wave.peak_at))
    step = milliseconds(1 / 3 / s.frequency)
    return f"Sequence {words.sequence(s.sequence)}: peaks in the order {order}, each {step} after the one before."


def _volts(s: ThreePhaseSettings) -> str:
    return f"Line voltage {decimal(s.line_voltage)} V, phase voltage {decimal(s.line_voltage / 3**0.5)} V."
