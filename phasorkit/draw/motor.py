"""Three windings round a rotor, seen along the shaft: their fields, the sum, and the shaft that follows."""

from __future__ import annotations

from cmath import exp, pi
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK, THIN, strands
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.rotating_field import WINDINGS, rotating_field

DRIVE_END, OTHER_END = "drive end", "other end"
ENDS = (DRIVE_END, OTHER_END)
"""Where the eye is: on the side where the shaft comes out (IEC 60034-8), or opposite (North American habit)."""

_FIELD, _PATH, _SHAFT = Pen(INK, 4.0), Pen("#6a7fa8", 1.6, dash="3 4"), Pen("#8a4b12", 2.0, fill="#f0e3d2")
_SMALL = 13.0


@dataclass(frozen=True, kw_only=True)
class Bore:
    """What is seen down the bore at one moment.

    Parameters
    ----------
    currents : complex array, shape (3,)
        Phasors of what drives the field along the axes of U, V, W [A rms].
    turn : float
        Angle of the supply now, ωt [rad].
    unit : float
        Amplitude that counts as one winding's full field [A peak].
    lines : tuple of three str
        Conductor at U1, V1, W1, "" for none.
    shaft : float or None
        Angle of the shaft's key in the direction U, V, W [rad]; None draws no shaft.
    end : "drive end" or "other end"
    terminals : bool
        Write the conductor at each terminal, not the winding's letter alone.
    """

    currents: ArrayLike
    turn: float
    unit: float
    lines: tuple[str, str, str]
    shaft: float | None = None
    end: str = DRIVE_END
    terminals: bool = True


def place(angle: float, *, end: str = DRIVE_END) -> complex:
    """Direction on the picture of an angle counted from U towards V [rad]; U is up, drive end sees V to its right.

    >>> round(place(pi / 2).real, 3), round(place(pi / 2, end=OTHER_END).real, 3)
    (1.0, -1.0)
    """
    way = 1j * exp(-1j * angle)
    return complex(way.real if end == DRIVE_END else -way.real, -way.imag)


def draw_bore(canvas: Canvas, bore: Bore, *, centre: complex, radius: float) -> None:
    """Draw the bore: axes, each winding's field, their sum and the path of its tip, the shaft with its key."""
    scale = radius / 1.75 / bore.unit
    canvas.circle(centre, radius, Pen(FAINT, 7))
    if bore.shaft is not None:
        _shaft(canvas, bore, centre, 0.52 * radius)
    field = rotating_field(bore.currents)
    times = np.linspace(0, 1, 49)
    path = [centre + scale * _at(z, bore.end) for z in field.at(times, frequency=1)]
    canvas.line(path, _PATH, extra='data-path="field"')
    now = np.sqrt(2) * np.real(np.asarray(bore.currents) * np.exp(1j * bore.turn))
    looks = strands(("L1", "L2", "L3", "N"))
    for k, (name, line) in enumerate(zip(WINDINGS, bore.lines, strict=True)):
        way = place(2 * pi * k / 3, end=bore.end)
        canvas.line([centre - radius * way, centre + radius * way], THIN)
        tip = centre + scale * float(now[k]) * way
        look = looks.get(line, looks["N"])
        if abs(tip - centre) > 3:
            canvas.arrow([centre, tip], look.pen(2.8), head=10, extra=f'data-winding="{name}"')
        _terminal(canvas, centre + (radius + 20) * way, way, (name, line), bore.terminals, look.colour)
    total = complex(field.at([bore.turn / (2 * pi)], frequency=1)[0])
    if scale * abs(total) > 3:
        canvas.arrow([centre, centre + scale * _at(total, bore.end)], _FIELD, head=15, extra='data-sum="field"')
    canvas.circle(centre, 4, Pen(INK, 1.5, fill=INK))


def _terminal(canvas: Canvas, at: complex, way: complex, what: tuple[str, str], whole: bool, colour: str) -> None:
    """What lies on a winding's first end, beside the ring."""
    name, line = what
    label = f"{name}1 on {line}" if line else f"{name}1 open"
    rows = [label] if whole else [name] if line else [name, "open"]
    anchor = "middle" if abs(way.real) < 0.2 else "start" if way.real > 0 else "end"
    shift = {"middle": 0j, "start": -16 + 20j, "end": 16 + 20j}[anchor] if whole else 0j
    canvas.text(at + shift, rows, size=_SMALL + 1, colour=colour if line else GREY, anchor=anchor)


def _at(vector: complex, end: str) -> complex:
    """A space vector, angle from U towards V, as a way on the picture."""
    return abs(vector) * place(float(np.angle(vector)), end=end)


def _shaft(canvas: Canvas, bore: Bore, centre: complex, radius: float) -> None:
    canvas.circle(centre, radius, _SHAFT, 'data-shaft="1"')
    for quarter in range(4):
        way = place(float(bore.shaft or 0) + quarter * pi / 2, end=bore.end)
        canvas.line([centre + 0.3 * radius * way, centre + 0.9 * radius * way], Pen("#c9a77d", 2))
    key = place(float(bore.shaft or 0), end=bore.end)
    side = 7j * key
    corners = [centre + f * radius * key + s * side for f, s in ((0.72, -1), (0.72, 1), (1.06, 1), (1.06, -1))]
    canvas.line(corners, Pen("#8a4b12", 1.5, fill="#8a4b12"), closed=True, extra='data-key="1"')


