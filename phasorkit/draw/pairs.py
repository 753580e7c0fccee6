"""Several testers side by side, each before and after exchanging two probes: what one sees, and what one would say."""

from __future__ import annotations

from collections.abc import Sequence

from phasorkit.analysis.second_reading import NOTHING_WRONG, TwoReadings
from phasorkit.analysis.wiring import CANT_TELL, MISLEADING, TRUE, WiringRecord
from phasorkit.draw import words
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GLOW, GREY, INK, THIN
from phasorkit.draw.survey import Span, Survey, survey
from phasorkit.draw.svg import Canvas, Pen

WIDTH, ROW, HEAD = 600.0, 138.0, 30.0
_SIDE, _SMALL = 70.0, 13.0
_COLUMNS = (62.0, 288.0)
"""Middle of the small drawing of the first and of the second reading."""
_VERDICT = {TRUE: ("✓", "#1d6b3a"), MISLEADING: ("✗", "#a3261b"), CANT_TELL: ("?", GREY)}
SAYS = {"123": "1-2-3", "132": "1-3-2", "fault": "fault", "nothing": "nothing lights", "can't tell": "can't tell"}
"""A conclusion as it is said aloud."""


def pairs_picture(pairs: Sequence[TwoReadings], *, mistake: str, at: str, exchange: tuple[str, str]) -> Picture:
    """Draw the same mistake on several testers.

    Parameters
    ----------
    pairs : sequence of TwoReadings
        One for each tester, all on one supply.
    mistake, at : str
        As for `two_readings`, for the words.
    exchange : (str, str)
        The probes exchanged for the second reading.

    Returns
    -------
    Picture
        A row for each tester: a small drawing to scale with each lamp as a bar as long as its volts, its state, and
        what is concluded from one reading and from two, with its verdict in words and as a mark.

    Examples
    --------
    >>> from phasorkit.analysis.second_reading import two_readings
    >>> from phasorkit.indicators import circuit
    >>> star = circuit("two-lamp-capacitor").sized(capacitance=33e-9, frequency=50, line_voltage=400)
    >>> said = {"mistake": "lead broken", "at": "L2", "exchange": ("L1", "L2")}
    >>> pairs_picture([two_readings(star, **said)], **said).text.split(": ", 1)[1]
    'H1 0 V dark, H2 283 V lit; one reading says 1-3-2 (misleading); the pair says fault (true).'
    """
    canvas = Canvas(WIDTH, HEAD + ROW * len(pairs))
    for x, text in ((14.0, "first reading"), (240.0, f"after exchanging {exchange[0]} and {exchange[1]}")):
        canvas.text(complex(x, 16), [text], size=_SMALL + 1, colour=GREY, anchor="start", bold=1)
    for k, pair in enumerate(pairs):
        _row(canvas, pair, HEAD + k * ROW)
    where = f"Sequence {words.sequence(pairs[0].first.sequence)}, {said(mistake, at)}."
    text = " ".join((where, *(_in_words(p) for p in pairs)))
    title = f"{where[:-1]}: the same mistake on {len(pairs)} testers"
    return Picture(canvas.render(title=title, text=text), title, text)


def said(mistake: str, at: str) -> str:
    """A mistake in words.

    >>> said("on neutral", "L2"), said("dead supply", "L2")
    ('probe L2 on the neutral', 'supply dead')
    """
    return {
        NOTHING_WRONG: NOTHING_WRONG,
        "lead broken": f"lead of probe {at} broken",
        "on neutral": f"probe {at} on the neutral",
        "on earth": f"probe {at} on earth",
        "on next phase": f"probe {at} on the next phase",
        "poor contact": f"poor contact at terminal {at}",
        "phase at zero": f"phase {at} lost and at zero",
        "phase back-fed": f"phase {at} lost and back-fed",
        "dead supply": "supply dead",
    }.get(mistake, mistake)


def _in_words(pair: TwoReadings) -> str:
    first = pair.first
    seen = ", ".join(
        f"{lamp.name} {words.volts(v)} {state}"
        for lamp, v, state in zip(pair.readings[0].indicator.lamps, first.lamp_volts, first.lamp_states, strict=True)
    )
    alone = _voiced("one reading", first.conclusion, first.verdict)
    return f"{pair.readings[0].indicator.title}: {seen}; {alone}; " + (
        _voiced("the pair", first.after_swap, first.after_swap_verdict) + "."
    )


