"""How far real parts and a real supply move the lamps: worst case, root-sum-square, and which part matters.

The lamps' volts are those of the unloaded sine. A negative sequence of the supply adds, by superposition, what the lamp
shows in the other sequence, turned by an unknown angle; filament lamps keep for it the resistance that they settled at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from phasorkit.analysis.margins import Margins, varied
from phasorkit.indicators.base import SEQUENCES, Indicator, Reading
from phasorkit.phasors import ComplexArray, FloatArray

STEP = 1e-4
"""Relative step of the central differences."""

AS_BUILT = "parts as built"
SWEEPS = 50
"""Rounds over all causes in the search for the point that brings a lamp nearest to 0 V; each brings it nearer."""


@dataclass(frozen=True)
class SpreadRecord:
    """One lamp in one sequence: volts [V rms] as built, worst case, root-sum-square; `state` is that as built.

    `highest_at` names the corner: the sign of each part's deviation and the frequency over nominal; or `AS_BUILT`.
    `rss_lowest` and `rss_highest` are likely limits, within the worst: the deviations added like sides of right-angled
    triangles. `dominated_by` is the cause that moves the lamp's phasor most, `worst_part` the part that does.
    """

    sequence: str
    lamp: str
    state: str
    volts: float
    lowest: float
    highest: float
    highest_at: str
    rss_lowest: float
    rss_highest: float
    dominated_by: str
    worst_part: str


@dataclass(frozen=True)
class SensitivityRecord:
    """How far one cause by itself moves a lamp's phasor at the edge of its margin [V rms]; share of the squares."""

    sequence: str
    lamp: str
    cause: str
    edge: str
    volts: float
    share: float


@dataclass(frozen=True)
class Cause:
    """One cause: shift of every lamp's phasor at its lower and upper edge [V rms], shape (lamps,), and in words."""

    lower: ComplexArray
    upper: ComplexArray
    edge: str
    is_part: bool = False

    @property
    def volts(self) -> FloatArray:
        """Length of the larger shift of each lamp [V rms]."""
        return np.maximum(np.abs(self.lower), np.abs(self.upper))


@dataclass(frozen=True)
class Corners:
    """Lowest and highest volts of every lamp (first axis) at every corner of voltage, frequency and parts."""

    low: dict[str, FloatArray]
    high: dict[str, FloatArray]
    labels: tuple[str, ...]


def corners(indicator: Indicator, margins: Margins) -> Corners:
    """Every combination of both edges of every part, of frequency and of voltage, with the worst angle of unbalance.

    A lamp that should be dark is brightest, and one that should be lit dimmest, at a corner (a test compares them with
    random samples). The other ends need not lie there: in the midst of the box a null may be perfect (see `between`).
    """
    parts = varied(indicator, margins)
    signs = np.array(list(product((-1, 1), repeat=len(parts))), dtype=float).reshape(2 ** len(parts), len(parts))
    network = indicator.network()
    for k, e in enumerate(parts):
        factor = 1 + signs[:, k] * margins.percent(indicator, e) / 100
        network = network.with_value(e.name, float(np.asarray(e.value)) * factor)
    supplies = {
        s: replace(
            indicator.supply(s),
            line_voltage=indicator.line_voltage * np.array(margins.voltage)[:, None, None],
            frequency=indicator.frequency * np.array(margins.frequency)[None, :, None],
        )
        for s in SEQUENCES
    }
    shape = (len(indicator.lamps), 2, 2, len(signs))
    volts = {s: _flat(indicator.on(supply, network=network), shape) for s, supply in supplies.items()}
    other = {"123": volts["132"], "132": volts["123"]}
    marks = ["".join(f"{e.name}{'+' if x > 0 else '−'} " for e, x in zip(parts, row, strict=True)) for row in signs]
    labels = tuple(f"{mark}f {100 * f:g} %" for _ in margins.voltage for f in margins.frequency for mark in marks)
    return Corners(
        low={s: np.maximum(volts[s] - margins.negative * other[s], 0) for s in SEQUENCES},
        high={s: volts[s] + margins.negative * other[s] for s in SEQUENCES},
        labels=labels,
    )


