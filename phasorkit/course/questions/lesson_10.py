"""Questions of lesson 10: who limits the current through a person, what two probes cannot see, what dark means."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.diagnosis import Factor
from phasorkit.course.questions import Choice, Mistake, NumberQuestion, Question

_LINE = 690.0
_PHASE, _LEGS, _EACH = 240.0, 1.2e6, 1e6

PREDICTIONS = (
    Question(
        "10.wet-hands",
        "The lamp is lit, and its current flows through you to earth. You do it again with wet hands: your body now "
        "has 500 Ω in place of 2000 Ω. What does the current do?",
        (
            Choice(
                "It is four times as large.",
                "That would be so if you alone stood between line and earth. Look for what else stands in this way, "
                "and how many ohms that has. Try the slider of the person in the app.",
            ),
            Choice(
                "It grows by about a half.",
                "Guess the share that your body has of all the ohms in this way. It is far less than that. Try the "
                "slider of the person in the app.",
            ),
            Choice(
                "Nothing that you could measure with ease.",
                "Megohms stand in front of you. They set the current, and you do not. So they must never fail.",
                right=True,
            ),
        ),
    ),
    Question(
        "10.rubber-mat",
        "The supply is sound, the sequence is 1-2-3, both probes are right. You touch the pad and stand on a thick "
        "rubber mat. What do you see?",
        (
            Choice(
                "The lamp is lit: the pad is metal and I touch it.",
                "Current needs a way back to the supply. From you it goes to earth. What does the mat do to it?",
            ),
            Choice(
                "No glow, as in 1-3-2.",
                "Hardly any current finds its way to earth. What you see looks like the other sequence, or like a dead "
                "supply, while both lines are alive.",
                right=True,
            ),
            Choice(
                "The lamp is lit more brightly, for nothing drains away to earth.",
                "What drains away to earth is just what flows through the lamp. No way to earth, no glow.",
            ),
        ),
    ),
    Question(
        "10.third-phase",
        "L3 is lost upstream. L1 and L2 are sound; the probes are on these two. What does the lamp show?",
        (
            Choice(
                "Nothing: without L3 there is no sequence any more.",
                "There is none, that is true. But how should the circuit know? It touches L1, L2 and earth only.",
            ),
            Choice(
                "It lights in both sequences, and so warns of the fault.",
                "That is what a bridge with three probes does. This circuit does not touch L3 at all.",
            ),
            Choice(
                "The same as before.",
                "It touches L1, L2 and earth, and these have not changed. It names a sequence that a motor will not "
                "find.",
                right=True,
            ),
        ),
    ),
)

CHECKS = (
    NumberQuestion(
        "10.lamp-volts",
        "Two probes and a pad on a supply of 690 V between lines, star point earthed, sequence 1-2-3. How many volts "
        "stand between K and earth, before the lamp lights?",
        value=_LINE / sqrt(3),
        unit="V",
        why="K is N mirrored in the line L1–L2: twice as far from N as that line is.",
        hint="In the drawing for 1-2-3, compare the way from N to K with the way from N to L1.",
        mistakes=(
            Mistake(
                "line voltage",
                "This is a whole side of the triangle. K is not that far from N. Compare it with the way from N to L1.",
                _LINE,
            ),
            Mistake(
                "height of the triangle",
                "This is the height of the whole triangle: the lamp of the null bridge has it. Here the lamp spans "
                "from N to its mirror image.",
                _LINE * sqrt(3) / 2,
            ),
            Mistake(
                "one way only",
                "This is from N to the line L1–L2. K lies as far again on its other side.",
                _LINE / sqrt(3) / 2,
            ),
            Mistake("the other sequence", "This is 1-3-2, where K falls on N. The question is about 1-2-3.", 0.0),
        ),
        factors=(
            Factor(
                "peak for rms",
                "Peak and rms are mixed up: they differ by √2. Use rms.",
                (sqrt(2), 1 / sqrt(2)),
            ),
        ),
    ),
    NumberQuestion(
        "10.touch-current",
        "Before the lamp lights, K has 240 V against earth. Seen from K, the legs are like 1.2 MΩ in series. Two "
        "resistors of 1 MΩ each lead to the pad. How much current flows through a body of 0 Ω, the lamp taken as a "
        "wire?",
        value=_PHASE / (_LEGS + 2 * _EACH),
        unit="A",
        why="All of it stands in series: 3.2 MΩ. A real body of some kilohms would not change it visibly.",
        hint="Everything stands in series: add the ohms, then divide.",
        mistakes=(
            Mistake(
                "one resistor",
                "You counted one of the two resistors to the pad. This would be the current with the other one "
                "shorted: a fault.",
                _PHASE / (_LEGS + _EACH),
            ),
            Mistake(
                "legs forgotten",
                "You left the legs out. They stand in the way as well.",
                _PHASE / (2 * _EACH),
            ),
            Mistake(
                "in parallel",
                "You took the two resistors side by side. They follow one another, so their ohms add.",
                _PHASE / (_LEGS + _EACH / 2),
            ),
            Mistake(
                "the body alone",
                "This is what a body of 2000 Ω straight on the line would get. Here megohms stand before it.",
                _PHASE / 2000,
            ),
        ),
    ),
    Question(
        "10.why-two",
        "Why do two resistors stand between lamp and pad, and not one of twice the ohms?",
        (
            Choice(
                "If one fails as a short, the other still stands before me.",
                "No single fault may leave me without protection. That is also why both must be measured: a failed "
                "one shows by nothing at all.",
                right=True,
            ),
            Choice(
                "One alone would get too hot.",
                "Each has a few milliwatts. Heat is not the reason. What if one of them fails?",
            ),
            Choice(
                "Two halves split the current between them.",
                "In series, the same current flows through both. They split the volts. What if one of them fails?",
            ),
        ),
    ),
    Question(
        "10.corner",
        "An old workshop has its corner L2 earthed. The lamp lights; with the probes exchanged it lights again. What "
        "do you write down?",
        (
            Choice(
                "1-2-3, for it was lit at the first try.",
                "On this supply it is lit in both sequences. Where does earth lie in the drawing, and how far is K "
                "from it?",
            ),
            Choice(
                "The tester is broken.",
                "It does what it must: K is far from earth in both sequences, for earth lies at L2 and not at N.",
            ),
            Choice(
                "No sequence. On this supply I take a tester with three probes.",
                "Lit and lit names no sequence. Here earth lies at L2; an open or doubled probe looks the same.",
                right=True,
            ),
        ),
    ),
    Question(
        "10.dark-twice",
        "Dark. You exchange the probes: dark again. What do you know?",
        (
            Choice(
                "The two lines are dead.",
                "The most dangerous answer. You may stand well insulated, or the supply may have nothing earthed, or "
                "the lamp may have failed: dark, dark, and alive.",
            ),
            Choice(
                "Nothing. Dead, insulated, nothing earthed, lamp failed: all of these look like this.",
                "Dark is never proof of absence of voltage. Take a two-pole voltage tester.",
                right=True,
            ),
            Choice(
                "Both probes are on the same line.",
                "Then K would have the voltage of that line, and the lamp would be lit. Try a doubled probe in the "
                "table of part 9.",
            ),
        ),
    ),
)

QUESTIONS = (*PREDICTIONS, *CHECKS)
