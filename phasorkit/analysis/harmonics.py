"""Harmonics on the lamps: half of them run backwards, so they light the lamp that should be dark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from phasorkit._checks import single, whole
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.phasors import ComplexArray
from phasorkit.supply import CONDUCTORS, Supply

PUBLIC_NETWORK = ((3, 0.05), (5, 0.06), (7, 0.05), (9, 0.015), (11, 0.035), (13, 0.03), (17, 0.02), (19, 0.015))
"""Largest harmonics of a public low-voltage network over the fundamental [1] (EN 50160, from memory)."""

ASSUMES = (
    "Levels are the limits of EN 50160 (from memory), all at once; the lamp answers to the rms of the sum. Behind an "
    "inverter the output is a train of pulses with far more than this: the indicator is not for inverter outputs."
)


@dataclass(frozen=True)
class HarmonicRecord:
    """What one harmonic by itself puts on the lamps: volts [V rms] in the order of the lamps, for one sequence.

    `runs` is ``forward`` (1, 7, 13, ...), ``backward`` (5, 11, ...) or ``zero`` (3, 9, ...: all three in phase).
    The record with order 0 is the rms of all of them and the fundamental.
    """

    sequence: str
    order: int
    runs: str
    share: float
    lamp_volts: tuple[float, ...]


def runs(order: int) -> str:
    """Way in which a harmonic of a symmetrical supply runs.

    ValueError for an order that is not a whole number from 1.

    >>> [runs(n) for n in (1, 3, 5, 7, 11)]
    ['forward', 'zero', 'backward', 'forward', 'backward']
    """
    return ("zero", "forward", "backward")[whole(order, "order") % 3]


def harmonic(supply: Supply, order: int, *, share: float) -> tuple[Supply, dict[str, ComplexArray]]:
    """One harmonic of a supply: a supply of its frequency and sequence, and its node voltages for `Indicator.on`.

    Parameters
    ----------
    supply : Supply
        The fundamental; its wiring, earthing and lost conductors are kept.
    order : int
        1 or more.
    share : float
        Its volts over the fundamental's [1], positive.

    Examples
    --------
    >>> fifth, _ = harmonic(Supply(line_voltage=400, frequency=50), 5, share=0.05)
    >>> float(fifth.frequency), fifth.sequence, float(fifth.line_voltage)
    (250.0, '132', 20.0)
    """
    way, part = runs(order), single(share, "share", "of the fundamental")
    wave = replace(
        supply.reversed() if way == "backward" else supply,
        line_voltage=part * np.asarray(supply.line_voltage),
        frequency=order * np.asarray(supply.frequency),
    )
    if way != "zero":
        return wave, wave.sources()
    return wave, _touched(wave, _together(wave))


def harmonic_table(
    indicator: Indicator,
    *,
    supply: Supply | None = None,
    content: Mapping[int, float] | None = None,
) -> tuple[HarmonicRecord, ...]:
    """Lamp volts of every harmonic by itself and of all together, for both sequences.

    Parameters
    ----------
    indicator : Indicator
    supply : Supply, optional
        The fundamental; default the nominal one.
    content : mapping of order to share of the fundamental [1], optional
        Default `PUBLIC_NETWORK`.

    Raises
    ------
    ValueError
        An order that is not a whole number from 2, a share that is not positive and finite.

    Notes
    -----
    Solved by the same network at n times the frequency; filament lamps keep the resistance that the fundamental gives
    them. The rms of the sum does not depend on the harmonics' angles.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [round(r.lamp_volts[0], 1) for r in harmonic_table(bridge, content={5: 0.05})[:3]]
    [0.0, 19.6, 19.6]
    """
    base = supply or indicator.supply()
    if content is not None and not isinstance(content, Mapping):
        raise ValueError(f"content must be a mapping such as {{5: 0.06}}, got {content!r}")
    shares = dict(PUBLIC_NETWORK) if content is None else dict(content)
    if 1 in shares:
        raise ValueError(f"content must hold orders from 2 (1 is the fundamental), got 1: {shares[1]!r}")
    records = []
    for s in SEQUENCES:
        whole = base if base.sequence == s else base.reversed()
        settled = indicator.on(whole).solution.network
        waves = {n: harmonic(whole, n, share=share) for n, share in {1: 1.0, **shares}.items()}
        volts = {}
        for n, (wave, sources) in waves.items():
            solved = settled.solve(sources, frequency=wave.frequency)
            volts[n] = [float(np.nan_to_num(np.abs(solved.voltage(lamp.a, lamp.b)))) for lamp in indicator.lamps]
            records.append(HarmonicRecord(s, n, runs(n), 1.0 if n == 1 else shares[n], tuple(volts[n])))
        total = np.sqrt(np.sum(np.square(list(volts.values())), axis=0))
        records.append(HarmonicRecord(s, 0, "all", 1.0, tuple(float(v) for v in total)))
    return tuple(records)


def _together(wave: Supply) -> dict[str, ComplexArray]:
    """What every conductor carries [V rms] of a harmonic that runs in all three alike; lost ones as in `Supply`."""
    whole = np.asarray(wave.line_voltage) / np.sqrt(3) + 0j
    lost = dict(wave.lost)
    carried = {name: 0 * whole if lost.get(name) == "zero" else whole for name in CONDUCTORS}
    held = [carried[name] for name in CONDUCTORS if lost.get(name) != "backfed"]
    carried |= {name: np.asarray(sum(held) / len(held)) for name, how in lost.items() if how == "backfed" and held}
    at_star_point = wave.earthing in ("star", "isolated") or len(lost) == len(CONDUCTORS)
    neutral = 0 * whole if at_star_point else whole
    return carried | {"N": neutral, "PE": neutral}


def _touched(supply: Supply, carried: dict[str, ComplexArray]) -> dict[str, ComplexArray]:
    """Node voltages by what each probe touches, as `Supply.sources` gives them."""
    keep = supply.sources()
    probes = {probe: carried[touched] for probe, touched in supply.probes if probe in keep}
    return probes | {name: carried[name] for name in ("N", "PE") if name in keep}
