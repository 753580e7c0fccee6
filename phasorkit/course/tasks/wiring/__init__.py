"""Exercise `wiring`: what testers show with a probe laid wrong, and what three records from the field prove."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.wiring import field, record_slips, slips, values
from phasorkit.course.tasks.wiring.field import FAULTS, NOT_MEASURED, NOTHING, OPEN_ENDS, ROUND, TERMINALS
from phasorkit.indicators.base import SEQUENCES
from phasorkit.lamps import DARK
from phasorkit.quantities import render
from phasorkit.supply import CONDUCTORS

SYSTEMS = (
    (400.0, 50.0), (415.0, 50.0), (380.0, 50.0), (480.0, 60.0), (600.0, 60.0), (208.0, 60.0), (220.0, 60.0),
    (220.0, 50.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] (IEC 60038 and national practice, from memory)."""

WINDOW = (40.0, 90.0)
"""Strike window of small glow lamps [V rms] (common practice)."""

CLEAR = 0.03
"""How far a lamp's volts must stay from the window's ends [1]."""


def _shown(picker: Picker, kind: str, at: str, line_voltage: float) -> str:
    """The three voltages as a meter shows them, within a per cent."""
    exact = field.terminal_volts(kind, at, line_voltage)
    return ", ".join(f"{v * (1 + picker.pick((-1, 0, 0, 1)) / 100):.0f}" for v in exact)


def _record(picker: Picker, kind: str, line_voltage: float) -> dict[str, str]:
    """What the crew writes down at a socket of this kind."""
    sequence, at, probes = picker.pick(SEQUENCES), picker.pick(TERMINALS), picker.pick(field.PLACINGS)
    then = {"once": NOTHING, "round": ROUND}.get(kind) or " ".join(picker.pick(field.PAIRS))
    first = field.lamps(kind, at, probes, line_voltage, sequence)
    state = f"H{first.index(DARK) + 1}" if kind == "failed" else kind
    after: tuple[str, ...] = ()
    if then != NOTHING:
        moved = field.moved_on(probes) if then == ROUND else field.exchanged(probes, then)
        after = field.lamps(state, at, moved, line_voltage, sequence)
    volts = NOT_MEASURED if kind == "unmeasured" else _shown(picker, kind, at, line_voltage)
    return {"volts": volts, "probes": probes, "lamps": " ".join(first), "then": then, "after": " ".join(after)}


def _records(picker: Picker, line_voltage: float) -> dict[str, str]:
    """One socket that proves a sequence, one that proves a fault, one that proves nothing."""
    low = line_voltage / 3**0.5 / 2 < field.SURE
    ends = OPEN_ENDS if low else tuple(k for k in OPEN_ENDS if k != "unmeasured")
    kinds = ["sound", picker.pick(FAULTS), picker.pick(ends)]
    first, way = picker.whole(3), picker.pick((1, -1))
    found: dict[str, str] = {}
    for name, kind in zip(values.NAMES, (kinds[first:] + kinds[:first])[::way], strict=True):
        found |= {f"{name}_{what}": text for what, text in _record(picker, kind, line_voltage).items()}
    return found


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply, wrong connections of one tester, faults at terminals, three records."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    doubled = picker.pick(CONDUCTORS)
    return {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "open_probe": picker.pick(CONDUCTORS),
        "neutral_probe": picker.pick(CONDUCTORS),
        "doubled_probe": doubled,
        "doubled_on": picker.pick([c for c in CONDUCTORS if c != doubled]),
        "sequence": picker.pick(SEQUENCES),
        "failed_lamp": picker.pick(("H1", "H2")),
        **{f"{fault}_at": picker.pick(TERMINALS) for fault in values.TERMINAL_FAULTS},
        "star_capacitor": picker.pick(CONDUCTORS),
        **_records(picker, line_voltage),
    }


