"""Exercise `touch-probe`: size the legs of two probes and a touch pad, and judge on paper what a person would get."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.touch_probe import slips, slips_current, slips_person, values
from phasorkit.indicators.base import SEQUENCES
from phasorkit.quantities import render

SYSTEMS = (
    (380.0, 50.0), (380.0, 60.0), (400.0, 50.0), (415.0, 50.0), (440.0, 60.0), (480.0, 60.0), (500.0, 50.0),
    (600.0, 60.0), (690.0, 50.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] (IEC 60038 and national practice, from memory)."""

CAPACITORS = (1e-9, 1.5e-9, 2.2e-9, 3.3e-9, 4.7e-9, 6.8e-9, 10e-9)
"""Class Y capacitors [F] (common practice: 1 to 10 nF in E6)."""

PAD_RESISTORS = (120e3, 150e3, 180e3, 220e3, 270e3, 330e3, 390e3, 470e3, 560e3, 680e3)
"""Each of the two resistors between lamp and pad [Ω]: E12."""

LIMITS = (0.25e-3, 0.5e-3)
"""Touch current that the brief allows [A rms]: 0.5 mA is the value for measuring equipment in normal use (IEC 61010-1,
from memory), the half of it a house rule of the market."""

SOUND = ("star/lit/dark", "star/dark/lit")
EMPTY = (
    "star/lit/lit", "star/dark/dark", "star/lit/", "star/dark/", "corner/lit/lit", "isolated/dark/dark",
)  # fmt: skip
"""Earthing, first lamp, lamp after the exchange: readings that name a sequence, and readings that name none."""

ORDERS = ((0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0))
_EARTHING = {"star": "star point earthed", "corner": "corner L2 earthed", "isolated": "no point of the supply earthed"}


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply, a capacitor, what stands before the pad, a limit, and the readings of three stalls."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    first = picker.pick(EMPTY)
    found = (picker.pick(SOUND), first, picker.pick([r for r in EMPTY if r != first]))
    order = picker.pick(ORDERS)
    return {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "capacitance": picker.pick(CAPACITORS),
        "pad_resistor": picker.pick(PAD_RESISTORS),
        "limit": picker.pick(LIMITS),
        **{f"reading_{name.lower()}": found[place] for name, place in zip(values.READINGS, order, strict=True)},
    }


def _told(brief: Brief, name: str) -> str:
    earthing, first, second = values.reading(brief, name)
    after = f"probes exchanged: {second}" if second else "probes not exchanged"
    return f"{_EARTHING[earthing]}; first reading: {first}; {after}"


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    return (
        f"supply of the market:        {render(brief.line_voltage, 'V')} line to line, "
        f"{render(brief.frequency, 'Hz')}, star point earthed",
        f"C1, class Y:                 {render(brief.capacitance, 'F')}",
        f"R5 and R6, each:             {render(brief.pad_resistor, 'Ω')}",
        f"limit for the touch current: {render(brief.limit, 'A')}",
        *(f"question 6, stall {name}:         {_told(brief, name)}" for name in values.READINGS),
    )


def fair(brief: Brief) -> bool:
    """Whether honest rounding changes neither the worst fault, nor the verdict, nor the count of resistors."""
    right = values.current(brief, {"ohms": values.ohms(brief, {})})
    second, worst = sorted(right.values())[-2:]
    needed, count = values.needed(brief), values.resistors(brief, {})
    clear = worst > 1.06 * second and abs(worst / brief.limit - 1) > 0.06
    return clear and 3 <= count <= 8 and abs(needed - round(needed)) > 0.04 * needed


