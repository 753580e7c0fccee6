"""Exercise `margins`: what parts, supply and harmonics leave on the dark lamp, and how loose the parts may be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import SIGN, Tolerance, general
from phasorkit.course.model import Brief, Task, truths
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.margins import class_slips, slips, values
from phasorkit.course.tasks.margins.values import CAUSES, LETTERS, NONE, ORDERS, PARTS, RESISTORS
from phasorkit.quantities import render

SYSTEMS = (
    (400.0, 50.0), (380.0, 50.0), (415.0, 50.0), (480.0, 60.0), (600.0, 60.0), (690.0, 50.0), (380.0, 60.0),
    (460.0, 60.0), (440.0, 60.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] (IEC 60038 and national practice, from memory)."""

HARMONICS = (5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25)
"""Orders of which three are drawn; the even ones are rare in a supply."""

CLEAR = 0.03
"""How far the rules of thumb must keep from the end of the lamp's window for every pair of classes [1]."""

AHEAD = 0.12
"""How far the largest push must be ahead of the next [1]."""


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply with its faults, parts with their tolerances, three harmonics."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    orders = list(HARMONICS)
    drawn = [orders.pop(picker.whole(len(orders))) for _ in ORDERS]
    return {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "resistor_percent": picker.pick((1.0, 2.0, 5.0)),
        "capacitor_percent": picker.pick((2.0, 5.0, 10.0)),
        "frequency_percent": picker.pick((1.0, 1.5, 2.0, 2.5, 3.0, 4.0)),
        "unbalance_percent": picker.pick((0.5, 1.0, 1.5, 2.0)),
        "voltage_percent": 10.0,
        **{f"order_{name}": float(order) for name, order in zip(ORDERS, drawn, strict=True)},
        "fifth_percent": picker.pick((1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)),
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    orders = ", ".join(f"{name} {getattr(brief, f'order_{name}'):g}" for name in ORDERS)
    return (
        f"supply of the market: {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"   its frequency:     ± {brief.frequency_percent:g} %",
        f"   its unbalance:     up to {brief.unbalance_percent:g} %",
        f"   its voltage:       up to {brief.voltage_percent:g} % above nominal",
        f"resistors R1, R2, R3: ± {brief.resistor_percent:g} %",
        f"capacitor C1:         ± {brief.capacitor_percent:g} %",
        f"question 5, orders:   {orders}",
        f"question 6, fifth:    {brief.fifth_percent:g} %",
    )


def _ahead(found: Sequence[float]) -> bool:
    first, second, *_ = sorted(found, reverse=True)
    return first > (1 + AHEAD) * second


def fair(brief: Brief) -> bool:
    """Whether rules of thumb and exact corners say the same of every class, none by a hair, and one push leads."""
    worst = {r: {c: values.worst_by_rule(brief, r, c) for c in LETTERS} for r in RESISTORS}
    if min(abs(v / values.DARK_BELOW - 1) for row in worst.values() for v in row.values()) < CLEAR:
        return False
    right = truths(TASK, brief)
    push = {name: right["pushes"]["", name] for name in CAUSES}
    return (
        right["classes"] == {r: values.loosest(row, values.DARK_BELOW) for r, row in worst.items()}
        and len(set(right["classes"].values())) > 1
        and len(set(right["direction"].values())) > 1
        and _ahead(list(push.values()))
        and _ahead([push[name] for name in PARTS])
    )


FACTORS = general(volts=1, frequency=False, line_or_phase="The rules of thumb are parts of the LINE voltage.")

TASK = Task(
    name="margins",
    title="How dark is dark?",
    scenario=(
        "The training workshop looks after the sockets of a market, fed by a generator in summer. You work out what "
        "its null bridges leave on a lamp that should be dark, and how loose their parts may be."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        TableCheck(
            name="pushes",
            says="volts that each cause by itself leaves on the dark lamp",
            points=6.0,
            unit="V",
            value=values.pushes,
            groups=("",),
            entries=CAUSES,
            sense=(0.0, 1000.0),
            tolerance=Tolerance(0.035, 0.02),
            slips=slips.PUSHES_SLIPS,
            factors=FACTORS,
            hints=(
                "Every cause has its rule of thumb: a part of the line voltage, times the per cent by which it is off.",
                "C1, R3 and the frequency push P along the half circle by one rule; R1 pushes M by a smaller one; "
                "unbalance pushes twice as far as C1. And the line voltage?",
                "The per cent as a plain share, times the line voltage, times the number of the rule.",
            ),
        ),
        TableCheck(
            name="limits",
            says="likely limit, and the limit by plain adding",
            points=4.0,
            follows=("pushes",),
            unit="V",
            value=values.limits,
            groups=("",),
            entries=("likely", "worst"),
            sense=(0.0, 2000.0),
            tolerance=Tolerance(0.03),
            slips=slips.LIMITS_SLIPS,
            factors=(SIGN,),
            hints=(
                "Start from your own table of pushes, and take what the question names. The divider has two resistors.",
                "Likely: square each, add, take the root. The other one: add them as they are.",
                "Six pushes count: C1, R3, R1, R2, frequency and unbalance.",
            ),
        ),
        ChoiceCheck(
            name="dominant",
            says="the cause, and the part, that pushes most",
            points=2.0,
            follows=("pushes",),
            options=CAUSES,
            aliases={"R2": "R1", "R1 R2": "R1", "line voltage": values.VOLTAGE, "volts": values.VOLTAGE},
            entries=("cause", "part"),
            value=values.dominant,
            slips=slips.DOMINANT_SLIPS,
            hints=(
                "Compare the volts in your own table.",
                "The most volts, not the most per cent: each cause has a rule of its own from one to the other.",
                "Order the causes by their volts, then the parts alone. For the part, look at C1, R3 and R1 only.",
            ),
        ),
        ChoiceCheck(
            name="classes",
            says="loosest class of the capacitor for three classes of resistors",
            points=3.0,
            options=(*LETTERS, NONE),
            aliases={f"{percent:g}": letter for letter, percent in LETTERS.items()},
            entries=RESISTORS,
            value=values.classes,
            slips=class_slips.CLASSES_SLIPS,
            hints=(
                "Take a pair of letters, add up all pushes as plain numbers, at the highest line voltage. Is the lamp "
                "surely dark?",
                "Then the next looser letter of the capacitor, until it is not.",
                "R3 pushes by the rule of C1, R1 and R2 by theirs; frequency and unbalance come on top, and then a "
                "tenth of all that for the high voltage.",
            ),
        ),
        ChoiceCheck(
            name="direction",
            says="which way three harmonics run",
            points=3.0,
            options=("forward", "backward", "zero"),
            aliases={"forwards": "forward", "backwards": "backward", "none": "zero"},
            entries=ORDERS,
            value=values.directions,
            slips=class_slips.DIRECTION_SLIPS,
            hints=(
                "By how many degrees does L2 come later than L1 in the fundamental, and so in a wave that many times "
                "as fast?",
                "Take whole turns away and look what is left.",
                "Nothing left: all swing together. A third of a turn: forward. Two thirds: backward.",
            ),
        ),
        NumberCheck(
            name="together",
            says="likely limit of the parts and a fifth harmonic together",
            points=2.0,
            follows=("limits",),
            unit="V",
            value=values.together,
            sense=(0.01, 2000.0),
            tolerance=Tolerance(0.03),
            slips=class_slips.TOGETHER_SLIPS,
            factors=(SIGN,),
            hints=(
                "How many volts has the fifth by itself on the lamp? And how do waves of different frequency add?",
                "Waves of different frequency help each other at one moment and hinder at the next: together they have "
                "more than the larger one, and less than the plain sum.",
                "Nearly all of the fifth's volts stand on the lamp; they and the likely limit add like the sides of a "
                "right-angled triangle.",
            ),
        ),
    ),
)
