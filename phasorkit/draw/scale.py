"""The scale drawing: the circuit laid on the phasor plane, every symbol as long as its volts."""

from __future__ import annotations

from collections.abc import Sequence

from phasorkit.draw import words
from phasorkit.draw.frame import Frame
from phasorkit.draw.layout import Body, Ground, Wire, label_places, lay, leader, node_places
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GLOW, GREY, HINT, INK, PROOF, TEXT, THIN, WIRE
from phasorkit.draw.survey import RightAngle, Span, Survey, survey
from phasorkit.draw.svg import Canvas, Pen, number, point, text_width
from phasorkit.draw.symbols import LAMP, Symbol, symbol
from phasorkit.indicators import Indicator, Reading
from phasorkit.indicators.base import SEQUENCES


def scale_drawing(reading: Reading, *, symbols: str = "IEC", frame: Frame | None = None) -> Picture:
    """Draw one reading to scale on the phasor plane (topographic diagram), from the indicator's face alone.

    Parameters
    ----------
    reading : Reading
        Any indicator on any supply and wiring; single values, not batched.
    symbols : "IEC" or "NA"
        Style of the circuit symbols.
    frame : Frame, optional
        A frame to share between drawings; by default the one that belongs to the line voltage.

    Returns
    -------
    Picture
        L1 of a sound supply points up. Volts are rms. The distance of any two points is the voltage between them.

    Raises
    ------
    ValueError
        Batched reading, unknown symbol style.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> scale_drawing(bridge.on(bridge.supply("132"))).text.split(". ")[-1]
    'Lamp H1 between M and P has 346 V at 0°: lit.'
    """
    return drawing_of(survey(reading), symbols=symbols, frame=frame)


def drawing_of(facts: Survey, *, symbols: str = "IEC", frame: Frame | None = None) -> Picture:
    """The same from the facts of a reading, where they are at hand."""
    title, text = f"{facts.title} drawn to scale, sequence {words.sequence(facts.sequence)}", describe(facts)
    return Picture(panel(facts, symbols, frame or frame_of(facts)).render(title=title, text=text), title, text)


def both_sequences(indicator: Indicator, *, symbols: str = "IEC") -> Picture:
    """Draw an indicator on its nominal supply in both sequences, side by side on one scale.

    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> both_sequences(bridge).title
    'Null bridge with one capacitor drawn to scale, both sequences'
    """
    facts = [survey(indicator.on(indicator.supply(s))) for s in SEQUENCES]
    everything = [z for f in facts for z in f.nodes.values()]
    frame = Frame.around(indicator.line_voltage, everything, narrow=True)
    canvas = Canvas(2 * frame.width, frame.height)
    for k, f in enumerate(facts):
        canvas.include(panel(f, symbols, frame), at=complex(k * frame.width, 0))
    canvas.line([frame.width + 14j, frame.width + 1j * (frame.height - 14)], THIN)
    said = [
        words.sentences((f"Sequence {words.sequence(f.sequence)}:", words.geometry(f), words.lamps(f))) for f in facts
    ]
    title = f"{facts[0].title} drawn to scale, both sequences"
    return Picture(canvas.render(title=title, text=" ".join(said)), title, " ".join(said))


def frame_of(facts: Survey) -> Frame:
    """The frame that belongs to a reading."""
    return Frame.around(facts.line_voltage, [*facts.nodes.values(), *facts.conductors.values()])


def describe(facts: Survey) -> str:
    """The drawing in words."""
    parts = (words.setting(facts), words.part_volts(facts), words.geometry(facts), words.lamps(facts))
    return words.sentences(parts)


def panel(facts: Survey, style: str, frame: Frame, *, reserved: Sequence[complex] = ()) -> Canvas:
    """One drawing on a canvas of its own; labels keep away from `reserved` places [px]."""
    canvas, ground = Canvas(frame.width, frame.height), Ground(frame.width, frame.height)
    for at in reserved:
        ground.box(at, 20, 20)
    heading(canvas, ground, facts)
    frame.scale_bar(canvas)
    ground.box(70 + 1j * (frame.height - 28), 110, 40)
    _supply(canvas, ground, facts, frame)
    _half_circles(canvas, ground, facts.right_angles(), facts, frame)
    wires = [Wire(frame.at(facts.nodes[s.a]), frame.at(facts.nodes[s.b]), symbol(s.kind, style)) for s in facts.spans]
    bodies = lay(wires, ground)
    for span, wire, body in zip(facts.spans, wires, bodies, strict=True):
        part(canvas, span, wire.symbol, body)
    _equal_marks(canvas, facts, dict(zip((s.name for s in facts.spans), bodies, strict=True)))
    _nodes(canvas, ground, facts, frame)
    node_labels(canvas, ground, facts, frame)
    for span, wire, body in zip(facts.spans, wires, bodies, strict=True):
        part_label(canvas, ground, span, wire, body)
    return canvas


