"""TeX formulas as small pictures, so that they show without a network and without a script."""

from __future__ import annotations

import base64
import io
import re
import warnings
from functools import lru_cache
from html import escape

MAX_TEX = 400
"""Characters of a formula beyond which its source is shown."""

MAX_DEPTH = 8
"""Braces inside braces beyond which its source is shown: the time to lay it out grows with them."""

DOTS = 160
"""Resolution of the pictures [dots per inch]; they are shown at half their size."""

_SPELT = {r"\dfrac": r"\frac", r"\tfrac": r"\frac", r"\text{": r"\mathrm{", r"\lVert": r"\|", r"\rVert": r"\|"}


def formula(tex: str) -> str:
    """A formula as an HTML picture with its source as alternative text, or its source where it cannot be drawn.

    >>> formula("R = X_C/\\\\sqrt{3}")[:38], formula("\\\\nosuchword{x}")
    ('<img class="formula" alt="R = X_C/\\\\sqr', '<code>\\\\nosuchword{x}</code>')
    """
    tex = " ".join(tex.split())
    drawn = _drawn(tex) if tex and len(tex) <= MAX_TEX and _depth(tex) <= MAX_DEPTH else None
    if drawn is None:
        return f"<code>{escape(tex)}</code>"
    data, height = drawn
    return f'<img class="formula" alt="{escape(tex)}" height="{height}" src="data:image/png;base64,{data}">'


def _depth(tex: str) -> int:
    deepest = depth = 0
    for letter in tex:
        depth += (letter == "{") - (letter == "}")
        deepest = max(deepest, depth)
    return deepest


@lru_cache(maxsize=512)
def _drawn(tex: str) -> tuple[str, int] | None:
    """PNG as base64 text, and the height to show it at [px]; None where it cannot be drawn."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.mathtext import math_to_image

    for word, plain in _SPELT.items():
        tex = tex.replace(word, plain)
    if re.search(r"(?<!\\)\$", tex):
        return None
    stream = io.BytesIO()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            math_to_image(f"${tex}$", stream, prop=FontProperties(size=11), dpi=DOTS, format="png")
    except Exception:  # the library says no in many ways
        return None
    from PIL import Image

    height = Image.open(stream).size[1]
    return base64.b64encode(stream.getvalue()).decode("ascii"), round(height * 96 / DOTS)