def field_strip(currents: ArrayLike, *, lines: tuple[str, str, str], degrees: Sequence[float], said: str) -> Picture:
    """Draw the fields of three windings at several moments, side by side.

    Parameters
    ----------
    currents : complex array, shape (3,)
        Phasors of the winding currents U, V, W [A rms].
    lines : tuple of three str
        Conductor at U1, V1, W1, "" for none.
    degrees : sequence of float
        Moments, as angles of the supply [°].
    said : str
        What it shows, in words.

    Examples
    --------
    >>> from phasorkit.phasors import polar
    >>> field_strip(polar(1, [0, -120, 120]), lines=("L1", "L2", "L3"), degrees=(0, 30), said="It turns.").text
    'It turns.'
    """
    width, height = 226.0, 248.0
    canvas = Canvas(width * len(degrees), height)
    unit = float(np.max(np.abs(currents))) * float(np.sqrt(2))
    for k, degree in enumerate(degrees):
        bore = Bore(currents=currents, turn=float(np.radians(degree)), unit=unit, lines=lines, terminals=False)
        draw_bore(canvas, bore, centre=complex(width * (k + 0.5) - 10, 142), radius=80)
        said_at = f"{degree - degrees[0]:g}° later" if k else "start"
        canvas.text(complex(width * k + 8, 14), [said_at], size=_SMALL + 1, colour=INK, anchor="start")
    title = f"Fields of three windings at {len(degrees)} moments"
    return Picture(canvas.render(title=title, text=said), title, said)


@dataclass(frozen=True, kw_only=True)
class Dials:
    """What stands beside the bore: speed [1 of synchronous], field direction (−1, 0, 1), line currents [1 of rated]."""

    speed: float
    field: int
    currents: tuple[float, float, float]
    rpm: float
    sense: str


def motor_picture(bore: Bore, dials: Dials, *, text: str) -> Picture:
    """Draw the bore with the shaft, and speed and line currents as bars.

    Parameters
    ----------
    bore : Bore
    dials : Dials
        `sense` says in words which way the shaft turns as seen.
    text : str
        The picture in words.
    """
    canvas = Canvas(600, 356)
    canvas.text(14 + 16j, [f"seen on the {bore.end}"], size=_SMALL + 2, colour=INK, anchor="start")
    draw_bore(canvas, bore, centre=190 + 192j, radius=128)
    _legend(canvas, 14 + 322j)
    at = 378 + 40j
    canvas.text(at, ["shaft speed"], size=_SMALL + 1, colour=GREY, anchor="start", bold=0)
    canvas.text(at + 22j, [f"{abs(dials.rpm):.0f} r/min, {dials.sense}"], size=_SMALL + 2, colour=INK, anchor="start")
    _speed(canvas, dials, at + 32j)
    canvas.text(at + 104j, ["line current, times the plate's"], size=_SMALL + 1, colour=GREY, anchor="start", bold=0)
    looks = strands(("L1", "L2", "L3", "N"))
    for k, (name, line, share) in enumerate(zip(WINDINGS, bore.lines, dials.currents, strict=True)):
        row = at + 1j * (128 + 30 * k)
        look = looks.get(line, looks["N"])
        canvas.text(row, [f"{name}1"], size=_SMALL + 1, colour=look.colour, anchor="start")
        length = min(share, 8.0) / 8 * 130
        box = [row + 28 + c for c in (-8j, complex(length, -8), complex(length, 8), 8j)]
        canvas.line(box, Pen(look.colour, 1, fill=look.colour), closed=True, extra=f'data-current="{name}"')
        canvas.text(row + 38 + max(length, 16.0), [f"{share:.1f}"], size=_SMALL + 1, colour=INK, anchor="start")
    rated = at + 28 + 130 / 8 + 112j
    canvas.line([rated, rated + 92j], Pen("#a3261b", 1.6, dash="5 4"))
    canvas.text(rated + 106j, ["1 = plate"], size=_SMALL, colour="#a3261b", anchor="middle", bold=0)
    title = "Rotating field and shaft"
    return Picture(canvas.render(title=title, text=text), title, text)


def _speed(canvas: Canvas, dials: Dials, at: complex) -> None:
    """A bar from the middle: to the right as U, V, W; the field's own speed as a mark."""
    middle, half = at + 100 + 12j, 96.0
    canvas.line([middle - half, middle + half], THIN)
    canvas.line([middle - 8j, middle + 8j], Pen(GREY, 1.5))
    tip = middle + half / 1.1 * dials.speed
    bar = [middle - 5j, tip - 5j, tip + 5j, middle + 5j]
    canvas.line(bar, Pen("#8a4b12", 1, fill="#8a4b12"), closed=True, extra='data-speed="1"')
    for sign in (-1, 1):
        mark = middle + sign * half / 1.1
        canvas.line([mark - 9j, mark + 9j], Pen(INK, 2.5 if dials.field == sign else 1.0))
    canvas.text(middle - half + 20j, ["U W V"], size=_SMALL - 1, colour=GREY, anchor="start", bold=0)
    canvas.text(middle + half + 20j, ["U V W"], size=_SMALL - 1, colour=GREY, anchor="end", bold=0)


def _legend(canvas: Canvas, at: complex) -> None:
    canvas.arrow([at + 10j, at + 34 + 10j], _FIELD, head=13)
    canvas.text(at + 42 + 10j, ["field, the sum"], size=_SMALL, colour=INK, anchor="start", bold=0)
    canvas.line([at + 150 + 10j, at + 184 + 10j], _PATH)
    canvas.text(at + 192 + 10j, ["path of its tip"], size=_SMALL, colour=INK, anchor="start", bold=0)
    canvas.line([at + 300 + 4j, at + 312 + 4j, at + 312 + 17j, at + 300 + 17j],
                Pen("#8a4b12", 1, fill="#8a4b12"), closed=True)  # fmt: skip
    canvas.text(at + 320 + 10j, ["key of the shaft"], size=_SMALL, colour=INK, anchor="start", bold=0)
