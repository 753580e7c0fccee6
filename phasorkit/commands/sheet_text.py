"""The sizing sheet for a person: tables for a terminal or a printer of 80 columns."""

from __future__ import annotations

from math import ceil, floor, log10, sqrt
from typing import Any

from rich.console import Console

from phasorkit.analysis.doubts import FAINT
from phasorkit.analysis.ratings import RESISTORS
from phasorkit.analysis.sheet import capacitor_table
from phasorkit.commands import sheet_tables as tables
from phasorkit.indicators.base import Indicator
from phasorkit.parts import nearest, series_values
from phasorkit.quantities import code, render

UNITS = {"ohm": "Ω", "farad": "F", "henry": "H", "volt": "V", "ampere": "A", "watt": "W"}


def print_sheet(indicator: Indicator, data: dict[str, Any]) -> None:
    """Print parts, ratings, lamps, tolerance, loading, wiring and faults, common capacitors, and the caution."""
    console = Console(highlight=False, soft_wrap=False)
    _head(console, indicator, data)
    console.print(tables.parts(data))
    not_lit = ", lamp not lit" if data["in_time"] else ""
    console.print(f"Worst: over both sequences at 110 % of nominal voltage{not_lit}.")
    console.print("\n".join([*data["also_needed"], ""]))
    _ratings(console, data)
    console.print(tables.lamps(data))
    _tolerance(console, data)
    if data["in_time"]:
        console.print(tables.travel(data))
        console.print(
            "The tester as built, right wiring, the same tolerance around other volts and hertz. Hardest on: share of "
            "the volts that the bought part stands, or of half its watts, in every state as above.\n"
        )
        console.print(tables.in_time(data))
    console.print(tables.loading(data))
    console.print("Volts with a 10 MΩ meter; less with any other. A node's own resistance is what the meter loads.\n")
    for sequence in ("123", "132"):
        console.print(tables.wiring(data, sequence))
    console.print(f"Assumes {data['wiring_assumes']}")
    unloaded = "Volts are unloaded. " if data["in_time"] else ""
    console.print(
        f"{unloaded}One reading: what one would say, and whether that is true. After swap: from a second "
        "reading with two conductors exchanged.\n"
    )
    console.print(tables.faults(data))
    if any(r["touch_ampere"] is not None for r in data["single_faults"]):
        console.print(f"Limits: {data['single_faults_assume']}.\n")
    else:
        console.print(
            "Safe: no other part above its rated volts or its full rated watts, at 110 % of voltage. Nobody is part of "
            "this circuit: the word says nothing of touching it; see the loose tip above.\n"
        )
    if not data["filament"] and any(given.name == "capacitance" for given in indicator.inputs):
        console.print(tables.capacitors(capacitor_table(indicator, series=data["series"]), data["series"]))
    console.print(f"[bold]Caution.[/bold] {data['caution']}\n")


def _head(console: Console, indicator: Indicator, data: dict[str, Any]) -> None:
    console.print(f"\n[bold]{data['title']}[/bold] ({data['circuit']})")
    volts, hertz = render(data["line_voltage"], "V"), render(data["frequency_hz"], "Hz")
    lamps = "lamp not lit (unloaded)" if data["in_time"] else "with the lamps as resistors"
    console.print(f"For {volts} line to line, {hertz}; volts are rms between the two nodes, {lamps}.")
    if data.get("safe") is False:
        console.print(f"[bold]DO NOT BUILD IT[/bold]: a touch current of {_touch(data)}")
    elif "safe" in data:
        console.print(f"Touch current: {_touch(data)}")
    console.print(f"[bold]Loose tip.[/bold] {data['loose_tip_caution']}")
    for key, value in indicator.figures().items():
        words, _, unit = key.rpartition("_")
        console.print(f"{words.replace('_', ' ')}: {render(value, UNITS[unit])}")
    if not data["filament"]:
        console.print(f"preferred resistance ({data['series']}): {render(data['preferred_ohm'], 'Ω')}")
    if data["doubts"]:
        console.print(f"[bold]Not to be trusted as it is.[/bold] {' '.join(data['doubts'])}")
    if FAINT not in data["doubts"] and data.get("smallest_capacitor_farad", 0.0) > _capacitance(data):
        console.print("This capacitor is smaller than the smallest that makes an LED plainly visible: expect it faint.")
    console.print()


def _capacitance(data: dict[str, Any]) -> float:
    """The capacitor of the sheet [F]; the largest where it has several, 0 where it has none."""
    return max((float(part["value"]) for part in data["parts"] if part["kind"] == "C"), default=0.0)


