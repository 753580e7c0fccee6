"""Labels with real text metrics: rendered once in Chromium, boxes compared."""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from drawn_circuits import CIRCUITS
from test_draw_scale import BRIDGE, STATES

from phasorkit.draw import both_sequences, phasor_diagram, scale_drawing, waveforms
from phasorkit.draw.svg import text_width

CHROMIUM = "/usr/bin/chromium"
BOXES = """() => [...document.querySelectorAll('svg')].map(svg => [...svg.querySelectorAll('text')].map(t => {
    const b = t.getBoundingClientRect(), s = svg.getBoundingClientRect();
    return {says: [...t.children].map(c => c.textContent).join(' / '), left: b.left - s.left, top: b.top - s.top,
            right: b.right - s.left, low: b.bottom - s.top, width: s.width, height: s.height};
}))"""
SMALL = 1.5
"""Boxes of a line of text include the room above and below its letters: this much overlap [px] is no touch."""


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    if not Path(CHROMIUM).exists() and not os.environ.get("PHASORKIT_NEED_BROWSER"):
        pytest.skip(f"no Chromium at {CHROMIUM}; set PHASORKIT_NEED_BROWSER to make this an error")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser.new_page(viewport={"width": 1300, "height": 900})
        browser.close()


def boxes(page: Any, pictures: list[Any]) -> list[list[dict[str, Any]]]:
    page.set_content("".join(f"<div>{p.svg}</div>" for p in pictures))
    return page.evaluate(BOXES)


def overlaps(labels: list[dict[str, Any]]) -> list[str]:
    found = []
    for a, b in combinations(labels, 2):
        across = min(a["right"], b["right"]) - max(a["left"], b["left"])
        down = min(a["low"], b["low"]) - max(a["top"], b["top"])
        if across > SMALL and down > SMALL:
            found.append(f"{a['says']} × {b['says']}")
    return found


def outside(labels: list[dict[str, Any]]) -> list[str]:
    return [
        t["says"]
        for t in labels
        if t["left"] < -1 or t["top"] < -1 or t["right"] > t["width"] + 1 or t["low"] > t["height"] + 1
    ]


@pytest.mark.browser
def test_no_label_lies_on_another_or_outside(page: Any) -> None:
    """The bridge in all 13 wiring states and both sequences, the pair, phasors and waves."""
    pictures = [scale_drawing(BRIDGE.on(supply)) for _, supply in STATES] + [both_sequences(BRIDGE)]
    names = [name for name, _ in STATES] + ["both"]
    for sequence in ("123", "132"):
        reading = BRIDGE.on(BRIDGE.supply(sequence))
        pictures += [phasor_diagram(reading), phasor_diagram(reading, arrows="chain"), waveforms(reading)]
        names += [f"{kind} {sequence}" for kind in ("star", "chain", "waves")]
    seen = boxes(page, pictures)
    assert all(len(labels) >= 8 for labels in seen)
    assert {n: overlaps(s) for n, s in zip(names, seen, strict=True) if overlaps(s)} == {}
    assert {n: outside(s) for n, s in zip(names, seen, strict=True) if outside(s)} == {}


@pytest.mark.browser
def test_labels_keep_apart_while_a_slider_moves(page: Any) -> None:
    """R from a fifth to five times the null's, where P runs along its half circle and the lamp shrinks to nothing."""
    named = {
        f"{sequence} × {factor:.2f}": scale_drawing(BRIDGE.on(BRIDGE.supply(sequence), network=network))
        for sequence in ("123", "132")
        for factor in np.geomspace(0.2, 5, 25)
        for network in [BRIDGE.network().with_value("R3", factor * 391e3)]
    }
    seen = dict(zip(named, boxes(page, list(named.values())), strict=True))
    assert {n: overlaps(s) for n, s in seen.items() if overlaps(s)} == {}
    assert {n: outside(s) for n, s in seen.items() if outside(s)} == {}


@pytest.mark.browser
def test_labels_of_other_circuits_keep_apart(page: Any) -> None:
    """Six circuits without drawing code of their own, in both sequences."""
    named = {f"{n} {s}": scale_drawing(c.on(c.supply(s))) for n, c in CIRCUITS.items() for s in ("123", "132")}
    seen = dict(zip(named, boxes(page, list(named.values())), strict=True))
    assert {n: overlaps(s) for n, s in seen.items() if overlaps(s)} == {}
    assert {n: outside(s) for n, s in seen.items() if outside(s)} == {}


@pytest.mark.browser
def test_the_estimate_of_text_width_is_cautious(page: Any) -> None:
    """Never narrower than Chromium's measure, and at most half as wide again."""
    words = ["M = P", "R3 391k", "346 V lit", "probe L2 open", "115 V ∠−161°", "C1 4n7", "10.5 V unsure", "North WM"]
    svg = "".join(
        f'<text y="{20 * k + 20}" font-size="15" font-weight="700" class="w">{w}</text>' for k, w in enumerate(words)
    )
    page.set_content(f"<svg width='400' height='400' font-family=\"Arial, 'Liberation Sans', sans-serif\">{svg}</svg>")
    real = page.evaluate("() => [...document.querySelectorAll('.w')].map(t => t.getComputedTextLength())")
    for word, width in zip(words, real, strict=True):
        assert width <= text_width(word, 15) <= 1.5 * width, word
