"""The same in words: what a sighted person reads off a drawing."""

from __future__ import annotations

from collections.abc import Iterable

from phasorkit.draw.survey import Span, Survey
from phasorkit.phasors import angle_deg

STATE_WORDS = {"lit": "lit", "dark": "dark", "unsure": "unsure (it may light or not)"}


def volts(value: complex | float) -> str:
    """The magnitude of a voltage for a label: whole volts from 20 V on, else one decimal [V rms].

    >>> volts(346.41), volts(-12j), volts(1e-13)
    ('346 V', '12.0 V', '0 V')
    """
    size = abs(value) * (1 + 1e-9)
    if size < 0.05:
        return "0 V"
    return f"{size:.0f} V" if size >= 19.95 else f"{size:.1f} V"


def degrees(value: complex) -> str:
    """The angle of a phasor, seen from L1 of a sound supply.

    >>> degrees(-1j), degrees(-1 + 0j)
    ('−90°', '180°')
    """
    angle = float(angle_deg(complex(value.real + 0.0, value.imag + 0.0)))
    whole = round(angle + 1e-6)
    return f"{180 if whole == -180 else whole}°".replace("-", "−")


def sequence(name: str) -> str:
    """A sequence as the trade writes it: 1-2-3.

    >>> sequence("132")
    '1-3-2'
    """
    return "-".join(name)


def wiring(touching: dict[str, str]) -> str:
    """How the probes lie.

    >>> wiring({"L1": "L1", "L2": "", "L3": "N"})
    'probe L2 open, probe L3 on N'
    """
    said = [f"probe {p} {f'on {t}' if t else 'open'}" for p, t in touching.items() if t != p]
    return ", ".join(said) or "all probes right"


def setting(s: Survey) -> str:
    """Supply and wiring in one sentence."""
    supply = f"{volts(s.line_voltage)} line to line, {s.frequency:g} Hz"
    return f"{s.title} on {supply}, sequence {sequence(s.sequence)}, {wiring(s.touching)}."


def lamp(span: Span) -> str:
    """One lamp: where, volts, angle, state."""
    angle = f" at {degrees(span.volts)}" if volts(span.volts) != "0 V" else ""
    return f"Lamp {span.name} between {span.a} and {span.b} has {volts(span.volts)}{angle}: {STATE_WORDS[span.state]}."


def lamps(s: Survey) -> str:
    """All lamps."""
    return " ".join(lamp(span) for span in s.lamps)


def part_volts(s: Survey) -> str:
    """The volts of all parts in one sentence."""
    said = [f"{p.name} ({p.a} to {p.b}) {volts(p.volts)}" for p in s.spans if p not in s.lamps]
    return f"Volts: {listed(said)}." if said else ""


def geometry(s: Survey) -> str:
    """Right angles, middles and nodes on one point, in one sentence."""
    said = [
        f"{a.resistor.name} and {a.reactor.name} meet at a right angle at {a.node}, on the half circle over "
        f"{end(s, a.ends[0])}–{end(s, a.ends[1])}"
        for a in s.right_angles()
    ]
    said += [f"{point(s, m)} lies in the middle of {end(s, a)}–{end(s, b)}" for m, a, b in s.middles()]
    groups = [[point(s, node) for node in group] for group in s.points() if len(group) > 1]
    said += [f"{listed(group)} fall on one point" for group in groups]
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}." if said else ""


def point(s: Survey, node: str) -> str:
    """A node's name beside the drawing's corners: a probe that has left its own conductor is no corner any more."""
    return f"probe {node}" if s.touching.get(node, node) != node else node


def end(s: Survey, node: str) -> str:
    """The end of a line in the drawing: the conductor that a wrongly laid probe touches, else as `point` names it."""
    return s.touching.get(node) or point(s, node)


def listed(items: Iterable[str]) -> str:
    """``a, b and c``.

    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    *most, last = [*items] or ["none"]
    return f"{', '.join(most)} and {last}" if most else last


def sentences(parts: Iterable[str]) -> str:
    """Sentences joined, empty ones left out."""
    return " ".join(p for p in parts if p)
