"""Three sockets as a crew writes them down in the exercise `wiring`: simulated when numbers are drawn, read by rule."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import permutations

from phasorkit.indicators.twin_bridge import TwinBridge
from phasorkit.lamps import DARK, LIT
from phasorkit.supply import CONDUCTORS, Supply

TERMINALS = ("A", "B", "C")
PAIRS = (("A", "B"), ("B", "C"), ("C", "A"))
PLACINGS = tuple("".join(p) for p in permutations(TERMINALS))
"""Terminals under the probes L1, L2, L3."""

FAULTS = ("neutral", "doubled", "backfed", "lead")
OPEN_ENDS = ("once", "round", "failed", "unmeasured")
"""What can be wrong at a socket, and what can leave its reading undecided."""

ONE_TWO_THREE, ONE_THREE_TWO, FAULT, UNDECIDED = "1-2-3", "1-3-2", "fault", "undecided"
WRITE, CALL, LEADS, OTHER, MEASURE, EXCHANGE = (
    "write down", "call", "leads", "other tester", "measure", "exchange",
)  # fmt: skip
NOT_MEASURED, ROUND, NOTHING = "not measured", "round", "nothing"

STRIKES = 75.0
"""Volts at which the lamps of the crew's twin light [V rms]: inside the window of small glow lamps."""

SURE = 90.0
"""Volts from which any small glow lamp lights [V rms] (common practice)."""

EQUAL = 0.1
"""Three voltages are called equal when none lies further from the largest than this share [1]."""

Lamps = tuple[str, str]


@dataclass(frozen=True)
class Socket:
    """What stands in the crew's record of one socket.

    `volts` A–B, B–C, C–A [V rms], none if they were not measured; `probes` the terminals under L1, L2, L3, such as
    ``"BAC"``; `first` the lamps H1 and H2; `then` the two terminals exchanged such as ``"A C"``, `ROUND` or `NOTHING`;
    `second` the lamps after it.
    """

    volts: tuple[float, ...]
    probes: str
    first: Lamps
    then: str
    second: Lamps | None

    @property
    def equal(self) -> bool:
        """Whether the three voltages are equal, which rules out a neutral, a shared and a back-fed conductor."""
        return bool(self.volts) and min(self.volts) > (1 - EQUAL) * max(self.volts)

    @property
    def changed_over(self) -> bool:
        """Whether one lamp was dark and one lit, and after exchanging two probes the other way round."""
        first, second = self.first, self.second
        return self.then not in (ROUND, NOTHING) and set(first) == {DARK, LIT} and second == first[::-1]


def touched(kind: str, at: str) -> dict[str, str]:
    """The conductor on each terminal; `at` is the terminal that has a fault."""
    own = dict(zip(TERMINALS, CONDUCTORS, strict=True))
    following = TERMINALS[(TERMINALS.index(at) + 1) % 3]
    return own | {"neutral": {at: "N"}, "doubled": {at: own[following]}}.get(kind, {})


def supply_at(kind: str, at: str, *, line_voltage: float, sequence: str) -> Supply:
    """The supply behind the socket; a back-fed conductor is the one on terminal `at`."""
    supply = Supply(line_voltage=line_voltage, frequency=50.0, sequence=sequence)
    return supply.phase_lost(touched(kind, at)[at], backfed=True) if kind == "backfed" else supply


@lru_cache(maxsize=512)
def terminal_volts(kind: str, at: str, line_voltage: float) -> tuple[float, ...]:
    """What a meter shows A–B, B–C, C–A [V rms]; the sequence has no part in it."""
    supply = supply_at(kind, at, line_voltage=line_voltage, sequence="123")
    carried = dict(zip((*CONDUCTORS, "N"), (*supply.phasors(), supply.neutral()), strict=True))
    on = {t: carried[c] for t, c in touched(kind, at).items()}
    return tuple(round(float(abs(on[a] - on[b])), 9) for a, b in PAIRS)


@lru_cache(maxsize=4096)
def lamps(kind: str, at: str, probes: str, line_voltage: float, sequence: str) -> Lamps:
    """The lamps of the twin with its probes L1, L2, L3 on these terminals; ``H1`` or ``H2`` as `kind` has failed.

    A broken lead is that of probe L1, L2 or L3 in the order of `at` A, B or C.
    """
    on = touched(kind, at)
    broken = CONDUCTORS[TERMINALS.index(at)] if kind == "lead" else ""
    laid = tuple((p, on[t]) for p, t in zip(CONDUCTORS, probes, strict=True) if p != broken)
    supply = supply_at(kind, at, line_voltage=line_voltage, sequence=sequence)
    supply = Supply(line_voltage=line_voltage, frequency=50.0, sequence=sequence, probes=laid, lost=supply.lost)
    twin = TwinBridge.sized(capacitance=4.7e-9, frequency=50.0, line_voltage=line_voltage)
    volts = [float(v) for v in twin.on(supply).lamp_volts]
    h1, h2 = (LIT if v > STRIKES and kind != name else DARK for v, name in zip(volts, ("H1", "H2"), strict=True))
    return h1, h2


def exchanged(probes: str, pair: str) -> str:
    """The terminals under L1, L2, L3 after the probes on two terminals have changed places.

    >>> exchanged("BAC", "A C")
    'BCA'
    """
    one, two = pair.split()
    return probes.translate(str.maketrans(one + two, two + one))


def moved_on(probes: str) -> str:
    """The terminals after every probe has gone one terminal on.

    >>> moved_on("BAC")
    'CBA'
    """
    return probes.translate(str.maketrans("ABC", "BCA"))


def said(first: Lamps, probes: str) -> str:
    """The order of A, B, C that one dark and one lit lamp name, the probes being on these terminals.

    >>> said((DARK, LIT), "BAC"), said((DARK, LIT), "BCA")
    ('1-3-2', '1-2-3')
    """
    ring = probes in "ABCABC"
    return ONE_TWO_THREE if (first == (DARK, LIT)) == ring else ONE_THREE_TWO


def verdict(socket: Socket, *, line_voltage: float) -> str:
    """What a record proves: a sequence of A, B, C, a fault, or neither (undecided)."""
    unequal = bool(socket.volts) and not socket.equal
    if unequal or (LIT, LIT) in (socket.first, socket.second):
        return FAULT
    hidden = not socket.volts and line_voltage / 3**0.5 / 2 < SURE
    return said(socket.first, socket.probes) if socket.changed_over and not hidden else UNDECIDED


def next_step(socket: Socket, *, line_voltage: float) -> str:
    """What is done next at such a socket."""
    found = verdict(socket, line_voltage=line_voltage)
    if found == FAULT:
        return LEADS if socket.equal else CALL
    if found != UNDECIDED:
        return WRITE
    if not socket.volts:
        return MEASURE
    return OTHER if socket.second == (DARK, DARK) else EXCHANGE