def heading(canvas: Canvas, ground: Ground, facts: Survey) -> None:
    """Sequence and wiring in the upper left corner."""
    rows = [f"Sequence {words.sequence(facts.sequence)}", *words.wiring(facts.touching).split(", ")]
    height = 1.2 * TEXT * len(rows)
    canvas.text(complex(14, 14 + height / 2), rows, size=TEXT, colour=INK, anchor="start", bold=1)
    width = max(text_width(r, TEXT) for r in rows)
    ground.box(complex(14 + width / 2, 14 + height / 2), width, height)


# --- supply and proof ---------------------------------------------------------------------------------


def _supply(canvas: Canvas, ground: Ground, facts: Survey, frame: Frame) -> None:
    corners = [frame.at(v) for v in facts.conductors.values()]
    canvas.line(corners, THIN, closed=True, extra='data-supply="triangle"')
    ground.line([*corners, corners[0]], 1)
    star = frame.at(facts.neutral)
    for arm in (5 + 5j, 5 - 5j):
        canvas.line([star - arm, star + arm], Pen(GREY, 1.6))
    ground.disc(star, 6)


def _half_circles(canvas: Canvas, ground: Ground, angles: Sequence[RightAngle], facts: Survey, frame: Frame) -> None:
    """The half circle over the outer nodes of a right angle, and the mark of the angle itself."""
    for angle in angles:
        p = frame.at(facts.nodes[angle.node])
        a, b = (frame.at(facts.nodes[e]) for e in angle.ends)
        radius = abs(b - a) / 2
        side = ((p - a) * (b - a).conjugate()).imag
        arc = f"M{point(a)} A{number(radius)},{number(radius)} 0 0 {1 if side < 0 else 0} {point(b)}"
        canvas.path(arc, HINT, f'data-half-circle="{angle.node}"')
        turn = -1j if side < 0 else 1j
        middle, spoke = (a + b) / 2, (a - b) / 2
        points = [middle + spoke * (turn ** (k / 12)) for k in range(25)]
        ground.line(points, 1)
        arm = min(13.0, 0.3 * abs(p - a), 0.3 * abs(p - b))
        if arm > 4:
            u, v = (a - p) / abs(a - p) * arm, (b - p) / abs(b - p) * arm
            canvas.line([p + u, p + u + v, p + v], PROOF, extra=f'data-right-angle="{angle.node}"')
            ground.disc(p + (u + v) / 2, 7)


# --- parts --------------------------------------------------------------------------------------------


def part(canvas: Canvas, span: Span, drawn: Symbol, body: Body) -> None:
    """One part where it was laid: its leads and its symbol."""
    facts = f'data-part="{span.name}" data-a="{span.a}" data-b="{span.b}" data-volts="{number(abs(span.volts))}"'
    state = f' data-state="{span.state}"' if span.state else ""
    with canvas.group(facts + state):
        canvas.line(body.lead_a, WIRE)
        canvas.line(body.lead_b, WIRE)
        _outline(canvas, span, drawn, body)


def _outline(canvas: Canvas, span: Span, drawn: Symbol, body: Body) -> None:
    turn = body.along * body.scale
    fill = {"lit": GLOW, "unsure": "#ffeeb8"}.get(span.state, "#ffffff")
    for centre, radius, filled in drawn.circles:
        pen = Pen(INK, 1.8, fill=INK if filled else fill)
        canvas.circle(body.middle + centre * turn, radius * body.scale, pen)
    boxed = span.kind == "R" and drawn.strokes[0][0] == drawn.strokes[0][-1]
    for chain in drawn.strokes:
        canvas.line([body.middle + p * turn for p in chain], Pen(INK, 1.8, fill="#ffffff" if boxed else "none"))
    if span.kind == LAMP and span.state != "dark":
        _rays(canvas, body, 12 if span.state == "lit" else 4)


