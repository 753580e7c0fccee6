"""Known slips of the exercise `margins`, pushes and limits: what each one gives, and the words that teach."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import hypot

from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.margins import values
from phasorkit.course.tasks.margins.values import CAUSES, PARTS, RULES, VOLTAGE

Told = dict[str, tuple[str, ...]]
APART = 0.08
"""Least distance from the right value at which a slip is looked for [1]."""


# --- 1: pushes ------------------------------------------------------------------------------------------


def _by_rule(of: Mapping[str, float]) -> Callable[[Brief, Values], Numbers]:
    """The rule of another cause: for each cause named, this share of its per cent of the line voltage."""
    return lambda b, e: {("", n): share * values.percent(b, n) / 100 * b.line_voltage for n, share in of.items()}


_LEG, _DIVIDER, _SUPPLY = RULES["C1"], RULES["R1"], RULES["unbalance"]
PUSHES_SLIPS = (
    Slip(
        "all of the per cent",
        "This is the whole per cent of the line voltage. A point is pushed by less than that: every cause has its own "
        "part in the rules of thumb.",
        _by_rule(dict.fromkeys(RULES, 1.0)),
        credit=0.25,
        must=True,
    ),
    Slip(
        "per cent for volts",
        "These are the per cent that are left. Asked for are volts: so many per cent of the line voltage.",
        lambda b, e: {("", n): share * values.percent(b, n) for n, share in RULES.items() if share},
    ),
    Slip(
        "per cent taken as whole numbers",
        "The per cent went in as whole numbers. A per cent is a hundredth.",
        _by_rule({n: 100 * share for n, share in RULES.items() if share}),
        credit=0.5,
    ),
    Slip(
        "ten per cent taken in",
        "You took the line voltage at its highest. Here it is the nominal one.",
        _by_rule({n: 1.1 * share for n, share in RULES.items() if share}),
        credit=0.5,
    ),
    Slip(
        "the rule of the leg for the divider",
        "You took the rule of C1 and R3 for a resistor of the divider. R1 and R2 move M, not P, and less.",
        _by_rule({"R1": _LEG}),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the rule of the divider, or the phase voltage, for the leg",
        "Either you took the rule of R1 and R2: but C1, R3 and the frequency push P along the half circle, and "
        "further. Or you took the phase voltage: but the rules are parts of the LINE voltage.",
        _by_rule({"C1": _DIVIDER, "R3": _DIVIDER, "frequency": _DIVIDER}),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the rule of the leg for unbalance",
        "You took the rule of C1. Unbalance is a little of the other sequence, and that has all of its share of the "
        "bright lamp's volts: twice as much.",
        _by_rule({"unbalance": _LEG}),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the rule of unbalance for the parts",
        "You took the rule of unbalance. A part that is off, or the frequency, pushes half as far or less.",
        _by_rule({"C1": _SUPPLY, "R3": _SUPPLY, "R1": _SUPPLY, "frequency": _SUPPLY}),
        credit=0.5,
        must=True,
    ),
    Slip(
        "so many per cent of half the line voltage",
        "You took the per cent of half the line voltage. Half of it stands on R1, but a larger R1 makes the whole "
        "divider larger, too: so M moves by less.",
        _by_rule({"R1": 0.5}),
        credit=0.25,
    ),
    Slip(
        "so many per cent of half the line voltage",
        "You took the per cent of half the line voltage, or the rule on the phase voltage. Unbalance is a little of "
        "the other sequence: it has all of its share of the bright lamp's volts, as a part of the LINE voltage.",
        _by_rule({"unbalance": 0.5}),
    ),
    Slip(
        "the line voltage taken for a push",
        "A higher line voltage makes the whole triangle larger, M and P with it. They fall on one point in a larger "
        "triangle, too: so how far apart are they?",
        lambda b, e: {("", VOLTAGE): _LEG * b.voltage_percent / 100 * b.line_voltage},
        must=True,
    ),
    Slip(
        "all of the line voltage's rise",
        "So much the line voltage rises, from corner to corner. But M and P still fall on one point, in a larger "
        "triangle: how far apart are they?",
        _by_rule({VOLTAGE: 1.0}),
        must=True,
    ),
)

# --- 2: limits ------------------------------------------------------------------------------------------


def _likely(value: Callable[[list[float]], float]) -> Callable[[Brief, Values], Numbers]:
    return lambda b, e: _apart(e, "likely", value(_felt(e)))


def _worst(value: Callable[[list[float]], float]) -> Callable[[Brief, Values], Numbers]:
    return lambda b, e: _apart(e, "worst", value(_felt(e)))


def _felt(earlier: Values) -> list[float]:
    return [v for v in values.every(earlier) if v]


def _apart(earlier: Values, entry: str, value: float) -> Numbers:
    """The entry, if the slip's value can be told from the right one by anybody."""
    right = values.limits(None, earlier)["", entry]  # type: ignore[arg-type]
    return {("", entry): value} if abs(value / right - 1) > APART else {}


