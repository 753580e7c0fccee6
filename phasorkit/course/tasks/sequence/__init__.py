"""Exercise `sequence`: read a two-channel scope at three sockets, tell the sequence, and trust no colour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.conductors import COLOURS
from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import SIGN, Tolerance
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.sequence import colour_slips, slips, values
from phasorkit.course.tasks.sequence.readings import ORDERS, PAIRS, SEQUENCES, SOCKETS, TERMINALS, angles, tenths
from phasorkit.quantities import render
from phasorkit.supply import CONDUCTORS

SUPPLIES = ((50.0, 230), (50.0, 220), (50.0, 240), (60.0, 120), (60.0, 127), (60.0, 220), (60.0, 277))
"""Frequency [Hz] and nominal phase voltage [V rms] (IEC 60038 and national practice, from memory)."""

HABITS = (
    ("United Kingdom, old", "United Kingdom"), ("United States, 120/208 V", "Europe"), ("Canada", "Europe"),
    ("United States, 277/480 V", "Europe"),
)  # fmt: skip
"""Colours of a cable and of the board it feeds, in which one colour at least has two meanings."""


def _jittered(picker: Picker, degrees: float, frequency: float) -> float:
    """A delay as a cursor shows it [s]: to a tenth of a millisecond, and off by one of them now and then."""
    shown = tenths(degrees, frequency)
    return (shown + picker.pick((-1, 0, 0, 1)) if shown else 0) / 1e4


def _sockets(picker: Picker, frequency: float, pair: tuple[str, str]) -> dict[str, float]:
    """Readings at the three sockets: one right, one with two lines exchanged, one with a line and N exchanged."""
    own = dict(zip(TERMINALS, CONDUCTORS, strict=True))
    lost, sequence = picker.pick(TERMINALS), picker.pick(("123", "132"))
    kinds = {
        "right": angles(own, seen_from="N", sequence="123"),
        "reversed": angles(own | {pair[0]: own[pair[1]], pair[1]: own[pair[0]]}, seen_from="N", sequence="123"),
        "faulty": angles(own | {lost: "N"}, seen_from=own[lost], sequence=sequence),
    }
    order = picker.pick(ORDERS)
    return {
        f"{socket.lower()}_{t.lower()}": _jittered(picker, kinds[kind][t], frequency)
        for socket, kind in zip(SOCKETS, order, strict=True)
        for t in values.LATER
    }


def _feeder(picker: Picker, frequency: float, pair: tuple[str, str]) -> dict[str, float]:
    """The reversed socket against L1 of the feeder, whose sequence is 1-2-3."""
    own = dict(zip(TERMINALS, (0.0, 120.0, 240.0), strict=True))
    late = own | {pair[0]: own[pair[1]], pair[1]: own[pair[0]]}
    return {f"feeder_{t.lower()}": _jittered(picker, late[t], frequency) for t in TERMINALS}


def _leads(picker: Picker, habits: tuple[str, str]) -> dict[str, str]:
    """Two habits and three leads, one at least of which has two meanings."""
    every = dict.fromkeys(c for h in (COLOURS[n] for n in habits) for c in (h.l1, h.l2, h.l3, h.neutral))
    double = [c for c in every if values.meaning(c, habits) == values.EITHER]
    chosen = [picker.pick(double)]
    for _ in values.LEADS[1:]:
        chosen.append(picker.pick([c for c in every if c not in chosen]))
    first = picker.whole(len(chosen))
    leads = {f"{name}_lead": c for name, c in zip(values.LEADS, chosen[first:] + chosen[:first], strict=True)}
    return {"cable": habits[0], "board": habits[1], **leads}


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply, what stands at three sockets, and a cable with leads of another habit."""
    frequency, nominal = picker.pick(SUPPLIES)
    pair = picker.pick(PAIRS)
    return {
        "frequency": frequency,
        "phase_volts": float(nominal + picker.pick(range(-4, 5))),
        **_sockets(picker, frequency, pair),
        **_feeder(picker, frequency, pair),
        **_leads(picker, picker.pick(HABITS)),
    }


def _habit(name: str) -> str:
    h = COLOURS[name]
    return f"L1 {h.l1}, L2 {h.l2}, L3 {h.l3}, N {h.neutral} ({name})"


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    sockets = (
        f"socket {s}, after T1:        "
        + ", ".join(f"{t} {1e3 * values.seconds(brief, s, t):.1f} ms" for t in values.LATER)
        for s in SOCKETS
    )
    feeder = ", ".join(f"{t} {1e3 * getattr(brief, f'feeder_{t.lower()}'):.1f} ms" for t in TERMINALS)
    return (
        f"supply of the market:      {render(brief.frequency, 'Hz')}",
        *sockets,
        f"question 3, T1 to N:       {render(brief.phase_volts, 'V')}",
        f"question 5, after L1:      {feeder}",
        f"question 6, the cable:     {_habit(brief.cable)}",
        f"            the board:     {_habit(brief.board)}",
        "            the leads:     " + ", ".join(f"{n} {getattr(brief, f'{n}_lead')}" for n in values.LEADS),
    )


