"""Two lamps in star: the drawing to scale with the half circle of the star point, and the lamps as one sees them."""

from __future__ import annotations

from dataclasses import replace

from phasorkit.analysis.two_lamps import CAPACITOR, Glow, LampBox
from phasorkit.draw import words
from phasorkit.draw.frame import Frame
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import panel
from phasorkit.draw.style import GLOW, GREY, HINT, INK, PROOF, TEXT
from phasorkit.draw.survey import Survey, survey
from phasorkit.draw.svg import Canvas, Pen, number, point
from phasorkit.indicators import Reading
from phasorkit.quantities import render

WIDTH, HEIGHT = 540.0, 372.0
_PANEL = 352.0
_SIDE, _ORIGIN = 236.0, 178 + 192j
_BELOW = 16j
"""From D to its name."""
_AMBER, _RED = "#c77700", "#a3261b"
_LAMPS = {"H1": 444 + 62j, "H2": 444 + 246j}


def lamps_picture(box: LampBox, reading: Reading, *, symbols: str = "IEC", proof: bool = True) -> Picture:
    """Draw one reading of a lamp box.

    Parameters
    ----------
    box : LampBox
    reading : Reading
        Of its star; single, not batched.
    symbols : "IEC" or "NA"
    proof : bool
        Draw D, the middle of L2–L3, and the half circle over L1–D on which S lies while both lamps have equal ohms.

    Returns
    -------
    Picture
        Left to scale: the distance of two points is the voltage between them. Right the lamps: the larger the halo and
        the longer the rays, the more light.

    Examples
    --------
    >>> from phasorkit.filament import FilamentLamp
    >>> box = LampBox(line_voltage=400, frequency=50, lamp=FilamentLamp(230, 15))
    >>> star = box.star()
    >>> lamps_picture(box, star.on(star.supply("123"))).text.split(". ")[2]
    'H1 on L2 has 346 V, 150 % of its rated volts: too bright, too many volts'
    """
    facts = survey(reading)
    frame = Frame(width=_PANEL, height=HEIGHT, scale=_SIDE / facts.line_voltage, origin=_ORIGIN)
    canvas = Canvas(WIDTH, HEIGHT)
    right = all(touched == probe for probe, touched in facts.touching.items())
    if proof and right:
        _proof(canvas, facts, frame)
    glows = box.glows(reading)
    d = frame.at((facts.conductors["L2"] + facts.conductors["L3"]) / 2) + _BELOW
    canvas.include(panel(_as_seen(facts, glows), symbols, frame, reserved=(d,)), at=0j)
    for glow in glows:
        _lamp(canvas, glow, box)
    text = describe(box, facts, glows)
    title = f"Two lamps and {_named(box)}, sequence {words.sequence(facts.sequence)}"
    return Picture(canvas.render(title=title, text=text), title, text)


def describe(box: LampBox, facts: Survey, glows: tuple[Glow, Glow]) -> str:
    """The picture in words."""
    where = f"Sequence {words.sequence(facts.sequence)}, {words.wiring(facts.touching)}"
    unit = "F" if box.kind == CAPACITOR else "H"
    part = f"On L1 {_named(box)} of {render(box.value, unit, digits=3)}, X {box.reactance_percent:.0f} % of R"
    seen = [
        f"{g.name} on {g.at} has {words.volts(g.volts)}, {100 * g.part:.0f} % of its rated volts: {g.looks}"
        for g in glows
    ]
    return ". ".join((where, part, *seen, _compared(glows))) + "."


def percent(value: float) -> str:
    """A part in per cent with two digits.

    >>> percent(3.904), percent(0.0457), percent(3e-7)
    ('390 %', '4.6 %', '0 %')
    """
    share = 100 * value
    return f"{share:.2g} %" if 0.01 <= share < 99.5 else "0 %" if share < 0.01 else f"{float(f'{share:.2g}'):.0f} %"


def _as_seen(facts: Survey, glows: tuple[Glow, Glow]) -> Survey:
    """The facts with each lamp's state as it looks: dark, dim or lit."""
    dim = {"a faint glow": "dim", "dim": "dim", "dark": "dark"}
    looks = {g.name: dim.get(g.looks, "lit") for g in glows}
    return replace(facts, spans=tuple(replace(s, state=looks.get(s.name, s.state)) for s in facts.spans))


