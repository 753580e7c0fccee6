"""A lamp in time: its volts and its current over a period, or close around the moment at which it strikes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor

import numpy as np

from phasorkit.draw import words
from phasorkit.draw.frame import round_volts
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GLOW, GREY, INK
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.phasors import FloatArray, waveform
from phasorkit.quantities import render
from phasorkit.switching import Led, SwitchingLamp
from phasorkit.time_course import LampFigures, TimeCourse

WIDTH, HEIGHT = 640.0, 420.0
_LEFT, _RIGHT = 66.0, 612.0
_TEXT = 14.0
_VOLTS_TOPS = (3.0, 6.0, 12.0, 30.0, 60.0, 120.0, 200.0, 300.0, 600.0, 1200.0)
_AMPERE_TOPS = tuple(m * 10.0**p for p in range(-6, 1) for m in (1.0, 2.0, 5.0))
_UNLIT, _LEVEL, _NOW = Pen(FAINT, 1.6, dash="2 4"), Pen("#a3261b", 1.3, dash="9 5"), Pen("#6a7fa8", 1.4)
_PENS = (Pen(INK, 2.4), Pen("#008a80", 2.4, dash="9 4"))
BEFORE, AFTER = 20e-6, 80e-6
"""The close view: so long before and after the moment of striking [s]."""
REVERSE = 5.0
"""Volts that an LED bears in reverse [V] (common practice, data sheets)."""
_STEPS = 121
_FOLLOWING = np.array([-1e-9, 1e-9, 1e-6, 2e-6, 4e-6, 7e-6, 12e-6, 20e-6, 35e-6, 60e-6, 120e-6])
"""Where the course is looked at around a switching, besides the even grid [s]."""


@dataclass(frozen=True)
class _Panel:
    """A part of the picture with its own scale: middle and half height [px], value at the top."""

    middle: float
    half: float
    top: float

    def y(self, value: FloatArray) -> FloatArray:
        """Down the page [px]; NaN for values beyond the frame."""
        part = value / self.top
        return np.where(np.abs(part) <= 1, self.middle - self.half * part, np.nan)


def lamp_time(
    course: TimeCourse,
    *,
    frequency: float,
    free: Mapping[str, complex],
    close: bool = False,
    moment: float | None = None,
) -> Picture:
    """Draw what every lamp of a course does.

    Parameters
    ----------
    course : TimeCourse
        Its first period is drawn.
    frequency : float
        [Hz].
    free : mapping of lamp to phasor
        Volts that each lamp would have if it never lit [V rms].
    close : bool
        Only the time around a strike, where there is one.
    moment : float, optional
        Part of the period at which a line stands and the lamps are shown as they are then.

    Returns
    -------
    Picture
        Momentary values: volts above, current below; strips between them where a lamp is lit.

    Examples
    --------
    >>> from phasorkit.network import Element, Network
    >>> from phasorkit.switching import GlowLamp
    >>> from phasorkit.transient import steady_state
    >>> lamp = SwitchingLamp("H1", "a", "N", GlowLamp())
    >>> net = Network((Element("R1", "R", 220e3, "L1", "a"),))
    >>> course = steady_state(net, {"L1": 230, "N": 0}, frequency=50, lamps=(lamp,))
    >>> lamp_time(course, frequency=50, free={"H1": 230}).text.split(". ")[1]
    'It lights twice a period and is lit 84 % of the time'
    """
    canvas = Canvas(WIDTH, HEIGHT)
    struck = _strike(course, 1 / frequency) if close else None
    start, end = (0.0, 1 / frequency) if struck is None else (struck - BEFORE, struck + AFTER)
    times = _times(course, start, end)
    volts = {p.name: course.voltage(p.a, p.b, times=times) for p in course.lamps}
    ampere = {p.name: course.lamp_current(p.name, times=times) for p in course.lamps}
    panels = (
        _Panel(128, 98, _top(volts, _VOLTS_TOPS, 1.1)),
        _Panel(323, 52, _top(ampere, _AMPERE_TOPS, 1.02)),
    )
    across = _LEFT + (_RIGHT - _LEFT) * (times - start) / (end - start)
    _axes(canvas, panels, start, end, struck)
    for k, lamp in enumerate(course.lamps):
        _levels(canvas, panels[0], lamp, named=k == 0)
        unlit = waveform(free[lamp.name], frequency=frequency, time=times)
        _curve(canvas, across, panels[0].y(unlit), _UNLIT, f'data-free="{lamp.name}"')
    for k, lamp in enumerate(course.lamps):
        pen = _PENS[k % len(_PENS)]
        _curve(canvas, across, panels[0].y(volts[lamp.name]), pen, f'data-volts="{lamp.name}"')
        _curve(canvas, across, panels[1].y(ampere[lamp.name]), pen, f'data-ampere="{lamp.name}"')
        _strip(canvas, course, k, times, across)
    if moment is not None and struck is None:
        _now(canvas, course, moment / frequency, _LEFT + (_RIGHT - _LEFT) * moment)
    _legend(canvas, course)
    text = describe(course, frequency=frequency, free=free)
    title = "A lamp around its strike" if struck is not None else "A lamp in time"
    return Picture(canvas.render(title=title, text=text), title, text)


def describe(course: TimeCourse, *, frequency: float, free: Mapping[str, complex]) -> str:
    """What every lamp does, in words."""
    return " ".join(_said(lamp, course.lamp(lamp.name), frequency, abs(free[lamp.name])) for lamp in course.lamps)


def _said(lamp: SwitchingLamp, f: LampFigures, frequency: float, unlit: float) -> str:
    first = f"{lamp.name} would have {words.volts(unlit)} rms unlit"
    back = -f.volts_min
    suffers = isinstance(lamp.model, Led) and back > REVERSE
    reverse = f" In reverse it has up to {words.volts(back)}: no LED bears that." if suffers else ""
    if not f.lit_fraction:
        return f"{first} and never lights.{reverse}"
    count = f.strikes_per_second / frequency
    times = {1.0: "once", 2.0: "twice"}.get(round(count, 2), f"{count:.3g} times")
    most = words.volts(f.volts_max if suffers else max(f.volts_max, back))
    return (
        f"{first}. It lights {times} a period and is lit {100 * f.lit_fraction:.0f} % of the time. It never has more "
        f"than {most}{' forward' if suffers else ''}; its current is {_milliampere(f.mean_ampere)} in the mean, "
        f"{_milliampere(f.peak_ampere)} at most.{reverse}"
    )


def _milliampere(value: float) -> str:
    return f"{1e3 * value:.2g} mA"


def _times(course: TimeCourse, start: float, end: float) -> FloatArray:
    """An even grid, and the switchings with what follows them."""
    changes = [t for lamp in course.lamps for t, _ in course.switchings(lamp.name)]
    near = (np.array(changes)[:, None] + _FOLLOWING).ravel()
    every = np.unique(np.concatenate([np.linspace(start, end, _STEPS), near]))
    return every[(every >= start) & (every <= min(end, course.duration))]


def _strike(course: TimeCourse, period: float) -> float | None:
    """The first moment in the first period at which a lamp begins to glow, with room around it for the close view."""
    found = [
        t
        for lamp in course.lamps
        for t, piece in course.switchings(lamp.name)
        if lamp.model.pieces[piece].glows and BEFORE <= t <= period - AFTER
    ]
    return min(found, default=None)


def _top(values: Mapping[str, FloatArray], tops: Sequence[float], room: float) -> float:
    highest = room * max(float(np.max(np.abs(v))) for v in values.values())
    return next((t for t in tops if highest <= t), highest)


def _curve(canvas: Canvas, across: FloatArray, down: FloatArray, pen: Pen, extra: str) -> None:
    """A curve, left out where it is beyond the frame (NaN)."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], np.isfinite(down), [False]]).astype(int)))
    for first, behind in zip(edges[::2], edges[1::2], strict=True):
        pairs = zip(across[first:behind].tolist(), down[first:behind].tolist(), strict=True)
        canvas.line([complex(x, y) for x, y in pairs], pen, extra=extra)


