"""The phasor diagram: the same points as the scale drawing, as arrows."""

from __future__ import annotations

from dataclasses import dataclass

from phasorkit.draw import words
from phasorkit.draw.frame import Frame
from phasorkit.draw.layout import Body, Ground, Wire, label_places, lay, leader, node_places
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import frame_of, heading, node_labels
from phasorkit.draw.style import GREY, INK, TEXT, THIN, Strand, mark, strands
from phasorkit.draw.survey import Survey, survey
from phasorkit.draw.svg import Canvas, Pen, text_width
from phasorkit.draw.symbols import Symbol
from phasorkit.indicators import Reading

ARROWS = ("star", "chain")
"""All arrows from the star point N, or the volts of the parts tip to tail."""

_SHAFT = Symbol((), (), 1.0, 3.0)
_LAMP = Strand(INK, "", "diamond")


@dataclass(frozen=True)
class _Arrow:
    """From the phasor `tail` to the phasor `tip` [V rms]; `at_tip` writes the label at the tip."""

    tail: complex
    tip: complex
    strand: Strand
    rows: list[str]
    at_tip: bool


def phasor_diagram(reading: Reading, *, arrows: str = "star", frame: Frame | None = None) -> Picture:
    """Draw the volts of one reading as arrows.

    Parameters
    ----------
    reading : Reading
        Any indicator on any supply and wiring; single values, not batched.
    arrows : "star" or "chain"
        Node voltages from the star point N and each lamp's voltage, or the volts of the parts tip to tail.
    frame : Frame, optional
        A frame to share between drawings; by default the one that belongs to the line voltage.

    Returns
    -------
    Picture
        Lengths are rms volts; angles are counted counter-clockwise from L1 of a sound supply, which points up. The
        arrow of a voltage a to b ends at a.

    Raises
    ------
    ValueError
        Batched reading, unknown kind of arrows.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> phasor_diagram(bridge.on(bridge.supply())).text.split(": ")[1][:26]
    'L1 231 V at 0°, M 115 V at'
    """
    if arrows not in ARROWS:
        raise ValueError(f"arrows must be one of {', '.join(ARROWS)}, got {arrows!r}")
    facts = survey(reading)
    frame = frame or frame_of(facts)
    canvas, ground = Canvas(frame.width, frame.height), Ground(frame.width, frame.height)
    heading(canvas, ground, facts)
    frame.scale_bar(canvas)
    ground.box(70 + 1j * (frame.height - 28), 110, 40)
    corners = [frame.at(v) for v in facts.conductors.values()]
    canvas.line(corners, THIN, closed=True)
    _draw(canvas, ground, facts, frame, arrows)
    title = f"{facts.title}: phasors, sequence {words.sequence(facts.sequence)}"
    text = words.sentences((words.setting(facts), _said(facts, arrows), words.lamps(facts)))
    return Picture(canvas.render(title=title, text=text), title, text)


def _draw(canvas: Canvas, ground: Ground, facts: Survey, frame: Frame, arrows: str) -> None:
    drawn = _star(facts) if arrows == "star" else _chain(facts)
    wires = [Wire(frame.at(a.tail), frame.at(a.tip), _SHAFT) for a in drawn]
    bodies = lay(wires, ground)
    for arrow, wire, body in zip(drawn, wires, bodies, strict=True):
        if body.beside:
            mark(canvas, wire.b, arrow.strand)
        else:
            canvas.arrow([*body.lead_a, *body.lead_b[1:]], arrow.strand.pen(), extra=f'data-arrow="{arrow.rows[0]}"')
    star = frame.at(0)
    canvas.circle(star, 4, Pen(GREY, 1.5, fill=GREY))
    ground.disc(star, 6)
    if arrows == "chain":
        node_labels(canvas, ground, facts, frame)
    else:
        at = ground.best(node_places(star, 14, TEXT, 1j), 14, TEXT)
        canvas.text(at, ["N"], size=TEXT, colour=GREY)
        ground.box(at, 14, TEXT)
    for k in sorted(range(len(drawn)), key=lambda k: not drawn[k].at_tip):
        _label(canvas, ground, drawn[k], (wires[k], bodies[k]), frame)


def _star(facts: Survey) -> list[_Arrow]:
    looks = strands(tuple(facts.nodes))
    arrows = []
    for group in facts.points():
        tip = facts.nodes[group[0]]
        if facts.same_point(tip, 0) or group[0] in facts.afloat:
            continue
        rows = [" = ".join(group), f"{words.volts(tip)} ∠{words.degrees(tip)}"]
        arrows.append(_Arrow(0j, tip, looks[group[0]], rows, True))
    for lamp in facts.lamps:
        rows = [lamp.name, f"{words.volts(lamp.volts)} {lamp.state}"]
        arrows.append(_Arrow(facts.nodes[lamp.b], facts.nodes[lamp.a], _LAMP, rows, False))
    return arrows


def _chain(facts: Survey) -> list[_Arrow]:
    inner = strands(tuple(s.name for s in facts.spans))
    arrows = []
    for s in facts.spans:
        look = _LAMP if s in facts.lamps else inner[s.name]
        angle = f" ∠{words.degrees(s.volts)}" if words.volts(s.volts) != "0 V" else ""
        rows = [f"{s.name} {s.value}".strip(), f"{words.volts(s.volts)}{angle}"]
        arrows.append(_Arrow(facts.nodes[s.b], facts.nodes[s.a], look, rows, False))
    return arrows


def _label(canvas: Canvas, ground: Ground, arrow: _Arrow, laid: tuple[Wire, Body], frame: Frame) -> None:
    wire, body = laid
    width, height = max(text_width(r, TEXT) for r in arrow.rows), 2.35 * TEXT
    if arrow.at_tip:
        outward = wire.b - frame.origin
        place = ground.best(node_places(wire.b, width, height, outward / abs(outward)), width, height)
    else:
        place = ground.best(label_places(body, wire, width, height), width, height, own=body.middle)
        pointer = leader(place, body, width, height)
        if pointer:
            canvas.line(pointer, THIN)
    canvas.text(place, arrow.rows, size=TEXT, colour=arrow.strand.colour, bold=1)
    ground.box(place, width, height)


def _said(facts: Survey, arrows: str) -> str:
    if arrows == "chain":
        parts = [f"{s.name} {words.volts(s.volts)} at {words.degrees(s.volts)}" for s in facts.spans]
        return f"Arrows tip to tail: {words.listed(parts)}."
    heights = [f"{n} {words.volts(z)} at {words.degrees(z)}" for n, z in facts.held.items() if abs(z) > 0.05]
    return f"Arrows from N: {words.listed(heights)}."
