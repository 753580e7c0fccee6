"""Known slips of the exercise `led-pair`: what each gives and what the learner is told."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from phasorkit.course.diagnosis import BRACKETS
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.led_pair import values
from phasorkit.course.tasks.led_pair.values import BRIGHT, DIM, LEAST, MOST
from phasorkit.indicators.led_pair import BRIGHT_PART, DIM_PART

REACTANCE_SLIPS = (
    Slip(
        "the frequency left out",
        "The supply frequency does not stand in your result. A capacitor lets more through the faster the voltage "
        "swings: f belongs in the denominator.",
        lambda b, e: values.exact_reactance(b, e) * b.frequency,
        must=True,
    ),
    Slip(
        "the null bridge's R",
        "A √3 went in. It belongs to the null bridge, where a right angle is wanted at one point. Here each branch "
        "is simply as large as the capacitor's reactance.",
        lambda b, e: values.exact_reactance(b, e) / sqrt(3),
        must=True,
    ),
    Slip(*BRACKETS, lambda b, e: values.exact_reactance(b, e) * b.capacitance**2),
)


def _times(bright: float, dim: float) -> Callable[[Brief, Values], Numbers]:
    """The right currents, each times a factor."""

    def wrong(brief: Brief, earlier: Values) -> Numbers:
        right = values.peak_currents(brief, earlier)
        return {BRIGHT: bright * right[BRIGHT], DIM: dim * right[DIM]}

    return wrong


CURRENT_SLIPS = (
    Slip(
        "the two branches exchanged",
        "The two currents have changed places. The branch of the bright LED has the larger share of the volts.",
        lambda b, e: dict(zip((DIM, BRIGHT), values.peak_currents(b, e).values(), strict=True)),
        credit=0.5,
    ),
    Slip(
        "rms for the peak",
        "This is the rms of the current. An LED answers to the momentary volts, so the peak is asked for.",
        _times(1 / sqrt(2), 1 / sqrt(2)),
        credit=0.5,
        must=True,
    ),
    Slip(
        "√2 used twice",
        "The peak of a peak: √2 came in twice. Volts as a meter reads them are rms; one √2 makes the peak of them.",
        _times(sqrt(2), sqrt(2)),
        credit=0.5,
        must=True,
    ),
    Slip(
        "line voltage for phase voltage",
        "You worked with the line voltage. The shares of the two branches count from the phase voltage, line to "
        "neutral: the star point is drawn from the middle of the triangle.",
        _times(sqrt(3), sqrt(3)),
        must=True,
    ),
    Slip(
        "√3 used twice",
        "The phase voltage was made smaller by √3 once more. Line voltage over √3 is the phase voltage already.",
        _times(1 / sqrt(3), 1 / sqrt(3)),
        must=True,
    ),
    Slip(
        "the nominal voltage",
        "This is the current on the nominal voltage. Which end of the supply is the hard one for this side?",
        _times(1 / values.LOW, 1 / values.HIGH),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the nominal voltage, in rms",
        "This is the current on the nominal voltage, and its rms. Two steps are left: the end of the supply that is "
        "the hard one for this side, and the peak.",
        _times(1 / values.LOW / sqrt(2), 1 / values.HIGH / sqrt(2)),
        credit=0.25,
    ),
    Slip(
        "the easy end of the supply",
        "You took the other end of the supply, where this side has it easy. To light is hard on a low supply, to stay "
        "dark is hard on a high one.",
        _times(values.HIGH / values.LOW, values.LOW / values.HIGH),
        must=True,
    ),
    Slip(
        "the share of the branch left out",
        "So much would flow with just the phase voltage across the branch. With the capacitor the star point moves: "
        "one branch gets more than the phase voltage, the other less.",
        _times(1 / BRIGHT_PART, 1 / DIM_PART),
        must=True,
    ),
    Slip(
        "the shares of the two branches exchanged",
        "You gave this side the other side's share of the phase voltage.",
        _times(DIM_PART / BRIGHT_PART, BRIGHT_PART / DIM_PART),
        must=True,
    ),
)


def _window(least: Callable[[Brief, Values], float], most: Callable[[Brief, Values], float]) -> Callable[..., Numbers]:
    return lambda b, e: {LEAST: least(b, e), MOST: most(b, e)}


def _bright(earlier: Values) -> float:
    return float(earlier["currents"][BRIGHT])


def _dim(earlier: Values) -> float:
    return float(earlier["currents"][DIM])


WINDOW_SLIPS = (
    Slip(
        "the two limits exchanged",
        "The two limits have changed places. The bright side needs a shunt of at least so many ohms, the dim side "
        "one of at most so many.",
        _window(lambda b, e: b.dark_below / _dim(e), lambda b, e: b.lit_above / _bright(e)),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the volts of the other limit",
        "The current is right, the volts belong to the other limit. To light plainly the LED needs the higher ones; to "
        "be surely dark it must stay below the lower ones.",
        _window(lambda b, e: b.dark_below / _bright(e), lambda b, e: b.lit_above / _dim(e)),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the current of the other side",
        "The volts are right, the current belongs to the other side. The bright side sets the least shunt, the dim "
        "side the most.",
        _window(lambda b, e: b.lit_above / _dim(e), lambda b, e: b.dark_below / _bright(e)),
        must=True,
    ),
    Slip(
        "a √2 too much",
        "A √2 came in once more, or the currents were taken as rms. Your currents are peaks already, and the volts of "
        "the LED are momentary as well: Ohm's law needs no √2 here.",
        _window(lambda b, e: sqrt(2) * b.lit_above / _bright(e), lambda b, e: sqrt(2) * b.dark_below / _dim(e)),
        must=True,
    ),
    Slip(
        "the LED's volts taken as rms",
        "You made peaks smaller, or the LED's volts, by √2. Currents and volts are both momentary here: Ohm's law "
        "needs no √2.",
        _window(lambda b, e: b.lit_above / _bright(e) / sqrt(2), lambda b, e: b.dark_below / _dim(e) / sqrt(2)),
        must=True,
    ),
    Slip(
        "current over volts",
        "This is current over volts. Ohms are volts over amperes.",
        _window(lambda b, e: _bright(e) / b.lit_above, lambda b, e: _dim(e) / b.dark_below),
        must=True,
    ),
)


def _scaled(factor: float) -> Callable[[Brief, Values], float]:
    return lambda b, e: values.branch_heat(b, e) * factor


HEAT_SLIPS = (
    Slip(
        "line voltage for phase voltage",
        "You worked with the line voltage; it counts squared here. The share of the branch counts from the phase "
        "voltage.",
        _scaled(3),
        must=True,
    ),
    Slip(
        "the nominal voltage",
        "This is the heat on the nominal voltage. It is asked for at the highest one, and heat goes with the square.",
        _scaled(1 / values.HIGH**2),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the voltage not squared",
        "The supply is higher, and you raised the heat by as much. Volts and current both rise: heat goes with the "
        "square of the voltage.",
        _scaled(1 / values.HIGH),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the lowest voltage",
        "This is the heat on the lowest supply voltage. Where is it hottest?",
        _scaled((values.LOW / values.HIGH) ** 2),
        must=True,
    ),
    Slip(
        "the share of the branch left out",
        "So much heat comes from just the phase voltage. The bright branch has a larger share of it.",
        _scaled(1 / BRIGHT_PART**2),
        must=True,
    ),
    Slip(
        "the nominal phase voltage without a share",
        "So much heat comes from just the phase voltage, and the nominal one. The bright branch has a larger share of "
        "it, and the supply may be higher.",
        _scaled(1 / (values.HIGH * BRIGHT_PART) ** 2),
    ),
    Slip(
        "the share of the branch not squared",
        "The share of the branch came in once. It belongs to the volts, and heat goes with their square.",
        _scaled(1 / BRIGHT_PART),
        credit=0.5,
    ),
    Slip(
        "the line voltage without a share",
        "You put the whole line voltage on the branch. It has its share of the phase voltage.",
        _scaled(3 / BRIGHT_PART**2),
    ),
    Slip(
        "the peak for the rms",
        "You squared a peak. Heat comes from rms values, volts or amperes.",
        _scaled(2),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the dim branch",
        "This is the branch of the dim LED. The bright one's is asked for.",
        _scaled((DIM_PART / BRIGHT_PART) ** 2),
        must=True,
    ),
    Slip(
        "the currents of the wrong end of the supply",
        "You took the peak current at the low end of the supply, squared it and forgot that it is a peak.",
        _scaled(2 * (values.LOW / values.HIGH) ** 2),
    ),
)
