"""The worst that every part must bear, over both sequences, every wiring state and every lost conductor."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from phasorkit.analysis.loading import lit_names, with_lit_lamps
from phasorkit.analysis.wiring import RIGHT, wiring_states
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator, Reading
from phasorkit.network import SHORT
from phasorkit.supply import CONDUCTORS, Supply


@dataclass(frozen=True)
class Stress:
    """Worst volts [V rms] and watts [W] of one part, and the state that gives each, such as ``132, doubled L2=L1``."""

    name: str
    volts: float
    volts_state: str
    watts: float
    watts_state: str


def stresses(indicator: Indicator, *, supply: Supply | None = None, wrong: bool = True) -> dict[str, Stress]:
    """Worst volts and watts of every element by its name.

    Parameters
    ----------
    indicator : Indicator
    supply : Supply, optional
        Default: the nominal one at 110 % of its voltage.
    wrong : bool
        Also over every wiring state of `wiring_states`, an earthed probe and a lost conductor; else right wiring only.

    Returns
    -------
    dict of Stress
        Both with no lamp lit and with every lamp that may light taken as a short, since its drop is not sure; a part
        on a floating group carries nothing.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> worst = stresses(bridge)["R1"]
    >>> round(worst.volts), worst.volts_state
    (362, '132, right, lamp lit')
    """
    base = supply or replace(indicator.supply(), line_voltage=OVERVOLTAGE * indicator.line_voltage)
    readings = {
        f"{sequence}, {name}": indicator.on(laid)
        for sequence in SEQUENCES
        for name, laid in _states(replace(base, sequence=sequence), indicator, wrong=wrong).items()
    }
    readings |= {f"{state}, lamp lit": _lit(r) for state, r in readings.items() if lit_names(r)}
    return {name: _worst(name, readings) for name in _names(indicator)}


def element_volts(reading: Reading, name: str) -> float:
    """Volts across one element [V rms]; 0 on a floating group."""
    e = reading.solution.network.element(name)
    return float(np.nan_to_num(np.abs(reading.solution.voltage(e.a, e.b))))


def element_watts(reading: Reading, name: str) -> float:
    """Active power in one element [W]; 0 on a floating group and in a capacitor."""
    if reading.solution.network.element(name).kind == "C":
        return 0.0
    return max(float(np.nan_to_num(reading.solution.power(name).real)), 0.0)


def _names(indicator: Indicator) -> tuple[str, ...]:
    return tuple(e.name for e in indicator.network().elements)


def _states(supply: Supply, indicator: Indicator, *, wrong: bool) -> dict[str, Supply]:
    """The supply laid in every way that counts."""
    if not wrong:
        return {RIGHT: supply}
    laid = {name: lay(supply) for name, lay in wiring_states(indicator.probes).items()}
    laid |= {f"earth {p}": supply.earth_on(p) for p in indicator.probes}
    for c in CONDUCTORS:
        laid[f"phase lost {c}, at zero"] = supply.phase_lost(c)
        laid[f"phase lost {c}, back-fed"] = supply.phase_lost(c, backfed=True)
    return laid


def _lit(reading: Reading) -> Reading:
    """The same with the lamps that may light as shorts."""
    network = with_lit_lamps(reading.indicator, reading.indicator.network(), ohms=SHORT, lamps=lit_names(reading))
    return reading.indicator.on(reading.supply, network=network)


def _worst(name: str, readings: dict[str, Reading]) -> Stress:
    """The first state that is the worst but for rounding: right wiring is listed first."""
    volts = {state: round(element_volts(r, name), 9) for state, r in readings.items()}
    watts = {state: round(element_watts(r, name), 12) for state, r in readings.items()}
    at_volts, at_watts = max(volts, key=lambda s: volts[s]), max(watts, key=lambda s: watts[s])
    return Stress(name, volts[at_volts], at_volts, watts[at_watts], at_watts)
