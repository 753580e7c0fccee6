"""Known slips of the exercise `two-lamp`: what each one gives, and the words that teach."""

from __future__ import annotations

from math import pi, sqrt

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
    star_capacitance,
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


VOLTS_SLIPS = (
    Slip(
        "the sequences exchanged",
        "You have the two sequences exchanged. S does not move, the corners do: after the capacitor's conductor comes, "
        "in each sequence, the one whose lamp is bright.",
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
        "You let S see one lamp. From S the two lamps act side by side: half the ohms of one, on the way to D.",
        lambda b, e: _on_the_part(b, b.line_voltage * sqrt(3) / 2 / sqrt(2)),
        must=True,
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
        "On that conductor is the capacitor or inductor, and no lamp.",
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
        "You shared out the line voltage. The branch goes from its conductor to S, and not to another conductor.",
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
RESISTANCE_SLIPS = (
    Slip(
        "one lamp only",
        "This is one lamp. The branch has two of them in series.",
        lambda b, e: b.bench_lamp**2 / b.bench_watts,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the lamps taken side by side",
        "You put the two lamps side by side. In series ohms add up.",
        lambda b, e: b.bench_lamp**2 / b.bench_watts / 2,
        must=True,
    ),
    Slip(
        "both volts squared over one lamp's watts",
        "You squared the volts of both lamps and divided by the watts of one. Two lamps also take twice the watts; or "
        "find the ohms of one and double them.",
        lambda b, e: (2 * b.bench_lamp) ** 2 / b.bench_watts,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the square forgotten",
        "Volts over watts are no ohms. Watts are volts times amperes, and amperes are volts over ohms: so the volts "
        "come in squared.",
        lambda b, e: 2 * b.bench_lamp / b.bench_watts,
        must=True,
    ),
    Slip(
        "amperes in place of ohms",
        "Watts over volts are the amperes. Ohms are volts over amperes: one step more.",
        lambda b, e: b.bench_watts / b.bench_lamp,
        must=True,
    ),
    Slip(
        "watts times volts",
        "You multiplied. Ohms are volts squared OVER watts: of two lamps for the same volts the one with more watts "
        "has fewer ohms.",
        lambda b, e: 2 * b.bench_lamp**2 * b.bench_watts,
    ),
)
CAPACITANCE_SLIPS = (
    Slip(
        "the frequency left out",
        "The supply frequency does not stand in your result. A capacitor lets more through the faster the voltage "
        "swings: f belongs in the denominator.",
        lambda b, e: star_capacitance(b, e) * b.frequency,
        must=True,
    ),
    Slip(
        "the formula of an inductor",
        "This is how many henries an INDUCTOR would need. A capacitor has one over (ω times C).",
        lambda b, e: e["resistance"] / (2 * pi * b.frequency),
        must=True,
    ),
    Slip(
        "as many ohms as half a branch",
        "Your capacitor has the ohms of one lamp, or of the two branches side by side. Side by side is how S sees "
        "them, but the rule of the best ratio compares the capacitor with ONE whole branch.",
        lambda b, e: 2 * star_capacitance(b, e),
        credit=0.5,
        must=True,
    ),
    Slip(
        "as many ohms as two branches",
        "Your capacitor has the ohms of both branches in series. The rule of the best ratio compares it with ONE.",
        lambda b, e: star_capacitance(b, e) / 2,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the ratio of the bridge",
        "The √3 belongs to the null bridge. Two lamps are most unlike where the capacitor has just as many ohms as a "
        "branch.",
        lambda b, e: star_capacitance(b, e) / sqrt(3),
        must=True,
    ),
)
