"""The charge that an unplugged indicator keeps, and how long it keeps it."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt

from phasorkit._checks import single
from phasorkit.analysis.stress import stresses
from phasorkit.indicators.base import Indicator
from phasorkit.network import Network

HARMLESS_VOLTS = 60.0
"""Direct voltage held harmless [V] (IEC 61010-1, normal condition, from memory; 34 V is asked for in wet places)."""

HARMLESS_CHARGE = 45e-6
"""Charge held harmless [C] (IEC 61010-1, from memory)."""

SECONDS_ALLOWED = 5.0
"""Time after unplugging in which pins must become harmless [s] (IEC 61010-1, from memory)."""


@dataclass(frozen=True)
class DischargeRecord:
    """One capacitor with every probe in the air, charged to the worst peak.

    `own_ohm` is what its circuit puts across it [Ω], None where nothing does: then it keeps its charge until the
    probe tips are bridged. `seconds` until it is down to the harmless volts. `harmless`: by charge, or in time.
    `bleeder_ohm`: the largest resistor across it [Ω] that makes it harmless in time, None where none is needed.
    """

    name: str
    volts_peak: float
    coulomb: float
    joule: float
    own_ohm: float | None
    time_constant: float | None
    seconds: float | None
    harmless: bool
    bleeder_ohm: float | None


def discharge(indicator: Indicator, *, below: float = HARMLESS_VOLTS) -> tuple[DischargeRecord, ...]:
    """One record per capacitor.

    Parameters
    ----------
    indicator : Indicator
    below : float
        Harmless direct voltage [V]: 60, or 34 for wet places.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> record = discharge(bridge)[0]
    >>> record.own_ohm, round(record.coulomb * 1e6, 1), record.harmless
    (None, 2.9, True)
    """
    single(below, "below", "V")
    worst = stresses(indicator)
    network = indicator.network()
    records = []
    for e in network.elements:
        if e.kind != "C" or e.name in indicator.no_parts:
            continue
        farad, peak = float(e.value), sqrt(2) * worst[e.name].volts  # type: ignore[arg-type]
        own = own_resistance(network, e.name)
        tau = own * farad if own else None
        seconds = tau * log(peak / below) if tau is not None and peak > below else 0.0 if peak <= below else None
        in_time = seconds is not None and seconds <= SECONDS_ALLOWED
        harmless = farad * peak <= HARMLESS_CHARGE or in_time
        records.append(
            DischargeRecord(
                name=e.name, volts_peak=peak, coulomb=farad * peak, joule=farad * peak**2 / 2, own_ohm=own,
                time_constant=tau, seconds=seconds, harmless=harmless,
                bleeder_ohm=None if harmless else SECONDS_ALLOWED / (farad * log(peak / below)),
            )
        )  # fmt: skip
    return tuple(records)


def own_resistance(network: Network, name: str) -> float | None:
    """Direct-current resistance [Ω] that a network puts across one of its capacitors, all probes in the air."""
    e = network.element(name)
    still = network
    for other in network.elements:
        if other.kind == "C":
            still = still.opened(other.name)
        elif other.kind == "L":
            still = still.shorted(other.name)
    if not {e.a, e.b} <= set(still.nodes):
        return None
    try:
        return float(abs(still.solve({}, frequency=50.0).thevenin(e.a, e.b)[1]))
    except ValueError:  # the two ends float against each other
        return None
