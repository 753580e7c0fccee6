"""The tables of the printed sheet, each from the sheet's plain data, at most 80 columns wide."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich import box
from rich.table import Table

from phasorkit.indicators.base import SEQUENCES
from phasorkit.quantities import code, render

LEFT = ("at", "state", "why", "part", "between", "lamp", "wiring", "lamps, volts", "one reading", "after swap",
        "fault", "indication", "verdict", "kind", "worst part", "hardest on")  # fmt: skip


def parts(data: dict[str, Any]) -> Table:
    """Exact and preferred values, volts and watts on right wiring."""
    table = _table("Parts", ("part", "between", "exact", "buy", "V 123", "V 132", "worst V", "peak V", "mW"))
    for part in data["parts"]:
        table.add_row(
            part["name"],
            "–".join(part["between"]),
            render(part["value"], part["unit"]),
            _bought(part, data),
            *(f"{part['volts'][s]:.1f}" for s in SEQUENCES),
            f"{part['worst_volts']:.0f}",
            f"{part['worst_volts_peak']:.0f}",
            _milliwatts(part["worst_watts"]) if part["kind"] == "R" else "",
        )
    return table


def ratings(data: dict[str, Any]) -> Table:
    """What each part must stand and what to buy for it."""
    table = _table("Ratings", ("part", "needs V", "peak V", "mW", "buy", "kind", "stands V", "margin"))
    for r in data["ratings"]:
        table.add_row(
            r["name"],
            f"{r['volts']:.0f}",
            f"{r['volts_peak']:.0f}",
            _milliwatts(r["watts"]) if r["kind"] == "R" else "",
            _pieces(r),
            r["buy"],
            f"{r['rated_volts']:.0f}" if r["rated_volts"] else "",
            f"{r['margin']:.2f}" if r["margin"] else "",
        )
    return table


def lamps(data: dict[str, Any]) -> Table:
    """Unloaded lamp volts, exact and bought."""
    table = _table("Lamps", ("lamp", "between", "V at 123", "V at 132", "bought, 123", "bought, 132"))
    for k, lamp in enumerate(data["lamps"]):
        exact = [f"{data['lamp_volts'][s][k]:.1f}" for s in SEQUENCES]
        bought = [f"{data['lamp_volts_preferred'][s][k]:.1f}" for s in SEQUENCES]
        table.add_row(lamp["name"], "–".join(lamp["between"]), *exact, *bought)
    return table


def tolerance(data: dict[str, Any]) -> Table:
    """Worst and likely volts of every lamp."""
    table = _table(
        "Lamp volts within tolerance", ("at", "lamp", "built", "lowest", "highest", "likely", "half below",
        "worst part"),
    )  # fmt: skip
    summary = data["tolerance"]
    for r, sampled in zip(summary["lamps"], summary["samples"], strict=True):
        table.add_row(
            r["sequence"], r["lamp"], *(brief(r[key]) for key in ("volts", "lowest", "highest")),
            f"{brief(r['rss_lowest'])} to {brief(r['rss_highest'])}", brief(sampled["half_below"]), r["worst_part"],
        )  # fmt: skip
    return table


def travel(data: dict[str, Any]) -> Table:
    """The tester as built on other systems."""
    table = _table("On other systems", ("system", "dark at most", "lit at least", "hardest on", "verdict"))
    for r in data["other_systems"]:
        table.add_row(
            f"{r['line_voltage']:g} V {r['frequency']:g} Hz", brief(r["dark_highest"]), brief(r["lit_lowest"]),
            f"{r['part']} {100 * r['share']:.0f} %", r["verdict"],
        )  # fmt: skip
    return table


def in_time(data: dict[str, Any]) -> Table:
    """What each lamp does once it draws current: state with its reason, mean current, strikes, share of time lit."""
    table = _table(
        "Lamps in time (they strike and go out)",
        ("at", "lamp", "state", "mean µA", "peak µA", "strikes/s", "lit", "why"),
    )
    for r in data["in_time"]:
        figures = (1e6 * r["mean_ampere"], 1e6 * r["peak_ampere"], r["strikes_per_second"], 100 * r["lit_fraction"])
        table.add_row(
            r["sequence"], r["lamp"], r["state"], *(f"{f:.0f}" for f in figures[:3]), f"{figures[3]:.0f} %", r["reason"]
        )
    return table


def loading(data: dict[str, Any]) -> Table:
    """True and shown volts at every pair, both sequences beside each other."""
    table = _table("What a meter shows", ("between", "true 123", "shown 123", "true 132", "shown 132", "node has"))
    half = len(data["loading"]) // 2
    for one, two in zip(data["loading"][:half], data["loading"][half:], strict=True):
        volts = (one["true_volts"], one["shown_volts"], two["true_volts"], two["shown_volts"])
        table.add_row("–".join(one["between"]), *(brief(v) for v in volts), render(one["source_ohm"], "Ω", digits=3))
    return table


def wiring(data: dict[str, Any], sequence: str) -> Table:
    """Every wiring state and every other state at one sequence."""
    title = f"Wiring states at sequence {sequence}"
    table = _table(title, ("wiring", "lamps, volts", "one reading", "after swap"))
    for r in (r for key in ("wiring", "other_states") for r in data[key] if r["sequence"] == sequence):
        table.add_row(
            r["wiring"],
            ", ".join(f"{s} {brief(v)}" for s, v in zip(r["lamp_states"], r["lamp_volts"], strict=True)),
            _verdict(r["conclusion"], r["verdict"]),
            _verdict(r["after_swap"], r["after_swap_verdict"]),
        )
    return table


def faults(data: dict[str, Any]) -> Table:
    """Every single fault."""
    person = any(r["touch_ampere"] is not None for r in data["single_faults"])
    columns = [
        "fault",
        "V 123",
        "V 132",
        "indication",
        "hardest on",
        *(["touch mA"] if person else []),
        "verdict",
    ]
    table = _table("Single faults", columns)
    for r in data["single_faults"]:
        touch = [f"{1000 * r['touch_ampere']:.2f}"] if person else []
        volts = (", ".join(brief(v) for v in r["lamp_volts"][s]) for s in SEQUENCES)
        hardest = f"{r['stressed']} {100 * r['stress']:.0f} %"
        table.add_row(r["fault"], *volts, r["indication"], hardest, *touch, r["verdict"])
    return table


def capacitors(rows: list[dict[str, float]], series: str) -> Table:
    """Resistance for the common capacitors."""
    table = _table("Common capacitors", ("C", "R at 50 Hz", f"buy ({series})", "R at 60 Hz", f"buy ({series}) "))
    for at50, at60 in zip(rows[::2], rows[1::2], strict=True):
        cells = [
            cell for row in (at50, at60) for cell in (render(row["resistance_ohm"], "Ω"), code(row["preferred_ohm"]))
        ]
        table.add_row(code(at50["capacitance_farad"]), *cells)
    return table


def _table(title: str, columns: Sequence[str]) -> Table:
    table = Table(title=title, box=box.SIMPLE_HEAD, title_justify="left", pad_edge=False, collapse_padding=True)
    for column in columns:
        left, whole = column in LEFT, column in ("part", "wiring", "fault", "indication", "hardest on")
        table.add_column(column, justify="left" if left else "right", overflow="fold", no_wrap=whole)
    return table


def _bought(part: dict[str, Any], data: dict[str, Any]) -> str:
    """Code of the value; a coil with its unit; nothing for what is no part, nor for a filament lamp (volts, watts)."""
    lamp = data["filament"] and part["name"] in {lamp["name"] for lamp in data["lamps"]}
    if lamp or part["name"] not in {r["name"] for r in data["ratings"]}:
        return ""
    return render(part["preferred"], "H") if part["kind"] == "L" else code(part["preferred"])


def _pieces(rating: dict[str, Any]) -> str:
    """``3 × 130k``, ``91k + 3 × 100k``, ``4n7``; how many where the kind says the rest."""
    values = rating["chain"]
    if rating["kind"] == "L":
        return render(rating["value"], "H")
    if rating["kind"] == "R" and rating["rated_watts"] is None:
        return f"{len(values)} ×" if len(values) > 1 else ""
    counted = {v: values.count(v) for v in values}
    return " + ".join(code(v) if n == 1 else f"{n} × {code(v)}" for v, n in counted.items())


def brief(volts: float) -> str:
    """Three digits are enough; dust is zero."""
    return f"{volts:.0f}" if volts >= 100 else f"{volts:.3g}" if volts >= 0.05 else "0"


def _milliwatts(watts: float) -> str:
    """Three digits: a lamp's watts are not known to a tenth of a milliwatt."""
    milli = float(f"{1000 * watts:.3g}")
    return f"{milli:.0f}" if milli >= 100 else f"{milli:.3g}" if milli >= 0.05 else "0"


def _verdict(said: str, verdict: str) -> str:
    """The conclusion, and whether it is true or misleading; nothing more where it names nothing."""
    return said if verdict == "can't tell" else f"{said}: {verdict}"
