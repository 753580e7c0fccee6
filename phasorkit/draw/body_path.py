"""A person at a touch pad: the place of K in the triangle, the way through the body, and the current on a scale."""

from __future__ import annotations

from math import log10

from phasorkit.analysis.body_path import HANDS_OFF, INSULATED, ON_EARTH, TOO_FAINT, BodyPath
from phasorkit.analysis.loose_tip import LET_GO
from phasorkit.draw import words
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GLOW, GREY, INK, THIN, WIRE, mark, strands
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.supply import CONDUCTORS

WIDTH, HEIGHT = 600.0, 400.0
_SIDE, _MIDDLE, _SMALL = 196.0, 150 + 172j, 13.0
_LOW, _HIGH = 1e-6, 0.1
"""Ends of the current scale [A]."""
_EARTHINGS = {
    "star": "star point earthed", "isolated": "nothing earthed", "corner": "corner L2 earthed",
    "side": "centre of L1–L2 earthed",
}  # fmt: skip
_ELSEWHERE = {
    "corner": " With L3 earthed instead it is more.",
    "side": " With the centre of another side earthed it is more.",
    "isolated": " With one line touching earth somewhere it is as with a corner earthed.",
}
"""What a person at the socket cannot see: another corner or side, an earth fault that trips nothing."""

_PERSON, _RED = Pen("#8a4b12", 3.0, fill="#f0e3d2"), "#a3261b"


def body_picture(path: BodyPath, *, stance: str) -> Picture:
    """Draw a look at the probe and its person.

    Parameters
    ----------
    path : BodyPath
    stance : str
        The one that the path was found with.

    Examples
    --------
    >>> from phasorkit.analysis.body_path import body_path
    >>> from phasorkit.indicators import circuit
    >>> probe = circuit("touch-probe").sized(capacitance=2.2e-9, frequency=50, line_voltage=400)
    >>> body_picture(body_path(probe, probe.supply("132")), stance="on earth").text.split(". ")[1]
    'Lamp H1 has 0 V against earth: dark'
    """
    canvas = Canvas(WIDTH, HEIGHT)
    _plane(canvas, path)
    _way(canvas, path, stance)
    _scale(canvas, path)
    title = "Two probes, a lamp, a touch pad and a person"
    text = describe(path, stance)
    return Picture(canvas.render(title=title, text=text), title, text)


def describe(path: BodyPath, stance: str) -> str:
    """The picture in words."""
    supply = path.supply
    lost = f", {supply.lost[0][0]} lost" if supply.lost else ""
    place = "" if stance == HANDS_OFF else " against earth"
    now = "Nothing flows through the person" if path.current == 0 else (
        f"{milliamps(path.current)} flow through the person"
    )  # fmt: skip
    other = "" if lost else _ELSEWHERE.get(supply.earthing, "")
    verdict = "within" if path.worst <= path.limit else "ABOVE"
    return (
        f"Sequence {words.sequence(supply.sequence)}, {_EARTHINGS[supply.earthing]}{lost}; person {stance}. "
        f"Lamp H1 has {words.volts(path.lamp_volts)}{place}: {words.STATE_WORDS.get(path.lamp, path.lamp)}. {now}. "
        f"Worst single fault ({path.worst_fault}), body of 0 Ω, 110 %: {milliamps(path.worst)}, {verdict} the limit of "
        f"{milliamps(path.limit)}.{other}"
    )


def milliamps(ampere: float) -> str:
    """A current for a label, in µA below 0.1 mA.

    >>> milliamps(7.2e-6), milliamps(1.82e-4), milliamps(0)
    ('7 µA', '0.18 mA', '0 mA')
    """
    return f"{1e6 * ampere:.0f} µA" if 0 < ampere < 1e-4 else f"{1e3 * ampere:.2g} mA"


# --- the triangle -----------------------------------------------------------------------------------------


