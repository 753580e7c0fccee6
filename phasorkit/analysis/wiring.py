"""What an indicator shows under every wrong connection, and when that reading lies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import permutations

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import positive
from phasorkit.indicators.base import SEQUENCES, Indicator, Reading
from phasorkit.lamps import DARK
from phasorkit.network import Element
from phasorkit.phasors import FloatArray
from phasorkit.supply import CONDUCTORS, Supply

RIGHT = "right"
TRUE, CANT_TELL, MISLEADING = "true", "can't tell", "misleading"
"""Verdicts: names the sequence on right wiring or a fault on wrong wiring; neither; names a sequence it must not."""

POOR_CONTACT = 1e6
"""Resistance of a dirty or painted contact [Ω] for the state ``poor contact`` (common practice: up to some MΩ)."""

Laying = Callable[[Supply], Supply]


@dataclass(frozen=True)
class WiringRecord:
    """One state: volts [V rms] unloaded and states in the order of the lamps, what one would say, and if it lies.

    `after_swap` is the conclusion from two readings, this one and one with two conductors exchanged under the same
    probes; the wiring mistake stays with its probe.
    """

    sequence: str
    wiring: str
    lamp_volts: tuple[float, ...]
    lamp_states: tuple[str, ...]
    conclusion: str
    verdict: str
    after_swap: str
    after_swap_verdict: str


def wiring_states(probes: tuple[str, ...]) -> dict[str, Laying]:
    """Ways to lay the probes: 13 for three probes; for two, a probe on the third conductor counts as doubled.

    ``open L1``: that probe touches nothing; ``neutral L1``: it lies on the neutral; ``doubled L1=L2``: it lies on the
    second's conductor.

    >>> len(wiring_states(("L1", "L2", "L3"))), list(wiring_states(("L1", "L2")))[5:7]
    (13, ['doubled L1=L2', 'doubled L1=L3'])
    """
    states: dict[str, Laying] = {RIGHT: lambda supply: supply}
    states |= {f"open {p}": partial(_open, probe=p) for p in probes}
    states |= {f"neutral {p}": partial(_neutral, probe=p) for p in probes}
    pairs = [(p, q) for p, q in permutations(CONDUCTORS, 2) if p in probes]
    states |= {f"doubled {p}={q}": partial(_doubled, probe=p, other=q) for p, q in pairs}
    return states


def wiring_table(indicator: Indicator, *, supply: Supply | None = None) -> tuple[WiringRecord, ...]:
    """Both sequences times every wiring state.

    Parameters
    ----------
    indicator : Indicator
    supply : Supply, optional
        Its voltage, frequency, earthing and unbalance are used; default the indicator's nominal supply.

    Returns
    -------
    tuple of WiringRecord
        26 records for three probes.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> record = wiring_table(bridge)[1]
    >>> record.wiring, record.lamp_states, record.verdict, record.after_swap
    ('open L1', ('lit',), "can't tell", 'fault')
    """
    base = supply or indicator.supply()
    readings = {
        (sequence, name): indicator.on(laying(replace(base, sequence=sequence)))
        for sequence in SEQUENCES
        for name, laying in wiring_states(indicator.probes).items()
    }
    return tuple(
        record(reading, name, swapped=readings[SEQUENCES[1 - SEQUENCES.index(sequence)], name])
        for (sequence, name), reading in readings.items()
    )


def other_states(indicator: Indicator, *, supply: Supply | None = None) -> tuple[WiringRecord, ...]:
    """States that are no mistake in laying the probes: supply, lamp and contact faults. Arguments as `wiring_table`."""
    base = supply or indicator.supply()
    both = [_other_readings(indicator, replace(base, sequence=sequence)) for sequence in SEQUENCES]
    records = [
        record(reading, name, swapped=there[name])
        for here, there in (both, both[::-1])
        for name, reading in here.items()
        if name != RIGHT
    ]
    for here, there in (both, both[::-1]):
        for k, lamp in enumerate(indicator.lamps):
            records.append(record(here[RIGHT], f"lamp failed {lamp.name}", swapped=there[RIGHT], failed=k))
    return tuple(records)


def record(reading: Reading, wiring: str, *, swapped: Reading, failed: int | None = None) -> WiringRecord:
    """The record of one (not batched) reading and the one after a swap; lamp number `failed` never lights."""
    seen = [_seen(r, failed) for r in (reading, swapped)]
    said = tuple(reading.indicator.conclude(*s) for s in seen)
    later = reading.indicator.after_swap(seen[0][0], seen[1][0], (said[0], said[1]))
    sequence = reading.supply.sequence
    return WiringRecord(
        sequence=sequence,
        wiring=wiring,
        lamp_volts=tuple(float(v) for v in reading.lamp_volts),
        lamp_states=seen[0][0],
        conclusion=said[0],
        verdict=verdict(said[0], sequence=sequence, wiring=wiring),
        after_swap=later,
        after_swap_verdict=verdict(later, sequence=sequence, wiring=wiring),
    )


def verdict(conclusion: str, *, sequence: str, wiring: str) -> str:
    """`TRUE`, `CANT_TELL` or `MISLEADING` for a conclusion drawn on a supply of this sequence and wiring.

    >>> verdict("123", sequence="123", wiring="right"), verdict("123", sequence="123", wiring="open L1")
    ('true', 'misleading')
    """
    if conclusion in SEQUENCES:
        return TRUE if wiring == RIGHT and conclusion == sequence else MISLEADING
    return TRUE if conclusion == "fault" and wiring != RIGHT else CANT_TELL


def worst_verdicts(indicator: Indicator, line_voltages: ArrayLike) -> FloatArray:
    """Share of misleading states in the wiring table [1] at each line voltage [V rms], shape (n,).

    ValueError unless all are positive and finite.
    """
    shares = []
    for volts in np.ravel(positive(line_voltages, "line_voltages", "V")):
        table = wiring_table(indicator, supply=replace(indicator.supply(), line_voltage=float(volts)))
        shares.append(sum(r.verdict == MISLEADING for r in table) / len(table))
    return np.array(shares)


def assumptions(supply: Supply, indicator: Indicator) -> str:
    """What a wiring table takes for granted, in one sentence."""
    lamp = indicator.lamps[0]
    rms = "rms" if lamp.name in {e.name for e in indicator.network().elements} else "rms of the unloaded sine"
    return (
        f"{float(np.asarray(supply.line_voltage)):g} V line to line, {float(np.asarray(supply.frequency)):g} Hz, "
        f"supply earthing: {supply.earthing}; lamps dark below {lamp.dark_below:.3g} V and lit above "
        f"{lamp.lit_above:.3g} V ({rms}), exact parts, one fault at a time."
    )


def _open(supply: Supply, *, probe: str) -> Supply:
    return supply.without(probe)


def _neutral(supply: Supply, *, probe: str) -> Supply:
    return supply.neutral_on(probe)


def _doubled(supply: Supply, *, probe: str, other: str) -> Supply:
    return supply.doubled(probe, other)


def _seen(reading: Reading, failed: int | None) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Lamp states and volts as the eye has them: a failed lamp is dark and counts for nothing."""
    states = tuple(DARK if k == failed else str(s) for k, s in enumerate(reading.lamp_states))
    volts = tuple(0.0 if k == failed else float(v) for k, v in enumerate(reading.lamp_volts))
    return states, volts


def _other_readings(indicator: Indicator, whole: Supply) -> dict[str, Reading]:
    """Readings of every state besides the wiring states, and the right one, on a supply of one sequence."""
    supplies = {RIGHT: whole, "dead": whole.dead()}
    for c in CONDUCTORS:
        supplies[f"phase lost {c}, at zero"] = whole.phase_lost(c)
        supplies[f"phase lost {c}, back-fed"] = whole.phase_lost(c, backfed=True)
    supplies |= {f"earth {p}": whole.earth_on(p) for p in indicator.probes}
    readings = {name: indicator.on(supply) for name, supply in supplies.items()}
    return readings | {f"poor contact {p}": poor_contact(indicator, whole, p) for p in indicator.probes}


def poor_contact(indicator: Indicator, supply: Supply, probe: str) -> Reading:
    """The reading when a probe's tip reaches what it touches only through `POOR_CONTACT`.

    KeyError for a probe that touches nothing.
    """
    known = supply.sources()
    known[f"conductor {probe}"] = known.pop(probe)
    contact = Element("contact", "R", POOR_CONTACT, f"conductor {probe}", probe)
    return indicator.on(supply, network=indicator.network().with_element(contact), sources=known)
