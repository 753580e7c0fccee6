"""The circle of the RC shifter: R and C to scale on their half circle, and the two voltages in time beside it."""

from __future__ import annotations

from cmath import exp, pi
from math import radians

import numpy as np

from phasorkit.analysis.shifter import LATE, SOUND, Shifter, Turned
from phasorkit.draw.dial import GRID, ZERO, decimal, milliseconds
from phasorkit.draw.frame import round_volts
from phasorkit.draw.layout import Ground, Wire, lay
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import part, part_label
from phasorkit.draw.style import GREY, HINT, INK, PROOF, TEXT, strands
from phasorkit.draw.survey import Span
from phasorkit.draw.svg import Canvas, Pen, number, point
from phasorkit.draw.symbols import symbol
from phasorkit.phasors import waveform
from phasorkit.quantities import render

WIDTH, HEIGHT = 540.0, 372.0
_SIDE = 250.0
"""Length of the source's volts [px]."""
_FOOT = 152 + 330j
"""Where the common wire lies."""
_LEFT, _RIGHT, _ZERO, _HIGH = 326.0, 530.0, 190.0, 104.0
_PERIODS = 1.25
_LOOKS = strands(("L1", "L2"))
_SOURCE, _OUTPUT = _LOOKS["L1"], _LOOKS["L2"]


def shifter_picture(
    shifter: Shifter, *, fault: str = SOUND, meter: float | None = None, symbols: str = "IEC"
) -> Picture:
    """Draw a shifter: its plane, with the source A–com pointing up, and its waves.

    Parameters
    ----------
    shifter : Shifter
    fault : str
        One of `phasorkit.analysis.shifter.FAULTS`.
    meter : float, optional
        Resistance of a meter between P and com [Ω].
    symbols : "IEC" or "NA"

    Returns
    -------
    Picture
        The distance of two points is the voltage between them [V rms]; later is clockwise.

    Examples
    --------
    >>> shifter = Shifter.turning_by(30, capacitance=100e-9, volts=12, frequency=50)
    >>> shifter_picture(shifter).text.split(". ")[1]
    'The output P–com, across C1, has 10.4 V and comes 30° later, 1.67 ms'
    """
    turned = shifter.turned(fault=fault, meter=meter)
    canvas, ground = Canvas(WIDTH, HEIGHT), Ground(300, HEIGHT)
    _heading(canvas, ground, shifter, fault, meter)
    _circle(canvas, ground, shifter, turned)
    _chain(canvas, ground, shifter, turned, fault, symbols)
    _waves(canvas, shifter, turned)
    text = describe(shifter, turned, fault=fault, meter=meter)
    title = "The circle of the RC shifter"
    return Picture(canvas.render(title=title, text=text), title, text)


def describe(shifter: Shifter, turned: Turned, *, fault: str = SOUND, meter: float | None = None) -> str:
    """The picture in words."""
    parts = f"R1 {render(shifter.resistance, 'Ω')}, C1 {render(shifter.capacitance, 'F')}"
    source = f"Source {_volts(shifter.volts)} at {shifter.frequency:g} Hz, {parts}"
    wrong = f", {fault}" if fault != SOUND else ""
    sides = f"R1 has {_volts(turned.r)}, C1 has {_volts(turned.c)}"
    if fault != SOUND:
        where = f"{sides}."
    elif meter is not None:
        where = f"{sides}; the meter of {render(meter, 'Ω')} pulls P off the half circle, inwards."
    else:
        where = f"{sides}; they meet at a right angle at P, on the half circle over A–com."
    return f"{source}{wrong}. {_output(shifter, turned)}. {where}"


def _output(shifter: Shifter, turned: Turned) -> str:
    if abs(turned.output) < 1e-3 * shifter.volts:
        return f"The output P–com, {shifter.output}, has no volts to speak of"
    late = round(abs(turned.late_deg), 1)
    said = f"The output P–com, {shifter.output}, has {_volts(turned.output)}"
    if late < 0.05:
        return f"{said} and is in step with the source"
    how = "later" if turned.late_deg > 0 else "earlier"
    return f"{said} and comes {late:g}° {how}, {milliseconds(late / 360 / shifter.frequency)}"


def _volts(value: complex | float) -> str:
    return f"{decimal(abs(value))} V"


# --- the plane --------------------------------------------------------------------------------------------