def _compared(glows: tuple[Glow, Glow]) -> str:
    high, low = sorted(glows, key=lambda g: -g.volts)
    if high.looks == "dark":
        return "Both are dark"
    if low.volts < 0.01 * high.volts:
        return f"Only {high.name} has volts"
    times = high.light / low.light
    if times < 1.05:
        return "Both glow alike"
    return f"{high.name} has {high.volts / low.volts:.2f} times the volts and {float(f'{times:.2g}'):g} times the light"


def _named(box: LampBox) -> str:
    return "a capacitor" if box.kind == CAPACITOR else "an inductor"


# --- the proof --------------------------------------------------------------------------------------------


def _proof(canvas: Canvas, facts: Survey, frame: Frame) -> None:
    """The line from L1 to D, the middle of L2–L3, the half circle over it, and the right angle at S."""
    l1, middle = facts.conductors["L1"], (facts.conductors["L2"] + facts.conductors["L3"]) / 2
    a, d, s = (frame.at(z) for z in (l1, middle, facts.nodes["S"]))
    left = ((s - a) * (d - a).conjugate()).imag > 0
    radius = number(abs(d - a) / 2)
    canvas.path(f"M{point(a)} A{radius},{radius} 0 0 {0 if left else 1} {point(d)}", HINT, 'data-half-circle="S"')
    canvas.line([a, d], HINT)
    canvas.line([d, s], Pen(PROOF.stroke, 1.6, dash="6 4"), extra='data-half-lamp="1"')
    canvas.circle(d, 3.5, Pen(PROOF.stroke, 1.5, fill=PROOF.stroke), 'data-node="D"')
    canvas.text(d + _BELOW, ["D"], size=TEXT, colour=PROOF.stroke)
    if min(abs(a - s), abs(d - s)) > 24 and abs(abs(s - (a + d) / 2) - abs(a - d) / 2) < 0.5:
        u, v = 12 * (a - s) / abs(a - s), 12 * (d - s) / abs(d - s)
        canvas.line([s + u, s + u + v, s + v], PROOF, extra='data-right-angle="S"')


# --- the lamps --------------------------------------------------------------------------------------------


def _lamp(canvas: Canvas, glow: Glow, box: LampBox) -> None:
    at, count = _LAMPS[glow.name], box.lamp.in_series
    shown = min(count, 3)
    places = [at + 52 * (k - (shown - 1) / 2) for k in range(shown)]
    radius = 22.0 if shown == 1 else 16.0
    for place in places:
        _bulb(canvas, place, glow, radius)
    each = f"{count} in series" if count > 1 else ""
    rows = [f"{glow.name} on {glow.at}" + (f", {each}" if each else "")]
    rows += [f"{words.volts(glow.volts)}, {100 * glow.part:.0f} % of rated", f"light {percent(glow.light)}"]
    canvas.text(at + 72j, rows, size=TEXT, colour=INK, bold=1)
    if glow.part > 1.001:
        canvas.text(at + 109j, [f"too many volts: life {percent(glow.life)}"], size=TEXT - 1, colour=_RED, bold=1)
    else:
        canvas.text(at + 109j, [glow.looks], size=TEXT, colour=GREY, bold=0)


def _bulb(canvas: Canvas, at: complex, glow: Glow, radius: float) -> None:
    """One lamp: a halo as large as its light (up to twice the bulb), rays, the cross of a lamp symbol."""
    seen = min(glow.light, 4.0) ** 0.5
    for k in (3, 2, 1):
        if glow.light > 0.002:
            reach = radius * (1 + 0.22 * k * seen)
            canvas.circle(at, reach, Pen("none", 0, fill=_blend(min(1.0, 0.9 * seen) * (1 - 0.26 * k))))
    fill = _blend(min(1.0, seen))
    canvas.circle(at, radius, Pen(INK, 1.8, fill=fill), f'data-lamp="{glow.name}" data-light="{number(glow.light)}"')
    for arm in (1 + 1j, 1 - 1j):
        cross = radius * 0.707 * arm
        canvas.line([at - cross, at + cross], Pen(INK, 1.5))
    if glow.light > 0.002:
        for k in range(12):
            ray = 1j ** (4 * (k + 0.5) / 12)
            start = at + (radius + 3) * ray
            canvas.line([start, start + (2 + 7 * seen) * ray], Pen(_AMBER, 2))


def _blend(share: float) -> str:
    """A colour between white and the glow."""
    ends = zip((255, 255, 255), (int(GLOW[k : k + 2], 16) for k in (1, 3, 5)), strict=True)
    return "#" + "".join(f"{round(w + (g - w) * max(share, 0.0)):02x}" for w, g in ends)
