"""What the library is given by hand: numbers where texts belong and the other way round get one clear line.

The rule (our own): an error names argument, value, unit and what is accepted.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from phasorkit.body import body_current
from phasorkit.codes import read_bands, read_capacitor
from phasorkit.filament import FilamentLamp
from phasorkit.parts import colour_bands
from phasorkit.phasors import waveform

NO_NUMBERS = (1j, "4k7", None, {}, float("nan"))

CASES: dict[str, tuple[Callable[[object], object], str]] = {
    "resistance": (colour_bands, "resistance must lie from 1 Ω to below 100 GΩ"),  # type: ignore[dict-item]
    "tolerance": (lambda bad: colour_bands(4700, tolerance=bad), "tolerance must be one of"),  # type: ignore[arg-type]
    "volts": (lambda bad: FilamentLamp(bad, 15), r"volts must be positive and finite \[V\]"),  # type: ignore[arg-type]
    "watts": (lambda bad: FilamentLamp(230, bad), r"watts must be positive and finite \[W\]"),  # type: ignore[arg-type]
    "in_series": (lambda bad: FilamentLamp(230, 15, bad), "in_series must be a whole number from 1"),  # type: ignore[arg-type]
    "frequency": (
        lambda bad: waveform(230, frequency=bad, time=[0.0]),  # type: ignore[arg-type]
        r"frequency must be positive and finite \[Hz\]",
    ),
    "percentile": (lambda bad: body_current(50, percentile=bad), "percentile must"),  # type: ignore[arg-type]
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("bad", NO_NUMBERS, ids=repr)
def test_what_is_no_number_is_named(name: str, bad: object) -> None:
    call, words = CASES[name]
    with pytest.raises(ValueError, match=f"^{words}") as caught:
        call(bad)
    assert str(caught.value).endswith(f"got {bad!r}")


@pytest.mark.parametrize("bad", [0, None, 4700.0])
def test_bands_that_are_no_colours(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^bands must be three, four or five colours, got"):
        read_bands(bad)  # type: ignore[arg-type]


def test_bands_as_one_text_in_any_case() -> None:
    """IEC 60062 (from memory): yellow violet red is 4700 ohms; both spellings of grey."""
    assert read_bands("Yellow Violet RED gold") == (4700.0, 5.0)
    assert read_bands(["gray", "red", "brown"]) == read_bands("GREY red brown") == (820.0, 20.0)


def test_three_digits_as_a_number() -> None:
    """The marking 472 (4700 pF) typed without quotes; what is no marking is refused with what is accepted."""
    assert read_capacitor(472) == (pytest.approx(4.7e-9), None)
    for bad in (47, 4.7e-9, None, True, []):
        with pytest.raises(ValueError, match="is not read; accepted: codes like 4n7K"):
            read_capacitor(bad)  # type: ignore[arg-type]
