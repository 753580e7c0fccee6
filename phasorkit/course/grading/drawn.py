"""A picture of our own as PNG: what `phasorkit.draw` put on its canvas, painted by matplotlib without a screen."""

from __future__ import annotations

import io
import re
from base64 import b64encode
from cmath import exp, phase, pi
from collections.abc import Iterator
from math import sqrt
from textwrap import wrap
from typing import Any
from xml.etree import ElementTree

from nbformat import NotebookNode

from phasorkit.course.case import drawing_of
from phasorkit.course.grading.notebooks import output, printed
from phasorkit.course.model import Brief
from phasorkit.course.parts_check import PartsCheck
from phasorkit.course.plain import PlainData
from phasorkit.draw.picture import Picture

SHARP = 1.5
"""Pixels of the PNG per pixel of the picture."""

NARROWER = 0.86
"""The face that comes with matplotlib is wider than the one the labels were placed for."""

LINE = 15.0
_STEP = re.compile(r"([MLAZ])([^MLAZ]*)")
_SVG = "{http://www.w3.org/2000/svg}"


def png(picture: Picture, *, caption: str = "") -> bytes:
    """Paint a picture.

    Parameters
    ----------
    picture : Picture
        Of `phasorkit.draw`: paths of straight strokes and arcs, circles, text.
    caption : str
        Written below it.

    Returns
    -------
    bytes
        PNG, 108 dots per inch.

    Raises
    ------
    ValueError
        Something on the canvas that is not known here.

    Examples
    --------
    >>> from phasorkit.draw import scale_drawing
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> png(scale_drawing(bridge.on(bridge.supply())))[1:4]
    b'PNG'
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    root = ElementTree.fromstring(picture.svg)
    width, height = (float(root.attrib[name]) for name in ("width", "height"))
    rows = wrap(caption, int(width / 7.2))
    whole = height + (len(rows) + 0.8) * LINE * bool(rows)
    figure = Figure(figsize=(width / 72, whole / 72), dpi=72 * SHARP, facecolor="white")
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set(xlim=(0, width), ylim=(whole, 0))
    axes.set_axis_off()
    _group(axes, root, 0j)
    for k, row in enumerate(rows):
        axes.text(14, height + (k + 0.9) * LINE, row, fontsize=11.5, color="#1f2430")
    FigureCanvasAgg(figure)
    out = io.BytesIO()
    figure.savefig(out, format="png", metadata={"Software": None, "Description": picture.text})
    return out.getvalue()


def case_output(check: PartsCheck, brief: Brief, answer: PlainData) -> list[NotebookNode]:
    """An output with the case in which a design fails, or none; a drawing that fails stops no grading."""
    try:
        found = drawing_of(check, brief, answer)
        data = png(found[0], caption=found[1]) if found else b""
    except Exception as trouble:  # marks matter more than a picture
        return [printed(f"The case could not be drawn ({type(trouble).__name__}).\n")]
    if found is None:
        return []
    words = f"{found[1]} {found[0].text}"
    fields = {"data": {"image/png": b64encode(data).decode("ascii")}, "metadata": {"image/png": {"alt": words}}}
    return [output("display_data", fields)]


def _group(axes: Any, group: ElementTree.Element, shift: complex) -> None:
    for item in group:
        kind = item.tag.removeprefix(_SVG)
        if kind == "g":
            moved = re.search(r"translate\(([-0-9.]+),([-0-9.]+)\)", item.get("transform", ""))
            _group(axes, item, shift + (complex(float(moved[1]), float(moved[2])) if moved else 0))
        elif kind == "path":
            _path(axes, item, shift)
        elif kind == "circle":
            _circle(axes, item, shift)
        elif kind == "text":
            _text(axes, item, shift)
        elif kind not in ("rect", "title", "desc"):
            raise ValueError(f"a picture holds {kind!r}, which cannot be painted")


def _path(axes: Any, item: ElementTree.Element, shift: complex) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    points: list[complex] = []
    closed = False
    for step in _steps(item.attrib["d"], points):
        closed = closed or step == "Z"
    vertices = [((p + shift).real, (p + shift).imag) for p in points]
    path = Path([*vertices, vertices[0]] if closed else vertices, closed=closed)
    axes.add_patch(PathPatch(path, **_pen(item)))


def _steps(data: str, points: list[complex]) -> Iterator[str]:
    """Follow the steps of SVG path data, one stroke; the points are added to the list."""
    if not re.fullmatch(r"[MLAZ0-9., \-]*", data) or data.count("M") != 1:
        raise ValueError(f"a path is more than one stroke of lines and arcs: {data[:60]}")
    for kind, text in _STEP.findall(data):
        numbers = [float(n) for n in re.findall(r"-?[0-9.]+", text)]
        if kind == "A":
            radius, sweep, end = numbers[0], numbers[4], complex(*numbers[5:7])
            points += _arc(points[-1], end, radius, turn=1 if sweep else -1)
        elif kind in "ML":
            points.append(complex(*numbers))
        yield kind


def _arc(start: complex, end: complex, radius: float, *, turn: int) -> list[complex]:
    """Points of the arc of at most half a circle from one point to another; `turn` 1 where angles grow."""
    chord = end - start
    rise = sqrt(max(radius**2 - abs(chord / 2) ** 2, 0.0))
    centre = (start + end) / 2 + turn * 1j * chord / abs(chord) * rise
    angle = phase((end - centre) / (start - centre)) % (2 * pi)
    angle = min(angle, 2 * pi - angle) * turn
    return [centre + (start - centre) * exp(1j * angle * k / 48) for k in range(1, 49)]


def _circle(axes: Any, item: ElementTree.Element, shift: complex) -> None:
    from matplotlib.patches import Circle

    at = complex(float(item.attrib["cx"]), float(item.attrib["cy"])) + shift
    axes.add_patch(Circle((at.real, at.imag), float(item.attrib["r"]), **_pen(item)))


def _pen(item: ElementTree.Element) -> dict[str, Any]:
    """Look of a line, as matplotlib takes it; later items lie above earlier ones."""
    width = float(item.get("stroke-width", 1))
    dash = [float(n) / width for n in item.get("stroke-dasharray", "").split()]
    fill = item.get("fill", "none")
    look: dict[str, Any] = {"edgecolor": item.get("stroke", "none"), "facecolor": fill, "fill": fill != "none"}
    look |= {"linewidth": width, "joinstyle": "round", "capstyle": "round", "zorder": 2}
    return look | ({"linestyle": (0, dash)} if dash else {})


def _text(axes: Any, item: ElementTree.Element, shift: complex) -> None:
    from matplotlib.patheffects import withStroke

    anchor = {"start": "left", "end": "right"}.get(item.get("text-anchor", ""), "center")
    for row in item:
        at = complex(float(row.attrib["x"]), float(row.attrib["y"])) + shift
        axes.text(
            at.real, at.imag, row.text or "", fontsize=NARROWER * float(item.attrib["font-size"]), ha=anchor,
            va="baseline", color=item.get("fill"), weight="bold" if row.get("font-weight") else "normal",
            path_effects=[withStroke(linewidth=3.4, foreground="white")], zorder=2, parse_math=False,
        )  # fmt: skip
