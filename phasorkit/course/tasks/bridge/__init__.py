"""Exercise `bridge`: size the null bridge with one capacitor and say what its lamp does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt

from phasorkit.course.briefs import Picker
from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck, PreferredCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.bridge import slips, values
from phasorkit.indicators.base import SEQUENCES
from phasorkit.parts import nearest
from phasorkit.quantities import render

SYSTEMS = (
    (400.0, 50.0), (415.0, 50.0), (380.0, 50.0), (400.0, 60.0), (380.0, 60.0), (440.0, 60.0), (208.0, 60.0),
    (220.0, 60.0), (480.0, 60.0), (600.0, 60.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] of supply systems (IEC 60038 and national practice, from memory)."""

CAPACITORS = (1e-9, 1.2e-9, 1.5e-9, 1.8e-9, 2.2e-9, 2.7e-9, 3.3e-9, 3.9e-9, 4.7e-9, 5.6e-9, 6.8e-9, 8.2e-9, 10e-9)
"""Capacitors in the drawer [F]: E12 from 1 to 10 nF."""


def draw(picker: Picker) -> Mapping[str, float]:
    """A supply system and a capacitor."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    return {"line_voltage": line_voltage, "frequency": frequency, "capacitance": picker.pick(CAPACITORS)}


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    return (
        f"supply of the pump house: {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"capacitor in the drawer:  {render(brief.capacitance, 'F')}",
    )


def fair(brief: Brief) -> bool:
    """Whether rounding R by one per cent cannot change its preferred value."""
    exact = values.exact_reactance(brief, {}) / sqrt(3)
    return len({float(nearest(exact * k, values.SERIES)) for k in (0.99, 1.0, 1.01)}) == 1


_OHMS = (1e4, 1e8)
TASK = Task(
    name="bridge",
    title="The null bridge with one capacitor",
    scenario=(
        "The training workshop keeps a pump house. Before a pump is connected its sequence is checked with a small "
        "indicator; you build one from a capacitor that lies in the drawer."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        NumberCheck(
            name="reactance",
            says="reactance of the capacitor at the supply frequency",
            points=3.0,
            unit="Ω",
            value=values.exact_reactance,
            sense=_OHMS,
            slips=slips.REACTANCE_SLIPS,
            hints=(
                "The reactance of a capacitor falls when frequency or capacitance rise.",
                "Xc is one over (angular frequency times capacitance).",
                "Put ω = 2π·f in, with f in hertz and C in farads.",
            ),
        ),
        NumberCheck(
            name="resistance",
            says="resistance that makes the lamp dark in the sequence 1-2-3",
            points=3.0,
            follows=("reactance",),
            unit="Ω",
            value=values.exact_resistance,
            sense=_OHMS,
            slips=slips.RESISTANCE_SLIPS,
            hints=(
                "P must fall on M. Look at the right-angled triangle L3–P–L2 in the scale drawing.",
                "R and C carry the same current, so R stands to Xc as the voltage of R3 to the voltage of C1.",
                "P is the middle of L1–L3: which part of the line voltage is L3–P, and how long is then P–L2?",
            ),
        ),
        PreferredCheck(
            name="preferred",
            says="nearest value of the series E24, as a value or as its code",
            points=2.0,
            follows=("resistance",),
            unit="Ω",
            value=values.preferred_value,
            series=values.SERIES,
            sense=_OHMS,
            slips=slips.PREFERRED_SLIPS,
            hints=(
                "Your exact R is not on sale. Which value on sale is just below it, and which just above?",
                "The digits of E24 repeat in every decade; find the decade first.",
                "For both neighbours, work out the deviation as a share of the exact R; the smaller share has it.",
            ),
        ),
        TableCheck(
            name="volts",
            says="volts on every part and on the lamp, in both sequences, with the exact R",
            points=5.0,
            follows=("reactance", "resistance"),
            unit="V",
            value=values.part_volts,
            groups=SEQUENCES,
            entries=(*values.PARTS, values.LAMP),
            aliases={"H1": values.LAMP},
            sense=(1.0, 2000.0),
            tolerance=Tolerance(0.02, 0.5),
            slips=slips.VOLTS_SLIPS,
            hints=(
                "Draw the triangle of the line conductors to scale, lay the circuit on it and measure.",
                "The divider halves its line voltage; the leg is a right-angled triangle over the other one.",
                "In that triangle the volts on R3 and on C1 stand to each other as R to Xc, and P is its corner. The "
                "lamp lies from M to P: in which sequence is the corner on the side of M?",
            ),
        ),
        NumberCheck(
            name="power",
            says="power in R3 (exact R, either sequence) at ten per cent above the nominal voltage",
            points=3.0,
            follows=("resistance", "volts"),
            unit="W",
            value=values.heat_of_r3,
            sense=(1e-4, 100.0),
            factors=general(volts=2, frequency=False),
            slips=slips.POWER_SLIPS,
            hints=(
                "Start from the voltage that lies on R3 itself.",
                "Power in a resistor is the square of its rms voltage over its resistance.",
                "First raise the voltage of R3 by ten per cent, then square it.",
            ),
        ),
        NumberCheck(
            name="residual",
            says="most that can be left on the lamp in 1-2-3: preferred resistors ±1 %, capacitor ±5 %, worst case",
            points=4.0,
            follows=("preferred",),
            unit="V",
            value=values.left_on_lamp,
            sense=(0.1, 500.0),
            tolerance=Tolerance(0.03, 0.2),
            factors=general(volts=1, frequency=False),
            slips=slips.RESIDUAL_SLIPS,
            hints=(
                "Put each part at one end of its tolerance and look for the combination that moves M and P apart most.",
                "Four parts with two ends each: sixteen combinations. Let the solver work them all out.",
                "R3 and C1 move P along the half circle; R1 and R2 move M along L1–L3.",
            ),
        ),
    ),
)
