"""Bad input to the analysis rooms: one line that names argument, unit and value (rule of the house)."""

from __future__ import annotations

import warnings
from collections.abc import Callable

import numpy as np
import pytest

from phasorkit.analysis.cloud import cloud
from phasorkit.analysis.faults import fault_table
from phasorkit.analysis.harmonics import harmonic_table, runs
from phasorkit.analysis.loading import METERS, Meter
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.monte_carlo import monte_carlo
from phasorkit.analysis.ratings import impulse
from phasorkit.analysis.wiring import worst_verdicts
from phasorkit.filament import FilamentLamp
from phasorkit.indicators import circuit
from phasorkit.indicators.base import reactance
from phasorkit.lamps import Lamp
from phasorkit.network import Element
from phasorkit.phasors import polar
from phasorkit.quantities import render

BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
LAMP, CAPACITOR = Lamp("H1", "M", "P"), Element("C1", "C", 4.7e-9, "P", "L2")

BAD: dict[str, tuple[Callable[[], object], str]] = {
    "negative meter": (lambda: Meter("x", ohms=-5, ohms_per_volt=20e3, ranges=(10.0,)), r"ohms .*\[Ω\].*-5"),
    "endless meter": (lambda: Meter("x", ohms=np.inf), r"ohms .*\[Ω\].*inf"),
    "meter of text": (lambda: Meter("x", ohms="10M"), r"ohms .*\[Ω\].*'10M'"),  # type: ignore[arg-type]
    "negative range": (lambda: Meter("x", ohms_per_volt=20e3, ranges=(-5.0,)), r"ranges .*\[V\].*-5"),
    "tolerance of text": (lambda: Margins(resistor="1 %"), r"resistor .*\[±%\].*'1 %'"),  # type: ignore[arg-type]
    "window of one": (lambda: Margins(voltage=1.1), r"voltage .*\[of nominal\].*1\.1"),  # type: ignore[arg-type]
    "negative of text": (lambda: Margins(negative="2 %"), r"negative .*'2 %'"),  # type: ignore[arg-type]
    "lamp of text": (lambda: Lamp("H1", "M", "P", "40 V", 90), r"H1: strike window .*\[V rms\].*'40 V'"),  # type: ignore[arg-type]
    "no limit": (lambda: fault_table(BRIDGE, touch_limit=np.nan), r"touch_limit .*\[A\].*nan"),
    "half a harmonic": (lambda: runs(2.5), r"order .*2\.5"),  # type: ignore[arg-type]
    "fundamental as a harmonic": (lambda: harmonic_table(BRIDGE, content={1: 0.5}), r"content .*0\.5"),
    "negative system": (lambda: impulse(-400), r"line_voltage .*\[V\].*-400"),
    "reactance of two": (lambda: reactance([1e-9, 2e-9], 50), r"capacitance .*\[F\].*2e-09"),  # type: ignore[arg-type]
    "next to no capacitor": (lambda: reactance(1e-320, 50), r"capacitance .*\[F\].*1e-320"),
    "filament below zero": (lambda: FilamentLamp(230, 15).light(-1.0), r"volts .*\[V rms\].*-1"),
    "state of text": (lambda: LAMP.state("40"), r"H1: volts .*\[V rms\].*'40'"),
    "state below zero": (lambda: LAMP.state([50.0, -1.0]), r"H1: volts .*\[V rms\].*-1\.0"),
    "state of a phasor": (lambda: LAMP.state(100j), r"H1: volts .*\[V rms\].*100j"),  # type: ignore[arg-type]
    "meter at less than nothing": (lambda: METERS[-1].resistance(-5.0), r"volts .*\[V rms\].*-5\.0"),
    "meter at a text": (lambda: METERS[0].resistance("5"), r"volts .*\[V rms\].*'5'"),  # type: ignore[arg-type]
    "systems of text": (lambda: worst_verdicts(BRIDGE, ["400"]), r"line_voltages .*\[V\].*'400'"),  # type: ignore[list-item]
    "a system below zero": (lambda: worst_verdicts(BRIDGE, [400, -400]), r"line_voltages .*\[V\].*-400"),
    "samples without end": (lambda: monte_carlo(BRIDGE, samples=10**400), r"samples .* at most 10000000.*memory holds"),
    "a few samples too many": (lambda: cloud(BRIDGE, samples=10_000_001), r"samples .* at most .*10000001"),
    "no frequency": (lambda: CAPACITOR.admittance(0.0), r"frequency .*\[Hz\].*0\.0"),
    "frequency of text": (lambda: CAPACITOR.impedance("50"), r"frequency .*\[Hz\].*'50'"),
    "angle of text": (lambda: polar(230, "120"), r"angle_deg \[degrees\].*'120'"),
    "no magnitude": (lambda: polar([230, np.nan], 0), r"magnitude .*nan"),
    "a phasor as magnitude": (lambda: polar(230j, 0), r"magnitude .*230j"),  # type: ignore[arg-type]
    "a text to write": (lambda: render("4n7", "F"), r"value .*\[F\].*'4n7'"),  # type: ignore[arg-type]
    "two values to write": (lambda: render([1.0, 2.0], "V"), r"value .*\[V\].*1\.0, 2\.0"),  # type: ignore[arg-type]
    "no digits": (lambda: render(4.7, "V", digits=0), r"digits .*0"),
    "filament at nothing": (lambda: FilamentLamp(230, 15).life(np.nan), r"volts .*\[V rms\].*nan"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_named(case: str) -> None:
    """An error names argument, unit and value (rule of the house)."""
    call, words = BAD[case]
    with pytest.raises(ValueError, match=words):
        call()


def test_a_filament_without_volts_lives_for_ever() -> None:
    """A power law with a negative exponent at 0: ∞, and no warning."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert FilamentLamp(230, 15).life([0.0, 230.0]).tolist() == [np.inf, 1.0]