def _at(phasor: complex, volts: float) -> complex:
    return _FOOT - 1j * _SIDE / volts * complex(phasor).conjugate()


def _heading(canvas: Canvas, ground: Ground, shifter: Shifter, fault: str, meter: float | None) -> None:
    rows = [f"Output P–com, {shifter.output}"]
    rows += [fault] if fault != SOUND else []
    rows += [f"meter {render(meter, 'Ω')} on P–com"] if meter is not None else []
    canvas.text(complex(14, 8 + 9 * len(rows)), rows, size=TEXT, colour=INK, anchor="start", bold=1)
    ground.box(complex(110, 8 + 9 * len(rows)), 200, 18 * len(rows))
    volts = round_volts(shifter.volts * 70 / _SIDE)
    start, long = complex(14, HEIGHT - 14), volts * _SIDE / shifter.volts
    with canvas.group('data-scale-bar="1"'):
        canvas.line([start - 5j, start, start + long, start + long - 5j], Pen(INK, 1.6))
        middle = start + long / 2 - 12j
        canvas.text(middle, [render(volts, "V")], size=TEXT - 2, colour=GREY, bold=0)
    ground.box(start + long / 2 - 10j, long + 20, 30)


def _circle(canvas: Canvas, ground: Ground, shifter: Shifter, turned: Turned) -> None:
    """The source as a line, the half circle over it, and the angle at com."""
    a, b, p = (_at(z, shifter.volts) for z in (turned.source, 0j, turned.output))
    right = shifter.output == LATE
    arc = f"M{point(a)} A{number(_SIDE / 2)},{number(_SIDE / 2)} 0 0 {1 if right else 0} {point(b)}"
    canvas.path(arc, HINT, 'data-half-circle="P"')
    side = 1 if right else -1
    ground.line([(a + b) / 2 - 1j * _SIDE / 2 * exp(side * 1j * pi * k / 24) for k in range(25)], 1)
    canvas.arrow([b, a], _SOURCE.pen(2.4), extra='data-arrow="source"')
    ground.line([a, b])
    outer = -side
    canvas.text((a + b) / 2 + outer * 10, ["source", _volts(shifter.volts)], size=TEXT - 1, colour=_SOURCE.colour,
                anchor="end" if outer < 0 else "start")  # fmt: skip
    ground.box((a + b) / 2 + outer * 40, 60, 40)
    if abs(p - b) > 45 and abs(turned.late_deg) > 4:
        _angle(canvas, ground, b, turned.late_deg)


def _angle(canvas: Canvas, ground: Ground, b: complex, late: float) -> None:
    """The arc at com from the source to the output, with its degrees beyond it."""
    reach = 40.0
    end = b - 1j * reach * exp(1j * radians(late))
    sweep = 1 if late > 0 else 0
    canvas.path(f"M{point(b - 1j * reach)} A{number(reach)},{number(reach)} 0 0 {sweep} {point(end)}", PROOF)
    place = b - 1j * (reach + 20) * exp(1j * radians(late / 2))
    canvas.text(place, [f"{abs(late):.0f}°"], size=TEXT, colour=PROOF.stroke)
    ground.box(place, 34, 20)


def _chain(canvas: Canvas, ground: Ground, shifter: Shifter, turned: Turned, fault: str, style: str) -> None:
    """R1 and C1 as symbols between A, P and com, the right angle, the points."""
    at = {"A": turned.source, "P": turned.output, "com": 0j}
    place = {name: _at(z, shifter.volts) for name, z in at.items()}
    values = {"R1": render(shifter.resistance, "Ω", digits=3), "C1": render(shifter.capacitance, "F", digits=3)}
    spans = [
        Span(e.name, e.kind, e.a, e.b, at[e.a] - at[e.b], turned.ampere, values[e.name])
        for e in shifter.network().elements
    ]
    shown = [s for s in spans if not fault.startswith(f"{s.name} open")]
    wires = [Wire(place[s.a], place[s.b], symbol(s.kind, style)) for s in shown]
    bodies = lay(wires, ground)
    for span, wire, body in zip(shown, wires, bodies, strict=True):
        part(canvas, span, wire.symbol, body)
    _right_angle(canvas, place, turned)
    for name in at:
        canvas.circle(place[name], 4, Pen(INK, 1.8, fill=INK), f'data-node="{name}"')
        ground.disc(place[name], 7)
    names = [("A", -20j), ("com", 19j)]
    beside = 17 if shifter.output == LATE else -17
    near = min(abs(place["P"] - place[n]) for n in ("A", "com")) < 25
    names += [("P", beside + (0j if not near else 6j))]
    for name, step in names:
        canvas.text(place[name] + step, [name], size=TEXT + 1, colour=INK)
        ground.box(place[name] + step, 16, 18)
    for span, wire, body in zip(shown, wires, bodies, strict=True):
        part_label(canvas, ground, span, wire, body)


