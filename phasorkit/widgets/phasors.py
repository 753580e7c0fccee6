"""Two voltages as arrows that turn and as the waves they draw: one call, `phasors_app`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from phasorkit.draw import Picture
from phasorkit.draw.dial import Wave, decimal, milliseconds, rim
from phasorkit.draw.style import strands
from phasorkit.draw.turning import moment, turning
from phasorkit.draw.two_arrows import waves_of
from phasorkit.indicators.base import FREQUENCY, Given
from phasorkit.phasors import polar
from phasorkit.setting import Setting
from phasorkit.widgets.controls import ValueControl, buttons, labelled, status
from phasorkit.widgets.numbers import NumberControl
from phasorkit.widgets.player import Player

VOLTS = Given("volts", "", "V", 0.1, 50.0, "one channel of a bench source [V rms]")
EACH, GAP, SERIES = "A and B", "between tips", "in series"
VIEWS = (EACH, GAP, SERIES)
_THIRD = strands(("L1", "L2", "third"))["third"]


@dataclass(frozen=True, kw_only=True)
class PhasorSettings:
    """All that can be set: [Hz]; A and B [V rms]; how much later B peaks [degrees]; what is shown; part of a turn."""

    frequency: float = 50.0
    a_volts: float = 4.0
    b_volts: float = 3.0
    later_deg: float = 90.0
    view: str = EACH
    turned: float = 0.0
    moving: bool = False


@dataclass(frozen=True)
class PhasorShown:
    """What the app shows: the waves, the third one's rms volts (0 if there is none), its picture, the line below."""

    waves: tuple[Wave, ...]
    third: float
    picture: Picture
    line: str


def compute_phasors(settings: PhasorSettings) -> PhasorShown:
    """Arrows, waves and words for the settings.

    Raises
    ------
    ValueError
        Unknown view, or volts or hertz that are not positive.

    Examples
    --------
    >>> compute_phasors(PhasorSettings(view="between tips")).third
    5.0
    """
    s = settings
    if s.view not in VIEWS:
        raise ValueError(f"view must be one of {', '.join(VIEWS)}, got {s.view!r}")
    if not min(s.a_volts, s.b_volts, s.frequency) > 0:
        raise ValueError(f"volts and hertz must be positive, got {s.a_volts} V, {s.b_volts} V, {s.frequency} Hz")
    one, two = waves_of(complex(s.a_volts), complex(polar(s.b_volts, -s.later_deg)))
    waves, copies = _with_third(one, two, s.view)
    top = rim([one.peak, two.peak] if s.view == EACH else [one.peak + two.peak])
    picture = turning(waves, frequency=s.frequency, turned=s.turned, top=top, copies=copies)
    third = round(abs(waves[2].phasor), 9) if len(waves) > 2 else 0.0
    return PhasorShown(waves, third, picture, _line(s, third, waves))


def draw_phasors(shown: PhasorShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def phasors_app(
    *, setting: Setting | None = None, frequency: float = 50.0, a_volts: float = 4.0, b_volts: float = 3.0,
    later_deg: float = 90.0,
) -> Any:  # fmt: skip
    """Show two voltages as arrows and as waves that run together.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of the frequency.
    frequency : float
        Where it starts [Hz].
    a_volts, b_volts : float
        [V rms].
    later_deg : float
        How much later B peaks [degrees].

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(phasors_app()).__name__
    'HBox'
    """
    hertz = frequency if setting is None else setting.frequency
    start = PhasorSettings(frequency=hertz, a_volts=a_volts, b_volts=b_volts, later_deg=later_deg)
    return PhasorsApp(start).widget


class PhasorsApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: PhasorSettings) -> None:
        self._quiet = True
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=self.update
        )
        self.a = ValueControl(VOLTS, label="Volts A", value=start.a_volts, span=(1, 12), changed=self.update)
        self.b = ValueControl(VOLTS, label="Volts B", value=start.b_volts, span=(1, 12), changed=self.update)
        self.later = NumberControl(
            "B peaks later by", unit="°", value=start.later_deg, low=-180, high=180, step=5, changed=self.update,
            example="60",
        )  # fmt: skip
        self.view = buttons("Show", tuple((v, v) for v in VIEWS), start.view, "112px")
        self.player = Player(changed=self.update)
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: PhasorShown = compute_phasors(start)
        self.widget = self._arranged()
        self.view.observe(self.update, "value")
        self._quiet = False
        self.update()

    @property
    def settings(self) -> PhasorSettings:
        """The settings that the controls show."""
        return PhasorSettings(
            frequency=self.hertz.value, a_volts=self.a.value, b_volts=self.b.value, later_deg=self.later.value,
            view=self.view.value, turned=self.player.turned, moving=self.player.playing,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        trouble = next((c.trouble for c in (self.hertz, self.a, self.b, self.later, self.player) if c.trouble), "")
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        self.result = compute_phasors(self.settings)
        self.picture.value = draw_phasors(self.result)
        self.line.value = status(self.result.line)

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.hertz.widget, self.a.widget, self.b.widget, self.later.widget],
            "View": [labelled(self.view), self.player.widget],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])


def _with_third(one: Wave, two: Wave, view: str) -> tuple[tuple[Wave, ...], tuple[tuple[complex, complex], ...]]:
    """A and B, and the arrow between their tips or their sum with the moved copy of B."""
    if view == GAP:
        return (one, two, Wave("gap", one.phasor - two.phasor, _THIRD, tail=two.phasor)), ()
    if view == SERIES:
        total = one.phasor + two.phasor
        return (one, two, Wave("A+B", total, _THIRD)), ((one.phasor, total), (two.phasor, total))
    return (one, two), ()


def _line(s: PhasorSettings, third: float, waves: tuple[Wave, ...]) -> str:
    late = abs(s.later_deg)
    by = f"{late:g}° {'later' if s.later_deg > 0 else 'earlier'}"
    ms = milliseconds(late / 360 / s.frequency)
    told = f"B peaks {by} than A, {ms} of a period of {milliseconds(1 / s.frequency)}: "
    told += "B lags." if s.later_deg > 0 else "B leads."
    if late in (0, 180):
        told = "A and B peak together: in step." if late == 0 else "B peaks when A is at its lowest: in opposition."
    sizes = {EACH: "", GAP: f"Between the tips {decimal(third)} V.", SERIES: f"A and B in series {decimal(third)} V."}
    now = "" if s.moving else moment(waves, s.frequency, s.turned)
    return " ".join(p for p in (f"A {decimal(s.a_volts)} V, B {decimal(s.b_volts)} V.", told, sizes[s.view], now) if p)
