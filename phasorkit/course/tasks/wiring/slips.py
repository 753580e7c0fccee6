"""Known slips of the exercise `wiring`, its tester and terminals: what each one gives, and the words that teach."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.wiring import values
from phasorkit.course.tasks.wiring.field import FAULT, ONE_THREE_TWO, ONE_TWO_THREE
from phasorkit.course.tasks.wiring.values import CONNECTIONS, DEAD, DOUBLED, FAILED, NEUTRAL, OPEN
from phasorkit.indicators.base import SEQUENCES

EITHER = (ONE_TWO_THREE, ONE_THREE_TWO)
Told = dict[str, tuple[str, ...]]


# --- 1: volts on the null bridge ------------------------------------------------------------------------


def _all(value: Callable[[str], float]) -> Numbers:
    return {(s, c): value(s) for s in SEQUENCES for c in CONNECTIONS}


def _open_at_zero(brief: Brief, _: Values) -> Numbers:
    """The open probe held at the star point."""
    same = Brief("wiring", "", "", (*((n, v) for n, v in brief.values if n != "neutral_probe"),
                                    ("neutral_probe", brief.open_probe)))  # fmt: skip
    return {(s, OPEN): values.bridge_volts(same, NEUTRAL, s) for s in SEQUENCES}


def _neutral_exchanged(brief: Brief, earlier: Values) -> Numbers:
    v = values.volts(brief, earlier)
    return {(s, NEUTRAL): v[other, NEUTRAL] for s, other in zip(SEQUENCES, SEQUENCES[::-1], strict=True)}


_LAMP_DEAD = (
    "A probe laid wrong does not take the volts off the lamp, for two probes still bring volts to its parts. Draw M "
    "and P: are they on one point?"
)
VOLTS_SLIPS = (
    Slip(
        "an open probe taken for zero volts",
        "You held the open probe at zero volts. It touches nothing, so no current flows in its lead, and it takes the "
        "volts that the parts behind it give. Where do its parts pull it to?",
        _open_at_zero,
    ),
    Slip(
        "the sequences exchanged",
        "With a probe on the neutral the two sequences differ, and this is the other sequence. Draw the half circle "
        "over L3–L2 on the side where it lies in this one.",
        _neutral_exchanged,
        must=True,
    ),
    Slip(
        "the right connection",
        "This is what the right connection shows. Lay the one probe elsewhere and draw again: which point moves?",
        lambda b, e: _all(lambda s: values.bridge_volts(b, "right", s)),
        must=True,
    ),
    Slip(
        "the lamp taken for dead",
        _LAMP_DEAD,
        lambda b, e: {("132", c): 0.0 for c in CONNECTIONS},
        must=True,
    ),
    Slip(
        "the lamp taken for dead",
        _LAMP_DEAD,
        lambda b, e: {("123", c): 0.0 for c in CONNECTIONS},
    ),
    Slip(
        "line voltage",
        "The lamp lies between M and P, inside the drawing, and not between two conductors. Draw M and P.",
        lambda b, e: _all(lambda s: b.line_voltage),
        must=True,
    ),
    Slip(
        "a lead of L3 taken like another",
        "That is what an open L1 or L2 gives. L3 feeds the divider AND the leg: without it R1, R2, R3 and C1 are one "
        "loop between L1 and L2. How do its volts stand to each other?",
        lambda b, e: {(s, OPEN): b.line_voltage / 2 for s in SEQUENCES} if b.open_probe == "L3" else {},
        must=True,
    ),
    Slip(
        "another lead taken like L3",
        "That is what an open L3 gives. With your probe open only one half of the bridge hangs in the air: which end "
        "of the lamp moves, and where to?",
        lambda b, e: {(s, OPEN): b.line_voltage / sqrt(3) for s in SEQUENCES} if b.open_probe != "L3" else {},
    ),
    Slip(
        "the neutral taken for a floating probe",
        "On the neutral a probe is held at the middle of the triangle. You let it float, or laid it on another line.",
        lambda b, e: {(s, NEUTRAL): b.line_voltage / 2 for s in SEQUENCES},
        must=True,
    ),
    Slip(
        "two probes on one conductor taken for the neutral",
        "Both probes are on one line conductor, at a corner of the triangle. The neutral is its middle.",
        lambda b, e: {("123", DOUBLED): b.line_voltage / sqrt(3) / 2, ("132", DOUBLED): b.line_voltage / sqrt(3)},
        must=True,
    ),
)

# --- 2: what the twin says ------------------------------------------------------------------------------


def _where(brief: Brief, says: str, taken: tuple[str, ...], among: tuple[str, ...] = CONNECTIONS) -> Told:
    """The same wrong words wherever the twin says this."""
    right = values.twin(brief, {})
    return {s: taken for s in among if right[s] == says}


def _not_said(brief: Brief, situation: str, options: tuple[str, ...]) -> Told:
    right = values.twin_says(brief, situation)
    return {situation: tuple(o for o in options if o != right)}


TWIN_SLIPS = (
    Slip(
        "a wrong connection taken for a right one",
        "You let the twin name a sequence with a probe laid wrong. For that it needs one lamp that is surely dark. Of "
        "all wrong connections none leaves a lamp fewer volts than half the phase voltage: is that surely dark?",
        lambda b, e: dict.fromkeys(CONNECTIONS, EITHER),
        must=True,
    ),
    Slip(
        "the weak lamp taken for surely lit",
        "On your system half the phase voltage lies inside the window of the lamp: it may glow or not. Then the twin "
        "must admit that it does not know.",
        lambda b, e: _where(b, "can't tell", (FAULT,)),
        credit=0.5,
    ),
    Slip(
        "a lit lamp doubted",
        "Both lamps have more volts there than the window has, so both are lit, and for that the twin has a word.",
        lambda b, e: _where(b, FAULT, ("can't tell",)),
        must=True,
    ),
    Slip(
        "live lamps taken for dark",
        "Nothing means: both lamps dark. With one probe laid wrong both lamps still have volts. How many, at least?",
        lambda b, e: dict.fromkeys(CONNECTIONS, ("nothing",)),
        must=True,
    ),
    Slip(
        "the failed lamp known beforehand",
        "You know that the lamp has failed. Who holds the twin does not: a failed lamp is dark, and one reads what "
        "stands there. That is why the twin, too, needs a second reading.",
        lambda b, e: {FAILED: (FAULT, "can't tell")},
        must=True,
    ),
    Slip(
        "which lamp is dark in which sequence",
        "Which of the lamps is dark in your sequence when all is well? Then darken the failed one besides, if it is "
        "not dark already, and read.",
        lambda b, e: _not_said(b, FAILED, (*EITHER, "nothing")),
        must=True,
    ),
    Slip(
        "a dead supply read as something else",
        "No volts, no lamp: both are dark, and for that the twin has a word of its own. It does not say that it is "
        "safe to touch.",
        lambda b, e: _not_said(b, DEAD, (*EITHER, FAULT, "can't tell")),
        must=True,
    ),
)

# --- 3: volts between the terminals ---------------------------------------------------------------------


def _touching(fault: str, value: float) -> Callable[[Brief, Values], Numbers]:
    """This share of the line voltage on the two readings that have the faulty terminal in common."""

    def gives(brief: Brief, _: Values) -> Numbers:
        at = getattr(brief, f"{fault}_at")
        return {(fault, b): value * brief.line_voltage for b in values.BETWEEN if at in b}

    return gives


def _everywhere(brief: Brief, share: float) -> Numbers:
    shown = values.terminals(brief, {})
    return {key: share * brief.line_voltage for key, v in shown.items() if v > 0.9 * brief.line_voltage}


TERMINALS_SLIPS = (
    Slip(
        "the neutral taken for no volts",
        "The neutral has no volts against earth. But the meter's other lead is on a line conductor: what stands "
        "between a line conductor and the neutral?",
        _touching("neutral", 0.0),
        must=True,
    ),
    Slip(
        "the neutral overlooked",
        "Line voltage stands between two line conductors. One of these two terminals has the neutral.",
        _touching("neutral", 1.0),
        must=True,
    ),
    Slip(
        "the neutral taken for the middle of a side",
        "Midway between two lines it would be half the line voltage. The neutral is the middle of the whole triangle: "
        "how far is a corner from there?",
        _touching("neutral", 0.5),
        must=True,
    ),
    Slip(
        "one conductor, seen at the wrong pair",
        "These two terminals are on two conductors. No volts stand only between the two that share one.",
        lambda b, e: {("doubled", between): 0.0 for between in values.BETWEEN if between not in _shared(b)},
        must=True,
    ),
    Slip(
        "the fault seen where it is not",
        "Neither the neutral nor a lost conductor has a part in this reading, or two terminals do not share a "
        "conductor here: then it is plain line voltage.",
        lambda b, e: _everywhere(b, 1 / sqrt(3)),
        must=True,
    ),
    Slip(
        "one conductor, two points",
        "The two terminals sit on one and the same conductor. There are no volts between a point and itself.",
        lambda b, e: {("doubled", between): b.line_voltage for between in _shared(b)},
        must=True,
    ),
    Slip(
        "a lost phase taken for the neutral",
        "That is what loads to neutral would leave on the lost conductor. Here a motor feeds it, from the other two: "
        "to midway between them. Draw that point on the side of the triangle.",
        _touching("backfed", 1 / sqrt(3)),
        must=True,
    ),
    Slip(
        "a lost phase taken for dead",
        "Lost is not dead. The motor's windings tie the conductor to the other two, and it stands midway between them.",
        _touching("backfed", 0.0),
        must=True,
    ),
    Slip(
        "a lost phase overlooked",
        "This would be a sound conductor. The lost one stands midway between the other two: draw it.",
        _touching("backfed", 1.0),
        must=True,
    ),
)


def _shared(brief: Brief) -> tuple[str, ...]:
    shown = dict(zip(values.BETWEEN, values.terminal_volts(brief, "doubled"), strict=True))
    return tuple(between for between, v in shown.items() if v == 0)


# --- 4: the exchange that proves nothing ----------------------------------------------------------------

SWAP_SLIPS = (
    Slip(
        "the capacitor's probe exchanged",
        "One of these two is the capacitor's probe, and the tester with a lamp and its capacitor exchanged is another "
        "tester. Look at the star in a mirror: which two parts are alike?",
        lambda b, e: tuple(p for p in values.PROBE_PAIRS if p != values.mirror(b, e)),
        must=True,
    ),
    Slip(
        "all three moved on",
        "Moving all three on by one carries a lamp to where the capacitor was: the tester is not mirrored by it. And "
        "on three sound phases nothing changes at all, for the order stays the same.",
        lambda b, e: "all",
        must=True,
    ),
    Slip(
        "any exchange trusted",
        "There is one. The two lamps are equal: what does the tester show when just these two change places?",
        lambda b, e: "none",
        must=True,
    ),
)
