"""Questions of lesson 07: a struck lamp's volts, pulses, the dim LED, meters that put a lamp out."""

from __future__ import annotations

from math import asin, pi, sqrt

from phasorkit.course.diagnosis import PREFIX, Tolerance
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_OMEGA = 2 * pi * 60

PREDICTIONS = (
    Question(
        "07.struck-volts",
        "On paper a glow lamp has 346 V rms while it is dark. Then it strikes and burns. What is across it now?",
        (
            Choice(
                "Still 346 V: the drawing does not change.",
                "The drawing was made for a lamp that draws no current. A burning one does, and the circuit cannot "
                "hold its volts. How many does a glow lamp keep? Part 1 shows it.",
            ),
            Choice(
                "About 60 V, in this circuit as in any other.",
                "A burning glow lamp keeps some 60 V, whatever feeds it. The rest of the volts move to the other "
                "parts. Part 1 shows it.",
                right=True,
            ),
            Choice(
                "About 90 V: what it strikes at.",
                "It needs some 90 V for a moment, to strike. Once the gas conducts, it needs less. Part 1 shows how "
                "much.",
            ),
        ),
    ),
    Question(
        "07.pulse",
        "In the bridge with two capacitors, R3 in series with the lamp is bridged by mistake. R1 is hundreds of "
        "kilohms, R2 is more than a megohm. How high can the lamp's current get?",
        (
            Choice(
                "Below 1 mA: all current must come through R1 or R2.",
                "Look at the two ends of the lamp. From each there is a second way to the lines, without any resistor. "
                "What sits in it, and what does it hold? Part 4 shows it.",
            ),
            Choice(
                "It is the same as with R3: dark or lit, no matter.",
                "To the eye it is nearly the same. But at the moment of striking something stands across the lamp that "
                "gives far more current than any resistor here would let through. Part 4 shows it.",
            ),
            Choice(
                "Some milliamperes, in short pulses.",
                "The capacitors hold the lamp's two ends and empty themselves through it as it strikes. No resistor "
                "stands in that way. Part 4 shows it.",
                right=True,
            ),
        ),
    ),
    Question(
        "07.dim-led",
        "An LED pair is built like the two lamps of lesson 04, an LED in each branch, and no shunts. The dim branch "
        "carries about a quarter of the bright one's current. What do you see?",
        (
            Choice(
                "Both lit.",
                "An LED takes whatever current there is, and is seen from a hundredth of its rating upwards. A quarter "
                "of the bright one's current is plenty.",
                right=True,
            ),
            Choice(
                "One lit, one dark.",
                "A filament lamp with a quarter of its current is dark. Is an LED? It is seen from a hundredth of its "
                "rated current upwards.",
            ),
            Choice(
                "Both dark: an LED needs direct current.",
                "It conducts in one half of every period, and lights in it. The eye does not see the gaps.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "07.strike-time",
        "A glow lamp that strikes at 90 V sits behind a resistor on 120 V (rms), 60 Hz. How long after the volts "
        "passed zero does it strike?",
        value=asin(90 / (120 * sqrt(2))) / _OMEGA,
        unit="s",
        why="The peak is 170 V. The sine reaches 90 V at 32°, and 360° take 16.7 ms.",
        hint="First the peak. Then the angle at which the sine reaches 90 V. Then angle to time: 360° are a period.",
        tolerance=Tolerance(0.02),
        mistakes=(
            Mistake(
                "rms for the peak",
                "You took 120 V as the top of the sine. That is its rms; a lamp strikes at a momentary voltage.",
                asin(90 / 120) / _OMEGA,
            ),
            Mistake(
                "another frequency",
                "The angle is right; you turned it into time with 50 Hz.",
                asin(90 / (120 * sqrt(2))) / (2 * pi * 50),
            ),
            Mistake(
                "a straight line for the sine",
                "You took the rise as a straight line up to the peak. A sine is steepest at zero and flattens later.",
                90 / (120 * sqrt(2)) / (4 * 60),
            ),
        ),
        factors=(PREFIX,),
    ),
    NumberQuestion(
        "07.pulse-height",
        "Without a resistor in series, capacitors hold a glow lamp at 100 V as it strikes. Lit, it behaves as 60 V and "
        "5 kΩ in series. How high is the first pulse of current?",
        value=40 / 5e3,
        unit="A",
        why="The capacitors still hold 100 V. 60 V are the lamp's own, so 40 V drive current through 5 kΩ.",
        hint="Capacitors hold their volts for the moment. Which part of them is left to drive current through 5 kΩ?",
        tolerance=Tolerance(0.02),
        mistakes=(
            Mistake(
                "the lamp's own volts forgotten",
                "All 100 V through 5 kΩ. But 60 V of these the burning lamp keeps for itself.",
                100 / 5e3,
            ),
            Mistake(
                "only the lamp's own volts",
                "These are the lamp's own 60 V over its ohms. What drives the current is what is left of 100 V.",
                60 / 5e3,
            ),
        ),
        factors=(PREFIX,),
    ),
    NumberQuestion(
        "07.shunt",
        "At 110 per cent of the voltage, the dim branch of an LED pair carries 1 mA rms. Its LED is surely dark below "
        "1.5 V, momentary. What is the largest shunt that keeps it dark?",
        value=1.5 / (sqrt(2) * 1e-3),
        unit="Ω",
        why="The peak is 1.41 mA, and 1.5 V over 1.41 mA are the ohms.",
        hint="An LED answers to the momentary volts. What is the peak of a current of 1 mA rms?",
        tolerance=Tolerance(0.02),
        mistakes=(
            Mistake(
                "rms for the peak",
                "You divided by the rms current. At the peak of the period the shunt would have √2 times your 1.5 V.",
                1.5e3,
            ),
            Mistake("√2 on the wrong side", "You made the shunt larger by √2. It must be smaller.", 1.5e3 * sqrt(2)),
        ),
        factors=(PREFIX,),
    ),
    Question(
        "07.low-meter",
        "The lamp of a null bridge glows. You hold a two-pole tester with low impedance across it. The lamp goes out "
        "and the tester shows 2 V. What has happened?",
        (
            Choice(
                "The lamp has failed at this moment.",
                "Take the tester off: it will glow again. What did the tester put across the lamp?",
            ),
            Choice(
                "The supply has gone off.",
                "Measure between the lines with the same tester: all there. It is only between these two points that "
                "it shows next to nothing. Why?",
            ),
            Choice(
                "The tester is a few kilohms, and takes the volts away.",
                "Between M and P the circuit has some half a megohm inside. A few kilohms pull it down to a volt or "
                "two; the lamp has nothing left to strike at.",
                right=True,
            ),
        ),
    ),
    Question(
        "07.both-leds",
        "An LED pair, tested and in order, is on three terminals of a stage's supply. Both LEDs light alike. What do "
        "you write down?",
        (
            Choice(
                "No sequence. I check the probe on L1, and the line voltages.",
                "Without L1 the capacitor is out, the two branches are in series between L2 and L3, and both LEDs get "
                "the same current. Alike and lit is a fault, no sequence.",
                right=True,
            ),
            Choice(
                "Symmetrical supply: all in order.",
                "On a symmetrical supply the capacitor makes them UNLIKE. Alike means that the capacitor does nothing.",
            ),
            Choice(
                "The shunts are too large.",
                "Then the dim one would light as well, but plainly weaker, in a pair that was in order yesterday. "
                "Alike has a simpler cause: which part makes the two branches unlike?",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
