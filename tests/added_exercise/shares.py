"""Exercise `shares`: how two resistors in series share the volts of a bench source; all of it in one module.

An example of the least that an exercise needs; `tests/test_add_exercise.py` adds it to a copy of the course.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from phasorkit.course.briefs import Picker
from phasorkit.course.diagnosis import general
from phasorkit.course.model import Brief, Slip, Task, Values
from phasorkit.course.numbers import NumberCheck
from phasorkit.quantities import render

OHMS = (100.0, 150.0, 220.0, 330.0, 470.0, 680.0, 1000.0, 1500.0, 2200.0, 3300.0)


# --- the brief: what is drawn for each learner, and how it is told -------------------------------------------------


def draw(picker: Picker) -> Mapping[str, float]:
    """A source at extra-low voltage and two resistors that differ."""
    first = picker.pick(OHMS)
    return {
        "volts": picker.pick((6.0, 9.0, 12.0, 24.0)),
        "r1": first,
        "r2": picker.pick([r for r in OHMS if r != first]),
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    return (
        f"bench source: {render(brief.volts, 'V')}",
        f"resistors:    R1 {render(brief.r1, 'Ω')}, R2 {render(brief.r2, 'Ω')}",
    )


# --- the reference: what is right, from the brief and from the earlier answers -------------------------------------


def total(brief: Brief, _: Values) -> float:
    """Both resistors in series [Ω]."""
    return float(brief.r1 + brief.r2)


def current(brief: Brief, earlier: Values) -> float:
    """Current through both [A]."""
    return float(brief.volts / earlier["total"])


def share(brief: Brief, earlier: Values) -> float:
    """Volts on R2 [V]."""
    return float(earlier["current"] * brief.r2)


def power(brief: Brief, earlier: Values) -> float:
    """Heat in R2 [W]."""
    return float(earlier["current"] ** 2 * brief.r2)


# --- the slips: what a known mistake gives, and the words that teach; no result in them ------------------------------

PARALLEL = Slip(
    "reckoned as in parallel",
    "This is what two resistors side by side have. One after the other, the current has to pass both.",
    lambda b, e: b.r1 * b.r2 / (b.r1 + b.r2),
    must=True,
)
ONE_RESISTOR = Slip(
    "only one resistor in the way",
    "This current would flow if R2 were alone. It passes R1 too.",
    lambda b, e: b.volts / b.r2,
    must=True,
)
OTHER_SHARE = Slip(
    "the volts of the other resistor",
    "These are the volts on R1. The current is the same in both: the larger resistor has more of the volts.",
    lambda b, e: e["current"] * b.r1,
    must=True,
)
ALL_VOLTS = Slip(
    "all the volts on R2",
    "R2 has its share of the volts only. Take the volts that lie on R2 itself.",
    lambda b, e: b.volts**2 / b.r2,
    must=True,
)

TASK = Task(
    name="shares",
    title="Two resistors share the volts",
    scenario="On the bench of the training workshop two resistors lie in series at a source of extra-low voltage.",
    draw=draw,
    tells=tells,
    checks=(
        NumberCheck(
            name="total", says="resistance of both in series", points=1.0, unit="Ω", value=total, sense=(10.0, 1e5),
            slips=(PARALLEL,), factors=(), hints=("The current has to pass one after the other.", "Add them."),
        ),
        NumberCheck(
            name="current", says="current through both", points=2.0, unit="A", value=current, sense=(1e-5, 1.0),
            follows=("total",), slips=(ONE_RESISTOR,), factors=(), hints=("Ohm's law, for both together.",),
        ),
        NumberCheck(
            name="share", says="volts on R2", points=2.0, unit="V", value=share, sense=(0.01, 30.0),
            follows=("current",), slips=(OTHER_SHARE,), factors=(), hints=("Ohm's law, for R2 alone.",),
        ),
        NumberCheck(
            name="power", says="heat in R2", points=1.0, unit="W", value=power, sense=(1e-6, 10.0),
            follows=("current",), slips=(ALL_VOLTS,), factors=general(volts=2, frequency=False)[:1],
            hints=("Current and volts of R2 itself, multiplied.",),
        ),
    ),
)  # fmt: skip
