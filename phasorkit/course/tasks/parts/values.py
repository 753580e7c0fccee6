"""Right values of the exercise `parts`: codes read, resistance, stress, counts, what to buy."""

from __future__ import annotations

from math import ceil, sqrt

from phasorkit.analysis.ratings import CLASS_X, CLASS_Y, DERATING, RESISTORS, Size
from phasorkit.codes import read_bands, read_capacitor
from phasorkit.course.design import Design
from phasorkit.course.model import Brief, Values
from phasorkit.course.table import Numbers
from phasorkit.indicators.base import reactance
from phasorkit.parts import TOLERANCE_LETTERS, nearest

SERIES = "E24"
FILMS = {size.name: size for size in RESISTORS[:3]}
"""Film resistors that lesson 06 tells about, by name."""

CLOSE = 0.05
"""How far the chain may be off R: half a rung of E24."""

MOST = 12
"""Pieces in series beyond which nobody would go."""

C1, C1_OFF, R, R_OFF = ("", "C1"), ("", "C1 off"), ("", "R"), ("", "R off")
R1_WATTS, C1_PEAK = ("", "R1"), ("", "C1")
VOLTS, WATTS = ("", "volts"), ("", "watts")

SERIES_OF = {5.0: "E24", 10.0: "E12", 20.0: "E6"}
"""Series whose rungs go with a tolerance [±%] (IEC 60063)."""

FILM_DC, CERAMIC = "A", "H"
SHELF = {"B": CLASS_X[0], "C": CLASS_X[1], "D": CLASS_X[2], "E": CLASS_X[3], "F": CLASS_Y[0], "G": CLASS_Y[1]}
"""Capacitors with a class on the shelf of question 6, by letter; A is plain film for 630 V dc, H a ceramic disc."""

LETTERS = (FILM_DC, *SHELF, CERAMIC)
X_LETTERS, Y_LETTERS = ("B", "C", "D", "E"), ("F", "G")
MEASURE, CLOSER = "measure C1", "a closer R"
QUESTIONS = ("C1", "pad", "series", "spend")


def codes(brief: Brief, _: Values) -> Numbers:
    """What is printed on the capacitor [F, %] and what the bands of the resistor say [Ω, %]."""
    farad, c_off = read_capacitor(brief.marking)
    ohms, r_off = read_bands(brief.bands.split())
    return {C1: farad, C1_OFF: float(c_off or 0.0), R: ohms, R_OFF: r_off}


def resistance(brief: Brief, earlier: Values) -> float:
    """R for the null [Ω], with the capacitance read before."""
    return float(reactance(float(earlier["codes"][C1]), brief.frequency) / sqrt(3))


def stress(brief: Brief, earlier: Values) -> Numbers:
    """Heat in R1 at its worst [W], with the resistance found before, and the peak of C1's worst volts [V]."""
    return {R1_WATTS: float(brief.r1_volts**2 / earlier["resistance"]), C1_PEAK: float(sqrt(2) * brief.c1_volts)}


def film(brief: Brief) -> Size:
    """The resistors that are to be had."""
    return FILMS[brief.film]


def ratios(brief: Brief, watts: float) -> dict[tuple[str, str], float]:
    """Volts of R1 over those of a piece, and heat over what is used of a piece's watts."""
    size = film(brief)
    return {VOLTS: brief.r1_volts / size.volts, WATTS: watts / (DERATING * size.watts)}


def up(ratio: float) -> int:
    """Rounded up to whole pieces, at least one."""
    return max(1, ceil(ratio - 1e-9))


def pieces(brief: Brief, earlier: Values) -> Numbers:
    """Pieces for the volts and for the heat found before."""
    return {key: float(up(ratio)) for key, ratio in ratios(brief, float(earlier["stress"][R1_WATTS])).items()}


def needed(earlier: Values) -> int:
    """The larger count."""
    return up(max(earlier["pieces"][VOLTS], earlier["pieces"][WATTS]))


def bought(_: Brief, earlier: Values) -> dict[str, float]:
    """The fewest equal pieces out of E24 that bear it all and come close to R: their number, and each of them [Ω]."""
    wanted, least = float(earlier["resistance"]), needed(earlier)
    tries = [(n, float(nearest(wanted / n, SERIES))) for n in range(least, least + 4)]
    count, each = min(tries, key=lambda t: (max(abs(t[0] * t[1] / wanted - 1), 0.9 * CLOSE), t[0]))
    return {"pieces": float(count), "each": each}


def too_many_volts(_: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless the pieces are enough for the volts."""
    if design["pieces"] >= earlier["pieces"][VOLTS]:
        return None
    return "Each piece has more volts across it than it stands, however cool it stays: they share the volts of R1."


def too_hot(_: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless the pieces are enough for the heat."""
    if design["pieces"] >= earlier["pieces"][WATTS]:
        return None
    return "Each piece gets hotter than half of its rated watts: they share the heat of R1."


def far_from_r(_: Brief, earlier: Values, design: Design) -> str | None:
    """Words unless the whole chain is about R."""
    if abs(design["pieces"] * design["each"] / float(earlier["resistance"]) - 1) <= CLOSE + 0.002:
        return None
    return "The whole chain is not close enough to R: in series the ohms add."


def not_sold(_: Brief, __: Values, design: Design) -> str | None:
    """Words unless there is a whole number of pieces whose value E24 has."""
    whole = abs(design["pieces"] - round(design["pieces"])) < 1e-9
    if whole and abs(float(nearest(design["each"], SERIES)) / design["each"] - 1) < 1e-6:
        return None
    return f"This cannot be bought: a whole number of pieces, each with a value that {SERIES} has."


def lowest(letters: tuple[str, ...], volts: float) -> str:
    """The capacitor of these with the fewest volts that are enough."""
    return next(k for k in letters if SHELF[k].volts >= volts)


def choose(brief: Brief, _: Values) -> dict[str, str]:
    """What to take for C1 and for the pad circuit, which series, and what to spend money on."""
    return {
        "C1": lowest(X_LETTERS, brief.c1_volts),
        "pad": lowest(Y_LETTERS, brief.pad_volts),
        "series": SERIES_OF[TOLERANCE_LETTERS[brief.letter]],
        "spend": MEASURE if brief.c_off > brief.r_off else CLOSER,
    }


def fair(brief: Brief) -> bool:
    """Whether counts do not hang on a rounding, more than one piece is needed, and E24 has a close chain.

    The heat may grow by as much as a chain may be below R without asking for one piece more.
    """
    earlier: dict[str, object] = {"codes": codes(brief, {})}
    earlier["resistance"] = resistance(brief, earlier)
    earlier["stress"] = stress(brief, earlier)
    earlier["pieces"] = pieces(brief, earlier)
    found = ratios(brief, stress(brief, earlier)[R1_WATTS])
    chain = bought(brief, earlier)
    close = abs(chain["pieces"] * chain["each"] / resistance(brief, earlier) - 1) < 0.9 * CLOSE
    room = {VOLTS: 0.003, WATTS: 0.06}
    clear = all(up((1 - room[k]) * ratio) == up(ratio) == up((1 + room[k]) * ratio) for k, ratio in found.items())
    return close and clear and 2 <= needed(earlier) <= 6
