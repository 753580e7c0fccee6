"""Questions of lesson 01: volts that do not add like numbers, what an arrow is not, who leads on a scope."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_METER = 24.0
_DELAY, _HERTZ = 2e-3, 60.0
_DEGREES = 360 * _DELAY * _HERTZ

PREDICTIONS = (
    Question(
        "01.two-sources",
        "A meter shows 4 V from A to common, and 3 V from B to common. B peaks a quarter of a period later. What does "
        "the meter show from A to B?",
        (
            Choice(
                "7 V: four and three.",
                "It would take two voltages that pull against each other all the time: one at its highest when the "
                "other is at its lowest. Here the second one is only a quarter of a period late.",
            ),
            Choice(
                "1 V: four less three.",
                "That would hold if both rose and fell together. Here one of them is at its peak when the other "
                "passes through zero. Try 0° in the app, and then 90°.",
            ),
            Choice(
                "5 V.",
                "A quarter of a period is a right angle in the drawing, and 3, 4, 5 make a right-angled triangle. Part "
                "4 of the explanation lets you measure it.",
                right=True,
            ),
        ),
    ),
    Question(
        "01.in-space",
        "On paper, the arrow of B stands at a right angle to the arrow of A. What stands at a right angle on the "
        "bench?",
        (
            Choice(
                "The two leads, or the fields around them.",
                "Bend the leads as you like: the meter shows the same. The angle in the drawing is about moments, not "
                "about places.",
            ),
            Choice(
                "Nothing. The angle only says that B peaks a quarter of a period later.",
                "An arrow is a note about size and timing. Nothing on the bench points that way.",
                right=True,
            ),
            Choice(
                "The current of B flows across that of A.",
                "A current flows along its wire, wherever the wire goes. The angle in the drawing says when the "
                "voltage peaks, and nothing about a direction in the room.",
            ),
        ),
    ),
    Question(
        "01.right-on-scope",
        "A scope shows both. The nearest peak of B lies a little to the right of the peak of A. Which of the two "
        "leads?",
        (
            Choice(
                "A: its peak came first.",
                "Left is earlier. Who peaks first leads, who peaks later lags.",
                right=True,
            ),
            Choice(
                "B: it is further ahead on the screen.",
                "The screen is no race track. It is written from left to right, so what lies further right happened "
                "later.",
            ),
            Choice(
                "The one whose wave is taller.",
                "Height is volts. It has nothing to say about who comes first; turn the volts knob and see.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "01.peak",
        "A meter shows 24 V on the bench transformer. How high does the voltage climb at its peak?",
        value=_METER * sqrt(2),
        unit="V",
        why="The meter shows rms. The peak of a sine wave is √2 times as high.",
        hint="The meter shows the rms value. How do the peak of a sine wave and its rms value compare?",
        mistakes=(
            Mistake(
                "rms itself",
                "This is what the meter shows, the rms value. The wave has to climb higher than that, for it spends "
                "much of its time lower.",
                _METER,
            ),
            Mistake(
                "divided by √2",
                "You divided by √2. That is the way from peak to rms; this asks for the way back.",
                _METER / sqrt(2),
            ),
            Mistake(
                "peak to trough",
                "This is from the lowest point to the highest. The peak counts from zero.",
                2 * _METER * sqrt(2),
            ),
            Mistake("twice", "You took twice the rms value. The factor for a sine wave is √2.", 2 * _METER),
            Mistake(
                "√3",
                "You took √3. That belongs to three-phase supplies. Peak and rms of one wave differ by √2.",
                _METER * sqrt(3),
            ),
        ),
    ),
    NumberQuestion(
        "01.degrees",
        "At 60 Hz, channel 2 rises through zero 2 ms after channel 1. By how many degrees is it late?",
        value=_DEGREES,
        unit="°",
        why="One period of 60 Hz lasts 16.67 ms, and the whole period is 360°.",
        hint="How long is one period? Which part of it is the delay? A whole period is 360°.",
        mistakes=(
            Mistake(
                "50 Hz",
                "This fits a supply of 50 Hz. At another frequency the period is not 20 ms.",
                360 * _DELAY * 50,
            ),
            Mistake(
                "half a turn for a whole one",
                "You gave half a turn to a whole period. A whole period is a whole turn.",
                _DEGREES / 2,
            ),
            Mistake(
                "the part of a period",
                "This is the part of a period. Now turn it into degrees: how many has a whole period?",
                _DEGREES / 360,
            ),
            Mistake("per cent", "This is the part of a period in per cent. A whole period is 360°.", _DEGREES / 3.6),
            Mistake("the delay itself", "These are the milliseconds. How long is the whole period?", 1e3 * _DELAY),
        ),
    ),
    NumberQuestion(
        "01.five-twelve",
        "Two channels with a common wire show 5 V and 12 V. The second peaks a quarter of a period EARLIER. What does "
        "a meter show between the two live ends?",
        value=13.0,
        unit="V",
        why="Earlier or later, a quarter of a period is a right angle: root of 25 + 144.",
        hint="Draw both arrows from one point, at a right angle, and measure between the tips. Or use Pythagoras.",
        mistakes=(
            Mistake(
                "added as plain numbers",
                "You added the volts as plain numbers. They do not peak at opposite moments, so draw the arrows first.",
                17.0,
            ),
            Mistake(
                "subtracted as plain numbers",
                "You subtracted the volts as plain numbers. That holds when both peak together. Draw the arrows first.",
                7.0,
            ),
            Mistake("no root", "You squared and added. Now take the root.", 169.0),
            Mistake(
                "squares subtracted",
                "You subtracted the squares. The gap between the tips is the long side of the triangle, so they add.",
                sqrt(144 - 25),
            ),
        ),
    ),
    Question(
        "01.rating",
        "A capacitor is marked 400 V d.c. May it lie across an alternating voltage for which a meter shows 400 V?",
        (
            Choice(
                "Yes. 400 is not more than 400.",
                "The meter shows rms. Twice in every period the voltage climbs to a peak 1.41 times as high, and the "
                "capacitor feels every one of them.",
            ),
            Choice(
                "No. It feels the peaks, and they are 1.41 times as high.",
                "Insulation fails by the highest moment. And a supply may run above its nominal value as well.",
                right=True,
            ),
            Choice(
                "Yes, for the voltage is 400 V for moments only.",
                "It is above 400 V for a good part of every half-period. Insulation needs only one moment too much.",
            ),
        ),
    ),
    Question(
        "01.turned-page",
        "You turn the sheet with the two arrows upside down. What changes for the two voltages?",
        (
            Choice(
                "Both change their sign.",
                "Turning the whole drawing is to look at it at another moment, half a period later. The voltages "
                "themselves go on as before.",
            ),
            Choice(
                "The second one now leads.",
                "Clockwise stays clockwise when you turn a sheet. The second arrow still stands on the same side of "
                "the first.",
            ),
            Choice(
                "Nothing. Only the angle between the arrows means something.",
                "Which way the first arrow points is your choice. Lengths and angles between arrows are what counts.",
                right=True,
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
