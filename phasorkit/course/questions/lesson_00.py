"""Questions of lesson 00: the lamp that sees an order, what dark means, where one may build, how cells run."""

from __future__ import annotations

from phasorkit.course.questions import Choice, Question

QUESTIONS = (
    Question(
        "00.flip",
        "Two conductors are swapped upstream, so the sequence turns. All parts and all line voltages stay as they "
        "were. What does the lamp do?",
        (
            Choice(
                "It stays dark: the same volts are on the three lines as before.",
                "The sizes of the voltages are the same, that is true. But the lamp also feels their timing. Turn the "
                "sequence in the first cell and look.",
            ),
            Choice(
                "It lights: the circuit can tell in which order the conductors reach their peak.",
                "The capacitor makes the circuit feel the timing, not only the size of the voltages. See it for "
                "yourself: turn the sequence in the first cell.",
                right=True,
            ),
            Choice(
                "It flickers, since the phases now run backwards.",
                "Nothing runs backwards, and there is nothing to flicker: the voltages are as steady as before, only "
                "two of them have changed places. Turn the sequence in the first cell and look.",
            ),
        ),
    ),
    Question(
        "00.dark-lamp",
        "You hold a test lamp between two conductors. It stays dark. What do you know?",
        (
            Choice(
                "There is no voltage between them. I can work on them.",
                "This thought kills people. A failed lamp and a broken lead are just as dark. Both conductors may "
                "even be live, each against earth, with nothing between them.",
            ),
            Choice(
                "The lamp is broken.",
                "It may be. But the supply may be dead, or a lead broken, or both conductors may belong to the same "
                "phase. One dark lamp cannot tell these apart.",
            ),
            Choice(
                "Only that this lamp is dark.",
                "That is all. Dead supply, failed lamp, broken lead, two conductors of the same phase: all look the "
                "same. Prove dead with a proper two-pole voltage tester, and test the tester before and after.",
                right=True,
            ),
        ),
    ),
    Question(
        "00.bench-source",
        "Which source may feed the circuits of this course on your bench?",
        (
            Choice(
                "An isolating three-phase transformer with 24 V between lines.",
                "Isolated from mains, and extra-low voltage. Write its name on your bench sheet.",
                right=True,
            ),
            Choice(
                "A mains socket behind a residual-current device.",
                "A residual-current device trips only when current already leaks to earth, perhaps through you. "
                "Between two conductors it does not protect at all. Mains is for licensed persons.",
            ),
            Choice(
                "A variable autotransformer turned down to 24 V.",
                "It gives few volts between its ends, but it has only one winding, tied to mains. Each end may still "
                "be at full voltage to earth. Low is not enough: the source must be isolated as well.",
            ),
        ),
    ),
    Question(
        "00.rotation",
        "The indicator at the pump's isolator says 1-2-3. Will the pump turn the right way?",
        (
            Choice(
                "Yes. 1-2-3 always means clockwise.",
                "Clockwise seen from which end? And is the motor wired inside as its marks say? Sequence belongs to "
                "the supply, rotation to the machine.",
            ),
            Choice(
                "Not known yet. It must be tried, uncoupled, with a brief start.",
                "Sequence belongs to the supply, rotation to the machine, its wiring and its load. The indicator makes "
                "a wrong start less likely. It does not replace the trial.",
                right=True,
            ),
            Choice(
                "No. Pumps are wired for 1-3-2.",
                "There is no such rule. What the pump needs stands on the pump, as an arrow, and only a trial shows "
                "whether it gets it.",
            ),
        ),
    ),
    Question(
        "00.cell-order",
        "You open a lesson the next day, click into a cell in the middle and run it. It says that a name is not "
        "defined. What has happened?",
        (
            Choice(
                "The lesson is damaged. I need a fresh copy.",
                "Nothing is damaged. The kernel started anew and has not carried out the cells above yet. Run them "
                "first.",
            ),
            Choice(
                "I typed something wrong.",
                "That gives errors too, but here you typed nothing. The kernel started anew and has not carried out "
                "the cells above yet.",
            ),
            Choice(
                "The cells above have not run yet today.",
                "A cell uses what earlier ones made. Run from the top, or choose Kernel, Restart Kernel and Run All "
                "Cells.",
                right=True,
            ),
        ),
    ),
)
