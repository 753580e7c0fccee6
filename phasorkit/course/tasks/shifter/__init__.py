"""Exercise `shifter`: what a resistor and a capacitor in series do to the angle of a voltage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.diagnosis import RADIANS, SIGN, UPSIDE, Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.shifter import angle_slips, slips, values
from phasorkit.indicators.base import reactance
from phasorkit.quantities import render

VOLTS = (6.0, 8.0, 9.0, 10.0, 12.0, 14.0, 15.0, 16.0, 18.0, 20.0)
"""Of the generator on the bench [V rms]: extra-low voltage."""

FREQUENCIES = ((50.0, 20.0), (50.0, 80.0), (50.0, 100.0), (50.0, 125.0), (60.0, 25.0), (60.0, 30.0), (60.0, 100.0),
               (60.0, 150.0))  # fmt: skip
"""First and second setting of its knob [Hz]."""

CAPACITORS = (100e-9, 150e-9, 220e-9, 330e-9, 470e-9, 680e-9, 1e-6)
"""Film capacitors of the bench's drawer [F]: E6."""

RESISTORS = tuple(d * 10**k for k in (2, 3) for d in (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82))
"""Resistors of the drawer [Ω]: E12 from 1 to 82 kΩ."""

WANTED = (20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 55.0, 60.0, 65.0, 70.0)
"""Angles [°]."""


def draw(picker: Picker) -> Mapping[str, float]:
    """A source with two settings, a capacitor, a resistor of about its ohms, an angle."""
    frequency, other = picker.pick(FREQUENCIES)
    capacitance = picker.pick(CAPACITORS)
    exact = reactance(capacitance, frequency)
    near = [r for r in RESISTORS if 0.4 * exact < r < 2.6 * exact]
    return {
        "volts": picker.pick(VOLTS),
        "frequency": frequency,
        "capacitance": capacitance,
        "resistance": float(picker.pick(near)),
        "wanted": picker.pick(WANTED),
        "other_frequency": other,
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    return (
        f"source between A and com: {render(brief.volts, 'V')}, first at {render(brief.frequency, 'Hz')}",
        f"from the drawer:          R1 {render(brief.resistance, 'Ω')}, C1 {render(brief.capacitance, 'F')}",
        f"wanted in question 5:     {brief.wanted:g}° late",
        f"in question 6:            the source at {render(brief.other_frequency, 'Hz')}",
    )


_OHMS = (10.0, 1e7)
_DEGREES = Tolerance(0.02, 0.7)
"""Wide enough for a protractor, which is off by a degree (lesson 03), at every angle of question 3."""
_ANGLE_FACTORS = (RADIANS, slips.ANGLE_TWO, SIGN)
_WITH_FREQUENCY = general(volts=0, frequency=True)
TASK = Task(
    name="shifter",
    title="The RC shifter",
    scenario=(
        "On the bench of the training workshop a voltage is made late with one resistor and one capacitor, as in every "
        "indicator of this course."
    ),
    draw=draw,
    tells=tells,
    checks=(
        NumberCheck(
            name="reactance",
            says="reactance of the capacitor at the first frequency",
            points=2.0,
            unit="Ω",
            value=values.exact_reactance,
            sense=_OHMS,
            slips=slips.REACTANCE_SLIPS,
            factors=_WITH_FREQUENCY,
            hints=(
                "The reactance of a capacitor falls when frequency or capacitance rise.",
                "Xc is one over (angular frequency times capacitance).",
                "Put ω = 2π·f in, with f in hertz and C in farads.",
            ),
        ),
        TableCheck(
            name="volts",
            says="volts on R1 and on C1",
            points=4.0,
            follows=("reactance",),
            unit="V",
            value=values.part_volts,
            groups=("",),
            entries=("R1", "C1"),
            sense=(0.01, 100.0),
            tolerance=Tolerance(0.02, 0.05),
            slips=slips.VOLTS_SLIPS,
            factors=slips.VOLTS_FACTORS,
            hints=(
                "Draw the source as a line from A to com with the half circle over it. P lies on the half circle.",
                "R1 and C1 carry one current, so their volts stand to each other as R1 to Xc, at a right angle.",
                "By Pythagoras the square of the source is the sum of the squares. With the ohms: the long side is the "
                "root of R1 squared plus Xc squared.",
            ),
        ),
        NumberCheck(
            name="angle",
            says="how many degrees the volts on C1 are late",
            points=3.0,
            follows=("reactance", "volts"),
            unit="°",
            value=values.late,
            sense=(1.0, 89.5),
            tolerance=_DEGREES,
            slips=slips.ANGLE_SLIPS,
            factors=_ANGLE_FACTORS,
            hints=(
                "Look at the corner at com in your drawing: between the source and the volts on C1.",
                "In that right-angled triangle the volts on R1 lie opposite to the angle, those on C1 next to it.",
                "The tangent of the angle is the volts on R1 over the volts on C1, or R1 over Xc.",
            ),
        ),
        NumberCheck(
            name="delay",
            says="how much later the volts on C1 rise than the source, as time",
            points=3.0,
            follows=("angle",),
            unit="s",
            value=values.delay,
            sense=(1e-6, 0.1),
            slips=slips.DELAY_SLIPS,
            factors=(UPSIDE, SIGN),
            hints=(
                "How long is a period, and which part of a whole turn is your angle?",
                "Delay is to period as the angle is to a whole turn.",
                "Period is one over frequency. Mind the unit: a plain number counts in seconds.",
            ),
        ),
        NumberCheck(
            name="resistance",
            says="R1 that makes the volts on C1 late by the wanted angle",
            points=3.0,
            follows=("reactance",),
            unit="Ω",
            value=values.wanted_resistance,
            sense=(1.0, 1e8),
            slips=angle_slips.RESISTANCE_SLIPS,
            factors=general(volts=0, frequency=False),
            hints=(
                "Put P on the half circle where the angle at com is the wanted one, and compare the two short sides.",
                "R1 is to Xc as the side opposite to the angle is to the side next to it.",
                "R1 is Xc times the tangent of the wanted angle. Xc stays that of the first frequency.",
            ),
        ),
        NumberCheck(
            name="elsewhere",
            says="how many degrees the volts on C1 are late at the other frequency, with R1 and C1 of the drawer",
            points=3.0,
            follows=("reactance",),
            unit="°",
            value=values.late_elsewhere,
            sense=(1.0, 89.5),
            tolerance=_DEGREES,
            slips=angle_slips.ELSEWHERE_SLIPS,
            factors=_ANGLE_FACTORS,
            hints=(
                "Which of the two, R1 or Xc, changes with the frequency, and which way?",
                "Find the new Xc, then the angle as in question three.",
                "Xc goes by one over f: at twice the frequency it is half.",
            ),
        ),
    ),
)
