"""A design against its brief, requirement by requirement: what is asked, the figure that decides, and where it fails.

Every figure is of the parts as they are bought, over the supply's window, the parts' tolerances, every wrong
connection and, where asked for, every single fault.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from phasorkit.analysis.at_once import State, solve_at_once
from phasorkit.analysis.design import CAPACITOR_KINDS, Asked, Design, Requirement
from phasorkit.analysis.design_faults import try_faults
from phasorkit.analysis.loading import LIT_LAMP
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.ratings import CLASS_X, CLASS_Y, DERATING, EXTRA_LOW
from phasorkit.analysis.stress import Stress, stresses
from phasorkit.analysis.tolerance import Corners, corners
from phasorkit.analysis.wiring import MISLEADING, RIGHT, verdict, wiring_states
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator, Reading
from phasorkit.lamps import DARK, LIT
from phasorkit.supply import Supply
from phasorkit.switching import GlowLamp, Led

LARGEST = 10e6
"""Largest film resistor that every shop has [Ω] (common practice)."""


def requirements(design: Design, asked: Asked) -> tuple[Requirement, ...]:
    """Judge a design.

    Parameters
    ----------
    design : Design
        Of a circuit with lamps that strike (filament lamps are resistors of their circuit and have other limits).
    asked : Asked

    Returns
    -------
    tuple of Requirement
        Lamps, one reading, wrong connections, ratings, touch current where a person is part, single faults.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [r.name for r in requirements(Design(exact=bridge), Asked()) if r.passed is False]
    ['volts on each resistor', 'heat in each resistor', 'volts on the capacitor', 'class of the capacitor']
    """
    built = design.bought
    return (
        *_lamps(built, asked.margins),
        *_readings(built, asked.one_reading),
        *_ratings(design, built),
        *_person(built),
        *_faults(design, asked.faults),
    )


# --- lamps ------------------------------------------------------------------------------------------------


def _lamps(built: Indicator, margins: Margins) -> list[Requirement]:
    """The worst corner for the lamps that should be dark, and for those that should be lit."""
    box = corners(built, margins)
    readings = {s: built.on(built.supply(s)) for s in SEQUENCES}
    volts = {s: [float(v) for v in reading.lamp_volts] for s, reading in readings.items()}
    found: dict[str, list[Requirement]] = {DARK: [], LIT: []}
    for s, other in (SEQUENCES, SEQUENCES[::-1]):
        for k, lamp in enumerate(built.lamps):
            if volts[s][k] < volts[other][k] / 2:
                found[DARK].append(_dark(lamp.name, s, box, k, lamp.dark_below))
            else:
                found[LIT].append(_lit(lamp.name, s, box, k, lamp.lit_above))
    darkest = max(found[DARK], key=lambda r: r.value / r.limit, default=None)
    dimmest = min(found[LIT], key=lambda r: r.value / r.limit)
    never = Requirement("dark lamp stays dark", 0, 1, "", False, False, "no lamp tells the sequences apart")
    return [darkest or never, dimmest, _current(built, readings, margins)]


def _dark(lamp: str, sequence: str, box: Corners, k: int, limit: float) -> Requirement:
    volts = box.high[sequence][k]
    worst = int(np.argmax(volts))
    case = f"{lamp}, {'-'.join(sequence)}, {box.labels[worst]}"
    value = float(volts[worst])
    return Requirement("dark lamp stays dark", value, limit, "V", True, value < limit, case)


def _lit(lamp: str, sequence: str, box: Corners, k: int, limit: float) -> Requirement:
    volts = box.low[sequence][k]
    worst = int(np.argmin(volts))
    case = f"{lamp}, {'-'.join(sequence)}, {box.labels[worst]}"
    value = float(volts[worst])
    return Requirement("lit lamp lights", value, limit, "V", False, value > limit, case)


def _current(built: Indicator, readings: Mapping[str, Reading], margins: Margins) -> Requirement:
    """Current of the weakest lit lamp at the lowest voltage: a glow lamp as a resistor, an LED by its own figure."""
    mean = built.figures().get("bright_led_mean_at_85_percent_ampere")
    if mean is not None:
        value, limit, case = mean, Led().plain_above, "mean, bright LED at 85 % of voltage"
    else:
        found = [
            abs(volts) / abs(ohms + LIT_LAMP)
            for reading in readings.values()
            for lamp, state in zip(built.lamps, reading.lamp_states, strict=True)
            if str(state) != DARK
            for volts, ohms in [map(complex, reading.solution.thevenin(lamp.a, lamp.b))]
        ]
        value, limit = margins.voltage[0] * min(found, default=0.0), GlowLamp().plain_above
        case = f"lamp taken as 100 kΩ, {100 * margins.voltage[0]:.0f} % of voltage"
    return Requirement("current of the lit lamp", 1e3 * value, 1e3 * limit, "mA", False, value >= limit, case)


# --- readings ---------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _laid(line_voltage: float, frequency: float, probes: tuple[str, ...]) -> tuple[tuple[str, str, Supply], ...]:
    """Every wiring state in both sequences: sequence, state, supply."""
    return tuple(
        (s, name, lay(Supply(line_voltage=line_voltage, frequency=frequency, sequence=s)))
        for s in SEQUENCES
        for name, lay in wiring_states(probes).items()
    )


def _readings(built: Indicator, one_reading: bool) -> list[Requirement]:
    """What one reading and two readings say on right and on wrong wiring."""
    laid = _laid(float(built.line_voltage), float(built.frequency), built.probes)
    network = built.network()
    found = solve_at_once(built, {f"{s} {name}": (supply, network) for s, name, supply in laid})
    said = {key: built.conclude(f.lamp_states, f.lamp_volts) for key, f in found.items()}
    once = [f"{'-'.join(s)}, {n}" for s, n, _ in laid if verdict(said[f"{s} {n}"], sequence=s, wiring=n) == MISLEADING]
    twice = [f"{'-'.join(s)}, {n}" for s, n, _ in laid if _later(built, found, said, s, n) == MISLEADING]
    records = [_names("two readings name the sequence", {s: _after(built, found, said, s, RIGHT) for s in SEQUENCES})]
    if one_reading:
        records.append(_names("one reading names the sequence", {s: said[f"{s} {RIGHT}"] for s in SEQUENCES}))
    return [
        *records,
        _count("one reading never misleads", once, len(laid)),
        _count("two readings never mislead", twice, len(laid)),
    ]


def _names(name: str, says: Mapping[str, str]) -> Requirement:
    """Whether right wiring is told by its sequence; if not, what is said instead."""
    wrong = [s for s in SEQUENCES if says[s] != s]
    case = f"right wiring, {'-'.join(wrong[0])}: says {says[wrong[0]]}" if wrong else "right wiring"
    return Requirement(name, float(not wrong), 1, "", False, not wrong, case)


def _after(built: Indicator, found: dict[str, State], said: dict[str, str], sequence: str, wiring: str) -> str:
    other = SEQUENCES[1 - SEQUENCES.index(sequence)]
    here, there = (f"{s} {wiring}" for s in (sequence, other))
    return built.after_swap(found[here].lamp_states, found[there].lamp_states, (said[here], said[there]))


def _later(built: Indicator, found: dict[str, State], said: dict[str, str], sequence: str, wiring: str) -> str:
    return verdict(_after(built, found, said, sequence, wiring), sequence=sequence, wiring=wiring)


def _count(name: str, bad: list[str], tried: int) -> Requirement:
    case = f"{tried} states tried" if not bad else f"of {tried} states, first: {bad[0]}"
    return Requirement(name, len(bad), 0, "states", True, not bad, case)


# --- parts ------------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _stresses(built: Indicator) -> dict[str, Stress]:
    """Kept: tolerance classes and ratings change while the circuit stays."""
    return stresses(built, supply=Supply(line_voltage=OVERVOLTAGE * built.line_voltage, frequency=built.frequency))


def _ratings(design: Design, built: Indicator) -> list[Requirement]:
    """Volts and watts of each piece, volts and class of the capacitors, at the worst state and 110 % of voltage."""
    worst = _stresses(built)
    kinds = {e.name: e.kind for e in built.network().elements if e.name not in built.no_parts}
    resistors = [worst[name] for name, kind in kinds.items() if kind == "R"]
    capacitors = [worst[name] for name, kind in kinds.items() if kind == "C"]
    volts = max(((s.volts / design.pieces_of(s.name), s) for s in resistors), key=_first)
    watts = max(((s.watts / design.pieces_of(s.name), s) for s in resistors), key=_first)
    half = DERATING * design.size.watts
    piece = max(
        float(np.asarray(e.value)) / design.pieces_of(e.name) for e in built.network().elements if e.kind == "R"
    )
    lines = [
        Requirement("each resistor is sold", piece / 1e6, LARGEST / 1e6, "MΩ", True, piece <= LARGEST,
                    f"values of {design.series}, {design.pieces} in series"),
        Requirement("volts on each resistor", volts[0], design.size.volts, "V", True,
                    volts[0] <= design.size.volts, f"{volts[1].name}, {_dashes(volts[1].volts_state)}"),
        Requirement("heat in each resistor", watts[0], half, "W", True, watts[0] <= half,
                    f"{watts[1].name}, {_dashes(watts[1].watts_state)}; half the rated watts"),
    ]  # fmt: skip
    return lines + _capacitors(design, built, capacitors)


def _dashes(state: str) -> str:
    """A state that begins with its sequence, as it is said: ``1-3-2, right``."""
    return f"{'-'.join(state[:3])}{state[3:]}"


def _first(pair: tuple[float, Stress]) -> float:
    return pair[0]


def _capacitors(design: Design, built: Indicator, capacitors: list[Stress]) -> list[Requirement]:
    if not capacitors:
        return []
    need, kind = max(capacitors, key=lambda s: s.volts), design.capacitor
    person = any("PE" in (e.a, e.b) for e in built.network().elements)
    classes = CLASS_Y if person else (*CLASS_X, *CLASS_Y) if built.line_voltage > EXTRA_LOW else CAPACITOR_KINDS
    asked = "class Y: a person is in series" if person else "class X or Y: across mains"
    fits = kind in classes
    where = f"{need.name}, {_dashes(need.volts_state)}"
    return [
        Requirement("volts on the capacitor", need.volts, kind.volts, "V", True, need.volts <= kind.volts, where),
        Requirement("class of the capacitor", float(fits), 1, "", False, fits,
                    asked if classes != CAPACITOR_KINDS else "any: extra-low voltage"),
    ]  # fmt: skip


# --- persons and faults -----------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _safety(built: Indicator) -> dict[str, Any]:
    return built.safety()


def _person(built: Indicator) -> list[Requirement]:
    """Touch current over every single fault, where a person is part of the circuit."""
    facts = _safety(built)
    if not facts:
        return []
    value, limit = 1e3 * facts["worst_touch_current_ampere"], 1e3 * facts["touch_limit_ampere"]
    return [
        Requirement("touch current", value, limit, "mA", True, bool(facts["safe"]), str(facts["worst_touch_fault"]))
    ]


def _faults(design: Design, tried: bool) -> list[Requirement]:
    """Every part open, shorted and drifted, one at a time: no part above its rating, no lie."""
    names = ("no single fault overloads a part", "no single fault misleads")
    if not tried:
        return [Requirement(name, 0, 0, "faults", True, None, "not tried yet") for name in names]
    table = try_faults(design)
    over = [f"{r.fault}: {r.part} at {100 * r.share:.0f} % of its rating" for r in table if r.share > 1 + 1e-6]
    lies = [r.fault for r in table if r.indication == MISLEADING]
    return [
        Requirement(name, len(bad), 0, "faults", True, not bad,
                    f"of {len(table)}, first: {bad[0]}" if bad else f"{len(table)} tried")
        for name, bad in zip(names, (over, lies), strict=True)
    ]  # fmt: skip