TASK = Task(
    name="touch-probe",
    title="Two probes and a touch pad",
    scenario=(
        "In a drawer at the market stalls lies a tester with two probes and a touch pad. You work out what is in it "
        "and what it shows, and judge on paper what a person at its pad would get."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        TableCheck(
            name="ohms",
            says="R1, R3, and the whole leg from K to L2",
            points=3.0,
            unit="Ω",
            value=values.ohms,
            groups=("",),
            entries=("R1", "R3", "leg"),
            aliases={"R2": "R1", "R4": "R3"},
            sense=(1e3, 1e8),
            slips=slips.OHMS_SLIPS,
            factors=general(volts=0, frequency=True),
            hints=(
                "Start with the reactance of C1 at your frequency. How must R stand to it?",
                "The reactance is √3 times R. R1 and R2 have R each, R3 and R4 half of R each.",
                "In the leg to L2, R and the reactance are the short sides at a right angle; the leg is the long side.",
            ),
        ),
        TableCheck(
            name="volts",
            says="volts on R1, on C1 and on the unlit lamp, in both sequences",
            points=3.0,
            unit="V",
            value=values.volts,
            groups=SEQUENCES,
            entries=("R1", "C1", "lamp"),
            aliases={"H1": "lamp"},
            sense=(0.0, 2000.0),
            tolerance=Tolerance(0.02, 1.0),
            slips=slips.VOLTS_SLIPS,
            factors=slips.FACTORS,
            hints=(
                "Draw the triangle. Both legs are equally long, with a corner of a third of a turn at K: which two "
                "places are there for K?",
                "K lies on N, or on N's mirror image in the line from L1 to L2. Each leg is as long as from N to a "
                "corner.",
                "In the leg to L2 the sides are as R to √3 times R, and the leg is twice R: so what parts of it are "
                "they?",
            ),
        ),
        TableCheck(
            name="current",
            says="touch current without fault, and with R1, R3, C1 or R5 shorted",
            points=5.0,
            follows=("ohms",),
            unit="A",
            value=values.current,
            groups=("",),
            entries=values.SHORTED,
            aliases={"R2": "R1", "R4": "R3", "R6": "R5"},
            sense=(1e-6, 0.1),
            slips=slips_current.CURRENT_SLIPS,
            factors=slips.FACTORS,
            hints=(
                "It is one chain: the volts at K, the legs seen from K, what is left of R5 and R6. The person and the "
                "lamp count as wires.",
                "Add up all resistance in the chain. The reactance stands at a right angle to it: Pythagoras. Then "
                "volts over ohms.",
                "With C1 a wire, K lies on the line from L1 to L2, a third of the way from L2; the legs have R and "
                "twice R, side by side.",
            ),
        ),
        ChoiceCheck(
            name="verdict",
            says="which single short is worst, and whether it stays within the limit",
            points=2.0,
            follows=("current",),
            options=(*values.SHORTED, values.YES, values.NO),
            entries=("worst", "within"),
            aliases={"R2": "R1", "R4": "R3", "R6": "R5", "y": values.YES, "n": values.NO},
            value=values.verdict,
            slips=slips_person.VERDICT_SLIPS,
            hints=(
                "Take the largest of your five currents: to which case does it belong, and what is the limit?",
                "A circuit that people touch is judged by its worst single fault, and not as it is when all is well.",
                "Write the largest current and the limit in the same unit, one under the other.",
            ),
        ),
        NumberCheck(
            name="resistors",
            says="how many pad resistors hold the limit by themselves, with one of them shorted",
            points=3.0,
            unit="pieces",
            value=values.resistors,
            sense=(1.0, 100.0),
            tolerance=Tolerance(0.01),
            slips=slips_person.RESISTORS_SLIPS,
            factors=(),
            hints=(
                "How many ohms must stand between a line conductor and earth, at ten per cent above nominal, so that "
                "the limit holds?",
                "Volts over the limit are the ohms that are needed. How many of your resistors is that, rounded up?",
                "One of them may be shorted, and the others must be enough.",
            ),
        ),
        ChoiceCheck(
            name="readings",
            says="what the readings of three stalls name, and what the tester knows of L3",
            points=4.0,
            options=("1-2-3", "1-3-2", values.NOTHING, values.ALIVE, values.DEAD),
            entries=(*values.READINGS, "L3"),
            aliases={
                "123": "1-2-3",
                "132": "1-3-2",
                "none": values.NOTHING,
                "can't tell": values.NOTHING,
                "cannot be decided": values.NOTHING,
                "undecided": values.NOTHING,
                "unknown": values.NOTHING,
                "live": values.ALIVE,
            },
            value=values.readings,
            slips=slips_person.READINGS_SLIPS,
            hints=(
                "Where does the lamp's way back lead, and did the lamp change when the probes were exchanged?",
                "Only with the star point earthed does the lamp lie from K to N. Only a lamp that changes with the "
                "exchange names a sequence.",
                "Go through the three: where is earth, are there two readings, do they differ, and was the first one "
                "lit? For L3: which conductors do the probes touch?",
            ),
        ),
    ),
)
