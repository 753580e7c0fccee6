"""The fixed frame of a drawing: where a phasor lies on the picture, and its scale bar.

L1 of a sound supply points straight up; phasors turn counter-clockwise, as everywhere in the package.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import floor, log10

from phasorkit.draw.style import GREY, INK, TEXT
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.quantities import render

_SIDE = 320.0
"""Length of the line voltage [px]."""
_STEPS = (1.0, 1.5, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 50.0, 100.0)


@dataclass(frozen=True, kw_only=True)
class Frame:
    """A picture's size [px] and its scale [px per V rms]; `origin` is the place of the star point [px].

    A frame depends on the line voltage alone as long as all nodes lie where two sources and R, L, C in series can
    put them (half a line voltage around the sides of the triangle); farther nodes zoom it out in steps.
    """

    width: float = 640.0
    height: float = 520.0
    scale: float = 0.8
    origin: complex = 320 + 236j

    @classmethod
    def around(cls, line_voltage: float, phasors: Iterable[complex], *, narrow: bool = False) -> Frame:
        """The frame for a line voltage [V rms] that holds all phasors [V rms].

        `narrow` gives a slimmer one when nothing lies beside the triangle or under the heading.

        >>> Frame.around(400, [230j]).scale
        0.8
        >>> [Frame.around(400, [z], narrow=True).width for z in (200 + 0j, 200 + 200j)]
        [520.0, 640.0]
        """
        phasors = list(phasors)
        reach = max((max(abs(z.real), abs(z.imag)) for z in phasors), default=0.0) / line_voltage
        step = next((s for s in _STEPS if reach <= 0.81 * s), _STEPS[-1])
        places = [z / line_voltage for z in phasors]
        beside = any(abs(z.imag) >= 0.56 or (z.real > 0.3 and z.imag > 0.3) for z in places)  # the latter: the heading
        width = 520.0 if narrow and step == 1 and not beside else 640.0
        return cls(width=width, scale=_SIDE / line_voltage / step, origin=complex(width / 2, 236))

    def at(self, phasor: complex) -> complex:
        """The place of a phasor [px], snapped to a hundredth so that layouts are the same on every machine."""
        place = self.origin - 1j * self.scale * complex(phasor).conjugate()
        return complex(_snap(place.real), _snap(place.imag))

    def scale_bar(self, canvas: Canvas) -> None:
        """Draw the bar, a round number of volts long."""
        volts = round_volts(100 / self.scale)
        start = complex(22, self.height - 22)
        ends = [start - 5j, start, start + volts * self.scale, start + volts * self.scale - 5j]
        with canvas.group('data-scale-bar="1"'):
            canvas.line(ends, Pen(INK, 1.6))
            middle = (ends[1] + ends[2]) / 2 - 12j
            canvas.text(middle, [render(volts, "V")], size=TEXT - 2, colour=GREY, bold=0)


def round_volts(limit: float) -> float:
    """The largest of 1, 2, 5 times a power of ten that is not above a limit.

    >>> round_volts(125), round_volts(4.2)
    (100.0, 2.0)
    """
    power = 10.0 ** floor(log10(limit) + 1e-9)
    return next(m * power for m in (5.0, 2.0, 1.0) if m * power <= limit * (1 + 1e-9))


def _snap(value: float) -> float:
    return round(value + 1e-6, 2) + 0.0
