"""The cloud around the null: where the dark lamps of many testers stand, and how far each cause pushes them."""

from __future__ import annotations

import numpy as np

from phasorkit.analysis.cloud import Cloud, Push
from phasorkit.draw import words
from phasorkit.draw.frame import round_volts
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK, THIN
from phasorkit.draw.svg import Canvas, Pen, point
from phasorkit.phasors import ComplexArray
from phasorkit.quantities import render

WIDTH, HEIGHT = 640.0, 372.0
_CENTRE, _HALF = 172 + 172j, 166.0
_STEPS = (46.0, 92.0, 184.0, 460.0, 1840.0)
"""Volts from the middle to the edge: the picture zooms out in steps only."""
_TEXT, _NOTHING = 14.0, 0.02
_LIMIT, _LIKELY, _WORST = Pen("#a3261b", 2.0, dash="9 5"), Pen("#2f6fd0", 2.2, dash="2 5"), Pen(INK, 1.6, dash="14 5")
_BARS = complex(368, 44)


def cloud_picture(cloud: Cloud, *, heading: str) -> Picture:
    """Draw a cloud: a dot for each tester, rings for likely, worst and still dark, and a bar for each cause.

    Parameters
    ----------
    cloud : Cloud
    heading : str
        What was varied and how far, in one sentence.

    Returns
    -------
    Picture
        M is in the middle, each dot is one tester's P, the distance is the volts on its lamp. The bars have the scale
        of the drawing.

    Examples
    --------
    >>> from phasorkit.analysis.cloud import cloud
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> cloud_picture(cloud(bridge), heading="As built.").text.split(". ")[1]
    'Half of 1000 testers have less than 6.1 V on the dark lamp, 999 of 1000 less than 20 V'
    """
    canvas = Canvas(WIDTH, HEIGHT)
    edge = next((s for s in _STEPS if cloud.worst <= 0.97 * s), _STEPS[-1])
    scale = _HALF / edge
    _plot(canvas, cloud, scale)
    _bars(canvas, cloud, scale)
    text = " ".join((heading, describe(cloud)))
    title = "Volts left on the dark lamp of many testers"
    return Picture(canvas.render(title=title, text=text), title, text)


def describe(cloud: Cloud) -> str:
    """The cloud in words."""
    first = cloud.pushes[0]
    largest = f" The largest push is {first.name} {first.edge}: {words.volts(first.volts)}."
    stays = "stays dark" if cloud.worst < cloud.dark_below else "need not stay dark"
    return (
        f"Half of {len(cloud.points)} testers have less than {words.volts(cloud.typical)} on the dark lamp, 999 of "
        f"1000 less than {words.volts(cloud.nearly_all)}. The likely limit is {words.volts(cloud.likely)}, the worst "
        f"case {words.volts(cloud.worst)}: against {words.volts(cloud.dark_below)} the lamp {stays}."
    ) + (largest if first.volts >= _NOTHING else "")


def _plot(canvas: Canvas, cloud: Cloud, scale: float) -> None:
    frame = [_CENTRE + _HALF * c for c in (-1 - 1j, 1 - 1j, 1 + 1j, -1 + 1j)]
    canvas.line(frame, Pen(FAINT, 1.0, fill="#ffffff"), closed=True)
    _ring(canvas, cloud.dark_below * scale, _LIMIT, "dark")
    _dots(canvas, cloud, scale)
    for push in cloud.pushes[::-1]:
        _axis(canvas, push, scale)
    _ring(canvas, cloud.likely * scale, _LIKELY, "likely")
    _ring(canvas, cloud.worst * scale, _WORST, "worst")
    canvas.circle(_CENTRE, 3.5, Pen(INK, 1.5, fill="#ffffff"), 'data-null="1"')
    canvas.text(_CENTRE + 14j, ["M"], size=_TEXT, colour=INK)
    volts = round_volts(90 / scale)
    start = _CENTRE + complex(-_HALF + 10, _HALF + 18)
    ends = [start - 5j, start, start + volts * scale, start + volts * scale - 5j]
    canvas.line(ends, Pen(INK, 1.6), extra='data-scale-bar="1"')
    canvas.text(ends[2] + 10, [render(volts, "V")], size=_TEXT - 1, colour=GREY, anchor="start", bold=0)


