"""Known slips of the exercise `shifter`: what each one gives, and the words that teach."""

from __future__ import annotations

from math import atan, cos, degrees, pi, radians, sin, sqrt, tan

from phasorkit.course.diagnosis import Factor
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.shifter.values import C1, R1, exact_reactance, late, late_elsewhere, part_volts, slope

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
        "the period itself",
        "This is a whole period. The output is late by a part of it only.",
        lambda b, e: 1 / b.frequency,
        must=True,
    ),
)
RESISTANCE_SLIPS = (
    Slip(
        "R set equal to Xc",
        "With R1 as large as Xc the output is late by half a right angle. Is a larger or a smaller angle wanted here?",
        lambda b, e: e["reactance"],
        must=True,
    ),
    Slip(
        "divided by the tangent",
        "This R1 gives the other angle of the triangle. R1 lies opposite to the angle at com: the later, the larger.",
        lambda b, e: e["reactance"] / tan(radians(b.wanted)),
        credit=0.5,
        must=True,
    ),
    Slip(
        "sine for tangent",
        "You used the sine: it compares a short side with the LONG one. R1 and Xc are the two short sides, and their "
        "ratio is the tangent.",
        lambda b, e: e["reactance"] * sin(radians(b.wanted)),
        must=True,
    ),
    Slip(
        "cosine for tangent",
        "You used the cosine: it compares the other short side with the LONG one. R1 and Xc are the two short sides, "
        "and their ratio is the tangent.",
        lambda b, e: e["reactance"] * cos(radians(b.wanted)),
        must=True,
    ),
    Slip(
        "in proportion to the angle",
        "You scaled Xc in proportion to the angle. The angle does not grow in step with R1: near a right angle R1 "
        "would have to grow without end. Use the tangent.",
        lambda b, e: e["reactance"] * b.wanted / 45,
        must=True,
    ),
    Slip(
        "as a part of the right angle",
        "You took the part of Xc that the angle is of a right angle. Put P on the half circle at the wanted angle and "
        "compare the two short sides.",
        lambda b, e: e["reactance"] * b.wanted / 90,
        must=True,
    ),
    Slip(
        "a tangent of degrees read as radians",
        "You took the tangent of the number of degrees, but your calculator or Python took it for radians. Turn the "
        "angle into radians first, with radians().",
        lambda b, e: abs(e["reactance"] * tan(b.wanted)),
        credit=0.5,
    ),
    Slip(
        "the resistor of the drawer changed by the ratio of the angles",
        "You scaled the old R1 by the ratio of the two angles. Angles do not go in step with ohms: start from Xc and "
        "the tangent.",
        lambda b, e: b.resistance * b.wanted / degrees(atan(slope(b, e))),
    ),
)
ELSEWHERE_SLIPS = (
    Slip(
        "the same angle at every frequency",
        "This is the angle at the first frequency. Xc changes with frequency and R1 does not, so their ratio changes, "
        "and with it the angle.",
        lambda b, e: degrees(atan(slope(b, e))),
        must=True,
    ),
    Slip(
        "changed the wrong way",
        "You let Xc change the wrong way. At a higher frequency a capacitor lets more through: Xc gets smaller, and "
        "the output later.",
        lambda b, e: degrees(atan(slope(b, e) * b.frequency / b.other_frequency)),
        must=True,
    ),
    Slip(
        "the angle changed in proportion to the frequency",
        "You changed the ANGLE in proportion to the frequency. It is Xc that goes by frequency; find the new Xc, then "
        "the new angle.",
        lambda b, e: degrees(atan(slope(b, e))) * b.other_frequency / b.frequency,
        must=True,
    ),
    Slip(
        "the other angle of the triangle",
        "This is the angle at A. Between the source and the output stands the angle at com, and R1 lies opposite to "
        "it.",
        lambda b, e: 90 - late_elsewhere(b, e),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the tangent in place of its angle",
        "This is the ratio of the two short sides, the tangent itself. Which angle has this tangent?",
        lambda b, e: slope(b, e) * b.other_frequency / b.frequency,
        credit=0.5,
        must=True,
    ),
)