def _plane(canvas: Canvas, path: BodyPath) -> None:
    scale = _SIDE / float(path.supply.line_voltage)  # type: ignore[arg-type]
    at = {name: _MIDDLE - 1j * scale * z.conjugate() for name, z in path.places.items()}
    heading = f"Sequence {words.sequence(path.supply.sequence)}, {_EARTHINGS[path.supply.earthing]}"
    canvas.text(14 + 16j, [heading], size=_SMALL + 2, colour=INK, anchor="start")
    canvas.line([at[name] for name in CONDUCTORS], THIN, closed=True)
    looks = strands((*CONDUCTORS, "N", "K"))
    if "PE" in at:
        _lamp_bar(canvas, at["K"], at["PE"], path.lamp)
    lost = dict(path.supply.lost)
    for name in CONDUCTORS:
        mark(canvas, at[name], looks[name])
        label = f"{name} lost" if name in lost else name
        away = at[name] - _MIDDLE
        step, anchor = 18 * away / abs(away) if abs(away) > 30 else 16j, "middle"
        if "PE" in at and abs(at["PE"] - at[name]) < 1:  # the place below belongs to the earth symbol
            step, anchor = (-12 + 0j, "end") if away.real < 0 else (12 + 0j, "start")
        canvas.text(at[name] + step, [label], size=_SMALL + 1, colour=looks[name].colour, anchor=anchor)
    if "PE" in at:
        _earth(canvas, at["PE"])
        canvas.text(at["PE"] + 32j, ["earth"], size=_SMALL, colour=INK, bold=0)
    else:
        canvas.text(_MIDDLE + 34j, ["earth has no", "fixed place"], size=_SMALL, colour=GREY, bold=0)
    canvas.circle(at["K"], 5, Pen(INK, 2, fill="#ffffff"), 'data-node="K"')
    canvas.text(at["K"] + 14 - 10j, ["K"], size=_SMALL + 2, colour=INK, anchor="start")
    volts = 100.0 if float(path.supply.line_voltage) >= 150 else 10.0  # type: ignore[arg-type]
    start = 22 + 308j
    canvas.line([start - 5j, start, start + volts * scale, start + volts * scale - 5j], Pen(INK, 1.6))
    canvas.text(start + volts * scale + 10, [f"{volts:.0f} V"], size=_SMALL, colour=GREY, anchor="start", bold=0)


def _lamp_bar(canvas: Canvas, a: complex, b: complex, state: str) -> None:
    if abs(b - a) < 3:
        return
    if state == "lit":
        canvas.line([a, b], Pen(INK, 9))
        canvas.line([a, b], Pen(GLOW, 6), extra='data-lamp="lit"')
    else:
        canvas.line([a, b], Pen(INK, 3, dash="4 5"), extra=f'data-lamp="{state}"')


def _earth(canvas: Canvas, at: complex) -> None:
    """The symbol of earth: a stroke down and three bars (IEC 60617)."""
    canvas.line([at, at + 10j], WIRE)
    for k, half in enumerate((10.0, 6.5, 3.0)):
        canvas.line([at + 1j * (10 + 4.5 * k) - half, at + 1j * (10 + 4.5 * k) + half], WIRE)


# --- the way through the body -----------------------------------------------------------------------------


def _way(canvas: Canvas, path: BodyPath, stance: str) -> None:
    x, top = 372.0, 34.0
    points = {"K": top, "H1": top + 36, "R5": top + 92, "R6": top + 144, "pad": top + 184}
    canvas.line([complex(x, points["K"]), complex(x, points["pad"])], WIRE)
    canvas.circle(complex(x, points["K"]), 5, Pen(INK, 2, fill="#ffffff"))
    canvas.text(complex(x - 14, points["K"]), ["K"], size=_SMALL + 2, colour=INK, anchor="end")
    lamp = complex(x, points["H1"])
    fill = {"lit": GLOW, "unsure": "#ffeeb8"}.get(path.lamp, "#ffffff")
    canvas.circle(lamp, 14, Pen(INK, 1.8, fill=fill), f'data-lamp="H1" data-state="{path.lamp}"')
    for arm in (10 + 10j, 10 - 10j):
        canvas.line([lamp - arm, lamp + arm], Pen(INK, 1.5))
    shown = {"dark": "dark", TOO_FAINT: "too faint to see"}.get(path.lamp, path.lamp)
    canvas.text(lamp - 22, ["H1", shown] if shown != TOO_FAINT else ["H1 too", "faint"], size=_SMALL, colour=INK,
                anchor="end")  # fmt: skip
    for name in ("R5", "R6"):
        at = complex(x, points[name])
        box = [at - 9 - 17j, at + 9 - 17j, at + 9 + 17j, at - 9 + 17j]
        canvas.line(box, Pen(INK, 1.8, fill="#ffffff"), closed=True)
        canvas.text(at - 18, [name], size=_SMALL, colour=INK, anchor="end")
    pad = complex(x, points["pad"])
    canvas.line([pad - 24, pad + 24], Pen(INK, 6))
    canvas.text(pad - 32, ["pad"], size=_SMALL, colour=INK, anchor="end")
    for name in ("R5", "R6"):
        if path.current:
            _volts(canvas, complex(x + 18, points[name]), path.volts[name])
    if path.current:
        _volts(canvas, complex(x + 18, points["K"]), path.volts["K"])
    _person(canvas, pad, stance, path)