def _axes(canvas: Canvas, panels: tuple[_Panel, _Panel], start: float, end: float, struck: float | None) -> None:
    grid = Pen("#e3e7ec", 1)
    for panel, unit in zip(panels, ("V", "A"), strict=True):
        for k in (-1, -0.5, 0, 0.5, 1):
            y = panel.middle - panel.half * k
            canvas.line([complex(_LEFT, y), complex(_RIGHT, y)], Pen(FAINT, 1.4) if k == 0 else grid)
            label = render(k * panel.top, unit, digits=3).replace("-", "−")
            if panel.half > 60 or k in (-1, 0, 1):
                canvas.text(complex(_LEFT - 6, y), [label], size=_TEXT - 3, colour=GREY, anchor="end", bold=0)
    scale, unit, origin = (1e3, "ms", 0.0) if struck is None else (1e6, "µs from the strike", struck)
    low, high = scale * (start - origin), scale * (end - origin)
    step = round_volts((high - low) / 5)
    bottom = panels[1].middle + panels[1].half
    for k in range(-floor(-low / step + 1e-9), floor(high / step + 1e-9) + 1):
        x = _LEFT + (_RIGHT - _LEFT) * (k * step - low) / (high - low)
        for panel in panels:
            canvas.line([complex(x, panel.middle - panel.half), complex(x, panel.middle + panel.half)], grid)
        canvas.text(complex(x, bottom + 13), [f"{k * step:g}".replace("-", "−")], size=_TEXT - 2, colour=GREY, bold=0)
    canvas.text(complex(_RIGHT, bottom + 29), [f"time [{unit}]"], size=_TEXT - 2, colour=INK, anchor="end", bold=0)