def _voiced(who: str, conclusion: str, verdict: str) -> str:
    if conclusion == verdict:
        return f"{who} can't tell"
    return f"{who} says {SAYS[conclusion]} ({verdict})"


def _row(canvas: Canvas, pair: TwoReadings, top: float) -> None:
    canvas.line([complex(0, top), complex(WIDTH, top)], THIN)
    title = pair.readings[0].indicator.title
    canvas.text(complex(14, top + 13), [title], size=_SMALL + 1, colour=INK, anchor="start", bold=1)
    for middle, reading, record in zip(_COLUMNS, pair.readings, (pair.first, pair.second), strict=True):
        facts = survey(reading)
        _small_drawing(canvas, facts, record, complex(middle, top + 76))
        _lamps(canvas, facts.lamps, record, complex(middle + 78, top + 78))
    first = pair.first
    for y, head, conclusion, verdict in (
        (48.0, "one reading", first.conclusion, first.verdict),
        (100.0, "both together", first.after_swap, first.after_swap_verdict),
    ):
        mark, colour = _VERDICT[verdict]
        at = complex(470, top + y)
        canvas.text(at - 14j, [head], size=_SMALL, colour=GREY, anchor="start", bold=0)
        canvas.text(at + 4j, [f"{mark} {SAYS[conclusion]}"], size=_SMALL + 2, colour=colour, anchor="start", bold=1)
        if conclusion != verdict:
            canvas.text(at + 21j, [verdict], size=_SMALL, colour=colour, anchor="start", bold=0)


def _small_drawing(canvas: Canvas, facts: Survey, record: WiringRecord, middle: complex) -> None:
    """The triangle and the lamps as bars between their own nodes, to scale."""
    scale = _SIDE / facts.line_voltage

    def at(z: complex) -> complex:
        return middle - 1j * scale * z.conjugate()

    corners = {name: at(v) for name, v in facts.conductors.items()}
    canvas.line([*corners.values()], THIN, closed=True)
    star = at(facts.neutral)
    for arm in (3 + 3j, 3 - 3j):
        canvas.line([star - arm, star + arm], Pen(GREY, 1.2))
    home = complex(middle.real, middle.imag)
    drawn: list[complex] = []
    for name, place in corners.items():
        away = place - home
        step = away / abs(away) * 11 if abs(away) > 4 else complex(-14 + 14 * len(drawn), -12)
        canvas.text(place + step, [name], size=11, colour=GREY, bold=0)
        drawn.append(place)
    for lamp, state in zip(facts.lamps, record.lamp_states, strict=True):
        _bar(canvas, at(facts.nodes[lamp.a]), at(facts.nodes[lamp.b]), state)


def _bar(canvas: Canvas, a: complex, b: complex, state: str) -> None:
    if abs(b - a) > 2:
        if state == "lit":
            canvas.line([a, b], Pen(INK, 8))
            canvas.line([a, b], Pen(GLOW, 5))
        else:
            canvas.line([a, b], Pen(INK, 3, dash="4 5" if state == "unsure" else "1 4"))
    for end in (a, b):
        canvas.circle(end, 3, Pen(INK, 1.5, fill="#ffffff" if state == "dark" else INK))


def _lamps(canvas: Canvas, lamps: Sequence[Span], record: WiringRecord, at: complex) -> None:
    """Each lamp as a face: filled and with rays if lit, with its volts and its state in words."""
    offset = 27.0 * (len(lamps) - 1)
    for k, (lamp, volts, state) in enumerate(zip(lamps, record.lamp_volts, record.lamp_states, strict=True)):
        middle = at + 1j * (54.0 * k - offset)
        fill = {"lit": GLOW, "unsure": "#ffeeb8"}.get(state, "#ffffff")
        rays = {"lit": 12, "unsure": 4}.get(state, 0)
        for r in range(rays):
            ray = 1j ** (4 * (r + 0.5) / rays)
            canvas.line([middle + 15 * ray, middle + 20 * ray], Pen("#c77700", 2))
        canvas.circle(middle, 11, Pen(INK, 1.8, fill=fill), f'data-lamp="{lamp.name}" data-state="{state}"')
        for arm in (7.8 + 7.8j, 7.8 - 7.8j):
            canvas.line([middle - arm, middle + arm], Pen(INK, 1.4))
        rows = [f"{lamp.name} {words.volts(volts)}", state]
        canvas.text(middle + 26, rows, size=_SMALL, colour=INK, anchor="start", bold=1)