def _told(brief: Brief, name: str) -> Sequence[str]:
    """The record of one socket in words."""
    s = values.socket(brief, name)
    between = [f"{a}–{b} {render(v, 'V')}" for (a, b), v in zip(field.PAIRS, s.volts, strict=False)]
    probes = ", ".join(f"{p} on {t}" for p, t in zip(CONDUCTORS, s.probes, strict=True))
    then = {ROUND: "all three probes one terminal on", NOTHING: ""}.get(s.then)
    then = f"the probes on {' and '.join(s.then.split())} exchanged" if then is None else then
    return (
        f"socket {name + ':':9} {', '.join(between) or 'volts between the terminals not measured'}",
        f"                 {probes}: H1 {s.first[0]}, H2 {s.first[1]}",
        f"                 then {then}: H1 {s.second[0]}, H2 {s.second[1]}" if s.second else
        "                 no second reading",
    )  # fmt: skip


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    following = TERMINALS[(TERMINALS.index(brief.doubled_at) + 1) % 3]
    return (
        f"supply of the town: {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"open:            probe {brief.open_probe} touches nothing",
        f"neutral:         probe {brief.neutral_probe} on the neutral",
        f"doubled:         probe {brief.doubled_probe} on the conductor of {brief.doubled_on}",
        f"question 2:      sequence {values.dashed(brief.sequence)}; the failed lamp is {brief.failed_lamp}",
        f"question 3:      neutral on terminal {brief.neutral_at}; or {brief.doubled_at} and {following} on one "
        f"conductor; or the conductor of {brief.backfed_at} back-fed",
        f"question 4:      the capacitor's probe is {brief.star_capacitor}",
        *(line for name in values.NAMES for line in _told(brief, name)),
    )


def fair(brief: Brief) -> bool:
    """Whether no lamp of the second question hangs on a hair of its window."""
    found = [v for c in values.CONNECTIONS for v in values.twin_volts(brief, c)]
    return all(abs(v / end - 1) > CLEAR for v in found for end in WINDOW)


FACTORS = general(
    volts=1,
    frequency=False,
    line_or_phase="A side of the triangle is the line voltage, as it stands under your numbers. Only from a corner to "
    "N is it the phase voltage, and that is less.",
)
"""The general slips; here a probe or a terminal may lie on the neutral."""