def sensitivities(indicator: Indicator, *, margins: Margins | None = None) -> tuple[SensitivityRecord, ...]:
    """Every cause by itself, for every lamp in both sequences; the largest first. Arguments as `tolerance_table`."""
    records = []
    for s in SEQUENCES:
        found = causes(indicator, margins or Margins(), s)
        for k, lamp in enumerate(indicator.lamps):
            total = sum(float(c.volts[k]) ** 2 for c in found.values()) or 1.0
            for name, c in sorted(found.items(), key=lambda item: -item[1].volts[k]):
                volts = float(c.volts[k])
                records.append(SensitivityRecord(s, lamp.name, name, c.edge, volts, volts**2 / total))
    return tuple(records)


def tolerance_table(indicator: Indicator, *, margins: Margins | None = None) -> tuple[SpreadRecord, ...]:
    """Worst case by corners and likely case by root-sum-square, for every lamp in both sequences.

    Parameters
    ----------
    indicator : Indicator
        As built: exact parts or preferred values.
    margins : Margins, optional
        Default: 1 % resistors, 5 % capacitors, the window of IEC 61557-7, 2 % negative sequence.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> dark = tolerance_table(bridge)[0]
    >>> dark.state, round(dark.highest, 1), round(dark.rss_highest, 1), dark.worst_part
    ('dark', 30.7, 14.2, 'C1')
    """
    given = margins or Margins()
    box = corners(indicator, given)
    records = []
    for s in SEQUENCES:
        reading = indicator.on(indicator.supply(s))
        found = causes(indicator, given, s)
        inner_low, inner_high = between(indicator, given, s, found)
        for k, lamp in enumerate(indicator.lamps):
            at = int(np.argmax(box.high[s][k]))
            lowest = min(float(box.low[s][k].min()), float(inner_low[k]))
            highest = max(float(box.high[s][k][at]), float(inner_high[k]))
            edges = [(complex(c.lower[k]), complex(c.upper[k])) for c in found.values()]
            low, high = root_sum_square(complex(reading.lamp_phasors[k]), edges)
            largest = sorted(found, key=lambda name: -found[name].volts[k])
            records.append(
                SpreadRecord(
                    sequence=s, lamp=lamp.name, state=str(reading.lamp_states[k]),
                    volts=float(reading.lamp_volts[k]), lowest=lowest, highest=highest,
                    highest_at=box.labels[at] if highest == box.high[s][k][at] else AS_BUILT,
                    rss_lowest=max(low, lowest), rss_highest=min(high, highest),
                    dominated_by=largest[0], worst_part=next((n for n in largest if found[n].is_part), "none"),
                )
            )  # fmt: skip
    return tuple(records)


