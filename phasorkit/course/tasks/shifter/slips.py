"""Known slips of the exercise `shifter`, questions 1 to 4: what each one gives, and the words that teach."""

from __future__ import annotations

from math import pi, radians, sqrt

from phasorkit.course.diagnosis import BRACKETS, Factor
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.shifter.values import C1, R1, exact_reactance, late, part_volts, slope

ANGLE_TWO = Factor(
    "half or twice the angle",
    "An angle is halved or doubled. Between source and output lies one corner of the triangle, at com, and no more.",
    (0.5, 2.0),
)
VOLTS_FACTORS = (
    Factor(
        "peak for rms",
        "Peak and rms are mixed up: they differ by √2. Use rms, as the source is given.",
        (sqrt(2), 1 / sqrt(2)),
    ),
    Factor("a factor of two", "A factor of two is missing or too much: look at each step for a half.", (2.0, 0.5)),
)


def _shared_plainly(brief: Brief, earlier: Values) -> Numbers:
    share = brief.volts / (brief.resistance + earlier["reactance"])
    return {R1: share * brief.resistance, C1: share * earlier["reactance"]}


def _exchanged(brief: Brief, earlier: Values) -> Numbers:
    v = part_volts(brief, earlier)
    return {R1: v[C1], C1: v[R1]}


def _left_over(brief: Brief, earlier: Values) -> Numbers:
    v = part_volts(brief, earlier)
    return {R1: brief.volts - v[C1], C1: brief.volts - v[R1]}


def _source_as_short_side(brief: Brief, earlier: Values) -> Numbers:
    v = part_volts(brief, earlier)
    return {R1: sqrt(brief.volts**2 + v[C1] ** 2), C1: sqrt(brief.volts**2 + v[R1] ** 2)}


def _all(volts: float) -> Numbers:
    return {R1: volts, C1: volts}


