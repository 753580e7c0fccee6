"""Known slips of the records in the exercise `wiring`: which sockets each one touches, and the words that teach."""

from __future__ import annotations

from collections.abc import Callable

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.tasks.wiring import field, values
from phasorkit.course.tasks.wiring.field import (
    CALL,
    EXCHANGE,
    FAULT,
    LEADS,
    MEASURE,
    NOTHING,
    ONE_THREE_TWO,
    ONE_TWO_THREE,
    OTHER,
    ROUND,
    UNDECIDED,
    WRITE,
    Socket,
)
from phasorkit.lamps import DARK

EITHER = (ONE_TWO_THREE, ONE_THREE_TWO)
Told = dict[str, tuple[str, ...]]


def _at(holds: Callable[[Brief, Socket], bool], taken: tuple[str, ...]) -> Callable[[Brief, Values], Told]:
    """The same wrong words at every socket for which something holds."""

    def gives(brief: Brief, _: Values) -> Told:
        return {n: taken for n in values.NAMES if holds(brief, values.socket(brief, n))}

    return gives


def _found(brief: Brief, s: Socket) -> str:
    return field.verdict(s, line_voltage=brief.line_voltage)


def _step(brief: Brief, s: Socket) -> str:
    return field.next_step(s, line_voltage=brief.line_voltage)


def _proved(brief: Brief, s: Socket) -> bool:
    return _found(brief, s) in EITHER


def _crossed(s: Socket) -> bool:
    """Whether the probes sit on the terminals in another order than A, B, C go round."""
    return s.probes not in "ABCABC"


def _turned(wanted: str, crossed: bool) -> Callable[[Brief, Values], Told]:
    return _at(lambda b, s: _found(b, s) == wanted and _crossed(s) == crossed, tuple(x for x in EITHER if x != wanted))


def _both_orders(crossed: bool) -> Callable[[Brief, Values], Told]:
    one, two = (_turned(wanted, crossed) for wanted in EITHER)
    return lambda b, e: one(b, e) | two(b, e)


SOCKETS_SLIPS = (
    Slip(
        "the probes' places not carried over",
        "You named the order of the PROBES. The question is about the terminals. Write under the first, second and "
        "third of the sequence the terminals that these probes sat on, and go round from A.",
        _both_orders(crossed=True),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the two lamps mixed up",
        "Which lamp of the twin is dark in which sequence? Then look on which terminals the probes sat.",
        _both_orders(crossed=False),
        must=True,
    ),
    Slip(
        "unequal terminals overlooked",
        "You named a sequence although the three voltages between the terminals are not equal. Where they are not, "
        "there are no three sound phases, whatever the lamps say and however they change over.",
        _at(lambda b, s: bool(s.volts) and not s.equal, EITHER),
        must=True,
    ),
    Slip(
        "two lit lamps read as a sequence",
        "Both lamps are lit, and two lit lamps name no sequence, the dimmer one as little as the brighter.",
        _at(lambda b, s: s.equal and _found(b, s) == FAULT, EITHER),
        must=True,
    ),
    Slip(
        "a sequence from one reading",
        "You named a sequence from one reading. A dark lamp may be a failed one: it has not yet shown that it can "
        "light.",
        _at(lambda b, s: _found(b, s) == UNDECIDED and s.then == NOTHING, EITHER),
        must=True,
    ),
    Slip(
        "going round taken for a proof",
        "All three probes went one terminal on. That is the same order again, so nothing may change, and nothing is "
        "proved: a failed lamp would have stayed dark as well.",
        _at(lambda b, s: _found(b, s) == UNDECIDED and s.then == ROUND, EITHER),
        must=True,
    ),
    Slip(
        "a lamp that never lit believed",
        "After the exchange the lamp that was dark should light, and it does not. It has failed, or the supply has "
        "gone meanwhile. The twin has not proved itself.",
        _at(lambda b, s: s.second == (DARK, DARK), EITHER),
        must=True,
    ),
    Slip(
        "terminals not measured",
        "The volts between the terminals were not measured, and on your system half the phase voltage may leave a lamp "
        "dark. A neutral on one terminal would look just like this, change-over and all.",
        _at(lambda b, s: not s.volts, EITHER),
        must=True,
    ),
    Slip(
        "a fault where nothing is proved",
        "Something is missing in this record, but that is no proof of a fault either. Sound terminals and a sound "
        "tester could have given the same.",
        _at(lambda b, s: _found(b, s) == UNDECIDED, (FAULT,)),
        credit=0.25,
        must=True,
    ),
    Slip(
        "a proved sequence doubted",
        "Rightly careful, but here all is there: three equal voltages, one lamp dark and one lit, and both changed "
        "over.",
        _at(_proved, (UNDECIDED,)),
        credit=0.25,
        must=True,
    ),
    Slip(
        "a fault where all is proved",
        "Three equal voltages, one lamp dark and one lit, and both changed over: what else should a sound socket show?",
        _at(_proved, (FAULT,)),
        must=True,
    ),
    Slip(
        "a fault left undecided",
        "This record does prove something: unequal volts between the terminals, or two lit lamps, cannot come from "
        "three sound phases and a tester rightly connected.",
        _at(lambda b, s: _found(b, s) == FAULT, (UNDECIDED,)),
        credit=0.25,
        must=True,
    ),
)
STEPS_SLIPS = (
    Slip(
        "written down too early",
        "You would write down a sequence that this record does not prove. Somebody would rely on it.",
        _at(lambda b, s: not _proved(b, s), (WRITE,)),
        must=True,
    ),
    Slip(
        "a faulty terminal handled by oneself",
        "The voltages between the terminals say that the fault is in the installation, and no further reading mends "
        "that. Whose work is it?",
        _at(lambda b, s: _step(b, s) == CALL, (LEADS, OTHER, MEASURE, EXCHANGE)),
        must=True,
    ),
    Slip(
        "the installation blamed",
        "Nothing in this record speaks against the terminals so far. First do what lies with you and your tester.",
        _at(lambda b, s: not _proved(b, s) and _step(b, s) != CALL, (CALL,)),
        must=True,
    ),
    Slip(
        "more readings than needed",
        "This record is complete. What remains to be done with a reading that is proved?",
        _at(_proved, (CALL, LEADS, OTHER, MEASURE, EXCHANGE)),
        must=True,
    ),
    Slip(
        "the way to the terminals not suspected",
        "The terminals are cleared by three equal voltages, and both lamps can light. What lies between the two?",
        _at(lambda b, s: _step(b, s) == LEADS, (OTHER, MEASURE, EXCHANGE)),
        must=True,
    ),
    Slip(
        "the wrong gap filled",
        "Ask what is missing in this record: the volts between the terminals, an exchange of TWO probes, or the proof "
        "that each lamp can light?",
        lambda b, e: _wrong_gap(b),
        must=True,
    ),
)


def _wrong_gap(brief: Brief) -> Told:
    """At the undecided socket: every step that leaves the gap open."""
    found = {n: values.socket(brief, n) for n in values.NAMES}
    gaps = {n: _step(brief, s) for n, s in found.items() if _found(brief, s) == UNDECIDED}
    return {n: tuple(x for x in (LEADS, OTHER, MEASURE, EXCHANGE) if x != step) for n, step in gaps.items()}
