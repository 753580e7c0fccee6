"""Known slips of the exercise `two-lamp`, its box: what each one gives, and the words that teach."""

from __future__ import annotations

from math import hypot, sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.two_lamp.values import (
    IN_SERIES,
    NEITHER,
    PAIR,
    SINGLE,
    STARS,
    bright,
    bright_volts,
    dim_volts,
    lamp_conductors,
    part_volts,
    uses,
)
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES
from phasorkit.supply import CONDUCTORS


def _everywhere(volts: float) -> Numbers:
    return {(s, c): volts for s in SEQUENCES for c in CONDUCTORS}


def _on_lamps(brief: Brief, volts: float) -> Numbers:
    return {(s, c): volts for s in SEQUENCES for c in lamp_conductors(brief)}


def _sequences_exchanged(brief: Brief, earlier: Values) -> Numbers:
    v = part_volts(brief, earlier)
    return {(s, c): v[SEQUENCES[1 - k], c] for k, s in enumerate(SEQUENCES) for c in lamp_conductors(brief)}


def _on_the_part(brief: Brief, volts: float) -> Numbers:
    return {(s, brief.part_on): volts for s in SEQUENCES}


def _as_in_the_lesson(brief: Brief, earlier: Values) -> Numbers:
    """The lesson's box, with its capacitor on L1, for a brief with another one (entries that name no other slip)."""
    if brief.part_on == "L1":
        return {}
    v = part_volts(brief, earlier)
    on_part, dim = v["123", brief.part_on], dim_volts(brief, v)
    dim_in = "132" if brief.part_on == "L2" else "123"
    return {("123", "L1"): on_part, ("132", "L1"): on_part, (dim_in, brief.part_on): dim}


def _one_lamp_seen(brief: Brief, earlier: Values) -> Numbers:
    """The lamps where S lies with Xc and R as equal short sides: half of the height up and half of it aside."""
    right, half = part_volts(brief, earlier), brief.line_voltage / 2
    lamps = [(s, c) for s in SEQUENCES for c in lamp_conductors(brief)]
    up = sqrt(3) / 2 * half
    return {key: hypot(half + (up if right[key] > half else -up), up) for key in lamps}


def _phase(brief: Brief) -> float:
    return float(brief.line_voltage / sqrt(3))


def _other_lamp(brief: Brief, earlier: Values, kind: str) -> Choices:
    one, two = lamp_conductors(brief)
    right = bright(brief, earlier)
    return {star: two if right[star] == one else one for star in STARS if star.startswith(kind)}


def _judged_by_phase(brief: Brief, earlier: Values) -> Choices:
    marked_for_it = 0.99 * _phase(brief)  # lamps are marked with rounded volts
    right, found = uses(brief, earlier["pair"]), uses(brief, marked_for_it / IN_SERIES)
    return {name: use for name, use in found.items() if use != right[name]}


def _judged_by_dim(brief: Brief, earlier: Values) -> Choices:
    right, phase = uses(brief, earlier["pair"]), _judged_by_phase(brief, earlier)
    found = uses(brief, OVERVOLTAGE * dim_volts(brief, earlier["volts"]) / IN_SERIES)
    return {name: use for name, use in found.items() if use not in (right[name], phase.get(name))}


def _judged_otherwise(brief: Brief, earlier: Values) -> dict[str, tuple[str, ...]]:
    right, others = uses(brief, earlier["pair"]), (_judged_by_phase(brief, earlier), _judged_by_dim(brief, earlier))
    known = {name: {right[name], *(o[name] for o in others if name in o)} for name in right}
    return {name: tuple(o for o in (SINGLE, PAIR, NEITHER) if o not in known[name]) for name in right}