def _levels(canvas: Canvas, panel: _Panel, lamp: SwitchingLamp, *, named: bool) -> None:
    """The voltages at which the dark lamp strikes."""
    for leave in next(iter(lamp.model.pieces.values())).leaves:
        glows = any(lamp.model.pieces[to].glows for to in leave.to)
        if glows and abs(leave.level) < panel.top:
            y = float(panel.y(np.array(leave.level)))
            canvas.line([complex(_LEFT, y), complex(_RIGHT, y)], _LEVEL, extra='data-level="strike"')
            if named and leave.sign > 0:
                word = f"lights at {render(leave.level, 'V', digits=3)}"
                canvas.text(complex(_RIGHT, y - 9), [word], size=_TEXT - 2, colour="#a3261b", anchor="end", bold=0)


def _strip(canvas: Canvas, course: TimeCourse, k: int, times: FloatArray, across: FloatArray) -> None:
    """A thick line where the lamp is lit."""
    lamp, y = course.lamps[k], 240 + 13 * k
    lit = np.array([lamp.model.pieces[p].glows for p in course.states(lamp.name, times=times)])
    canvas.text(complex(_LEFT - 6, y), [f"{lamp.name} lit"], size=_TEXT - 3, colour=GREY, anchor="end", bold=0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], lit, [False]]).astype(int)))
    for first, behind in zip(edges[::2], edges[1::2], strict=True):
        ends = [float(across[first]), float(across[behind - 1])]
        corners = [complex(ends[0], y - 4), complex(ends[1], y - 4), complex(ends[1], y + 4), complex(ends[0], y + 4)]
        canvas.line(corners, Pen(INK, 0.8, fill=GLOW), closed=True, extra=f'data-lit="{lamp.name}"')


def _now(canvas: Canvas, course: TimeCourse, at: float, x: float) -> None:
    """A line at a moment, and what each lamp does then."""
    canvas.line([complex(x, 30), complex(x, 375)], _NOW, extra='data-now="1"')
    said = []
    for k, lamp in enumerate(course.lamps):
        lit = lamp.model.pieces[course.states(lamp.name, times=[at])[0]].glows
        volts = float(course.voltage(lamp.a, lamp.b, times=[at])[0])
        ampere = float(course.lamp_current(lamp.name, times=[at])[0])
        said.append(f"{lamp.name} {'lit' if lit else 'dark'}, {volts:.1f} V, {1e3 * ampere:.2f} mA".replace("-", "−"))
        canvas.circle(complex(_LEFT + 8 + 250 * k, 408), 8, Pen(INK, 1.6, fill=GLOW if lit else "#ffffff"))
        canvas.text(complex(_LEFT + 22 + 250 * k, 408), [said[-1]], size=_TEXT - 1, colour=INK, anchor="start", bold=0)


def _legend(canvas: Canvas, course: TimeCourse) -> None:
    names = [(lamp.name, _PENS[k % len(_PENS)]) for k, lamp in enumerate(course.lamps)]
    x = _LEFT
    for name, pen in (*names, ("if it never lit", _UNLIT)):
        canvas.line([complex(x, 14), complex(x + 30, 14)], pen)
        canvas.text(complex(x + 36, 14), [name], size=_TEXT - 1, colour=INK, anchor="start", bold=0)
        x += 36 + 7.5 * len(name) + 22
