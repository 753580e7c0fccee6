"""The look of a printable page: plain, black on white, nothing fetched, nothing that scrolls."""

from __future__ import annotations

from html import escape

_STYLE = """
:root { color-scheme: light; }
body { margin: 0 auto; max-width: 50rem; padding: 1rem; background: #fff; color: #1f2430;
  font: 1rem/1.5 "Noto Sans", "DejaVu Sans", Verdana, sans-serif; }
h1, h2, h3 { line-height: 1.25; break-after: avoid; }
h1 { font-size: 1.7rem; } h2 { font-size: 1.3rem; border-bottom: 1px solid #5d6672; } h3 { font-size: 1.1rem; }
a { color: #1a4b8c; }
pre, code { font-family: "DejaVu Sans Mono", Consolas, monospace; font-size: .85rem; }
pre { white-space: pre-wrap; overflow-wrap: anywhere; margin: .3rem 0; }
.highlight { background: #f3f5f8; padding: .1rem .6rem; border-left: 4px solid #5d6672; }
.highlight pre, .highlight span { color: #1f2430; }
.output_text pre, .output_stream pre { font-size: .79rem; border-left: 4px solid #c5ccd6; padding-left: .6rem; }
.prompt { display: none; }
table { border-collapse: collapse; margin: .6rem 0; font-size: .9rem; }
th, td { border: 1px solid #aab2bc; padding: .15rem .5rem; text-align: left; vertical-align: top; }
td code { white-space: nowrap; }
img, svg { max-width: 100%; height: auto; }
figure { margin: .6rem 0; }
.still { border: 1px solid #aab2bc; padding: .3rem .6rem; margin: .6rem 0; }
.note { font-style: italic; margin: 0; }
figure, img, tr, pre, .still { break-inside: avoid; }
@page { margin: 16mm; }
@media print {
  body { max-width: none; padding: 0 1px; font-size: 10.5pt; }
  pre, .output_text pre, .output_stream pre { font-size: 8pt; }
  a { color: inherit; text-decoration: none; }
}
"""


def page(body: str, *, title: str, lang: str = "en") -> str:
    """A whole HTML page around a body.

    >>> page("<p>dark</p>", title="A & B").split("<title>")[1].split("</title>")[0]
    'A &amp; B'
    """
    return (
        f'<!DOCTYPE html>\n<html lang="{lang}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{escape(title)}</title>\n'
        f"<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )
