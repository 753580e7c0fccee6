"""Questions of lesson 12: which circuit, one value for two frequencies, what parts can mend, what a pass proves."""

from __future__ import annotations

from math import atan, pi, sin, sqrt

from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_LINE, _TUNED, _THERE = 400.0, 55.0, 60.0
_LEFT = _LINE * sin(atan(_THERE / _TUNED / sqrt(3)) - pi / 6)

PREDICTIONS = (
    Question(
        "12.which-circuit",
        "The wardens take one reading. It must name the sequence, and a wrong connection must never look like a "
        "sequence. Which circuit do you choose?",
        (
            Choice(
                "The null bridge with one lamp: it never says anything wrong.",
                "True, for from one reading it says nothing at all. Dark and lit, before and after a swap, tell the "
                "sequence. The wardens read once.",
            ),
            Choice(
                "The LED pair: two lights, the brighter one names the sequence.",
                "It names one at once. It does so with a broken lead as well. See in lesson 08 which light an open "
                "lead makes bright.",
            ),
            Choice(
                "The twin: two null bridges, mirrored, with a lamp each.",
                "One dark and one lit name the sequence. Nearly every wrong connection lights both, and that is "
                "read as a fault.",
                right=True,
            ),
            Choice(
                "The touch pad: only two probes to hold.",
                "One reading of its single lamp tells nothing either. Nor does it see the third phase, and a person "
                "is part of the circuit.",
            ),
        ),
    ),
    Question(
        "12.tour-frequency",
        "R = Xc/√3 holds at one frequency. The tester of the stage must do at 50 Hz and at 60 Hz, and its dark lamp "
        "must stay dark. For which frequency do you choose R?",
        (
            Choice(
                "For 50 Hz: at 60 Hz Xc is smaller, and that does no harm.",
                "Smaller or larger, P leaves M either way along the half circle. The rule of thumb of lesson 09: 0.43 "
                "times what the frequency is off by, and here that is a fifth.",
            ),
            Choice(
                "For a frequency between: a little off at both, and far off at none.",
                "Each end is then off by about a tenth in place of a fifth. Whether that is enough, the worst case "
                "must say, with tolerance and unbalance on top.",
                right=True,
            ),
            Choice(
                "For any: which phase leads does not depend on the frequency.",
                "The sequence does not, but the null does. It sits on Xc, and Xc holds the frequency.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "12.tuned-between",
        "A null bridge has R for 55 Hz, all parts exact. It meets 400 V, 60 Hz, sequence 1-2-3. How many volts are on "
        "its dark lamp?",
        value=_LEFT,
        unit="V",
        tolerance=Tolerance(relative=0.05),
        why="The frequency is off by 9.1 %. 0.43 times that, times the line voltage; the angle gives the same.",
        hint="How many per cent is 60 Hz above 55 Hz? Then the rule of thumb of lesson 09 for the frequency.",
        mistakes=(
            Mistake(
                "without the 0.43",
                "This is what the frequency is off by, times the line voltage. P moves less: on the half circle only "
                "0.43 of that.",
                _LINE * (_THERE / _TUNED - 1),
            ),
            Mistake(
                "off by a fifth",
                "That would be a bridge for 50 Hz at 60 Hz. This one is built for a frequency between.",
                _LINE * sin(atan(60 / 50 / sqrt(3)) - pi / 6),
            ),
        ),
        factors=general(volts=1, frequency=False),
    ),
    Question(
        "12.no-part-mends",
        "A customer likes the LED pair, for it is bright. One reading must never mislead, he says. Which better part "
        "do you offer?",
        (
            Choice(
                "Resistors and a capacitor of 1 %.",
                "They make the ratio of the two lights exact on right wiring. With an open lead one light is dark and "
                "one bright, however exact the parts are.",
            ),
            Choice(
                "A larger capacitor, for more light.",
                "More light, and the same lie, brighter. What an open lead does is in the circuit, not in its size.",
            ),
            Choice(
                "None. Another circuit, or a rule to take two readings.",
                "What a reading says on wrong wiring belongs to the circuit. The desk shows it: that line does not "
                "move, whatever part you choose.",
                right=True,
            ),
        ),
    ),
    Question(
        "12.pieces",
        "One 1 W resistor would bear volts and heat of R1. The design takes three small ones in series instead. Why?",
        (
            Choice(
                "If one piece shorts, the other two still stand the volts, and the reading hardly changes.",
                "One fault then takes away a third, not all. And pieces in one row stand a pulse that would jump over "
                "a single one.",
                right=True,
            ),
            Choice(
                "Three resistors divide the current between them.",
                "In series the same current flows through all. They share the volts and, with them, the heat.",
            ),
            Choice(
                "Three tolerances of 1 % make one of 3 %.",
                "They make one of 1 % at worst, and less as a rule, for not all are off the same way. But that is not "
                "the reason.",
            ),
        ),
    ),
    Question(
        "12.all-met",
        "The desk says that all requirements are met, single faults included. What have you proved?",
        (
            Choice(
                "The tester is safe. The wardens may have it tomorrow.",
                "The desk has not seen a solder joint, a case or a lead. It has judged a list of parts. What must "
                "come before the wardens?",
            ),
            Choice(
                "This list of parts meets this brief. Now it must be built, tested at the bench, and looked at by a "
                "licensed person.",
                "A proof holds for what was put in: the brief, the tolerances, the faults that were tried. All else "
                "is still open.",
                right=True,
            ),
            Choice(
                "Nothing: a computer cannot test a tester.",
                "It can test the list against the brief, over more cases than a bench would ever see. It only cannot "
                "see what was built.",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
