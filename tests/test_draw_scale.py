"""The scale drawing against an admittance matrix written here, read back from the finished SVG.

Source of the geometry: a topographic diagram puts every node at its phasor, so any distance is a voltage (textbook
matter, from memory); the right angle of R and C in series is Thales' theorem (Euclid III.31).
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from drawn_circuits import CIRCUITS, wiring_states

from phasorkit.draw import Picture, both_sequences, scale_drawing
from phasorkit.indicators import circuit
from phasorkit.network import Element
from phasorkit.supply import Supply

SVG = "{http://www.w3.org/2000/svg}"
BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
STATES = [
    (f"{sequence} {name}", supply)
    for sequence in ("123", "132")
    for name, supply in wiring_states(Supply(line_voltage=400, frequency=50, sequence=sequence))
]
EVERY_STATE = pytest.mark.parametrize("supply", [s for _, s in STATES], ids=[n for n, _ in STATES])
EVERY_CIRCUIT = pytest.mark.parametrize("drawn", [BRIDGE, *CIRCUITS.values()], ids=["bridge", *CIRCUITS])


def root(picture: Picture) -> ElementTree.Element:
    return ElementTree.fromstring(picture.svg)


def points(path: str) -> list[complex]:
    return [complex(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", path)]


def marked(tree: ElementTree.Element, key: str) -> dict[str, ElementTree.Element]:
    return {e.attrib[key]: e for e in tree.iter() if key in e.attrib}


def circle_centre(e: ElementTree.Element) -> complex:
    return complex(float(e.attrib["cx"]), float(e.attrib["cy"]))


def ends(group: ElementTree.Element) -> tuple[complex, complex]:
    """First point of the first lead and last point of the second."""
    leads = group.findall(f"{SVG}path")[:2]
    return points(leads[0].attrib["d"])[0], points(leads[1].attrib["d"])[-1]


def pixels_per_volt(tree: ElementTree.Element) -> float:
    """Scale of a drawing, read off its own scale bar."""
    bar = marked(tree, "data-scale-bar")["1"]
    line = points(bar.find(f"{SVG}path").attrib["d"])
    volts = float(bar.find(f"{SVG}text/{SVG}tspan").text.removesuffix(" V"))
    return abs(line[2] - line[1]) / volts


def heights_by_hand(supply: Supply) -> dict[str, complex]:
    """Node phasors of the bridge from an admittance matrix, without the package's solver."""
    turn = -120 if supply.sequence == "123" else 120
    volts = {f"L{k + 1}": 400 / 3**0.5 * np.exp(1j * np.radians(turn * k)) for k in range(3)} | {"N": 0}
    known = {probe: volts[touched] for probe, touched in supply.probes}
    nodes = ["L1", "L2", "L3", "M", "P"]
    r = 1 / (2 * np.pi * 50 * 4.7e-9) / 3**0.5
    branches = [("L1", "M", 1 / r), ("M", "L3", 1 / r), ("L3", "P", 1 / r), ("P", "L2", 2j * np.pi * 50 * 4.7e-9)]
    matrix, right = np.zeros((5, 5), complex), np.zeros(5, complex)
    for a, b, y in branches:
        i, j = nodes.index(a), nodes.index(b)
        matrix[[i, j], [i, j]] += y
        matrix[[i, j], [j, i]] -= y
    for node, height in known.items():
        if node in nodes:
            k = nodes.index(node)
            matrix[k], right[k] = np.eye(5)[k], height
    return dict(zip(nodes, np.linalg.solve(matrix, right), strict=True))


def expected_place(tree: ElementTree.Element, height: complex) -> complex:
    """L1 of a sound supply points up from the star point, which is the triangle's centre."""
    corners = points(marked(tree, "data-supply")["triangle"].attrib["d"])
    centre = sum(corners) / 3
    up = corners[0] - centre
    assert abs(up.real) < 0.02
    assert up.imag < 0
    return centre + up * np.conj(height / (400 / 3**0.5))


@EVERY_STATE
def test_every_symbol_ends_on_its_nodes_at_the_right_volts(supply: Supply) -> None:
    """Within half a pixel, against phasors that this file solves itself."""
    tree = root(scale_drawing(BRIDGE.on(supply)))
    heights = heights_by_hand(supply)
    parts = marked(tree, "data-part")
    assert set(parts) == {"R1", "R2", "R3", "C1", "H1"}
    for group in parts.values():
        for end, node in zip(ends(group), (group.attrib["data-a"], group.attrib["data-b"]), strict=True):
            assert abs(end - expected_place(tree, heights[node])) < 0.5
            assert abs(end - circle_centre(marked(tree, "data-node")[node])) < 0.5


