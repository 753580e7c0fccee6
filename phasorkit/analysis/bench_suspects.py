"""What may be wrong at the bench: each suspect is the same circuit with one thing changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations, permutations

import numpy as np

from phasorkit.analysis.bench_sheet import BenchSheet
from phasorkit.analysis.bench_source import Set, held_nodes, usual_set
from phasorkit.analysis.loading import POINTER_RANGES, Meter
from phasorkit.indicators.base import SEQUENCES
from phasorkit.network import Element, Network
from phasorkit.quantities import render
from phasorkit.supply import CONDUCTORS, Supply

OTHER_METERS = (
    Meter("digital, 1 MΩ", ohms=1e6),
    Meter("low impedance, 400 kΩ", ohms=400e3),
    Meter("low impedance, 3 kΩ", ohms=3e3),
    Meter("pointer, 20 kΩ/V", ohms_per_volt=20e3, ranges=POINTER_RANGES),
    Meter("digital, 10 MΩ", ohms=10e6),
)
"""Meters that a bench may have instead of the one that the sheet was made for (common practice)."""

FREQUENCIES = (50.0, 60.0)
PEAKS = ((2**0.5, "peak values"), (2 * 2**0.5, "peak-to-peak values"))


@dataclass(frozen=True)
class Suspect:
    """One thing that may be wrong, in words, and the set that it leaves."""

    name: str
    words: str
    there: Set


def suspects(sheet: BenchSheet) -> tuple[Suspect, ...]:
    """Every suspect: sequence, leads, source, meter, then every part.

    Parameters
    ----------
    sheet : BenchSheet

    Returns
    -------
    tuple of Suspect
        Those that are common first.

    Examples
    --------
    >>> from phasorkit.analysis.bench_sheet import bench_sheet, on_bench
    >>> [s.name for s in suspects(bench_sheet(on_bench("two-lamp-capacitor")))][:3]
    ['wrong sequence', 'both 123', 'both 132']
    """
    usual = usual_set(sheet.indicator, sheet.source, sheet.meter)
    return tuple([*_leads(sheet, usual), *_source(sheet, usual), *_meter(sheet, usual), *_parts(sheet, usual)])


def _leads(sheet: BenchSheet, usual: Set) -> Iterator[Suspect]:
    def laid(change: Callable[[Supply], Supply]) -> Set:
        held = {s: held_nodes(change(sheet.indicator.supply(s)), sheet.source) for s in SEQUENCES}
        return replace(usual, held=held)

    both = dict(zip(SEQUENCES, [usual.held[s] for s in SEQUENCES[::-1]], strict=True))
    yield Suspect(
        "wrong sequence",
        "The source runs the other way: two leads exchanged, or channel 2 ahead instead of behind.",
        replace(usual, held=both),
    )
    for s in SEQUENCES:
        words = f"Both sets were taken in {'-'.join(s)}: nothing was exchanged between them, or twice."
        yield Suspect(f"both {s}", words, replace(usual, held=dict.fromkeys(SEQUENCES, usual.held[s])))
    wired = [p for p in CONDUCTORS if p in usual.network.nodes]
    for p in wired:
        words = f"Lead {p} makes no contact{_off(sheet, p)}."
        yield Suspect(f"{p} open", words, laid(lambda supply, p=p: supply.without(p)))  # type: ignore[misc]
    for p, q in permutations(CONDUCTORS, 2):
        if p in wired:
            dead = ", or its channel gives no volts" if q == "L3" and not sheet.source.star_point else ""
            words = f"Lead {p} sits on {q}'s terminal{dead}."
            yield Suspect(f"{p} on {q}", words, laid(lambda supply, p=p, q=q: supply.doubled(p, q)))  # type: ignore[misc]
    if sheet.source.star_point:
        yield from _star(usual, wired)


def _off(sheet: BenchSheet, lead: str) -> str:
    """What a lead without contact is on a generator."""
    if sheet.source.star_point:
        return ""
    return ": it is the common ground" if lead == "L3" else ", or the output of its channel is off"


def _star(usual: Set, wired: list[str]) -> Iterator[Suspect]:
    """A lead on the star terminal, which has phase voltage to the others; or that terminal without contact."""
    for p in wired:
        held = {s: {**nodes, p: np.zeros((), dtype=complex)} for s, nodes in usual.held.items()}
        words = f"Lead {p} sits on the star terminal: two line voltages are then 0.58 of the third."
        yield Suspect(f"{p} on star", words, replace(usual, held=held))
    if ends := {"N", "PE"} & set(usual.network.nodes):
        held = {s: {n: v for n, v in nodes.items() if n not in ends} for s, nodes in usual.held.items()}
        yield Suspect("star open", "The lead of the star terminal makes no contact.", replace(usual, held=held))


def _source(sheet: BenchSheet, usual: Set) -> Iterator[Suspect]:
    nominal = usual.frequency
    for hertz in (*FREQUENCIES, 10 * nominal, nominal / 10):
        if abs(hertz / nominal - 1) > 0.01:
            words = f"The source has {render(hertz, 'Hz')}, the sheet is for {render(nominal, 'Hz')}."
            yield Suspect(f"{hertz:g} Hz", words, replace(usual, frequency=hertz))
    if not sheet.source.star_point:
        volts = complex(sheet.indicator.line_voltage)
        held = {
            s: {"L1": np.asarray(volts), "L2": np.asarray(volts * np.exp(turn * 2j * np.pi / 3)), "L3": np.zeros(())}
            for s, turn in zip(SEQUENCES, (-1, 1), strict=True)
        }
        words = "The channels stand 120° apart. Seen from L3, the ground, it must be 60°."
        yield Suspect("120° apart", words, replace(usual, held=held))


def _meter(sheet: BenchSheet, usual: Set) -> Iterator[Suspect]:
    for meter in OTHER_METERS:
        if (meter.ohms, meter.ohms_per_volt) != (sheet.meter.ohms, sheet.meter.ohms_per_volt):
            words = f"Your meter loads the circuit like this one: {meter.name}; the sheet is for {sheet.meter.name}."
            yield Suspect(f"meter {meter.name}", words, replace(usual, meter=meter))
    for factor, what in PEAKS:
        words = f"The readings are {what}; the sheet is in volts rms."
        yield Suspect(what, words, replace(usual, scale=factor))


def _parts(sheet: BenchSheet, usual: Set) -> Iterator[Suspect]:
    real = [e for e in usual.network.elements if e.name not in sheet.indicator.no_parts and not e.name.startswith("RS")]
    for e in real:
        opened, shorted = usual.network.opened(e.name), usual.network.shorted(e.name)
        words = f"{e.name} is open: broken, or not in its hole."
        yield Suspect(f"{e.name} open", words, replace(usual, network=opened))
        words = f"{e.name} is bridged: a short, or both legs in one row."
        yield Suspect(f"{e.name} shorted", words, replace(usual, network=shorted))
    for one, two in combinations(real, 2):
        if one.kind != two.kind or not 0.9 < float(np.asarray(one.value)) / float(np.asarray(two.value)) < 1.1:
            words = f"{one.name} and {two.name} have changed places."
            swapped = _swapped(usual.network, one, two)
            yield Suspect(f"{one.name} and {two.name} swapped", words, replace(usual, network=swapped))
    for e in real:
        for factor, much in ((10.0, "ten times too large"), (0.1, "ten times too small")):
            wrong = usual.network.with_value(e.name, factor * float(np.asarray(e.value)))
            words = f"{e.name} is {much}: look at its colour bands or its code again."
            yield Suspect(f"{e.name} {much}", words, replace(usual, network=wrong))


def _swapped(network: Network, one: Element, two: Element) -> Network:
    """The network with two parts in each other's place; each keeps its name's place in the drawing."""
    changed = {
        one.name: replace(one, kind=two.kind, value=two.value),
        two.name: replace(two, kind=one.kind, value=one.value),
    }
    return Network(tuple(changed.get(e.name, e) for e in network.elements))
