"""Known slips of the exercise `sequence`, its scope and volts: what each one gives, and the words that teach."""

from __future__ import annotations

from math import radians, sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.sequence import values
from phasorkit.course.tasks.sequence.readings import PAIRS, TERMINALS, TURN
from phasorkit.course.tasks.sequence.values import degrees, verdicts

TWO_FREQUENCIES = 50.0 + 60.0


def _other_way(brief: Brief, earlier: Values) -> Numbers:
    return {key: TURN - late for key, late in degrees(brief, earlier).items()}


def _scaled(brief: Brief, factor: float) -> Numbers:
    return {key: factor * late for key, late in degrees(brief, {}).items()}


def _turn_over_milliseconds(brief: Brief, _: Values) -> Numbers:
    return {key: TURN / (1e3 * late / TURN / brief.frequency) for key, late in degrees(brief, {}).items()}


DEGREES_SLIPS = (
    Slip(
        "before taken for after",
        "You counted the other way round. From the rise of the first terminal go RIGHT, so later, to the next rise of "
        "the other one; so much of a whole turn comes after.",
        _other_way,
        must=True,
    ),
    Slip(
        "the other frequency",
        "This fits another supply frequency, and so another period. Use the frequency in your numbers.",
        lambda b, e: _scaled(b, (TWO_FREQUENCIES - b.frequency) / b.frequency),
        credit=0.5,
        must=True,
    ),
    Slip(
        "a part of the period, not yet degrees",
        "This is the part of a period. A whole period is a whole turn: how many degrees is this part?",
        lambda b, e: _scaled(b, 1 / TURN),
        credit=0.5,
        must=True,
    ),
    Slip(
        "per cent of the period",
        "These are per cent of a period. A whole turn has more degrees than a hundred.",
        lambda b, e: _scaled(b, 100 / TURN),
        credit=0.5,
        must=True,
    ),
    Slip(
        "milliseconds left as they are",
        "These are the milliseconds. How long is a period, and which part of it are they?",
        lambda b, e: _scaled(b, 1e3 / TURN / b.frequency),
        must=True,
    ),
    Slip(
        "a whole turn divided by milliseconds",
        "You divided a whole turn by the milliseconds. Divide the delay by the PERIOD first: which part of it has "
        "passed?",
        _turn_over_milliseconds,
        must=True,
    ),
    Slip(
        "radians for degrees",
        "These are radians. Asked are degrees, of which a whole turn has three hundred and sixty.",
        lambda b, e: _scaled(b, radians(1.0)),
        credit=0.5,
        must=True,
    ),
)


def _turned_round(brief: Brief, earlier: Values) -> Choices:
    other = {"1-2-3": "1-3-2", "1-3-2": "1-2-3"}
    return {s: other[found] for s, found in verdicts(brief, earlier).items() if found in other}


def _order_is_enough(brief: Brief, earlier: Values) -> dict[str, tuple[str, ...]]:
    return {s: ("1-2-3", "1-3-2") for s, found in verdicts(brief, earlier).items() if found == "fault"}


def _sound_called_faulty(brief: Brief, earlier: Values) -> Choices:
    return {s: "fault" for s, found in verdicts(brief, earlier).items() if found != "fault"}


VERDICT_SLIPS = (
    Slip(
        "the sequences exchanged",
        "A sound socket has the other sequence than you say. A third of a turn after the first terminal somebody "
        "rises: is it the second one or the third?",
        _turned_round,
        must=True,
    ),
    Slip(
        "three waves that are bunched taken for a sequence",
        "You named a sequence where there is none. An order alone is not enough: in a sound supply the three stand a "
        "third of a turn apart. Lay all three angles round a circle.",
        _order_is_enough,
    ),
    Slip(
        "a sound socket called faulty",
        "You called a socket faulty that is not. Two thirds of a turn after is the same as a third before: that is the "
        "other sequence, and no fault of the supply.",
        _sound_called_faulty,
        must=True,
    ),
)
LINE_SLIPS = (
    Slip(
        "line and phase the wrong way",
        "You divided by √3. From the middle of the triangle to a corner is shorter than a side, and it is the side "
        "that is asked for.",
        lambda b, e: b.phase_volts / sqrt(3),
        must=True,
    ),
    Slip(
        "added like plain numbers",
        "You added the two like plain numbers. They do not peak together: draw two equal arrows, a third of a turn "
        "apart, and measure from tip to tip.",
        lambda b, e: 2 * b.phase_volts,
        must=True,
    ),
    Slip(
        "the same as to neutral",
        "This is what the meter showed against N. Draw two equal arrows, a third of a turn apart: are the tips as far "
        "from each other as from the middle?",
        lambda b, e: b.phase_volts,
        must=True,
    ),
    Slip(
        "peak for rms",
        "The √2 belongs to peak and rms. Between line and phase voltage stands another root: draw the triangle.",
        lambda b, e: b.phase_volts * sqrt(2),
        must=True,
    ),
    Slip(
        "three times",
        "There are three conductors, but a meter lies between two of them. Measure from tip to tip.",
        lambda b, e: 3 * b.phase_volts,
        must=True,
    ),
    Slip(
        "a third more",
        "A third of a turn is no third of the volts: it says when, not how much. Draw the two arrows.",
        lambda b, e: 4 / 3 * b.phase_volts,
        must=True,
    ),
)


