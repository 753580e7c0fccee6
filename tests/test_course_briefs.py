"""Own numbers: the same for a learner on every machine, other ones for another class, fair for everybody."""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest
from course_cases import LEARNERS, briefs

import phasorkit.course.briefs as briefs_module
from phasorkit.course.briefs import Picker, draw_brief, normalise
from phasorkit.course.model import Brief, Slip, Task, task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.separation import margin, separation
from phasorkit.course.tasks import bridge

BRIDGE = task("bridge")

STORED = {
    ("me", ""): (220.0, 60.0, 3.3e-9),
    ("app-01", "example"): (400.0, 60.0, 1.2e-9),
}
"""Numbers drawn when this was written: a machine or version that draws others would mark a class wrongly."""


@pytest.mark.parametrize(("who", "values"), STORED.items(), ids=str)
def test_numbers_are_the_stored_ones(who: tuple[str, str], values: tuple[float, ...]) -> None:
    """Digits stored here must come out on every machine and Python version."""
    brief = draw_brief(BRIDGE, *who)
    assert (brief.line_voltage, brief.frequency, brief.capacitance) == values


def test_picker_digits_are_the_stored_ones() -> None:
    """The stream of whole numbers itself is pinned (SHA-256 of seed, separator, count)."""
    picker = Picker("seed")
    assert [picker.whole(1000) for _ in range(6)] == [560, 863, 716, 544, 459, 906]
    with pytest.raises(ValueError, match="below"):
        picker.whole(0)


def test_drawing_uses_no_random_generator() -> None:
    """Neither the random module nor numpy's generators: their streams may change between versions."""
    sources = [Path(inspect.getfile(briefs_module)), *Path(inspect.getfile(bridge)).parent.glob("*.py")]
    for source in sources:
        names = {n.id for n in ast.walk(ast.parse(source.read_text(encoding="utf-8"))) if isinstance(n, ast.Name)}
        assert not names & {"random", "secrets", "hash", "default_rng"}, source


@pytest.mark.parametrize("spelling", ["App-01", "  app-01", "ＡＰＰ-01", "app-01\n"])
def test_spellings_of_an_id_that_look_alike_are_one_learner(spelling: str) -> None:
    """Unicode NFKC, trimmed, case folded (Unicode Standard Annex 15; Unicode Standard 3.13)."""
    assert draw_brief(BRIDGE, spelling, "2025") == draw_brief(BRIDGE, "app-01", "2025")
    assert normalise(normalise(spelling)) == normalise(spelling)


def test_another_class_code_gives_other_numbers() -> None:
    """A resit is a new class code: most of a class of 40 gets other numbers."""
    pairs = [(draw_brief(BRIDGE, n, "a").values, draw_brief(BRIDGE, n, "b").values) for n in LEARNERS[:40]]
    assert sum(first != second for first, second in pairs) >= 35


def test_a_class_of_200_uses_the_whole_range() -> None:
    """All systems and all capacitors turn up, and at least half of the pairs of them."""
    drawn = briefs(BRIDGE)
    assert {(b.line_voltage, b.frequency) for b in drawn} == set(bridge.SYSTEMS)
    assert {b.capacitance for b in drawn} == set(bridge.CAPACITORS)
    assert len(drawn) >= len(bridge.SYSTEMS) * len(bridge.CAPACITORS) / 2


def test_whether_numbers_are_drawn_again_is_never_a_close_call() -> None:
    """Over all pairs there are, no decision hangs on the last digits of a machine's arithmetic."""
    every = [_brief(*system, c) for system in bridge.SYSTEMS for c in bridge.CAPACITORS]
    assert min(abs(margin(BRIDGE, b)) for b in every) > 1e-6


@pytest.mark.parametrize(("learner", "words"), [("", "learner"), (" \t ", "learner")])
def test_an_empty_learner_is_refused(learner: str, words: str) -> None:
    """The error names the argument."""
    with pytest.raises(ValueError, match=words):
        draw_brief(BRIDGE, learner, "2025")


def test_a_brief_is_read_only_and_names_what_it_has() -> None:
    """Values are attributes; others are refused with the list of names."""
    brief = draw_brief(BRIDGE, "me", "")
    with pytest.raises(AttributeError):
        brief.frequency = 60.0  # type: ignore[misc]
    with pytest.raises(AttributeError, match="line_voltage, frequency, capacitance"):
        _ = brief.resistance


def _toy(slip: float, *, must: bool) -> Task:
    check = NumberCheck(
        name="double",
        says="twice x",
        points=1.0,
        unit="Ω",
        value=lambda b, e: 2 * b.x,
        sense=(0, 100),
        slips=(Slip("a slip", "words", lambda b, e: slip, must=must),),
        factors=(),
    )
    options = (1.0, 2.0, 3.0)
    return Task("toy", "Toy", "", lambda p: {"x": p.pick(options)}, lambda b: (), (check,))


@pytest.mark.parametrize("learner", LEARNERS[:20])
def test_numbers_are_drawn_again_until_slips_can_be_told_apart(learner: str) -> None:
    """A slip that must be told apart and gives 4 never meets the brief whose right answer is 4."""
    assert draw_brief(_toy(4.0, must=True), learner, "").x != 2.0


def test_a_slip_that_need_not_be_told_apart_is_dropped_and_counted() -> None:
    """The report says which slip coincides with what."""
    exercise = _toy(4.0, must=False)
    drawn = {draw_brief(exercise, n, "").x for n in LEARNERS[:20]}
    assert 2.0 in drawn
    (overlap,) = separation(exercise, Brief("toy", "n", "", (("x", 2.0),)))
    assert (overlap.check, overlap.first.slip, overlap.second.slip, overlap.must) == ("double", "", "a slip", False)


def test_an_exercise_whose_slips_never_part_is_reported() -> None:
    """Instead of an endless draw: an error that names the exercise."""
    check = _toy(0.0, must=True).checks[0]
    same = NumberCheck(
        name="same", says="", points=1.0, unit="Ω", value=lambda b, e: b.x, sense=(0, 9),
        slips=(Slip("no slip at all", "", lambda b, e: b.x, must=True),),
    )  # fmt: skip
    hopeless = Task("hopeless", "", "", lambda p: {"x": 1.0}, lambda b: (), (check, same))
    with pytest.raises(ValueError, match="hopeless"):
        draw_brief(hopeless, "me", "")


def _brief(line_voltage: float, frequency: float, capacitance: float) -> Brief:
    values = (("line_voltage", line_voltage), ("frequency", frequency), ("capacitance", capacitance))
    return Brief("bridge", "app-000", "gate", values)


@pytest.mark.parametrize("written", ["Term-A", " term-a ", "ＴＥＲＭ-Ａ"])
def test_spellings_of_a_class_code_that_look_alike_are_one_class(written: str) -> None:
    """Unicode NFKC, case and blanks, as for an id: nobody gets other numbers for a capital letter."""
    assert draw_brief(task("bridge"), "app-01", written) == draw_brief(task("bridge"), "app-01", "term-a")
