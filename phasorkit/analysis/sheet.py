"""The practitioner's sheet of one indicator as plain data: values, ratings, lamp volts, common capacitors."""

from __future__ import annotations

from dataclasses import asdict
from math import floor, log10
from typing import Any

import numpy as np

from phasorkit.analysis.discharge import discharge
from phasorkit.analysis.doubts import doubts
from phasorkit.analysis.faults import LIMITS, fault_table
from phasorkit.analysis.harmonics import ASSUMES, harmonic_table
from phasorkit.analysis.lamp_in_time import in_time_table, lamps_switch
from phasorkit.analysis.loading import METERS, lamp_loading, loading_table
from phasorkit.analysis.loose_tip import loose_tip_caution, loose_tips
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.monte_carlo import monte_carlo
from phasorkit.analysis.ratings import chain, ratings, remarks
from phasorkit.analysis.tolerance import tolerance_table
from phasorkit.analysis.tolerance_classes import classes
from phasorkit.analysis.travel import travel_table
from phasorkit.analysis.wiring import assumptions, other_states, wiring_table
from phasorkit.cautions import DARK_IS_NO_PROOF, WHO_MAY
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.parts import nearest, series_values

TABLE_FREQUENCIES = (50.0, 60.0)
SHEET_SAMPLES = 20_000
"""Random copies for the tolerance summary: enough for the sheet's two digits."""


def sheet(indicator: Indicator, *, series: str = "E24") -> dict[str, Any]:
    """Everything a builder needs, ready for JSON.

    Parameters
    ----------
    indicator : Indicator
        Exact parts, as `sized` gives them.
    series : str
        Preferred series for the resistors (IEC 60063).

    Returns
    -------
    dict
        Plain data. Volts are rms between the two nodes named, unloaded; ``lamp_volts`` is for exact parts,
        ``lamp_volts_preferred`` for rounded ones, both in the order of ``lamps``. ``worst_*`` of a part is over
        both sequences at 110 % of the nominal voltage, right wiring, lamp not lit; ``ratings`` goes over every wiring
        state, lamps lit or not. ``tolerance``, ``other_systems`` (`travel_table`), ``loading``, ``lit_lamps`` and
        ``in_time`` (the lamp as it switches) are of the rounded parts, all else exact. ``doubts`` says where the
        indication does not hold; it is empty where it does.

    Raises
    ------
    ValueError
        Unknown series.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> sheet(bridge)["preferred_ohm"]
    390000.0
    """
    rounded = indicator.with_preferred_values(series)
    figures = indicator.figures()
    lamps = lamp_records(indicator)
    tolerance = tolerance_summary(rounded)
    in_time = [asdict(r) for r in in_time_table(rounded)] if lamps_switch(rounded) else []
    return {
        "circuit": indicator.name,
        "title": indicator.title,
        "line_voltage": indicator.line_voltage,
        "frequency_hz": indicator.frequency,
        "series": series,
        **figures,
        **indicator.safety(),
        **indicator.safety_elsewhere(),
        "preferred_ohm": rounded.figures()["resistance_ohm"],
        "filament": getattr(indicator, "filament", None) is not None,
        "doubts": list(doubts(lamps, tolerance, in_time)),
        "lamps": lamps,
        "lamp_volts": lamp_volts(indicator),
        "lamp_volts_preferred": lamp_volts(rounded),
        "parts": part_records(indicator, rounded),
        "also_needed": list(indicator.also_needed),
        **rating_records(indicator, series),
        "tolerance": tolerance,
        "other_systems": [asdict(r) for r in travel_table(rounded)] if in_time else [],
        "loading": [asdict(r) for r in loading_table(rounded, meters=METERS[:1])],
        "lit_lamps": [asdict(r) for r in lamp_loading(rounded)],
        "in_time": in_time,
        "single_faults": [asdict(r) for r in fault_table(indicator)],
        "single_faults_assume": LIMITS,
        "wiring": [asdict(r) for r in wiring_table(indicator)],
        "other_states": [asdict(r) for r in other_states(indicator)],
        "wiring_assumes": assumptions(indicator.supply(), indicator),
        "loose_tips": [asdict(r) for r in loose_tips(indicator)],
        "loose_tip_caution": loose_tip_caution(indicator),
        "caution": f"{DARK_IS_NO_PROOF} {WHO_MAY}",
    }


def lamp_records(indicator: Indicator) -> list[dict[str, Any]]:
    """Name, nodes and strike window [V rms] of every lamp."""
    return [
        {"name": lamp.name, "between": [lamp.a, lamp.b], "dark_below": lamp.dark_below, "lit_above": lamp.lit_above}
        for lamp in indicator.lamps
    ]


