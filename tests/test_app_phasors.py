"""The app of two arrows and their waves, driven by its controls.

Expected: 4, 3, 5 (Pythagorean triple); two equal sides with 60° between them make an equal-sided triangle, with 120°
the gap is √3 of a side (Euclid); a period of 50 Hz is 20 ms, of 60 Hz 16.67 ms; the peak of a sine is √2 times its rms
value (common practice).
"""

from __future__ import annotations

import re
from math import sqrt

import numpy as np
import pytest
from widget_gate import assert_no_hidden_error, control, drive, widgets_of

from phasorkit.draw.dial import Dial
from phasorkit.phasors import waveform
from phasorkit.widgets import phasors_app
from phasorkit.widgets.phasors import GAP, SERIES, VIEWS, PhasorsApp, PhasorSettings, compute_phasors, draw_phasors

TURNS = np.linspace(0, 1, 1000, endpoint=False)


@pytest.fixture
def app() -> PhasorsApp:
    return PhasorsApp(PhasorSettings())


@pytest.mark.parametrize(
    ("later", "between", "series"),
    [(0, 0, 12), (60, 6, 6 * sqrt(3)), (90, 6 * sqrt(2), 6 * sqrt(2)), (120, 6 * sqrt(3), 6), (180, 12, 0)],
)
def test_two_equal_voltages_at_known_angles(later: float, between: float, series: float) -> None:
    for sign in (1, -1):
        equal = {"a_volts": 6.0, "b_volts": 6.0, "later_deg": sign * later}
        assert compute_phasors(PhasorSettings(**equal, view=GAP)).third == pytest.approx(between, abs=1e-8)
        assert compute_phasors(PhasorSettings(**equal, view=SERIES)).third == pytest.approx(series, abs=1e-8)


@pytest.mark.parametrize("later", [-150, -30, 45, 90, 170])
@pytest.mark.parametrize(("view", "sign"), [(GAP, -1), (SERIES, 1)])
def test_the_third_voltage_is_the_rms_of_the_waves_added_moment_by_moment(later: float, view: str, sign: int) -> None:
    """A second method without arrows: add or subtract 1000 momentary values, then root, mean, square."""
    b = np.sqrt(2) * 3 * np.cos(2 * np.pi * TURNS - np.deg2rad(later))
    volts = np.sqrt(2) * 4 * np.cos(2 * np.pi * TURNS) + sign * b
    shown = compute_phasors(PhasorSettings(later_deg=later, view=view))
    assert shown.third == pytest.approx(np.sqrt(np.mean(volts**2)), rel=1e-9)


@pytest.mark.parametrize("turned", [0, 0.1, 0.4, 0.75])
def test_an_arrows_height_is_its_waves_momentary_value(turned: float) -> None:
    dial = Dial(100 + 100j, 80, 6, turned)
    for wave in compute_phasors(PhasorSettings(later_deg=70)).waves:
        height = (100 - dial.at(wave.phasor).imag) * 6 / 80
        assert height == pytest.approx(float(waveform(wave.phasor, frequency=1, time=[turned])[0]), abs=1e-9)
        assert height == pytest.approx(wave.now(turned), abs=1e-9)


def test_the_dots_on_the_waves_are_as_high_as_the_arrows(app: PhasorsApp) -> None:
    app.player.control.set(35)
    dots = dict(re.findall(r'cy="([\d.]+)"[^>]*data-now="(\w)"', app.picture.value))
    tips = {
        name: float(re.search(rf'd="M[\d.,]+ L([\d.]+),([\d.]+)"[^>]*data-arrow="{name}"', app.picture.value)[2])  # type: ignore[index]
        for name in dots.values()
    }
    for y, name in dots.items():
        assert abs(float(y) - tips[name]) < 9, "the arrow's line ends within the head's length of the dot's height"


def test_later_means_clockwise_and_further_right() -> None:
    a, b = compute_phasors(PhasorSettings(later_deg=90)).waves
    assert b.phasor.imag < 0
    assert b.peak_at() == 0.25
    dial = Dial(0j, 1, 12)
    assert dial.at(b.phasor).real > dial.at(a.phasor).real
    assert "peak 4.24 V at 5 ms" in compute_phasors(PhasorSettings()).picture.text