REACTANCE_SLIPS = (
    Slip(
        "the frequency left out",
        "The frequency does not stand in your result. A capacitor lets more through the faster the voltage swings: f "
        "belongs in the denominator.",
        lambda b, e: exact_reactance(b, e) * b.frequency,
        must=True,
    ),
    Slip(
        "the other frequency",
        "This is Xc at the other frequency. Here the first one is meant.",
        lambda b, e: exact_reactance(b, e) * b.frequency / b.other_frequency,
        credit=0.5,
        must=True,
    ),
    Slip(*BRACKETS, lambda b, e: exact_reactance(b, e) * b.capacitance**2),
)
VOLTS_SLIPS = (
    Slip(
        "volts at a right angle added like plain numbers",
        "You shared the source out as among two resistors, so that the two readings add up to it. But they do not peak "
        "together: they are the two short sides of a right-angled triangle, and the source is its long side. Put P on "
        "the half circle.",
        _shared_plainly,
        must=True,
    ),
    Slip(
        "what is left of the source, by plain subtraction",
        "You took one part's volts off the source like plain numbers. At a right angle the squares are subtracted, "
        "and then comes the root.",
        _left_over,
        must=True,
    ),
    Slip(
        "R1 and C1 exchanged",
        "You have the two the wrong way round. One current flows through both, so the larger number of ohms has the "
        "larger voltage.",
        _exchanged,
        must=True,
    ),
    Slip(
        "half the source on each",
        "Halves come out for two equal resistors. These two parts are neither equal nor do they peak together.",
        lambda b, e: _all(b.volts / 2),
        must=True,
    ),
    Slip(
        "always the middle of the half circle",
        "That is so only where R1 and Xc are equal, with P in the middle of the half circle. Compare yours.",
        lambda b, e: _all(b.volts / sqrt(2)),
    ),
    Slip(
        "the whole source on one part",
        "The source lies across both in series. Each of them has less than it.",
        lambda b, e: _all(b.volts),
        must=True,
    ),
    Slip(
        "the source taken for a short side",
        "No part can have more volts than the source here. The source is the LONG side of the triangle: subtract the "
        "squares.",
        _source_as_short_side,
        must=True,
    ),
)
ANGLE_SLIPS = (
    Slip(
        "the other angle of the triangle",
        "This is the angle at A. Between the source and the output stands the angle at com, and R1 lies opposite to "
        "it. The larger R1, the later the output.",
        lambda b, e: 90 - late(b, e),
        credit=0.5,
        must=True,
    ),
    Slip(
        "always a right angle",
        "The right angle is at P, between the volts on R1 and the volts on C1. Asked is the angle between the source "
        "and the volts on C1.",
        lambda b, e: 90.0,
        must=True,
    ),
    Slip(
        "always the middle",
        "That is so only where R1 and Xc are equal. Compare yours: which one is larger?",
        lambda b, e: 45.0,
        must=True,
    ),
    Slip(
        "the right angle shared out in proportion",
        "You shared the right angle out as if it went in proportion to the ohms (or volts). It goes by the tangent: "
        "the ratio of the two short sides, and then the angle to it.",
        lambda b, e: 90 * slope(b, e) / (1 + slope(b, e)),
        must=True,
    ),
    Slip(
        "the tangent in place of its angle",
        "This is the ratio of the two short sides, the tangent itself. Which angle has this tangent?",
        slope,
        credit=0.5,
        must=True,
    ),
    Slip(
        "half the right angle for each time R1 is Xc",
        "You scaled the angle of the equal parts by R1 over Xc. Then it could grow beyond a right angle. Take the "
        "angle whose tangent this ratio is.",
        lambda b, e: 45 * slope(b, e),
        must=True,
    ),
)
DELAY_SLIPS = (
    Slip(
        "R times C",
        "R1 times C1 is the time constant, how fast a direct voltage would charge it. How late a sine comes depends on "
        "the angle: which part of a whole turn is it, and how long is a turn?",
        lambda b, e: b.resistance * b.capacitance,
        must=True,
    ),
    Slip(
        "half a turn taken for a period",
        "You divided by half a turn. A period is a whole turn.",
        lambda b, e: e["angle"] / 180 / b.frequency,
        credit=0.5,
        must=True,
    ),
    Slip(
        "half a turn taken for a period",
        "You divided by half a turn. A period is a whole turn.",
        lambda b, e: e["angle"] / 180 / b.frequency,
        credit=0.5,
    ),
    Slip(
        "a quarter turn taken for a period",
        "You divided by a right angle. A period is a whole turn.",
        lambda b, e: e["angle"] / 90 / b.frequency,
        credit=0.5,
    ),
    Slip(
        "degrees by hertz",
        "You divided degrees by hertz. First find which part of a whole turn the angle is, then take that part of the "
        "period.",
        lambda b, e: e["angle"] / b.frequency,
        must=True,
    ),
    Slip(
        "the other frequency",
        "This is the delay at the other frequency's period. Here the first one is meant.",
        lambda b, e: e["angle"] / 360 / b.other_frequency,
        credit=0.5,
        must=True,
    ),
    Slip(
        "degrees for radians",
        "You divided the angle in degrees by ω. ω counts in radians: turn the angle into radians first, or work with "
        "parts of a whole turn.",
        lambda b, e: e["angle"] / (2 * pi * b.frequency),
        must=True,
    ),
    Slip(
        "another frequency than in the brief",
        "This fits a source of another frequency. Use the first one in your numbers, not the one you are used to.",
        lambda b, e: e["angle"] / 360 / (50.0 + 60.0 - b.frequency),
        credit=0.5,
    ),
    Slip(
        "radians by hertz",
        "You divided radians by hertz. A whole turn has 2π of them: divide by ω, or work with parts of a whole turn.",
        lambda b, e: radians(e["angle"]) / b.frequency,
    ),
    Slip(
        "multiplied by the frequency",
        "You multiplied by the frequency. The delay is a part of the period, and the period is one OVER the frequency: "
        "the faster the source swings, the shorter.",
        lambda b, e: e["angle"] / 360 * b.frequency,
    ),
    Slip(
        "the other angle of the triangle",
        "This goes with the angle at A. How late the output is tells the angle at com.",
        lambda b, e: (90 - e["angle"]) / 360 / b.frequency,
    ),
    Slip(
        "the period itself",
        "This is a whole period. The output is late by a part of it only.",
        lambda b, e: 1 / b.frequency,
        must=True,
    ),
)
