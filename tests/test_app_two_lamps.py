"""Two lamps in star: their numbers by hand, the picture, the app by the controls.

By hand (standard textbook problem, common practice): with R = Xc the star point lies at (−1 + 3j)/5 of the phase
voltage on L1, so the lamps have 1.496 and 0.401 of phase voltage, ratio 2 + √3. Seen from S the two equal lamps are R/2
from D, the middle of L2–L3; so S lies on the half circle over L1–D (Thales), at 1 : 2.
"""

from __future__ import annotations

import re
from math import sqrt

import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.analysis.two_lamps import CAPACITOR, INDUCTOR, LampBox, phase_lamp
from phasorkit.draw.two_lamps import lamps_picture
from phasorkit.filament import FilamentLamp
from phasorkit.widgets import two_lamps_app
from phasorkit.widgets.two_lamps import FOLLOWS, HIDDEN, TwoLampsApp, TwoLampSettings, compute_lamps, draw_lamps

PHASE = 400 / sqrt(3)


@pytest.fixture
def app() -> TwoLampsApp:
    return TwoLampsApp(TwoLampSettings())


def box(kind: str = CAPACITOR, percent: float = 100.0, *, hot: bool = False, in_series: int = 1) -> LampBox:
    lamp = FilamentLamp(230, 15, in_series)
    return LampBox(line_voltage=400, frequency=50, lamp=lamp, kind=kind, reactance_percent=percent, hot=hot)


@pytest.mark.parametrize(
    ("kind", "sequence", "h1", "h2"),
    [
        (CAPACITOR, "123", 1.496, 0.401),
        (CAPACITOR, "132", 0.401, 1.496),
        (INDUCTOR, "123", 0.401, 1.496),
        (INDUCTOR, "132", 1.496, 0.401),
    ],
)
def test_lamps_have_the_textbook_volts(kind: str, sequence: str, h1: float, h2: float) -> None:
    star = box(kind).star()
    volts = [float(v) / PHASE for v in star.on(star.supply(sequence)).lamp_volts]
    assert volts == pytest.approx([h1, h2], abs=6e-4)


@pytest.mark.parametrize("percent", [25, 50, 100, 200, 400])
def test_the_star_point_runs_on_the_half_circle_over_l1_and_d(percent: float) -> None:
    star = box(percent=percent).star()
    s = complex(star.on(star.supply("123")).solution.voltage("S"))
    l1, d = PHASE, -PHASE / 2
    assert abs(s - (l1 + d) / 2) == pytest.approx((l1 - d) / 2)
    assert abs(s - l1) / abs(s - d) == pytest.approx(2 * percent / 100)


@pytest.mark.parametrize("percent", [25, 50, 90, 110, 200, 400])
def test_no_other_reactance_gives_a_larger_ratio_of_the_lamps(percent: float) -> None:
    def ratio(x: float) -> float:
        star = box(percent=x).star()
        one, two = (float(v) for v in star.on(star.supply("123")).lamp_volts)
        return one / two

    assert ratio(100) == pytest.approx(2 + sqrt(3))
    assert ratio(percent) < ratio(100)


def test_light_and_life_follow_the_published_powers() -> None:
    """V^3.38 and V^−13.1 (IES Lighting Handbook, from memory): at 1.5 times the volts 3.9 times the light."""
    star = box().star()
    bright, dim = box().glows(star.on(star.supply("123")))
    assert bright.part == pytest.approx(1.496 * PHASE / 230, abs=1e-3)
    assert bright.light / dim.light == pytest.approx((2 + sqrt(3)) ** 3.38)
    assert bright.life == pytest.approx(bright.part**-13.1)
    assert bright.looks == "too bright, too many volts"
    assert dim.looks == "dim"


def test_two_in_series_share_the_volts_and_hot_filaments_part_further() -> None:
    parts = {}
    for hot in (False, True):
        star = box(hot=hot, in_series=2).star()
        parts[hot] = [g.part for g in box(hot=hot, in_series=2).glows(star.on(star.supply("123")))]
    assert parts[False] == pytest.approx([1.496 * PHASE / 460, 0.401 * PHASE / 460], abs=1e-3)
    assert parts[True][0] > parts[False][0]
    assert parts[True][1] < parts[False][1]


def test_the_hot_star_agrees_with_the_library_s_own() -> None:
    from phasorkit.indicators import circuit

    own = circuit("two-lamp-capacitor").sized(frequency=50, line_voltage=400, lamp_voltage=230, lamp_power=15)  # type: ignore[attr-defined]
    star = box(hot=True, in_series=2).star()
    mine = [float(v) for v in star.on(star.supply("123")).lamp_volts]
    assert mine == pytest.approx([float(v) for v in own.on(own.supply("123")).lamp_volts])


def test_lamps_for_a_phase_voltage_are_called_as_in_the_trade() -> None:
    assert [phase_lamp(v).volts for v in (400, 208, 480, 690)] == [230, 120, 277, 400]


def test_bad_values_are_named() -> None:
    with pytest.raises(ValueError, match="reactance_percent"):
        box(percent=0)
    with pytest.raises(ValueError, match="kind must be 'capacitor' or 'inductor'"):
        box("coil")


# --- the picture --------------------------------------------------------------------------------------


def places(svg: str) -> dict[str, complex]:
    found = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)"[^>]*data-node="(\w+)"', svg)
    return {name: complex(float(x), float(y)) for x, y, name in found}