def test_controls_move_what_they_say(app: PhasorsApp) -> None:
    third = lambda: round(app.result.third, 3)  # noqa: E731
    drive(app.widget, "Show", GAP, reads=third, expect=5.0)
    drive(app.widget, "B peaks later by [°]: exact", "0", reads=third, expect=1.0)
    drive(app.widget, "Volts B [V]: exact", "4", reads=third, expect=0.0)
    drive(app.widget, "Show", SERIES, reads=third, expect=8.0)
    drive(app.widget, "Frequency [Hz]: exact", "60", reads=lambda: app.settings.frequency, expect=60.0)
    drive(app.widget, "B peaks later by [°]: exact", "-90°", reads=lambda: "B leads" in app.line.value, expect=True)
    assert "4.17 ms of a period of 16.67 ms" in app.line.value


def test_play_steps_the_moment_and_pausing_says_it(app: PhasorsApp) -> None:
    """The player's own ticks come from the browser: each sets `value`."""
    drive(app.widget, "Clock", 18, reads=lambda: app.settings.turned, expect=0.25)
    assert "At 5 ms: A 0 V and B 4.24 V." in app.line.value
    drive(app.widget, "Play", "click", reads=lambda: app.player.playing, expect=True)
    assert "At 5 ms" not in app.line.value, "a screen reader is not flooded while it runs"
    drive(app.widget, "Pause", "click", reads=lambda: app.player.playing, expect=False)
    assert "At 5 ms" in app.line.value
    drive(app.widget, "Back to 0°", "click", reads=lambda: app.settings.turned, expect=0.0)
    drive(app.widget, "Turned by [°]: exact", "33", reads=lambda: app.player.play.value, expect=6)
    assert app.settings.turned == pytest.approx(33 / 360)


@pytest.mark.parametrize(
    ("label", "text", "accepted"),
    [
        ("Volts A [V]: exact", "lots", "accepted"),
        ("Volts A [V]: exact", "400", "50 V"),
        ("Frequency [Hz]: exact", "0", "10 Hz"),
        ("B peaks later by [°]: exact", "270", "-180 to 180 °"),
        ("B peaks later by [°]: exact", "nan", "-180 to 180 °"),
        ("Turned by [°]: exact", "x", "0 to 355 °"),
    ],
)
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(
    app: PhasorsApp, label: str, text: str, accepted: str
) -> None:
    good, before = app.picture.value, control(app.widget, label).value
    drive(app.widget, label, text, reads=lambda: "Not taken" in app.line.value, expect=True)
    assert accepted in app.line.value
    assert app.picture.value == good
    drive(app.widget, label, before, reads=lambda: "Not taken" in app.line.value, expect=False)


def test_unknown_settings_are_refused() -> None:
    with pytest.raises(ValueError, match="view must be one of"):
        compute_phasors(PhasorSettings(view="side by side"))
    with pytest.raises(ValueError, match="must be positive"):
        compute_phasors(PhasorSettings(a_volts=0))


def test_the_frame_and_the_scale_stay_while_a_slider_moves() -> None:
    seen = set()
    for view in VIEWS:
        for later in (-180, -65, 0, 90, 180):
            html = draw_phasors(compute_phasors(PhasorSettings(later_deg=later, view=view)))
            seen.add(re.search('viewBox="([^"]+)"', html)[1])  # type: ignore[index]
            assert "nan" not in html
    assert len(seen) == 1
    tops = {re.findall(r">(\d+)</tspan>", draw_phasors(compute_phasors(PhasorSettings(later_deg=d, view=GAP))))[0]
            for d in (-90, 10, 175)}  # fmt: skip
    assert len(tops) == 1


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = phasors_app(frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    units = ["Frequency [Hz]", "Volts A [V]", "Volts B [V]", "B peaks later by [°]", "Turned by [°]"]
    assert [x for x in labels if x.endswith("]")] == units
    assert_no_hidden_error(shown)
