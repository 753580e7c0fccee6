"""Questions of lesson 04: a star point that wanders, which lamp is bright, light against volts, readings that lie."""

from __future__ import annotations

from math import pi, sqrt

from phasorkit.course.diagnosis import general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_HEIGHT = 690 * sqrt(3) / 2
_DIM = sqrt((690 / 2 - 2 * _HEIGHT / 5) ** 2 + (_HEIGHT / 5) ** 2)
_FARAD = 1 / (2 * pi * 60 * 5e3)

PREDICTIONS = (
    Question(
        "04.star-volts",
        "A capacitor and two equal lamps hang in star on L1, L2, L3, with no neutral. The capacitor has as many ohms "
        "of reactance as a lamp has resistance. What do the lamps get?",
        (
            Choice(
                "Phase voltage each, as always in star.",
                "So it is with three EQUAL loads: then the star point stays at N. Here the ohms are equal, but the "
                "capacitor's current comes at another moment. Look in the app where S goes.",
            ),
            Choice(
                "One gets much more than phase voltage, the other much less.",
                "The capacitor pulls the star point aside, away from one lamp's corner and towards the other's. Parts "
                "1 to 3 show how far.",
                right=True,
            ),
            Choice(
                "Half the line voltage each: they are two in series between L2 and L3.",
                "That would hold if the lead of the capacitor were off. It is on, and takes current from S.",
            ),
        ),
    ),
    Question(
        "04.which-lamp",
        "The capacitor is on L1. L1 peaks first, then L2, then L3. Which lamp will be the bright one?",
        (
            Choice(
                "The one on L2, the phase that comes next after the capacitor's.",
                "S moves away from the corner L2 and towards L3. Parts 1 and 2 show why it moves to that side.",
                right=True,
            ),
            Choice(
                "The one on L3, the phase that comes last.",
                "That would hold with an inductor on L1. Look which way a capacitor turns, in part 1.",
            ),
            Choice(
                "Neither: the lamps are equal, and so are the line voltages.",
                "Equal volts, equal lamps, and still the two phases differ for the capacitor: one peaks soon after "
                "L1, the other soon before it.",
            ),
        ),
    ),
    Question(
        "04.light",
        "The bright lamp has 3.7 times the volts of the dim one. How many times as much light does it give?",
        (
            Choice(
                "3.7 times.",
                "Light does not go with the volts. Not even the heat does: it goes with their square. And a hotter "
                "filament turns more of its heat into light. See part 7.",
            ),
            Choice(
                "About 14 times: watts go with the square of the volts.",
                "So would the watts of a fixed resistor. But a hotter filament also turns a larger part of its watts "
                "into light you can see. See part 7.",
            ),
            Choice(
                "More than 80 times.",
                "Light goes with about the 3.4th power of the volts. This is why you see it across the yard. See part "
                "7.",
                right=True,
            ),
        ),
    ),
)

CHECKS = (
    Question(
        "04.coil",
        "In the box of another crew there is an inductor on L1 in place of the capacitor. The lamp on L3 is bright. "
        "All leads are firm, and on exchanging two of them the lamps change over. Which sequence?",
        (
            Choice(
                "1-2-3.",
                "With an inductor everything is mirrored: for 1-2-3 the lamp on L3 is bright.",
                right=True,
            ),
            Choice(
                "1-3-2: the bright lamp is on the phase that comes next.",
                "That rule is for a capacitor. An inductor turns to the other side, so here the bright lamp is on the "
                "phase that comes BEFORE L1, which is the last one.",
            ),
            Choice(
                "It cannot be told without a capacitor.",
                "An inductor tells it just as well. One must only know which of the two is inside.",
            ),
        ),
    ),
    NumberQuestion(
        "04.dim-volts",
        "A box with R = Xc, lamps taken as fixed resistors, is on 690 V between lines. How many volts has the DIM "
        "lamp?",
        value=_DIM,
        unit="V",
        why="S lies h/5 above the side L2–L3 and 2h/5 beside its middle, with h = √3/2 of the line voltage.",
        hint="Put S in the triangle: h/5 above the side L2–L3, 2h/5 beside its middle. Then Pythagoras to a corner.",
        mistakes=(
            Mistake(
                "the bright lamp",
                "This is the bright lamp, from S to the far corner. The dim one goes to the near corner.",
                _DIM * (2 + sqrt(3)),
            ),
            Mistake(
                "phase voltage",
                "This is the phase voltage. Each lamp would have it if the star point were at N. It is not.",
                690 / sqrt(3),
            ),
            Mistake(
                "phase for line in the triangle",
                "You took the phase voltage for a side of the triangle. The side is the line voltage.",
                _DIM / sqrt(3),
            ),
        ),
        factors=general(
            volts=1,
            frequency=False,
            line_or_phase="Part three gives the shares of the two lamps in parts of the PHASE voltage.",
        ),
    ),
    NumberQuestion(
        "04.capacitor",
        "Each branch of lamps has 5 kΩ, and the supply has 60 Hz. Which capacitor makes Xc equal to it?",
        value=_FARAD,
        unit="F",
        why="Xc = 1/(2π·f·C), turned round: C = 1/(2π·f·Xc). Half a microfarad, a film type.",
        hint="Set Xc = 1/(2π·f·C) equal to R, and turn it round for C. Hertz, ohms, farads.",
        factors=general(volts=0, frequency=True),
    ),
    Question(
        "04.in-series",
        "On a supply of 400 V between lines you build the box with lamps marked 230 V. How many of them go into each "
        "branch?",
        (
            Choice(
                "One: in star each branch gets phase voltage, and that is 230 V.",
                "The star point wanders. The bright branch gets 1.5 times the phase voltage and more, and its lamp "
                "lasts for hours, not years.",
            ),
            Choice(
                "Two in series: the bright branch has up to 1.7 times the phase voltage.",
                "Two share it, also at 110 % of the line voltage. Both branches get two, for they must be equal.",
                right=True,
            ),
            Choice(
                "Two in the bright branch, one in the dim one.",
                "Which branch is bright is just what you want to find out. And unequal branches spoil the reading.",
            ),
        ),
    ),
    Question(
        "04.stuck",
        "H2 is bright, H1 is dark. You exchange the leads L2 and L3 at the terminals. H2 is still bright, H1 still "
        "dark. What do you write down?",
        (
            Choice(
                "1-3-2, twice confirmed.",
                "With everything right, exchanging two leads MUST change the lamps over. They did not. So this lamp "
                "does not show the sequence.",
            ),
            Choice(
                "No sequence. The lead of H1 is off, or H1 has failed.",
                "With its branch open, H1 is dark in both sequences, and H2 then lies in series with the capacitor "
                "between two lines. Mend it, then read again.",
                right=True,
            ),
            Choice(
                "No sequence. The supply must be dead.",
                "A dead supply lights neither lamp. One of them is bright.",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
