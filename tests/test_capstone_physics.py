"""The capstone's figures against circuits solved by hand, its words for known mistakes, and lists nobody would write.

Independent of the package: dividers and node equations written out here, Ohm's law through a person. Limits: a glow
lamp lights at 40 to 90 V (`common practice`); 0.5 mA, the reaction limit of IEC 60990 and IEC 61010-1 (from memory).
"""

from __future__ import annotations

from cmath import exp, pi
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_task_capstone import CAPSTONE, CHECKS, FAILING, NULL, PAD, PUMP, STALL, WORKSHOP, Parts, listed_of, mark_of

from phasorkit.course import case, parts_list
from phasorkit.course import parts_verdict as v
from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading import drawn
from phasorkit.course.model import Brief, judge
from phasorkit.course.tasks.capstone import mistakes, values

TOP, WINDOW, UNBALANCE = 1.1, 0.02, 0.02
"""The briefs' highest volts and frequency window [1]; negative sequence allowed by EN 50160 (from memory)."""


def phases(volts: float, *, negative: bool = False) -> tuple[complex, complex, complex]:
    """L1, L2, L3 against the star point, sequence 1-2-3 or the other."""
    turn = exp((2j if negative else -2j) * pi / 3)
    return volts / 3**0.5, volts / 3**0.5 * turn, volts / 3**0.5 * turn**2


def figure(row: v.Row) -> float:
    """The number of a row, three digits."""
    return float(row.figure.split()[0])


def row(brief: Brief, design: Parts, name: str) -> v.Row:
    """A row of the verdict."""
    return v.verdict(listed_of(brief, design), values.job(brief))[name]


def dark_corner(ohms: float, farads: float, hertz: float, volts: float) -> float:
    """Most volts on the dark lamp of the null bridge over all corners, dividers by hand [V]."""
    worst = 0.0
    for r1, r2, r3, c, f in product((0.99, 1.01), (0.99, 1.01), (0.99, 1.01), (0.95, 1.05), (1 - WINDOW, 1 + WINDOW)):
        xc = 1 / (2 * pi * hertz * f * farads * c)

        def lamp(l1: complex, l2: complex, l3: complex, r1: float = r1, r2: float = r2, r: float = r3 * ohms,
                 x: float = xc) -> complex:  # fmt: skip
            m = l1 + (l3 - l1) * r1 / (r1 + r2)
            p = l3 + (l2 - l3) * r / (r - 1j * x)
            return m - p

        right, other = lamp(*phases(TOP * volts)), lamp(*phases(TOP * volts, negative=True))
        worst = max(worst, abs(right) + UNBALANCE * abs(other))
    return worst


@pytest.mark.parametrize(("volts", "hertz", "each", "c"), [(400, 50, "130k", 4.7e-9), (208, 60, "110k", 4.7e-9)])
def test_the_dark_lamp_at_its_worst_corner(volts: float, hertz: float, each: str, c: float) -> None:
    """1 % resistors, 5 % capacitor, ±2 % of frequency, 110 % of volts, 2 % unbalance at its worst angle."""
    numbers = {"job": values.BENCH, "line_voltage": volts, "frequency": hertz, "frequency_off": 2.0}
    brief = Brief("capstone", "n", "", (*numbers.items(), ("closest_capacitor", 5.0)))
    design = {**NULL, "R1 R2 R3": f"3 x {each}", "C1": c}
    own = dark_corner(3e3 * float(each.removesuffix("k")), c, hertz, volts)
    assert figure(row(brief, design, v.DARK)) == pytest.approx(own, rel=0.01)  # three digits
    assert row(brief, design, v.DARK).met is (own < 40)


def test_volts_of_a_capacitor_on_doubled_probes() -> None:
    """Lamp lit, two probes on one conductor: three equal R side by side, R/3 before Xc = √3·R, √(27/28) of line."""
    assert figure(row(WORKSHOP, NULL, v.C_VOLTS)) == pytest.approx(TOP * 400 * (27 / 28) ** 0.5, rel=0.005)


def touch(r: float, half: float, pad: float, c: float, volts: float) -> float:
    """Most current through a person of no resistance, any one part short, lamp a short: Ohm and Kirchhoff [A]."""
    worst = 0.0
    for short in (None, "R1", "R2", "R3", "R4", "C1", "R5", "R6"):
        ohms = {"R1": r, "R2": r, "R3": half, "R4": half, "R5": pad, "R6": pad, "C1": 1 / (2j * pi * 50 * c)}
        z = {name: (1e-6 if name == short else value) for name, value in ohms.items()}
        for l1, l2, _ in (phases(TOP * volts), phases(TOP * volts, negative=True)):
            a, b, p = z["R1"] + z["R2"], z["R3"] + z["R4"] + z["C1"], z["R5"] + z["R6"]
            worst = max(worst, abs((l1 / a + l2 / b) / (1 / a + 1 / b + 1 / p) / p))
    return worst


