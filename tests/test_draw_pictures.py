"""Phasor diagram, waves, palette, key drawings: read back from the finished SVG."""

from __future__ import annotations

import os
import subprocess
import sys
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from drawn_circuits import CIRCUITS
from test_draw_scale import BRIDGE, SVG, circle_centre, marked, pixels_per_volt, points, root

from phasorkit.draw import Picture, phasor_diagram, waveforms
from phasorkit.draw.key_drawings import key_drawings, write_all
from phasorkit.draw.style import strands
from phasorkit.supply import Supply

PICTURES = Path(__file__).parents[1] / "lessons" / "pictures"


@pytest.mark.parametrize("sequence", ["123", "132"])
def test_arrows_from_the_star_point_are_as_long_and_turned_as_their_phasors(sequence: str) -> None:
    """230.9 V at 0° and ∓120° for L1, L2, L3 of 400 V (common practice), measured on the picture."""
    tree = root(phasor_diagram(BRIDGE.on(BRIDGE.supply(sequence))))
    scale, turn = pixels_per_volt(tree), -120 if sequence == "123" else 120
    arrows = marked(tree, "data-arrow")
    for k, name in enumerate(("L1", "L2", "L3")):
        tail, tip = points(arrows[name].attrib["d"])[0], arrow_tip(tree, name)
        assert abs(tip - tail) == pytest.approx(scale * 400 / 3**0.5, abs=0.5)
        assert np.degrees(np.angle(np.conj(tip - tail) / 1j)) == pytest.approx((turn * k + 180) % 360 - 180, abs=0.2)


def arrow_tip(tree: ElementTree.Element, name: str) -> complex:
    """Point of the arrowhead that follows an arrow's shaft."""
    paths = list(tree.iter(f"{SVG}path"))
    shaft = next(k for k, e in enumerate(paths) if e.attrib.get("data-arrow") == name)
    return points(paths[shaft + 1].attrib["d"])[0]


def test_parts_tip_to_tail_close_the_triangle() -> None:
    """Kirchhoff: the arrows of R1, R2 from L3 end at L1, those of C1, R3 from L2 at L3; the picture says so too."""
    tree = root(phasor_diagram(BRIDGE.on(BRIDGE.supply("132")), arrows="chain"))
    shafts = {n: points(e.attrib["d"]) for n, e in marked(tree, "data-arrow").items()}
    tails = {n.split()[0]: chain[0] for n, chain in shafts.items()}
    tips = {n.split()[0]: arrow_tip(tree, n) for n in shafts}
    assert abs(tips["R2"] - tails["R1"]) < 0.1
    assert abs(tips["C1"] - tails["R3"]) < 0.1
    assert abs(tips["R3"] - tails["R2"]) < 0.1


@pytest.mark.parametrize("sequence", ["123", "132"])
def test_waves_follow_the_cosine_of_their_phasors(sequence: str) -> None:
    """Every drawn point of L2 against √2·U·cos(ωt ∓ 120°), read on the picture's own axes."""
    tree = root(waveforms(BRIDGE.on(BRIDGE.supply(sequence))))
    to_ms, to_volts = axes(tree)
    shift = -120 if sequence == "123" else 120
    for p in points(marked(tree, "data-wave")["L2"].attrib["d"]):
        expected = 2**0.5 * 400 / 3**0.5 * np.cos(2 * np.pi * 50e-3 * to_ms(p.real) + np.radians(shift))
        assert to_volts(p.imag) == pytest.approx(expected, abs=1.5)


def axes(tree: ElementTree.Element) -> tuple[object, object]:
    """Scales of time and volts from the numbers that stand at the axes."""
    labels = [(e, e.find(f"{SVG}tspan")) for e in tree.iter(f"{SVG}text") if float(e.attrib["font-size"]) == 13]
    across = [(float(t.attrib["x"]), float(t.text)) for e, t in labels if e.attrib["text-anchor"] == "middle"]
    rows = [
        (float(t.attrib["y"]), float(t.text.replace("−", "-"))) for e, t in labels if e.attrib["text-anchor"] == "end"
    ]
    (x0, t0), (x1, t1) = across[0], across[-1]
    baseline = 0.36 * 13
    (y0, v0), (y1, v1) = rows[0], rows[-1]
    return (
        lambda x: t0 + (x - x0) * (t1 - t0) / (x1 - x0),
        lambda y: v0 + (y + baseline - y0) * (v1 - v0) / (y1 - y0),
    )


def test_the_order_of_the_peaks_is_the_sequence() -> None:
    for sequence in ("123", "132"):
        text = waveforms(BRIDGE.on(BRIDGE.supply(sequence))).text
        places = {name: text.index(f"L{name} at") for name in "123"}
        assert "".join(sorted(places, key=places.get)) == sequence
    assert "6.7 ms" in text  # a third of 20 ms


def test_arrows_and_waves_of_a_node_look_the_same() -> None:
    reading = BRIDGE.on(BRIDGE.supply("132"))
    arrows = marked(root(phasor_diagram(reading)), "data-arrow")
    waves = marked(root(waveforms(reading, nodes=("L1", "L2", "L3", "M", "P"))), "data-wave")
    for node in ("L1", "L2", "L3", "M", "P"):
        look = [(e.attrib["stroke"], e.attrib.get("stroke-dasharray")) for e in (arrows[node], waves[node])]
        assert look[0] == look[1]


def test_unknown_words_are_refused_with_what_there_is() -> None:
    reading = BRIDGE.on(BRIDGE.supply())
    with pytest.raises(ValueError, match=r"star, chain.*'fan'"):
        phasor_diagram(reading, arrows="fan")
    with pytest.raises(KeyError, match=r"'X'.*L1, M, L3, P, L2"):
        waveforms(reading, nodes=("X",))


