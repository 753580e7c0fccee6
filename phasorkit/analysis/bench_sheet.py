"""A bench sheet: one circuit at extra-low voltage from a named source, what to wire, and what a meter will show.

No glow lamp strikes at these volts, so a meter stands for each lamp. Every predicted reading comes with the range in
which an honest build may read, parts, source and meter within their tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from phasorkit.analysis.bench_source import Set, Source, phasor, shown, source_of, usual_set
from phasorkit.analysis.loading import METERS, Meter
from phasorkit.analysis.margins import Margins, varied
from phasorkit.indicators import circuit
from phasorkit.indicators.base import SEQUENCES, Given, Indicator
from phasorkit.lamps import LED
from phasorkit.network import Element
from phasorkit.parts import neighbours
from phasorkit.phasors import ComplexArray

HIGHEST = 24.0
"""Line voltage allowed on the bench [V rms]: extra-low with a wide margin (IEC 60364-4-41: 50 V, from memory)."""

BENCH_MARGINS = Margins(
    resistor=1, capacitor=5, inductor=10, lamp=1, voltage=(0.98, 1.02), frequency=(0.99, 1.01), negative=0.01
)
"""What parts and source may be off. The resistors that stand for filament lamps are resistors like any other."""

METER_PERCENT, METER_FLOOR = 1.5, 0.05
"""How far a hand-held meter may be off on alternating volts: [% of reading] and [V] (common practice)."""

WINDING = 300.0
"""Winding resistance taken for the coil of a bench sheet [Ω]; measure your own (common practice for 10 H)."""


@dataclass(frozen=True)
class BenchRow:
    """One reading to take: what lies between the two nodes, volts without and with the meter, and its range [V rms]."""

    sequence: str
    what: str
    between: tuple[str, str]
    perfect: float
    shown: float
    low: float
    high: float


@dataclass(frozen=True)
class BenchSheet:
    """A circuit at the bench: `indicator` as built, source, meter, what may be off, and every reading to take."""

    indicator: Indicator
    source: Source
    meter: Meter
    margins: Margins
    rows: tuple[BenchRow, ...] = field(repr=False)

    def of(self, sequence: str) -> tuple[BenchRow, ...]:
        """The rows of one sequence, in the order in which they are measured."""
        return tuple(r for r in self.rows if r.sequence == sequence)


def on_bench(name: str, *, source: str = "transformer", frequency: float = 50.0) -> Indicator:
    """A circuit with the part values of its bench sheet, bought from E24.

    Parameters
    ----------
    name : str
        Circuit name.
    source : str
        One of `SOURCES`; gives the line voltage.
    frequency : float
        [Hz].

    Returns
    -------
    Indicator
        Ten times the capacitor of the mains circuit, a tenth of the ohms: the same drawing, and a meter disturbs it
        less. An LED pair gets the capacitor that its LEDs need; a coil stays as it is.

    Raises
    ------
    KeyError
        Unknown circuit or source.

    Examples
    --------
    >>> bridge = on_bench("divider-bridge")
    >>> bridge.line_voltage, round(bridge.capacitance * 1e9), bridge.resistance
    (24.0, 47, 39000.0)
    """
    kind, volts = circuit(name), source_of(source).line_voltage
    givens = {g.name: g.typical for g in kind.inputs if isinstance(g, Given) and g.typical is not None}
    names = {g.name for g in kind.inputs}
    if "capacitance" in givens:
        givens["capacitance"] = 10 * float(givens["capacitance"])
    if "winding" in names:
        givens["winding"] = WINDING
    sized: Indicator = kind.sized(**givens, frequency=frequency, line_voltage=volts)  # type: ignore[attr-defined]
    enough = sized.figures().get("smallest_capacitor_farad", 0.0)
    if any(lamp.kind == LED for lamp in sized.lamps) and givens["capacitance"] < 2 * enough:
        sized = sized.resized({"capacitance": float(neighbours(2 * enough, "E6")[1])})
    return sized.with_preferred_values("E24")


def bench_sheet(
    indicator: Indicator, *, source: str = "transformer", meter: Meter = METERS[0], margins: Margins = BENCH_MARGINS
) -> BenchSheet:
    """What to measure on a circuit at the bench, and what the meter will show.

    Parameters
    ----------
    indicator : Indicator
        As built, for at most 24 V between lines: its `line_voltage` is the one that was measured [V rms].
    source : str
        One of `SOURCES`.
    meter : Meter
        The learner's own.
    margins : Margins
        Tolerance of parts and source.

    Returns
    -------
    BenchSheet
        For each sequence: the three line voltages, every part that can be reached, every lamp.

    Raises
    ------
    ValueError
        More than 24 V between lines.
    KeyError
        Unknown source.

    Examples
    --------
    >>> sheet = bench_sheet(on_bench("divider-bridge"))
    >>> row = sheet.of("132")[-1]
    >>> row.what, row.between, round(row.perfect, 1), round(row.shown, 1)
    ('lamp H1', ('M', 'P'), 20.8, 20.7)
    """
    if indicator.line_voltage > HIGHEST:
        raise ValueError(
            f"line_voltage must be at most {HIGHEST:g} V rms at the bench, got {indicator.line_voltage!r}: "
            "scale the circuit down, or use on_bench(name)"
        )
    there = usual_set(indicator, source_of(source), meter)
    rows = [
        _row(there, indicator, margins, sequence, what, between)
        for sequence in SEQUENCES
        for what, between in places(indicator)
    ]
    return BenchSheet(indicator, source_of(source), meter, margins, tuple(rows))


def places(indicator: Indicator) -> tuple[tuple[str, tuple[str, str]], ...]:
    """What is measured, with its two nodes: line voltages, every part that can be reached, every lamp.

    >>> [what for what, _ in places(on_bench("two-lamp-inductor"))]
    ['line', 'line', 'line', 'XL', 'H1', 'H2']
    """
    lines = [("line", pair) for pair in (("L1", "L2"), ("L2", "L3"), ("L3", "L1"))]
    network, inside = indicator.network(), hidden(indicator)
    parts = [
        (e.name, (inside.get(e.a, e.a), inside.get(e.b, e.b)))
        for e in network.elements
        if e.name not in indicator.no_parts and not _idle(indicator, e)
    ]
    taken = {between for _, between in parts}
    lamps = [(f"lamp {x.name}", (x.a, x.b)) for x in indicator.lamps if (x.a, x.b) not in taken]
    return tuple([*lines, *parts, *lamps])


def hidden(indicator: Indicator) -> dict[str, str]:
    """Nodes inside a coil, each with the terminal that lies behind its winding resistance.

    >>> hidden(on_bench("two-lamp-inductor"))
    {'W': 'S'}
    """
    inside: dict[str, str] = {}
    elements = indicator.network().elements
    for e in (e for e in elements if e.name in indicator.no_parts and e.kind == "R"):
        for node, other in ((e.a, e.b), (e.b, e.a)):
            touching = [x for x in elements if node in (x.a, x.b) and x.name != e.name]
            if [x.kind for x in touching] == ["L"]:
                inside[node] = other
    return inside


# --- inside -------------------------------------------------------------------------------------------------


def _idle(indicator: Indicator, e: Element) -> bool:
    """A part that has no volts in either sequence as long as the lamps are out: nothing to measure there."""
    readings = (indicator.on(indicator.supply(s)).solution for s in SEQUENCES)
    return all(abs(complex(r.voltage(e.a, e.b))) < METER_FLOOR / 10 for r in readings)


def _row(
    there: Set, indicator: Indicator, margins: Margins, sequence: str, what: str, between: tuple[str, str]
) -> BenchRow:
    perfect = shown(there, sequence, between, loaded=False)
    low, nominal, high = span(there, indicator, margins, sequence, between)
    return BenchRow(sequence, what, between, perfect, nominal, low, high)


def span(
    there: Set, indicator: Indicator, margins: Margins, sequence: str, between: tuple[str, str]
) -> tuple[float, float, float]:
    """Lowest, nominal and highest reading [V rms] with parts, source and meter inside their tolerance."""
    centre = phasor(there, there.network, sequence, between, there.frequency, True)
    corners = _at_corners(there, indicator, margins, sequence, between)
    nominal, size = float(np.abs(centre)), np.abs(corners)
    unbalance = margins.negative * shown(there, SEQUENCES[1 - SEQUENCES.index(sequence)], between)
    low = 0.0 if float(np.max(np.abs(corners - centre))) >= nominal else float(size.min())
    percent = METER_PERCENT / 100
    low = (low - unbalance) * margins.voltage[0] * (1 - percent) - METER_FLOOR
    high = (float(size.max()) + unbalance) * margins.voltage[1] * (1 + percent) + METER_FLOOR
    return max(low, 0.0), nominal, high


def _at_corners(
    there: Set, indicator: Indicator, margins: Margins, sequence: str, between: tuple[str, str]
) -> ComplexArray:
    """Phasors at both edges of every part and of frequency."""
    names = {e.name for e in varied(indicator, margins)}
    parts = [e for e in there.network.elements if e.name in names]
    signs = np.array(np.meshgrid(*[(-1.0, 1.0)] * len(parts), indexing="ij")).reshape(len(parts), -1)
    network = there.network
    for k, e in enumerate(parts):
        factor = 1 + signs[k] * margins.percent(indicator, e) / 100
        network = network.with_value(e.name, float(np.asarray(e.value)) * factor)
    window = there.frequency * np.array(margins.frequency)[:, None]
    return phasor(there, network, sequence, between, window, True)