@pytest.mark.parametrize("pads", [("2 x 300k", 600e3), ("2 x 180k", 360e3), ("3 x 1M", 3e6)])
def test_current_through_a_person(pads: tuple[str, float]) -> None:
    """The worst single short, and met only at 0.5 mA or less."""
    design = {**PAD, "R1 R2": "3 x 39k", "R3 R4": "3 x 20k", "C1": "15n", "R5 R6": pads[0]}
    found = row(PUMP, design, v.TOUCH)
    milliamperes = 1e3 * touch(117e3, 60e3, pads[1], 15e-9, 400)
    assert figure(found) == pytest.approx(milliamperes, rel=0.01)
    assert found.met is (milliamperes <= 0.5)


# --- drawn cases --------------------------------------------------------------------------------------------

POOR = {**NULL, "C tolerance": 20}
"""Its dark lamp is not dark for sure."""


def test_the_case_is_drawn_at_the_volts_of_the_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    """`draw_case` in a notebook: a caption with the figure, and the drawn reading has it."""
    space: dict[str, Any] = {}
    exec(
        "from phasorkit.course import begin, check\nfrom phasorkit.course.case import draw_case\n"
        'brief = begin("capstone", learner="n")', space,
    )  # fmt: skip
    brief = space["brief"]
    poor = {**values.example(brief), "C tolerance": 20}
    space["design"] = poor
    exec('points = check("lamps")\npicture = draw_case("lamps")', space)
    found = row(brief, poor, v.DARK)
    assert not found.met
    assert found.figure in capsys.readouterr().out
    assert "<svg" in space["picture"].svg
    reading = case.failing_reading(listed_of(brief, poor), values.job(brief), v.DARK)
    assert reading is not None
    assert max(float(np.max(x)) for x in reading.lamp_volts) >= figure(found) * 0.995


def test_draw_case_says_when_there_is_nothing_to_draw(capsys: pytest.CaptureFixture[str]) -> None:
    assert case.draw_case("lamps") is None
    assert "first" in capsys.readouterr().out


def test_every_row_that_fails_is_drawn_or_fails_in_a_shop() -> None:
    """No failing list above is left without its drawing."""
    for name, wanted, brief, design in FAILING:
        output = drawn.case_output(CHECKS[name], brief, dict(design))
        assert [o.output_type for o in output] == ([] if wanted in v.NOT_DRAWN else ["display_data"]), (wanted, output)


