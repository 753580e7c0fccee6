"""The library against values from outside, row by row of ``tests/reference/*.csv``; and the loader's refusals."""

from pathlib import Path

import numpy as np
import pytest
import reference_rows
from reference_rows import COLUMNS, Row, load, number

from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.network import Element, Network, Solution
from phasorkit.parts import TOLERANCE_LETTERS, colour_bands, nearest, series_values
from phasorkit.phasors import symmetrical_components
from phasorkit.quantities import parse
from phasorkit.supply import Supply


def rows(name: str) -> list:
    """The rows of a file as pytest parameters, named by their id."""
    return [pytest.param(row, id=row.id) for row in load(name)]


# --- phasors and supplies -------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("components"))
def test_symmetrical_components(row: Row) -> None:
    """The listing calls the larger component its first; the textbook names positive and negative."""
    x0, x1, x2 = symmetrical_components([number(text) for text in row.given["phasors"].split(";")])
    larger, smaller = sorted((x1, x2), key=abs, reverse=True)
    row.check({"zero": x0, "positive": x1, "negative": x2, "larger": larger, "smaller": smaller}[row.quantity])


@pytest.mark.parametrize("row", rows("systems"))
def test_nominal_systems(row: Row) -> None:
    """Line voltage over √3 is the phase voltage that the standard prints beside it."""
    supply = Supply(line_voltage=parse(row.given["line_voltage"], "V"), frequency=parse(row.given["frequency"], "Hz"))
    row.check(*(abs(volts) for volts in supply.phasors()[:1]))


# --- circuits -------------------------------------------------------------------------------------------


def solved(row: Row) -> Solution:
    """Read ``in-m R 5 Ω R1; …`` and solve."""
    elements = []
    for text in row.given["parts"].split(";"):
        between, kind, *value, name = text.split()
        a, b = between.split("-")
        elements.append(Element(name, kind, parse(" ".join(value), {"R": "Ω", "L": "H", "C": "F"}[kind]), a, b))
    frequency = parse(row.given["frequency"], "Hz")
    given = row.given["sources"]
    if given.startswith("three-phase"):
        sources = Supply(line_voltage=parse(given.split()[1], "V"), frequency=frequency).sources()
        del sources["N"], sources["PE"]
    else:
        sources = {node: np.asarray(number(volts)) for node, volts in (item.split() for item in given.split(";"))}
    return Network(tuple(elements)).solve(sources, frequency=frequency)


def asked(solution: Solution, quantity: str) -> complex:
    """The quantity that a row names."""
    match quantity.split():
        case ["current", name]:
            return complex(solution.current(name))
        case ["voltage", a, b]:
            return complex(solution.voltage(a, b))
        case ["magnitude", "of", name]:
            return abs(complex(solution.current(name)))
        case ["magnitude", a, b]:
            return abs(complex(solution.voltage(a, b)))
        case ["source", node]:
            return complex(solution.source_current(node))
        case ["line", node]:
            return abs(complex(solution.source_current(node)))
        case ["three", "times", "power", "of", "source"]:
            return 3 * (complex(solution.sources["in"]) * complex(solution.source_current("in")).conjugate()).real
        case ["three", "times", "power", "of", name]:
            return 3 * complex(solution.power(name)).real
        case ["thevenin", what, a, b]:
            return complex(solution.thevenin(a, b)[what == "impedance"])
    raise ValueError(f"unknown quantity {quantity!r}")


@pytest.mark.parametrize("row", rows("circuits"))
def test_textbook_circuits(row: Row) -> None:
    """The nodal solver gives the answers printed in textbooks."""
    row.check(asked(solved(row), row.quantity))


@pytest.mark.parametrize("row", rows("bridge"))
def test_null_bridge(row: Row) -> None:
    """The bridge's parts, its two lamp voltages, and what an imperfect supply leaves on the dark lamp."""
    given = {name: parse(row.given[name], unit) for name, unit in (("capacitance", "F"), ("frequency", "Hz"))}
    volts = parse(row.given["line_voltage"], "V")
    bridge = DividerBridge.sized(line_voltage=volts, **given)
    match row.quantity.split():
        case ["lamp", sequence]:
            value = bridge.on(bridge.supply(sequence)).lamp_volts[0]
        case ["part", name, sequence]:
            part = bridge.network().element(name)
            value = abs(bridge.on(bridge.supply(sequence)).solution.voltage(part.a, part.b))
        case ["power", name, sequence]:
            value = bridge.on(bridge.supply(sequence)).solution.power(name).real
        case ["negative", share]:
            value = bridge.on(bridge.supply("123").unbalanced(negative=float(share))).lamp_volts[0]
        case ["fifth", share]:
            fifth = Supply(line_voltage=volts * float(share), frequency=5 * bridge.frequency, sequence="132")
            value = bridge.on(fifth).lamp_volts[0]
        case ["preferred", series]:
            value = bridge.with_preferred_values(series).resistance
        case [figure]:
            value = bridge.figures()[f"{figure}_ohm"]
    row.check(float(value))


