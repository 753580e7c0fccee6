"""The app of a three-phase supply and its two-channel scope, driven by its controls.

Expected: a third of 20 ms is 6.67 ms, of 16.67 ms 5.56 ms; 400/√3 = 230.9 V and 208/√3 = 120.1 V (IEC 60038 and North
American practice name them 230 and 120, from memory); two exchanged phases reverse the order (common practice).
"""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from widget_gate import assert_no_hidden_error, control, drive, widgets_of

from phasorkit.draw.scope import delay, scope, volts_per_division
from phasorkit.draw.star import star, supply_waves
from phasorkit.supply import Supply
from phasorkit.widgets import three_phase_app
from phasorkit.widgets.three_phase import (
    HIDDEN,
    SCOPE,
    WAVES,
    ThreePhaseApp,
    ThreePhaseSettings,
    compute_three_phase,
    draw_three_phase,
)  # fmt: skip


@pytest.fixture
def app() -> ThreePhaseApp:
    return ThreePhaseApp(ThreePhaseSettings())


def order(app: ThreePhaseApp) -> list[str]:
    return [w.name for w in sorted(app.result.waves, key=lambda w: w.peak_at())]


@pytest.mark.parametrize(
    ("sequence", "one", "two", "thirds"),
    [
        ("123", "L1", "L2", 1), ("123", "L2", "L3", 1), ("123", "L3", "L1", 1), ("123", "L2", "L1", 2),
        ("132", "L1", "L2", 2), ("132", "L1", "L3", 1), ("132", "L3", "L2", 1), ("123", "L2", "L2", 0),
    ],
)  # fmt: skip
def test_channel_2_is_late_by_thirds_of_a_period(sequence: str, one: str, two: str, thirds: int) -> None:
    waves = {w.name: w for w in supply_waves(Supply(sequence=sequence))}
    assert delay(waves[one], waves[two]) == pytest.approx(thirds / 3, abs=2e-6)
    asked = ThreePhaseSettings(sequence=sequence, channels=(one, two), view=SCOPE)
    milliseconds = {0: "0 ms", 1: "6.67 ms", 2: "13.33 ms"}[thirds]
    line = compute_three_phase(asked).line
    assert f"rises through zero {milliseconds} after channel 1; of a period of 20 ms that is {120 * thirds}°" in line


def test_the_trace_rises_through_zero_where_the_words_say() -> None:
    """From the drawn points: channel 1 at the left edge, channel 2 a third of 20 ms = 3.33 divisions later."""
    l1, l2, _ = supply_waves(Supply())
    svg = scope(l1, l2, frequency=50, ms_per_division=2).svg
    rises = {}
    for name in ("L1", "L2"):
        path = re.search(rf'<path d="M([^"]+)"[^>]*data-trace="{name}"', svg)[1]  # type: ignore[index]
        points = [complex(*map(float, p.split(","))) for p in path.split(" L")]
        zero = 38 + 4 * 30
        rises[name] = next(
            p.real + (q.real - p.real) * (p.imag - zero) / (p.imag - q.imag)
            for p, q in pairwise(points)
            if p.imag > zero - 0.05 > q.imag
        )
    assert rises["L1"] == pytest.approx(15, abs=0.2)
    assert rises["L2"] == pytest.approx(15 + 30 * 20 / 3 / 2, abs=0.2)


@pytest.mark.parametrize(("peak", "per_division"), [(326.6, 100), (170, 50), (400, 100), (401, 200), (19.6, 5)])
def test_the_peak_stays_within_four_divisions(peak: float, per_division: float) -> None:
    assert volts_per_division(peak) == per_division


def test_controls_move_what_they_say(app: ThreePhaseApp) -> None:
    drive(app.widget, "Swap two phases", "click", reads=lambda: order(app), expect=["L1", "L3", "L2"])
    assert "Sequence 1-3-2" in app.line.value
    drive(
        app.widget, "Line volts [V]: exact", "208", reads=lambda: "phase voltage 120 V" in app.line.value, expect=True
    )
    drive(app.widget, "Frequency [Hz]: exact", "60", reads=lambda: "each 5.56 ms" in app.line.value, expect=True)
    drive(app.widget, "Picture", SCOPE, reads=lambda: "data-trace" in app.picture.value, expect=True)
    drive(app.widget, "Channel 2", "L3", reads=lambda: "that is 120°" in app.line.value, expect=True)
    drive(app.widget, "Channel 1", "L2", reads=lambda: "that is 240°" in app.line.value, expect=True)
    drive(app.widget, "Division", "5", reads=lambda: "5 ms and 50 V per division" in app.line.value, expect=True)
    drive(app.widget, "Turned by [°]: exact", "90", reads=lambda: app.settings.turned, expect=0.25)


def test_hidden_shows_no_arrow_no_delay_and_names_no_sequence(app: ThreePhaseApp) -> None:
    app.view.value = SCOPE
    assert "data-delay" in app.picture.value
    drive(app.widget, "Reading", HIDDEN, reads=lambda: "data-delay" in app.picture.value, expect=False)
    pictures = {}
    for sequence in ("123", "132"):
        app.sequence = sequence
        app.update()
        pictures[sequence] = re.sub(r'd="[^"]+"', "", app.picture.value) + app.line.value + app.swap.description
        assert not re.search(r"\d ms after|data-arrow|\d°", pictures[sequence])
    assert pictures["123"] == pictures["132"], "nothing but the traces themselves differs"


def test_a_riddle_hides_and_its_answers_come_both_ways(app: ThreePhaseApp) -> None:
    drive(app.widget, "Give me", "click", reads=lambda: (app.view.value, app.told.value), expect=(SCOPE, HIDDEN))
    seen = set()
    for _ in range(12):
        app.riddle.click()
        one, two = app.settings.channels
        assert one != two
        assert "data-arrow" not in app.picture.value
        seen.add(app.sequence)
    assert seen == {"123", "132"}


def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: ThreePhaseApp) -> None:
    good = app.picture.value
    drive(app.widget, "Line volts [V]: exact", "many", reads=lambda: "accepted" in app.line.value, expect=True)
    assert app.picture.value == good
    drive(app.widget, "Line volts [V]: exact", "690", reads=lambda: "Not taken" in app.line.value, expect=False)
    assert app.picture.value != good


def test_unknown_settings_are_refused() -> None:
    with pytest.raises(ValueError, match="channels among"):
        compute_three_phase(ThreePhaseSettings(channels=("L1", "N")))
    l1, l2, _ = supply_waves(Supply())
    with pytest.raises(ValueError, match="ms_per_division must be positive"):
        scope(l1, l2, frequency=50, ms_per_division=0)


def test_the_frame_never_changes() -> None:
    boxes = set()
    for view, told in ((WAVES, True), (SCOPE, True), (SCOPE, False)):
        for volts in (24, 208, 690):
            asked = ThreePhaseSettings(view=view, told=told, line_voltage=volts)
            html = draw_three_phase(compute_three_phase(asked))
            boxes.add(re.search('viewBox="([^"]+)"', html)[1])  # type: ignore[index]
    assert len(boxes) == 1


def test_a_star_to_scale_has_sides_of_root_three() -> None:
    """Measured in the drawing: side over arrow, with the arrow's shortening by its head taken from the scale bar."""
    svg = star(Supply(line_voltage=400)).svg
    path = re.search(r'<path d="M([^"]+)Z"[^>]*data-triangle="1"', svg)[1]  # type: ignore[index]
    a, b, c = (complex(*map(float, p.split(","))) for p in path.split(" L"))
    middle = (a + b + c) / 3
    assert abs(a - b) / abs(a - middle) == pytest.approx(3**0.5, rel=1e-4)
    bar = re.search(r'data-scale-bar="1"><path d="M([^"]+)"', svg)[1].split(" L")  # type: ignore[index]
    length = abs(complex(*map(float, bar[1].split(","))) - complex(*map(float, bar[2].split(","))))
    assert abs(a - b) / length == pytest.approx(4, rel=1e-3), "400 V line to line, the bar is 100 V"


def test_between_a_supply_and_a_reversed_one_stand_line_volts() -> None:
    """With L1 on G1, the other two poles have a whole side between them (geometry of the two triangles)."""
    picture = star(Supply(line_voltage=400), other=Supply(line_voltage=400, sequence="132"))
    assert "L1 to G1 0 V, L2 to G2 400 V and L3 to G3 400 V" in picture.text
    assert picture.svg.count('data-gap="1"') == 2


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = three_phase_app(line_voltage=208, frequency=60, sequence="132")
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    assert [x for x in labels if x.endswith("]")] == ["Line volts [V]", "Frequency [Hz]", "Turned by [°]"]
    assert control(shown, "Swap two phases").description.endswith("1-3-2)")
    assert_no_hidden_error(shown)
