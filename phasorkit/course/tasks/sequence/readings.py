"""What the scope shows in the exercise `sequence`: simulated when numbers are drawn, read back by rule."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import permutations

from phasorkit.phasors import angle_deg
from phasorkit.supply import CONDUCTORS, Supply

SOCKETS = ("A", "B", "C")
TERMINALS = ("T1", "T2", "T3")
SEQUENCES = ("1-2-3", "1-3-2")
PAIRS = (("T1", "T2"), ("T2", "T3"), ("T1", "T3"))
TURN = 360.0
WIDE = 20.0
"""How far a reading may lie from a third of a turn and still be one [°]."""


def angles(touched: Mapping[str, str], *, seen_from: str, sequence: str) -> dict[str, float]:
    """How many degrees each terminal comes after T1, from 0 to 360 [°].

    `touched`: the conductor on each terminal; `seen_from`: what the scope's clip is on (N, if all is well).
    """
    supply = Supply(line_voltage=400.0, frequency=50.0, sequence=sequence)
    volts = dict(zip((*CONDUCTORS, "N"), (*supply.phasors(), supply.neutral()), strict=True))
    at = {t: volts[touched[t]] - volts[seen_from] for t in TERMINALS}
    return {t: round(float(angle_deg(at["T1"] / at[t])) % TURN, 6) % TURN for t in TERMINALS}


def tenths(degrees: float, frequency: float) -> int:
    """An angle as delay in tenths of a millisecond, as a cursor shows it."""
    return round(degrees / TURN / frequency * 1e4)


def apart(first: float, second: float) -> float:
    """How far two angles lie apart, the short way [°].

    >>> apart(350.0, 20.0)
    30.0
    """
    gap = abs(first - second) % TURN
    return min(gap, TURN - gap)


def verdict(second: float, third: float) -> str:
    """What T2 and T3, so many degrees after T1, tell: ``1-2-3``, ``1-3-2`` or ``fault``.

    >>> verdict(121, 238), verdict(240, 120), verdict(330, 30)
    ('1-2-3', '1-3-2', 'fault')
    """
    for sequence, late in (("1-2-3", (120.0, 240.0)), ("1-3-2", (240.0, 120.0))):
        if max(apart(second, late[0]), apart(third, late[1])) <= WIDE:
            return sequence
    return "fault"


def middle(second: float, third: float) -> str:
    """The terminal whose wave lies in the middle of three that are bunched.

    >>> middle(330, 30), middle(330, 300), middle(60, 30)
    ('T1', 'T2', 'T3')
    """
    at = {"T1": 0.0, "T2": second, "T3": third}
    return min(at, key=lambda t: max(apart(at[t], other) for other in at.values()))


def conductor(degrees: float) -> str:
    """The conductor that comes so many degrees after L1 of a feeder with the sequence 1-2-3."""
    return min(CONDUCTORS, key=lambda c: apart(degrees, 120.0 * CONDUCTORS.index(c)))


def exchanged(late: Mapping[str, float]) -> str:
    """The two terminals to exchange so that each has its own conductor, ``none`` or ``all``; angles after L1 [°].

    >>> exchanged({"T1": 120.0, "T2": 0.0, "T3": 240.0})
    'T1 T2'
    """
    wrong = [t for t, own in zip(TERMINALS, CONDUCTORS, strict=True) if conductor(late[t]) != own]
    return {0: "none", 2: " ".join(wrong)}.get(len(wrong), "all")


ORDERS = tuple(permutations(("right", "reversed", "faulty")))
"""Which of the sockets A, B, C is which."""
