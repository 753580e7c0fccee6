"""Lamps in time: the picture against closed forms, the app by its controls.

Closed forms: a dark lamp behind a resistor has the source's volts and strikes at arcsin(strike/peak); lit, it passes
(source − 58 V)/(R + 4 kΩ). Between two capacitors the volts cannot jump: the struck lamp has its strike voltage for an
instant, and passes (90 − 58) V / 4 kΩ = 8 mA; with R in series (90 − 58)/(R + 4 kΩ).
"""

from __future__ import annotations

import re
from math import asin, pi, sqrt

import numpy as np
import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.draw.key_parts import ALONE, alone
from phasorkit.draw.lamp_time import REVERSE
from phasorkit.widgets import lamp_app
from phasorkit.widgets.lamp import CIRCUITS, STRIKE, LampApp, LampSettings, compute_lamp, draw_lamp
from phasorkit.widgets.player import PAUSE, PLAY

LEDS = LampSettings(circuit="led-pair", capacitance=47e-9, sequence="123")


@pytest.fixture
def app() -> LampApp:
    return LampApp(LampSettings())


@pytest.fixture
def leds() -> LampApp:
    return LampApp(LEDS)


def points(html: str, mark: str) -> np.ndarray:
    """All points of the curves with a mark, shape (n, 2) [px]."""
    found = re.findall(rf'd="M([^"Z]+)Z?"[^>]*{re.escape(mark)}', html)
    return np.array([[float(c) for c in pair.split(",")] for data in found for pair in data.split(" L")])


# --- the picture ------------------------------------------------------------------------------------------


def test_the_lamp_by_itself_strikes_and_goes_out_where_a_pocket_calculator_says() -> None:
    volts, hertz, ohms = ALONE
    html = alone().svg
    left, right = 66.0, 612.0  # the frame: one period
    strip = points(html, 'data-lit="H1"')
    per_second = (right - left) * hertz
    strike = asin(90 / (sqrt(2) * volts)) / (2 * pi * hertz)
    out = 1 / (2 * hertz) - asin((58.2 + 50e-6 * ohms) / (sqrt(2) * volts)) / (2 * pi * hertz)
    assert strip[:4, 0].min() == pytest.approx(left + per_second * strike, abs=0.1)
    assert strip[:4, 0].max() == pytest.approx(left + per_second * out, abs=0.1)
    peak = (sqrt(2) * volts - 58) / (ohms + 4e3)
    current = points(html, 'data-ampere="H1"')
    zero, top = 323.0, 323.0 - 52.0  # the frame: 2 mA
    assert (zero - current[:, 1].min()) / (zero - top) * 2e-3 == pytest.approx(peak, rel=0.01)


def test_the_pulse_is_drawn_with_its_height() -> None:
    html = compute_lamp(LampSettings(fault="R3 bridged", view=STRIKE)).picture.svg
    current = points(html, 'data-ampere="H1"')
    assert (323.0 - current[:, 1].min()) / 52.0 * 10e-3 == pytest.approx((90 - 58) / 4e3, rel=0.01)  # axis to 10 mA


def test_volts_beyond_the_frame_are_left_out_not_squeezed() -> None:
    """600 V rms unlit, the frame ends at 120 V: the curve is cut, and no point of it lies on the edge in a row."""
    free = points(compute_lamp(LampSettings()).picture.svg, 'data-free="H1"')
    assert len(free) < 40
    assert free[:, 1].min() >= 128 - 98


def test_the_frame_never_changes() -> None:
    shown = [compute_lamp(LampSettings(line_voltage=v, view=w)) for v in (24, 400, 690) for w in ("a period", STRIKE)]
    shown.append(compute_lamp(LEDS))
    assert len({re.search('viewBox="([^"]+)"', s.picture.svg)[1] for s in shown}) == 1  # type: ignore[index]
    assert all("nan" not in s.picture.svg.lower() for s in shown)


def test_the_lamps_are_shown_as_they_are_at_a_moment() -> None:
    course = compute_lamp(LampSettings()).course
    for turned in np.arange(0, 1, 0.05):
        svg = compute_lamp(LampSettings(turned=float(turned))).picture.svg
        glows = course.states("H1", times=[turned / 50])[0].startswith("glow")
        assert ("H1 lit, " in svg) == glows, turned
        assert ("H1 dark, " in svg) != glows


# --- what it says -----------------------------------------------------------------------------------------


def test_the_series_resistor_takes_the_pulse_away() -> None:
    bare, held = (compute_lamp(LampSettings(fault=f)).course.lamp("H1") for f in ("R3 bridged", "as built"))
    assert bare.peak_ampere == pytest.approx(8e-3, rel=0.01)
    assert held.peak_ampere < 1e-3
    assert held.mean_ampere > 0.7 * bare.mean_ampere