_ONE_SEEN = "You let S see one lamp. From S the two lamps act side by side: half the ohms of one, on the way to D."
VOLTS_SLIPS = (
    Slip(
        "the sequences exchanged",
        "This is the lamp in the other sequence. S does not move, the corners do: after the capacitor's conductor "
        "comes, in each sequence, the one whose lamp is bright.",
        _sequences_exchanged,
        must=True,
    ),
    Slip(
        "the star point taken for the neutral",
        "This is the voltage from a line conductor to neutral. Three EQUAL parts in star would have it each, and so "
        "would parts that share the height like plain numbers. Here one is a capacitor: it meets the lamps at a right "
        "angle, and S wanders off, far from N. Draw where S lies.",
        lambda b, e: _everywhere(_phase(b)),
        must=True,
    ),
    Slip(
        "the capacitor where the lesson has it",
        "That fits the box of the lesson, with its capacitor on L1. In yours it is elsewhere: see your numbers.",
        _as_in_the_lesson,
        must=True,
    ),
    Slip(
        "no volts at all",
        "No part is without volts: S lies on none of the corners. A dim lamp has some too, and so has the capacitor.",
        lambda b, e: _everywhere(0.0),
        must=True,
    ),
    Slip(
        "parts of the phase voltage",
        "These are no volts yet, but parts of the phase voltage. Multiply by it.",
        lambda b, e: {key: volts / _phase(b) for key, volts in part_volts(b, e).items() if volts > _phase(b)},
        credit=0.5,
    ),
    Slip(
        "line voltage on a part",
        "The line voltage lies from corner to corner. Each part goes from its corner to S. Draw where S lies.",
        lambda b, e: _everywhere(b.line_voltage),
        must=True,
    ),
    Slip(
        "the lamps taken as if the capacitor were not there",
        "Half the line voltage each: that is how two lamps share a side when the capacitor is taken off, and S is on "
        "its middle D. Put the capacitor back: it pulls S away from D.",
        lambda b, e: _on_lamps(b, b.line_voltage / 2),
        must=True,
    ),
    Slip(
        "all of the height on the capacitor",
        "This is the whole height, from the capacitor's corner to D. Capacitor and lamps share it, at a right angle: S "
        "lies on the half circle over it.",
        lambda b, e: _on_the_part(b, b.line_voltage * sqrt(3) / 2),
        must=True,
    ),
    Slip(
        "two lamps taken for one",
        _ONE_SEEN,
        lambda b, e: _on_the_part(b, b.line_voltage * sqrt(3) / 2 / sqrt(2)),
        must=True,
    ),
    Slip("two lamps taken for one", _ONE_SEEN, _one_lamp_seen),
    Slip(
        "capacitor and one lamp in series between two lines",
        "So much the capacitor and ONE lamp would have in series between two line conductors, with the other lead off. "
        "Here all three branches meet at S, and the capacitor carries the current of both lamps. Take the two lamps "
        "together first.",
        lambda b, e: _everywhere(b.line_voltage / sqrt(2)),
    ),
)
BRIGHT_SLIPS = (
    Slip(
        "the sequences exchanged",
        "With the capacitor a bright and a dim lamp have changed places. Go round in the order of the sequence: after "
        "the capacitor's conductor comes the one whose lamp is bright.",
        lambda b, e: _other_lamp(b, e, "capacitor"),
        must=True,
    ),
    Slip(
        "the inductor taken for a capacitor",
        "With the inductor a bright and a dim lamp have changed places. Its volts come earlier than its current, those "
        "of a capacitor later: S lies on the other side, and all is the mirror image of the capacitor's star.",
        lambda b, e: _other_lamp(b, e, "inductor"),
        must=True,
    ),
    Slip(
        "no lamp on that conductor",
        "On that conductor is the capacitor or inductor, and no lamp. Your box need not be that of the lesson: see "
        "your numbers.",
        lambda b, e: dict.fromkeys(STARS, b.part_on),
        must=True,
    ),
)
PAIR_SLIPS = (
    Slip(
        "without the ten per cent",
        "The lamps must stand the highest supply voltage, not the nominal one. Take the ten per cent in.",
        lambda b, e: bright_volts(b, e["volts"]) / IN_SERIES,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the whole branch on one lamp",
        "These are the volts of the whole branch. Two equal lamps in series share them.",
        lambda b, e: OVERVOLTAGE * bright_volts(b, e["volts"]),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the phase voltage shared",
        "You shared out the phase voltage. The bright branch has more than that, since S stands away from N.",
        lambda b, e: OVERVOLTAGE * _phase(b) / IN_SERIES,
        must=True,
    ),
    Slip(
        "the line voltage shared",
        "You shared out the line voltage, or took the figure for real filaments, which is nearly the same. The branch "
        "goes from its conductor to S, and here the lamps count as resistors.",
        lambda b, e: OVERVOLTAGE * b.line_voltage / IN_SERIES,
        must=True,
    ),
    Slip(
        "the dim branch",
        "You took the dim branch. The lamps must stand what the bright one gets, and each of them is the bright one in "
        "one of the sequences.",
        lambda b, e: OVERVOLTAGE * dim_volts(b, e["volts"]) / IN_SERIES,
        must=True,
    ),
    Slip(
        "the ten per cent taken off",
        "You took ten per cent off. A supply that runs high has them on top.",
        lambda b, e: 0.9 * bright_volts(b, e["volts"]) / IN_SERIES,
        must=True,
    ),
    Slip(
        "the ten per cent squared",
        "You took the ten per cent twice. Volts go up once; it is watts that go with the square.",
        lambda b, e: OVERVOLTAGE**2 * bright_volts(b, e["volts"]) / IN_SERIES,
        credit=0.5,
        must=True,
    ),
)
LAMPS_SLIPS = (
    Slip(
        "judged by the phase voltage",
        "You judged by the phase voltage. The bright branch has half as much again: compare the printed volts with the "
        "volts that one lamp gets there, alone or in a pair.",
        _judged_by_phase,
    ),
    Slip(
        "judged by the dim branch",
        "You judged by the dim branch. In the other sequence the same lamp is the bright one.",
        _judged_by_dim,
    ),
    Slip(
        "the rule misread",
        "A lamp may stand alone if its printed volts are no fewer than those of the whole bright branch, in a pair if "
        "no fewer than half of them. Go through the three once more.",
        _judged_otherwise,
    ),
)
