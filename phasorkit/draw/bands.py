"""A resistor with its colour bands, each band named in words."""

from __future__ import annotations

from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GREY, INK
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.parts import COLOURS, TOLERANCE_LETTERS, colour_bands
from phasorkit.quantities import code, render

_FILL = {
    "black": "#000000", "brown": "#7a4a21", "red": "#c8281e", "orange": "#f08a1d", "yellow": "#f4d52a",
    "green": "#2b8a3e", "blue": "#2456b5", "violet": "#7d3fb2", "grey": "#8a8f98", "white": "#ffffff",
    "gold": "#c9a227", "silver": "#c4c8cf",
}  # fmt: skip
_BODY = "#ead9bd"


def bands_picture(resistance: float, *, tolerance: float) -> Picture:
    """Draw a resistor with four or five bands; below each its colour and what it means.

    Parameters
    ----------
    resistance : float
        [Ω].
    tolerance : float
        [±%].

    Raises
    ------
    ValueError
        What `phasorkit.parts.colour_bands` refuses.

    Examples
    --------
    >>> bands_picture(390e3, tolerance=1).text
    'Bands from left to right: orange 3, white 9, black 0, orange ×1000, brown ±1 %. That is 390k, 390 kΩ, letter F.'
    """
    bands = colour_bands(resistance, tolerance=tolerance)
    means = [str(COLOURS.index(b)) for b in bands[:-2]] + [_times(bands[-2]), f"±{tolerance:g} %"]
    canvas = Canvas(640, 150)
    canvas.line([24 + 48j, 616 + 48j], Pen(GREY, 4))
    body = [84 + 12j, 556 + 12j, 556 + 84j, 84 + 84j]
    canvas.line(body, Pen(INK, 1.6, fill=_BODY), closed=True)
    places = [140 + 82.0 * k for k in range(len(bands) - 1)] + [510.0]
    for x, band, meaning in zip(places, bands, means, strict=True):
        corners = [complex(x - 13, 12), complex(x + 13, 12), complex(x + 13, 84), complex(x - 13, 84)]
        canvas.line(corners, Pen(INK, 0.8, fill=_FILL[band]), closed=True, extra=f'data-band="{band}"')
        canvas.text(complex(x, 112), [band, meaning], size=15, colour=INK, bold=1)
    letter = next(name for name, percent in TOLERANCE_LETTERS.items() if percent == tolerance)
    named = ", ".join(f"{band} {meaning}" for band, meaning in zip(bands, means, strict=True))
    text = f"Bands from left to right: {named}. That is {code(resistance)}, {render(resistance, 'Ω')}, letter {letter}."
    title = f"Colour bands of {render(resistance, 'Ω')}"
    return Picture(canvas.render(title=title, text=text), title, text)


def _times(band: str) -> str:
    power = {"gold": -1, "silver": -2}.get(band)
    return f"×{10.0 ** (COLOURS.index(band) if power is None else power):g}"
