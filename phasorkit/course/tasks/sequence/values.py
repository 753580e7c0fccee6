"""Right values of the exercise `sequence`, read from the numbers that a learner has too."""

from __future__ import annotations

from phasorkit.conductors import COLOURS
from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.sequence.readings import (
    PAIRS,
    SEQUENCES,
    SOCKETS,
    TERMINALS,
    TURN,
    exchanged,
    middle,
    verdict,
)
from phasorkit.phasors import polar

LEADS = ("first", "second", "third")
LINE, NEUTRAL, EITHER, UNKNOWN = "line", "neutral", "either", "unknown"
LATER = ("T2", "T3")

ORDERS_SAID = {
    between.join(letter + numbers[(k + n) % 3] for n in range(3)): order
    for order, numbers in ((order, order.split("-")) for order in SEQUENCES)
    for k in range(3)
    for letter in ("", "L", "T")
    for between in ("-", "")
}
"""Other spellings of a sequence: a ring may begin anywhere (lesson 02), with or without letters."""

PAIRS_SAID = {
    between.join(letter + t[1] for t in ends): " ".join(pair)
    for pair in PAIRS
    for ends in (pair, pair[::-1])
    for letter in ("", "L", "T")
    for between in (" ", "")
}
"""Other spellings of two terminals: conductors in each other's place have the numbers of their terminals."""

COLOURS_SAID = {
    **dict.fromkeys(("L", "L1", "L2", "L3", "line conductor", "phase"), LINE),
    **dict.fromkeys(("N", "neutral conductor"), NEUTRAL),
    **dict.fromkeys(("both", "line or neutral", "neutral or line"), EITHER),
    **dict.fromkeys(
        ("not known", "can't tell", "cannot tell", "don't know", "cannot be decided", "undecided"), UNKNOWN
    ),
}
"""Other words for what a lead may be, and for a sequence that is not known."""


def seconds(brief: Brief, socket: str, terminal: str) -> float:
    """How much later than T1 a terminal of a socket rises [s]."""
    return float(getattr(brief, f"{socket.lower()}_{terminal.lower()}"))


def degrees(brief: Brief, _: Values) -> Numbers:
    """The same in degrees, by socket and terminal."""
    return {(s, t): seconds(brief, s, t) * brief.frequency * TURN for s in SOCKETS for t in LATER}


def verdicts(brief: Brief, earlier: Values) -> Choices:
    """What each socket has, from the degrees found before, if they fit the record: one socket of each kind."""
    own, right = (
        {s: verdict(late[s, "T2"], late[s, "T3"]) for s in SOCKETS} for late in (earlier["degrees"], degrees(brief, {}))
    )
    return own if len(set(own.values())) == len(SOCKETS) else right


def line_volts(brief: Brief, _: Values) -> float:
    """Volts between two line conductors that have so many against neutral, a third of a turn apart [V rms]."""
    return abs(complex(polar(brief.phase_volts, 0.0) - polar(brief.phase_volts, -TURN / 3)))


def fault_volts(brief: Brief, earlier: Values) -> Numbers:
    """Volts from each terminal of the faulty socket to the one marked N, with the line volts found before [V rms]."""
    neutral = on_neutral(brief)
    return {("", t): brief.phase_volts if t == neutral else float(earlier["line"]) for t in TERMINALS}


def on_neutral(brief: Brief) -> str:
    """The terminal of the faulty socket that the neutral is on."""
    late = degrees(brief, {})
    (socket,) = (s for s, found in verdicts(brief, {"degrees": late}).items() if found == "fault")
    return middle(late[socket, "T2"], late[socket, "T3"])


def swap(brief: Brief, _: Values) -> str:
    """The two terminals to exchange at the socket that was measured against the feeder's L1."""
    return exchanged({t: getattr(brief, f"feeder_{t.lower()}") * brief.frequency * TURN for t in TERMINALS})


def meaning(colour: str, habits: tuple[str, str]) -> str:
    """What a lead of this colour may be where two habits meet: ``line``, ``neutral`` or ``either``."""
    found = {
        what
        for habit in (COLOURS[name] for name in habits)
        for what, colours in ((LINE, (habit.l1, habit.l2, habit.l3)), (NEUTRAL, (habit.neutral,)))
        if colour in colours
    }
    return EITHER if len(found) == 2 else found.pop()


def colours(brief: Brief, _: Values) -> Choices:
    """What each lead may be, and what the order of colours tells of the sequence: nothing."""
    habits = (brief.cable, brief.board)
    return {name: meaning(getattr(brief, f"{name}_lead"), habits) for name in LEADS} | {"sequence": UNKNOWN}
