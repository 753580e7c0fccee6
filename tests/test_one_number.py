"""Where one number is asked for, a list, a text, nothing, a complex number or yes is refused by name, not by chance.

The rule (our own): an error names argument, value and what is accepted; a bare TypeError names nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from example_motors import CHAPMAN

from phasorkit import run_up
from phasorkit._checks import number, phasor, positive, single, whole
from phasorkit.analysis import (
    bench_agree,
    bench_sheet,
    body_path,
    cloud,
    design,
    discharge,
    faults,
    harmonics,
    inductor_instead,
    lamp_in_time,
    loading,
    monte_carlo,
    ratings,
    shifter,
    two_lamps,
)
from phasorkit.body import body_current
from phasorkit.filament import FilamentLamp
from phasorkit.indicators import circuit
from phasorkit.motor_faults import derating, running_slip
from phasorkit.network import Element, Network
from phasorkit.parts import colour_bands
from phasorkit.phasors import waveform
from phasorkit.rotating_field import rotating_field, shaft_direction
from phasorkit.supply import Supply
from phasorkit.switching import GlowLamp, Led, SwitchingLamp
from phasorkit.transient import simulate, steady_state

BRIDGE: Any = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)  # type: ignore[attr-defined]
PROBE: Any = circuit("touch-probe").sized(capacitance=1e-9, frequency=50, line_voltage=400)  # type: ignore[attr-defined]
SHEET = bench_sheet.bench_sheet(bench_sheet.on_bench("divider-bridge"))
PLATE = run_up.workshop_pump(line_voltage=400, frequency=50)
RATED = Supply(line_voltage=460, frequency=60)
LAMP = (SwitchingLamp("H1", "a", "N", GlowLamp()),)
NET = Network((Element("R1", "R", 220e3, "L1", "a"),))
HELD = {"L1": 230, "N": 0}
RC: dict[str, Any] = {"capacitance": 1e-7, "volts": 12, "frequency": 50}

CASES: dict[str, Callable[[Any], object]] = {
    "percentile": lambda x: body_current(100, percentile=x),
    "line_voltage": lambda x: run_up.workshop_pump(line_voltage=x, frequency=50),
    "frequency": lambda x: run_up.workshop_pump(line_voltage=400, frequency=x),
    "load": lambda x: run_up.speed_after(PLATE, Supply(), speed=0, load=x, seconds=0.1),
    "speed": lambda x: run_up.speed_after(PLATE, Supply(), speed=x, load=1, seconds=0.1),
    "seconds": lambda x: run_up.speed_after(PLATE, Supply(), speed=0, load=1, seconds=x),
    "frequency of a wave": lambda x: waveform(1, frequency=x, time=[0.0]),
    "frequency of a field": lambda x: rotating_field([1, 2, 3]).at([0.0], frequency=x),
    "rated_slip": lambda x: derating(CHAPMAN, line_voltage=460, frequency=60, rated_slip=x, negative=0.02),
    "duration": lambda x: simulate(NET, HELD, frequency=50, lamps=LAMP, duration=x),
    "most_periods": lambda x: steady_state(NET, HELD, frequency=50, lamps=LAMP, most_periods=x),
    "strike": lambda x: GlowLamp(strike=x),
    "threshold": lambda x: Led(threshold=x),
    "volts": lambda x: FilamentLamp(x, 15),
    "in_series": lambda x: FilamentLamp(230, 15, x),
    "steps": lambda x: Supply().moved_round(x),
    "body": lambda x: body_path.body_path(PROBE, PROBE.supply(), body=x),
    "samples": lambda x: monte_carlo.monte_carlo(BRIDGE, samples=x),
    "seed": lambda x: monte_carlo.monte_carlo(BRIDGE, samples=10, seed=x),
    "lamp": lambda x: cloud.cloud(BRIDGE, samples=10, lamp=x),
    "pieces": lambda x: design.Design(exact=BRIDGE, pieces=x),
    "below": lambda x: discharge.discharge(BRIDGE, below=x),
    "touch_limit": lambda x: faults.fault_table(BRIDGE, touch_limit=x),
    "share": lambda x: harmonics.harmonic(Supply(), 5, share=x),
    "order": lambda x: harmonics.runs(x),
    "capacitance": lambda x: inductor_instead.instead_of_capacitor(capacitance=x, frequency=50, line_voltage=400),
    "area": lambda x: inductor_instead.Core(area=x),
    "resistor": lambda x: lamp_in_time.beside_lit(BRIDGE, resistor=x),
    "m: ohms": lambda x: loading.Meter("m", ohms=x),
    "lit_lamp": lambda x: loading.lamp_loading(BRIDGE, lit_lamp=x),
    "line_voltage of a system": lambda x: ratings.impulse(x),
    "degrees": lambda x: shifter.Shifter.turning_by(x, **RC),
    "resistance": lambda x: shifter.Shifter(resistance=x, **RC),
    "line_voltage of a lamp": lambda x: two_lamps.phase_lamp(x),
    "reactance_percent": lambda x: two_lamps.LampBox(
        line_voltage=400, frequency=50, lamp=FilamentLamp(230, 15), reactance_percent=x
    ),
}  # fmt: skip
NO_NUMBERS = ([1.0, 2.0], [], np.array([50.0, 60.0]), "abc", "50", None, 1j, True, float("nan"), float("inf"))


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("bad", NO_NUMBERS, ids=lambda v: repr(v)[:24])
def test_one_number_is_asked_for(name: str, bad: object) -> None:
    with pytest.raises(ValueError, match=rf"^{name.split(' of ')[0]} must ") as caught:
        CASES[name](bad)
    assert str(caught.value).endswith(f"got {bad!r}")


@pytest.mark.parametrize("bad", ["abc", "50", None, 1j, True, [1.0, -1.0], float("nan")], ids=repr)
def test_several_numbers_from_nought(bad: Any) -> None:
    """A load, an unbalance: arrays are welcome, texts that look like a number are not."""
    with pytest.raises(ValueError, match=r"^torque must be 0 or more and finite \[N·m\], got"):
        running_slip(CHAPMAN, RATED, torque=bad)
    with pytest.raises(ValueError, match=r"^negative must be 0 or more and finite \[1\], got"):
        derating(CHAPMAN, line_voltage=460, frequency=60, rated_slip=0.022, negative=bad)


@pytest.mark.parametrize("bad", [[(5, 0.06)], "5", 5, True], ids=repr)
def test_harmonics_are_a_mapping(bad: Any) -> None:
    with pytest.raises(ValueError, match=r"^content must be a mapping such as \{5: 0\.06\}, got"):
        harmonics.harmonic_table(BRIDGE, content=bad)


@pytest.mark.parametrize("bad", [None, 24.1, "24.1", True], ids=repr)
def test_readings_are_a_list(bad: Any) -> None:
    with pytest.raises(ValueError, match=r"^readings\['132'\] must be 8 values \[V\]"):
        bench_agree.agree(SHEET, {"132": bad})


@pytest.mark.parametrize("bad", [None, 1, "UVW", {"L1", "L2", "L3"}], ids=["None", "number", "text", "set"])
def test_terminals_are_in_order(bad: Any) -> None:
    """A set has no order: what lies on U1 could not be told."""
    with pytest.raises(ValueError, match=r"^terminals must be L1, L2, L3 in some order"):
        shaft_direction(terminals=bad)


def test_a_hair_below_the_largest_colour_code() -> None:
    """Four bands end at 99 GΩ (IEC 60062, from memory): there is no colour for what rounds to 100 GΩ."""
    assert colour_bands(99e9, tolerance=5) == ("white", "white", "white", "gold")
    with pytest.raises(ValueError, match="resistance"):
        colour_bands(99_999_999_900.0, tolerance=5)


def test_the_checks_themselves() -> None:
    """What numpy makes of numbers is taken; what no float can hold is no number."""
    for taken in (2, 2.0, np.float32(2), np.int64(2), np.array(2.0)):
        assert number(taken) == single(taken, "x", "V") == 2.0  # type: ignore[arg-type]
    assert whole(np.int64(3), "n") == 3
    for check in (positive, single, phasor):
        with pytest.raises(ValueError, match=r"^x must be .*finite \[V\], got 1000"):
            check(10**400, "x", "V")


def test_a_motor_without_losses_beside_one_with() -> None:
    """0 and 1100 W in one batch: the shaft of the second hands over just that much less power."""
    from dataclasses import replace

    run = replace(CHAPMAN, rotational_loss=[0.0, 1100.0]).on(RATED, slip=0.022)
    assert run.shaft_power[0] - run.shaft_power[1] == pytest.approx(1100)