@pytest.mark.parametrize("drawn", CIRCUITS.values(), ids=list(CIRCUITS))
def test_other_circuits_and_dead_supplies_draw_too(drawn: object) -> None:
    """Six circuits that have no code of their own, also on a dead supply and with nothing connected."""
    supply = drawn.supply("132")
    for s in (supply, supply.dead(), supply.without("L1").without("L2").without("L3"), supply.phase_lost("L2")):
        for picture in (
            phasor_diagram(drawn.on(s)),
            phasor_diagram(drawn.on(s), arrows="chain"),
            waveforms(drawn.on(s)),
        ):
            assert "nan" not in picture.svg.lower()
            assert root(picture).find(f"{SVG}desc").text == picture.text


# --- palette ------------------------------------------------------------------------------------------

# Machado, Oliveira, Fernandes: A physiologically-based model for simulation of color vision deficiency, IEEE TVCG 15
# (2009), matrices of severity 1.0 (from memory): protan, deutan, tritan.
DEFICIENCIES = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
    "usual": np.eye(3).tolist(),
}


def lab(colour: str, matrix: list[list[float]]) -> np.ndarray:
    """CIE L*a*b* (D65) of an sRGB colour seen through a deficiency (IEC 61966-2-1, CIE 15)."""
    srgb = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    seen = np.clip(np.array(matrix) @ linear, 0, 1)
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ seen
    f = np.cbrt(xyz / np.array([0.9505, 1.0, 1.089]))
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("kind", DEFICIENCIES)
def test_conductors_stay_apart_for_colour_blind_readers(kind: str) -> None:
    """A colour difference of 20 (CIE 1976) is several times what is just seen (about 2.3, from memory)."""
    looks = strands(("L1", "L2", "L3"))
    for a, b in combinations(looks.values(), 2):
        assert np.linalg.norm(lab(a.colour, DEFICIENCIES[kind]) - lab(b.colour, DEFICIENCIES[kind])) > 20


def test_colour_never_speaks_alone() -> None:
    """Every strand of a circuit of six nodes has a dash or a marker of its own beside its colour."""
    looks = list(strands(("L1", "L2", "L3", "M", "P", "Q")).values())
    assert len({(s.dash, s.marker) for s in looks}) == len(looks)
    assert len({s.colour for s in looks}) == len(looks)


def test_colours_stand_out_from_paper() -> None:
    """Contrast of at least 3 to 1 against white (WCAG 2.1, 1.4.11)."""
    for look in strands(("L1", "L2", "L3", "N", "M", "P", "Q", "S")).values():
        luminance = ((lab(look.colour, DEFICIENCIES["usual"])[0] + 16) / 116) ** 3
        assert 1.05 / (luminance + 0.05) > 3


# --- files and notebook -------------------------------------------------------------------------------


def test_key_drawings_in_the_lessons_are_fresh(tmp_path: Path) -> None:
    """Drift gate: `phasorkit teach pages` writes exactly what is stored, byte for byte."""
    written = write_all(tmp_path)
    assert {p.name for p in written} == {p.name for p in PICTURES.glob("*.svg")}
    for path in written:
        assert path.read_bytes() == (PICTURES / path.name).read_bytes(), path.name


def test_bytes_do_not_depend_on_the_process(tmp_path: Path) -> None:
    code = (
        "import sys, pathlib; from phasorkit.draw.key_drawings import write_all; write_all(pathlib.Path(sys.argv[1]))"
    )
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        subprocess.run([sys.executable, "-c", code, str(tmp_path / seed)], check=True, env=environment)
    for name in key_drawings():
        assert (tmp_path / "1" / name).read_bytes() == (tmp_path / "2" / name).read_bytes()


def test_a_picture_shows_as_one_html_output_with_its_words(tmp_path: Path) -> None:
    """In a real IPython shell: one display, text/html alone, the words as the figure's label."""
    code = (
        "from IPython.core.interactiveshell import InteractiveShell\n"
        "from IPython.utils.capture import capture_output\n"
        "from phasorkit.draw import Picture\n"
        "shell = InteractiveShell.instance()\n"
        "with capture_output() as seen:\n"
        "    shell.user_ns['p'] = Picture('<svg/>', 'A \"title\"', 'Some <words>.')\n"
        "    shell.run_cell('p')\n"
        "print([sorted(o.data) for o in seen.outputs], seen.outputs[0].data['text/html'])\n"
    )
    environment = {**os.environ, "IPYTHONDIR": str(tmp_path)}
    ran = subprocess.run([sys.executable, "-c", code], check=True, env=environment, capture_output=True, text=True)
    label = 'aria-label="A &quot;title&quot;. Some &lt;words&gt;."'
    assert ran.stdout.strip() == f'[[\'text/html\']] <figure role="img" {label} style="margin:0"><svg/></figure>'


def test_saving_writes_the_svg(tmp_path: Path) -> None:
    path = Picture("<svg>Ω</svg>", "t", "w").save(tmp_path / "p.svg")
    assert path.read_bytes() == "<svg>Ω</svg>\n".encode()


def test_node_marks_of_drawings_are_where_the_nodes_are() -> None:
    """The same node lies on the same pixel in the scale drawing and at the tip of its arrow."""
    from phasorkit.draw import scale_drawing

    reading = BRIDGE.on(Supply(line_voltage=400, frequency=50, sequence="132"))
    dots = marked(root(scale_drawing(reading)), "data-node")
    tree = root(phasor_diagram(reading))
    for node in ("L1", "L2", "L3", "M", "P"):
        assert abs(circle_centre(dots[node]) - arrow_tip(tree, node)) < 0.02