LIMITS_SLIPS = (
    Slip(
        "plain adding for what is likely",
        "You added them like plain numbers: that is the limit that nothing exceeds. Causes that know nothing of each "
        "other add like the sides of a right-angled triangle.",
        _likely(sum),
        credit=0.25,
        must=True,
    ),
    Slip(
        "no root",
        "You added the squares. Now take the root.",
        _likely(lambda v: hypot(*v) ** 2),
        credit=0.5,
        must=True,
    ),
    Slip(
        "the others taken off",
        "You let the others take volts off the largest. They know nothing of each other: as often as one hinders, "
        "another helps. Square each, add, take the root.",
        _likely(lambda v: abs(2 * max(v) - sum(v))),
    ),
    Slip(
        "the mean",
        "This is the mean. Every cause pushes for itself, the others do not make it smaller.",
        _likely(lambda v: sum(v) / len(v)),
    ),
    Slip(
        "the largest one by itself",
        "This is the largest cause by itself. The others add to it: square each, add, take the root.",
        _likely(max),
        credit=0.25,
    ),
    Slip(
        "the root of the squares for what must always hold",
        "This is the likely limit. Ask what no tester ever exceeds: all push with full force, and all the same way.",
        _worst(lambda v: hypot(*v)),
        credit=0.25,
        must=True,
    ),
    Slip(
        "R2 forgotten",
        "One push is missing. The divider has two resistors, and both may be off.",
        lambda b, e: _apart(e, "worst", sum(_felt(e)) - float(e["pushes"]["", values.TWICE])),
        credit=0.5,
    ),
    Slip(
        "ten per cent taken in",
        "You made it higher by a tenth. Here the line voltage is the nominal one; the tenth belongs to the question "
        "on classes.",
        lambda b, e: {key: 1.1 * right for key, right in values.limits(b, e).items()},
        credit=0.5,
    ),
    Slip(
        "parts only",
        "You added the parts and left the supply out. Frequency and unbalance push as well.",
        lambda b, e: _apart(e, "worst", _of_parts(e)),
        credit=0.5,
    ),
)


def _of_parts(earlier: Values) -> float:
    return sum(float(earlier["pushes"]["", n]) for n in (*PARTS, values.TWICE))


# --- 3: what dominates ----------------------------------------------------------------------------------

DOMINANT_SLIPS = (
    Slip(
        "a supply named for a part",
        "This is nothing that one buys for a tester. Which of the PARTS pushes most?",
        lambda b, e: {"part": ("frequency", "unbalance", VOLTAGE)},
        must=True,
    ),
    Slip(
        "the line voltage blamed",
        "The line voltage may vary most, but how many volts does it leave on the dark lamp?",
        lambda b, e: {"cause": (VOLTAGE,)},
        must=True,
    ),
    Slip(
        "per cent compared, or guessed",
        "Compare the volts in your own table, not the per cent: each cause has another rule.",
        lambda b, e: _not_largest(b, e),
        must=True,
    ),
)


def _not_largest(brief: Brief, earlier: Values) -> Told:
    right = values.dominant(brief, earlier)
    return {
        "cause": tuple(c for c in CAUSES if c not in (right["cause"], VOLTAGE)),
        "part": tuple(p for p in PARTS if p != right["part"]),
    }
