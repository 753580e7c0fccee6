"""The body app and the touch pad: places by geometry, currents by hand, faults against the indicator's own verdict.

By hand: K lies at the star point or at its mirror image in L1–L2 (Euclid), so the lamp has 0 or line/√3; with C =
2.2 nF at 50 Hz, R = 835.35 kΩ, both legs are 2R long, and 2R beside 2R∠−60° is 2R/√3 = 964.6 kΩ at
−30°, that is 835.35 − j482.3 kΩ. Then 230.9 V over |835.35 − j482.3 + 940 + 2| kΩ = 125.4 µA. Limits and body:
IEC 61010-1 and IEC 60990, from memory.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.analysis.body_path import (
    BOTH_OF_CHAIN,
    HANDS_OFF,
    INSULATED,
    SINGLE_FAULTS,
    TOO_FAINT,
    body_path,
    with_fault,
    worst_touch,
)
from phasorkit.indicators.touch_probe import TouchProbe
from phasorkit.supply import EARTHINGS, Supply
from phasorkit.widgets import body_app
from phasorkit.widgets.body import BodyApp, BodySettings, compute_body, draw_body

PROBE = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400)


@pytest.fixture
def app() -> BodyApp:
    return BodyApp(BodySettings())


# --- physics ----------------------------------------------------------------------------------------------


def test_the_current_is_that_of_a_pocket_calculator() -> None:
    r = 1 / (2 * np.pi * 50 * 2.2e-9) / np.sqrt(3)
    by_hand = 400 / np.sqrt(3) / abs(2 * r / np.sqrt(3) * np.exp(-1j * np.pi / 6) + 2 * 470e3 + 2000)
    assert by_hand == pytest.approx(125.4e-6, rel=1e-3)
    assert body_path(PROBE, PROBE.supply()).current == pytest.approx(by_hand, rel=1e-4)


def test_the_body_hardly_matters_and_the_mat_does() -> None:
    currents = [body_path(PROBE, PROBE.supply(), body=ohms).current for ohms in (1.0, 500.0, 2000.0)]
    assert max(currents) / min(currents) < 1.002
    mat = body_path(PROBE, PROBE.supply(), stance=INSULATED)
    through_100_pf = 230.94 * 2 * np.pi * 50 * 100e-12
    assert mat.current == pytest.approx(through_100_pf, rel=0.1)
    assert mat.lamp == TOO_FAINT
    off = body_path(PROBE, PROBE.supply(), stance=HANDS_OFF)
    assert (off.current, off.lamp) == (0, "dark")


@pytest.mark.parametrize(
    ("earthing", "volts"),
    [  # distances in an equal-sided triangle of side 400 (Euclid): K from star point, corner L2, middle of L1–L2
        ("star", (400 / 3**0.5, 0)),
        ("isolated", (0, 0)),
        ("corner", (400 / 3**0.5, 400 / 3**0.5)),
        ("side", (400 / 12**0.5, 400 / 12**0.5)),
    ],
)
def test_earthing_decides(earthing: str, volts: tuple[float, float]) -> None:
    supply = Supply(line_voltage=400, frequency=50, earthing=earthing)
    found = [body_path(PROBE, s).lamp_volts for s in (supply, supply.reversed())]
    assert found == pytest.approx(volts, abs=1e-6)


@pytest.mark.parametrize("farad", [1e-9, 2.2e-9, 4.7e-9, 10e-9])
@pytest.mark.parametrize(("volts", "hertz"), [(400, 50), (208, 60), (480, 60)])
def test_the_worst_fault_is_the_indicators_own(farad: float, volts: float, hertz: float) -> None:
    probe = TouchProbe.sized(capacitance=farad, frequency=hertz, line_voltage=volts)
    current, fault = probe.touch_current()
    found = worst_touch(probe, probe.supply())
    assert found[0] == pytest.approx(current, rel=1e-6)
    assert found[1].replace("R2", "R1").replace("R6", "R5") == fault.replace("R2", "R1").replace("R6", "R5")


def test_the_worst_over_all_faults_is_not_below_any_of_them() -> None:
    worst, name = worst_touch(PROBE, PROBE.supply())
    high = Supply(line_voltage=440, frequency=50)
    single = {f: body_path(PROBE, high, fault=f, body=1e-3).current for f in SINGLE_FAULTS}
    assert max(single.values()) == pytest.approx(worst, rel=1e-4)
    assert single[name] == pytest.approx(worst, rel=1e-4)
    assert body_path(PROBE, high, fault=BOTH_OF_CHAIN, body=1e-3).current > worst


def test_an_isolated_network_has_no_way_back_in_any_fault() -> None:
    isolated = Supply(line_voltage=400, frequency=50, earthing="isolated")
    assert worst_touch(PROBE, isolated) == (0.0, "none")


@pytest.mark.parametrize("fault", ["R9 shorted", "R1", "", "C1 bent"])
def test_an_unknown_fault_is_refused(fault: str) -> None:
    with pytest.raises(ValueError, match="fault must be one of none, R1 shorted"):
        with_fault(PROBE.network(), fault)


def test_other_bad_values_are_refused() -> None:
    neutral = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400, return_path="neutral")
    for probe, stance, body, says in (
        (PROBE, "flying", 2000.0, "stance must be one of"),
        (PROBE, INSULATED, 0.0, "body must be positive"),
        (neutral, INSULATED, 2000.0, "return over the pad"),
    ):
        with pytest.raises(ValueError, match=says):
            body_path(probe, probe.supply(), stance=stance, body=body)


# --- the picture ------------------------------------------------------------------------------------------


def test_marks_stand_on_one_scale() -> None:
    shown = compute_body(BodySettings())
    html = draw_body(shown)
    now = float(re.search(r'd="M([\d.]+),[^"]*"[^>]*data-now', html)[1])  # type: ignore[index]
    worst = float(re.search(r'cx="([\d.]+)"[^>]*data-worst', html)[1])  # type: ignore[index]
    limit = float(re.search(r'd="M([\d.]+),[^"]*"[^>]*data-limit', html)[1])  # type: ignore[index]
    decade = (limit - worst) / np.log10(shown.path.limit / shown.path.worst)
    assert (worst - now) / decade == pytest.approx(np.log10(shown.path.worst / shown.path.current), abs=0.01)


def test_every_combination_draws_in_one_frame() -> None:
    frames = set()
    for earthing in EARTHINGS:
        for stance in ("on earth", INSULATED, HANDS_OFF):
            for third in ("", "zero"):
                html = draw_body(compute_body(BodySettings(earthing=earthing, stance=stance, third=third)))
                assert "nan" not in html.lower()
                frames.add(re.search('viewBox="([^"]+)"', html)[1])  # type: ignore[index]
    assert len(frames) == 1


# --- the app ----------------------------------------------------------------------------------------------


def test_swap_earthing_and_third_phase_by_the_controls(app: BodyApp) -> None:
    drive(app.widget, "Swap the two probes", "click", reads=lambda: app.result.path.lamp, expect="dark")
    drive(app.widget, "Earthed", "corner", reads=lambda: app.result.path.lamp, expect="lit")
    drive(app.widget, "Earthed", "isolated", reads=lambda: app.result.path.lamp, expect="dark")
    drive(app.widget, "Earthed", "star", reads=lambda: app.settings.earthing, expect="star")
    drive(app.widget, "Swap the two probes", "click", reads=lambda: app.result.path.lamp, expect="lit")
    before = app.result.path.lamp_volts
    drive(app.widget, "L3", "zero", reads=lambda: "L3 lost" in app.line.value, expect=True)
    assert app.result.path.lamp_volts == pytest.approx(before)


def test_person_and_fault_by_the_controls(app: BodyApp) -> None:
    reads = lambda: round(1e6 * app.result.path.current)  # noqa: E731
    drive(app.widget, "Person [Ω]: exact", "100k", reads=reads, expect=119)
    drive(app.widget, "Part fault", "R5 shorted", reads=reads, expect=155)
    drive(app.widget, "Person is", INSULATED, reads=reads, expect=7)
    drive(app.widget, "Person is", HANDS_OFF, reads=reads, expect=0)
    assert "Fault: R5 shorted" in app.line.value


def test_small_resistors_bring_the_worst_fault_above_the_limit(app: BodyApp) -> None:
    reads = lambda: app.result.path.worst > app.result.path.limit  # noqa: E731
    app.values["capacitance"].set(10e-9)
    drive(app.widget, "R5, R6 each [Ω]: exact", "100k", reads=reads, expect=True)
    assert "ABOVE" in app.line.value


@pytest.mark.parametrize("text", ["0", "-5", "wet", "2 nF"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: BodyApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "Not taken" in app.line.value  # noqa: E731
    drive(app.widget, "Person [Ω]: exact", text, reads=reads, expect=True)
    assert app.picture.value == good
    drive(app.widget, "Person [Ω]: exact", "1k5", reads=reads, expect=False)


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    widget = body_app(line_voltage=208, frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(widget)]
    assert [x for x in labels if x.endswith("]")] == [
        "Line volts [V]", "Frequency [Hz]", "C1 [F]", "R5, R6 each [Ω]", "Person [Ω]",
    ]  # fmt: skip
    assert_no_hidden_error(widget)