def test_a_drawing_that_fails_stops_no_grading(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("no paint")

    monkeypatch.setattr(drawn, "drawing_of", broken)
    (said,) = drawn.case_output(CHECKS["lamps"], WORKSHOP, dict(POOR))
    assert "could not be drawn (RuntimeError)" in said.text


# --- known mistakes, named ----------------------------------------------------------------------------------

FILM = next(name for name, kind in parts_list.KINDS.items() if not kind.pulse)
LIGHT = {**NULL, "C1": "2n2"}
MISTAKES: dict[str, tuple[str, Brief, Parts]] = {
    "the whole value in every piece": ("lamps", WORKSHOP, {**NULL, "R1 R2 R3": "3 x 390k"}),
    "R = Xc without the √3": ("lamps", WORKSHOP, {**NULL, "R1 R2 R3": "3 x 220k"}),
    "the √3 on the wrong side": ("lamps", WORKSHOP, {**NULL, "R1 R2 R3": "2 x 600k"}),
    "R for another frequency": ("lamps", WORKSHOP, {**NULL, "R1 R2 R3": "3 x 110k"}),
    "2π missing or used twice": ("lamps", WORKSHOP, {**NULL, "R1 R2 R3": "3 x 820k"}),
    "a prefix lost or doubled": ("lamps", WORKSHOP, {**NULL, "R1 R2 R3": "3 x 1M3"}),
    "dc volts of a film capacitor taken for ac": ("ratings", WORKSHOP, {**NULL, "C kind": FILM}),
    "a capacitor for phase volts": ("ratings", WORKSHOP, {**NULL, "C kind": "X2 275 V"}),
    "no 110 per cent": ("ratings", Brief("capstone", "n", "", (
        ("job", values.BENCH), ("line_voltage", 415.0), ("frequency", 50.0), ("frequency_off", 2.0),
        ("closest_capacitor", 5.0),
    )), NULL),
    "both resistors to the pad counted on": (
        "person", PUMP, {**PAD, "R1 R2": "3 x 39k", "R3 R4": "3 x 20k", "C1": "15n", "R5 R6": "2 x 150k"}),
    "one piece alone": ("faults", WORKSHOP, {**NULL, "R1 R2 R3": "390k", "R kind": "1 W film"}),
}  # fmt: skip


def test_every_declared_mistake_has_its_list() -> None:
    declared = (*mistakes.LAMPS, *mistakes.RATINGS, *mistakes.PERSON, *mistakes.FAULTS)
    assert {m.name for m in declared} == set(MISTAKES)


@pytest.mark.parametrize("slip", MISTAKES)
def test_a_known_mistake_is_named(slip: str) -> None:
    name, brief, design = MISTAKES[slip]
    assert mark_of(brief, name, dict(design)).slip == slip


# --- every brief, and every list ----------------------------------------------------------------------------


def test_the_example_does_all_that_is_asked_of_anybody() -> None:
    """Every brief of a class of 200, each once."""
    drawn_numbers = {b.values: b for b in (draw_brief(CAPSTONE, f"app-{n:03}", "all") for n in range(200))}
    assert len(drawn_numbers) > 60
    for brief in list(drawn_numbers.values())[::4]:
        rows = v.verdict(listed_of(brief, values.example(brief)), values.job(brief))
        assert {name for name, r in rows.items() if not r.met} == set(), brief.values


PIECES = st.builds(lambda n, x, unit: f"{n} x {x:.3g}{unit}", st.integers(0, 25), st.floats(1e-3, 999),
                   st.sampled_from(["", "k", "M", " Ω", "n", "p", "u", "T"]))  # fmt: skip
ODD = st.one_of(st.none(), st.booleans(), st.floats(), st.integers(), st.text(max_size=12), st.lists(st.integers()))
VALUE = st.one_of(PIECES, st.floats(1e-12, 1e-3), st.floats(1, 1e8), ODD)


@st.composite
def lists(draw: st.DrawFn) -> dict[str, Any]:
    """A parts list: mostly one that can be read, with extreme values; sometimes anything."""
    named = draw(st.sampled_from(list(parts_list.CIRCUITS)))
    groups = parts_list.CIRCUITS[named][1].values()
    ohms = st.builds(lambda n, x: [n, float(f"{10**x:.2g}")], st.integers(1, 20), st.floats(0, 6.6))
    farads = st.floats(-12, -3).map(lambda x: float(f"{10**x:.2g}"))
    design: dict[str, Any] = {"circuit": named}
    for parts in groups:
        design[" ".join(parts)] = draw(ohms if parts[0][0] == "R" else farads)
    design |= {
        "R kind": draw(st.sampled_from(list(parts_list.SIZES))),
        "C kind": draw(st.sampled_from(list(parts_list.KINDS))),
        "R tolerance": draw(st.floats(0.1, 50)), "C tolerance": draw(st.floats(0.1, 50)),
    }  # fmt: skip
    for key in draw(st.lists(st.sampled_from(list(design)), max_size=1)):
        design[key] = draw(VALUE)
    return design


@settings(max_examples=120, deadline=None, derandomize=True)
@given(lists(), st.sampled_from([STALL, WORKSHOP, PUMP]))
def test_no_list_stops_a_check(design: dict[str, Any], brief: Brief) -> None:
    """Whatever can be written into a list earns marks between none and all, and words without a result."""
    for name, check in CHECKS.items():
        mark = judge(CAPSTONE, brief, name, {name: design})
        assert 0 <= mark.points <= check.points
        assert mark.text


def test_a_capacitor_that_fails_in_a_fault_is_not_blamed_on_single_resistors() -> None:
    """C1 at half its value has more ohms, so more of the leg's volts (Ohm's law): no piece of a resistor mends that."""
    single = {"circuit": "touch pad", "R1 R2": "820k", "R3 R4": "430k", "R5 R6": "470k", "C1": "2n2",
              "R kind": "0.25 W film", "R tolerance": 1, "C kind": "Y2 300 V", "C tolerance": 5}  # fmt: skip
    pump = Brief("capstone", "n", "", (
        ("job", values.PUMPS), ("line_voltage", 380.0), ("frequency", 50.0), ("frequency_off", 1.0),
        ("closest_capacitor", 5.0),
    ))  # fmt: skip
    mark = mark_of(pump, "faults", single)
    assert "C1 drifted to half: C1 above its rating" in mark.text
    assert "one piece alone" not in mark.text
    assert "kind for more volts" in mark.text
    assert mark_of(pump, "faults", {**single, "C kind": "Y1 500 V"}).points == 3.0
