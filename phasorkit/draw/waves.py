"""The same volts in time: sine waves in the colours and dash patterns of the arrows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import floor, sqrt

import numpy as np

from phasorkit.draw import words
from phasorkit.draw.frame import round_volts
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK, TEXT, Strand, mark, strands
from phasorkit.draw.survey import Survey, survey
from phasorkit.draw.svg import Canvas, Pen, text_width
from phasorkit.indicators import Reading
from phasorkit.phasors import angle_deg, waveform

_PERIODS = 1.5
_LEFT, _RIGHT, _TOP, _HALF = 70.0, 620.0, 60.0, 200.0
_LAMP = Strand(INK, "", "diamond")


def waveforms(reading: Reading, *, nodes: Sequence[str] | None = None) -> Picture:
    """Draw the volts of one reading as waves over one and a half periods.

    Parameters
    ----------
    reading : Reading
        Any indicator on any supply and wiring; single values, not batched.
    nodes : sequence of str, optional
        Nodes to show, against the star point; by default the probes. The lamps are always shown.

    Returns
    -------
    Picture
        Time in milliseconds, momentary volts: peaks are √2 times the rms values of the other pictures.

    Raises
    ------
    ValueError
        Batched reading.
    KeyError
        A node that the circuit does not have.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> waveforms(bridge.on(bridge.supply("132"))).text.split(". ")[1]
    'Peaks: L1 at 0.0 ms, L3 at 6.7 ms and L2 at 13.3 ms'
    """
    facts = survey(reading)
    shown = _shown(facts, nodes)
    canvas = Canvas(640, 520)
    top = sqrt(2) * facts.line_voltage
    highest = sqrt(2) * max((abs(z) for _, z, _ in shown), default=0.0)
    top *= next((s for s in (1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 30.0) if highest <= s * top), 100.0)
    _axes(canvas, facts, top)
    time = np.linspace(0, _PERIODS / facts.frequency, 109)
    across = _LEFT + (_RIGHT - _LEFT) * np.linspace(0, 1, 109)
    for name, phasor, strand in shown:
        down = _TOP + _HALF - _HALF / top * waveform(phasor, frequency=facts.frequency, time=time)
        chain = [complex(x, y) for x, y in zip(across, down, strict=True)]
        canvas.line(chain, strand.pen(3.2 if strand is _LAMP else 2.2), extra=f'data-wave="{name}"')
    for _, phasor, strand in shown:
        if abs(phasor) > 0.01 * facts.line_voltage:
            mark(canvas, _peak_place(phasor, top), strand)
    _legend(canvas, facts, shown)
    title = f"{facts.title}: waves, sequence {words.sequence(facts.sequence)}"
    text = words.sentences((words.setting(facts), _peaks(facts, shown), words.lamps(facts)))
    return Picture(canvas.render(title=title, text=text), title, text)


def _shown(facts: Survey, nodes: Sequence[str] | None) -> list[tuple[str, complex, Strand]]:
    """What to draw: name, phasor and look, lamps last."""
    looks = strands(tuple(facts.nodes))
    chosen = [n for n in facts.held if n in facts.touching] if nodes is None else list(nodes)
    unknown = [n for n in chosen if n not in facts.nodes]
    if unknown:
        raise KeyError(f"no node {unknown[0]!r}; there are {', '.join(facts.nodes)}")
    named = [(n, facts.nodes[n], looks[n]) for n in sorted(chosen) if n in facts.held]
    return named + [(lamp.name, lamp.volts, _LAMP) for lamp in facts.lamps]


def _axes(canvas: Canvas, facts: Survey, top: float) -> None:
    grid, bottom = Pen("#e3e7ec", 1), _TOP + 2 * _HALF
    step = round_volts(top / 2.5)
    for k in range(-floor(top / step), floor(top / step) + 1):
        y = _TOP + _HALF - _HALF * k * step / top
        canvas.line([complex(_LEFT, y), complex(_RIGHT, y)], Pen(FAINT, 1.4) if k == 0 else grid)
        label = f"{k * step:g}".replace("-", "−")
        canvas.text(complex(_LEFT - 8, y), [label], size=TEXT - 2, colour=GREY, anchor="end", bold=0)
    span = 1e3 * _PERIODS / facts.frequency
    step = round_volts(span / 5)
    for k in range(floor(span / step + 1e-9) + 1):
        x = _LEFT + (_RIGHT - _LEFT) * k * step / span
        canvas.line([complex(x, _TOP), complex(x, bottom)], grid)
        canvas.text(complex(x, bottom + 14), [f"{k * step:g}"], size=TEXT - 2, colour=GREY, bold=0)
    canvas.text(complex((_LEFT + _RIGHT) / 2, bottom + 36), ["time [ms]"], size=TEXT - 1, colour=INK, bold=0)
    canvas.text(complex(_LEFT - 8, _TOP - 16), ["volts [V]"], size=TEXT - 1, colour=INK, bold=0)


def _peak_time(phasor: complex) -> float:
    """Time of the first positive peak, in periods, from 0 up to below 1."""
    return round(-float(angle_deg(phasor)) / 360 + 1e-9, 6) % 1


def _peak_place(phasor: complex, top: float) -> complex:
    x = _LEFT + (_RIGHT - _LEFT) * _peak_time(phasor) / _PERIODS
    return complex(x, _TOP + _HALF - _HALF * sqrt(2) * abs(phasor) / top)


def _legend(canvas: Canvas, facts: Survey, shown: Iterable[tuple[str, complex, Strand]]) -> None:
    x = 14.0
    heading = f"Sequence {words.sequence(facts.sequence)}"
    canvas.text(complex(x, 22), [heading], size=TEXT, colour=INK, anchor="start")
    x += text_width(heading, TEXT) + 22
    for name, _, strand in shown:
        canvas.line([complex(x, 22), complex(x + 34, 22)], strand.pen(3.2 if strand is _LAMP else 2.2))
        mark(canvas, complex(x + 17, 22), strand)
        canvas.text(complex(x + 40, 22), [name], size=TEXT, colour=INK, anchor="start", bold=1)
        x += 40 + text_width(name, TEXT) + 16


def _peaks(facts: Survey, shown: Iterable[tuple[str, complex, Strand]]) -> str:
    nodes = [(_peak_time(z), name) for name, z, look in shown if look is not _LAMP and abs(z) > 0.05]
    said = [f"{name} at {1e3 * t / facts.frequency:.1f} ms" for t, name in sorted(nodes)]
    return f"Peaks: {words.listed(said)}." if said else ""
