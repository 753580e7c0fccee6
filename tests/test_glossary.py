"""The glossary: each word once, in order, short, with the lesson that opens it; its numbers are the library's."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from phasorkit.analysis.margins import Margins
from phasorkit.analysis.wiring import wiring_states
from phasorkit.lamps import Lamp

LESSONS = Path(__file__).parent.parent / "lessons"
TEXT = (LESSONS / "glossary.md").read_text(encoding="utf-8")
ENTRIES = dict(re.findall(r"^### (.+)\n(.+)$", TEXT, re.MULTILINE))
NUMBERS = {x["number"] for x in tomllib.loads((LESSONS / "contents.toml").read_text(encoding="utf-8"))["lesson"]}


def test_every_word_stands_once_and_in_order() -> None:
    heads = re.findall(r"^### (.+)$", TEXT, re.MULTILINE)
    words = [w.strip().casefold() for head in heads for w in head.split(",")]
    assert len(set(words)) == len(words)
    assert [h.casefold() for h in heads] == sorted(h.casefold() for h in heads)
    assert len(ENTRIES) == len(heads) > 50


@pytest.mark.parametrize("head", ENTRIES)
def test_an_entry_is_short_and_names_the_lessons_that_open_it(head: str) -> None:
    text = ENTRIES[head]
    told = re.search(r"\(([\d, ]+)\)$", text)
    assert told, "ends with the number of its lesson"
    assert set(told[1].split(", ")) <= NUMBERS
    assert len(text.split()) <= 45
    assert len(text.split()) >= 5


def test_numbers_are_those_of_the_library() -> None:
    lamp = Lamp("H1", "M", "P")
    assert f"{lamp.dark_below:.0f} to {lamp.lit_above:.0f} V" in ENTRIES["Strike window"]
    window = Margins()
    for low, high in (window.voltage, window.frequency):
        assert f"{100 * low:.0f} to {100 * high:.0f} %" in ENTRIES["Supply window"]
    states = wiring_states(("L1", "L2", "L3"))
    assert len(states) == 13
    counts = [sum(name.startswith(kind) for name in states) for kind in ("right", "open", "neutral", "doubled")]
    assert counts == [1, 3, 3, 6]
    assert "thirteen: one right, three open, three on neutral, six doubled" in ENTRIES["Wiring state"]


@pytest.mark.parametrize("word", ["phasor", "rms", "dark", "lit", "unsure", "open", "neutral", "doubled", "verdict"])
def test_words_that_the_library_prints_are_explained(word: str) -> None:
    assert [h for h in ENTRIES if h.split(",")[0].casefold() == word]


@pytest.mark.parametrize("word", ["power factor", "efficiency", "inverter", "scope", "torque", "back-fed"])
def test_words_that_lessons_and_exercises_use_are_explained(word: str) -> None:
    """A learner at home has nobody to ask. Power factor and efficiency: on every plate (IEC 60034-1, from memory)."""
    used = [p for p in (*LESSONS.glob("*.ipynb"), *LESSONS.parent.glob("exercises/*/*.ipynb"))
            if word in p.read_text(encoding="utf-8").casefold()]  # fmt: skip
    assert used
    assert [h for h in ENTRIES if word in [w.strip().casefold() for w in h.split(",")]]


def test_a_lost_phase_is_not_called_dead() -> None:
    """Dead means proved so; a motor feeds a lost conductor back (common practice)."""
    assert "conductor that is dead" not in ENTRIES["Lost phase"]


def test_the_lesson_on_motors_says_what_its_plate_means() -> None:
    """Power factor is watts over volts times amps, efficiency watts out over watts in (IEC 60050, from memory)."""
    text = (LESSONS / "11-motor.ipynb").read_text(encoding="utf-8")
    assert "*Power factor*" in text
    assert "*Efficiency*" in text
