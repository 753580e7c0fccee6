"""Questions of lesson 09: what is left on the dark lamp, what adds how, and where the tester must not be used."""

from __future__ import annotations

from math import atan, radians, sin, sqrt

from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_LINE, _OFF = 690.0, 0.03
_LEFT = _LINE * sin(atan((1 + _OFF) / sqrt(3)) - radians(30))
"""P seen from L2 has turned by the difference of two angles of the half circle."""

PREDICTIONS = (
    Question(
        "09.which-cause",
        "A null bridge with exact parts has a dark lamp. Then ONE of these happens. Which leaves most volts on it?",
        (
            Choice(
                "The line voltage rises by 10 per cent.",
                "All volts grow by a tenth, and a tenth more of nothing is nothing. M and P still fall on one point, "
                "in a larger triangle.",
            ),
            Choice(
                "All three resistors are off by 1 per cent each.",
                "They push, but not far. R1 and R2 move M by a quarter of their deviation, R3 moves P by less than a "
                "half of it. Compare with the others in the app.",
            ),
            Choice(
                "The capacitor is off by 5 per cent.",
                "P slides along the half circle by 0.43 of 5 per cent of the line voltage. In most testers the "
                "capacitor is the worst part.",
                right=True,
            ),
        ),
    ),
    Question(
        "09.adding",
        "One cause alone would leave 6 V on the dark lamp, another alone 8 V. They have nothing to do with each other. "
        "With both at once, what do you expect as a rule?",
        (
            Choice(
                "14 V.",
                "That is the worst case: both at their end, and both pushing the same way. It can happen, but it is "
                "rare. Part 5 of the explanation says when you need it.",
            ),
            Choice(
                "About 10 V, and 14 V at the very worst.",
                "Causes that know nothing of each other add like the sides of a right-angled triangle: 6, 8, 10.",
                right=True,
            ),
            Choice(
                "2 V: deviations cancel.",
                "They may, by luck, as often as they help each other. Nobody may count on it. Part 5 of the "
                "explanation says what to count on.",
            ),
        ),
    ),
    Question(
        "09.fifth",
        "The voltage holds 5 per cent of a fifth harmonic: a small wave of five times the frequency rides on it. The "
        "bridge has exact parts, and its lamp should be dark. What does this small wave do to the lamp?",
        (
            Choice(
                "Nothing: the bridge brings it to zero like the rest.",
                "The parts were chosen for one frequency and one order. This wave has another frequency, and its order "
                "is the other one: part 8 of the explanation.",
            ),
            Choice(
                "Nearly all of its volts stand on the lamp.",
                "Its order of phases is reversed, so the lamp counts as the bright one, and the capacitor lets it pass "
                "with ease.",
                right=True,
            ),
            Choice(
                "About 5 per cent of its volts stand on the lamp.",
                "You took 5 per cent twice. The harmonic is 5 per cent of the line voltage. How much of THAT reaches "
                "the lamp? See part 8 of the explanation.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "09.push-of-c",
        "A null bridge on 690 V between lines, sequence 1-2-3. All is exact, only the capacitor has 3 per cent too "
        "much. How many volts are left on the lamp?",
        value=_LEFT,
        unit="V",
        why="0.43 of 3 per cent of the line voltage; the library, which does not round, says 8.9 V.",
        hint="Take the rule of part 4: for the capacitor, 0.43 of its per cent of the line voltage.",
        tolerance=Tolerance(0.03),
        mistakes=(
            Mistake(
                "all of the per cent",
                "This is 3 per cent of the line voltage. P slides along the half circle by less than that: 0.43 of it.",
                _LINE * _OFF,
            ),
            Mistake(
                "the rule for R1 and R2",
                "This is the rule for R1 or R2, which move M by a quarter. The capacitor moves P, by 0.43.",
                _LINE * _OFF / 4,
            ),
            Mistake(
                "the rule for unbalance",
                "This is the rule for unbalance, 0.87 of it. For the capacitor it is half as much.",
                _LINE * _OFF * sqrt(3) / 2,
            ),
        ),
        factors=general(volts=1, frequency=False),
    ),
    NumberQuestion(
        "09.square-sum",
        "Three causes that know nothing of each other would leave 3 V, 4 V and 12 V, each by itself. What is the "
        "likely limit with all three at once?",
        value=13.0,
        unit="V",
        why="Root of 9 + 16 + 144. The largest cause rules: without the two small ones it would be 12 V.",
        hint="Square each, add the squares, take the root.",
        mistakes=(
            Mistake("the worst case", "This is the worst case: plain adding. Likely is the root of the squares.", 19.0),
            Mistake("the mean", "This is the mean. Causes do not share one place; each pushes for itself.", 19 / 3),
            Mistake("no root", "You added the squares. Now take the root.", 169.0),
            Mistake(
                "the largest one",
                "This is the largest cause by itself. The other two add a little: take the root of all three squares.",
                12.0,
            ),
        ),
    ),
    Question(
        "09.better-part",
        "Your tester has 1 per cent resistors and a 5 per cent capacitor. You want to halve what is left on the dark "
        "lamp. What do you do?",
        (
            Choice(
                "I buy resistors of 0.1 per cent.",
                "They do little: the resistors are the small sides of the triangle. The long side is the capacitor.",
            ),
            Choice(
                "I measure the capacitor and choose R3 to fit it.",
                "That takes out the largest push. R and Xc need to fit each other, not the numbers printed on them.",
                right=True,
            ),
            Choice(
                "I take a lamp that strikes at higher volts.",
                "Nothing less would be left; you would only see less of it. And in the other sequence, or with a wrong "
                "connection, that lamp may stay dark when it should light.",
            ),
        ),
    ),
    Question(
        "09.low-meter",
        "On the dark lamp of a mains tester a colleague finds next to nothing, on a meter of 3 kΩ input resistance. "
        "He says: a perfect null. What do you say?",
        (
            Choice(
                "Such a meter takes nearly all of the volts away. It would show next to nothing in any case.",
                "The bridge has some hundred kilohms inside. With 3 kΩ across it even tens of volts shrink to nearly "
                "nothing. Read again with 10 MΩ.",
                right=True,
            ),
            Choice(
                "He is right: low impedance meters do not show ghost voltages.",
                "They do not, and for that they are made. But here the volts are real, and stand on some hundred "
                "kilohms. The meter crushes them.",
            ),
            Choice(
                "He must have read the wrong range.",
                "He may have. But look at the meter's ohms first, beside those of the bridge.",
            ),
        ),
    ),
    Question(
        "09.inverter",
        "A pump runs on an inverter. May the null bridge tell the sequence at the inverter's output?",
        (
            Choice(
                "Yes, the inverter makes three phases at 50 or 60 Hz.",
                "On average it does. What stands on its terminals is a train of steep pulses, with harmonics by the "
                "dozen. Both sequences light the lamp, and the parts are overstressed.",
            ),
            Choice(
                "Yes, if the inverter is set to the frequency that the tester is made for.",
                "The frequency would fit, the pulses do not: steep edges pass the capacitor with ease. The lamp lights "
                "in both sequences, and the parts are overstressed.",
            ),
            Choice(
                "No. Steep pulses light the lamp in both sequences, and stress the parts.",
                "And the sequence before an inverter says nothing of the one behind it. Which way the motor turns is "
                "set in the inverter.",
                right=True,
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
