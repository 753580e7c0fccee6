"""Questions of lesson 08: what wrong connections show, which swap proves something, and what may be written down."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.diagnosis import general
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_LINE = 500.0

PREDICTIONS = (
    Question(
        "08.open-lead",
        "Two lamps and a capacitor, all three phases alive. The lead of probe L2 is broken inside its sleeve. One lamp "
        "hangs on that lead. What do you see?",
        (
            Choice(
                "Both lamps are dark: the tester has lost a phase.",
                "Two phases are left, and current still finds a way between them: from L1 through the capacitor and "
                "the other lamp to L3. Which lamp glows, then? Part 2 of the explanation draws it.",
            ),
            Choice(
                "Both lamps glow alike, and so I know that something is wrong.",
                "That is what a broken lead of the CAPACITOR shows. Here one of the two lamps has lost its own lead. "
                "Part 2 of the explanation draws what is left.",
            ),
            Choice(
                "One lamp is bright and one is dark, just as in a true sequence.",
                "The lamp on the broken lead has no current, the other one has plenty. It looks like a clean reading, "
                "and it names a sequence without knowing one. Part 2 of the explanation draws it.",
                right=True,
            ),
        ),
    ),
    Question(
        "08.any-swap",
        "Two lamps and a capacitor say 1-2-3. To be sure, you exchange the probes of the two LAMPS. Now the tester "
        "says 1-3-2. What have you proved about the three terminals?",
        (
            Choice(
                "The sequence: the reading has changed over, as it must.",
                "It must, but it would have done so with a neutral among the terminals too. The two lamps are equal. "
                "Think of the tester in a mirror: part 5 of the explanation.",
            ),
            Choice(
                "Nothing about them: this swap changes the lamps over, whatever the terminals are.",
                "The lamps are equal, so exchanging their probes only exchanges their places. It clears the lamps and "
                "the leads of suspicion, not the terminals. Part 5 of the explanation says which swap does more.",
                right=True,
            ),
            Choice(
                "That one of them is dead.",
                "A dead terminal does not show by this swap, and a sound connection changes over as well. What does "
                "change when two equal lamps change places? See part 5 of the explanation.",
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "08.neutral-volts",
        "A null bridge with one lamp stands on 500 V between lines, sequence 1-2-3. Probe L1 sits on the neutral by "
        "mistake. How many volts has the lamp, before it lights?",
        value=_LINE / sqrt(3) / 2,
        unit="V",
        why="The lamp spans the midline of the triangle L1–L3–N, half of L1–N: half the phase voltage.",
        hint="Draw the triangle L1, L3, N. M sits midway between L3 and N, P midway between L3 and L1.",
        mistakes=(
            Mistake(
                "the other sequence",
                "This is the lamp in 1-3-2, the whole phase voltage. The question is about 1-2-3, where M and P are "
                "midpoints of two sides of the triangle L1–L3–N.",
                _LINE / sqrt(3),
            ),
            Mistake(
                "an open probe",
                "This is what the lamp has with probe L1 open: then M goes to where L3 is. On the neutral it does not.",
                _LINE / 2,
            ),
            Mistake(
                "the right connection",
                "Zero is what the right connection shows in 1-2-3. With L1 on the neutral, M has moved away from P.",
                0.0,
            ),
            Mistake(
                "a quarter of the line voltage",
                "You halved the line voltage twice. The long side here is L1–N, and that is a phase voltage.",
                _LINE / 4,
            ),
        ),
        factors=general(
            volts=1,
            frequency=False,
            line_or_phase="From one line conductor to another it is the line voltage, from L1 to N the phase voltage. "
            "Which of them has a part in this triangle?",
        ),
    ),
    Question(
        "08.twin-second",
        "A twin shows H1 dark and H2 lit. Beside the dark lamp there is a lit one. Why should you exchange two "
        "probes and read again?",
        (
            Choice(
                "I need not: the lit lamp proves that the supply is alive.",
                "It does. But what proves that H1 can light at all? A broken H1 is dark in both sequences.",
            ),
            Choice(
                "Because a broken H1 would look the same. After the swap it must light.",
                "One lit lamp clears the supply and itself, not its brother. After the swap H1 has to light and H2 to "
                "go dark.",
                right=True,
            ),
            Choice(
                "Because the second reading takes the mean of both.",
                "Nothing is averaged here. The second reading asks of each lamp what the first did not: can the dark "
                "one light, can the lit one go dark?",
            ),
        ),
    ),
    Question(
        "08.blown-fuse",
        "The fuse of conductor L2 has blown. A pump motor still hangs on the three conductors behind the fuses. What "
        "is on L2, behind its fuse?",
        (
            Choice(
                "0 V. The fuse is open.",
                "Open towards the supply, yes. But the motor's windings tie L2 to L1 and L3. It can take volts from "
                "them, enough to kill.",
            ),
            Choice(
                "A probe on it shows what an open probe shows.",
                "An open probe touches nothing and takes the volts of the tester's own parts. L2 is tied to L1 and L3 "
                "through the motor, and the motor is far stronger than a tester.",
            ),
            Choice(
                "Volts, fed back through the motor.",
                "The windings hold it somewhere between L1 and L3. A lost phase is not a dead one: isolate, lock off, "
                "prove dead.",
                right=True,
            ),
        ),
    ),
    Question(
        "08.low-system",
        "On a 208 V system, a twin shows H1 dark and H2 lit. You swap L3 and L1, and it changes over. The volts "
        "between the terminals have not been measured. What may you write down?",
        (
            Choice(
                "1-2-3: dark and lit, and it changed over.",
                "On 208 V a probe on the neutral leaves the weaker lamp so few volts that it may stay dark, and this "
                "changes over as well. The lamps cannot tell the two apart; three voltages can.",
            ),
            Choice(
                "Nothing yet. First I measure between the three terminals.",
                "Three equal line voltages leave no room for a neutral. Then the reading counts.",
                right=True,
            ),
            Choice(
                "Fault: on 208 V the twin is of no use.",
                "It is of use, once the terminals are known to be three phases. Measure between them first.",
            ),
        ),
    ),
    Question(
        "08.both-lit",
        "A twin shows both lamps lit. The three line voltages at the terminals are equal. What do you do?",
        (
            Choice(
                "I look for a broken lead or a bad contact, then read again.",
                "Three equal voltages clear the terminals. What is left is the way from there to the tester: a lead, a "
                "tip that slipped, paint under a clip.",
                right=True,
            ),
            Choice(
                "I take the dimmer lamp as the dark one.",
                "Never. A true dark lamp has nearly no volts. Two lit lamps mean a fault, and the dimmer one knows no "
                "sequence.",
            ),
            Choice(
                "I write down: phase lost.",
                "A lost phase would show in the three line voltages, and these are equal. Look between the terminals "
                "and the tester.",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
