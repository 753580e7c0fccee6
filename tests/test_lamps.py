"""Lamp states against the window, its edges, and windows that cannot be."""

import numpy as np
import pytest

from phasorkit.lamps import Lamp


def test_states_at_the_edges_of_the_window() -> None:
    """Dark below it, lit above it, unsure inside and on both edges: the default window is 40 to 90 V."""
    volts = [0, 39.999, 40, 65, 90, 90.001, 400]
    assert Lamp("H1", "M", "P").state(volts).tolist() == ["dark", "dark", "unsure", "unsure", "unsure", "lit", "lit"]


def test_a_lamp_of_known_strike_voltage() -> None:
    """One value twice: only that very voltage is unsure."""
    lamp = Lamp("H1", "M", "P", dark_below=65, lit_above=65)
    assert lamp.state([64.9, 65, 65.1]).tolist() == ["dark", "unsure", "lit"]


def test_any_shape() -> None:
    """A batch of volts gives a batch of states."""
    assert Lamp("H1", "M", "P").state(np.zeros((2, 3))).shape == (2, 3)


def test_unknown_volts_are_not_called_dark() -> None:
    """Nothing known is unsure, never dark."""
    assert Lamp("H1", "M", "P").state(np.nan) == "unsure"


@pytest.mark.parametrize("window", [(0, 90), (-1, 90), (90, 40), (40, np.inf), (np.nan, 90), (40, np.nan)])
def test_a_window_that_cannot_be_is_refused(window) -> None:
    """The message names the lamp, the condition, its unit and what came."""
    with pytest.raises(ValueError, match=r"H7: strike window must be 0 < dark_below <= lit_above \[V rms\], got"):
        Lamp("H7", "M", "P", dark_below=window[0], lit_above=window[1])
