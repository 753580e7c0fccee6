"""Right values of the exercise `led-pair`, from the indicator itself and its solver."""

from __future__ import annotations

from functools import lru_cache
from math import isclose, pi, sqrt

from phasorkit.course.design import Design
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import reactance
from phasorkit.indicators.led_pair import BRIGHT_PART, DIM_PART, WINDOW, LedPair
from phasorkit.parts import nearest

SERIES = "E24"
BRIGHT, DIM = ("", "bright"), ("", "dim")
LEAST, MOST = ("", "least"), ("", "most")
LOW, HIGH = WINDOW
"""Part of the nominal voltage at which the bright side must light, and at which the dim side must be dark."""

ALONE_PART = sqrt(3) / 2
"""Branch volts over phase voltage with C1 out: half of the line voltage each."""

BRANCH_OFF = 0.1
"""How far dropping and shunt resistor together may be off Xc."""

WIDER = 4.0
"""By how many times the limits of an own window may lie further apart or closer than those of the right one."""

GRACE = 0.005
"""Share by which a limit may be missed: the last digit of an honest rounding."""

SMALL, INSIDE, LARGE, OPEN = "small", "inside", "large", "open"
KINDS = (SMALL, INSIDE, LARGE, OPEN)
"""What is the matter with a tester of question 5: shunts too small, inside the window, too large, or C1 out."""

TESTERS = ("A", "B", "C", "D")
ONE_LIT, ALIKE, WEAKER, NONE = "one lit and one dark", "both lit and alike", "both lit but one weaker", "both dark"
SEEN = (ONE_LIT, ALIKE, WEAKER, NONE)


def exact_reactance(brief: Brief, _: Values) -> float:
    """Xc of the brief's capacitor [Ω]."""
    return reactance(brief.capacitance, brief.frequency)


def peak_currents(brief: Brief, earlier: Values) -> Numbers:
    """Peak of the branch currents [A]: bright side at 85 %, dim side at 110 %, with the reactance found before."""
    peak = sqrt(2) * brief.line_voltage / sqrt(3) / float(earlier["reactance"])
    return {BRIGHT: LOW * BRIGHT_PART * peak, DIM: HIGH * DIM_PART * peak}


def shunt_window(brief: Brief, earlier: Values) -> Numbers:
    """Least and most shunt [Ω], with the currents found before."""
    currents = earlier["currents"]
    return {LEAST: brief.lit_above / currents[BRIGHT], MOST: brief.dark_below / currents[DIM]}


def exact_window(brief: Brief, earlier: Values) -> Numbers:
    """The same straight from the reactance found before."""
    return shunt_window(brief, {"currents": peak_currents(brief, earlier)})


def believed(brief: Brief, earlier: Values) -> Numbers:
    """The window found before; the right one where that one is far too wide or narrow for any slip of the pen."""
    own, right = earlier["window"], exact_window(brief, earlier)
    wider = (own[MOST] / own[LEAST]) / (right[MOST] / right[LEAST])
    return own if 1 / WIDER <= wider <= WIDER else right


def middle(window: Numbers) -> float:
    """As far from the lower limit as from the upper one, by factors [Ω]."""
    return sqrt(window[LEAST] * window[MOST])


def example(brief: Brief, earlier: Values) -> dict[str, float]:
    """Values out of E24 for the middle of the window found before [Ω]."""
    shunt = middle(earlier["window"])
    dropping = max(float(earlier["reactance"]) - shunt, 1.0)
    return {"dropping": float(nearest(dropping, SERIES)), "shunt": float(nearest(shunt, SERIES))}


def led_volts(brief: Brief, earlier: Values, design: Design) -> Numbers:
    """Momentary volts across the shunts with the LEDs not lit [V]: bright side at 85 %, dim side at 110 %."""
    capacitance = 1 / (2 * pi * brief.frequency * float(earlier["reactance"]))
    bright, dim = _nominal_volts(
        LedPair(
            capacitance=capacitance,
            dropping=design["dropping"],
            shunt=design["shunt"],
            line_voltage=brief.line_voltage,
            frequency=brief.frequency,
        )
    )
    return {BRIGHT: LOW * sqrt(2) * bright, DIM: HIGH * sqrt(2) * dim}


@lru_cache(maxsize=256)
def _nominal_volts(pair: LedPair) -> tuple[float, float]:
    first, second = pair.on(pair.supply("123")).lamp_volts
    return round(float(first), 9), round(float(second), 9)


