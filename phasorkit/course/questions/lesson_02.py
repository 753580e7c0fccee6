"""Questions of lesson 02: 120° is no third of the volts, line for phase, colours, what turns a sequence round."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_HERTZ, _LINE = 60.0, 690.0
_THIRD = 1 / 3 / _HERTZ

PREDICTIONS = (
    Question(
        "02.third",
        "L1 and L2 of a sound supply are 120° apart, a third of a turn. You measure each of them against neutral. How "
        "do the two readings differ?",
        (
            Choice(
                "They do not differ. L2 only peaks a third of a period later.",
                "Same size, later. This is why a meter cannot show the sequence: it knows nothing of when.",
                right=True,
            ),
            Choice(
                "L2 shows a third less.",
                "An angle is no number of volts. 120° is a third of a period of TIME. How high L2 climbs has nothing "
                "to do with it.",
            ),
            Choice(
                "L2 shows a third more, since the angles add up.",
                "Angles say when, not how much. All three have the same volts against neutral, and each peaks a third "
                "of a period after another one.",
            ),
        ),
    ),
    Question(
        "02.between",
        "L1 has some volts against neutral, and L2 has just as many, 120° later. What does the meter show between L1 "
        "and L2?",
        (
            Choice(
                "Nothing: equal volts cancel.",
                "Equal sizes cancel only if they peak together. Draw two arrows of one length, 120° apart. How far "
                "apart are the tips?",
            ),
            Choice(
                "Twice as many.",
                "That needs an angle of 180°: one up while the other is down. With 120° the tips are not quite so far "
                "apart. Draw the arrows and measure.",
            ),
            Choice(
                "About 1.7 times as many.",
                "The tips of two equal arrows, 120° apart, are √3 lengths apart. Part 4 lets you measure it.",
                right=True,
            ),
        ),
    ),
    Question(
        "02.move-on",
        "Three leads sit on three terminals. You move all three on by one place: the first to the second terminal, "
        "the second to the third, the third to the first. What happens to the sequence?",
        (
            Choice(
                "It turns round, for wires were moved.",
                "Write the order of the peaks in a ring and start reading one place further on. Does the order in the "
                "ring change?",
            ),
            Choice(
                "It stays as it was.",
                "1-2-3, 2-3-1 and 3-1-2 are one and the same ring. Only an exchange of two turns it round.",
                right=True,
            ),
            Choice(
                "It depends on which terminal was the first.",
                "A ring has no first place. Only the way round it counts.",
            ),
        ),
    ),
    Question(
        "02.colours",
        "A new socket at the market: the leads on its terminals L1, L2, L3 have the colours usual in your country, in "
        "the usual order. What is its sequence?",
        (
            Choice(
                "1-2-3: they are the usual colours in the usual order.",
                "The standard gives the colours, and the order is only a habit. And what sits at the other end of the "
                "cable, you have not seen.",
            ),
            Choice(
                "1-3-2: in old cables the order was another one.",
                "An old colour proves as little as a new one. Where old and new meet, even less.",
            ),
            Choice(
                "Not known. It must be tested.",
                "One exchange anywhere upstream turns the sequence round, and no lead changes its colour for it.",
                right=True,
            ),
        ),
    ),
    Question(
        "02.across",
        "A generator is to take over while the mains is still on. Its volts and frequency are right, and its G1 stands "
        "exactly on L1. But it has the other sequence. What does a meter show between L2 and G2?",
        (
            Choice(
                "Nothing: L1 and G1 agree, so the others do too.",
                "Only the first pair agrees. In the other sequence G2 comes when L3 comes. How far apart are the tips "
                "of L2 and L3?",
            ),
            Choice(
                "The whole line voltage.",
                "G2 stands where L3 stands, and from L2 to L3 is a whole side. To close the switch now is a short "
                "circuit.",
                right=True,
            ),
            Choice(
                "Twice the phase voltage: they pull against each other.",
                "That needs 180° between them. In the other sequence G2 comes when L3 comes, and L3 is 120° from L2.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "02.milliseconds",
        "At 60 Hz, how much later than L1 does L2 peak in the sequence 1-2-3? Write the unit with it, in quotes.",
        value=_THIRD,
        unit="s",
        why="A third of a period of 16.67 ms.",
        hint="How long is a period of 60 Hz? Which part of a turn is 120°?",
        mistakes=(
            Mistake("50 Hz", "This is a third of a period at 50 Hz. The frequency here is another one.", 1 / 150),
            Mistake(
                "two thirds",
                "This is two thirds of a period: L3, or the L2 of the sequence 1-3-2.",
                2 * _THIRD,
            ),
            Mistake("a whole period", "This is the whole period, 360°. How much of it is 120°?", 3 * _THIRD),
            Mistake("60°", "This is a sixth of a period. 120° is a third of a turn.", _THIRD / 2),
            Mistake("a quarter", "This is a quarter of a period, 90°. The three phases stand 120° apart.", 1 / 240),
            Mistake("degrees by hertz", "You divided degrees by hertz. Find the period first: 1 by 60.", 120 / _HERTZ),
        ),
    ),
    NumberQuestion(
        "02.phase-volts",
        "A pump is fed with 690 V between any two line conductors. How many volts has each of them against the star "
        "point N?",
        value=_LINE / sqrt(3),
        unit="V",
        why="Line voltage divided by √3. Such a supply is called 400/690 V.",
        hint="In the drawing, line voltage is a side of the triangle. The phase voltage goes from N to a corner.",
        mistakes=(
            Mistake(
                "multiplied by √3",
                "You multiplied by √3. From the middle to a corner is shorter than a side.",
                _LINE * sqrt(3),
            ),
            Mistake(
                "a half",
                "You took half. N is not the middle of a side: it is the middle of the triangle.",
                _LINE / 2,
            ),
            Mistake(
                "a third",
                "You divided by three. An angle of 120° is a third of a turn, not a third of the volts.",
                _LINE / 3,
            ),
            Mistake("√2", "You divided by √2. That belongs to peak and rms. Here the factor is √3.", _LINE / sqrt(2)),
            Mistake("line voltage", "This is the line voltage itself. It is a side of the triangle.", _LINE),
        ),
    ),
    Question(
        "02.scope-order",
        "At 50 Hz, channel 1 is on L1 and channel 2 on L2. Channel 2 rises through zero 13.3 ms after channel 1. Which "
        "sequence is it?",
        (
            Choice(
                "1-2-3: channel 2 comes after channel 1.",
                "Everything that repeats comes after and before. Ask what comes NEXT after channel 1: a third of a "
                "period later somebody else peaked. Who?",
            ),
            Choice(
                "1-3-2: L2 is two thirds of a period late, so L3 came in between.",
                "13.3 ms of 20 ms is 240°. A third of a period after L1 comes L3, and then L2.",
                right=True,
            ),
            Choice(
                "It cannot be told without a third channel.",
                "Two are enough: one third late or two thirds late are all the choices that a sound supply leaves.",
            ),
        ),
    ),
    Question(
        "02.generator",
        "A travelling stage has a switch that takes its lifts from the mains to a generator. It opens one before it "
        "closes the other. Volts and frequency of the generator are right, its sequence is not. What happens?",
        (
            Choice(
                "Nothing: the two are never joined.",
                "Never joined, so no short circuit. But every three-phase motor behind the switch gets the other "
                "sequence.",
            ),
            Choice(
                "The generator is short-circuited.",
                "That takes both sources joined at one time. This switch opens one before it closes the other.",
            ),
            Choice(
                "Every three-phase motor behind the switch turns the wrong way.",
                "Lamps and heaters do not mind. A lift does. So the sequence of both sources is tested before the "
                "first changeover.",
                right=True,
            ),
        ),
    ),
    Question(
        "02.where-to-swap",
        "A cable in the street was repaired. Since then all three machines of the pump house turn the wrong way. A "
        "licensed person is to put it right. Where?",
        (
            Choice(
                "At the repaired joint, isolated, locked off and proved dead.",
                "Put right where it went wrong, and everything behind it is right again. Then test, and write it down.",
                right=True,
            ),
            Choice(
                "At the motor of each machine.",
                "Three exchanges for one mistake, and the next machine that is plugged in will turn the wrong way "
                "again.",
            ),
            Choice(
                "Anywhere, as long as two conductors are exchanged.",
                "Two conductors, yes. But an exchange turns round all that lies behind it, and nothing else.",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
