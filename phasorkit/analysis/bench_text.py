"""A bench sheet in words: parts, wiring, steps and cautions, as plain lists that any page can set."""

from __future__ import annotations

from dataclasses import replace

from phasorkit.analysis.bench_sheet import METER_FLOOR, METER_PERCENT, BenchSheet, hidden
from phasorkit.analysis.bench_source import usual_set
from phasorkit.cautions import DARK_IS_NO_PROOF, WHO_MAY
from phasorkit.indicators.base import SEQUENCES
from phasorkit.lamps import LED
from phasorkit.network import UNIT_OF_KIND, Element
from phasorkit.quantities import code, render
from phasorkit.supply import CONDUCTORS


def parts_list(sheet: BenchSheet) -> list[tuple[str, str, str, str]]:
    """Name, value with its code, between which nodes, what for; with what plays a body or makes a star point.

    >>> from phasorkit.analysis.bench_sheet import bench_sheet, on_bench
    >>> parts_list(bench_sheet(on_bench("divider-bridge")))[3]
    ('C1', '47 nF (47n)', 'P–L2', 'C of the R-C leg')
    """
    return [(e.name, _value(sheet, e), f"{e.a}–{e.b}", _role(sheet, e)) for e in _elements(sheet)]


def wiring_list(sheet: BenchSheet) -> list[tuple[str, str]]:
    """Every node with what meets there: one row of a breadboard, or one terminal, each.

    >>> from phasorkit.analysis.bench_sheet import bench_sheet, on_bench
    >>> dict(wiring_list(bench_sheet(on_bench("divider-bridge"))))["P"]
    'R3, C1; measuring point'
    """
    elements = _elements(sheet)
    measured = {node for row in sheet.rows for node in row.between}
    nodes = [*CONDUCTORS, *dict.fromkeys(n for e in elements for n in (e.a, e.b) if n not in CONDUCTORS)]
    found = []
    for node in nodes:
        legs = [e.name for e in elements if node in (e.a, e.b)]
        if not legs:
            continue
        lead = f"lead {node} of the source, " if node in CONDUCTORS else ""
        star = "star terminal of the source, " if node in ("N", "PE") and sheet.source.star_point else ""
        point = "; measuring point" if node in measured and node not in CONDUCTORS else ""
        found.append((node, f"{lead}{star}{', '.join(legs)}{point}"))
    return found


def stand_in(sheet: BenchSheet) -> str:
    """What stands for the lamps at these volts."""
    lamps, own = sheet.indicator.lamps, {e.name for e in sheet.indicator.network().elements}
    names = " and ".join(f"{lamp.name} ({lamp.a}–{lamp.b})" for lamp in lamps)
    if any(lamp.name in own for lamp in lamps):
        return f"Resistors stand for the lamps {names}: a generator feeds no filaments. The meter says how bright."
    if any(lamp.kind == LED for lamp in lamps):
        tops = " and ".join(lamp.a for lamp in lamps)
        return (
            f"Measure first with the LEDs {names} out. Then, source off, put in red LEDs and signal diodes (100 V) "
            f"opposite ways: each LED's long leg (anode) and each diode's ring (cathode) to {tops}, the others to S. "
            "The LED with more volts lights, and its volts fall below the prediction: now it draws current."
        )
    return (
        f"No glow lamp strikes at these volts: leave {names} out, the meter stands for it. To see a light, use an LED "
        "with a driver of its own: a battery-fed comparator or transistor stage that takes less than 1 µA."
    )


def steps(sheet: BenchSheet) -> list[str]:
    """What to do, in order."""
    volts, hertz = render(sheet.indicator.line_voltage, "V"), render(sheet.indicator.frequency, "Hz")
    most = max(row.perfect for row in sheet.rows)
    higher = (
        f" Up to {most:.0f} V stand between two of its points." if most > 1.05 * sheet.indicator.line_voltage else ""
    )
    return [
        f"Source off. Wire the circuit by the list.{higher}",
        f"Source on: {volts} between lines, {hertz}. Measure the three line voltages FIRST, at the circuit.",
        f"Meter on alternating volts (V~), the lowest range that holds {1.1 * most:.0f} V. Never on the current range.",
        "Take every reading of 1-2-3, change the sequence at the source, take those of 1-3-2.",
        "Outside the range? Give the readings to agree(sheet, readings), as lessons 05 and 12 do: it names what would "
        "explain them.",
        "Source off. Bridge each capacitor with a resistor before you touch it.",
    ]


