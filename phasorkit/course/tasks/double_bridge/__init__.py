"""Exercise `double-bridge`: size the null bridge with two capacitors, and keep its lamp from firing in pulses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.double_bridge import lamp_slips, slips, values
from phasorkit.indicators.base import SEQUENCES
from phasorkit.quantities import render

SYSTEMS = (
    (200.0, 50.0), (200.0, 60.0), (208.0, 60.0), (220.0, 50.0), (220.0, 60.0), (230.0, 50.0), (230.0, 60.0),
    (240.0, 60.0), (400.0, 50.0), (380.0, 60.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] that a stage meets on its tour (national practice, from memory)."""

CAPACITORS = (1e-9, 1.2e-9, 1.5e-9, 1.8e-9, 2.2e-9, 2.7e-9, 3.3e-9, 3.9e-9, 4.7e-9, 5.6e-9, 6.8e-9, 8.2e-9, 10e-9)
"""Capacitors in the flight case [F]: E12 from 1 to 10 nF."""

STRIKES = (80.0, 85.0, 90.0, 95.0, 99.0)
"""Volts at which a small glow lamp strikes [V, momentary] (common practice: 55 to 130 V)."""

KEEPS = (54.0, 56.0, 58.0, 60.0)
"""Volts that it keeps lit, without the drop on its own resistance [V] (common practice: about 58 V)."""

LAMP_RESISTANCES = (4e3, 5e3, 6e3, 8e3)
"""The lit lamp's own resistance [Ω] (common practice: some kilohms)."""

LIMITS = (0.4e-3, 0.5e-3, 0.6e-3, 0.8e-3, 1e-3)
"""Largest momentary current that the lamp is to have as it strikes [A]."""


def draw(picker: Picker) -> Mapping[str, float]:
    """A supply system, a pair of capacitors, a glow lamp and a limit for its current."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    return {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "capacitance": picker.pick(CAPACITORS),
        "strike": picker.pick(STRIKES),
        "keeps": picker.pick(KEEPS),
        "lamp_resistance": picker.pick(LAMP_RESISTANCES),
        "limit": picker.pick(LIMITS),
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    lit = f"{render(brief.keeps, 'V')} and {render(brief.lamp_resistance, 'Ω')} in series"
    return (
        f"supply of tonight's stage: {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"two capacitors, each:      {render(brief.capacitance, 'F')}",
        f"glow lamp: strikes at {render(brief.strike, 'V')} (momentary); lit, it behaves as {lit}",
        f"current as it strikes: at most {render(brief.limit, 'A')} (momentary)",
    )


_OHMS = (1e4, 1e8)
TASK = Task(
    name="double-bridge",
    title="The null bridge with two capacitors",
    scenario=(
        "A travelling stage meets low supplies on its tour, and the lamp of its null bridge glows poorly there. With a "
        "second capacitor it gets half as much again as the line voltage."
    ),
    draw=draw,
    tells=tells,
    checks=(
        NumberCheck(
            name="reactance",
            says="reactance of one capacitor at the supply frequency",
            points=2.0,
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
            name="first_leg",
            says="R1 that brings P to the middle of L1–L3 in the sequence 1-2-3",
            points=3.0,
            follows=("reactance",),
            unit="Ω",
            value=values.first_resistance,
            sense=_OHMS,
            slips=slips.FIRST_SLIPS,
            hints=(
                "Look at the right-angled triangle L3–P–L2, with P in the middle of L1–L3.",
                "R1 and C1 carry the same current, so R1 stands to Xc as the volts of R1 to the volts of C1.",
                "L3–P is half of a side; L2–P is the height of the equal-sided triangle.",
            ),
        ),
        NumberCheck(
            name="second_leg",
            says="R2 that brings Q to the same point",
            points=3.0,
            follows=("reactance",),
            unit="Ω",
            value=values.second_resistance,
            sense=_OHMS,
            slips=slips.SECOND_SLIPS,
            hints=(
                "Look at the right-angled triangle L1–Q–L2, with Q in the middle of L1–L3. C2 comes first, from L1.",
                "C2 and R2 carry the same current, so R2 stands to Xc as the volts of R2 to the volts of C2.",
                "L1–Q is half of a side; L2–Q is the height of the equal-sided triangle.",
            ),
        ),
        TableCheck(
            name="volts",
            says="volts on every part of both legs, in both sequences",
            points=4.0,
            follows=("reactance", "first_leg", "second_leg"),
            unit="V",
            value=values.part_volts,
            groups=SEQUENCES,
            entries=values.PARTS,
            sense=(1.0, 2000.0),
            tolerance=Tolerance(0.02, 0.5),
            slips=slips.VOLTS_SLIPS,
            hints=(
                "Draw each leg as a right-angled triangle over its own line voltage.",
                "Both legs lie between two line conductors, whatever the sequence: what can change in them?",
                "In each triangle the two volts stand to each other as R to Xc, and their squares make up the square "
                "of the line voltage.",
            ),
        ),
        NumberCheck(
            name="lamp",
            says="volts on the lamp that has not struck, in the sequence 1-3-2",
            points=4.0,
            follows=("reactance", "first_leg", "second_leg"),
            unit="V",
            value=values.lamp_volts,
            sense=(1.0, 5000.0),
            factors=general(volts=1, frequency=False),
            slips=lamp_slips.LAMP_SLIPS,
            hints=(
                "Draw the triangle for the other sequence to scale, lay both legs on it and measure from P to Q.",
                "P and Q lie equally far from L2. Which angle do L2–P and L2–Q make there?",
                "On either side of the triangle's corner at L2 comes the small angle of one right-angled triangle.",
            ),
        ),
        NumberCheck(
            name="series",
            says="least R3 that keeps the lamp's first current within its limit",
            points=4.0,
            unit="Ω",
            value=values.least_series,
            sense=(1e3, 1e7),
            factors=general(volts=0, frequency=False),
            slips=lamp_slips.SERIES_SLIPS,
            hints=(
                "At the moment of striking the capacitors hold P and Q where they were, so many volts apart.",
                "From P to Q: R3, the lamp's own resistance, and the volts that the lit lamp keeps.",
                "What the lamp does not keep drives the current through R3 and the lamp's own resistance.",
            ),
        ),
    ),
)