@EVERY_STATE
def test_lengths_are_in_proportion_to_the_scale_bar(supply: Supply) -> None:
    tree = root(scale_drawing(BRIDGE.on(supply)))
    heights, scale = heights_by_hand(supply), pixels_per_volt(tree)
    for group in marked(tree, "data-part").values():
        a, b = ends(group)
        volts = abs(heights[group.attrib["data-a"]] - heights[group.attrib["data-b"]])
        assert abs(abs(a - b) - scale * volts) < 0.5


@pytest.mark.parametrize("symbols", ["IEC", "NA"])
@EVERY_CIRCUIT
def test_leads_reach_their_symbols(drawn: object, symbols: str) -> None:
    """No gap between lead and body: each lead's inner end touches the symbol's outline (STYLE.md, known traps)."""
    for sequence in ("123", "132"):
        no_gaps(root(scale_drawing(drawn.on(drawn.supply(sequence)), symbols=symbols)))


@pytest.mark.parametrize("volts", range(39, 52, 2))
@pytest.mark.parametrize("symbols", ["IEC", "NA"])
def test_leads_reach_a_symbol_that_has_little_room(volts: int, symbols: str) -> None:
    """R3 of so few volts (by the triangle of R and C) that its symbol is drawn smaller, or beside its nodes."""
    ohms = volts / (400**2 - volts**2) ** 0.5 / (2 * np.pi * 50 * 4.7e-9)
    tree = root(
        scale_drawing(BRIDGE.on(BRIDGE.supply(), network=BRIDGE.network().with_value("R3", ohms)), symbols=symbols)
    )
    assert float(marked(tree, "data-part")["R3"].attrib["data-volts"]) == pytest.approx(volts, abs=0.1)
    no_gaps(tree)


def no_gaps(tree: ElementTree.Element) -> None:
    """Each lead's inner end touches the outline of its symbol."""
    for name, group in marked(tree, "data-part").items():
        lead_a, lead_b, *strokes = group.findall(f"{SVG}path")
        outline = [q for s in strokes for q in dense(points(s.attrib["d"]))]
        for e in group.findall(f"{SVG}circle"):
            turns = np.exp(1j * np.radians(np.arange(0, 360, 2)))
            outline += list(circle_centre(e) + float(e.attrib["r"]) * turns)
        for tip in (points(lead_a.attrib["d"])[-1], points(lead_b.attrib["d"])[0]):
            assert min(abs(q - tip) for q in outline) < 0.6, name


def dense(chain: list[complex]) -> list[complex]:
    return [p + (q - p) * t for p, q in pairwise(chain) for t in np.linspace(0, 1, 60)]


@EVERY_STATE
def test_the_frame_never_moves(supply: Supply) -> None:
    """Same view box and same triangle whatever the parts and the wiring are."""
    still = set()
    for factor in (0.1, 0.5, 1.0, 2.0, 10.0):
        tree = root(scale_drawing(BRIDGE.on(supply, network=BRIDGE.network().with_value("R3", factor * 391e3))))
        still.add((tree.attrib["viewBox"], marked(tree, "data-supply")["triangle"].attrib["d"], pixels_per_volt(tree)))
    fresh = root(scale_drawing(BRIDGE.on(BRIDGE.supply(supply.sequence))))
    still.add((fresh.attrib["viewBox"], marked(fresh, "data-supply")["triangle"].attrib["d"], pixels_per_volt(fresh)))
    assert len(still) == 1


@EVERY_CIRCUIT
def test_everything_stays_inside_the_frame(drawn: object) -> None:
    for _, supply in STATES:
        tree = root(scale_drawing(drawn.on(supply)))
        width, height = (float(v) for v in tree.attrib["viewBox"].split()[2:])
        for e in marked(tree, "data-node").values():
            centre = circle_centre(e)
            assert 0 < centre.real < width
            assert 0 < centre.imag < height


def test_right_angles_are_found_from_the_data() -> None:
    """One where R3 and C1 pass on one current, two in the circuit with two R-C legs, none without current."""
    found = {
        "bridge": marked(root(scale_drawing(BRIDGE.on(BRIDGE.supply()))), "data-right-angle"),
        "no current": marked(root(scale_drawing(BRIDGE.on(BRIDGE.supply().without("L2")))), "data-right-angle"),
        "two legs": marked(root(scale_drawing(CIRCUITS["two capacitors"].on(Supply()))), "data-right-angle"),
        "two lamps": marked(root(scale_drawing(CIRCUITS["two lamps"].on(Supply()))), "data-right-angle"),
    }
    assert {name: set(marks) for name, marks in found.items()} == {
        "bridge": {"P"}, "no current": set(), "two legs": {"P", "Q"}, "two lamps": set(),
    }  # fmt: skip


