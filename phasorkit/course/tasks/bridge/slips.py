"""Known slips of the exercise `bridge`: what each one gives, and the words that teach."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.diagnosis import BRACKETS
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.bridge.values import (
    ALL_AS_CAPACITOR,
    LAMP,
    NO_DIVIDER,
    NO_TOLERANCES,
    ONLY_CAPACITOR,
    PARTS,
    SERIES,
    exact_reactance,
    part_volts,
    preferred_value,
    volts_of_r3,
    worst_lamp,
)
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES
from phasorkit.parts import nearest, neighbours


def _every(part: str, value: float) -> Numbers:
    return {(s, part): value for s in SEQUENCES}


def _all_parts(value: float) -> Numbers:
    return {(s, part): value for s in SEQUENCES for part in (*PARTS, LAMP)}


def _leg_exchanged(brief: Brief, earlier: Values) -> Numbers:
    v = part_volts(brief, earlier)
    return {(s, a): v[s, b] for s in SEQUENCES for a, b in (("R3", "C1"), ("C1", "R3"))}


def _leg_like_resistors(brief: Brief, earlier: Values) -> Numbers:
    r, x = earlier["resistance"], earlier["reactance"]
    share = brief.line_voltage / (r + x)
    return {**_every("R3", share * r), **_every("C1", share * x)}


def _lamp_exchanged(brief: Brief, earlier: Values) -> Numbers:
    v = part_volts(brief, earlier)
    return {("123", LAMP): v["132", LAMP], ("132", LAMP): v["123", LAMP]}


def power_with(volts: float, earlier: Values) -> float:
    """Power [W] of these volts [V rms] in the resistance found before."""
    return float(volts**2 / earlier["resistance"])


def _other_neighbour(_: Brief, earlier: Values) -> float:
    below, above = (float(v) for v in neighbours(earlier["resistance"], SERIES))
    return above if below == preferred_value(_, earlier) else below


REACTANCE_SLIPS = (
    Slip(
        "the frequency left out",
        "The supply frequency does not stand in your result. A capacitor lets more through the faster the voltage "
        "swings: f belongs in the denominator.",
        lambda b, e: exact_reactance(b, e) * b.frequency,
        must=True,
    ),
    Slip(*BRACKETS, lambda b, e: exact_reactance(b, e) * b.capacitance**2),
)
RESISTANCE_SLIPS = (
    Slip(
        "R set equal to Xc",
        "Your R is as large as Xc, or a √3 is missing. With equal sides P lies on the middle of the half circle, and "
        "the divider's midpoint M is not there. Which angle does the triangle L3–P–L2 need at L2?",
        lambda b, e: e["reactance"],
        must=True,
    ),
    Slip(
        "multiplied by √3 instead of dividing",
        "Your √3 is on the wrong side. R3 carries the shorter side of the right-angled triangle, C1 the longer one, "
        "and both carry the same current: which of the two is smaller?",
        lambda b, e: e["reactance"] * sqrt(3),
        must=True,
    ),
    Slip(
        "half of Xc",
        "You took half of Xc. Half is the ratio of the shorter side to the longest one (the line voltage); R stands "
        "to Xc as the shorter side to the other side at the right angle.",
        lambda b, e: e["reactance"] / 2,
        must=True,
    ),
    Slip(
        "√3/2 of Xc",
        "You took √3/2 of Xc. That is the ratio of the longer side to the longest one (the line voltage); R stands "
        "to Xc as the two sides at the right angle.",
        lambda b, e: e["reactance"] * sqrt(3) / 2,
        must=True,
    ),
)
PREFERRED_SLIPS = (
    Slip(
        "rounded to the neighbour on the other side",
        "This is a value of the series, but not the nearest one. Work out the deviation in per cent to the value "
        "below and to the value above.",
        _other_neighbour,
        credit=0.5,
        must=True,
    ),
    Slip(
        "preferred value of Xc",
        "This is the preferred value nearest to Xc. It is the resistor that you have to buy: round R.",
        lambda b, e: float(nearest(e["reactance"], SERIES)),
    ),
)
_LINE_PHASE = "line and phase voltage mixed up"
VOLTS_SLIPS = (
    Slip(
        "R3 and C1 exchanged or the leg halved",
        "R3 and C1 share their voltage neither in halves nor the other way round. The same current flows through "
        "both, so the larger resistance or reactance has the larger voltage (a √3 that slipped gives this too).",
        _leg_exchanged,
        must=True,
    ),
    Slip(
        "volts at a right angle added like plain numbers",
        "R3 and C1 were shared out as if both were resistors. Their voltages stand at a right angle: they add like "
        "the two sides of a right-angled triangle whose longest side is the line voltage.",
        _leg_like_resistors,
        must=True,
    ),
    Slip(
        "the sequences exchanged",
        "This is the lamp in the other sequence. In one of them P falls on M, in the other P lies on the far side of "
        "L3–L2. Draw both, and remember that the current in the leg leads the voltage L3–L2.",
        _lamp_exchanged,
        must=True,
    ),
    Slip(
        "the whole line voltage on one part",
        "The whole line voltage lies across the divider and across the R-C leg, not on one part alone.",
        lambda b, e: _all_parts(b.line_voltage),
        must=True,
    ),
    Slip(
        _LINE_PHASE,
        "This is the voltage from a line conductor to neutral. No part of this circuit goes to the neutral; work "
        "with the line voltage.",
        lambda b, e: _all_parts(b.line_voltage / sqrt(3)),
        must=True,
    ),
    Slip(
        "half the line voltage on the lamp",
        "M lies half way between two line conductors, but the lamp is not across one half of the divider: it lies "
        "between M and P. Measure M–P in the scale drawing.",
        lambda b, e: _every(LAMP, b.line_voltage / 2),
        must=True,
    ),
    Slip(
        "the lamp of the bridge with two capacitors",
        "So much has the lamp where a second capacitor moves M as well. Here M stays in the middle of L1–L3. Measure "
        "M–P in the scale drawing.",
        lambda b, e: {("132", LAMP): 1.5 * b.line_voltage},
    ),
)
POWER_SLIPS = (
    Slip(
        "the volts of C1, or all three resistors",
        "Either you put the volts of C1 on R3, or you added up all three resistors. R3 by itself is asked for, with "
        "its own volts.",
        lambda b, e: 3 * OVERVOLTAGE**2 * power_with(volts_of_r3(e), e),
    ),
    Slip(
        "divided by Xc",
        "You divided by Xc, or a √3 slipped in. A capacitor makes no heat: the volts of R3 squared go over R.",
        lambda b, e: OVERVOLTAGE**2 * power_with(volts_of_r3(e), e) / sqrt(3),
    ),
    Slip(
        "without the ten per cent",
        "The resistor must stand the highest supply voltage, not the nominal one. Take the ten per cent in.",
        lambda b, e: power_with(volts_of_r3(e), e),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the ten per cent not squared",
        "Ten per cent more volts also drive ten per cent more current. Raise the voltage first, then square it.",
        lambda b, e: OVERVOLTAGE * power_with(volts_of_r3(e), e),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the square forgotten",
        "Voltage over resistance is the current. Power is voltage times current, so the voltage comes in squared.",
        lambda b, e: OVERVOLTAGE * volts_of_r3(e) / e["resistance"],
        must=True,
    ),
    Slip(
        "the whole line voltage on R3",
        "You put the whole line voltage on R3. It is shared between R3 and C1: take R3's own voltage.",
        lambda b, e: power_with(OVERVOLTAGE * b.line_voltage, e),
        must=True,
    ),
    Slip(
        "the whole line voltage on R3, without the ten per cent",
        "You put the whole line voltage on R3, and left the ten per cent out. Take R3's own voltage, raised.",
        lambda b, e: power_with(b.line_voltage, e),
        must=True,
    ),
    Slip(
        "the phase voltage on R3",
        "You put the line-to-neutral voltage on R3. R3 does not go to the neutral: take its own voltage.",
        lambda b, e: power_with(OVERVOLTAGE * b.line_voltage / sqrt(3), e),
        must=True,
    ),
    Slip(
        "line voltage times current, or peak volts",
        "Either you multiplied the current by the line voltage, or you took peak volts. R3 turns into heat only its "
        "own rms voltage times its current.",
        lambda b, e: OVERVOLTAGE**2 * b.line_voltage * volts_of_r3(e) / e["resistance"],
        must=True,
    ),
)
RESIDUAL_SLIPS = (
    Slip(
        "divider resistors taken as exact",
        "R1 and R2 have a tolerance too: when one is high and the other low, M moves away from the middle.",
        lambda b, e: worst_lamp(b, e["preferred"], NO_DIVIDER),
        credit=0.5,
        must=True,
    ),
    Slip(
        "only the capacitor's tolerance",
        "The resistors have a tolerance too, each by itself, and in the worst case all of them push the same way.",
        lambda b, e: worst_lamp(b, e["preferred"], ONLY_CAPACITOR),
        credit=0.25,
        must=True,
    ),
    Slip(
        "five per cent for the resistors too",
        "You gave the resistors the capacitor's tolerance. They are the closer kind: one per cent.",
        lambda b, e: worst_lamp(b, e["preferred"], ALL_AS_CAPACITOR),
        credit=0.5,
        must=True,
    ),
    Slip(
        "only the rounding, no tolerances",
        "This is left when every part has exactly the value printed on it. The question is the worst case: each part "
        "at one end of its tolerance.",
        lambda b, e: worst_lamp(b, e["preferred"], NO_TOLERANCES),
        must=True,
    ),
    Slip(
        "only the tolerances, no rounding",
        "You let the tolerances work on the exact R. The bridge is built with the preferred value: start from there.",
        lambda b, e: worst_lamp(b, e["resistance"]),
        credit=0.5,
    ),
    Slip(
        "the sequences exchanged",
        "This is the lamp's voltage in the sequence that lights it. Asked is what is left in the other one.",
        lambda b, e: worst_lamp(b, e["preferred"], sequence="132"),
        must=True,
    ),
    Slip(
        "dark taken for no volts",
        "No volts are left only where every part is exact. A lamp with a few volts is just as dark.",
        lambda b, e: 0.0,
    ),
)
