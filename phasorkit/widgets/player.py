"""Play, pause and step through one period: the moment as degrees of a turn, with an exact box.

The clock is a `Play` widget, whose own buttons are icons without a name for a screen reader; it stays out of sight
(but on the page, for its view runs the clock), and buttons with words start and stop it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from phasorkit.widgets.numbers import NumberControl

PLAY, PAUSE = "Play", "Pause"
STEP = 5
"""Degrees from one frame to the next."""


class Clock:
    """A clock with one button in words; `play` counts up while it runs.

    Parameters
    ----------
    top : int
        Where the count begins again.
    interval : int
        From one count to the next [ms].
    """

    def __init__(self, *, top: int, interval: int) -> None:
        self.play = w.Play(
            value=0, min=0, max=top, step=1, interval=interval, repeat=True, show_repeat=False,
            tooltip="Clock", layout=w.Layout(display="none"),
        )  # fmt: skip
        self.start = w.Button(description=PLAY, layout=w.Layout(width="130px"))
        self.play.observe(self._started_or_stopped, "playing")
        self.start.on_click(self._toggled)
        self.widget = w.HBox([self.start, self.play])

    @property
    def playing(self) -> bool:
        """Whether it runs now."""
        return bool(self.play.playing)

    def stop(self) -> None:
        """Stand still."""
        self.play.playing = False

    def _started_or_stopped(self, _change: object) -> None:
        self.start.description = PAUSE if self.playing else PLAY

    def _toggled(self, _button: object) -> None:
        self.play.playing = not self.playing


class Player:
    """A play button and a slider that agree; `turned` is the part of a period that has gone by.

    Parameters
    ----------
    changed : callable
        Called without arguments after every change.
    interval : int
        From one frame to the next [ms].
    """

    def __init__(self, *, changed: Callable[[], None], interval: int = 100) -> None:
        self._changed = changed
        self.clock = Clock(top=360 // STEP - 1, interval=interval)
        self.play = self.clock.play
        self.rewind = w.Button(description="Back to 0°", layout=w.Layout(width="130px"))
        self.control = NumberControl(
            "Turned by", unit="°", value=0, high=360 - STEP, step=STEP, changed=self._moved, example="30"
        )
        self.play.observe(self._ticked, "value")
        self.play.observe(self._started_or_stopped, "playing")
        self.rewind.on_click(self._rewound)
        row = w.HBox([self.clock.widget, self.rewind, w.Label("in slow motion")])
        self.widget = w.VBox([row, self.control.widget])

    @property
    def turned(self) -> float:
        """Part of a period, from 0 up to below 1."""
        return self.control.value / 360

    @property
    def trouble(self) -> str:
        """What is wrong with the box."""
        return self.control.trouble

    @property
    def playing(self) -> bool:
        """Whether it runs now."""
        return self.clock.playing

    def _ticked(self, change: Any) -> None:
        degrees = float(STEP * change["new"])
        if self.control.value // STEP != change["new"]:
            self.control.set(degrees)

    def _moved(self) -> None:
        self.play.value = int(self.control.value // STEP)
        self._changed()

    def _started_or_stopped(self, _change: object) -> None:
        self._changed()

    def _rewound(self, _button: object) -> None:
        self.clock.stop()
        self.control.set(0.0)
