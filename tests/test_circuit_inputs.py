"""What a builder may give a circuit: everything else is refused with a line that names it, before anything is sized.

The rule (our own): an error names argument, value, unit and what is accepted.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from phasorkit.indicators import circuit, circuits
from phasorkit.indicators.base import Choice, Given

GOOD: dict[str, object] = {
    "capacitance": 4.7e-9, "inductance": 10.0, "frequency": 50.0, "line_voltage": 400.0, "lamp_voltage": 230.0,
    "lamp_power": 15.0, "series_resistance": 1e5, "winding": 20.0,
}  # fmt: skip
NO_NUMBERS = (
    -1, float("nan"), float("inf"), 1j, "4n7", True, [], [1e-9, 2e-9], np.array([1.0, 2.0]), np.array([]),
)  # fmt: skip
EVERY = [(name, given) for name, cls in circuits().items() for given in cls.inputs]


def sized(name: str, changes: dict[str, object]) -> object:
    """A circuit from good values with some of them changed; no warning may come."""
    good = {given.name: GOOD[given.name] for given in circuit(name).inputs if isinstance(given, Given)}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return circuit(name).sized(**(good | changes))  # type: ignore[attr-defined]


@pytest.mark.parametrize(("name", "given"), EVERY, ids=lambda v: v if isinstance(v, str) else v.name)
def test_what_cannot_be_given_is_named(name: str, given: Given | Choice) -> None:
    """Argument, unit or words, and value in one line, for every input of every circuit."""
    accepted = ", ".join(given.words) if isinstance(given, Choice) else f"[{given.unit}]"
    for bad in ("elsewhere", 1, None, ["L3"]) if isinstance(given, Choice) else NO_NUMBERS:
        with pytest.raises(ValueError, match=rf"^{given.name} must be ") as caught:
            sized(name, {given.name: bad})
        assert accepted in str(caught.value)
        assert repr(bad) in str(caught.value)


@pytest.mark.parametrize(("name", "given"), EVERY, ids=lambda v: v if isinstance(v, str) else v.name)
def test_what_nobody_has_in_the_drawer_is_named(name: str, given: Given | Choice) -> None:
    """The bounds of the command line hold in Python too: 4.7 F is a slip of the pen (common practice)."""
    if isinstance(given, Choice):
        return
    outside = [2 * given.high] + ([given.low / 2] if given.low else [])
    for bad in outside:
        with pytest.raises(ValueError, match=rf"^{given.name} must be .* to .* \[{given.unit}\], got {bad!r}$"):
            sized(name, {given.name: bad})


def test_the_bounds_themselves_are_taken() -> None:
    """Both ends belong to what is accepted, as the message says."""
    for farad in (1e-12, 1e-3):
        assert sized("divider-bridge", {"capacitance": farad}).capacitance == farad  # type: ignore[attr-defined]


@pytest.mark.parametrize(("name", "given"), EVERY, ids=lambda v: v if isinstance(v, str) else v.name)
def test_what_can_be_given_is_taken(name: str, given: Given | Choice) -> None:
    """Numbers of numpy, each word of a choice, and zero and nothing where the circuit says so."""
    taken: list[object] = list(given.words) if isinstance(given, Choice) else [np.float64(GOOD[given.name])]  # type: ignore[arg-type]
    if isinstance(given, Given) and given.low == 0:
        taken.append(0)
    for value in taken:
        others = {"shared": "L2"} if value == "common" else {}
        assert getattr(sized(name, {given.name: value} | others), given.name) == value


def test_a_series_resistor_that_is_not_given_is_chosen() -> None:
    """R, as the docstring of `sized` says: Xc/√3."""
    bridge = sized("double-rc-bridge", {"series_resistance": None})
    assert bridge.series_resistance == bridge.resistance  # type: ignore[attr-defined]


def test_a_wrong_word_is_refused_by_the_circuit_itself() -> None:
    """Also where somebody builds one from part values of their own."""
    with pytest.raises(ValueError, match=r"^return_path must be one of pad, neutral, got 'earth'"):
        circuit("touch-probe")(  # type: ignore[call-arg]
            capacitance=4.7e-9, resistance=4e5, half=2e5, chain=1e6, return_path="earth", line_voltage=400, frequency=50
        )


def test_too_few_volts_for_leds() -> None:
    """Below some 2.4 V line to line the bright side cannot reach a red LED's 1.9 V (see `PLAIN_GLOW`)."""
    with pytest.raises(ValueError, match=r"^line_voltage must be above 2\.\d\d V, what LEDs ask for, got 2 V"):
        sized("led-pair", {"line_voltage": 2})
    sized("led-pair", {"line_voltage": 3})