@pytest.mark.parametrize("kind", [CAPACITOR, INDUCTOR])
@pytest.mark.parametrize("sequence", ["123", "132"])
def test_the_drawing_is_to_scale(kind: str, sequence: str) -> None:
    star = box(kind).star()
    svg = lamps_picture(box(kind), star.on(star.supply(sequence))).svg
    at = places(svg)
    near, far = sorted((abs(at["S"] - at["L2"]), abs(at["S"] - at["L3"])))
    assert far / near == pytest.approx(2 + sqrt(3), rel=2e-3)
    assert abs(at["S"] - (at["L1"] + at["D"]) / 2) == pytest.approx(abs(at["L1"] - at["D"]) / 2, abs=0.05)
    assert 'data-right-angle="S"' in svg
    assert (at["S"].real < at["L1"].real) is (kind == CAPACITOR)  # left of L1–D with C, in both sequences


def test_the_half_circle_passes_through_s() -> None:
    """The arc's sweep: to the left of the way from L1 down to D it must turn against the clock (SVG sweep 0)."""
    for kind, sweep in ((CAPACITOR, 0), (INDUCTOR, 1)):
        star = box(kind).star()
        svg = lamps_picture(box(kind), star.on(star.supply("123"))).svg
        assert re.search(rf'd="M[\d.,]+ A[\d.,]+ 0 0 {sweep} [^"]*"[^>]*data-half-circle="S"', svg)


def test_no_proof_is_drawn_where_it_does_not_hold() -> None:
    star = box().star()
    open_lead = lamps_picture(box(), star.on(star.supply("123").without("L2"))).svg
    assert "data-half-circle" not in open_lead
    hot = box(hot=True).star()
    svg = lamps_picture(box(hot=True), hot.on(hot.supply("123"))).svg
    assert "data-half-circle" in svg
    assert "data-right-angle" not in svg


def test_halo_and_rays_grow_with_the_light_and_the_frame_stays() -> None:
    pictures = [
        compute_lamps(TwoLampSettings(in_series=n, reactance_percent=x)) for n in (1, 2) for x in (10, 100, 400)
    ]
    assert len({re.search('viewBox="([^"]+)"', draw_lamps(p))[1] for p in pictures}) == 1  # type: ignore[index]
    assert all("nan" not in draw_lamps(p).lower() for p in pictures)
    lights = dict(re.findall(r'data-lamp="(H\d)" data-light="([\d.]+)"', draw_lamps(pictures[1])))
    assert float(lights["H1"]) / float(lights["H2"]) == pytest.approx((2 + sqrt(3)) ** 3.38, rel=0.15)  # two decimals


# --- the app ------------------------------------------------------------------------------------------


def looks(app: TwoLampsApp) -> tuple[str, str]:
    one, two = app.result.glows
    return one.looks.split(",")[0], two.looks.split(",")[0]


def test_swapping_two_phases_swaps_the_lamps(app: TwoLampsApp) -> None:
    drive(app.widget, "Swap two phases", "click", reads=lambda: looks(app), expect=("dim", "too bright"))
    assert app.swap.description == "Swap two phases (sequence is 1-3-2)"
    drive(app.widget, "On L1", INDUCTOR, reads=lambda: looks(app), expect=("too bright", "dim"))
    assert "an inductor of 11.2 H" in app.line.value  # 230²/15 at phase voltage, over 2π·50


def test_lamps_in_series_and_hot_ones(app: TwoLampsApp) -> None:
    drive(app.widget, "Branch", "2", reads=lambda: looks(app), expect=("bright", "a faint glow"))
    ratio = lambda: round(app.result.glows[0].volts / app.result.glows[1].volts, 2)  # noqa: E731
    assert ratio() == 3.73
    drive(app.widget, "Ohms", FOLLOWS, reads=lambda: ratio() > 4.5, expect=True)


def test_an_open_lead_leaves_one_lamp_and_says_so(app: TwoLampsApp) -> None:
    drive(app.widget, "Probe L2", "", reads=lambda: looks(app), expect=("dark", "too bright"))
    assert "Only H2 has volts" in app.line.value
    drive(app.widget, "Probe L2", "L2", reads=lambda: looks(app), expect=("too bright", "dim"))
    drive(app.widget, "Probe L1", "", reads=lambda: looks(app), expect=("bright", "bright"))
    assert "Both glow alike" in app.line.value
    drive(app.widget, "Probe L1", "N", reads=lambda: "probe L1 on N" in app.line.value, expect=True)


def test_the_reactance_moves_the_star_point(app: TwoLampsApp) -> None:
    ratio = lambda: round(app.result.glows[0].volts / app.result.glows[1].volts, 2)  # noqa: E731
    drive(app.widget, "X as part of R [%]: exact", "25", reads=ratio, expect=1.54)
    app.percent.slider.value = 100
    assert ratio() == 3.73
    drive(app.widget, "Proof", HIDDEN, reads=lambda: "data-half-circle" in app.picture.value, expect=False)
    drive(app.widget, "Line volts [V]: exact", "200", reads=lambda: round(app.result.glows[0].volts), expect=173)


@pytest.mark.parametrize("text", ["-1", "500", "much", "", "nan"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: TwoLampsApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "accepted: 10 to 400 %" in app.line.value  # noqa: E731
    drive(app.widget, "X as part of R [%]: exact", text, reads=reads, expect=True)
    assert app.picture.value == good
    drive(app.widget, "X as part of R [%]: exact", "50", reads=reads, expect=False)


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = two_lamps_app(line_voltage=208, frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    assert [x for x in labels if x.endswith("]")] == ["Line volts [V]", "Frequency [Hz]", "X as part of R [%]"]
    assert_no_hidden_error(shown)
