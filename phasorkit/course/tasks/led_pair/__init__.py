"""Exercise `led-pair`: a shunt that keeps the dim LED dark and lets the bright one light, over the supply window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import permutations

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.design import DesignCheck, Requirement
from phasorkit.course.diagnosis import SIGN, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.led_pair import slips, slips_of_parts, values
from phasorkit.quantities import render

SYSTEMS = (
    (200.0, 50.0), (200.0, 60.0), (208.0, 60.0), (220.0, 60.0), (230.0, 50.0), (380.0, 50.0), (380.0, 60.0),
    (400.0, 50.0), (415.0, 50.0), (440.0, 60.0), (480.0, 60.0),
)  # fmt: skip
"""Line voltage [V rms] and frequency [Hz] that a stage meets on its tour (national practice, from memory)."""

LARGE_ONES = (68e-9, 82e-9, 100e-9, 120e-9, 150e-9)
SMALL_ONES = (33e-9, 39e-9, 47e-9, 56e-9, 68e-9)
"""Capacitors in the flight case [F], E12: enough for an LED that is plainly seen up to 250 V, and above."""

LEDS = (("red", 1.5, 1.9), ("orange", 1.6, 2.0), ("yellow", 1.7, 2.1), ("green", 1.7, 2.2))
"""Colour, momentary volts below which it is dark and above which it plainly glows (common practice, data sheets)."""

ORDERS = tuple(permutations(values.KINDS))
"""Which tester of question 5 is which kind."""

SUPPLIES = {
    values.SMALL: (1.0, 1.1),
    values.INSIDE: (0.85, 1.0, 1.1),
    values.LARGE: (0.85, 1.0, 1.1),
    values.OPEN: (1.1,),
}
"""Part of the nominal voltage at which a tester of a kind may be looked at."""


def capacitors(line_voltage: float) -> tuple[float, ...]:
    """Those for a line voltage [V rms]: a lower one needs more current."""
    return LARGE_ONES if line_voltage <= 250 else SMALL_ONES


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A supply system, a capacitor, LEDs of one colour, and four testers."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    colour, dark_below, lit_above = picker.pick(LEDS)
    found: dict[str, float | str] = {
        "line_voltage": line_voltage,
        "frequency": frequency,
        "capacitance": picker.pick(capacitors(line_voltage)),
        "colour": colour,
        "dark_below": dark_below,
        "lit_above": lit_above,
    }
    return found | _testers(picker, Brief("led-pair", "", "", tuple(found.items())))


def _testers(picker: Picker, brief: Brief) -> dict[str, float | str]:
    window = values.exact_window(brief, {"reactance": values.exact_reactance(brief, {})})
    order = picker.pick(ORDERS)
    found: dict[str, float | str] = {"probe_off": values.TESTERS[order.index(values.OPEN)]}
    for name, kind in zip(values.TESTERS, order, strict=True):
        found[f"shunt_{name.lower()}"] = values.shunt_of(kind, window)
        found[f"supply_{name.lower()}"] = picker.pick(SUPPLIES[kind])
    return found


def _tester(brief: Brief, name: str) -> str:
    shunt, supply = values.tester(brief, name)
    probe = ", probe L1 off" if name == brief.probe_off else ""
    return f"question 5, tester {name}:      shunts {render(shunt, 'Ω')}, supply at {100 * supply:.0f} %{probe}"


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    dark, lit = render(brief.dark_below, "V"), render(brief.lit_above, "V")
    return (
        f"supply of tonight's stage: {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"capacitor:                 {render(brief.capacitance, 'F')}",
        f"LEDs:                      {brief.colour}; surely dark below {dark}, plainly lit above {lit} (momentary)",
        *(_tester(brief, name) for name in values.TESTERS),
    )


_OHMS = (1e3, 1e7)
TASK = Task(
    name="led-pair",
    title="LED pair: a shunt inside the window",
    scenario=(
        "The travelling stage wants a tester that shows the sequence without swapping probes: two LEDs, one of them "
        "lit. A shunt across each LED has to keep the dim side dark and let the bright side light, on any supply."
    ),
    draw=draw,
    tells=tells,
    fair=values.clear,
    checks=(
        NumberCheck(
            name="reactance",
            says="reactance of the capacitor, which each branch is to equal",
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
        TableCheck(
            name="currents",
            says="peak of both branch currents, each where its LED has it hardest",
            points=4.0,
            follows=("reactance",),
            unit="A",
            value=values.peak_currents,
            groups=("",),
            entries=("bright", "dim"),
            sense=(1e-5, 1.0),
            slips=slips.CURRENT_SLIPS,
            factors=(SIGN,),
            hints=(
                "A branch current is its share of the phase voltage over Xc.",
                "From line to phase voltage, then the share of the branch, then the part of the nominal voltage.",
                "From rms to peak comes last: times √2.",
            ),
        ),
        TableCheck(
            name="window",
            says="least and most shunt",
            points=4.0,
            follows=("currents",),
            unit="Ω",
            value=values.shunt_window,
            groups=("",),
            entries=("least", "most"),
            sense=(1.0, 1e5),
            slips=slips.WINDOW_SLIPS,
            factors=(SIGN,),
            hints=(
                "While an LED is dark, all of its branch current flows through its shunt.",
                "Ohm's law: momentary volts of the LED over the peak of the current.",
                "One limit comes from the bright LED, which has to light, the other from the dim one.",
            ),
        ),
        DesignCheck(
            name="design",
            says="a dropping resistor and a shunt out of E24 that do the job",
            points=4.0,
            follows=("reactance", "window"),
            parts={"dropping": "Ω", "shunt": "Ω"},
            sense={"dropping": _OHMS, "shunt": (1.0, 1e5)},
            example=values.example,
            requirements=(
                Requirement("bright LED lights on a low supply", 0.3, values.bright_is_dark),
                Requirement("dim LED dark on a high supply", 0.3, values.dim_is_lit),
                Requirement("branch suits the capacitor", 0.2, values.branch_is_off),
                Requirement("sold in E24", 0.2, values.is_not_sold),
            ),
            slips=slips_of_parts.DESIGN_SLIPS,
            hints=(
                "Choose the shunt well inside your window, then the dropping resistor.",
                "Dropping resistor and shunt are in series; together they are to equal Xc.",
                "Go to the nearest rungs of E24 and look whether the shunt is still inside.",
            ),
        ),
        ChoiceCheck(
            name="seen",
            says="what is seen at four testers",
            points=4.0,
            follows=("window",),
            options=values.SEEN,
            entries=values.TESTERS,
            aliases={"both lit, one weaker": values.WEAKER},
            value=values.seen,
            slips=slips_of_parts.SEEN_SLIPS,
            hints=(
                "For each side multiply: peak of its current, at this supply voltage, times this shunt.",
                "The volts you get decide for each LED by itself: below the dark limit, or above the lit one.",
                "Without C1 only one current flows, from L2 through both branches to L3.",
            ),
        ),
        NumberCheck(
            name="heat",
            says="heat in the bright branch at 110 % of the voltage",
            points=2.0,
            follows=("reactance",),
            unit="W",
            value=values.branch_heat,
            sense=(1e-3, 1e4),
            factors=general(volts=2, frequency=False),
            slips=slips.HEAT_SLIPS,
            hints=(
                "Watts are volts squared over ohms, with rms volts.",
                "First the volts across the bright branch on the highest supply: its share of the phase voltage.",
                "The ohms are those of the whole branch: Xc.",
            ),
        ),
    ),
)
