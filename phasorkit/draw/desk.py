"""The verdict on a design as a table of bars: each requirement, its figure against its limit, and where it fails.

Below them, apart and never counted as met, what is true of every tester: a loose tip is alive.
"""

from __future__ import annotations

from collections.abc import Sequence

from phasorkit.analysis.design import Requirement
from phasorkit.analysis.loose_tip import LET_GO, LooseTip, worst_tip
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK
from phasorkit.draw.svg import Canvas, Pen

WIDTH, HEAD, ROW, ROWS = 600.0, 42.0, 32.0, 16
"""Size of the picture [px]: its height is that of the most rows that any circuit has."""

_BAR, _LIMIT, _END = 262.0, 332.0, 392.0
"""Where bars begin, where the limit stands, and where a bar that is too long ends [px]."""

_ALARM = "#a3261b"
_LOOK = {True: ("✓", "#1d6b3a", "met"), False: ("✗", _ALARM, "NOT met"), None: ("?", GREY, "not tried")}


def desk_picture(
    found: Sequence[Requirement], *, heading: str, rows: int = ROWS, tips: Sequence[LooseTip] | None = None
) -> Picture:
    """Draw a verdict.

    Parameters
    ----------
    found : sequence of Requirement
    heading : str
        What was judged, in one line.
    rows : int
        Room for so many rows, the one on loose tips among them; a live picture keeps its size whatever the circuit.
    tips : sequence of LooseTip, optional
        What a person who holds a loose tip carries; empty at extra-low voltage; None where it was not worked out.

    Returns
    -------
    Picture
        A row for each requirement. The bar shows the figure, the upright stroke the limit. Last a row on loose tips.

    Examples
    --------
    >>> row = Requirement("lit lamp lights", 284.7, 90.0, "V", False, True, "H1, 1-3-2")
    >>> desk_picture([row], heading="A bridge").text
    '1 of 1 requirements met. A loose tip is alive: never touch one.'
    """
    canvas = Canvas(WIDTH, HEAD + rows * ROW)
    canvas.text(complex(12, 14), [heading], size=13, colour=INK, anchor="start", bold=1)
    canvas.text(complex(_LIMIT, 33), ["limit"], size=11, colour=GREY, bold=0)
    for k, requirement in enumerate(found):
        _row(canvas, requirement, HEAD + k * ROW)
    _tip_row(canvas, tips, HEAD + len(found) * ROW)
    text = f"{describe(found)} {_tip_text(tips)}"
    return Picture(canvas.render(title=heading, text=text), heading, text)


def describe(found: Sequence[Requirement]) -> str:
    """How many requirements are met, and each that is not, with its figure.

    >>> describe([Requirement("touch current", 0.6, 0.5, "mA", True, False, "R2 shorted")])
    '0 of 1 requirements met. NOT met: touch current, 0.6 mA, at most 0.5 mA (R2 shorted).'
    """
    tried = [r for r in found if r.passed is not None]
    said = [f"{sum(bool(r.passed) for r in tried)} of {len(tried)} requirements met."]
    failed = [f"{r.name}, {figure(r)} ({r.case})" for r in tried if not r.passed]
    if failed:
        said.append(f"NOT met: {'; '.join(failed)}.")
    if len(tried) < len(found):
        said.append("Single faults are not tried yet.")
    return " ".join(said)


def figure(r: Requirement) -> str:
    """The figure of a requirement with its limit.

    >>> figure(Requirement("x", 31.84, 40, "V", True, True, ""))
    '31.8 V, at most 40 V'
    """
    if r.passed is None:
        return "press the button"
    if not r.unit:
        return "yes" if r.value else "no"
    if r.unit in ("states", "faults"):
        return f"{r.value:.0f} {r.unit}" if r.value else "none"
    return f"{r.value:.3g} {r.unit}, {'at most' if r.at_most else 'at least'} {r.limit:.3g} {r.unit}"


def _tip_text(tips: Sequence[LooseTip] | None) -> str:
    alive = "A loose tip is alive"
    if not tips:
        return f"{alive}: never touch one."
    probe, ampere = worst_tip(tips)
    kills = " THAT CAN KILL." if ampere > LET_GO else ""
    return f"{alive}: {1e3 * ampere:.2g} mA ({probe}).{kills} Never touch one."


def _tip_row(canvas: Canvas, tips: Sequence[LooseTip] | None, top: float) -> None:
    figures, case = "never touch it", "through the circuit, while another is on"
    if tips:
        probe, ampere = worst_tip(tips)
        figures = f"up to {1e3 * ampere:.2g} mA: {'CAN KILL' if ampere > LET_GO else 'never touch it'}"
        case = f"{probe} held, body of 0 Ω, 110 % of voltage"
    with canvas.group('data-caution="loose tip"'):
        canvas.line([complex(0, top), complex(WIDTH, top)], Pen(FAINT, 0.8))
        canvas.text(complex(20, top + ROW / 2), ["!"], size=17, colour=_ALARM, bold=1)
        canvas.text(complex(38, top + 10), ["a loose tip is ALIVE"], size=13, colour=INK, anchor="start", bold=1)
        canvas.text(complex(38, top + 24), [case], size=10.5, colour=GREY, anchor="start", bold=0)
        canvas.text(complex(402, top + ROW / 2), [figures], size=13, colour=_ALARM, anchor="start", bold=1)


def _row(canvas: Canvas, r: Requirement, top: float) -> None:
    mark, colour, word = _LOOK[r.passed]
    with canvas.group(f'data-requirement="{r.name}" data-state="{word}"'):
        canvas.line([complex(0, top), complex(WIDTH, top)], Pen(FAINT, 0.8))
        canvas.text(complex(20, top + ROW / 2), [mark], size=17, colour=colour, bold=1)
        canvas.text(complex(38, top + 10), [r.name], size=13, colour=INK, anchor="start", bold=1)
        canvas.text(complex(38, top + 24), [_short(r.case)], size=10.5, colour=GREY, anchor="start", bold=0)
        _bar(canvas, r, top + ROW / 2, colour)
        canvas.text(complex(402, top + ROW / 2), [figure(r)], size=13, colour=colour, anchor="start", bold=1)


def _bar(canvas: Canvas, r: Requirement, y: float, colour: str) -> None:
    if r.limit <= 0 or not r.unit:
        return
    length = min(r.value / r.limit * (_LIMIT - _BAR), _END - _BAR)
    canvas.line([complex(_BAR, y), complex(_BAR + max(length, 1.0), y)], Pen(colour, 9), extra='data-bar="1"')
    if r.value / r.limit * (_LIMIT - _BAR) > _END - _BAR:
        for x in (_END - 16, _END - 11):  # broken off: longer than there is room
            canvas.line([complex(x - 3, y + 8), complex(x + 3, y - 8)], Pen("#ffffff", 2.5))
    canvas.line([complex(_LIMIT, y - 11), complex(_LIMIT, y + 11)], Pen(INK, 1.6))


def _short(case: str) -> str:
    return case if len(case) <= 38 else f"{case[:37]}…"
