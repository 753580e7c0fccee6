"""Counts and shares in per cent as answers, and tables whose entries have units of their own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from phasorkit.course.diagnosis import Tolerance
from phasorkit.course.model import Brief, Task, judge
from phasorkit.course.plain import PlainData
from phasorkit.course.reading import PLAIN_UNITS, Trouble, read_number
from phasorkit.course.table import TableCheck

LABEL = TableCheck(
    name="label",
    says="what is printed",
    points=2.0,
    unit="%",
    units={"C": "F"},
    value=lambda b, e: {("", "C"): 4.7e-9, ("", "off"): 10.0},
    groups=("",),
    entries=("C", "off"),
    sense=(0.0, 1.0),
    tolerance=Tolerance(0.001),
    factors=(),
)
TOY = Task("toy", "Toy", "", lambda p: {}, lambda b: (), (LABEL,))
BRIEF = Brief("toy", "n", "", (("x", 1.0),))


@pytest.mark.parametrize(
    ("answer", "unit", "value"),
    [
        (3, "pieces", 3.0), ("3", "pieces", 3.0), ("3 pieces", "pieces", 3.0), ("1 piece", "pieces", 1.0),
        ("1440 r/min", "r/min", 1440.0), ("1440rpm", "r/min", 1440.0), ("1 440 r/min", "r/min", 1440.0),
        (1500, "r/min", 1500.0),
        ("6 poles", "pieces", 6.0), ("3 resistors", "pieces", 3.0), ("zero", "V", 0.0), (" Zero ", "pieces", 0.0),
        ("three", "pieces", 3.0), ("Four resistors", "pieces", 4.0), ("1500 rev/min", "r/min", 1500.0),
        ("1500 min-1", "r/min", 1500.0), ("1500 r.p.m.", "r/min", 1500.0), ("5 pct", "%", 5.0),
        ("≈ 390k", "Ω", 390e3), ("~230 V", "V", 230.0), ("= 390000", "Ω", 390e3), ("120º", "°", 120.0),
        ("1.5 A rms", "A", 1.5), ("113 µA eff", "A", 113e-6),
        ("±2%", "%", 2.0), ("± 2,5 %", "%", 2.5), ("+/-5 %", "%", 5.0), ("+-5%", "%", 5.0), ("-5 %", "%", -5.0),
        ("3 Pieces", "pieces", 3.0), ("1 resistor", "pieces", 1.0), ("2 Poles", "pieces", 2.0), ("3.", "pieces", 3.0),
        ("1500 RPM", "r/min", 1500.0), ("1500 min⁻¹", "r/min", 1500.0), ("1500/min", "r/min", 1500.0),
        ("5 Percent", "%", 5.0), ("+ 5 %", "%", 5.0), ("± 5 %.", "%", 5.0),
        ("390 kΩ.", "Ω", 390e3), ("390k.", "Ω", 390e3), ("400 V.", "V", 400.0), ("4,7 nF,", "F", 4.7e-9),
        ("10 %", "%", 10.0), ("10%", "%", 10.0), ("2,5 per cent", "%", 2.5), ("5 percent", "%", 5.0), (0.5, "%", 0.5),
    ],
)  # fmt: skip
def test_a_count_and_a_share_are_read(answer: PlainData, unit: str, value: float) -> None:
    """With and without the word behind it, in any case, as a sentence ends (common practice; min⁻¹: ISO 80000-3)."""
    assert read_number(answer, unit) == value


@pytest.mark.parametrize("answer", [[0, 39], [390, 0], [4, 7e-9], [173, 2]])
def test_a_decimal_comma_outside_quotes_is_told_so(answer: PlainData) -> None:
    """Python reads 0,39 as two numbers (language reference, expression lists); a decimal comma is common practice."""
    found = read_number(answer, "Ω")
    assert isinstance(found, Trouble)
    assert found.slip == "a comma outside quotes"
    assert "quotes" in found.words


@pytest.mark.parametrize("answer", [[], [3], [1, 2, 3], ["1", "2"], [True, 2], [1, False], [1.5, 2]])
def test_another_list_is_just_a_list(answer: PlainData) -> None:
    """A comma leaves two numbers, and the first of them is a whole one."""
    found = read_number(answer, "Ω")
    assert isinstance(found, Trouble)
    assert found.slip == "not a number"


@pytest.mark.parametrize(
    ("answer", "unit", "slip"),
    [
        ("3 V", "pieces", "another unit"),
        ("4k", "pieces", "not a number"),
        ("1.5k", "r/min", "not a number"),
        ("L1", "V", "not a number"),
        ("three", "V", "not a number"),
        ("few", "pieces", "not a number"),
        ("3 pole pairs", "pieces", "not a number"),
        ("±3", "pieces", "not a number"),
        ("±5 V", "V", "not a number"),
        ("10 m%", "%", "not a number"),
        ("%", "%", "not a number"),
        ("10 %", "Ω", "not a number"),
        ("50 Hz", "r/min", "another unit"),
        (float("nan"), "%", "not a finite number"),
        ([3], "pieces", "not a number"),
    ],
)
def test_what_is_no_count_is_told_so(answer: PlainData, unit: str, slip: str) -> None:
    """No prefix belongs to a count. Another unit is named only where it is written: no prefix is one, nor is L1."""
    found = read_number(answer, unit)
    assert isinstance(found, Trouble)
    assert found.slip == slip


@pytest.mark.parametrize("answer", ["3.316e+04 nF", "3.3e4nF", "3.3·10^4 nF", "1e3k"])
def test_a_power_of_ten_before_a_prefix_is_told_so(answer: PlainData) -> None:
    """Python's own way to print a large number (language reference, format "g") meets a prefix written by hand."""
    found = read_number(answer, "F")
    assert isinstance(found, Trouble)
    assert found.slip == "a power of ten and a prefix"
    assert not any(c.isdigit() for c in found.words)


@given(st.text(max_size=70) | st.floats() | st.integers(), st.sampled_from(sorted(PLAIN_UNITS)))
def test_reading_takes_any_text(answer: PlainData, unit: str) -> None:
    """A number or a reason, never an error."""
    assert isinstance(read_number(answer, unit), float | Trouble)


@pytest.mark.parametrize(
    ("answer", "points"),
    [
        ({"C": "4n7", "off": "10 %"}, 2.0),
        ({"C": 4.7e-9, "off": 10}, 2.0),
        ({"C": "4.7 %", "off": "10 %"}, 1.0),
        ({"C": "4n7", "off": "10 nF"}, 1.0),
    ],
)
def test_entries_of_a_table_may_have_units_of_their_own(answer: PlainData, points: float) -> None:
    """Farads beside per cent."""
    assert judge(TOY, BRIEF, "label", {"label": answer}).points == points
