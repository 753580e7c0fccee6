"""Exercise `parts`: read the codes, size R, see what its parts must bear, and buy what does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.design import DesignCheck, Requirement
from phasorkit.course.diagnosis import DECADE, SIGN, Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.parts import slips, slips_to_buy, values
from phasorkit.parts import colour_bands
from phasorkit.quantities import render

SYSTEMS = (
    (208.0, 60.0), (220.0, 50.0), (220.0, 60.0), (240.0, 60.0), (380.0, 50.0), (380.0, 60.0), (400.0, 50.0),
    (415.0, 50.0), (440.0, 60.0), (480.0, 60.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] (IEC 60038 and national practice, from memory)."""

DIGITS = ("102", "122", "152", "182", "222", "272", "332", "392", "472", "562", "682", "822", "103")
"""Markings of the capacitors in the drawer: E12 from 1 to 10 nF."""

C_LETTERS = ("G", "J", "K", "M")
FOUND = (1.1e3, 1.5e3, 2.7e3, 3.6e3, 4.7e3, 6.8e3, 12e3, 24e3, 39e3, 56e3, 130e3, 180e3, 270e3, 390e3, 620e3)
FOUND_OFF = (1.0, 2.0, 5.0, 10.0)
"""A resistor that somebody left in the drawer [Ω], and its tolerance [±%]."""

R1_SHARE, C1_SHARE = 0.9061, 1.0802
"""Worst volts of R1 and C1 over the line voltage: 110 %, both sequences, every wrong connection (library)."""

PADS = (230.0, 253.0, 280.0, 310.0, 420.0, 460.0)
"""Worst volts of a capacitor in a touch pad circuit [V rms]."""