def bright_is_dark(brief: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless the bright LED lights at 85 %.

    The circuit itself decides. An own window of the learner moves the limit in proportion.
    """
    moved = believed(brief, earlier)[LEAST] / exact_window(brief, earlier)[LEAST]
    if led_volts(brief, earlier, design)[BRIGHT] >= (1 - GRACE) * moved * brief.lit_above:
        return None
    return (
        "On a low supply the bright LED does not get the volts at which it plainly lights: there the peak of its "
        "branch current times the shunt is too little."
    )


def dim_is_lit(brief: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless the dim LED stays dark at 110 %; an own window moves the limit in proportion."""
    moved = exact_window(brief, earlier)[MOST] / believed(brief, earlier)[MOST]
    if moved * led_volts(brief, earlier, design)[DIM] <= (1 + GRACE) * brief.dark_below:
        return None
    return (
        "On a high supply the dim LED gets volts at which it may glow: there the peak of its branch current times "
        "the shunt is too much."
    )


def branch_is_off(brief: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless dropping and shunt resistor together are about Xc."""
    whole = (design["dropping"] + design["shunt"]) / float(earlier["reactance"])
    if abs(whole - 1) <= BRANCH_OFF + GRACE:
        return None
    return (
        "Dropping resistor and shunt in series do not make up Xc. Then the star point lies elsewhere, and the two "
        "branches share out otherwise than the lamps of lesson four."
    )


def is_not_sold(brief: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless both values are in E24."""
    if all(isclose(float(nearest(value, SERIES)), value, rel_tol=1e-6) for value in design.values()):
        return None
    return f"{SERIES} does not have both values: take the rungs of the ladder next to what you want."


def shunt_of(kind: str, window: Numbers) -> float:
    """Shunts of a tester of that kind [Ω]: a value of E24."""
    centre = middle(window)
    wanted = {SMALL: 0.5 * window[LEAST], INSIDE: centre, LARGE: 1.9 * window[MOST], OPEN: 1.3 * centre}[kind]
    return float(nearest(wanted, SERIES))


def tester(brief: Brief, name: str) -> tuple[float, float]:
    """Each of its shunts [Ω], and the part of the nominal voltage at which it is looked at."""
    return float(getattr(brief, f"shunt_{name.lower()}")), float(getattr(brief, f"supply_{name.lower()}"))


def kind_of(brief: Brief, name: str) -> str:
    """What is the matter with that tester."""
    if name == brief.probe_off:
        return OPEN
    window, (shunt, _) = _own_window(brief), tester(brief, name)
    return SMALL if shunt < window[LEAST] else LARGE if shunt > window[MOST] else INSIDE


def _own_window(brief: Brief) -> Numbers:
    return exact_window(brief, {"reactance": exact_reactance(brief, {})})


def seen(brief: Brief, earlier: Values) -> dict[str, str]:
    """What is seen at every tester, with the window found before."""
    return {t: _seen(brief, believed(brief, earlier), t) for t in TESTERS}


def _seen(brief: Brief, window: Numbers, name: str) -> str:
    shunt, supply = tester(brief, name)
    if name == brief.probe_off:
        least = window[LEAST] * LOW * BRIGHT_PART / (supply * ALONE_PART)
        return ALIKE if shunt >= least else NONE
    bright, dim = shunt >= window[LEAST] * LOW / supply, shunt > window[MOST] * HIGH / supply
    return (WEAKER if dim else ONE_LIT) if bright else NONE


def clear(brief: Brief) -> bool:
    """Whether every LED of every tester is well clear of its limits, so that no rounding decides what is seen."""
    low, high = brief.dark_below / 1.04, brief.lit_above * 1.04
    return all(volts < low or volts > high for name in TESTERS for volts in tester_volts(brief, name))


def tester_volts(brief: Brief, name: str) -> tuple[float, float]:
    """Momentary volts across both shunts of a tester with its LEDs not lit [V]: of the LED on L2, of that on L3."""
    shunt, supply = tester(brief, name)
    peak = supply * sqrt(2) * brief.line_voltage / sqrt(3) / exact_reactance(brief, {})
    parts = (ALONE_PART, ALONE_PART) if name == brief.probe_off else (BRIGHT_PART, DIM_PART)
    return peak * parts[0] * shunt, peak * parts[1] * shunt


def branch_heat(brief: Brief, earlier: Values) -> float:
    """Watts in the bright branch at 110 % [W], with the reactance found before."""
    return float((HIGH * BRIGHT_PART * brief.line_voltage) ** 2 / 3 / earlier["reactance"])
