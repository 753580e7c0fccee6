"""Known slips of the exercise `parts`: what each gives and what the learner is told."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.parts import values
from phasorkit.course.tasks.parts.values import C1, C1_OFF, C1_PEAK, R1_WATTS, R_OFF, R
from phasorkit.parts import COLOURS, TOLERANCE_LETTERS


def _as_number(scale: float) -> Callable[[Brief, Values], Numbers]:
    """The three digits of the marking taken as a number."""
    return lambda b, e: {C1: float(b.marking[:3]) * scale}


def _point_put_in(brief: Brief, _: Values) -> Numbers:
    """All three digits kept, in the right decade: 182 taken for 1.82 nF."""
    return {C1: float(brief.marking[:3]) / 10 * 10.0 ** int(brief.marking[2]) * 1e-12}


def _part_of_one(brief: Brief, earlier: Values) -> Numbers:
    right = values.codes(brief, earlier)
    return {key: right[key] / 100 for key in (C1_OFF, R_OFF)}


def _other_band(brief: Brief, _: Values) -> Numbers:
    """Five bands read as if the third were the multiplier, four as if it were a digit."""
    names = brief.bands.split()
    first = 10 * COLOURS.index(names[0]) + COLOURS.index(names[1])
    if len(names) == 5:
        return {R: first * 10.0 ** COLOURS.index(names[2])}
    return {R: 10.0 * first + COLOURS.index(names[2])}


def _from_the_end(brief: Brief, _: Values) -> Numbers:
    """Five bands read from the tolerance band."""
    names = brief.bands.split()[::-1]
    digits = "".join(str(COLOURS.index(n)) for n in names[:3]) if len(names) == 5 else ""
    return {R: float(digits) * 10.0 ** COLOURS.index(names[3])} if digits else {}


def _another_letter(letter: str) -> Callable[[Brief, Values], Numbers]:
    off = TOLERANCE_LETTERS[letter]
    return lambda b, e: {C1_OFF: off} if b.marking[-1] != letter else {}


def _another_colour(off: float) -> Callable[[Brief, Values], Numbers]:
    return lambda b, e: {R_OFF: off} if values.codes(b, e)[R_OFF] != off else {}


def _printing(brief: Brief, _: Values) -> Numbers:
    """The printing handed in as it stands: its letter is read as a prefix."""
    prefix = {"G": 1e9, "K": 1e3, "M": 1e6}.get(brief.marking[-1])
    return {C1: float(brief.marking[:3]) * prefix} if prefix else {}


CODE_SLIPS = (
    Slip(
        "the printing handed in as it stands",
        "That is the printing itself. Its letter is a tolerance, no prefix, and its digits are two digits and a count "
        "of zeros: give the value that it stands for.",
        _printing,
        must=True,
    ),
    Slip(
        "three digits taken as picofarads as they stand",
        "The third digit is no part of the number: it counts the zeros behind the first two.",
        _as_number(1e-12),
        must=True,
    ),
    Slip(
        "three digits with a point put in",
        "The third digit is no part of the number: it counts the zeros behind the first two.",
        _point_put_in,
    ),
    Slip(
        "a part of one for per cent",
        "This is the tolerance as a part of one. Asked for are per cent.",
        _part_of_one,
        credit=0.5,
    ),
    Slip(
        "three digits taken as nanofarads",
        "The third digit counts the zeros behind the first two, and the number is in picofarads.",
        _as_number(1e-9),
        must=True,
    ),
    Slip(
        "zeros left out",
        "The first two digits are right. The third one counts zeros, in picofarads: where are they?",
        lambda b, e: {C1: float(b.marking[:2]) * 1e-12},
        must=True,
    ),
    *(
        Slip(
            "another tolerance letter",
            "That is the tolerance of another letter. Look at the table of letters again; a K behind the value is no "
            "kilo.",
            _another_letter(letter),
        )
        for letter in ("F", "G", "J", "K", "M")
    ),
    Slip(
        "four and five bands mixed up",
        "Count the bands: five have three digits before the multiplier, four have two. The tolerance stands apart.",
        _other_band,
        must=True,
    ),
    Slip(
        "read from the wrong end",
        "You began at the tolerance band. It stands apart from the others; begin at the other end.",
        _from_the_end,
        must=True,
    ),
    *(
        Slip(
            "another tolerance band",
            "That is the tolerance of another colour, or of no band at all. The last band is the tolerance: what does "
            "its colour stand for?",
            _another_colour(off),
        )
        for off in (1.0, 2.0, 5.0, 10.0, 20.0)
    ),
)


def _xc(brief: Brief, earlier: Values) -> float:
    return values.resistance(brief, earlier) * sqrt(3)


RESISTANCE_SLIPS = (
    Slip(
        "R set equal to Xc",
        "This is Xc itself. The null bridge wants R smaller than that, by the ratio of the two sides at the right "
        "angle (lesson five).",
        _xc,
        must=True,
    ),
    Slip(
        "the √3 on the wrong side",
        "The √3 is on the wrong side: R3 has the shorter side of the right-angled triangle, so R is smaller than Xc.",
        lambda b, e: _xc(b, e) * sqrt(3),
        must=True,
    ),
    Slip("half of Xc", "You took half of Xc. R stands to Xc as the two sides at the right angle.",
         lambda b, e: _xc(b, e) / 2, must=True),
    Slip(
        "the frequency left out",
        "The supply frequency does not stand in your result: f belongs in the denominator of Xc.",
        lambda b, e: values.resistance(b, e) * b.frequency,
        must=True,
    ),
)  # fmt: skip


def _heat(volts: Callable[[Brief], float]) -> Callable[[Brief, Values], Numbers]:
    """The heat in R1 that other volts would make."""
    return lambda b, e: {R1_WATTS: volts(b) ** 2 / float(e["resistance"])}


STRESS_SLIPS = (
    Slip(
        "the right connection taken for the worst",
        "These are the watts with the right connection and a dark lamp. Your numbers name a worse case: use that.",
        _heat(lambda b: 1.1 * b.line_voltage / 2),
        must=True,
    ),
    Slip(
        "half of the nominal line voltage",
        "So much heat half of the nominal line voltage makes. Your numbers name a worse case: take the volts of R1 "
        "from there.",
        _heat(lambda b: b.line_voltage / 2),
    ),
    Slip(
        "the phase voltage on R1",
        "So much heat the phase voltage makes. R1 lies on no neutral, and your numbers name its volts in the worst "
        "case: take those.",
        _heat(lambda b: b.line_voltage / sqrt(3)),
    ),
    Slip(
        "ten per cent added to the peak",
        "You made the volts of C1 higher by ten per cent. The worst case in your numbers holds them already.",
        lambda b, e: {C1_PEAK: 1.1 * sqrt(2) * b.c1_volts},
        credit=0.5,
    ),
    Slip(
        "twice the rms for the peak",
        "You doubled the rms. The peak of a sine lies higher than its rms, but not so high.",
        lambda b, e: {C1_PEAK: 2.0 * b.c1_volts},
    ),
    Slip(
        "the line voltage on R1, or ten per cent added once more",
        "So much heat the whole line voltage would make; or you made the worst volts higher by ten per cent, which "
        "they hold already. Take the volts of R1 as your numbers give them.",
        _heat(lambda b: float(b.line_voltage)),
        must=True,
    ),
    Slip(
        "the peak for the rms in watts",
        "You squared a peak. Heat comes from rms volts, and those of R1 are rms already.",
        _heat(lambda b: sqrt(2) * b.r1_volts),
        must=True,
    ),
    Slip(
        "rms made smaller for watts",
        "You made the volts of R1 smaller by √2. They are rms already: square them as they are.",
        _heat(lambda b: b.r1_volts / sqrt(2)),
        must=True,
    ),
    Slip(
        "volts over ohms",
        "This is volts over ohms: a current. Watts are volts squared over ohms.",
        lambda b, e: {R1_WATTS: b.r1_volts / float(e["resistance"])},
        must=True,
    ),
    Slip(
        "rms for the peak",
        "This is the rms of the volts on C1. A sine rises higher than its rms: what is its peak?",
        lambda b, e: {C1_PEAK: float(b.c1_volts)},
        must=True,
    ),
    Slip(
        "√2 on the wrong side",
        "You divided by √2. The peak of a sine is more than its rms.",
        lambda b, e: {C1_PEAK: b.c1_volts / sqrt(2)},
        must=True,
    ),
    Slip(
        "from peak to peak",
        "This is from the lowest to the highest point of the sine. Its peak counts from zero.",
        lambda b, e: {C1_PEAK: 2 * sqrt(2) * b.c1_volts},
        must=True,
    ),
    Slip(
        "the peak of the line voltage",
        "This is the peak of the nominal line voltage. In the worst case C1 has more: your numbers say how much.",
        lambda b, e: {C1_PEAK: sqrt(2) * b.line_voltage},
        must=True,
    ),
    Slip(
        "√3 for √2",
        "You took √3, which belongs to line and phase voltage. From rms to peak it is another root.",
        lambda b, e: {C1_PEAK: sqrt(3) * b.c1_volts},
        must=True,
    ),
)
