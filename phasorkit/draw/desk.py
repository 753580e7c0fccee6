"""The verdict on a design as a table of bars: each requirement, its figure against its limit, and where it fails."""

from __future__ import annotations

from collections.abc import Sequence

from phasorkit.analysis.design import Requirement
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK
from phasorkit.draw.svg import Canvas, Pen

WIDTH, HEAD, ROW, ROWS = 600.0, 42.0, 32.0, 16
"""Size of the picture [px]: its height is that of the most rows that any circuit has."""

_BAR, _LIMIT, _END = 262.0, 332.0, 392.0
"""Where bars begin, where the limit stands, and where a bar that is too long ends [px]."""

_LOOK = {True: ("✓", "#1d6b3a", "met"), False: ("✗", "#a3261b", "NOT met"), None: ("?", GREY, "not tried")}


def desk_picture(found: Sequence[Requirement], *, heading: str, rows: int = ROWS) -> Picture:
    """Draw a verdict.

    Parameters
    ----------
    found : sequence of Requirement
    heading : str
        What was judged, in one line.
    rows : int
        Room for so many requirements; a live picture keeps its size whatever the circuit.

    Returns
    -------
    Picture
        A row for each requirement. The bar shows the figure, the upright stroke the limit.

    Examples
    --------
    >>> row = Requirement("lit lamp lights", 284.7, 90.0, "V", False, True, "H1, 1-3-2")
    >>> desk_picture([row], heading="A bridge").text
    '1 of 1 requirements met.'
    """
    canvas = Canvas(WIDTH, HEAD + rows * ROW)
    canvas.text(complex(12, 14), [heading], size=13, colour=INK, anchor="start", bold=1)
    canvas.text(complex(_LIMIT, 33), ["limit"], size=11, colour=GREY, bold=0)
    for k, requirement in enumerate(found):
        _row(canvas, requirement, HEAD + k * ROW)
    text = describe(found)
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
