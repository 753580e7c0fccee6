"""The worst that every part must bear, over both sequences, every wiring state and every lost conductor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from phasorkit.analysis.at_once import State, solve_at_once
from phasorkit.analysis.loading import with_lit_lamps
from phasorkit.analysis.wiring import RIGHT, wiring_states
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator, Reading
from phasorkit.lamps import DARK
from phasorkit.network import SHORT, Network
from phasorkit.supply import CONDUCTORS, Supply

DRIFTS = (0.5, 2.0)
"""Factors of a drifted value: a capacitor loses half of it, an overheated resistor doubles (common practice)."""


@dataclass(frozen=True)
class Stress:
    """Worst volts [V rms] and watts [W] of one part, and the state that gives each, such as ``132, doubled L2=L1``."""

    name: str
    volts: float
    volts_state: str
    watts: float
    watts_state: str


def stresses(
    indicator: Indicator, *, supply: Supply | None = None, wrong: bool = True, faulty: bool = False
) -> dict[str, Stress]:
    """Worst volts and watts of every element by its name.

    Parameters
    ----------
    indicator : Indicator
    supply : Supply, optional
        Default: the nominal one at 110 % of its voltage.
    wrong : bool
        Also over every wiring state of `wiring_states`, an earthed probe and a lost conductor; else right wiring only.
    faulty : bool
        Also over every single fault of `faulty_networks`, on right wiring.

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
    whole = indicator.network()
    cases = {
        f"{sequence}, {name}": (laid, whole)
        for sequence in SEQUENCES
        for name, laid in stress_states(replace(base, sequence=sequence), indicator, wrong=wrong).items()
    }
    if faulty:
        cases |= {
            f"{sequence}, {fault}": (replace(base, sequence=sequence), network)
            for sequence in SEQUENCES
            for fault, network in faulty_networks(indicator).items()
        }
    found = solve_at_once(indicator, cases)
    burning: dict[tuple[int, tuple[str, ...]], Network] = {}
    lit_cases = {}
    for state, (laid, network) in cases.items():
        pairs = zip(indicator.lamps, found[state].lamp_states, strict=True)
        if lit := tuple(lamp.name for lamp, seen in pairs if seen != DARK):
            key = (id(network), lit)
            burning.setdefault(key, with_lit_lamps(indicator, network, ohms=SHORT, lamps=lit))
            lit_cases[f"{state}, lamp lit"] = (laid, burning[key])
    found |= solve_at_once(indicator, lit_cases)
    return {name: _worst(name, found) for name in _names(indicator)}


def faulty_networks(
    indicator: Indicator, *, drifts: tuple[float, ...] = DRIFTS, pieces: Mapping[str, int] | None = None
) -> dict[str, Network]:
    """The network by fault: ``none``, then every part, of so many `pieces` in series, and every lamp."""
    whole = indicator.network()
    networks = {"none": whole}
    for e in (e for e in whole.elements if e.name not in indicator.no_parts):
        count, value = (pieces or {}).get(e.name, 1), float(np.asarray(e.value))
        networks |= {f"{e.name} open": whole.opened(e.name), f"{e.name} shorted": whole.shorted(e.name)}
        if count > 1:
            left = (count - 1) / count
            shrunk = value / left if e.kind == "C" else value * left
            networks[f"{e.name} 1 of {count} shorted"] = whole.with_value(e.name, shrunk)
        networks |= {f"{e.name} ×{x:g}": whole.with_value(e.name, x * value) for x in drifts}
    for lamp in indicator.lamps:
        if lamp.name not in {e.name for e in whole.elements}:
            networks[f"{lamp.name} open"] = whole
            networks[f"{lamp.name} shorted"] = with_lit_lamps(indicator, whole, ohms=SHORT, lamps=(lamp.name,))
    return networks


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


def stress_states(supply: Supply, indicator: Indicator, *, wrong: bool) -> dict[str, Supply]:
    """The supply laid in every way that counts for ratings, by the name of the state."""
    if not wrong:
        return {RIGHT: supply}
    laid = {name: lay(supply) for name, lay in wiring_states(indicator.probes).items()}
    laid |= {f"earth {p}": supply.earth_on(p) for p in indicator.probes}
    for c in CONDUCTORS:
        laid[f"phase lost {c}, at zero"] = supply.phase_lost(c)
        laid[f"phase lost {c}, back-fed"] = supply.phase_lost(c, backfed=True)
    return laid


def _worst(name: str, found: dict[str, State]) -> Stress:
    """The first state that is the worst but for rounding: right wiring is listed first."""
    sound = {state: f for state, f in found.items() if f"{name} open" not in state and f"{name} shorted" not in state}
    volts = {state: round(f.volts[name], 9) for state, f in sound.items()}
    watts = {state: round(f.watts[name], 12) for state, f in sound.items()}
    at_volts, at_watts = max(volts, key=lambda s: volts[s]), max(watts, key=lambda s: watts[s])
    return Stress(name, volts[at_volts], at_volts, watts[at_watts], at_watts)
