"""Arrows and their sine waves at the same moment: each arrow's height is its wave's momentary value."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import floor

import numpy as np

from phasorkit.draw import words
from phasorkit.draw.dial import GRID, ZERO, Dial, Wave, decimal, legend, milliseconds, rim
from phasorkit.draw.frame import round_volts
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GREY, INK, TEXT
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.phasors import waveform

WIDTH, HEIGHT = 540.0, 318.0
_MIDDLE, _RADIUS = 114 + 162j, 98.0
_LEFT, _RIGHT, _PERIODS = 262.0, 530.0, 1.5


def turning(
    waves: Sequence[Wave],
    *,
    frequency: float,
    turned: float = 0.0,
    top: float | None = None,
    copies: Iterable[tuple[complex, complex]] = (),
    sides: bool = False,
) -> Picture:
    """Draw arrows on a dial, and beside it their waves, all at one moment.

    Parameters
    ----------
    waves : sequence of Wave
    frequency : float
        [Hz].
    turned : float
        Part of a period that has gone by, from 0 to 1; 0 is the moment when an arrow at 0° peaks.
    top : float, optional
        Volts at the rim [V peak]; by default a round number that holds all peaks.
    copies : pairs of complex
        Further dashed lines on the dial, from and to [V rms]: an arrow moved to another's tip.
    sides : bool
        Join the tips: the triangle of the line voltages.

    Returns
    -------
    Picture
        Arrows are as long as the peak; the ring on each marks its rms value, which a meter shows.

    Examples
    --------
    >>> from phasorkit.draw.style import strands
    >>> look = strands(("L1",))["L1"]
    >>> turning([Wave("A", 8, look)], frequency=50, turned=0.25).text
    'A 8 V rms, peak 11.3 V at 0 ms. At 5 ms: A 0 V.'
    """
    dial = Dial(_MIDDLE, _RADIUS, top or rim(w.peak for w in waves), turned)
    canvas = Canvas(WIDTH, HEIGHT)
    _axes(canvas, dial, frequency)
    dial.draw(canvas, waves, copies=copies, sides=sides)
    _curves(canvas, dial, waves)
    legend(canvas, waves, at=14 + 18j)
    caption = f"one turn in {milliseconds(1 / frequency)}, anticlockwise"
    canvas.text(complex(_MIDDLE.real, HEIGHT - 26), [caption], size=TEXT - 3, colour=GREY, bold=0)
    canvas.text(complex(_MIDDLE.real, HEIGHT - 9), ["ring on an arrow: rms"], size=TEXT - 3, colour=GREY, bold=0)
    text = f"{peaks(waves, frequency)} {moment(waves, frequency, turned)}"
    title = f"Arrows and waves of {words.listed(w.name for w in waves)}"
    return Picture(canvas.render(title=title, text=text), title, text)


def peaks(waves: Sequence[Wave], frequency: float) -> str:
    """Each wave's rms value, its peak and when it comes, in one sentence."""
    said = []
    for wave in waves:
        when = milliseconds(wave.peak_at() / frequency)
        peak = f", peak {decimal(wave.peak)} V at {when}" if wave.peak > 1e-9 else ""
        said.append(f"{wave.name} {decimal(abs(wave.phasor))} V rms{peak}")
    return "; ".join(said) + "."


def moment(waves: Sequence[Wave], frequency: float, turned: float) -> str:
    """The momentary values in one sentence."""
    now = words.listed(f"{w.name} {decimal(w.now(turned))} V" for w in waves)
    return f"At {milliseconds(turned / frequency)}: {now}."


def _axes(canvas: Canvas, dial: Dial, frequency: float) -> None:
    low, high = dial.middle.imag + dial.radius, dial.middle.imag - dial.radius
    step = round_volts(dial.top / 2)
    for k in range(-floor(dial.top / step + 1e-9), floor(dial.top / step + 1e-9) + 1):
        y = dial.middle.imag - dial.radius * k * step / dial.top
        canvas.line([complex(_LEFT, y), complex(_RIGHT, y)], ZERO if k == 0 else GRID)
        canvas.text(complex(_LEFT - 6, y), [decimal(k * step)], size=TEXT - 3, colour=GREY, anchor="end", bold=0)
    canvas.text(complex(_LEFT, high - 16), ["volts [V]"], size=TEXT - 3, colour=GREY, bold=0)
    span = 1e3 * _PERIODS / frequency
    step = round_volts(span / 4)
    for k in range(floor(span / step + 1e-9) + 1):
        x = _LEFT + (_RIGHT - _LEFT) * k * step / span
        canvas.line([complex(x, high), complex(x, low)], GRID)
        canvas.text(complex(x, low + 13), [f"{k * step:g}"], size=TEXT - 3, colour=GREY, bold=0)
    canvas.text(complex((_LEFT + _RIGHT) / 2, low + 32), ["time [ms]"], size=TEXT - 2, colour=INK, bold=0)


def _curves(canvas: Canvas, dial: Dial, waves: Sequence[Wave]) -> None:
    turns = np.linspace(0, _PERIODS, 73)
    across = _LEFT + (_RIGHT - _LEFT) * turns / _PERIODS
    now = _LEFT + (_RIGHT - _LEFT) * dial.turned / _PERIODS
    edge = dial.radius + 6
    canvas.line([complex(now, dial.middle.imag - edge), complex(now, dial.middle.imag + edge)], Pen(INK, 1.2))
    for wave in waves:
        down = dial.middle.imag - dial.radius / dial.top * waveform(wave.phasor, frequency=1, time=turns)
        chain = [complex(x, y) for x, y in zip(across, down, strict=True)]
        canvas.line(chain, wave.strand.pen(), extra=f'data-wave="{wave.name}"')
    for wave in waves:
        place = complex(now, dial.middle.imag - dial.radius / dial.top * wave.now(dial.turned))
        if wave.tail == 0:
            canvas.line([dial.at(wave.phasor), place], Pen(wave.strand.colour, 1, dash="2 4"))
        canvas.circle(place, 4, Pen(wave.strand.colour, 1.6, fill=wave.strand.colour), f'data-now="{wave.name}"')