@pytest.mark.parametrize("factor", [0.3, 1.0, 4.0])
@pytest.mark.parametrize("sequence", ["123", "132"])
def test_p_lies_on_the_half_circle_over_l3_l2(sequence: str, factor: float) -> None:
    """The arc's ends and radius are right, and it bulges to the side on which P lies (Thales)."""
    network = BRIDGE.network().with_value("R3", factor * 391e3)
    tree = root(scale_drawing(BRIDGE.on(BRIDGE.supply(sequence), network=network)))
    nodes = {n: circle_centre(e) for n, e in marked(tree, "data-node").items()}
    start, radius, sweep, end = arc(marked(tree, "data-half-circle")["P"].attrib["d"])
    assert {start, end} == {nodes["L3"], nodes["L2"]}
    assert radius == pytest.approx(abs(end - start) / 2, abs=0.02)
    assert abs(nodes["P"] - (start + end) / 2) == pytest.approx(radius, abs=0.05)
    clockwise = ((nodes["P"] - start) * np.conj(end - start)).imag < 0
    assert sweep == (1 if clockwise else 0)


def arc(path: str) -> tuple[complex, float, int, complex]:
    m = re.fullmatch(r"M([\d.]+),([\d.]+) A([\d.]+),[\d.]+ 0 0 ([01]) ([\d.]+),([\d.]+)", path)
    v = [float(g) for g in m.groups()]
    return complex(v[0], v[1]), v[2], int(v[3]), complex(v[4], v[5])


def test_an_open_probe_is_drawn_hollow_at_its_own_height() -> None:
    """Not at 0 V: with L3 open, its node hangs between M and P."""
    tree = root(scale_drawing(BRIDGE.on(BRIDGE.supply().without("L3"))))
    nodes = marked(tree, "data-node")
    assert [n for n, e in nodes.items() if e.attrib.get("data-open")] == ["L3"]
    assert nodes["L3"].attrib["fill"] == "#ffffff"
    assert nodes["M"].attrib["fill"] != "#ffffff"
    halves = circle_centre(nodes["M"]) + circle_centre(nodes["P"])
    assert abs(circle_centre(nodes["L3"]) - halves / 2) < 0.5


def test_nodes_that_float_altogether_stand_aside() -> None:
    supply = BRIDGE.supply().without("L1").without("L2").without("L3")
    picture = scale_drawing(BRIDGE.on(supply))
    assert "floating" in picture.svg
    triangle = points(marked(root(picture), "data-supply")["triangle"].attrib["d"])
    for e in marked(root(picture), "data-node").values():
        assert circle_centre(e).real > max(p.real for p in triangle)


def test_a_lamp_is_marked_by_shape_and_word_not_by_colour_alone() -> None:
    """Rays and the word "lit"; no ray and the word "dark"; few rays and "unsure" in between."""
    seen = {}
    for state, factor in (("dark", 1.0), ("unsure", 1.4), ("lit", 4.0)):
        picture = scale_drawing(BRIDGE.on(BRIDGE.supply(), network=BRIDGE.network().with_value("R3", factor * 391e3)))
        lamp = marked(root(picture), "data-part")["H1"]
        assert lamp.attrib["data-state"] == state
        assert f"V {state}</tspan>" in picture.svg
        seen[state] = len(lamp.findall(f"{SVG}path"))
    assert seen["dark"] < seen["unsure"] < seen["lit"]


def test_parts_on_one_line_lie_beside_each_other() -> None:
    """At the null R2 and R3 share both nodes: across their common line the bodies are a body's width apart."""
    tree = root(scale_drawing(BRIDGE.on(BRIDGE.supply())))
    parts, nodes = marked(tree, "data-part"), marked(tree, "data-node")
    line = circle_centre(nodes["M"]) - circle_centre(nodes["L3"])
    middles = [np.mean(points(parts[n].findall(f"{SVG}path")[2].attrib["d"])[:4]) for n in ("R2", "R3")]
    across = ((middles[0] - middles[1]) * np.conj(line) / abs(line)).imag
    assert 16 < abs(across) < 30