def _on_lines(brief: Brief, volts: float) -> Numbers:
    return {("", t): volts for t in TERMINALS if t != values.on_neutral(brief)}


FAULT_VOLTS_SLIPS = (
    Slip(
        "the terminal marked N taken for the neutral",
        "Phase voltage, where there is more. Either the mark N was trusted: but in this socket a line conductor is on "
        "that terminal, and between two line conductors there is line voltage. Or the wrong one was taken for the "
        "neutral: of the three that are bunched it lies in the middle.",
        lambda b, e: {key: b.phase_volts for key in _on_lines(b, 0.0)},
        must=True,
    ),
    Slip(
        "the neutral overlooked",
        "One of the three terminals has the neutral on it, and from a line conductor to the neutral there is phase "
        "voltage. Which of the three lies in the middle of the bunch?",
        lambda b, e: {("", values.on_neutral(b)): e["line"]},
        must=True,
    ),
    Slip(
        "the neutral taken for dead",
        "The neutral has no volts against earth. But the meter's other lead is on a line conductor.",
        lambda b, e: {("", values.on_neutral(b)): 0.0},
        must=True,
    ),
    Slip(
        "added like plain numbers",
        "You added two voltages like plain numbers. They stand a third of a turn apart: measure from tip to tip.",
        lambda b, e: _on_lines(b, 2 * b.phase_volts),
        must=True,
    ),
    Slip(
        "the neutral taken for the middle of a side",
        "Half the line voltage would be right midway between two lines. The neutral is the middle of the whole "
        "triangle: how far is a corner from there?",
        lambda b, e: {("", values.on_neutral(b)): e["line"] / 2},
        must=True,
    ),
    Slip(
        "line and phase the wrong way",
        "You divided by √3. From one corner of the triangle to another it is farther than from the middle to a corner.",
        lambda b, e: _on_lines(b, b.phase_volts / sqrt(3)),
        must=True,
    ),
    Slip(
        "two lines taken for one point",
        "Two line conductors have equal volts, but not at the same moment: between them there is line voltage.",
        lambda b, e: _on_lines(b, 0.0),
        must=True,
    ),
)


def _other_pairs(brief: Brief, earlier: Values) -> tuple[str, ...]:
    return tuple(" ".join(pair) for pair in PAIRS if " ".join(pair) != values.swap(brief, earlier))


SWAP_SLIPS = (
    Slip(
        "any two exchanged",
        "Exchanging these two does turn the sequence round. But then the three are moved on by one: each conductor "
        "sits on a terminal with another one's number. Which two sit in each other's place?",
        _other_pairs,
        credit=0.5,
        must=True,
    ),
    Slip(
        "a line exchanged with N",
        "Never N. It has no part in the sequence, and a line conductor on its terminal puts line voltage where phase "
        "voltage belongs. Exchange two LINE conductors.",
        lambda b, e: tuple(f"{t} N" for t in TERMINALS),
        must=True,
    ),
    Slip(
        "all three moved on",
        "Moving all three on by one leaves the ring as it is, and so the sequence.",
        lambda b, e: "all",
        must=True,
    ),
    Slip(
        "left as it is",
        "This socket runs the other way round than the feeder. Look which conductor sits on which terminal.",
        lambda b, e: "none",
        must=True,
    ),
)
