"""Do the readings at the bench agree with the sheet; and if not, what would explain them?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from phasorkit._checks import number
from phasorkit.analysis.bench_sheet import BenchRow, BenchSheet, bench_sheet, span
from phasorkit.analysis.bench_source import shown
from phasorkit.analysis.bench_suspects import Suspect, suspects
from phasorkit.analysis.loading import Meter
from phasorkit.indicators.base import SEQUENCES

Readings = Mapping[str, Sequence[float | None]]

MOST = 4
"""So many suspects are named at most."""

FAR = 0.35
"""A nominal reading farther off than this share of itself and half of that of the line voltage cannot explain."""


@dataclass(frozen=True)
class Outcome:
    """What the readings say: those outside their range with their row, and the suspects that explain every reading.

    `ratio` is the common factor of all readings where one factor explains them (a source set to other volts); else
    None. `nearest` is the suspect that comes closest where none explains all; none is named while line voltages are
    off.
    """

    agrees: bool
    taken: int
    off: tuple[tuple[BenchRow, float], ...]
    suspects: tuple[Suspect, ...]
    ratio: float | None
    nearest: Suspect | None

    @property
    def text(self) -> str:
        """The outcome in words."""
        if self.agrees:
            return f"All {self.taken} readings agree with the sheet, within the tolerance of parts, source and meter."
        lines = [f"{len(self.off)} of {self.taken} readings do not agree:"]
        for row, volts in self.off:
            where = f"{'-'.join(row.sequence)}  {row.what} {'–'.join(row.between)}"
            lines.append(f"  {where:24} read {volts:.2f} V, expected {row.low:.2f} to {row.high:.2f} V")
        return "\n".join([*lines, *self._said()])

    def _said(self) -> list[str]:
        if self.ratio is not None and not self.suspects:
            return [
                f"All readings are {self.ratio:.2f} times what they should be: the source is set to other volts. Put "
                "your own line voltage into the sheet."
            ]
        if self.suspects:
            which = "This alone" if len(self.suspects) == 1 else "Each of these alone"
            return [f"{which} would explain all readings:", *(f"  - {s.words}" for s in self.suspects)]
        if any(row.what == "line" for row, _ in self.off):
            return [
                "The line voltages themselves do not agree, and no part decides these: look at the source, its "
                "settings and its leads first, then read again."
            ]
        if self.nearest is None:
            return ["Nothing that is known here comes close: check the wiring, part by part."]
        return ["No single cause explains all readings. This one comes closest:", f"  - {self.nearest.words}"]


def agree(sheet: BenchSheet, readings: Readings, *, meter: Meter | None = None) -> Outcome:
    """Compare readings with the sheet.

    Parameters
    ----------
    sheet : BenchSheet
    readings : mapping of sequence to readings
        ``{"123": [...], "132": [...]}``, [V rms] in the order of `BenchSheet.of`; None where nothing was read. A
        sequence may be missing.
    meter : Meter, optional
        The meter that was used, if it is not the one the sheet was made for.

    Returns
    -------
    Outcome
        Suspects are those of `suspects` under which every reading lies in its range, the best fit first.

    Raises
    ------
    ValueError
        Unknown sequence, wrong number of readings, one that is no number of volts, or none at all.

    Examples
    --------
    >>> from phasorkit.analysis.bench_sheet import on_bench
    >>> sheet = bench_sheet(on_bench("divider-bridge"))
    >>> print(agree(sheet, {"132": [24.1, 24.0, 23.9, 12.0, 11.9, 12.1, 20.6, 20.5]}).text)
    All 8 readings agree with the sheet, within the tolerance of parts, source and meter.
    """
    if meter is not None:
        sheet = bench_sheet(sheet.indicator, source=sheet.source.name, meter=meter, margins=sheet.margins)
    taken = _taken(sheet, readings)
    off = tuple((row, volts) for row, volts in taken if not row.low <= volts <= row.high)
    if not off:
        return Outcome(True, len(taken), (), (), None, None)
    near = sorted(
        ((_distance(sheet, s, taken), k, s) for k, s in enumerate(suspects(sheet))), key=lambda found: found[:2]
    )
    fitting = tuple(s for distance, _, s in near if np.isfinite(distance) and _explains(sheet, s, taken))
    ratio = None if fitting else _ratio(sheet, taken)
    source_first = any(row.what == "line" for row, _ in off)
    unexplained = ratio is None and not fitting and not source_first
    nearest = near[0][2] if unexplained and np.isfinite(near[0][0]) else None
    return Outcome(False, len(taken), off, fitting[:MOST], ratio, nearest)


def _taken(sheet: BenchSheet, readings: Readings) -> list[tuple[BenchRow, float]]:
    """Every reading with its row."""
    unknown = [s for s in readings if s not in SEQUENCES]
    if unknown:
        raise ValueError(f"readings must be by sequence, '123' and '132', got {unknown[0]!r}")
    taken: list[tuple[BenchRow, float]] = []
    for sequence, values in readings.items():
        rows = sheet.of(sequence)
        if isinstance(values, str) or not isinstance(values, Sequence | np.ndarray) or len(values) != len(rows):
            names = ", ".join(f"{r.what} {'–'.join(r.between)}" for r in rows)
            raise ValueError(f"readings[{sequence!r}] must be {len(rows)} values [V] ({names}), got {values!r}")
        for row, volts in zip(rows, values, strict=True):
            if volts is None:
                continue
            if not 0 <= number(volts) < 1000:
                raise ValueError(f"reading of {row.what} in {sequence} must be 0 to 1000 V or None, got {volts!r}")
            taken.append((row, float(volts)))
    if not taken:
        raise ValueError("readings must hold at least one value [V]; put None only where nothing was read")
    return taken


def _distance(sheet: BenchSheet, suspect: Suspect, taken: list[tuple[BenchRow, float]]) -> float:
    """How far readings lie from a suspect's nominal ones [V rms], root mean square; inf if one is far off."""
    line, squares = sheet.indicator.line_voltage, []
    for row, volts in taken:
        nominal = shown(suspect.there, row.sequence, row.between)
        if abs(nominal - volts) > FAR * max(nominal, volts) + FAR / 2 * line:
            return float("inf")
        squares.append((nominal - volts) ** 2)
    return float(np.sqrt(np.mean(squares)))


def _explains(sheet: BenchSheet, suspect: Suspect, taken: list[tuple[BenchRow, float]]) -> bool:
    """Whether every reading lies in its range under this suspect."""
    for row, volts in taken:
        low, _, high = span(suspect.there, sheet.indicator, sheet.margins, row.sequence, row.between)
        if not low <= volts <= high:
            return False
    return True


def _ratio(sheet: BenchSheet, taken: list[tuple[BenchRow, float]]) -> float | None:
    """The one factor that explains all readings, or None."""
    factors = [volts / row.shown for row, volts in taken if row.shown > 0.1 * sheet.indicator.line_voltage]
    if not factors or float(np.median(factors)) <= 0:
        return None
    factor = float(np.median(factors))
    inside = all(row.low * factor <= volts <= row.high * factor for row, volts in taken)
    return factor if inside else None