def test_equal_parts_around_a_midpoint_carry_two_ticks_each() -> None:
    """As in geometry books: M halves L1–L3, so R1 and R2 are marked as equal, and no other part is."""
    for sequence in ("123", "132"):
        tree = root(scale_drawing(BRIDGE.on(BRIDGE.supply(sequence))))
        ticks = [e.attrib["data-equal"] for e in tree.iter() if "data-equal" in e.attrib]
        assert sorted(ticks) == ["R1", "R1", "R2", "R2"]


def test_no_right_angle_where_a_third_current_joins() -> None:
    """R and C meet at P, but a lamp taken as a resistor draws current there too: no series pair, no right angle."""
    legs = BRIDGE.network().elements
    loaded = replace(CIRCUITS["twin"], elements=(*legs, Element("H1", "R", 2e5, "M", "P")), where=BRIDGE.lamps)
    tree = root(scale_drawing(loaded.on(loaded.supply("132"))))
    assert marked(tree, "data-right-angle") == {}
    assert set(marked(tree, "data-part")) == {"R1", "R2", "R3", "C1", "H1"}


def test_both_sequences_share_one_scale() -> None:
    tree = root(both_sequences(BRIDGE))
    bars = [e for e in tree.iter() if "data-scale-bar" in e.attrib]
    lines = [points(b.find(f"{SVG}path").attrib["d"]) for b in bars]
    assert len(lines) == 2
    assert lines[0] == lines[1]


def test_the_words_say_which_lamp_how_many_volts_and_at_which_angle() -> None:
    """√3/2 of 400 V is 346 V (common practice: the lamp of this bridge in the wrong sequence)."""
    lit, dark = (scale_drawing(BRIDGE.on(BRIDGE.supply(s))).text for s in ("132", "123"))
    assert "Lamp H1 between M and P has 346 V at 0°: lit." in lit
    assert "right angle at P" in lit
    assert "Lamp H1 between M and P has 0 V: dark." in dark
    assert "M and P fall on one point" in dark
    assert "M lies in the middle of L1–L3" in dark


def test_the_words_name_corners_only_where_the_drawing_has_them() -> None:
    """Euclid: with probe L1 on the star point M halves N–L3, not a side; an open probe is no corner of the triangle."""
    supply = BRIDGE.supply("123")
    said = {
        "on N": scale_drawing(BRIDGE.on(supply.neutral_on("L1"))).text,
        "on L2": scale_drawing(BRIDGE.on(supply.doubled("L1", "L2"))).text,
        "L1 open": scale_drawing(BRIDGE.on(supply.without("L1"))).text,
        "L3 open": scale_drawing(BRIDGE.on(supply.without("L3"))).text,
    }
    assert "M lies in the middle of N–L3" in said["on N"]
    assert "M lies in the middle of L2–L3" in said["on L2"]
    assert "probe L1 and L2 fall on one point" in said["on L2"]
    assert "M, probe L1 and L3 fall on one point" in said["L1 open"]
    assert "on the half circle over probe L3–L2" in said["L3 open"]
    assert "probe L3 lies in the middle of M–P" in said["L3 open"]


@EVERY_CIRCUIT
def test_title_description_and_plain_svg(drawn: object) -> None:
    """Words inside; no ids that clash on a page, no script, no reference to anything outside."""
    for _, supply in STATES[::3]:
        picture = scale_drawing(drawn.on(supply))
        tree = root(picture)
        assert tree.find(f"{SVG}title").text == picture.title != ""
        assert tree.find(f"{SVG}desc").text == picture.text != ""
        assert tree.find(f"{SVG}script") is None
        assert all("id" not in e.attrib and not any("href" in k for k in e.attrib) for e in tree.iter())


def test_resistors_follow_the_symbol_style() -> None:
    shapes = {}
    for style in ("IEC", "NA"):
        parts = marked(root(scale_drawing(BRIDGE.on(BRIDGE.supply()), symbols=style)), "data-part")
        shapes[style] = len(points(parts["R1"].findall(f"{SVG}path")[2].attrib["d"]))
    assert shapes == {"IEC": 6, "NA": 8}  # a box with its closing corner; a zigzag of six peaks with two ends


def test_what_cannot_be_drawn_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"single.*shape \(3,\)"):
        scale_drawing(BRIDGE.on(Supply(line_voltage=np.array([208.0, 400.0, 480.0]))))
    with pytest.raises(ValueError, match=r"IEC, NA.*'DIN'"):
        scale_drawing(BRIDGE.on(BRIDGE.supply()), symbols="DIN")
