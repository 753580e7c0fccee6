"""Figures of a class report: drawn to be read in black and white too, each with what it shows in words."""

from __future__ import annotations

from collections.abc import Sequence

from phasorkit.course.grading.insight import KINDS, CheckFacts
from phasorkit.course.grading.records import Record
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import FAINT, GREY, INK
from phasorkit.draw.svg import Canvas, Pen

WIDTH = 720.0
BINS = 10

LOOK = {
    "right": ("#008a80", "#ffffff", "✓"),
    "part": ("#9fd6d1", INK, "½"),
    "wrong": ("#c77700", "#ffffff", "✗"),
    "blank": ("#ffffff", INK, "–"),
    "unreadable": ("#d9dde3", INK, "?"),
}
"""Fill, ink and sign of each kind of answer; the sign and the number tell it without colour."""

WORDS = {
    "right": "right",
    "part": "partly",
    "wrong": "wrong",
    "blank": "not answered",
    "unreadable": "no answer to be read",
}
"""Each of `KINDS` in a few words."""


def scores_figure(records: Sequence[Record]) -> Picture:
    """How many learners have how many per cent of the marks, as columns ten per cent wide."""
    counts = [0] * BINS
    for record in records:
        share = record.points / record.maximum if record.maximum else 0.0
        counts[max(0, min(BINS - 1, int(BINS * share + 1e-9)))] += 1
    most, height, base, left = max([1, *counts]), 130.0, 165.0, 30.0
    step = (WIDTH - 2 * left) / BINS
    canvas = Canvas(WIDTH, 210)
    for index, count in enumerate(counts):
        x, top = left + index * step, base - height * count / most
        if count:
            corners = [
                complex(x + 4, base),
                complex(x + 4, top),
                complex(x + step - 4, top),
                complex(x + step - 4, base),
            ]
            canvas.line(corners, Pen("#5b2d8e", 1.2, fill="#5b2d8e"), closed=True)
            canvas.text(complex(x + step / 2, top - 11), [str(count)], size=15, colour=INK)
        canvas.text(complex(x, base + 16), [f"{index * 100 // BINS}"], size=13, colour=GREY, bold=0)
    canvas.text(complex(WIDTH - left, base + 16), ["100 %"], size=13, colour=GREY, bold=0)
    canvas.text(complex(WIDTH / 2, base + 36), ["per cent of the marks"], size=13, colour=GREY, bold=0)
    canvas.line([complex(left, base), complex(WIDTH - left, base)], Pen(INK, 1.5))
    steps = [f"{count} with {10 * i} to {10 * i + 10} %" for i, count in enumerate(counts) if count]
    text = f"Learners by their share of the marks: {', '.join(steps) or 'none'}. A limit counts to the column above it."
    title = "How the marks are spread"
    return Picture(canvas.render(title=title, text=text), title, text)


def checks_figure(facts: Sequence[CheckFacts]) -> Picture:
    """What became of the answers to each check, as one bar of parts each."""
    left, right, row = 150.0, 16.0, 34.0
    canvas = Canvas(WIDTH, row * len(facts) + 44)
    for index, check in enumerate(facts):
        middle = row * index + row / 2 + 4
        canvas.text(complex(left - 10, middle), [check.name], size=15, colour=INK, anchor="end")
        x = left
        for kind, count in zip(KINDS, check.counts, strict=True):
            width = (WIDTH - left - right) * count / max(1, check.learners)
            if not count:
                continue
            fill, ink, sign = LOOK[kind]
            corners = [complex(x, middle - 12), complex(x + width, middle - 12)]
            corners += [complex(x + width, middle + 12), complex(x, middle + 12)]
            canvas.line(corners, Pen(GREY, 1, fill=fill), closed=True)
            label = f"{sign} {count}" if width > 44 else f"{count}" if width > 18 else ""
            if label:
                _plain(canvas, complex(x + width / 2, middle), label, ink)
            x += width
    _legend(canvas, row * len(facts) + 26)
    lines = [
        f"{c.name}: " + ", ".join(f"{n} {WORDS[k]}" for k, n in zip(KINDS, c.counts, strict=True) if n) for c in facts
    ]
    title = "What became of the answers"
    text = "; ".join(lines) + "."
    return Picture(canvas.render(title=title, text=text), title, text)


def _legend(canvas: Canvas, y: float) -> None:
    x = 150.0
    for kind in KINDS:
        fill, ink, sign = LOOK[kind]
        corners = [complex(x, y - 9), complex(x + 18, y - 9), complex(x + 18, y + 9), complex(x, y + 9)]
        canvas.line(corners, Pen(GREY, 1, fill=fill), closed=True)
        _plain(canvas, complex(x + 9, y), sign, ink)
        canvas.text(complex(x + 24, y), [WORDS[kind]], size=13, colour=INK, anchor="start", bold=0)
        x += 40 + 7.6 * len(WORDS[kind])
    canvas.line([complex(150, y - 20), complex(WIDTH - 16, y - 20)], Pen(FAINT, 1))


def _plain(canvas: Canvas, at: complex, text: str, colour: str) -> None:
    """Text on a filled ground, without the halo that other texts have."""
    with canvas.group('style="paint-order:fill" stroke-opacity="0"'):
        canvas.text(at, [text], size=13, colour=colour)
