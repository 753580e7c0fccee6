"""What a meter really shows, and what a lit lamp does: both load nodes that stand on half a megohm."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from phasorkit._checks import number, positive, single
from phasorkit.indicators.base import SEQUENCES, Indicator, Reading
from phasorkit.lamps import DARK
from phasorkit.network import Element, Network
from phasorkit.supply import Supply

LIT_LAMP = 100e3
"""A lit glow lamp as a resistor [Ω]: some 60 V at some 0.6 mA (common practice)."""


@dataclass(frozen=True)
class Meter:
    """A voltmeter by its input resistance [Ω], or, for one with a pointer, by its Ω per volt of the range in use.

    Examples
    --------
    >>> Meter("pointer", ohms_per_volt=20e3, ranges=(50.0, 250.0)).resistance(94.0)
    5000000.0
    """

    name: str
    ohms: float = 0.0
    ohms_per_volt: float = 0.0
    ranges: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for value, name, unit in ((self.ohms, "ohms", "Ω"), (self.ohms_per_volt, "ohms_per_volt", "Ω/V")):
            if number(value) != 0:
                single(value, f"{self.name}: {name}", unit)
        if self.ranges != ():
            positive(self.ranges, f"{self.name}: ranges", "V")
        if (self.ohms > 0) == (self.ohms_per_volt > 0 and len(self.ranges) > 0):
            raise ValueError(f"{self.name}: give either ohms [Ω] or ohms_per_volt [Ω/V] with ranges [V], positive")

    def resistance(self, volts: float) -> float:
        """Input resistance [Ω] on the smallest range that holds `volts` [V rms], else on the largest.

        ValueError unless `volts` is one real number from 0.
        """
        if not 0 <= number(volts) < np.inf:
            raise ValueError(f"volts must be one number from 0 [V rms], got {volts!r}")
        if self.ohms:
            return self.ohms
        fitting = [r for r in self.ranges if r >= volts]
        return self.ohms_per_volt * (min(fitting) if fitting else max(self.ranges))


POINTER_RANGES = (10.0, 50.0, 250.0, 500.0, 1000.0)

METERS = (
    Meter("10 MΩ", ohms=10e6),
    Meter("low impedance, 400 kΩ", ohms=400e3),
    Meter("low impedance, 3 kΩ", ohms=3e3),
    Meter("pointer, 20 kΩ/V", ohms_per_volt=20e3, ranges=POINTER_RANGES),
)
"""Usual meters (common practice): a digital one; low-impedance ones run from about 3 to 400 kΩ; one with a pointer."""


@dataclass(frozen=True)
class LoadingRecord:
    """One meter between two nodes: true and shown volts [V rms], error [%], impedance the meter hangs on [Ω]."""

    sequence: str
    between: tuple[str, str]
    meter: str
    meter_ohm: float
    source_ohm: float
    true_volts: float
    shown_volts: float
    error_percent: float


@dataclass(frozen=True)
class LampRecord:
    """One lamp as it stands lit: its volts unloaded and loaded [V rms], its current [A rms], what feeds it [Ω]."""

    sequence: str
    lamp: str
    unloaded_volts: float
    source_ohm: float
    loaded_volts: float
    ampere: float


def measured_pairs(indicator: Indicator) -> tuple[tuple[str, str], ...]:
    """Where a learner measures: every lamp, then every inner node against N and against every probe.

    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> measured_pairs(bridge)[:3]
    (('M', 'P'), ('M', 'N'), ('M', 'L1'))
    """
    references = ("N", *indicator.probes)
    inner = [node for node in indicator.network().nodes if node not in (*references, "PE")]
    lamps = [(lamp.a, lamp.b) for lamp in indicator.lamps]
    return tuple(dict.fromkeys([*lamps, *((node, to) for node in inner for to in references)]))


def with_lit_lamps(indicator: Indicator, network: Network, *, ohms: float, lamps: Collection[str]) -> Network:
    """The network with these lamps as resistors [Ω]; lamps that are part of the network already stay as they are."""
    own = {e.name for e in network.elements}
    lit = (lamp for lamp in indicator.lamps if lamp.name in lamps and lamp.name not in own)
    return network.with_elements(Element(lamp.name, "R", ohms, lamp.a, lamp.b) for lamp in lit)


def lit_names(reading: Reading) -> tuple[str, ...]:
    """The lamps of one (not batched) reading that may light: state lit or unsure."""
    pairs = zip(reading.indicator.lamps, reading.lamp_states, strict=True)
    return tuple(lamp.name for lamp, state in pairs if str(state) != DARK)


def loading_table(
    indicator: Indicator,
    *,
    supply: Supply | None = None,
    meters: tuple[Meter, ...] = METERS,
    lit_lamp: float | None = None,
) -> tuple[LoadingRecord, ...]:
    """True volts against shown volts, for both sequences, every pair of `measured_pairs` and every meter.

    Parameters
    ----------
    indicator : Indicator
    supply : Supply, optional
        Default: the nominal one.
    meters : tuple of Meter
    lit_lamp : float, optional
        Take every lamp that may light as this resistance [Ω]; default: lamps draw nothing.

    Returns
    -------
    tuple of LoadingRecord
        Exact, by the Thevenin equivalent at each pair; a meter with a pointer stands on the smallest range that
        holds the true volts. Between nodes that float against each other there are 0 V behind ∞ Ω.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> record = next(r for r in loading_table(bridge) if r.sequence == "132" and r.meter == "low impedance, 400 kΩ")
    >>> record.between, round(record.true_volts), round(record.shown_volts)
    (('M', 'P'), 346, 153)
    """
    if lit_lamp is not None:
        single(lit_lamp, "lit_lamp", "Ω")
    base = supply or indicator.supply()
    records = []
    for sequence in SEQUENCES:
        reading = _reading(indicator, base if base.sequence == sequence else base.reversed(), lit_lamp)
        for between in measured_pairs(indicator):
            volts, impedance = _source(reading, between)
            records += [_shown(sequence, between, meter, volts, impedance) for meter in meters]
    return tuple(records)


def lamp_loading(
    indicator: Indicator, *, supply: Supply | None = None, lit_lamp: float = LIT_LAMP
) -> tuple[LampRecord, ...]:
    """Every lamp with those that may light taken as resistors of `lit_lamp` [Ω], in both sequences.

    A dark lamp draws nothing; its loaded volts show what its lit neighbour does to it.
    """
    single(lit_lamp, "lit_lamp", "Ω")
    base = supply or indicator.supply()
    records = []
    for sequence in SEQUENCES:
        there = base if base.sequence == sequence else base.reversed()
        dark, lit = _reading(indicator, there, None), _reading(indicator, there, lit_lamp)
        burning = {e.name for e in lit.solution.network.elements}
        for lamp, before, after in zip(indicator.lamps, dark.lamp_volts, lit.lamp_volts, strict=True):
            ampere = float(np.abs(lit.solution.current(lamp.name))) if lamp.name in burning else 0.0
            source = abs(_source(dark, (lamp.a, lamp.b))[1])
            records.append(LampRecord(sequence, lamp.name, float(before), source, float(after), ampere))
    return tuple(records)


def _reading(indicator: Indicator, supply: Supply, lit_lamp: float | None) -> Reading:
    reading = indicator.on(supply)
    if lit_lamp is None:
        return reading
    network = with_lit_lamps(indicator, indicator.network(), ohms=lit_lamp, lamps=lit_names(reading))
    return indicator.on(supply, network=network)


def _source(reading: Reading, between: tuple[str, str]) -> tuple[complex, complex]:
    """Volts [V rms] and impedance [Ω] that a meter between two nodes hangs on; 0 V behind ∞ Ω where they float."""
    volts = complex(reading.solution.voltage(*between))
    if np.isnan(volts):
        return 0j, complex(np.inf, 0)
    return volts, complex(reading.solution.thevenin(*between)[1])


def _shown(sequence: str, between: tuple[str, str], meter: Meter, volts: complex, impedance: complex) -> LoadingRecord:
    ohms = meter.resistance(abs(volts))
    shown = abs(volts * ohms / (ohms + impedance))
    off = 100 * (shown / abs(volts) - 1) if abs(volts) > 1e-6 else 0.0
    return LoadingRecord(sequence, between, meter.name, ohms, abs(impedance), abs(volts), shown, off)
