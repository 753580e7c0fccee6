"""A batch gives every lamp the batch's shape, and in each place what a single call gives (rule of the house)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from phasorkit.analysis.wiring import wiring_states
from phasorkit.indicators import circuits
from phasorkit.indicators.base import Given
from phasorkit.motor import InductionMotor
from phasorkit.network import Element, Network
from phasorkit.supply import EARTHINGS, Supply

VOLTS, HERTZ = np.array([[208.0], [400.0]]), np.array([45.0, 50.0, 60.0])


def sized(name: str) -> Any:
    kind: Any = circuits()[name]
    typical = {g.name: g.typical for g in kind.inputs if isinstance(g, Given) and g.typical is not None}
    return kind.sized(**typical, frequency=50, line_voltage=400)


@pytest.mark.parametrize("earthing", EARTHINGS)
@pytest.mark.parametrize("name", circuits())
def test_every_wiring_state_has_the_shape_of_its_supply(name: str, earthing: str) -> None:
    """Also where the lamps do not feel the frequency, since the capacitor's probe is open."""
    indicator = sized(name)
    for lay in wiring_states(indicator.probes).values():
        batch = indicator.on(lay(Supply(line_voltage=VOLTS, frequency=HERTZ, earthing=earthing)))
        for i, volts in enumerate(VOLTS[:, 0]):
            for j, hertz in enumerate(HERTZ):
                single = indicator.on(lay(Supply(line_voltage=volts, frequency=hertz, earthing=earthing)))
                for many, one, state in zip(batch.lamp_volts, single.lamp_volts, batch.lamp_states, strict=True):
                    assert many.shape == state.shape == (2, 3)
                    assert one.shape == ()
                    assert many[i, j] == pytest.approx(float(one), rel=1e-12, abs=1e-9)


def test_a_floating_group_has_the_shape_of_the_whole_batch() -> None:
    """A loose end is 0 V inside itself and unknown outside, in each place of a sweep over volts, hertz and ohms."""
    loose = Network((Element("R1", "R", np.array([1e3, 2e3]), "a", "b"), Element("R2", "R", 1e3, "c", "d")))
    solved = loose.solve({"d": VOLTS[..., None]}, frequency=HERTZ[:, None])
    assert solved.shape == (2, 3, 2)
    assert solved.voltage("a", "b").shape == (2, 3, 2)
    assert not np.any(solved.voltage("a", "b"))
    assert solved.voltage("a").shape == solved.voltage("a", "d").shape == (2, 3, 2)
    assert np.all(np.isnan(solved.voltage("a", "d")))


def test_breakdown_of_a_batch_has_one_shape() -> None:
    """Textbook: the largest torque does not depend on the rotor resistance, its slip is in proportion."""
    ohms = np.array([0.1, 0.2, 0.4])
    motor = InductionMotor(
        stator_resistance=0.294, stator_reactance=0.503, rotor_resistance=ohms, rotor_reactance=0.209,
        magnetizing_reactance=13.25, frequency=60, poles=6,
    )  # fmt: skip
    slip, torque = motor.breakdown(line_voltage=VOLTS, frequency=60)
    assert slip.shape == torque.shape == (2, 3)
    assert slip / slip[:, :1] == pytest.approx(np.broadcast_to([1, 2, 4], (2, 3)), rel=1e-12)
    assert torque == pytest.approx(np.broadcast_to(torque[:, :1], (2, 3)), rel=1e-12)
    for supply in (Supply(line_voltage=208, frequency=60), Supply(line_voltage=400, frequency=60)):
        k = int(supply.line_voltage == 400)
        assert motor.on(supply, slip=slip[k]).torque == pytest.approx(torque[k], rel=1e-9)
