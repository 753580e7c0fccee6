"""Exercise `capstone`: design a tester to a brief; a parts list is simulated and marked requirement by requirement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course import parts_verdict as v
from phasorkit.course.briefs import Picker
from phasorkit.course.model import Brief, Task
from phasorkit.course.parts_check import Asks, Mistake, PartsCheck
from phasorkit.course.parts_list import Listed, read_list
from phasorkit.course.tasks.capstone import mistakes, values
from phasorkit.quantities import render

SUPPLIES = ((400, 50), (415, 50), (380, 50), (230, 50), (208, 60), (240, 60), (440, 60), (480, 60))
"""Line voltage [V rms] and frequency [Hz] (IEC 60038 and national practice, from memory)."""

OFF, FINEST = (1.0, 2.0, 3.0, 4.0), (2.0, 5.0)
"""How far the frequency may be off [±%]; the closest capacitor in the shop [±%]."""


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A job, its supply, and what the shop has."""
    volts, hertz = picker.pick(SUPPLIES)
    return {
        "job": picker.pick(list(values.JOBS)),
        "line_voltage": float(volts),
        "frequency": float(hertz),
        "frequency_off": picker.pick(OFF),
        "closest_capacitor": picker.pick(FINEST),
    }


def tells(brief: Brief) -> Sequence[str]:
    """The brief in words."""
    return (
        f"job:                  {brief.job}",
        f"asked:                {values.JOBS[brief.job]}",
        f"supply:               {render(brief.line_voltage, 'V')} line to line, {render(brief.frequency, 'Hz')}",
        f"window:               85 to 110 % of its volts, ±{brief.frequency_off:g} % of its frequency, unbalance 2 %",
        f"closest capacitors:   ±{brief.closest_capacitor:g} %",
    )


def fair(brief: Brief) -> bool:
    """Whether the example does all that is asked: then a design can be found."""
    listed = read_list(values.example(brief), line_voltage=brief.line_voltage, frequency=brief.frequency)
    return isinstance(listed, Listed) and all(row.met for row in v.verdict(listed, values.job(brief)).values())


def _check(
    name: str, says: str, points: float, asks: tuple[Asks, ...], hints: tuple[str, ...], *,
    slips: tuple[Mistake, ...] = (), sound: bool = True,
) -> PartsCheck:  # fmt: skip
    return PartsCheck(
        name=name, says=says, points=points, reads="design", hints=hints, job=values.job, example=values.example,
        asks=asks, sound=sound, mistakes=slips,
    )  # fmt: skip


SHOP = (
    Asks(v.R_SOLD, 0.3, "A resistor has a value that E24 has not, or more ohms than a shop sells."),
    Asks(v.C_SOLD, 0.3, "A capacitor has a value that the shop has not: it has six in a decade."),
    Asks(v.TOLERANCES, 0.2, "A tolerance that the shop has not, or a capacitor closer than its closest."),
    Asks(v.ROOM, 0.2, "The case has no room for so many pieces in a row."),
)
LAMPS = (
    Asks(
        v.DARK, 0.5,
        "The lamp that should be dark has too many volts at the worst corner of parts and supply, or no lamp changes "
        "over at all. Nearer values, closer tolerances, or another circuit.",
    ),
    Asks(v.LIT, 0.25, "The lamp that should be lit does not light for sure at the worst corner."),
    Asks(
        v.CURRENT, 0.25,
        "The lit lamp gets too little current to be seen. A larger capacitor and smaller resistors pass more.",
    ),
)  # fmt: skip
WIRING = (
    Asks(
        v.NAMES, 4 / 7, "This circuit does not name the sequence with the readings and conductors that the job allows."
    ),
    Asks(
        v.NO_LIE, 3 / 7, "With a wrong connection it names a sequence. No better part mends that: another circuit may."
    ),
)
RATINGS = (
    Asks(v.VOLTS, 0.25, "A piece of a resistor has more volts than its kind stands. More pieces, or another kind."),
    Asks(v.HEAT, 0.25, "A piece gets hotter than half of its watts. More pieces, more watts, or a smaller capacitor."),
    Asks(v.C_VOLTS, 0.25, "The capacitor has more volts than it stands, in the worst state at the top of the window."),
    Asks(v.C_CLASS, 0.25, "Across mains a capacitor is of class X or Y; of class Y where a person is behind it."),
)
PERSON = (
    Asks(
        v.TOUCH, 1.0,
        "The person carries too much with one part failed. There is no nearly safe.",
    ),
)  # fmt: skip
FAULTS = (
    Asks(
        v.FAULTS,
        1.0,
        "One part fails, and another one goes above its full rating, or two readings name the wrong sequence. A "
        "resistor that suffers wants more pieces in a row or a stronger kind, a capacitor a kind for more volts.",
    ),
)

TASK = Task(
    name="capstone",
    title="Design your own tester",
    scenario=(
        "The training workshop needs another sequence tester, for a job and a supply of its own. You hand in a parts "
        "list. It is simulated, and marked requirement by requirement."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        _check(
            "shop", "every part can be bought", 3.0, SHOP,
            (
                "Choose a capacitor first; from it follow the resistors.",
                "Capacitors come six in a decade, resistors in E24: what follows from the law has to be rounded.",
                "Divide R by the pieces in a row, then look up E24 for one piece.",
            ),
            sound=False,
        ),
        _check(
            "lamps", "dark lamp dark and lit lamp lit, in the worst case", 5.0, LAMPS,
            (
                "Which value of R gives the null with your capacitor at your frequency?",
                "R = Xc/√3, and Xc is one over 2π·f·C.",
                "Compare what the pieces in a row make together with R: within a per cent is good.",
            ),
            slips=mistakes.LAMPS, sound=False,
        ),
        _check(
            "wiring", "it names the sequence, and no wrong connection misleads", 7.0, WIRING,
            (
                "How many readings has the job, and what is within reach?",
                "A single lamp never names a sequence in one reading; what two lamps say together can.",
                "Look each circuit up in the wiring tables: does a wrong connection name a sequence there?",
            ),
        ),
        _check(
            "ratings", "volts, watts and class in the worst state", 4.0, RATINGS,
            (
                "Look at the worst state, not at the one on the bench.",
                "A piece in a row of equal ones has its share of the volts and of the watts; watts go with the square "
                "of the volts.",
                "With the lamp lit a divider resistor has nearly one and a half times the phase voltage; a capacitor "
                "on doubled probes nearly the line voltage; all of it at the top of the window.",
            ),
            slips=mistakes.RATINGS,
        ),
        _check(
            "person", "no person in the circuit, or one that is safe with any one part failed", 2.0, PERSON,
            (
                "Is a person part of your circuit? Then which part alone could stand between conductor and person?",
                "Ohm's law with the lamp lit and one part shorted: volts over all that is left in series.",
                "Take one resistor to the pad as shorted: the other must hold the limit alone, at the highest volts.",
            ),
            slips=mistakes.PERSON,
        ),
        _check(
            "faults", "no single fault overloads a part or misleads", 3.0, FAULTS,
            (
                "Let one piece short: what do the other pieces of that resistor bear now?",
                "The same volts now fall over fewer pieces: volts and watts of each go up.",
                "Look at the case that is named, and at the part that suffers. A resistor wants more pieces in its row "
                "or a stronger kind, a capacitor a kind for more volts.",
            ),
            slips=mistakes.FAULTS,
        ),
    ),
)  # fmt: skip
