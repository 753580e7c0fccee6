"""Questions of lesson 03: one current in a series circuit, volts at a right angle, how far R and C can turn."""

from __future__ import annotations

from math import pi, sqrt

from phasorkit.course.diagnosis import general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_REACTANCE = 1 / (2 * pi * 60 * 10e-9)

PREDICTIONS = (
    Question(
        "03.who-first",
        "A workmate says: in a capacitor the current leads, so it passes C1 first and R1 a little later. You measure "
        "the current twice, before R1 and between R1 and C1. Which of the two peaks first?",
        (
            Choice(
                "The one between R1 and C1: the capacitor passes the current first.",
                "In series there is one way and one current: what flows in at one end of R1 flows out at the other at "
                "the same moment. 'Leads' compares the current of C1 with the VOLTS of C1, not with the current of R1.",
            ),
            Choice(
                "The one before R1: the current comes from A and gets to R1 first.",
                "It does not arrive like a lorry. It flows in the whole loop at once, like a chain on two wheels: pull "
                "at one place and every link moves.",
            ),
            Choice(
                "Neither. Both peak at the same moment.",
                "One loop, one current. Only the two VOLTAGES peak at different moments. Part 1 of the explanation "
                "shows it.",
                right=True,
            ),
        ),
    ),
    Question(
        "03.equal-ohms",
        "The source has 12 V. R1 has just as many ohms as C1 has reactance. What does a meter show across R1, and what "
        "across C1?",
        (
            Choice(
                "6 V and 6 V.",
                "Equal they are, and two equal RESISTORS would show this. But these two do not peak together, so their "
                "volts do not add like plain numbers. Part 2 shows how they add.",
            ),
            Choice(
                "8.5 V and 8.5 V.",
                "They stand at a right angle: 8.5 squared and 8.5 squared make 12 squared. Part 2 shows why.",
                right=True,
            ),
            Choice(
                "12 V and 12 V.",
                "Then each would have the whole source, as if the two lay side by side. They stand in series and "
                "share. How, is in part 2.",
            ),
        ),
    ),
    Question(
        "03.how-far",
        "You make R1 larger and larger, without end. How late can the volts on C1 get against the source?",
        (
            Choice(
                "Up to 90°, and at 90° nothing is left of them.",
                "P runs along the half circle to com. The angle nears a right angle, and the volts shrink to nothing. "
                "Turning costs volts.",
                right=True,
            ),
            Choice(
                "Later and later, a whole turn and more.",
                "R1 sends P along a half circle, and a half circle has two ends. Look in the app where P stops.",
            ),
            Choice(
                "Up to 45°, where R1 and Xc are equal. Beyond that it turns back.",
                "45° is the top of the half circle, not its end. Move R1 past it in the app.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "03.volts-on-c",
        "A resistor and a capacitor stand in series on 10 V. The resistor has 6 V. How many volts has the capacitor?",
        value=8.0,
        unit="V",
        why="6 squared and 8 squared make 10 squared: 36 and 64 make 100.",
        hint="Draw the half circle over 10 V and put P where it is 6 V from one end. Or use Pythagoras.",
        mistakes=(
            Mistake(
                "subtracted",
                "You subtracted like plain numbers. The two stand at a right angle: subtract the squares, then take "
                "the root.",
                4.0,
            ),
            Mistake(
                "hypotenuse of both",
                "You took the source for a short side. It is the long one: it goes across both parts.",
                sqrt(136),
            ),
            Mistake(
                "forgot the root",
                "These are volts squared. Take the root.",
                64.0,
            ),
        ),
    ),
    NumberQuestion(
        "03.resistance",
        "You have 10 nF, and a source of 60 Hz. The volts on the capacitor shall be 30° late. Which R1?",
        value=_REACTANCE / sqrt(3),
        unit="Ω",
        why="Xc = 1/(2π·f·C), then R = Xc·tan 30°, and tan 30° is 1/√3. The volts of the source are not needed.",
        hint="First Xc = 1/(2π·f·C), with f in hertz and C in farads. Then R is Xc times the tangent of the angle.",
        mistakes=(
            Mistake(
                "Xc itself",
                "This is Xc. With R as large as Xc the output is 45° late. Multiply by tan 30°.",
                _REACTANCE,
            ),
            Mistake(
                "the other angle",
                "This R makes it 60° late. You divided by the tangent, or took the angle at A. The angle at com, "
                "between source and output, is the delay, and R lies opposite to it.",
                _REACTANCE * sqrt(3),
            ),
            Mistake(
                "sine for tangent",
                "You used the sine. R and Xc are the two SHORT sides of the triangle, and their ratio is the tangent.",
                _REACTANCE / 2,
            ),
        ),
        factors=general(volts=0, frequency=True),
    ),
    NumberQuestion(
        "03.early",
        "Across C1 the output is 35° late. You exchange R1 and C1, so that you now take it across R1. By how many "
        "degrees is it early?",
        value=55.0,
        unit="°",
        why="The two outputs stand at a right angle, and the source lies between them: 35 and 55 make 90.",
        hint="The volts on R1 and those on C1 stand at a right angle, and the source lies between them.",
        mistakes=(
            Mistake(
                "the same angle",
                "That would make the two 70° apart. Resistor and capacitor stand 90° apart, in every order.",
                35.0,
            ),
            Mistake(
                "the right angle", "90° is between the two outputs. You are asked for the angle to the source.", 90.0
            ),
            Mistake("added", "You added. The source lies BETWEEN the two outputs, so the two angles make 90°.", 125.0),
        ),
    ),
    Question(
        "03.frequency",
        "A shifter made for 50 Hz, output across C1, is fed with 60 Hz. What happens to the output?",
        (
            Choice(
                "Nothing. R1 and C1 have not changed.",
                "The farads have not, but the reactance has: Xc falls when f rises. So the triangle changes its shape.",
            ),
            Choice(
                "It gets a little less late, for everything runs faster.",
                "In milliseconds the whole period shrinks, true. But the ANGLE is a matter of R1 and Xc, and Xc falls. "
                "Which way does P slide then?",
            ),
            Choice(
                "It gets a little later, and a little smaller.",
                "Xc falls, R1 stays. So R1 takes a larger share, and P slides along the half circle towards com.",
                right=True,
            ),
        ),
    ),
    Question(
        "03.scope",
        "A shifter of 470 kΩ and 4.7 nF should be 35° late. Your scope, 1 MΩ to ground, shows 25° and too few volts. "
        "What do you suspect first?",
        (
            Choice(
                "The scope itself: it lies across C1 as one more resistor.",
                "1 MΩ beside a capacitor of some 680 kΩ takes a good part of the current. Use a probe of 10 MΩ, or "
                "fewer ohms in the shifter.",
                right=True,
            ),
            Choice(
                "The capacitor is much smaller than marked.",
                "Then it would be less late, true, but it would have MORE volts, and these are too few. P has left the "
                "half circle.",
            ),
            Choice(
                "The generator is set to another frequency.",
                "Another frequency moves P along the half circle: less late and MORE volts, or later and fewer. Here "
                "it is less late with fewer.",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