def _right_angle(canvas: Canvas, place: dict[str, complex], turned: Turned) -> None:
    """The small square at P where R1 and C1 really stand at 90°."""
    a, b, p = (place[name] for name in ("A", "com", "P"))
    if min(abs(p - a), abs(p - b)) < 14 or abs((turned.r * turned.c.conjugate()).real) > 1e-3 * abs(
        turned.r * turned.c
    ):
        return
    arm = min(13.0, 0.3 * abs(p - a), 0.3 * abs(p - b))
    u, v = (a - p) / abs(a - p) * arm, (b - p) / abs(b - p) * arm
    canvas.line([p + u, p + u + v, p + v], PROOF, extra='data-right-angle="P"')


# --- the waves --------------------------------------------------------------------------------------------


def _waves(canvas: Canvas, shifter: Shifter, turned: Turned) -> None:
    """Source and output in time, as a two-channel scope would show them, with the delay between their peaks."""
    span = 1e3 * _PERIODS / shifter.frequency
    step = round_volts(span / 3)
    for k in range(int(span / step + 1e-9) + 1):
        x = _LEFT + (_RIGHT - _LEFT) * k * step / span
        canvas.line([complex(x, _ZERO - _HIGH), complex(x, _ZERO + _HIGH)], GRID)
        canvas.text(complex(x, _ZERO + _HIGH + 13), [f"{k * step:g}"], size=TEXT - 3, colour=GREY, bold=0)
    canvas.line([complex(_LEFT, _ZERO), complex(_RIGHT, _ZERO)], ZERO)
    canvas.text(complex((_LEFT + _RIGHT) / 2, _ZERO + _HIGH + 32), ["time [ms]"], size=TEXT - 2, colour=INK, bold=0)
    scale = (_HIGH - 6) / (2**0.5 * shifter.volts)
    turns = np.linspace(0, _PERIODS, 76)
    across = _LEFT + (_RIGHT - _LEFT) * turns / _PERIODS
    for name, phasor, look in (("source", turned.source, _SOURCE), ("output", turned.output, _OUTPUT)):
        down = _ZERO - scale * waveform(phasor, frequency=1, time=turns)
        chain = [complex(x, y) for x, y in zip(across, down, strict=True)]
        canvas.line(chain, look.pen(), extra=f'data-wave="{name}"')
    rows = (("source A–com", turned.source, _SOURCE), ("output P–com", turned.output, _OUTPUT))
    for y, (name, phasor, look) in zip((20.0, 40.0), rows, strict=True):
        canvas.line([complex(_LEFT, y), complex(_LEFT + 34, y)], look.pen())
        words = f"{name} {_volts(phasor)}"
        canvas.text(complex(_LEFT + 42, y), [words], size=TEXT - 1, colour=INK, anchor="start", bold=1)
    _delay(canvas, turned, scale)


def _delay(canvas: Canvas, turned: Turned, scale: float) -> None:
    """From the source's peak after one period to the output's, where both can be seen."""
    if abs(turned.output) * scale < 12 or abs(turned.late_deg) < 4:
        return
    base = 0.0 if turned.late_deg > 0 else 1.0
    moments = (base, base + turned.late_deg / 360)
    tops = (abs(turned.source), abs(turned.output))
    marks = [
        complex(_LEFT + (_RIGHT - _LEFT) * m / _PERIODS, _ZERO - scale * 2**0.5 * top)
        for m, top in zip(moments, tops, strict=True)
    ]
    for at, look in zip(marks, (_SOURCE, _OUTPUT), strict=True):
        canvas.line([at, complex(at.real, _ZERO)], Pen(look.colour, 1.2, dash="2 4"))
        canvas.circle(at, 4, Pen(look.colour, 1.6, fill=look.colour), 'data-peak="1"')
    one, two = (complex(m.real, _ZERO) for m in marks)
    canvas.line([one, two], Pen(PROOF.stroke, 3), extra='data-delay="1"')
