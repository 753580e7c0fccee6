"""A batch gives every lamp the batch's shape, and in each place what a single call gives (rule of the house)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from phasorkit.analysis.wiring import wiring_states
from phasorkit.indicators import circuits
from phasorkit.indicators.base import Given
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
