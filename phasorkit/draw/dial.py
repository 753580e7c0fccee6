"""A dial: arrows as long as their peaks, stopped at one moment of their turn; their heights are the momentary volts."""

from __future__ import annotations

from cmath import exp, pi
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor, log10, sqrt

from phasorkit.draw.style import FAINT, GREY, INK, TEXT, THIN, Strand
from phasorkit.draw.svg import Canvas, Pen, text_width
from phasorkit.phasors import angle_deg

_TOPS = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


@dataclass(frozen=True)
class Wave:
    """One sine wave and its arrow.

    Parameters
    ----------
    name : str
    phasor : complex
        [V rms]; on the picture 0° points up, later is clockwise.
    strand : Strand
        Colour, dash and marker.
    tail : complex
        Where its arrow begins on the dial [V rms]; the dial's middle unless it spans two others.
    """

    name: str
    phasor: complex
    strand: Strand
    tail: complex = 0j

    @property
    def peak(self) -> float:
        """√2 times the rms value [V]."""
        return sqrt(2) * abs(self.phasor)

    def peak_at(self) -> float:
        """When it first peaks, in periods, from 0 up to below 1."""
        return round(-float(angle_deg(self.phasor)) / 360 + 1e-9, 6) % 1

    def now(self, turned: float) -> float:
        """Momentary value [V] after a part of a period."""
        return float(sqrt(2) * (self.phasor * exp(2j * pi * turned)).real)


@dataclass(frozen=True)
class Dial:
    """Where the arrows lie: middle and radius [px], volts at the rim [V], part of a period that has gone by."""

    middle: complex
    radius: float
    top: float
    turned: float = 0.0

    def at(self, phasor: complex) -> complex:
        """Place of an rms phasor [px], drawn with its peak length and turned."""
        z = sqrt(2) * phasor * exp(2j * pi * self.turned) * self.radius / self.top
        return self.middle - 1j * complex(z).conjugate()

    def draw(
        self, canvas: Canvas, waves: Sequence[Wave], *, copies: Iterable[tuple[complex, complex]], sides: bool
    ) -> None:
        """Draw the rim, the arrows with a ring at the rms length, dashed `copies`, and the triangle of the tips."""
        canvas.circle(self.middle, self.radius, Pen("#e3e7ec", 1.2))
        for arm in (self.radius + 8, 1j * (self.radius + 8)):
            canvas.line([self.middle - arm, self.middle + arm], Pen("#e3e7ec", 1))
        canvas.text(self.middle - 1j * (self.radius + 18), ["0°"], size=TEXT - 3, colour=GREY, bold=0)
        if sides:
            canvas.line([self.at(w.phasor) for w in waves], THIN, closed=True)
        for a, b in copies:
            canvas.line([self.at(a), self.at(b)], Pen(GREY, 1.4, dash="4 4"))
        for wave in waves:
            self._arrow(canvas, wave)
        canvas.circle(self.middle, 3.5, Pen(GREY, 1.5, fill=GREY))

    def _arrow(self, canvas: Canvas, wave: Wave) -> None:
        tail, tip = self.at(wave.tail), self.at(wave.tail + wave.phasor)
        way = tip - tail
        if abs(way) < 4:
            return
        canvas.arrow([tail, tip], wave.strand.pen(2.6), head=min(11.0, abs(way) / 2), extra=f'data-arrow="{wave.name}"')
        canvas.circle(tail + way / sqrt(2), 3.4, Pen(wave.strand.colour, 1.6, fill="#ffffff"))
        aside = 1j * way / abs(way)
        place = tip + 13 * way / abs(way) if wave.tail == 0 else (tail + tip) / 2 + 14 * aside
        canvas.text(place, [wave.name], size=TEXT - 1, colour=wave.strand.colour)


def rim(peaks: Iterable[float]) -> float:
    """A round number of volts that holds all peaks.

    >>> rim([11.3, 8.5]), rim([326.6])
    (12.0, 400.0)
    """
    highest = max(peaks, default=0.0)
    if highest <= 0:
        return 1.0
    power = 10.0 ** floor(log10(highest))
    return next(t * power for t in _TOPS if highest <= t * power * (1 + 1e-9))


def legend(canvas: Canvas, waves: Sequence[Wave], *, at: complex) -> None:
    """Name, line and rms value of each wave in one row."""
    x, y = at.real, at.imag
    for wave in waves:
        canvas.line([complex(x, y), complex(x + 30, y)], wave.strand.pen(2.6))
        words = f"{wave.name} {decimal(abs(wave.phasor))} V"
        canvas.text(complex(x + 36, y), [words], size=TEXT - 1, colour=INK, anchor="start", bold=1)
        x += 36 + text_width(words, TEXT - 1) + 12


def decimal(value: float) -> str:
    """Three digits, without zeros that say nothing, with a true minus.

    >>> decimal(11.314), decimal(8.0), decimal(-230.94), decimal(1e-12)
    ('11.3', '8', '−231', '0')
    """
    size = abs(value)
    text = f"{size:.0f}" if size >= 99.95 else f"{size:.1f}" if size >= 9.995 else f"{size:.2f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"−{text}" if value < 0 and text != "0" else text


def milliseconds(seconds: float) -> str:
    """A time in ms with two decimals at most.

    >>> milliseconds(1 / 150), milliseconds(0.02)
    ('6.67 ms', '20 ms')
    """
    text = f"{1e3 * seconds + 1e-9:.2f}".rstrip("0").rstrip(".")
    return f"{text} ms"


GRID = Pen("#e3e7ec", 1)
ZERO = Pen(FAINT, 1.4)
