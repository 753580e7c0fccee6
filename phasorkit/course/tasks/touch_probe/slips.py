"""Known slips of the exercise `touch-probe`: the legs and their volts; what each gives, and the words that teach."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt

from phasorkit.course.diagnosis import general
from phasorkit.course.model import Brief, Slip
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.touch_probe import values
from phasorkit.indicators.base import SEQUENCES


def _ohms(brief: Brief, factors: Mapping[str, float]) -> Numbers:
    right = values.exact(brief).resistance
    return {("", part): factor * right for part, factor in factors.items()}


OHMS_SLIPS = (
    Slip(
        "the whole leg on one resistor",
        "This is what the two resistors of the leg have TOGETHER. The leg to L1 has twice R in two resistors, the leg "
        "to L2 has R in two resistors.",
        lambda b, e: _ohms(b, {"R1": 2.0, "R3": 1.0, "leg": 4.0}),
        credit=0.5,
        must=True,
    ),
    Slip(
        "R as large as Xc",
        "You took R as large as the reactance. Then the leg to L2 is no half of an equal-sided triangle, and its long "
        "side is not twice R, as the leg to L1 is. The reactance has to be √3 times R.",
        lambda b, e: _ohms(b, {"R1": sqrt(3), "R3": sqrt(3) / 2, "leg": 2 * sqrt(3)}),
        must=True,
    ),
    Slip(
        "multiplied by √3 instead of dividing",
        "You multiplied the reactance by √3. It is the reactance that is larger than R: divide.",
        lambda b, e: _ohms(b, {"R1": 3.0, "R3": 1.5, "leg": 6.0}),
        must=True,
    ),
    Slip(
        "the legs mixed up",
        "Half of R each is for the two resistors of the leg to L2, which has the capacitor as well. The leg to L1 is "
        "made of resistors only, and has twice R in all.",
        lambda b, e: _ohms(b, {"R1": 0.5}),
        must=True,
    ),
    Slip(
        "ohms at a right angle added like plain numbers",
        "You added R and the reactance like plain numbers. Their volts stand at a right angle, so the leg is the LONG "
        "SIDE over both (Pythagoras).",
        lambda b, e: _ohms(b, {"leg": 1 + sqrt(3)}),
        must=True,
    ),
    Slip(
        "the capacitor alone",
        "This is the reactance alone. The leg has R3 and R4 in it, too.",
        lambda b, e: _ohms(b, {"leg": sqrt(3)}),
        must=True,
    ),
    Slip(
        "the resistors alone",
        "These are the resistors of the leg alone. The capacitor is in it, too.",
        lambda b, e: _ohms(b, {"leg": 1.0}),
        must=True,
    ),
    Slip(
        "the squares subtracted",
        "You took one square from the other. That finds a short side. The leg is the long side: add the squares.",
        lambda b, e: _ohms(b, {"leg": sqrt(2)}),
        must=True,
    ),
)


FACTORS = general(
    volts=1,
    frequency=False,
    line_or_phase="How far is a corner of the triangle from another corner, and how far from N? Which of the two "
    "counts here?",
)
"""The general slips; lamp and person lie on N here."""


def _both(part: str, volts: float) -> dict[tuple[str, str], float]:
    return {(s, part): volts for s in SEQUENCES}


def _nominal(brief: Brief) -> float:
    return float(brief.line_voltage / sqrt(3))


_BLOCKS = (
    "You let the capacitor take all of the line voltage, as if it blocked. It blocks direct current only; alternating "
    "current flows through both legs, and their resistors have their share of the volts."
)
VOLTS_SLIPS = (
    Slip(
        "the sequences exchanged",
        "This is the lamp in the other sequence. On the way from L1 over K to L2 you turn right at K, so K lies on the "
        "left of the straight way. On which side of it lies N, in each sequence?",
        lambda b, e: {("123", "lamp"): 0.0, ("132", "lamp"): _nominal(b)},
        must=True,
    ),
    Slip(
        "line voltage on the lamp",
        "The line voltage lies from corner to corner of the triangle. The lamp goes from K to N: how far are they "
        "apart?",
        lambda b, e: {("123", "lamp"): b.line_voltage, ("132", "lamp"): b.line_voltage},
        must=True,
    ),
    Slip(
        "only as far as the side L1 to L2",
        "This is the way from N to the side between L1 and L2. K lies as far again on the other side of it.",
        lambda b, e: {("123", "lamp"): _nominal(b) / 2},
        credit=0.5,
        must=True,
    ),
    Slip(
        "dark taken for no volts anywhere",
        "The lamp is dark, but both legs still lie between L1 and L2, and their current flows in either sequence. "
        "Dark means that K has no volts against N, and no more than that.",
        lambda b, e: {("132", "R1"): 0.0, ("132", "C1"): 0.0},
        must=True,
    ),
    Slip(
        "the whole leg on one part",
        "These are the volts of a whole leg. The part you are asked for is one of several in it.",
        lambda b, e: _both("R1", _nominal(b)) | _both("C1", _nominal(b)),
        must=True,
    ),
    Slip(
        "the two legs taken to lie on one straight line",
        "You gave each leg half of the line voltage. But K does not lie on the line from L1 to L2: the way has a "
        "corner there, so the two legs together are longer than the straight way.",
        lambda b, e: _both("R1", b.line_voltage / 4),
        must=True,
    ),
    Slip(
        "volts at a right angle shared like plain numbers",
        "You shared the volts of the leg like plain numbers. In it R and the capacitor stand at a right angle: the "
        "leg is the long side of a triangle.",
        lambda b, e: _both("C1", _nominal(b) * sqrt(3) / (1 + sqrt(3))),
        must=True,
    ),
    Slip(
        "volts at a right angle shared like plain numbers",
        "You added all ohms between L1 and L2 like plain numbers and shared out the line voltage. The capacitor stands "
        "at a right angle to the resistors, so the way over K is longer than the straight one. Draw it.",
        lambda b, e: _both("R1", b.line_voltage / (3 + sqrt(3))),
    ),
    Slip(
        "the capacitor taken to block",
        _BLOCKS,
        lambda b, e: _both("C1", b.line_voltage) | _both("R1", 0.0),
    ),
    Slip(
        "the volts of R3 and R4",
        "This is the share of the two resistors of the leg. The capacitor has √3 times as much.",
        lambda b, e: _both("C1", _nominal(b) / 2),
        must=True,
    ),
)
