"""Bench sheets to print: one page of HTML per circuit and source, with drawings to scale and blanks for readings."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from phasorkit.analysis import bench_text
from phasorkit.analysis.bench_sheet import BenchSheet, bench_sheet, on_bench
from phasorkit.analysis.bench_source import SOURCES
from phasorkit.draw.scale import both_sequences
from phasorkit.indicators import circuits
from phasorkit.indicators.base import SEQUENCES
from phasorkit.quantities import render

STYLE = """
body { font: 11pt/1.35 Arial, 'Liberation Sans', Helvetica, sans-serif; color: #1f2430; max-width: 48rem;
  margin: 1.5rem auto; padding: 0 1rem; }
h1 { font-size: 1.4rem; margin: 0; } h2 { font-size: 1.1rem; margin: 1.1em 0 .3em; }
table { border-collapse: collapse; width: 100%; margin: .3em 0; }
th, td { border: 1px solid #8a929c; padding: .18em .5em; text-align: left; }
td.number { text-align: right; } td.blank { min-width: 5.5rem; }
ul, ol { margin: .3em 0; padding-left: 1.4em; } .caution { border: 2px solid #a3261b; padding: .4em .8em; }
figure { margin: .3em 0; } svg { max-width: 100%; height: auto; } a { color: #1d4f91; }
@media print { body { margin: 0; max-width: none; font-size: 10pt; } table, figure, .caution { break-inside: avoid; }
  h2 { break-after: avoid; } }
"""


def page(sheet: BenchSheet) -> str:
    """One bench sheet as a self-contained page of HTML."""
    title = f"Bench sheet: {sheet.indicator.title}"
    volts, hertz = render(sheet.indicator.line_voltage, "V"), render(sheet.indicator.frequency, "Hz")
    drawing = both_sequences(sheet.indicator)
    blocks = [
        f"<h1>{escape(title)}</h1>",
        f"<p>At <b>{volts} between lines, {hertz}</b>, from {sheet.source.title}. Meter: {sheet.meter.name}.</p>",
        f'<div class="caution">{_list("ul", bench_text.cautions(sheet))}</div>',
        "<h2>Source</h2>", _list("ul", sheet.source.connect),
        "<h2>Parts</h2>", _table(("part", "value (code)", "between", "what for"), bench_text.parts_list(sheet)),
        "<p>Capacitors: film, never electrolytic. Resistors: 1 %, a quarter of a watt.</p>",
        f"<p>{escape(bench_text.stand_in(sheet))}</p>",
        "<h2>Wiring, node by node</h2>", _table(("node", "here meet"), bench_text.wiring_list(sheet)),
        "<h2>What to do</h2>", _list("ol", bench_text.steps(sheet)),
        "<h2>Readings, volts rms</h2>", *(_readings(sheet, s) for s in SEQUENCES),
        f"<p>{escape(bench_text.assumed(sheet))}</p>",
        "<h2>Drawn to scale: distance is volts</h2>", drawing.html(), f"<p>{escape(drawing.text)}</p>",
        "<p>Date ____________ Place ____________________ Name ____________________ Conclusion ____________________</p>",
    ]  # fmt: skip
    return _whole(title, "".join(blocks))


def write(folder: Path) -> list[Path]:
    """Write one page for every circuit and source, and an index, into a folder (made if missing); return the paths."""
    folder.mkdir(parents=True, exist_ok=True)
    paths, rows = [], []
    for name, kind in circuits().items():
        for source in SOURCES:
            sheet = bench_sheet(on_bench(name, source=source), source=source)
            path = folder / f"bench-{name}-{source}.html"
            path.write_text(page(sheet), encoding="utf-8", newline="\n")
            rows.append(f'<li><a href="{path.name}">{escape(kind.title)}, {escape(sheet.source.title)}</a></li>')
            paths.append(path)
    index = folder / "bench.html"
    links = _whole("Bench sheets", f"<h1>Bench sheets</h1><ul>{''.join(rows)}</ul>")
    index.write_text(links, encoding="utf-8", newline="\n")
    return [index, *paths]


def _whole(title: str, body: str) -> str:
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f'<meta name="viewport" content="width=device-width"><style>{STYLE}</style></head>\n'
        f"<body><main>{body}</main></body></html>\n"
    )


def _readings(sheet: BenchSheet, sequence: str) -> str:
    heads = ("what", "between", "perfect meter", f"yours, {sheet.meter.name}", "agrees from – to", "your reading")
    rows = [
        (r.what, "–".join(r.between), f"{r.perfect:.2f}", f"{r.shown:.2f}", f"{r.low:.2f} – {r.high:.2f}", "")
        for r in sheet.of(sequence)
    ]
    return _table(heads, rows, caption=f"Sequence {'-'.join(sequence)}")


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, caption: str = "") -> str:
    head = "".join(f'<th scope="col">{escape(h)}</th>' for h in heads)
    body = "".join(
        "<tr>" + "".join(f'<td class="{_kind(cell)}">{escape(cell)}</td>' for cell in row) + "</tr>" for row in rows
    )
    said = f"<caption><b>{escape(caption)}</b></caption>" if caption else ""
    return f"<table>{said}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def _kind(cell: str) -> str:
    return "blank" if not cell else "number" if cell.replace(".", "").isdigit() else "text"


def _list(tag: str, items: Sequence[str]) -> str:
    return f"<{tag}>{''.join(f'<li>{escape(item)}</li>' for item in items)}</{tag}>"