@pytest.mark.parametrize(("sequence", "lit", "dim"), [("123", "H1", "H2"), ("132", "H2", "H1")])
def test_shunts_keep_the_dim_led_dark_and_without_them_both_light(sequence: str, lit: str, dim: str) -> None:
    """Two-lamp star, C on L1: in 1-2-3 the lamp on L2 is the bright one (standard textbook problem)."""
    built = compute_lamp(LampSettings(circuit="led-pair", capacitance=47e-9, sequence=sequence))
    assert built.course.lamp(dim).lit_fraction == 0
    assert built.course.lamp(lit).mean_ampere > 200e-6
    bare = compute_lamp(LampSettings(circuit="led-pair", capacitance=47e-9, sequence=sequence, fault="no shunts"))
    assert min(bare.course.lamp(n).mean_ampere for n in ("H1", "H2")) > 200e-6


def test_an_led_without_shunt_and_diode_is_said_to_suffer() -> None:
    bare = compute_lamp(LampSettings(circuit="led-pair", capacitance=47e-9, sequence="123", fault="H2 bare"))
    assert -bare.course.lamp("H2").volts_min > 100 * REVERSE / 5
    assert "no LED bears that" in bare.line
    assert "no LED bears that" not in compute_lamp(LEDS).line


def test_an_unknown_circuit_is_refused() -> None:
    with pytest.raises(ValueError, match="circuit must be one of double-rc-bridge, led-pair"):
        lamp_app("twin-bridge")


# --- the app ----------------------------------------------------------------------------------------------


def test_every_control_of_the_bridge_moves_the_course(app: LampApp) -> None:
    lamp = lambda: app.result.course.lamp("H1")  # noqa: E731
    drive(app.widget, "Fault", "R3 bridged", reads=lambda: round(1e3 * lamp().peak_ampere, 1), expect=8.0)
    drive(app.widget, "Fault", "as built", reads=lambda: lamp().peak_ampere < 1e-3, expect=True)
    drive(
        app.widget, "R3 [Ω]: exact", "1k", reads=lambda: round(1e3 * lamp().peak_ampere, 1), expect=6.4
    )  # 32 V / 5 kΩ
    drive(app.widget, "R3 as sized", "click", reads=lambda: round(app.ohms.value / 1e3), expect=391)
    drive(app.widget, "Line volts [V]: exact", "24", reads=lambda: lamp().lit_fraction, expect=0.0)
    drive(app.widget, "Line volts [V]: exact", "400", reads=lambda: lamp().lit_fraction > 0.5, expect=True)
    drive(app.widget, "Frequency [Hz]: exact", "60", reads=lambda: round(lamp().strikes_per_second), expect=120)
    drive(app.widget, "Swap two phases", "click", reads=lambda: app.sequence, expect="123")
    assert "never lights" in app.line.value
    drive(app.widget, "Swap two phases", "click", reads=lambda: app.sequence, expect="132")
    drive(app.widget, "Picture", STRIKE, reads=lambda: "µs from the strike" in app.picture.value, expect=True)


def test_play_pause_and_the_moment(app: LampApp) -> None:
    drive(app.widget, PLAY, "click", reads=lambda: app.player.playing, expect=True)
    app.player.play.value = 9
    assert app.settings.turned == pytest.approx(0.125)
    drive(app.widget, PAUSE, "click", reads=lambda: app.player.playing, expect=False)


def test_every_control_of_the_led_pair_moves_the_course(leds: LampApp) -> None:
    lit = lambda: [round(leds.result.course.lamp(n).lit_fraction, 1) for n in ("H1", "H2")]  # noqa: E731
    drive(leds.widget, "Fault", "no shunts", reads=lit, expect=[0.5, 0.5])
    drive(leds.widget, "Fault", "as built", reads=lit, expect=[0.3, 0.0])
    drive(leds.widget, "Shunts [Ω]: exact", "50", reads=lit, expect=[0.0, 0.0])
    drive(leds.widget, "Shunts as sized", "click", reads=lit, expect=[0.3, 0.0])
    drive(leds.widget, "Swap two phases", "click", reads=lit, expect=[0.0, 0.3])


@pytest.mark.parametrize("text", ["-1", "2000", "much", "", "400 Hz"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: LampApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "Not taken" in app.line.value  # noqa: E731
    drive(app.widget, "Line volts [V]: exact", text, reads=reads, expect=True)
    assert app.picture.value == good
    drive(app.widget, "Line volts [V]: exact", "230", reads=reads, expect=False)


@pytest.mark.parametrize("circuit", CIRCUITS)
def test_labels_carry_units_and_nothing_hidden_failed(circuit: str) -> None:
    shown = lamp_app(circuit, line_voltage=208, frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    ohms = f"{CIRCUITS[circuit].label} [Ω]"
    assert [x for x in labels if x.endswith("]")] == ["Line volts [V]", "Frequency [Hz]", ohms, "Turned by [°]"]
    assert_no_hidden_error(shown)


def test_drawing_gives_html_with_its_words() -> None:
    shown = compute_lamp(LampSettings())
    assert draw_lamp(shown).startswith('<figure role="img"')
    assert shown.line.split(". ")[0] in draw_lamp(shown)