def lamp_volts(indicator: Indicator) -> dict[str, list[float]]:
    """Unloaded lamp volts [V rms] on the nominal supply, by sequence, in the order of the lamps."""
    return {s: [float(v) for v in indicator.on(indicator.supply(s)).lamp_volts] for s in SEQUENCES}


def part_records(exact: Indicator, rounded: Indicator) -> list[dict[str, Any]]:
    """One record per part: value, preferred value, volts [V rms] and watts by sequence, worst case for rating."""
    readings = {s: exact.on(exact.supply(s)).solution for s in SEQUENCES}
    records = []
    for line, bought in zip(exact.parts(), rounded.parts(), strict=True):
        volts = {s: float(np.abs(r.voltage(*line.between))) for s, r in readings.items()}
        watts = {s: float(r.power(line.name).real) if line.kind == "R" else 0.0 for s, r in readings.items()}
        records.append(
            {
                "name": line.name,
                "kind": line.kind,
                "value": line.value,
                "unit": line.unit,
                "between": list(line.between),
                "role": line.role,
                "preferred": bought.value,
                "volts": volts,
                "watts": watts,
                "worst_volts": line.volts,
                "worst_volts_peak": line.volts_peak,
                "worst_watts": line.watts,
            }
        )
    return records


def rating_records(indicator: Indicator, series: str = "E24") -> dict[str, Any]:
    """What to buy: ``ratings`` (each with its ``chain`` of preferred values), ``discharge`` and ``remarks``."""
    return {
        "ratings": [asdict(r) | {"chain": list(chain(r, series))} for r in ratings(indicator)],
        "discharge": [asdict(r) for r in discharge(indicator)],
        "remarks": list(remarks(indicator)),
    }


def tolerance_summary(built: Indicator) -> dict[str, Any]:
    """Worst, likely and random lamp volts of an indicator as built, its loosest classes, and harmonics.

    ``lamps``: `tolerance_table`; ``samples``: `monte_carlo`, uniform; ``loosest_classes``: resistor and capacitor (or
    coil) classes [±%]; ``harmonics``: lamp volts of the 5th by itself and of all together.
    """
    margins = Margins()
    return {
        "assumes": margins.words(),
        "lamps": [asdict(r) for r in tolerance_table(built, margins=margins)],
        "samples": [asdict(r) for r in monte_carlo(built, margins=margins, samples=SHEET_SAMPLES)],
        "loosest_classes": [
            {"resistor": c.resistor, "capacitor": c.capacitor, "dark_highest": c.dark_highest}
            for c in classes(built, margins=margins)
            if c.loosest
        ],
        "harmonics": [asdict(r) for r in harmonic_table(built) if r.order in (0, 5)],
        "harmonics_assume": ASSUMES,
    }


def capacitor_table(indicator: Indicator, *, series: str = "E24", capacitors: str = "E6") -> list[dict[str, float]]:
    """Resistance for the common capacitors at 50 and 60 Hz: from 1 to 10 nF, for the stars from 10 to 100 nF.

    Parameters
    ----------
    indicator : Indicator
        One with a ``capacitance`` that its resistance follows (no filament lamps); its other givens are kept.
    series, capacitors : str
        Preferred series of the resistors and of the capacitors (IEC 60063).

    Returns
    -------
    list of dict
        ``capacitance_farad``, ``frequency_hz``, ``reactance_ohm``, ``resistance_ohm``, ``preferred_ohm``.

    Notes
    -----
    Useful capacitors are 1 to 10 nF (common practice): smaller ones are upset by strays, larger ones pass more
    current than a glow lamp needs. LEDs and plain lamps need more: the decade is that of the circuit's typical one.
    """
    rows = []
    typical = next(given.typical for given in indicator.inputs if given.name == "capacitance")  # type: ignore[union-attr]
    decade = 10.0 ** floor(log10(1e9 * (typical or 1e-9)) + 1e-9)
    for nano in decade * np.array([*series_values(capacitors), 10.0]):
        for frequency in TABLE_FREQUENCIES:
            sized = indicator.resized({"capacitance": float(f"{nano:g}e-9"), "frequency": frequency})
            figures = sized.figures()
            rows.append(
                {
                    "capacitance_farad": float(f"{nano:g}e-9"),
                    "frequency_hz": frequency,
                    "reactance_ohm": figures["reactance_ohm"],
                    "resistance_ohm": figures["resistance_ohm"],
                    "preferred_ohm": float(nearest(figures["resistance_ohm"], series)),
                }
            )
    return rows