def cautions(sheet: BenchSheet) -> list[str]:
    """What must be said on every sheet."""
    person = ["A resistor plays the person's body. NEVER touch the pad yourself, at any voltage."]
    body = [e for e in sheet.indicator.network().elements if e.name in sheet.indicator.no_parts and "PE" in (e.a, e.b)]
    return [*(person if body else []), "This sheet is for extra-low voltage only.", DARK_IS_NO_PROOF, WHO_MAY]


def assumed(sheet: BenchSheet) -> str:
    """What the ranges allow for, in one sentence."""
    m = sheet.margins
    return (
        f"Ranges allow for resistors ±{m.resistor:g} %, capacitors ±{m.capacitor:g} %, coils ±{m.inductor:g} %; source "
        f"{100 * m.voltage[0]:g} to {100 * m.voltage[1]:g} % of its volts and {100 * m.frequency[0]:g} to "
        f"{100 * m.frequency[1]:g} % of its frequency, {100 * m.negative:g} % unbalance; a meter of {sheet.meter.name} "
        f"within {METER_PERCENT:g} % and {METER_FLOOR:g} V."
    )


def as_text(sheet: BenchSheet) -> str:
    """The readings to take, as a plain table for a notebook.

    >>> from phasorkit.analysis.bench_sheet import bench_sheet, on_bench
    >>> print(as_text(bench_sheet(on_bench("divider-bridge"))).splitlines()[-1])
    1-3-2  lamp H1  M–P          20.8     20.7   19.4 to 21.9
    """
    lines = [f"{'[V]':6} {'':8} {'':8} {'perfect':>8} {'yours':>8}   in this range"]
    for s in SEQUENCES:
        for r in sheet.of(s):
            place, reach = "–".join(r.between), f"{r.low:.1f} to {r.high:.1f}"
            lines.append(f"{'-'.join(s):6} {r.what:8} {place:8} {r.perfect:8.1f} {r.shown:8.1f}   {reach}")
    return "\n".join(lines)


# --- inside -------------------------------------------------------------------------------------------------


def _elements(sheet: BenchSheet) -> list[Element]:
    """Everything that is put in: parts, what plays a body, a star of resistors; a coil between its own terminals."""
    inside = hidden(sheet.indicator)
    elements = usual_set(sheet.indicator, sheet.source, sheet.meter).network.elements
    ends = ((e, inside.get(e.a, e.a), inside.get(e.b, e.b)) for e in elements)
    return [replace(e, a=a, b=b) for e, a, b in ends if a != b]


def _winding(sheet: BenchSheet) -> str:
    """The resistance inside a coil, which is no part to buy."""
    inside = hidden(sheet.indicator)
    ohms = [float(e.value) for e in sheet.indicator.network().elements if e.kind == "R" and {e.a, e.b} & {*inside}]  # type: ignore[arg-type]
    return f", its own winding {render(sum(ohms), 'Ω')}: measure yours" if ohms else ""


def _value(sheet: BenchSheet, e: Element) -> str:
    value = float(e.value)  # type: ignore[arg-type]
    shown = render(value, UNIT_OF_KIND[e.kind], digits=3)
    if e.kind == "L":
        return f"{shown}{_winding(sheet)}"
    return shown if e.name in sheet.indicator.no_parts else f"{shown} ({code(value)})"


def _role(sheet: BenchSheet, e: Element) -> str:
    if e.name.startswith("RS"):
        return "makes the star point"
    if e.name in sheet.indicator.no_parts and "PE" in (e.a, e.b):
        return "plays the body: a resistor, never a person"
    return sheet.indicator.roles[e.name]
