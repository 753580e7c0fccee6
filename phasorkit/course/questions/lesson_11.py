"""Questions of lesson 11: swaps that undo each other, a lost line, the two habits of naming a direction."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_PLATE = 24.0

PREDICTIONS = (
    Question(
        "11.two-swaps",
        "The pump turns the wrong way. One apprentice swaps two conductors at the isolator. Another does not know it, "
        "and swaps two others at the motor. Which way does the pump turn now?",
        (
            Choice(
                "The right way, for sure: it has been swapped twice.",
                "Each swap mirrors the sequence. What does a second mirror do to a mirror image? Try two swaps in the "
                "app.",
            ),
            Choice(
                "It depends on which conductors the two have taken.",
                "It does not. Any swap of two mirrors the sequence, whichever two they are. Write the letters down and "
                "try.",
            ),
            Choice(
                "The wrong way, as at first.",
                "One swap mirrors the sequence, a second one mirrors it back, even with two other conductors.",
                right=True,
            ),
        ),
    ),
    Question(
        "11.lost-line",
        "The pump runs at full load. Then one of the three fuses blows. What does the motor do?",
        (
            Choice(
                "It runs on, hardly slower, with much more current.",
                "That is the danger: you hear next to nothing, and the windings get hot.",
                right=True,
            ),
            Choice(
                "It stops at once: no rotating field any more.",
                "The two lines that are left make a field that only pulsates. But the turning rotor adds to it. Watch "
                "the dashed path in the app.",
            ),
            Choice(
                "It runs on at two thirds of its power and takes no harm.",
                "The pump does not know of the fuse and asks for all of its power. Two lines must now carry it. What "
                "does their current do?",
            ),
        ),
    ),
    Question(
        "11.restart",
        "One line is open. Somebody switches the pump off, waits, and switches it on again. What happens?",
        (
            Choice(
                "It starts, only more slowly.",
                "At rest, two lines make a field that swells and shrinks along one line. Towards which side should it "
                "pull the rotor?",
            ),
            Choice(
                "It starts in the other direction.",
                "It would need a field that turns that way. At rest, two lines make none that turns at all.",
            ),
            Choice(
                "It hums and stays where it is, at many times its current.",
                "The two halves of a pulsating field pull with the same strength both ways. Only protection that trips "
                "saves the windings.",
                right=True,
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "11.current",
        "A motor in star takes 24 A at full load. One line is lost, the load stays. What current do you expect in the "
        "two others, by the rule of thumb?",
        value=_PLATE * sqrt(3),
        unit="A",
        why="The two lines must bring the power of three. The rule says √3 times; the true figure is a little more.",
        hint="The rule of thumb has a √3 in it, and the current rises.",
        mistakes=(
            Mistake(
                "no change",
                "This is the current with all three lines. The load has stayed the same, and two lines must carry it.",
                _PLATE,
            ),
            Mistake(
                "three halves",
                "You let two lines share the current of three, as if only amps counted. Volts count as well: between "
                "two lines, one voltage drives all of the power.",
                1.5 * _PLATE,
            ),
            Mistake(
                "divided by √3",
                "You divided by √3. The current does not fall: the load has stayed the same.",
                _PLATE / sqrt(3),
            ),
            Mistake("twice", "That is the upper end of what is met. The rule of thumb has a √3.", 2 * _PLATE),
        ),
    ),
    Question(
        "11.slip",
        "A motor's plate says 60 Hz, 1740 r/min. What do you read from it?",
        (
            Choice(
                "Two poles, and a slip of about one half.",
                "No motor runs at such a slip at rated load. Take the synchronous speed that lies just above the "
                "plate's: 120·f divided by an even number of poles.",
            ),
            Choice(
                "Four poles, and a slip of 3.3 per cent.",
                "The field turns at 120·60/4 = 1800 r/min, the shaft 60 r/min slower.",
                right=True,
            ),
            Choice(
                "Four poles, and no slip: 1740 is what the field does.",
                "The field's speed follows from hertz and poles alone: 120·f/poles. Then compare.",
            ),
        ),
    ),
    Question(
        "11.two-ends",
        "Of one and the same pump one fitter writes: clockwise. Another writes: counter-clockwise. Both have looked "
        "well. How can that be?",
        (
            Choice(
                "One of them has tested with another sequence.",
                "It can happen, but it is not needed here. Think of a clock of glass, and of somebody behind it.",
            ),
            Choice(
                "They looked at different ends of the shaft, and did not say so.",
                "Seen on the drive end (IEC 60034-8) or opposite to it (North American habit): always write which.",
                right=True,
            ),
            Choice(
                "Pumps turn both ways, as the water wants.",
                "A motor turns as its field does. Think of a clock of glass, and of somebody behind it.",
            ),
        ),
    ),
    Question(
        "11.where",
        "A new pump turns the wrong way. Its board also feeds a fan, which turns rightly. Where do you swap two line "
        "conductors?",
        (
            Choice(
                "At the pump's own isolator or terminals: isolated, proved dead, locked off.",
                "Only the pump sees the swap there. Then test again, and write it down.",
                right=True,
            ),
            Choice(
                "At the incoming cable of the board: there is most room.",
                "That would mirror the sequence for everything behind it. The fan would run backwards.",
            ),
            Choice(
                "At the pump, one line conductor with the neutral.",
                "Never. A neutral on a motor terminal puts wrong volts on its windings and reverses nothing.",
            ),
        ),
    ),
    Question(
        "11.record",
        "At the terminals U1, V1, W1 of a new pump you find the sequence 1-2-3. What do you write in the test record?",
        (
            Choice(
                "Turns clockwise.",
                "You have not seen it turn. It may be wired differently inside, or have a gear, or an inverter before "
                "it.",
            ),
            Choice(
                "Sequence in order, direction need not be tried.",
                "It must be. A sequence is a fact about conductors, a direction one about a shaft.",
            ),
            Choice(
                "Sequence 1-2-3 at U1, V1, W1; direction still to be tried, uncoupled, with a brief start.",
                "Two facts, two tests, two lines in the record.",
                right=True,
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
