"""Known slips of the exercise `led-pair` where parts are chosen and where testers are judged."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.tasks.led_pair import values
from phasorkit.course.tasks.led_pair.values import ALIKE, LEAST, MOST, NONE, ONE_LIT, WEAKER

DESIGN_SLIPS = (
    Slip(
        "the null bridge's R",
        "The dropping resistor is smaller than Xc by √3, as in the null bridge. Here the whole branch is to equal Xc.",
        lambda b, e: {"dropping": e["reactance"] / sqrt(3)},
        must=True,
    ),
    Slip(
        "the √3 on the wrong side",
        "The dropping resistor is larger than Xc by √3. There is no √3 here: the whole branch is to equal Xc.",
        lambda b, e: {"dropping": e["reactance"] * sqrt(3)},
        must=True,
    ),
    Slip(
        "Xc shared by two branches",
        "You gave each branch half of Xc. Each of the two branches is to equal Xc by itself.",
        lambda b, e: {"dropping": e["reactance"] / 2},
        must=True,
    ),
    Slip(
        "twice Xc",
        "You gave the branch twice Xc. Each branch is to equal Xc by itself.",
        lambda b, e: {"dropping": e["reactance"] * 2},
        must=True,
    ),
    Slip(
        "even the bright LED made dark",
        "With this shunt even the bright LED stays surely dark on a low supply. The shunt is to keep the dim one dark.",
        lambda b, e: {"shunt": e["window"][LEAST] * b.dark_below / b.lit_above},
        must=True,
    ),
    Slip(
        "even the dim LED made to light",
        "With this shunt even the dim LED lights plainly on a high supply. It is the one that must stay dark.",
        lambda b, e: {"shunt": e["window"][MOST] * b.lit_above / b.dark_below},
        must=True,
    ),
)


def _at(kind: str, says: str) -> Callable[[Brief, Values], dict[str, str]]:
    """A wrong word at the tester of that kind."""
    return lambda b, e: {t: says for t in values.TESTERS if values.kind_of(b, t) == kind}


_SMALLER = (
    "A smaller shunt takes more of the current away from its LED. Multiply: peak of the current times shunt, for the "
    "bright side first. Does it reach the volts at which an LED lights?"
)
_UNLIKE = (
    "With the capacitor in place the two branches never carry the same current: look at their shares again. Two LEDs "
    "that are lit by it are not alike."
)
SEEN_SLIPS = (
    Slip("too small a shunt thought harmless", _SMALLER, _at(values.SMALL, ONE_LIT)),
    Slip("a shunt taken for the LED's supply", _SMALLER, _at(values.SMALL, WEAKER)),
    Slip("a shunt taken for the LED's supply", _SMALLER, _at(values.SMALL, ALIKE)),
    Slip(
        "a shunt inside the window thought to put out both",
        "Look whether this shunt lies inside your window. If it does, the bright LED has volts enough on any supply "
        "that the window is for.",
        _at(values.INSIDE, NONE),
    ),
    Slip(
        "the shunt forgotten",
        "Without a shunt the dim LED would light too. Multiply: peak of the dim branch's current times shunt.",
        _at(values.INSIDE, WEAKER),
    ),
    Slip("the capacitor forgotten", _UNLIKE, _at(values.INSIDE, ALIKE)),
    Slip(
        "the dim side not looked at",
        "The bright one lights, yes. Multiply for the dim side as well: peak of its current times shunt.",
        _at(values.LARGE, ONE_LIT),
    ),
    Slip("the capacitor forgotten", _UNLIKE, _at(values.LARGE, ALIKE)),
    Slip(
        "too large a shunt thought to put out the LED",
        "A larger shunt takes less of the current away from its LED.",
        _at(values.LARGE, NONE),
    ),
    Slip(
        "the capacitor thought to be there still",
        "Probe L1 is off, so C1 carries nothing and moves no star point. What is left: two branches in series. Which "
        "currents do they carry?",
        _at(values.OPEN, ONE_LIT),
    ),
    Slip(
        "the capacitor thought to be there still",
        "Probe L1 is off, so C1 carries nothing and moves no star point. What is left: two branches in series. Can "
        "one of them carry less than the other?",
        _at(values.OPEN, WEAKER),
    ),
    Slip(
        "no current thought to flow without L1",
        "Without probe L1 the two branches still lie between two line conductors, in series, with half of the line "
        "voltage each. How large is the peak of that current, times shunt?",
        _at(values.OPEN, NONE),
    ),
)
