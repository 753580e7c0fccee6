"""The screen of a two-channel scope: two waves on a ruled field, triggered by channel 1."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, log10

import numpy as np

from phasorkit.draw import words
from phasorkit.draw.dial import Dial, Wave, decimal, milliseconds, rim
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GREY, INK, PROOF, TEXT
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.phasors import waveform

TIME_BASES = (1.0, 2.0, 5.0)
"""Settings of the time base [ms per division]."""

ACROSS, UP, _DIVISION = 10, 8, 30.0
"""Divisions of the field, and one of them [px]; channel 1 rises through zero at the left edge."""

WIDTH, HEIGHT = 540.0, 318.0
_CORNER = 226 + 38j
_MIDDLE, _RADIUS = 104 + 162j, 84.0


def scope(
    one: Wave,
    two: Wave,
    *,
    frequency: float,
    ms_per_division: float = 2.0,
    reading: bool = True,
    star: Sequence[Wave] = (),
    turned: float = 0.0,
) -> Picture:
    """Draw the screen of a two-channel scope, with the arrows of a supply beside it if there are any.

    Parameters
    ----------
    one, two : Wave
        What hangs on channel 1 and on channel 2, both against the common ground.
    frequency : float
        [Hz].
    ms_per_division : float
        One of `TIME_BASES`, or any other positive value [ms].
    reading : bool
        Write the delay of channel 2 into the picture and the words.
    star : sequence of Wave
        Arrows for a dial beside the screen; without `reading` their place stays, with a question in it.
    turned : float
        Part of a period by which the dial has turned.

    Returns
    -------
    Picture
        Ten by eight divisions; channel 1 rises through zero at the left edge.

    Raises
    ------
    ValueError
        A time base that is not positive, or a channel without volts.

    Examples
    --------
    >>> from phasorkit.draw.style import strands
    >>> looks = strands(("L1", "L2"))
    >>> a, b = Wave("L1", 230, looks["L1"]), Wave("L2", 230 * (-0.5 - 0.75**0.5 * 1j), looks["L2"])
    >>> scope(a, b, frequency=50).text.split(". ")[1]
    'Channel 2 rises through zero 6.67 ms after channel 1; of a period of 20 ms that is 120°.'
    """
    if not ms_per_division > 0:
        raise ValueError(f"ms_per_division must be positive [ms], got {ms_per_division!r}")
    if not (abs(one.phasor) > 0 and abs(two.phasor) > 0):
        raise ValueError("each channel must have volts: a flat line shows no delay")
    canvas = Canvas(WIDTH, HEIGHT) if star else Canvas(330, HEIGHT)
    corner = _CORNER if star else 15 + 38j
    if star and reading:
        _star(canvas, star, turned)
    elif star:
        canvas.text(_MIDDLE, ["1-2-3", "or", "1-3-2?"], size=TEXT + 3, colour=GREY)
    per_division = volts_per_division(max(one.peak, two.peak))
    _field(canvas, corner)
    periods = 1e-3 * ms_per_division * frequency
    for wave in (one, two):
        _trace(canvas, corner, wave, lead=_rise(one), periods=periods, volts=per_division)
    if reading:
        _delay_mark(canvas, corner, delay(one, two) / periods)
    _captions(canvas, corner, (one, two), (ms_per_division, per_division))
    text = in_words(one, two, frequency=frequency, ms_per_division=ms_per_division, reading=reading)
    title = f"Two-channel scope on {one.name} and {two.name}"
    return Picture(canvas.render(title=title, text=text), title, text)


def delay(one: Wave, two: Wave) -> float:
    """How much later channel 2 rises through zero than channel 1, in periods, from 0 up to below 1."""
    return round((two.peak_at() - one.peak_at()) % 1, 6) % 1


def in_words(one: Wave, two: Wave, *, frequency: float, ms_per_division: float, reading: bool) -> str:
    """What the screen shows; with `reading` also the delay."""
    volts = decimal(volts_per_division(max(one.peak, two.peak)))
    said = [
        f"Channel 1 on {one.name}, channel 2 on {two.name}, {ms_per_division:g} ms and {volts} V per division.",
    ]
    if reading:
        part = delay(one, two)
        late, period = milliseconds(part / frequency), milliseconds(1 / frequency)
        said.append(
            f"Channel 2 rises through zero {late} after channel 1; of a period of {period} that is {360 * part:.0f}°."
        )
    return words.sentences(said)


def volts_per_division(peak: float) -> float:
    """The finest of 1, 2, 5 times a power of ten at which a peak stays on the screen [V].

    >>> volts_per_division(326.6), volts_per_division(19.6)
    (100.0, 5.0)
    """
    least = peak / (UP / 2)
    power = 10.0 ** floor(log10(least))
    return next(m * power for m in (1.0, 2.0, 5.0, 10.0) if least <= m * power * (1 + 1e-9))


def _star(canvas: Canvas, waves: Sequence[Wave], turned: float) -> None:
    dial = Dial(_MIDDLE, _RADIUS, rim(w.peak for w in waves), turned)
    dial.draw(canvas, waves, copies=(), sides=True)
    below = complex(_MIDDLE.real, HEIGHT - 18)
    canvas.text(below, ["side: line voltage", "arrow: phase voltage"], size=TEXT - 3, colour=GREY, bold=0)


def _rise(wave: Wave) -> float:
    """When a wave rises through zero, in periods: a quarter before its peak."""
    return wave.peak_at() - 0.25


def _field(canvas: Canvas, corner: complex) -> None:
    wide, high = ACROSS * _DIVISION, UP * _DIVISION
    frame = [corner, corner + wide, corner + wide + 1j * high, corner + 1j * high]
    canvas.line(frame, Pen(INK, 1.6, fill="#f6f8fa"), closed=True)
    for k in range(1, ACROSS):
        x = corner + k * _DIVISION
        canvas.line([x, x + 1j * high], Pen("#c3cad3", 1.6 if k == ACROSS // 2 else 0.8))
    for k in range(1, UP):
        y = corner + 1j * k * _DIVISION
        canvas.line([y, y + wide], Pen("#c3cad3", 1.6 if k == UP // 2 else 0.8))


def _trace(canvas: Canvas, corner: complex, wave: Wave, *, lead: float, periods: float, volts: float) -> None:
    """One trace: the field begins `lead` periods after time zero, a division is `periods` long and `volts` high."""
    points = max(73, min(361, ceil(36 * ACROSS * periods)))
    divisions = np.linspace(0, ACROSS, points)
    down = UP / 2 - waveform(wave.phasor, frequency=1, time=lead + divisions * periods) / volts
    chain = [corner + complex(x, y) * _DIVISION for x, y in zip(divisions, down, strict=True)]
    canvas.line(chain, wave.strand.pen(2.4), extra=f'data-trace="{wave.name}"')


def _delay_mark(canvas: Canvas, corner: complex, divisions: float) -> None:
    """A double line from one rise to the other, as far as the screen goes."""
    start = corner + 1j * (UP - 0.45) * _DIVISION
    if divisions > ACROSS:
        canvas.text(start + 8, ["channel 2 rises off the screen"], size=TEXT - 3, colour=PROOF.stroke, anchor="start")
        return
    end = start + divisions * _DIVISION
    middle = corner.imag + UP / 2 * _DIVISION
    for x in {start.real, end.real}:
        canvas.line([complex(x, middle), complex(x, start.imag + 6)], Pen(PROOF.stroke, 1.2, dash="3 3"))
    if divisions > 0.3:
        canvas.arrow([start, end], Pen(PROOF.stroke, 1.8), head=9, extra='data-delay="1"')


def _captions(canvas: Canvas, corner: complex, channels: tuple[Wave, Wave], scale: tuple[float, float]) -> None:
    for k, wave in enumerate(channels):
        x = corner + complex(150 * k, -20)
        canvas.line([x, x + 30], wave.strand.pen(2.6))
        canvas.text(x + 36, [f"channel {k + 1}: {wave.name}"], size=TEXT - 1, colour=INK, anchor="start", bold=1)
    said = f"one division: {scale[0]:g} ms across, {decimal(scale[1])} V up"
    below = corner + complex(ACROSS * _DIVISION / 2, UP * _DIVISION + 20)
    canvas.text(below, [said], size=TEXT - 3, colour=GREY, bold=0)
