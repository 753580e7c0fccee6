"""Many supplies on one circuit in a few solves: the wiring states, both sequences and lost conductors together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from phasorkit.indicators.base import Indicator
from phasorkit.network import Network
from phasorkit.supply import Supply

Cases = Mapping[str, tuple[Supply, Network]]
Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class State:
    """One solved case: volts [V rms] and active watts [W] of every element by name, volts and states of the lamps.

    An element on a floating group carries nothing and counts as 0.
    """

    volts: dict[str, float]
    watts: dict[str, float]
    lamp_volts: tuple[float, ...]
    lamp_states: tuple[str, ...]


def solve_at_once(indicator: Indicator, cases: Cases) -> dict[str, State]:
    """Solve every case; those with the same network, frequency and set of held nodes are one batched solve.

    Parameters
    ----------
    indicator : Indicator
    cases : mapping of a name to (supply, network)
        Single (not batched) supplies and networks.

    Returns
    -------
    dict of State
        In the order of `cases`; the same figures as one solve each.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> cases = {s: (bridge.supply(s), bridge.network()) for s in ("123", "132")}
    >>> {s: found.lamp_states for s, found in solve_at_once(bridge, cases).items()}
    {'123': ('dark',), '132': ('lit',)}
    """
    groups: dict[tuple[int, float, frozenset[str]], list[str]] = {}
    for name, (supply, network) in cases.items():
        key = (id(network), float(np.asarray(supply.frequency)), frozenset(_held(supply)))
        groups.setdefault(key, []).append(name)
    found: dict[str, State] = {}
    for names in groups.values():
        found |= _solve(indicator, names, cases)
    return {name: found[name] for name in cases}


def _held(supply: Supply) -> Mapping[str, complex]:
    """`Supply.sources` of a supply of 1 V between lines: all else in proportion."""
    negative, zero = complex(np.asarray(supply.negative)), complex(np.asarray(supply.zero))
    return _unit(supply.sequence, supply.earthing, negative, zero, supply.probes, supply.lost)


@lru_cache(maxsize=1024)
def _unit(
    sequence: str, earthing: str, negative: complex, zero: complex, probes: Pairs, lost: Pairs
) -> Mapping[str, complex]:
    """Kept, for an app asks for the same few supplies again and again."""
    supply = Supply(
        line_voltage=1.0, sequence=sequence, earthing=earthing, negative=negative, zero=zero, probes=probes, lost=lost
    )
    return {node: complex(v) for node, v in supply.sources().items()}


def _solve(indicator: Indicator, names: list[str], cases: Cases) -> dict[str, State]:
    """The states of one group."""
    supply, network = cases[names[0]]
    volts_of = np.array([float(np.asarray(cases[name][0].line_voltage)) for name in names])
    held = [_held(cases[name][0]) for name in names]
    stacked = {node: volts_of * np.array([sources[node] for sources in held]) for node in held[0]}
    reading = indicator.on(supply, network=network, sources=stacked)
    count, elements = len(names), reading.solution.network.elements
    across = _table([reading.solution.voltage(e.a, e.b) for e in elements], count, "complex")
    siemens = _table([1 / np.asarray(e.value) if e.kind == "R" else np.zeros(()) for e in elements], count, "float")
    volts = np.nan_to_num(np.abs(across))
    watts = (volts**2 * siemens).T.tolist()
    parts = [e.name for e in elements]
    lamps = _table(reading.lamp_volts, count, "float").T.tolist()
    words = _table(reading.lamp_states, count, "U8").T.tolist()
    rows = zip(names, volts.T.tolist(), watts, lamps, words, strict=True)
    return {
        name: State(
            dict(zip(parts, v, strict=True)), dict(zip(parts, w, strict=True)), tuple(lamp_volts), tuple(lamp_states)
        )
        for name, v, w, lamp_volts, lamp_states in rows
    }


def _table(rows: Sequence[np.ndarray], count: int, kind: str) -> np.ndarray:
    """A table of so many columns; a row that is one value fills its line."""
    table = np.empty((len(rows), count), dtype=kind)
    for line, row in zip(table, rows, strict=True):
        line[...] = row
    return table
