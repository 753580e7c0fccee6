"""Exercise `two-lamp`: two lamps and a capacitor in star, which one is bright, and with how many volts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.two_lamp import bench_slips, slips, values
from phasorkit.indicators.base import SEQUENCES
from phasorkit.quantities import render
from phasorkit.supply import CONDUCTORS

SYSTEMS = (
    (400.0, 50.0, 230.0), (415.0, 50.0, 240.0), (380.0, 50.0, 220.0), (380.0, 60.0, 220.0), (208.0, 60.0, 120.0),
    (220.0, 60.0, 127.0), (480.0, 60.0, 277.0), (600.0, 60.0, 347.0),
)  # fmt: skip
"""Line voltage [V rms], frequency [Hz], what a lamp for the phase voltage is marked [V] (IEC 60038, from memory)."""

LAMPS = (24.0, 42.0, 60.0, 110.0, 120.0, 127.0, 130.0, 220.0, 230.0, 240.0, 250.0, 277.0, 347.0)
"""Volts that filament lamps are marked with [V] (common practice)."""

BENCH_LAMPS, BENCH_WATTS = (12.0, 13.5, 14.0, 15.0, 18.0), (1.2, 1.5, 1.7, 2.0, 2.5, 3.0)
"""Signal lamps for the bench [V], [W]."""


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply, where the capacitor sits, three lamps in the drawer, signal lamps for the bench."""
    line_voltage, frequency, phase_lamp = picker.pick(SYSTEMS)
    others = [v for v in LAMPS if v != phase_lamp and values.decided(v, line_voltage)]
    second = picker.pick(others)
    drawer = [phase_lamp, second, picker.pick([v for v in others if v != second])]
    first = picker.whole(len(drawer))
    drawer = drawer[first:] + drawer[:first]
    return {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "part_on": picker.pick(CONDUCTORS),
        **{f"{name}_lamp": volts for name, volts in zip(values.DRAWER, drawer, strict=True)},
        "bench_lamp": picker.pick(BENCH_LAMPS),
        "bench_watts": picker.pick(BENCH_WATTS),
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    one, two = values.lamp_conductors(brief)
    drawer = ", ".join(f"{name} {render(volts, 'V')}" for name, volts in values.drawer(brief).items())
    volts, hertz = render(brief.line_voltage, "V"), render(brief.frequency, "Hz")
    return (
        f"supply of the travelling stage: {volts} line to line, {hertz}",
        f"the star of the box:            capacitor on {brief.part_on}, a lamp on {one}, a lamp on {two}",
        f"lamps in the drawer:            {drawer}",
        f"signal lamps for the bench:     {render(brief.bench_lamp, 'V')}, {render(brief.bench_watts, 'W')} each",
    )


def fair(brief: Brief) -> bool:
    """Whether no lamp's use hangs on a hair, and the lamp for the phase voltage is one of them."""
    phase = brief.line_voltage / sqrt(3)
    rated = values.drawer(brief).values()
    return all(values.decided(v, brief.line_voltage) for v in rated) and any(abs(v / phase - 1) < 0.01 for v in rated)


FACTORS = general(
    volts=1,
    frequency=False,
    line_or_phase="In a drawing to scale a side of the triangle is the LINE voltage. The two shares that lesson four "
    "gives for the lamps are parts of the PHASE voltage.",
)
"""The general slips; the parts of a star lie neither between two line conductors nor on the neutral."""

TASK = Task(
    name="two-lamp",
    title="Two lamps and a capacitor",
    scenario=(
        "A travelling stage tests the sequence of every town's supply with a box: a capacitor and two lamps in star. "
        "You work out what such a box shows, and which lamps last in it."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        TableCheck(
            name="volts",
            says="volts on the part of every conductor, in both sequences, with Xc = R",
            points=6.0,
            unit="V",
            value=values.part_volts,
            groups=SEQUENCES,
            entries=CONDUCTORS,
            sense=(1.0, 2000.0),
            tolerance=Tolerance(0.02, 1.0),
            slips=slips.VOLTS_SLIPS,
            factors=FACTORS,
            hints=(
                "Take the capacitor off in thought: then S is D, the middle between the two lamps' corners. Now put it "
                "back.",
                "From S the two lamps act like one resistor of half the ohms, to D. So S lies on the half circle over "
                "the height from D to the capacitor's corner, on the left of the way up.",
                "On that half circle the short sides are as Xc to half of R. Then measure from S to each corner.",
            ),
        ),
        ChoiceCheck(
            name="bright",
            says="conductor of the bright lamp, with capacitor and with inductor, in both sequences",
            points=4.0,
            follows=("volts",),
            options=CONDUCTORS,
            aliases={said: c for c in CONDUCTORS for said in (c[1], f"phase {c[1]}", f"on {c}", f"lamp on {c}")},
            entries=values.STARS,
            value=values.bright,
            slips=slips.BRIGHT_SLIPS,
            hints=(
                "Which conductor comes next after the one with the capacitor?",
                "With a capacitor S lies on the left of the way from D up to its corner, in either sequence.",
                "An inductor gives the mirror image.",
            ),
        ),
        NumberCheck(
            name="pair",
            says="volts on each of two lamps in series in the bright branch, at ten per cent above nominal",
            points=3.0,
            follows=("volts",),
            unit="V",
            value=values.each_of_pair,
            sense=(1.0, 2000.0),
            slips=slips.PAIR_SLIPS,
            factors=FACTORS,
            hints=(
                "Start from the volts of the bright branch in your table.",
                "Two equal lamps in series share the volts of their branch evenly.",
                "First raise the volts of the bright branch by ten per cent, then halve them.",
            ),
        ),
        ChoiceCheck(
            name="lamps",
            says="which lamps of the drawer may be used alone, in a pair, or in neither way",
            points=3.0,
            follows=("volts", "pair"),
            options=(values.SINGLE, values.PAIR, values.NEITHER),
            aliases={
                "alone": values.SINGLE,
                "one": values.SINGLE,
                "two": values.PAIR,
                "pairs": values.PAIR,
                "two in series": values.PAIR,
                "none": values.NEITHER,
                "not at all": values.NEITHER,
            },
            entries=values.DRAWER,
            value=values.lamp_uses,
            slips=slips.LAMPS_SLIPS,
            hints=(
                "Compare the printed volts with what one lamp gets in the bright branch, alone and in a pair.",
                "Two equal lamps in a row share the volts of their branch; a lamp must stand the bright one for good.",
                "For each lamp: printed volts no lower than the whole branch has at the top, then alone; no lower than "
                "your answer for one of a pair, then in a pair; lower, then neither.",
            ),
        ),
        NumberCheck(
            name="resistance",
            says="resistance of a branch of two signal lamps at their printed volts",
            points=2.0,
            unit="Ω",
            value=values.branch_resistance,
            sense=(1.0, 1e5),
            slips=bench_slips.RESISTANCE_SLIPS,
            factors=general(volts=0, frequency=False),
            hints=(
                "What is printed on the lamp are its volts and its watts at these volts.",
                "Watts are volts squared over ohms.",
                "Turn it round for one lamp, then add up the two in series.",
            ),
        ),
        NumberCheck(
            name="capacitance",
            says="capacitor that makes the lamps most unlike",
            points=2.0,
            follows=("resistance",),
            unit="F",
            value=values.star_capacitance,
            sense=(1e-9, 1e-2),
            slips=bench_slips.CAPACITANCE_SLIPS,
            factors=general(volts=0, frequency=True),
            hints=(
                "For which Xc, compared with the resistance of a branch, are the two lamps most unlike?",
                "Xc is one over (angular frequency times capacitance).",
                "Set Xc equal to R and solve for C, with ω = 2π·f, f in hertz and R in ohms.",
            ),
        ),
    ),
)