def _rays(canvas: Canvas, body: Body, count: int) -> None:
    """Rays of a lit lamp (few of an unsure one), none along its leads."""
    for k in range(count):
        ray = 1j ** (4 * (k + 0.5) / count)
        if abs(ray.imag) > 0.3:
            ray *= body.along
            start = body.middle + ray * (body.half + 3)
            canvas.line([start, start + 6 * ray], Pen("#c77700", 2.0))


def _equal_marks(canvas: Canvas, facts: Survey, bodies: dict[str, Body]) -> None:
    """Two ticks on each of two equal parts that hold a node in their middle."""
    for node, _, _ in facts.middles():
        for span in (s for s in facts.spans if s.current != 0 and node in (s.a, s.b)):
            body = bodies[span.name]
            p, q = body.lead_a[-2:] if span.a == node else body.lead_b[:2]
            if abs(q - p) < 18 or body.beside:
                continue
            u = (q - p) / abs(q - p)
            for shift in (-2.5, 2.5):
                at = (p + q) / 2 + shift * u
                canvas.line([at - 5.5j * u, at + 5.5j * u], PROOF, extra=f'data-equal="{span.name}"')


def part_label(canvas: Canvas, ground: Ground, span: Span, wire: Wire, body: Body) -> None:
    """Name, value and volts of a part, in a free place near it."""
    tail = f"{words.volts(span.volts)} {span.state}".strip()
    rows = [f"{span.name} {span.value}".strip(), tail]
    width, height = max(text_width(r, TEXT) for r in rows), 2.35 * TEXT
    at = ground.best(label_places(body, wire, width, height), width, height, own=body.middle)
    pointer = leader(at, body, width, height)
    if pointer:
        canvas.line(pointer, THIN)
    with canvas.group(f'data-label="{span.name}"'):
        canvas.text(at, rows, size=TEXT, colour=INK, bold=1)
    ground.box(at, width, height)


# --- nodes --------------------------------------------------------------------------------------------


def _nodes(canvas: Canvas, ground: Ground, facts: Survey, frame: Frame) -> None:
    """A dot for every node: filled where it is held, a ring for a probe that touches nothing."""
    is_open = {n: facts.touching.get(n) == "" or n in facts.afloat for n in facts.nodes}
    for name in sorted(facts.nodes, key=lambda n: not is_open[n]):
        at = frame.at(facts.nodes[name])
        pen = Pen(INK, 1.8, fill="#ffffff" if is_open[name] else INK)
        mark = ' data-open="1"' if is_open[name] else ""
        canvas.circle(at, 7.0 if is_open[name] else 4.0, pen, f'data-node="{name}"{mark}')
        ground.disc(at, 7)


def node_labels(canvas: Canvas, ground: Ground, facts: Survey, frame: Frame) -> None:
    """Names at every point: nodes, conductors, N, stray probes."""
    for rows, height in _labels(facts):
        at = frame.at(height)
        size = (max(text_width(r, TEXT + 1) for r in rows), 1.2 * (TEXT + 1) * len(rows))
        outward = at - frame.origin
        outward = outward / abs(outward) if abs(outward) > 12 else 1j
        best = ground.best(node_places(at, *size, outward), *size)
        with canvas.group('data-label="node"'):
            canvas.text(best, rows, size=TEXT + 1, colour=GREY if rows == ["N"] else INK, bold=1)
        ground.box(best, *size)


def _labels(facts: Survey) -> list[tuple[list[str], complex]]:
    """What to write at each point: inner nodes and the conductor; below, probes that are not on their own."""
    fixed = {**facts.conductors, "N": facts.neutral}
    said: list[tuple[list[str], complex]] = []
    named: set[str] = set()
    for group in facts.points():
        height = facts.nodes[group[0]]
        here = [n for n in group if n not in facts.touching and n not in fixed]
        floats = group[0] in facts.afloat
        here += [c for c, v in fixed.items() if facts.same_point(v, height) and not floats]
        named |= set(here)
        astray = [p for p in group if facts.touching.get(p, p) != p]
        rows = [f"probe {p}" if facts.touching[p] else f"probe {p} open" for p in astray]
        rows += ["floating"] if floats else []
        said.append(([" = ".join(here), *rows] if here else rows, height))
    return said + [([name], height) for name, height in fixed.items() if name not in named]