def _volts(canvas: Canvas, at: complex, volts: float) -> None:
    said = words.volts(volts) if volts >= 0.95 else f"{volts:.2g} V" if volts >= 1e-3 else "0 V"
    canvas.text(at, [said], size=_SMALL + 1, colour=INK, anchor="start")


def _person(canvas: Canvas, pad: complex, stance: str, path: BodyPath) -> None:
    away = 22 if stance == HANDS_OFF else 0
    body = pad + 112 - 12j
    canvas.circle(body - 40j, 15, _PERSON)
    canvas.line([body - 24j, body + 42j], _PERSON)
    canvas.line([body - 10j, body - 52 + 20j, pad + away + 8 - (4 if not away else 14) * 1j], Pen("#8a4b12", 3.0))
    canvas.line([body - 10j, body + 24 + 22j], Pen("#8a4b12", 3.0))
    for foot in (-16, 16):
        canvas.line([body + 42j, body + foot + 86j], Pen("#8a4b12", 3.0))
    floor = body + 94j
    if stance == INSULATED:
        mat = [floor - 44 - 7j, floor + 44 - 7j, floor + 44 + 5j, floor - 44 + 5j]
        canvas.line(mat, Pen("#2f6fd0", 1.5, fill="#cfe0f7"), closed=True)
        canvas.text(floor + 56, ["mat"], size=_SMALL, colour=INK, anchor="start", bold=0)
    ground = floor + (14j if stance == INSULATED else 0)
    canvas.line([ground - 60, ground + 60], Pen(INK, 2.5))
    for k in range(7):
        canvas.line([ground - 54 + 18 * k, ground - 62 + 18 * k + 8j], Pen(FAINT, 1.5))
    told = {ON_EARTH: "on earth", INSULATED: "insulated", HANDS_OFF: "not touching"}[stance]
    canvas.text(body + 28 - 40j, [told], size=_SMALL, colour=INK, anchor="start", bold=0)
    if path.current:
        _volts(canvas, body + 32 + 12j, path.volts["body"])


# --- the scale of currents --------------------------------------------------------------------------------


def _scale(canvas: Canvas, path: BodyPath) -> None:
    y = 356.0
    canvas.line([_place(_LOW, y), _place(_HIGH, y)], Pen(INK, 2))
    for power in range(-6, 0):
        at = _place(10.0**power, y)
        canvas.line([at - 5j, at + 5j], Pen(INK, 1.5))
        said = {-6: "1 µA", -5: "10 µA", -4: "0.1 mA", -3: "1 mA", -2: "10 mA", -1: "100 mA"}[power]
        canvas.text(at + 17j, [said], size=_SMALL - 1, colour=GREY, bold=0)
    limit = _place(path.limit, y)
    canvas.line([limit - 30j, limit + 9j], Pen(_RED, 2, dash="5 3"), extra='data-limit="1"')
    canvas.text(limit - 37j, [f"limit {milliamps(path.limit)}"], size=_SMALL - 1, colour=_RED, bold=0)
    canvas.text(_place(LET_GO, y) - 18j, ["may not let go"], size=_SMALL - 1, colour=GREY, bold=0)
    if path.current:
        now = _place(path.current, y)
        canvas.line([now - 3j, now - 8 - 17j, now + 8 - 17j], Pen(INK, 1, fill=INK), closed=True,
                    extra='data-now="1"')  # fmt: skip
        canvas.text(now - 26j, ["now"], size=_SMALL - 1, colour=INK)
    if path.worst:
        worst = _place(path.worst, y)
        canvas.circle(worst, 7, Pen(_RED, 2.5), 'data-worst="1"')
    canvas.circle(30 + 391j, 5, Pen(_RED, 2.2))
    said = f"worst single fault, body of 0 Ω, 110 %: {milliamps(path.worst)} ({path.worst_fault})"
    canvas.text(44 + 391j, [said], size=_SMALL, colour=INK, anchor="start", bold=0)


def _place(ampere: float, y: float) -> complex:
    """Where a current stands on the scale; beyond its ends at the ends."""
    inside = min(max(ampere, _LOW), _HIGH)
    return complex(34 + 532 * log10(inside / _LOW) / log10(_HIGH / _LOW), y)