def _ring(canvas: Canvas, radius: float, pen: Pen, name: str) -> None:
    """A circle around M, as far as it lies in the frame."""
    if radius <= _HALF:
        canvas.circle(_CENTRE, radius, pen, f'data-ring="{name}"')
        return
    open_at = np.arccos(_HALF / radius)
    for quarter in range(4):
        span = np.linspace(open_at, np.pi / 2 - open_at, 13) + quarter * np.pi / 2
        if span[0] < span[-1] and radius * np.sqrt(0.5) < _HALF:
            arc = [_CENTRE + radius * complex(np.cos(a), np.sin(a)) for a in span]
            canvas.line(arc, pen, extra=f'data-ring="{name}"')


def _dots(canvas: Canvas, cloud: Cloud, scale: float) -> None:
    """All dots as one path, so that a frame stays cheap; a dot outside the frame is left out."""
    places = _on_plane(cloud.points) * scale
    inside = places[(np.abs(places.real) < _HALF) & (np.abs(places.imag) < _HALF)]
    data = "".join(f"M{point(p)}h0" for p in np.round(_CENTRE + inside, 1).tolist())
    canvas.path(data, Pen("#008a80", 3.0), f'data-dots="{len(inside)}" stroke-opacity="0.55"')


def _axis(canvas: Canvas, push: Push, scale: float) -> None:
    """The way in which a cause pushes, both ways; the unbalance has none of its own."""
    if push.name == "unbalance" or push.volts < _NOTHING:
        return
    way = complex(_on_plane(np.array([push.shift]))[0]) * scale
    canvas.line([_CENTRE - way, _CENTRE + way], Pen(INK, 1.6), extra=f'data-axis="{push.name}"')


def _on_plane(lamp: ComplexArray) -> ComplexArray:
    """The place of P seen from M, x + jy downwards; the lamp's phasor is M over P, L1 points up."""
    return 1j * np.conj(lamp)


def _bars(canvas: Canvas, cloud: Cloud, scale: float) -> None:
    canvas.text(_BARS - 24j, ["each cause by itself"], size=_TEXT, colour=GREY, anchor="start", bold=0)
    rows = [p for p in cloud.pushes if p.volts >= _NOTHING]
    for k, push in enumerate(rows):
        at = _BARS + 1j * (33 * k)
        label = f"{push.name} {push.edge}"
        canvas.text(at, [label], size=_TEXT - 1, colour=INK, anchor="start", bold=0)
        canvas.text(at + 250, [words.volts(push.volts)], size=_TEXT - 1, colour=INK, anchor="end", bold=1)
        box = [at + c for c in (11j, 11j + min(push.volts * scale, 250.0))]
        canvas.line(
            [*box, box[1] + 5j, box[0] + 5j], Pen(INK, 0.6, fill=INK), closed=True, extra=f'data-bar="{push.name}"'
        )
    canvas.line([_BARS + 1j * (33 * len(rows) - 8), _BARS + 250 + 1j * (33 * len(rows) - 8)], THIN)
    sums = (
        ("likely", cloud.likely, _LIKELY),
        ("worst case", cloud.worst, _WORST),
        ("dark for sure below", cloud.dark_below, _LIMIT),
    )
    for k, (label, volts, pen) in enumerate(sums):
        at = _BARS + 1j * (33 * len(rows) + 14 + 24 * k)
        canvas.line([at, at + 34], pen)
        canvas.text(at + 44, [label], size=_TEXT, colour=INK, anchor="start", bold=0)
        canvas.text(at + 250, [words.volts(volts)], size=_TEXT, colour=INK, anchor="end", bold=1)
