"""Questions of lesson 06: volts before watts, what a dc rating is worth, codes, chains, classes, fingers on a part."""

from __future__ import annotations

from phasorkit.course.diagnosis import DECADE, PREFIX, Tolerance
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_RESISTOR, _BODY = 390e3, 1e6

PREDICTIONS = (
    Question(
        "06.quarter-watt",
        "A resistor of 390 kΩ has 220 V across it. That heats it with 0.12 W. May one film resistor marked 0.25 W do "
        "this for years?",
        (
            Choice(
                "Yes: it uses only half of its watts.",
                "For the watts alone you would be right. But a small film resistor bears only some 200 V, whatever its "
                "ohms (common practice). Here the volts decide. Part 5 counts them.",
            ),
            Choice(
                "No: it has too many volts.",
                "A quarter-watt film resistor bears some 200 V (common practice), even where it stays cold. Two in "
                "series share the volts. Part 5 counts them.",
                right=True,
            ),
            Choice(
                "No: it gets too hot.",
                "Half of the rated watts is the usual limit for a closed case, and 0.12 W just keeps it. The trouble "
                "lies elsewhere. What else does a resistor have to bear? Part 5 shows it.",
            ),
        ),
    ),
    Question(
        "06.dc-rating",
        "A film capacitor is marked 400 V dc. May it sit between line and neutral, at 230 V? Their sine peaks at 325 "
        "V.",
        (
            Choice(
                "Yes: 230 V is less than 400 V.",
                "You compare an rms value with a direct voltage. The peak is what must stay below, and even that is "
                "not enough. Part 6 says why.",
            ),
            Choice(
                "Yes: even the peak of 325 V is below 400 V.",
                "The peak is the right number to look at, but alternating volts also heat and spark inside, and mains "
                "brings pulses of thousands of volts. Part 6 says what to buy.",
            ),
            Choice(
                "No: dc volts do not tell what it bears on mains.",
                "A film capacitor for 400 V dc stands some 200 V ac (common practice), and mains brings pulses on top. "
                "Part 6 says what to buy.",
                right=True,
            ),
        ),
    ),
    Question(
        "06.closer",
        "The capacitor is within 5 per cent of what is printed on it; you have not measured it. The bought R is 0.3 "
        "per cent off the exact one. A shop offers an R that is 0.05 per cent off, at ten times the price. What does "
        "it gain on the dark lamp?",
        (
            Choice(
                "Next to nothing.",
                "C pushes P about as far as R does for each per cent, so its 5 per cent drowns the 0.3. A closer R "
                "pays only after C has been measured.",
                right=True,
            ),
            Choice(
                "Much: six times fewer volts are left.",
                "That would hold if C were exact. P moves as far for 1 per cent of C as for 1 per cent of R. What is "
                "R's 0.3 beside C's 5?",
            ),
            Choice(
                "It makes things worse.",
                "It does no harm. Compare how far R and C may be off: which of the two decides?",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "06.marking",
        "A capacitor out of the drawer is marked 683J. How many farads?",
        value=68e-9,
        unit="F",
        why="68 and three zeros: 68 000 pF, that is 68 nF; J says ±5 %.",
        hint="Two digits, then a count of zeros, in picofarads. The letter is a tolerance.",
        tolerance=Tolerance(0.002),
        mistakes=(
            Mistake(
                "digits taken as they stand",
                "You took 683 as a number. The third digit counts zeros behind the first two.",
                683e-12,
            ),
            Mistake(
                "digits taken as nanofarads", "683 is no number of nanofarads: the third digit counts zeros.", 683e-9
            ),
            Mistake("zeros left out", "Two digits are right. Where are the zeros that the 3 counts?", 68e-12),
        ),
        factors=(DECADE, PREFIX),
    ),
    NumberQuestion(
        "06.value",
        "R shall be 835 kΩ. You make it of two equal resistors in series, out of E24. Which value has each?",
        value=430e3,
        unit="Ω",
        why="Each should be 417.5 kΩ. Between 390k and 430k, the second is nearer: 3 per cent too much, not 7 "
        "too little.",
        hint="In series the ohms add. Halve first, then look for the nearest rung of E24.",
        tolerance=Tolerance(0.002),
        mistakes=(
            Mistake("one alone", "This is one resistor for the whole R. Two shall share it.", 820e3),
            Mistake(
                "not on the ladder", "Half of it, rightly. But E24 has no such rung: which is the nearest?", 417.5e3
            ),
            Mistake("not on the ladder", "Close to half of it. But E24 has no such rung: which is the nearest?", 420e3),
            Mistake("the rung below", "The rung below the wanted value. Is the one above not nearer?", 390e3),
            Mistake("side by side", "This would do side by side (parallel). In series the ohms add.", 1.6e6),
        ),
        factors=(DECADE, PREFIX),
    ),
    Question(
        "06.pieces",
        "On 480 V, R1 must bear 436 V and 0.58 W in the worst case. You have 0.5 W film resistors: 300 V each, and "
        "half of their watts is to be used. How many equal ones in series?",
        (
            Choice(
                "Two.",
                "For the volts that is enough: 218 V each. Now look at the heat: 0.58 W shared by two, against half of "
                "0.5 W.",
            ),
            Choice(
                "Three.",
                "Volts: 436/300, so two. Watts: 0.58/0.25, so three. The larger count wins.",
                right=True,
            ),
            Choice(
                "One.",
                "Its watts, 0.5, are fewer than 0.58 already, and so are its volts. Divide for both, round up, and "
                "take the larger count.",
            ),
        ),
    ),
    Question(
        "06.class",
        "C1 of a tester for 400 V between lines shall be bought. Three of 4.7 nF lie on the counter. Which one?",
        (
            Choice(
                "Film, 630 V dc: even on a supply that runs 10 per cent high the peak is only 622 V.",
                "You looked at the peak, rightly. But a dc rating tells neither what it bears in ac nor what happens "
                "at a pulse or when it fails. Look for a class.",
            ),
            Choice(
                "A ceramic disc, 1 kV, for a thousand volts are plenty.",
                "Without a class nobody has tested it on mains. And many ceramic discs change their capacitance with "
                "temperature and volts: the null would wander.",
            ),
            Choice(
                "Film, class X1, 440 V ac.",
                "It is made and tested for mains between conductors, for these volts, with pulses of thousands of "
                "volts on top (IEC 60384-14, from memory).",
                right=True,
            ),
        ),
    ),
    NumberQuestion(
        "06.fingers",
        "You press the meter's tips on a resistor of 390 kΩ with both hands, skin on both ends. From hand to hand your "
        "body has 1 MΩ here. What does the meter show?",
        value=_RESISTOR * _BODY / (_RESISTOR + _BODY),
        unit="Ω",
        why="You are a resistor side by side with it. Hold it at one end only, or clip it.",
        hint="Your body lies between the same two ends. Are the two in series, or side by side?",
        tolerance=Tolerance(0.02),
        mistakes=(
            Mistake("without the body", "This is the part alone. But your hands touch both ends.", _RESISTOR),
            Mistake(
                "in series",
                "This is both in series. But they lie side by side: the current has two ways, and meets less.",
                _RESISTOR + _BODY,
            ),
        ),
        factors=(PREFIX,),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
