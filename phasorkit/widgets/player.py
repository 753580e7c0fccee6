"""Play, pause and step through one period: the moment as degrees of a turn, with an exact box."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from phasorkit.widgets.numbers import NumberControl

STEP = 5
"""Degrees from one frame to the next."""


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
        self.play = w.Play(
            value=0, min=0, max=360 // STEP - 1, step=1, interval=interval, repeat=True, show_repeat=False,
            tooltip="Turn: play, pause, stop",
        )  # fmt: skip
        self.control = NumberControl(
            "Turned by", unit="°", value=0, high=360 - STEP, step=STEP, changed=self._moved, example="30"
        )
        self.play.observe(self._ticked, "value")
        self.play.observe(self._started_or_stopped, "playing")
        words = w.Label("a slow-motion turn: play, pause, stop")
        self.widget = w.VBox([w.HBox([self.play, words]), self.control.widget])

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
        return bool(self.play.playing)

    def _ticked(self, change: Any) -> None:
        degrees = float(STEP * change["new"])
        if self.control.value // STEP != change["new"]:
            self.control.set(degrees)

    def _moved(self) -> None:
        self.play.value = int(self.control.value // STEP)
        self._changed()

    def _started_or_stopped(self, _change: object) -> None:
        self._changed()
