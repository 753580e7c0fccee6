"""Every single fault of a part: what the lamps then say, what the other parts bear, what a person may feel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from phasorkit._checks import positive, single
from phasorkit.analysis.fault_words import as_seen, both_say, rating_left, worse_verdict
from phasorkit.analysis.loading import lit_names, with_lit_lamps
from phasorkit.analysis.ratings import RatingRecord, ratings
from phasorkit.analysis.stress import DRIFTS, element_volts, element_watts, faulty_networks
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator, Reading
from phasorkit.indicators.touch_probe import TOUCH_LIMIT
from phasorkit.network import SHORT, Network
from phasorkit.supply import Supply

LIMITS = (
    "touch current at most 0.5 mA rms (IEC 61010-1, steady, normal condition, from memory; the edition in force goes "
    "before it), here in every single fault too, by a body of 0 Ω, no drop in the lamp, 110 % of voltage; no other "
    "part above its rated volts or its full rated watts"
)
SAFE, UNSAFE = "safe", "unsafe"


@dataclass(frozen=True)
class FaultRecord:
    """One fault, such as ``R1 open``, ``C1 ×0.5``, ``R1 1 of 3 shorted`` or ``H1 shorted``; ``none`` is without fault.

    `lamp_volts` [V rms] and `lamp_states` by sequence at nominal voltage and right wiring, in the order of the lamps (a
    lamp that is open stays dark); `says` is the conclusion from both readings, by the sequence of the first, and
    `indication` the worse verdict on it. `stressed` is the part that bears the most of its rating, `stress` that part
    [1], its `volts` [V rms] and `watts` at 110 %. `touch_ampere` [A rms] is None where no person is part.
    """

    fault: str
    lamp_volts: dict[str, tuple[float, ...]]
    lamp_states: dict[str, tuple[str, ...]]
    says: dict[str, str]
    indication: str
    stressed: str
    stress: float
    volts: float
    watts: float
    touch_ampere: float | None
    verdict: str
    reason: str


def fault_table(
    indicator: Indicator, *, drifts: tuple[float, ...] = DRIFTS, touch_limit: float = TOUCH_LIMIT
) -> tuple[FaultRecord, ...]:
    """Every part and every lamp open and shorted, every part drifted, one at a time.

    A part that is a chain of pieces (see `ratings`) is shorted piece by piece and, as a bound, as a whole.

    Parameters
    ----------
    indicator : Indicator
    drifts : tuple of float
        Factors of the value of a drifted part [1].
    touch_limit : float
        Touch current [A rms] above which a fault is called unsafe.

    Returns
    -------
    tuple of FaultRecord
        The first is the indicator without fault. Ratings are those of `ratings`.

    Raises
    ------
    ValueError
        A limit or a factor that is not positive and finite.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> record = next(r for r in fault_table(bridge) if r.fault == "C1 open")
    >>> record.lamp_states, record.says["123"], record.indication
    ({'123': ('lit',), '132': ('lit',)}, 'fault', 'true')
    """
    single(touch_limit, "touch_limit", "A")
    positive(drifts, "drifts", "times the value")
    rated = {r.name: r for r in ratings(indicator)}
    lamps = {lamp.name for lamp in indicator.lamps}
    pieces = {name: r.pieces for name, r in rated.items() if name not in lamps}
    return tuple(
        _record(indicator, fault, network, rated, touch_limit)
        for fault, network in faulty_networks(indicator, drifts=drifts, pieces=pieces).items()
    )


def touch_current(indicator: Indicator, network: Network) -> float | None:
    """Largest current through a person [A rms], or None where no element ends on earth.

    Over both sequences at 110 % of voltage, the body taken as 0 Ω and every lamp as a short.
    """
    bodies = [e.name for e in network.elements if "PE" in (e.a, e.b) and e.kind == "R"]
    if not bodies:
        return None
    names = tuple(lamp.name for lamp in indicator.lamps)
    direct = with_lit_lamps(indicator, network.shorted(bodies[0]), ohms=SHORT, lamps=names)
    readings = (indicator.on(_overvoltage(indicator, s), network=direct) for s in SEQUENCES)
    return max(float(np.nan_to_num(np.abs(r.solution.current(bodies[0])))) for r in readings)


def _record(
    indicator: Indicator, fault: str, network: Network, rated: dict[str, RatingRecord], touch_limit: float
) -> FaultRecord:
    readings = {s: indicator.on(indicator.supply(s), network=network) for s in SEQUENCES}
    seen = {s: as_seen(indicator.lamps, r.lamp_states, r.lamp_volts, fault) for s, r in readings.items()}
    says = both_say(indicator, seen)
    name, stress, volts, watts = _most_stressed(indicator, fault, network, rated)
    touch = touch_current(indicator, network)
    reason = _reason(name, stress, touch, touch_limit)
    chain = rated[fault.removesuffix(" shorted")].pieces if fault.removesuffix(" shorted") in rated else 1
    if reason and chain > 1:
        reason += f"; takes {chain} shorts at once"
    return FaultRecord(
        fault=fault, lamp_volts={s: tuple(float(v) for v in r.lamp_volts) for s, r in readings.items()},
        lamp_states={s: seen[s][0] for s in SEQUENCES}, says=says, indication=worse_verdict(says),
        stressed=name, stress=stress, volts=volts, watts=watts, touch_ampere=touch,
        verdict=UNSAFE if reason else SAFE, reason=reason or "within the limits",
    )  # fmt: skip


def _overvoltage(indicator: Indicator, sequence: str) -> Supply:
    return replace(indicator.supply(sequence), line_voltage=OVERVOLTAGE * indicator.line_voltage)


def _most_stressed(
    indicator: Indicator, fault: str, network: Network, rated: dict[str, RatingRecord]
) -> tuple[str, float, float, float]:
    """The part that bears most of its rating: name, share of the rating, volts, watts; lamps lit or not."""
    worst = ("none", 0.0, 0.0, 0.0)
    for s in SEQUENCES:
        supply = _overvoltage(indicator, s)
        dark = indicator.on(supply, network=network)
        lit = with_lit_lamps(indicator, network, ohms=SHORT, lamps=_burning(dark, fault))
        for reading in (dark, indicator.on(supply, network=lit)):
            for name, part in rated.items():
                if name not in {e.name for e in network.elements}:
                    continue
                left = rating_left(fault, name, part.pieces)
                volts, watts = element_volts(reading, name), element_watts(reading, name)
                share = max(
                    volts / (left * part.rated_volts) if part.rated_volts and left else 0.0,
                    watts / (left * part.rated_watts) if part.rated_watts and left else 0.0,
                )
                if share > worst[1] * (1 + 1e-9):
                    worst = (name, share, volts, watts)
    return worst


def _burning(reading: Reading, fault: str) -> tuple[str, ...]:
    """The lamps that may light: not the one that failed, nor one that is shorted already."""
    failed = fault.split()[0]
    return tuple(name for name in lit_names(reading) if name != failed)


def _reason(name: str, stress: float, touch: float | None, touch_limit: float) -> str:
    """Why a fault is unsafe, or nothing."""
    reasons = []
    if touch is not None and touch > touch_limit:
        reasons.append(f"touch current {1000 * touch:.2f} mA above {1000 * touch_limit:g} mA")
    if stress > 1 + 1e-6:
        reasons.append(f"{name} at {100 * stress:.0f} % of its rating")
    return "; ".join(reasons)