def _touch(data: dict[str, Any]) -> str:
    """Current and limit in words, and what another earthing makes of them."""
    if data["return_path"] == "neutral":
        return "no pad to touch; the neutral lead is a probe like the others, and its loose tip is alive."
    current, limit = (render(data[key], "A") for key in ("worst_touch_current_ampere", "touch_limit_ampere"))
    text = (
        f"{current} at worst ({data['worst_touch_fault']}; star-earthed supply), parts within their tolerance may "
        f"add a tenth; limit {limit}, see the faults below. Indication and ratings hold only where the star point is "
        "earthed: on any other supply the lamp lights for both sequences or for neither, and parts may bear more."
    )
    corner = data["corner_touch_current_ampere"]
    if corner <= data["touch_limit_ampere"]:
        return text
    return (
        f"{text} NOT FOR a supply that is corner earthed, or isolated with an earth fault: {render(corner, 'A')} there."
    )


def _ratings(console: Console, data: dict[str, Any]) -> None:
    console.print(tables.ratings(data))
    states: dict[str, list[str]] = {}
    for r in data["ratings"]:
        states.setdefault(r["volts_state"], []).append(r["name"])
    worst = [f"{', '.join(names)} at {state}" for state, names in states.items()]
    person = any(r["touch_ampere"] is not None for r in data["single_faults"])
    console.print(
        f"Needed: over every wiring state{' and every single fault' if person else ''}, lamps lit or not, at 110 % of "
        "voltage; resistors use half their rated watts. "
        f"Worst volts: {'; '.join(worst)}."
    )
    if any(r["kind"] == "R" and len(set(r["chain"])) > 1 for r in data["ratings"]):
        console.print(
            "A chain makes up the exact value, closer than the one preferred value of the parts table, which the lamp "
            "volts marked bought and built are for."
        )
    for r in data["ratings"]:
        if r["kind"] != "R" and r["remark"]:
            console.print(f"{r['name']}: {r['remark']}.")
    for r in data["ratings"]:
        if r["kind"] == "C" and (sold := _neighbours(r["each_value"])):
            console.print(_not_sold(r, sold))
    for d in data["discharge"]:
        console.print(_discharge(d))
    console.print(" ".join(data["remarks"]) + "\n")


def _neighbours(farad: float) -> tuple[float, float] | None:
    """The E12 values below and above [F]; None for one that is sold (E24)."""
    if abs(float(nearest(farad, "E24")) / farad - 1) < 1e-6:
        return None
    decade = floor(log10(farad))
    sold = sorted(float(f"{v:g}e{p}") for p in (decade - 1, decade, decade + 1) for v in series_values("E12"))
    return max(v for v in sold if v <= farad), min(v for v in sold if v > farad)


def _not_sold(r: dict[str, Any], sold: tuple[float, float]) -> str:
    low, high = (code(v) for v in sold)
    if r["pieces"] == 1:
        return f"{r['name']}: {code(r['each_value'])} is no usual value; size again with --capacitor {low} or {high}."
    whole = (code(v / r["pieces"]) for v in sold)
    pairs = " or ".join(f"{one} ({r['pieces']} × {each})" for one, each in zip(whole, (low, high), strict=True))
    return f"{r['name']}: {code(r['each_value'])} is no usual value; size again with --capacitor {pairs}."


def _discharge(d: dict[str, Any]) -> str:
    charge = f"{d['name']} keeps up to {render(d['coulomb'], 'C', digits=2)} at {d['volts_peak']:.0f} V"
    if d["seconds"] is None:
        how = "and nothing discharges it when the probes are in the air: bridge the tips before touching them"
    else:
        how = f"and is below 60 V in {render(d['seconds'], 's', digits=2)} (its own resistors)"
    if d["harmless"]:
        return f"{charge} {how}."
    pieces = ceil(d["volts_peak"] / sqrt(2) / RESISTORS[0].volts)
    chain = f", as {pieces} pieces or more in series for its volts," if pieces > 1 else ""
    bleeder = render(d["bleeder_ohm"], "Ω", digits=2)
    return f"{charge} {how}. Not harmless: put at most {bleeder}{chain} across it for good."


def _tolerance(console: Console, data: dict[str, Any]) -> None:
    summary = data["tolerance"]
    console.print(tables.tolerance(data))
    console.print(f"Of the bought parts, with {summary['assumes']}.")
    pairs = [f"R {c['resistor']:g} % with C or L {c['capacitor']:g} %" for c in summary["loosest_classes"]]
    console.print(f"Loosest classes with which the indication holds: {' or '.join(pairs) or 'none of those sold'}.")
    for r in summary["harmonics"]:
        what = "With all harmonics" if r["order"] == 0 else f"The 5th harmonic alone ({100 * r['share']:g} %)"
        volts = ", ".join(f"{tables.brief(v)} V" for v in r["lamp_volts"])
        console.print(f"{what}, at {r['sequence']}: {volts}.")
    console.print(summary["harmonics_assume"] + "\n")