TASK = Task(
    name="wiring",
    title="Reading a wrong connection",
    scenario=(
        "A travelling stage sets up in a new town. You work out what its home-made testers show with a probe laid "
        "wrong, and what three records of the crew prove."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        TableCheck(
            name="volts",
            says="volts on the lamp of a null bridge for three wrong connections, in both sequences",
            points=3.0,
            unit="V",
            value=values.volts,
            groups=SEQUENCES,
            entries=values.CONNECTIONS,
            sense=(0.0, 2000.0),
            tolerance=Tolerance(0.02, 1.0),
            slips=slips.VOLTS_SLIPS,
            factors=FACTORS,
            hints=(
                "Draw the triangle to scale and ask where M and where P are now; the lamp is the way between them.",
                "An open probe carries no current. What is left of the bridge is one loop, or a leg that hangs from "
                "one corner. A probe on the neutral is held at N, two probes on one conductor at the same corner.",
                "M is midway between what its two resistors are tied to. P is on the half circle between what R3 and "
                "C1 are tied to; where both are tied to one point, P is there.",
            ),
        ),
        ChoiceCheck(
            name="twin",
            says="what one reading of the twin says in five situations",
            points=5.0,
            options=values.SAYS,
            aliases={"123": "1-2-3", "132": "1-3-2", "cannot tell": "can't tell", "cant tell": "can't tell",
                     "unsure": "can't tell", "undecided": "can't tell", "cannot be decided": "can't tell"},
            entries=(*values.CONNECTIONS, values.FAILED, values.DEAD),
            value=values.twin,
            slips=slips.TWIN_SLIPS,
            hints=(
                "How few volts can a lamp of the twin have with one probe laid wrong? Is that dark, lit or unsure?",
                "Of all wrong connections the neutral leaves one lamp fewest: half the phase voltage.",
                "Write down for each situation whether H1 and H2 are dark, lit or unsure. Then read as the crew does.",
            ),
        ),
        TableCheck(
            name="terminals",
            says="volts between the terminals for three faults",
            points=3.0,
            unit="V",
            value=values.terminals,
            groups=values.TERMINAL_FAULTS,
            entries=values.BETWEEN,
            aliases={b[::-1]: b for b in values.BETWEEN} | {b.replace("-", ""): b for b in values.BETWEEN},
            sense=(0.0, 2000.0),
            tolerance=Tolerance(0.02, 1.0),
            slips=slips.TERMINALS_SLIPS,
            factors=FACTORS,
            hints=(
                "Draw the triangle with N in its middle. Mark the three points that the terminals are at.",
                "The neutral is the middle of the triangle. A back-fed conductor is midway between the other two.",
                "Then measure from point to point; two terminals on one conductor are one point.",
            ),
        ),
        ChoiceCheck(
            name="swap",
            says="the exchange of two probes that changes the lamps of a two-lamp tester over in any case",
            points=2.0,
            options=(*values.PROBE_PAIRS, "none", "all"),
            aliases={p.replace(" ", ""): p for p in values.PROBE_PAIRS}
            | {p.replace("L", between): p for p in values.PROBE_PAIRS for between in ("", "phase ")},
            unordered=True,
            value=values.mirror,
            slips=slips.SWAP_SLIPS,
            hints=(
                "After which exchange is it the same tester again, but for the names of its lamps?",
                "Look at the star in a mirror: which two parts are alike?",
                "Where two equal parts change places, their volts change places, whatever the terminals carry.",
            ),
        ),
        ChoiceCheck(
            name="sockets",
            says="what each of three records proves",
            points=6.0,
            options=(field.ONE_TWO_THREE, field.ONE_THREE_TWO, field.FAULT, field.UNDECIDED),
            aliases={"123": "1-2-3", "132": "1-3-2", "A B C": "1-2-3", "B C A": "1-2-3", "C A B": "1-2-3",
                     "A C B": "1-3-2", "C B A": "1-3-2", "B A C": "1-3-2",
                     "can't tell": field.UNDECIDED, "cannot be decided": field.UNDECIDED,
                     "cannot tell": field.UNDECIDED, "not decided": field.UNDECIDED, "unknown": field.UNDECIDED},
            entries=values.NAMES,
            value=values.sockets,
            slips=record_slips.SOCKETS_SLIPS,
            hints=(
                "Look at the volts first, then at both readings, then at the terminals that the probes sat on.",
                "Ask of each record: what could be wrong, and would it then show something else?",
                "A sequence takes three equal voltages and two lamps that both change over when TWO probes change "
                "places. Then write the terminals under L1, L2, L3 and go round from A.",
            ),
        ),
        ChoiceCheck(
            name="step",
            says="what the crew does next at each socket",
            points=3.0,
            options=(field.WRITE, field.CALL, field.LEADS, field.OTHER, field.MEASURE, field.EXCHANGE),
            aliases={"another tester": field.OTHER, "record": field.WRITE, "write": field.WRITE,
                     "write it down": field.WRITE,
                     "call a licensed person": field.CALL, "exchange two probes": field.EXCHANGE,
                     "swap": field.EXCHANGE, "swap two probes": field.EXCHANGE, "measure first": field.MEASURE},
            entries=values.NAMES,
            value=values.steps,
            slips=record_slips.STEPS_SLIPS,
            hints=(
                "What does the record prove, and what is missing in it?",
                "Unequal terminals are a matter of the installation; two lit lamps on equal ones are a matter of the "
                "tester.",
                "An undecided record lacks one of three things: the volts between the terminals, an exchange of two "
                "probes, or a lamp that has shown that it can light.",
            ),
        ),
    ),
)  # fmt: skip
