"""The sizing sheet for a person: tables on the terminal."""

from __future__ import annotations

from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table

from phasorkit.analysis.sheet import capacitor_table
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.quantities import code, render


def print_sheet(indicator: Indicator, data: dict[str, Any]) -> None:
    """Print parts, lamp volts, common capacitors and the caution."""
    console = Console(highlight=False, soft_wrap=False)
    console.print(f"\n[bold]{data['title']}[/bold] ({data['circuit']})")
    volts, hertz = render(data["line_voltage"], "V"), render(data["frequency_hz"], "Hz")
    console.print(f"For {volts} line to line, {hertz}; volts are rms between the two nodes, lamp not lit (unloaded).")
    for key, value in indicator.figures().items():
        words, unit = _label(key)
        console.print(f"{words}: {render(value, unit)}")
    console.print(f"preferred resistance ({data['series']}): {render(data['preferred_ohm'], 'Ω')}\n")
    console.print(_parts(data))
    console.print("Worst: over both sequences at 110 % of nominal voltage. Capacitors must stand the peak.")
    console.print(_lamps(data))
    if any(given.name == "capacitance" for given in indicator.inputs):
        console.print(_capacitors(indicator, data["series"]))
    console.print(f"[bold]Caution.[/bold] {data['caution']}\n")


def _label(key: str) -> tuple[str, str]:
    words, _, unit = key.rpartition("_")
    return words.replace("_", " "), {"ohm": "Ω", "farad": "F", "henry": "H", "volt": "V", "watt": "W"}[unit]


def _table(title: str, *columns: str) -> Table:
    table = Table(title=title, box=box.SIMPLE_HEAD, title_justify="left", pad_edge=False)
    for column in columns:
        table.add_column(column, justify="left" if column in ("part", "between", "lamp") else "right")
    return table


def _parts(data: dict[str, Any]) -> Table:
    table = _table(
        "Parts", "part", "between", "exact", "buy", "V at 123", "V at 132", "worst V", "worst peak V", "worst mW"
    )
    for part in data["parts"]:
        table.add_row(
            part["name"],
            "–".join(part["between"]),
            render(part["value"], part["unit"]),
            code(part["preferred"]),
            *(f"{part['volts'][s]:.1f}" for s in SEQUENCES),
            f"{part['worst_volts']:.0f}",
            f"{part['worst_volts_peak']:.0f}",
            f"{1000 * part['worst_watts']:.1f}" if part["kind"] == "R" else "",
        )
    return table


def _lamps(data: dict[str, Any]) -> Table:
    table = _table("Lamps", "lamp", "between", "V at 123", "V at 132", "V at 123, bought", "V at 132, bought")
    for k, lamp in enumerate(data["lamps"]):
        exact = [f"{data['lamp_volts'][s][k]:.1f}" for s in SEQUENCES]
        bought = [f"{data['lamp_volts_preferred'][s][k]:.1f}" for s in SEQUENCES]
        table.add_row(lamp["name"], "–".join(lamp["between"]), *exact, *bought)
    return table


def _capacitors(indicator: Indicator, series: str) -> Table:
    table = _table("Common capacitors", "C", "R at 50 Hz", f"buy ({series})", "R at 60 Hz", f"buy ({series}) ")
    rows = capacitor_table(indicator, series=series)
    for at50, at60 in zip(rows[::2], rows[1::2], strict=True):
        cells = [
            cell for row in (at50, at60) for cell in (render(row["resistance_ohm"], "Ω"), code(row["preferred_ohm"]))
        ]
        table.add_row(code(at50["capacitance_farad"]), *cells)
    return table