SPENDING = ((5.0, 0.3), (5.0, 0.8), (10.0, 0.5), (10.0, 1.0), (0.5, 3.0), (0.5, 4.0), (1.0, 5.0))
"""How far C1 and the bought R may be off [±%]."""


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply system, a marked capacitor, a resistor with bands, what is to be had and what it must bear."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    c_off, r_off = picker.pick(SPENDING)
    return {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "marking": picker.pick(DIGITS) + picker.pick(C_LETTERS),
        "bands": " ".join(colour_bands(picker.pick(FOUND), tolerance=picker.pick(FOUND_OFF))),
        "r1_volts": float(round(R1_SHARE * line_voltage)),
        "c1_volts": float(round(C1_SHARE * line_voltage)),
        "film": picker.pick(tuple(values.FILMS)),
        "pad_volts": picker.pick(PADS),
        "letter": picker.pick(("J", "K", "M")),
        "c_off": c_off,
        "r_off": r_off,
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    size = values.film(brief)
    return (
        f"supply of the pump house: {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"printed on C1:            {brief.marking}",
        f"bands of a found part:    {brief.bands}",
        f"worst case, in rms:       R1 {render(brief.r1_volts, 'V')}, C1 {render(brief.c1_volts, 'V')}",
        f"resistors to be had:      {size.name}, {render(size.volts, 'V')} each",
        f"question 6, pad circuit:  its C must bear {render(brief.pad_volts, 'V')} (rms)",
        f"            a bag marked: {brief.letter}",
        f"            to be bettered: C1 may be {brief.c_off:g} % off, R {brief.r_off:g} %",
    )


TASK = Task(
    name="parts",
    title="Parts that can be bought, and that last",
    scenario=(
        "The pump house orders null bridges from the training workshop. You read what lies in the drawer, size R, look "
        "what the parts must bear in the worst case, and write the order."
    ),
    draw=draw,
    tells=tells,
    fair=values.fair,
    checks=(
        TableCheck(
            name="codes",
            says="what is printed on the capacitor, and the bands of a resistor",
            points=4.0,
            unit="F",
            units={"C1 off": "%", "R": "Ω", "R off": "%"},
            value=values.codes,
            groups=("",),
            entries=("C1", "C1 off", "R", "R off"),
            aliases={"C1_off": "C1 off", "R_off": "R off"},
            sense=(1e-12, 1e9),
            tolerance=Tolerance(0.001),
            slips=slips.CODE_SLIPS,
            factors=(DECADE, SIGN),
            hints=(
                "Lesson six, part one, has the table of letters and the digits of the colours.",
                "On the capacitor: two digits, then a count of zeros, in picofarads; the letter is a tolerance.",
                "Bands: digits first, then the multiplier, and set apart the tolerance.",
            ),
        ),
        NumberCheck(
            name="resistance",
            says="R of the null bridge for this capacitor",
            points=2.0,
            follows=("codes",),
            unit="Ω",
            value=values.resistance,
            sense=(1e3, 1e9),
            factors=general(volts=0, frequency=True),
            slips=slips.RESISTANCE_SLIPS,
            hints=(
                "In the null bridge all three resistors are equal, and smaller than the capacitor's reactance.",
                "Xc is one over (2π·f·C), and R is Xc over √3.",
                "Put C in farads, as you have read it off the capacitor.",
            ),
        ),
        TableCheck(
            name="stress",
            says="heat in R1 and peak volts of C1 in the worst case",
            points=4.0,
            follows=("resistance",),
            unit="W",
            units={"C1": "V"},
            value=values.stress,
            groups=("",),
            entries=("R1", "C1"),
            sense=(1e-6, 1e5),
            slips=slips.STRESS_SLIPS,
            factors=(SIGN,),
            hints=(
                "Your numbers name the volts of the worst case, in rms.",
                "Watts are volts squared over ohms, with rms volts.",
                "The peak of a sine is √2 times its rms.",
            ),
        ),
        TableCheck(
            name="pieces",
            says="how many pieces in series the volts take, and how many the heat",
            points=2.0,
            follows=("stress",),
            unit="pieces",
            value=values.pieces,
            groups=("",),
            entries=("volts", "watts"),
            sense=(1.0, 1e3),
            tolerance=Tolerance(0.001),
            slips=slips_to_buy.PIECE_SLIPS,
            factors=(SIGN,),
            hints=(
                "Equal pieces in series share volts and heat equally.",
                "Divide the volts by those of a piece, and the heat by half of a piece's rated watts.",
                "A part of a piece takes a whole one more.",
            ),
        ),
        DesignCheck(
            name="bought",
            says="a chain of equal pieces out of E24 that bears it all and makes up R",
            points=4.0,
            follows=("resistance", "pieces"),
            parts={"pieces": "pieces", "each": "Ω"},
            sense={"pieces": (1.0, float(values.MOST)), "each": (10.0, 1e8)},
            example=values.bought,
            requirements=(
                Requirement("volts of each piece", 0.25, values.too_many_volts),
                Requirement("heat of each piece", 0.25, values.too_hot),
                Requirement("chain close to R", 0.25, values.far_from_r),
                Requirement("can be bought", 0.25, values.not_sold),
            ),
            slips=slips_to_buy.BOUGHT_SLIPS,
            explains=dict.fromkeys(("R in each piece", "side by side"), "chain close to R"),
            hints=(
                "The larger of your two counts is the least number of pieces; more may fit R better.",
                "Divide R by the number of pieces and go to the nearest rung of E24.",
                "Multiply back: how far is the whole chain off R?",
            ),
        ),
        ChoiceCheck(
            name="choose",
            says="capacitors for two circuits, a series, and where money helps",
            points=4.0,
            options=(*values.LETTERS, *values.SERIES_OF.values(), "E96", values.MEASURE, values.CLOSER),
            entries=values.QUESTIONS,
            aliases={
                "measure": values.MEASURE,
                "closer R": values.CLOSER,
                **{name.removeprefix("E"): name for name in (*values.SERIES_OF.values(), "E96")},
            },
            value=values.choose,
            slips=slips_to_buy.CHOOSE_SLIPS,
            hints=(
                "Look for the class first, then for the volts (rms), then for the smallest that does. A series goes "
                "with a tolerance, and money goes where the larger error is.",
                "Class X is for between conductors, class Y for where a person is in the circuit.",
                "Rungs lie about twice a tolerance apart, so that nothing is left between one value and the next.",
            ),
        ),
    ),
)