def fair(brief: Brief) -> bool:
    """Whether the readings show one socket of each kind."""
    found = values.verdicts(brief, {"degrees": values.degrees(brief, {})})
    return set(found.values()) == {*SEQUENCES, "fault"}


TASK = Task(
    name="sequence",
    title="Scope readings and colours",
    scenario=(
        "A market gets a new row of sockets for its stalls. You read the record of a two-channel scope, tell which "
        "socket is right, and what the colours of a borrowed cable prove."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        TableCheck(
            name="degrees",
            says="degrees by which T2 and T3 come after T1, at three sockets",
            points=3.0,
            unit="°",
            value=values.degrees,
            groups=SOCKETS,
            entries=values.LATER,
            sense=(0.0, 360.0),
            turn=360.0,
            tolerance=Tolerance(0.02, 2.0),
            slips=slips.DEGREES_SLIPS,
            factors=(),
            hints=(
                "How long is a period of your supply, and which part of it is the delay?",
                "Delay by period, times a whole turn, gives the degrees.",
                "Period in milliseconds: a thousand divided by the hertz.",
            ),
        ),
        ChoiceCheck(
            name="verdict",
            says="what each socket has: a sequence, or a fault",
            points=3.0,
            follows=("degrees",),
            options=("1-2-3", "1-3-2", "fault"),
            entries=SOCKETS,
            aliases=values.ORDERS_SAID | {"faulty": "fault"},
            value=values.verdicts,
            slips=slips.VERDICT_SLIPS,
            hints=(
                "Lay the three terminals round a circle. Are they a third of a turn apart, and who comes next?",
                "What is late on the screen peaks later. Start at T1: who peaks a third of a turn after it?",
                "T1, T2, T3 in turn is one sequence, T1, T3, T2 the other. Three that do not stand a third of a turn "
                "apart have a fault and no sequence.",
            ),
        ),
        NumberCheck(
            name="line",
            says="volts between T1 and T2 of a sound socket",
            points=2.0,
            unit="V",
            value=values.line_volts,
            sense=(10.0, 2000.0),
            slips=slips.LINE_SLIPS,
            factors=(SIGN,),
            hints=(
                "The volts to the middle are given. Is the way from T1 to T2 longer or shorter than one of them?",
                "Draw two arrows of equal length, a third of a turn apart. The meter shows from tip to tip.",
                "In the triangle of the three tips a side is √3 times the way from the middle to a corner.",
            ),
        ),
        TableCheck(
            name="fault_volts",
            says="volts from each terminal of the faulty socket to the terminal marked N",
            points=3.0,
            follows=("line",),
            unit="V",
            value=values.fault_volts,
            groups=("",),
            entries=TERMINALS,
            sense=(10.0, 2000.0),
            slips=slips.FAULT_VOLTS_SLIPS,
            factors=(),
            hints=(
                "A line conductor and the neutral have changed places. Draw the arrows from the tip of a line "
                "conductor to the other two tips and to the middle: how are they turned?",
                "The three are bunched within a sixth of a turn, and the one in the middle ends at the neutral.",
                "From the terminal marked N to the neutral there is phase voltage, to the other lines line voltage.",
            ),
        ),
        ChoiceCheck(
            name="swap",
            says="which two conductors to exchange at the socket that runs backwards",
            points=3.0,
            options=(*(" ".join(pair) for pair in PAIRS), *(f"{t} N" for t in TERMINALS), "none", "all"),
            unordered=True,
            aliases=values.PAIRS_SAID,
            value=values.swap,
            slips=slips.SWAP_SLIPS,
            hints=(
                "Which conductor is on which terminal? L2 comes a third of a turn after L1, L3 two thirds.",
                "Two conductors sit in each other's place.",
                "Write which conductor each terminal has beside which it should have. The one that is right stays; the "
                "other two change places.",
            ),
        ),
        ChoiceCheck(
            name="colours",
            says="what leads of three colours may be, and what colours tell of the sequence",
            points=4.0,
            options=(values.LINE, values.NEUTRAL, values.EITHER, "1-2-3", "1-3-2", values.UNKNOWN),
            entries=(*values.LEADS, "sequence"),
            aliases=values.ORDERS_SAID | values.COLOURS_SAID,
            value=values.colours,
            slips=colour_slips.COLOURS_SLIPS,
            hints=(
                "Look up each colour in both habits: a line in one and the neutral in the other?",
                "A colour that is the neutral in one habit and a line in the other can be either. One that both know "
                "as a line is a line, if whoever laid it kept to a habit.",
                "What a lead is meant to be is one question, which line comes first another: what answers that one?",
            ),
        ),
    ),
)
