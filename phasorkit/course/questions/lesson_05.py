"""Questions of lesson 05: volts at a right angle, the floating probe, what a lamp proves, the second leg."""

from __future__ import annotations

from math import pi, sqrt

from phasorkit.course.diagnosis import general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_LINE = 500.0
_REACTANCE = 1 / (2 * pi * 60 * 22e-9)
_SECOND_REACTANCE = 1 / (2 * pi * 50 * 10e-9)

PREDICTIONS = (
    Question(
        "05.series-volts",
        "R3 and C1 stand in series between L3 and L2. A meter across R3 shows half the line voltage. What does it show "
        "across C1?",
        (
            Choice(
                "The other half.",
                "That would hold for two resistors. A resistor and a capacitor do not peak at the same moment, so "
                "their volts do not add like plain numbers. Part 2 of the explanation shows how they add.",
            ),
            Choice(
                "More than half: about 0.87 of the line voltage.",
                "The two voltages stand at a right angle: one half squared and 0.87 squared make one. Part 2 of the "
                "explanation shows why.",
                right=True,
            ),
            Choice(
                "The whole line voltage: a capacitor holds all the volts back.",
                "Then nothing would be left for R3. No part holds all the volts back; they share. How they share is "
                "in part 2 of the explanation.",
            ),
        ),
    ),
    Question(
        "05.open-probe",
        "All is connected rightly and the lamp is dark. Now probe L1 slips off and touches nothing. What does the lamp "
        "do?",
        (
            Choice(
                "It stays dark: without L1, M has no volts any more.",
                "Open is not zero volts. M is still tied to L3 through R2. Which voltage does M take when no current "
                "flows in R2? Try it in the app.",
            ),
            Choice(
                "It gets the whole line voltage.",
                "It lights, but not with that much. M goes to where L3 is, P stays where it was. How far apart are "
                "they in the drawing? Try it in the app.",
            ),
            Choice(
                "It lights, with half the line voltage.",
                "M floats to where L3 is, P stays, and between them is R3 with its half of the line voltage. See it "
                "in the app.",
                right=True,
            ),
        ),
    ),
    Question(
        "05.dark-record",
        "You connect the probes, right as far as you can see. The lamp is dark. What may you write in the test record?",
        (
            Choice(
                "Nothing yet. I swap two probes and look again.",
                "Dead supply, failed lamp and broken lead are dark too. Only when the swapped connection lights the "
                "lamp do you know that it could light at all.",
                right=True,
            ),
            Choice(
                "Sequence 1-2-3.",
                "It would be dark in 1-2-3, that is true. It would also be dark with a dead supply, a failed lamp or "
                "a broken lead. How could you tell these apart?",
            ),
            Choice(
                "No voltage on the terminals.",
                "The most dangerous answer. In 1-2-3 this lamp is dark with all three lines alive! Dark is never "
                "proof of absence of voltage.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "05.lamp-volts",
        "A null bridge on 500 V between lines meets the sequence 1-3-2. How many volts has its lamp, before it lights?",
        value=_LINE * sqrt(3) / 2,
        unit="V",
        why="It is one whole height of the triangle, √3/2 of the line voltage.",
        hint="In the drawing for 1-3-2, compare the lamp with a side of the triangle.",
        mistakes=(
            Mistake(
                "phase voltage",
                "This is the phase voltage, from a line to neutral: line voltage divided by √3. The lamp does not go "
                "to neutral. It spans one whole height of the triangle.",
                _LINE / sqrt(3),
            ),
            Mistake(
                "half the line voltage",
                "This is what one resistor has. The lamp lies between M and P, and in 1-3-2 these are further apart.",
                _LINE / 2,
            ),
            Mistake(
                "line voltage",
                "This is a whole side of the triangle. The lamp spans its height, which is shorter than a side.",
                _LINE,
            ),
            Mistake(
                "the other sequence",
                "This is the lamp in 1-2-3, where M and P fall together. The question is about 1-3-2.",
                0.0,
            ),
        ),
        factors=general(volts=1, frequency=False),
    ),
    NumberQuestion(
        "05.resistance",
        "You have a capacitor of 22 nF, and the supply has 60 Hz. Which R makes the lamp dark in 1-2-3?",
        value=_REACTANCE / sqrt(3),
        unit="Ω",
        why="First Xc = 1/(2π·f·C), then R = Xc/√3. The line voltage is not needed.",
        hint="First Xc = 1/(2π·f·C), with f in hertz and C in farads. Then use the triangle 1/2, √3/2, 1.",
        mistakes=(
            Mistake(
                "Xc itself",
                "This is Xc. With R as large as Xc, P lies on the top of the half circle, not on M. Divide by √3.",
                _REACTANCE,
            ),
            Mistake(
                "times √3",
                "You multiplied by √3. R3 has the short side of the triangle and C1 the longer one, so R must be "
                "smaller than Xc.",
                _REACTANCE * sqrt(3),
            ),
        ),
        factors=general(volts=0, frequency=True),
    ),
    Question(
        "05.both-lit",
        "The lamp lights. You swap two probes. It lights again, a little more or less. What do you write down?",
        (
            Choice(
                "1-3-2, for the lamp was lit at the first try.",
                "With right connections, one of the two must be dark. Two lit readings mean that the connection is "
                "wrong or a phase is lost. The lamp then knows nothing of the sequence.",
            ),
            Choice(
                "The parts are old, so the null is not exact. The dimmer one counts as dark.",
                "Parts that are off by some per cent leave a few volts on the lamp, not enough to light it. Two lit "
                "readings mean a wrong connection or a lost phase.",
            ),
            Choice(
                "No sequence. I check the three probes and the three line voltages.",
                "One open probe, a probe on the neutral or two probes on one conductor light the lamp in both "
                "sequences. So does a lost phase.",
                right=True,
            ),
        ),
    ),
    Question(
        "05.low-reading",
        "At the bench, with 24 V between lines, you expect 20.8 V between M and P. Your 10 MΩ meter shows 19.8 V. What "
        "do you suspect first?",
        (
            Choice(
                "Nothing is wrong: the meter takes its share.",
                "Seen from M and P the bridge has about half a megohm inside. Ten megohms at its end leave the meter "
                "about 95 per cent of the volts.",
                right=True,
            ),
            Choice(
                "A resistor is off by 5 per cent.",
                "It may be, but first take the meter into account. It is a resistor of 10 MΩ between M and P, and "
                "the bridge has about half a megohm inside.",
            ),
            Choice(
                "The source is low.",
                "Measure it: between the lines the same meter is true, for a source has next to no resistance inside. "
                "The bridge has about half a megohm, and there the meter takes its share.",
            ),
        ),
    ),
    NumberQuestion(
        "05.second-leg",
        "A null bridge with two capacitors of 10 nF is built for 50 Hz. Which R2 does its second leg need?",
        value=sqrt(3) * _SECOND_REACTANCE,
        unit="Ω",
        why="C2 gets the short side of the half triangle and R2 the longer one: R2 = √3·Xc.",
        hint="First Xc = 1/(2π·f·C). Then see which part of the second leg has the short side of the triangle.",
        mistakes=(
            Mistake(
                "the first leg",
                "This is the resistor of the first leg, Xc/√3. There R has the short side. In the second leg the "
                "capacitor has it.",
                _SECOND_REACTANCE / sqrt(3),
            ),
            Mistake(
                "Xc itself",
                "This is Xc. With R2 as large as that, Q lies on the top of its half circle, not on P.",
                _SECOND_REACTANCE,
            ),
        ),
        factors=general(volts=0, frequency=True),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
