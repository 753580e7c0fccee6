"""Known slips of the exercise `shifter`, questions 5 and 6: what each one gives, and the words that teach."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sin, tan

from phasorkit.course.model import Slip
from phasorkit.course.tasks.shifter.values import late_elsewhere, slope, wanted_resistance

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
        "the resistor of the drawer",
        "This is the R1 of your numbers. It makes the angle of question three; another angle needs another R1.",
        lambda b, e: b.resistance,
    ),
    Slip(
        "the resistor of the drawer times the tangent",
        "You multiplied the R1 of your numbers. The tangent compares the wanted R1 with Xc: start from Xc.",
        lambda b, e: b.resistance * tan(radians(b.wanted)),
    ),
    Slip(
        "Xc at the other frequency",
        "You took Xc at the other frequency. This question is about the first one.",
        lambda b, e: wanted_resistance(b, e) * b.frequency / b.other_frequency,
        credit=0.5,
    ),
    Slip(
        "the long side of the triangle",
        "This is the long side, R1 and Xc together. Asked is R1 alone, the side opposite to the angle.",
        lambda b, e: e["reactance"] / cos(radians(b.wanted)),
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
        "R1 of the question before",
        "You took the R1 of the question before. Here it is again the R1 of your numbers.",
        lambda b, e: degrees(atan(tan(radians(b.wanted)) * b.other_frequency / b.frequency)),
        credit=0.5,
    ),
    Slip(
        "the angle changed against the frequency",
        "You changed the ANGLE, and against the frequency. It is Xc that gets smaller at a higher frequency; find the "
        "new Xc, then the new angle.",
        lambda b, e: degrees(atan(slope(b, e))) * b.frequency / b.other_frequency,
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
