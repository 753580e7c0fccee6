"""The generated reference page: the committed file is the regenerated one, complete, and hangs on no rounding."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from phasorkit.analysis import reference_page
from phasorkit.analysis.reference_page import GIVENS, NAME, VOLTAGES, counts, page, sized, write
from phasorkit.analysis.wiring import other_states, wiring_table
from phasorkit.cautions import DARK_IS_NO_PROOF, WHO_MAY
from phasorkit.indicators import _two_lamp, circuits
from phasorkit.indicators._two_lamp import TwoLampStar
from phasorkit.indicators.led_pair import LedPair
from phasorkit.supply import EARTHINGS

LESSONS = Path(__file__).parent.parent / "lessons"
CELL = re.compile(r"(?<!\\)\|")


@cache
def text_of_page() -> str:
    """The page, made once."""
    return page()


def section(title: str) -> str:
    """The part of the page under a heading."""
    return text_of_page().split(f"## {title}", 1)[1].split("\n## ", 1)[0]


def rows(text: str) -> list[list[str]]:
    """The cells of every table row in a text."""
    return [[c.strip() for c in CELL.split(line)[1:-1]] for line in text.splitlines() if line.startswith("|")]


def test_committed_page_is_the_regenerated_one(tmp_path) -> None:
    """Nobody edited it by hand, and nothing changed without writing it anew (phasorkit teach pages)."""
    (fresh,) = write(tmp_path / "new")
    assert fresh.name == NAME
    assert (LESSONS / NAME).read_bytes() == fresh.read_bytes()
    assert write(tmp_path / "new") == [fresh]


def test_every_circuit_is_on_the_page() -> None:
    """A new circuit must be given a size here, or this fails."""
    assert set(GIVENS) == set(circuits())
    for name, kind in circuits().items():
        assert f"## {kind.title} (`{name}`)" in text_of_page()


def test_cautions_and_assumptions_are_said() -> None:
    """The page carries the cautions that read alike everywhere, and each circuit what it takes for granted."""
    assert DARK_IS_NO_PROOF in text_of_page()
    assert WHO_MAY in text_of_page()
    assert text_of_page().count("Assumes: 400 V line to line, 50 Hz, supply earthing: star;") == len(GIVENS)
    assert "do not edit" in text_of_page().splitlines()[0]
    assert "never a person" in section("Two probes and a touch pad")


def test_tables_are_whole() -> None:
    """Every row has as many cells as its header: 13 states for three probes, 9 for two, none empty."""
    for name in GIVENS:
        text = section(f"{circuits()[name].title} (`{name}`)")
        table = rows(text)
        assert {len(row) for row in table} == {9}
        assert all(cell for row in table for cell in row)
        states = [row[0] for row in table]
        wiring = states[2 : states.index("state", 1)]
        assert len(wiring) == (9 if name == "touch-probe" else 13)


def test_marks_agree_with_the_wiring_table() -> None:
    """As many ticks and crosses under each circuit as its records have verdicts."""
    for name in GIVENS:
        indicator = sized(name, 400.0)
        records = wiring_table(indicator) + other_states(indicator)
        verdicts = [v for r in records for v in (r.verdict, r.after_swap_verdict)]
        text = section(f"{indicator.title} (`{name}`)")
        assert (text.count("✓"), text.count("✗")) == (verdicts.count("true"), verdicts.count("misleading"))


def test_facts_of_the_issue_stand_on_the_page() -> None:
    """On 400 V the twin never misleads and names every fault; LED pair and two lamps mislead; the bridge can't tell."""
    one_reading = {row[0]: row[3] for row in rows(section("From 208 to 690 V").split("Two readings:")[0])}
    assert one_reading["twin-bridge"] == "26 / 0 / 0"
    assert one_reading["divider-bridge"] == "0 / 26 / 0"
    for name in ("led-pair", "two-lamp-capacitor", "two-lamp-inductor"):
        assert not one_reading[name].endswith("/ 0")
    shown = {row[0]: row[1:] for row in rows(section("Earthing of the supply"))[-2:]}
    corner = [cells[EARTHINGS.index("corner")] for cells in shown.values()]
    assert corner == ["231 V, lit", "231 V, lit"]


@pytest.mark.parametrize("name", sorted(GIVENS))
def test_sixty_hertz_gives_the_same_counts(name) -> None:
    """As the page says: the resistors stand in a fixed ratio to the reactance."""
    for field in ("verdict", "after_swap_verdict"):
        at_50, at_60 = (
            counts([getattr(r, field) for r in wiring_table(sized(name, 400.0).resized({"frequency": f}))])
            for f in (50.0, 60.0)
        )
        assert at_50 == at_60


@pytest.mark.parametrize("name", sorted(GIVENS))
def test_nothing_hangs_on_the_last_digit(name) -> None:
    """No lamp stands on its threshold, no pair on its ratio, no volts on a rounding tie: alike on every machine."""
    for volts in VOLTAGES:
        indicator = sized(name, volts)
        supplies = [replace(indicator.supply(), earthing=earthing) for earthing in EARTHINGS]
        records = [r for supply in supplies for r in wiring_table(indicator, supply=supply)] + [
            *other_states(indicator)
        ]
        for record in records:
            for lamp, v in zip(indicator.lamps, record.lamp_volts, strict=True):
                assert min(abs(v - lamp.dark_below), abs(v - lamp.lit_above)) > 1e-6 * lamp.dark_below
            if isinstance(indicator, TwoLampStar | LedPair) and min(record.lamp_volts) > 1e-6:
                ratio = max(record.lamp_volts) / min(record.lamp_volts)
                assert min(abs(ratio - _two_lamp.ALIKE), abs(ratio - _two_lamp.BRIGHTER)) > 1e-6


@pytest.mark.parametrize("name", sorted(GIVENS))
def test_printed_volts_are_no_ties(name) -> None:
    """What is printed lies clear of the half that rounding turns on."""
    indicator = sized(name, reference_page.LINE_VOLTAGE)
    digits = 0 if indicator.lamps[0].dark_below >= 10 else 2
    volts = [v for r in wiring_table(indicator) + other_states(indicator) for v in r.lamp_volts]
    scaled = np.array(volts) * 10**digits
    assert np.min(np.abs(scaled - np.floor(scaled) - 0.5)) > 1e-6
