"""The app that shows one mistake on three testers, driven by its controls.

Expected: facts of `tests/test_second_reading.py`; 346 V = √3/2 of 400 V (common practice for the null bridge).
"""

from __future__ import annotations

import re

import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.analysis.second_reading import EXCHANGES, MISTAKES
from phasorkit.widgets import mistakes_app
from phasorkit.widgets.mistakes import MistakesApp, MistakeSettings, compute_mistake, draw_mistake


@pytest.fixture
def app() -> MistakesApp:
    return MistakesApp(MistakeSettings())


def said(app: MistakesApp) -> list[str]:
    return [pair.first.conclusion for pair in app.result.pairs]


def both(app: MistakesApp) -> list[str]:
    return [pair.first.after_swap for pair in app.result.pairs]


def test_swapping_two_phases_changes_what_the_testers_say(app: MistakesApp) -> None:
    reads = lambda: said(app)  # noqa: E731
    drive(app.widget, "Swap two phases", "click", reads=reads, expect=["can't tell", "132", "132"])
    assert both(app) == ["132", "132", "132"]
    assert "346 V lit" in app.line.value


def test_one_click_breaks_a_lead(app: MistakesApp) -> None:
    app.at.value = "L2"
    drive(app.widget, "Mistake", "lead broken", reads=lambda: said(app), expect=["can't tell", "fault", "132"])
    assert "one reading says 1-3-2 (misleading)" in app.line.value
    assert both(app) == ["fault", "fault", "fault"]


def test_which_probes_are_exchanged_decides_if_the_star_is_caught(app: MistakesApp) -> None:
    app.mistake.value, app.at.value = "on neutral", "L3"
    assert both(app)[2] == "fault"
    drive(app.widget, "Exchange", "L2 L3", reads=lambda: both(app)[2], expect="123")
    assert "the pair says 1-2-3 (misleading)" in app.line.value
    drive(app.widget, "Where", "L1", reads=lambda: both(app)[2], expect="can't tell")


def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: MistakesApp) -> None:
    good = app.picture.value
    drive(app.widget, "Line volts [V]: exact", "many", reads=lambda: "accepted" in app.line.value, expect=True)
    assert app.picture.value == good
    drive(app.widget, "Line volts [V]: exact", "208", reads=lambda: "Not taken" in app.line.value, expect=False)
    assert app.picture.value != good


@pytest.mark.parametrize("mistake", MISTAKES)
def test_every_mistake_is_drawn_and_told_without_colour(mistake: str) -> None:
    """Each tester's row carries its lamps' states, and every verdict stands in words and as a mark."""
    for at in ("L1", "L2", "L3"):
        for exchange in EXCHANGES:
            shown = compute_mistake(MistakeSettings(mistake=mistake, at=at, exchange=exchange))
            html = draw_mistake(shown)
            assert len(re.findall("data-lamp", html)) == 10
            states = re.findall('data-state="(dark|unsure|lit)"', html)
            assert states[0] == shown.pairs[0].first.lamp_states[0]
            assert len(re.findall("[✓✗?] ", html)) >= 6
            assert "nan" not in html.lower()


def test_the_frame_never_changes() -> None:
    boxes = {
        re.search('viewBox="([^"]+)"', draw_mistake(compute_mistake(MistakeSettings(mistake=m, line_voltage=v))))[1]  # type: ignore[index]
        for m in MISTAKES
        for v in (24, 208, 690)
    }
    assert len(boxes) == 1


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = mistakes_app(line_voltage=208, frequency=60, sequence="132")
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    assert [x for x in labels if x.endswith("]")] == ["Line volts [V]", "Frequency [Hz]"]
    assert_no_hidden_error(shown)