# --- parts ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("preferred"))
def test_preferred_values(row: Row) -> None:
    """The tables of IEC 60063, its exception, and what a builder buys."""
    if row.quantity == "decade":
        assert series_values(row.given["series"]).tolist() == row.numbers().real.tolist()
    else:
        bought = nearest(parse(row.given["value"], "Ω"), row.given["series"])
        assert bought.item() == parse(row.expected, "Ω")


@pytest.mark.parametrize("row", rows("codes"))
def test_marking_codes(row: Row) -> None:
    """Letter codes, tolerance letters and colour bands of IEC 60062."""
    if row.quantity == "value":
        assert parse(row.given["code"], row.unit) == float(row.expected)
    elif row.quantity == "tolerance letter":
        assert TOLERANCE_LETTERS[row.given["letter"]] == float(row.expected)
    else:
        bands = colour_bands(float(row.given["resistance"]), tolerance=float(row.given["tolerance"]))
        assert " ".join(bands) == row.expected


# --- the loader -----------------------------------------------------------------------------------------

GOOD = {
    "id": "one", "given": "x=1", "quantity": "y", "expected": "2", "unit": "V", "digits": "1", "tolerance": "0.5 abs",
    "why": "last digit printed", "source": "a book", "edition": "1st", "where": "p. 1", "origin": "from memory",
}  # fmt: skip


def written(folder: Path, *lines: dict[str, str]) -> Path:
    """A reference file of our own with these rows."""
    text = [",".join(COLUMNS), *(",".join(line.values()) for line in lines)]
    (folder / "trial.csv").write_text("\n".join(text) + "\n", encoding="utf-8")
    return folder


def test_a_complete_row_is_loaded(tmp_path: Path) -> None:
    """The row that the refusals below spoil is itself accepted."""
    row = load("trial", written(tmp_path, GOOD))[0]
    row.check(2.4)
    with pytest.raises(AssertionError, match=r"one: .* is not 2 V"):
        row.check(2.6)


@pytest.mark.parametrize("column", COLUMNS)
def test_a_row_with_a_blank_is_refused(tmp_path: Path, column: str) -> None:
    """Nothing may be left out: not the source, the digits, the tolerance nor its reason."""
    with pytest.raises(ValueError, match=f"trial.csv line 2: nothing in {column}"):
        load("trial", written(tmp_path, GOOD | {column: " "}))


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("origin", "hearsay"), ("digits", "many"), ("why", "because"), ("tolerance", "small"),
        ("tolerance", "0 abs"), ("tolerance", "0.1"), ("tolerance", "-1 rel"),
    ],
)  # fmt: skip
def test_a_row_with_nonsense_is_refused(tmp_path: Path, column: str, text: str) -> None:
    """An origin, digits, reason or tolerance that says nothing is as bad as none."""
    with pytest.raises(ValueError, match=f"trial.csv line 2: {column} must"):
        load("trial", written(tmp_path, GOOD | {column: text}))


def test_files_without_rows_or_with_one_id_twice_are_refused(tmp_path: Path) -> None:
    """A file that checks nothing, or the same thing twice, is a mistake."""
    for lines in ((), (GOOD, GOOD)):
        with pytest.raises(ValueError, match="no rows, or an id used twice"):
            load("trial", written(tmp_path, *lines))


def test_missing_column_is_refused(tmp_path: Path) -> None:
    """The header is checked too."""
    (tmp_path / "trial.csv").write_text("id,given\none,x=1\n", encoding="utf-8")
    with pytest.raises(ValueError, match="columns must be"):
        load("trial", tmp_path)


def test_every_reference_file_is_used() -> None:
    """A file that no test reads would check nothing."""
    tests = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    unread = [name for name in reference_rows.files() if f'("{name}")' not in tests]
    assert not unread