def between(
    indicator: Indicator, margins: Margins, sequence: str, found: Mapping[str, Cause]
) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest volts of every lamp [V rms] at points between the corners, with the worst angle of unbalance.

    The points: as built, at nominal and at the highest voltage; and for each lamp the point that, by the slopes of
    `causes`, brings it nearest to 0 V.
    """
    windows = {e.name: margins.percent(indicator, e) / 100 * np.array([-1, 1]) for e in varied(indicator, margins)}
    windows |= {"frequency": np.array(margins.frequency) - 1, "voltage": np.array(margins.voltage) - 1}
    built = {name: float(np.clip(0, *window)) for name, window in windows.items()}
    points = [built, built | {"voltage": float(windows["voltage"][1])}]
    volts = np.array(indicator.on(indicator.supply(sequence)).lamp_phasors)
    for k in range(len(indicator.lamps)):
        edges = [(complex(found[name].lower[k]), complex(found[name].upper[k])) for name in windows]
        places = zip(windows.items(), nearest_to_zero(complex(volts[k]), edges), strict=True)
        points.append({name: float(window[0] + x * (window[1] - window[0])) for (name, window), x in places})
    ends = [_low_and_high(indicator, margins, sequence, point) for point in points]
    return np.min([low for low, _ in ends], axis=0), np.max([high for _, high in ends], axis=0)


def nearest_to_zero(volts: complex, edges: Sequence[tuple[complex, complex]]) -> FloatArray:
    """How far from its lower (0) to its upper edge (1) each shift must go to bring a phasor [V rms] nearest to zero.

    One shift after the other is set to its best, round after round: for a sum of shifts this ends at the nearest point.

    >>> nearest_to_zero(1 + 2j, [(-2, 2), (-1j, 1j), (0j, 0j)]).round(9).tolist()
    [0.25, 0.0, 0.5]
    """
    lower, upper = np.array(edges, dtype=complex).reshape(-1, 2).T
    span, places = upper - lower, np.full(len(lower), 0.5)
    for _ in range(SWEEPS):
        for k in np.flatnonzero(np.abs(span) > 0):
            rest = volts + np.sum(lower + places * span) - places[k] * span[k]
            places[k] = np.clip(-(rest * np.conj(span[k])).real / np.abs(span[k]) ** 2, 0, 1)
    return places


def root_sum_square(volts: complex, edges: list[tuple[complex, complex]]) -> tuple[float, float]:
    """Likely limits [V rms] of a lamp with this phasor and independent shifts of it, each at its lower and upper edge.

    The shifts along the phasor and those across it add as squares, each for itself; so it holds for a dark lamp,
    whose volts have no slope, as well as for a lit one.

    >>> root_sum_square(0j, [(-3, 3), (-4j, 4j)]), root_sum_square(100 + 0j, [(-6, 3), (8, -4)])
    ((0.0, 5.0), (92.78889744907202, 108.54400374531753))
    """
    turn = np.conj(volts) / abs(volts) if abs(volts) > 1e-6 else 1.0
    turned = np.array(edges, dtype=complex) * turn
    down, up = np.minimum(turned.real.min(axis=1), 0), np.maximum(turned.real.max(axis=1), 0)
    across = np.sqrt(np.sum(np.abs(turned.imag).max(axis=1) ** 2))
    lowest = max(abs(volts) - np.sqrt(np.sum(down**2)), 0.0)
    return float(lowest), float(abs(abs(volts) + np.sqrt(np.sum(up**2)) + 1j * across))


def causes(indicator: Indicator, margins: Margins, sequence: str) -> dict[str, Cause]:
    """Every part, frequency, voltage and unbalance by itself, by the slope at nominal."""
    supply, network = indicator.supply(sequence), indicator.network()
    both = 1 + STEP * np.array([-1.0, 1.0])
    found = {}
    for e in varied(indicator, margins):
        percent = margins.percent(indicator, e)
        slope = _slope(indicator.on(supply, network=network.with_value(e.name, float(np.asarray(e.value)) * both)))
        found[e.name] = Cause(-slope * percent / 100, slope * percent / 100, f"±{percent:g} %", is_part=True)
    for name, window in (("frequency", margins.frequency), ("line_voltage", margins.voltage)):
        slope = _slope(indicator.on(replace(supply, **{name: getattr(indicator, name) * both})))
        words = f"{100 * window[0]:g} to {100 * window[1]:g} %"
        found[name.removeprefix("line_")] = Cause(slope * (window[0] - 1), slope * (window[1] - 1), words)
    backwards = margins.negative * np.array(indicator.on(supply.reversed()).lamp_volts)
    volts = np.array(indicator.on(supply).lamp_phasors)
    along = np.exp(1j * np.angle(volts)) * np.exp(0.25j * np.pi)  # any angle: half of its square along, half across
    found["unbalance"] = Cause(-backwards * along, backwards * along, f"up to {100 * margins.negative:g} %")
    return found


# --- inside ---------------------------------------------------------------------------------------------


def _flat(reading: Reading, shape: tuple[int, ...]) -> FloatArray:
    """Lamp volts, lamps first, every corner in one row."""
    return np.stack([np.broadcast_to(v, shape[1:]) for v in reading.lamp_volts]).reshape(shape[0], -1)


def _low_and_high(
    indicator: Indicator, margins: Margins, sequence: str, change: Mapping[str, float]
) -> tuple[FloatArray, FloatArray]:
    """Volts of every lamp with parts, voltage and frequency changed by these parts of themselves."""
    network = indicator.network()
    for e in varied(indicator, margins):
        network = network.with_value(e.name, float(np.asarray(e.value)) * (1 + change[e.name]))
    supply = replace(
        indicator.supply(sequence),
        line_voltage=indicator.line_voltage * (1 + change["voltage"]),
        frequency=indicator.frequency * (1 + change["frequency"]),
    )
    volts, other = (np.array(indicator.on(s, network=network).lamp_volts) for s in (supply, supply.reversed()))
    return np.maximum(volts - margins.negative * other, 0), volts + margins.negative * other


def _slope(reading: Reading) -> ComplexArray:
    """Change of every lamp's phasor per relative change of what was moved by `STEP` either way [V]."""
    ends = np.stack([np.broadcast_to(v, (2,)) for v in reading.lamp_phasors])
    return np.asarray((ends[:, 1] - ends[:, 0]) / (2 * STEP))
