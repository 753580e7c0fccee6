"""The cloud around the null: its numbers by hand, its picture, its app by the controls.

By hand (geometry of the half circle, first order): a part that is off by δ moves P by √3/4·U·δ for C and R3, M by
U·δ/4 for R1 and R2; a negative sequence of share u leaves √3/2·U·u (the lamp of the other sequence). 400 V, 5 % C,
1 % R: 8.66, 1.73, 1.00, 1.00 V; root of the sum of squares 8.94 V; worst case: those of C and R3 lie on one line
(10.39 V), those of R1 and R2 on another at 30° to it (2.00 V): 12.17 V by the cosine rule.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.analysis.cloud import cloud
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.monte_carlo import sample_lamp_volts
from phasorkit.indicators import circuit
from phasorkit.widgets import cloud_app
from phasorkit.widgets.cloud import PREFERRED, CloudApp, CloudSettings, compute_cloud, draw_cloud

BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)  # type: ignore[attr-defined]
STILL = Margins(voltage=(1, 1), frequency=(1, 1), negative=0)


@pytest.fixture
def app() -> CloudApp:
    return CloudApp(CloudSettings())


def test_pushes_are_those_of_the_half_circle() -> None:
    found = {p.name: p for p in cloud(BRIDGE, margins=STILL).pushes}
    root = np.sqrt(3) / 4 * 400
    for name, volts in (("C1", root * 0.05), ("R3", root * 0.01), ("R1", 1.0), ("R2", 1.0)):
        assert found[name].volts == pytest.approx(volts, rel=1e-3), name
    along = found["C1"].shift / found["R3"].shift
    assert abs(along.imag) < 1e-3 * abs(along)  # one line, the tangent of the half circle
    apart = np.degrees(np.angle(found["C1"].shift / found["R1"].shift)) % 180
    assert min(apart, 180 - apart) == pytest.approx(30, abs=0.1)


def test_sums_are_pythagoras_and_the_cosine_rule() -> None:
    found = cloud(BRIDGE, margins=STILL)
    assert found.likely == pytest.approx(np.sqrt(8.66**2 + 1.73**2 + 2), rel=1e-3)
    by_hand = np.sqrt(10.39**2 + 2**2 + 2 * 10.39 * 2 * np.cos(np.radians(30)))
    assert found.worst == pytest.approx(by_hand, rel=0.03)  # first order by hand, exact by corners


def test_unbalance_is_the_lamp_of_the_other_sequence() -> None:
    exact = Margins(resistor=0, capacitor=0, voltage=(1, 1), frequency=(1, 1), negative=0.02)
    found = cloud(BRIDGE, margins=exact)
    assert found.worst == pytest.approx(0.02 * np.sqrt(3) / 2 * 400)
    assert np.abs(found.points).max() <= found.worst + 1e-9


def test_no_sample_lies_beyond_the_worst_case_and_the_seed_is_kept() -> None:
    found = cloud(BRIDGE, samples=5000, seed=3)
    assert np.abs(found.points).max() <= found.worst
    same = sample_lamp_volts(BRIDGE, samples=5000, seed=3)["123"][0]
    assert np.array_equal(np.abs(found.points), same)


def test_an_unknown_sequence_is_refused() -> None:
    with pytest.raises(ValueError, match="sequence must be '123' or '132'"):
        cloud(BRIDGE, sequence="213")


# --- the picture --------------------------------------------------------------------------------------


def test_bars_rings_and_scale_bar_have_one_scale() -> None:
    shown = compute_cloud(CloudSettings(unbalance=2, frequency_off=2))
    html = draw_cloud(shown)
    volts, pixels = 20.0, _length(html, "data-scale-bar")
    bars = {p.name: _length(html, f'data-bar="{p.name}"') for p in shown.cloud.pushes if p.volts > 0}
    assert len(bars) == 6
    for push in shown.cloud.pushes:
        if push.volts > 0:
            assert bars[push.name] == pytest.approx(push.volts * pixels / volts, abs=0.3)
    for name, size in (("likely", shown.cloud.likely), ("worst", shown.cloud.worst), ("dark", 40.0)):
        radius = float(re.search(rf'r="([\d.]+)"[^>]*data-ring="{name}"', html)[1])  # type: ignore[index]
        assert radius == pytest.approx(size * pixels / volts, abs=0.3)


def _length(html: str, mark: str) -> float:
    data = re.search(rf'd="M([^"]+)"[^>]*{mark}', html)[1]  # type: ignore[index]
    xs = [float(pair.split(",")[0]) for pair in data.replace("Z", "").split(" L")]
    return max(xs) - min(xs)


def test_the_axis_of_c_lies_along_the_half_circle() -> None:
    """At P = M the half circle over L3–L2 runs at right angles to L1–L2: 30° above the horizontal, L1 up (Euclid)."""
    html = draw_cloud(compute_cloud(CloudSettings()))
    data = re.search(r'd="M([\d.,]+) L([\d.,]+)"[^>]*data-axis="C1"', html)
    a, b = (complex(*map(float, data[k].split(","))) for k in (1, 2))  # type: ignore[index]
    turn = np.degrees(np.angle((b - a).conjugate())) % 180
    assert turn == pytest.approx(30, abs=0.5)


def test_the_frame_never_changes_and_wide_clouds_zoom_out_in_steps() -> None:
    pictures = [draw_cloud(compute_cloud(CloudSettings(capacitor=c, resistor=c))) for c in (0, 5, 10, 20)]
    assert len({re.search('viewBox="([^"]+)"', p)[1] for p in pictures}) == 1  # type: ignore[index]
    assert [_length(p, "data-scale-bar") for p in pictures][:2] == [_length(pictures[0], "data-scale-bar")] * 2
    assert all("nan" not in p.lower() for p in pictures)


# --- the app ------------------------------------------------------------------------------------------


def first(app: CloudApp) -> tuple[str, float]:
    return app.result.cloud.pushes[0].name, round(app.result.cloud.pushes[0].volts, 1)


def test_sliders_and_boxes_move_the_cloud(app: CloudApp) -> None:
    drive(app.widget, "Capacitor ± [%]: exact", "1 %", reads=lambda: first(app)[1], expect=1.7)
    drive(app.widget, "Unbalance [%]: exact", "2", reads=lambda: first(app), expect=("unbalance", 6.9))
    drive(app.widget, "Frequency ± [%]: exact", "5", reads=lambda: first(app), expect=("frequency", 8.7))
    app.percents["capacitor"].slider.value = 10
    assert app.percents["capacitor"].box.value == "10 %"
    assert first(app) == ("C1", 17.3)
    assert "C1 ±10 %: 17.3 V" in app.line.value


def test_half_the_line_voltage_halves_the_pushes(app: CloudApp) -> None:
    drive(app.widget, "Line volts [V]: exact", "200", reads=lambda: first(app), expect=("C1", 4.3))


def test_bought_resistors_put_the_cloud_beside_the_null(app: CloudApp) -> None:
    reads = lambda: abs(app.result.cloud.nominal) > 0.1  # noqa: E731
    drive(app.widget, "Resistors", PREFERRED, reads=reads, expect=True)


def test_another_batch_is_another_cloud_with_the_same_limits(app: CloudApp) -> None:
    before = app.result.cloud
    drive(app.widget, "Build another", "click", reads=lambda: app.batch, expect=2)
    assert not np.array_equal(app.result.cloud.points, before.points)
    assert app.result.cloud.worst == before.worst


@pytest.mark.parametrize("text", ["-1", "25", "much", "", "nan"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: CloudApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "accepted: 0 to 20 %" in app.line.value  # noqa: E731
    drive(app.widget, "Capacitor ± [%]: exact", text, reads=reads, expect=True)
    assert app.picture.value == good
    drive(app.widget, "Capacitor ± [%]: exact", "2,5", reads=reads, expect=False)
    assert app.percents["capacitor"].value == 2.5


def test_no_margin_at_all_leaves_a_single_point() -> None:
    shown = compute_cloud(CloudSettings(resistor=0, capacitor=0))
    assert np.abs(shown.cloud.points).max() < 1e-9
    assert "largest push" not in shown.line


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = cloud_app(line_voltage=208, frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    assert [x for x in labels if x.endswith("]")] == [
        "Line volts [V]", "Frequency [Hz]", "Frequency ± [%]", "Unbalance [%]", "C1 [F]",
        "Resistors ± [%]", "Capacitor ± [%]",
    ]  # fmt: skip
    assert_no_hidden_error(shown)
