"""The indicator app: its thinking without widgets, its controls by the shared gate.

Expected volts: 346 V = √3/2 of 400 V across the lamp in the wrong sequence, 0 V in the right one, 200 V with an outer
probe open (common practice for this bridge; the solver's own tests prove them by a second method).
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Any

import ipywidgets as w
import pytest
from widget_gate import assert_no_hidden_error, control, drive, widgets_of

from phasorkit.indicators import circuits
from phasorkit.widgets import Settings, compute, draw, indicator_app
from phasorkit.widgets.app import SECTIONS, IndicatorApp
from phasorkit.widgets.compute import VIEWS

PARTS = MappingProxyType({"capacitance": 4.7e-9})


@pytest.fixture
def app() -> IndicatorApp:
    return IndicatorApp(Settings(parts=PARTS))


def lamp(app: IndicatorApp) -> tuple[str, str]:
    """Volts and state of the first lamp, from the table's rows."""
    return app.result.rows[-1][2:]


# --- compute and draw ---------------------------------------------------------------------------------


def test_compute_gives_the_lamp_in_both_sequences() -> None:
    lamps = [compute(Settings(parts=PARTS, sequence=s)).rows[-1] for s in ("123", "132")]
    assert lamps == [("H1", "M–P", "0 V", "dark"), ("H1", "M–P", "346 V", "lit")]


def test_compute_lays_the_probes_as_told() -> None:
    """Open, neutral and doubled reach the supply; the line says so."""
    shown = compute(Settings(parts=PARTS, probes=MappingProxyType({"L1": "", "L2": "N", "L3": "L1"})))
    assert dict(shown.reading.supply.probes) == {"L2": "N", "L3": "L1"}
    assert "probe L1 open, probe L2 on N, probe L3 on L1" in shown.line


def test_compute_keeps_resistances_that_were_set_and_sizes_the_rest() -> None:
    """R = Xc/√3 = 391 kΩ for 4.7 nF at 50 Hz (the bridge's sizing rule)."""
    parts = MappingProxyType({"capacitance": 4.7e-9, "resistance": 100e3})
    built = compute(Settings(parts=parts)).reading.indicator
    assert built.resistance == 100e3
    assert built.divider == pytest.approx(391e3, rel=1e-3)


def test_draw_gives_the_chosen_picture() -> None:
    marks = {}
    for view in VIEWS:
        html = draw(compute(Settings(parts=PARTS, view=view)))
        marks[view] = [m for m in ("data-part", "data-arrow", "data-wave") if m in html]
    assert marks == {"scale drawing": ["data-part"], "phasors": ["data-arrow"], "waves": ["data-wave"]}
    with pytest.raises(ValueError, match=r"scale drawing, phasors, waves.*'film'"):
        compute(Settings(parts=PARTS, view="film"))


# --- the app by its controls --------------------------------------------------------------------------


def test_swapping_two_phases_lights_the_lamp(app: IndicatorApp) -> None:
    drive(app.widget, "Swap two phases", "click", reads=lambda: lamp(app), expect=("346 V", "lit"))
    assert "346 V" in app.picture.value
    assert "Lamp H1 between M and P has 346 V" in app.line.value
    drive(app.widget, "Swap two phases", "click", reads=lambda: lamp(app), expect=("0 V", "dark"))


@pytest.mark.parametrize(
    ("probe", "touches", "volts"),
    [("L1", "", "200 V"), ("L2", "", "200 V"), ("L3", "", "231 V"), ("L1", "L2", "200 V")],
)
def test_a_probe_is_moved_by_one_click(app: IndicatorApp, probe: str, touches: str, volts: str) -> None:
    drive(app.widget, f"Probe {probe}", touches, reads=lambda: lamp(app), expect=(volts, "lit"))
    drive(app.widget, f"Probe {probe}", probe, reads=lambda: lamp(app), expect=("0 V", "dark"))


def test_the_box_takes_what_the_trade_writes_and_moves_the_slider(app: IndicatorApp) -> None:
    drive(app.widget, "R3 [Ω]: exact", "1M2", reads=lambda: app.result.rows[2][3], expect="1M2")
    assert app.values["resistance"].slider.value == pytest.approx(1.2e6)
    drive(app.widget, "Line volts [V]: exact", "480", reads=lambda: app.result.reading.supply.line_voltage, expect=480)
    drive(app.widget, "Frequency [Hz]: exact", "60 Hz", reads=lambda: app.result.reading.supply.frequency, expect=60)


def test_the_slider_moves_the_box(app: IndicatorApp) -> None:
    app.values["line_voltage"].slider.value = 230
    assert app.values["line_voltage"].box.value == "230 V"
    assert app.result.reading.supply.line_voltage == 230
    app.values["capacitance"].slider.value = 1e-8
    assert app.values["capacitance"].box.value == "10 nF"
    assert app.result.reading.indicator.capacitance == pytest.approx(1e-8)


def test_a_box_takes_more_than_the_slider_reaches(app: IndicatorApp) -> None:
    """400 Hz lies beyond the slider's end at 65 Hz: the value holds, the slider stands at its end."""
    drive(app.widget, "Frequency [Hz]: exact", "400", reads=lambda: app.result.reading.supply.frequency, expect=400)
    assert app.values["frequency"].slider.value == 65
    assert app.settings.frequency == 400


def test_set_r_for_the_null_finds_the_dark_lamp_again(app: IndicatorApp) -> None:
    drive(app.widget, "C1 [F]: exact", "3n3", reads=lambda: lamp(app)[1], expect="unsure")
    drive(app.widget, "Set R for the null", "click", reads=lambda: lamp(app), expect=("0 V", "dark"))
    assert app.values["resistance"].box.value == "556.9 kΩ"  # Xc/√3 of 3.3 nF at 50 Hz


@pytest.mark.parametrize(
    ("label", "text", "says"),
    [
        ("C1 [F]: exact", "4.7", "4n7, 4.7 nF"),
        ("R3 [Ω]: exact", "39x", "390k, 390 kΩ"),
        ("R3 [Ω]: exact", "-5", "accepted"),
        ("Frequency [Hz]: exact", "0", "accepted: 10 Hz to 1 kHz"),
        ("Line volts [V]: exact", "", "accepted"),
    ],
)
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(
    app: IndicatorApp, label: str, text: str, says: str
) -> None:
    good = app.picture.value
    drive(app.widget, label, text, reads=lambda: says in app.line.value, expect=True)
    assert app.picture.value == good
    drive(app.widget, "Swap two phases", "click", reads=lambda: app.sequence, expect="132")
    assert says in app.line.value  # still wrong, still said
    control_text = {"C1": "4n7", "R3": "390k", "Fr": "50", "Li": "400"}[label[:2]]
    drive(app.widget, label, control_text, reads=lambda: "Not taken" in app.line.value, expect=False)
    assert lamp(app)[1] == "lit"


def test_views_and_symbols(app: IndicatorApp) -> None:
    reads = lambda: app.picture.value.count("data-wave")  # noqa: E731
    drive(app.widget, "Picture", "waves", reads=reads, expect=4)
    drive(app.widget, "Picture", "scale drawing", reads=reads, expect=0)
    before = app.picture.value
    drive(app.widget, "Symbols", "NA", reads=lambda: app.picture.value == before, expect=False)


def test_every_circuit_has_an_app_with_the_same_order_of_controls() -> None:
    """Supply, parts, fault, view; all that is labelled carries its unit; nothing hidden went wrong."""
    for name in circuits():
        shown = indicator_app(name)
        labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
        heads = [c.value for c in widgets_of(shown) if isinstance(c, w.HTML) and c.value.startswith("<b")]
        assert [s.capitalize() in h for s, h in zip(SECTIONS, heads, strict=True)] == [True] * 4
        assert {"Line volts [V]", "Frequency [Hz]"} <= set(labels)
        assert_no_hidden_error(shown)


def test_an_app_starts_where_it_is_told() -> None:
    """A North American start: 480 V, 60 Hz, zigzag resistors, 1-3-2: √3/2 of 480 V is 416 V."""
    shown = indicator_app(line_voltage=480, frequency=60, sequence="132", symbols="NA")
    page = " ".join(c.value for c in widgets_of(shown) if isinstance(c, w.HTML))
    assert "416 V lit" in page
    assert control(shown, "Symbols").value == "NA"
    assert control(shown, "Frequency [Hz]: exact").value == "60 Hz"


def test_sections_can_be_left_out_but_not_invented() -> None:
    small = indicator_app(sections=("supply",))
    assert not any(str(getattr(c, "description", "")).startswith("Probe") for c in widgets_of(small))
    with pytest.raises(ValueError, match=r"supply, parts, fault, view.*'sound'"):
        indicator_app(sections=("sound",))


def test_sliders_and_boxes_are_labelled_for_screen_readers(app: IndicatorApp) -> None:
    for c in widgets_of(app.widget):
        if isinstance(c, (w.Text, w.ToggleButtons)):
            assert c.tooltip
        elif isinstance(c, (w.FloatSlider, w.FloatLogSlider, w.Button)):
            assert c.description
    assert 'aria-live="polite"' in app.line.value
    assert 'role="img"' in app.picture.value


# --- the gate itself ----------------------------------------------------------------------------------


def broken_app(*, hides: bool) -> tuple[w.VBox, w.Text]:
    """An app whose callback raises; `hides` keeps the traceback in an Output, as a kernel does."""
    button, output, text = w.Button(description="Go"), w.Output(), w.Text()

    def clicked(_: Any) -> None:
        text.value = "gone"
        if hides:
            output.outputs = ({"output_type": "error", "ename": "ZeroDivisionError", "evalue": "", "traceback": []},)
        else:
            raise ZeroDivisionError

    button.on_click(clicked)
    return w.VBox([button, output, text]), text


def test_the_gate_sees_an_error_that_hides_in_an_output() -> None:
    app, text = broken_app(hides=True)
    with pytest.raises(AssertionError, match="ZeroDivisionError"):
        drive(app, "Go", "click", reads=lambda: text.value, expect="gone")
    app.children[1].outputs = ()


def test_the_gate_sees_a_button_that_raises() -> None:
    """ipywidgets swallows it and writes a line to the log."""
    app, text = broken_app(hides=False)
    with pytest.raises(AssertionError, match=r"callback of 'Go' failed: .*broken_app"):
        drive(app, "Go", "click", reads=lambda: text.value, expect="gone")


def test_the_gate_refuses_a_step_that_changes_nothing_or_the_wrong_thing() -> None:
    button, text = w.Button(description="Go"), w.Text()
    app = w.VBox([button, text])
    with pytest.raises(AssertionError, match="changed nothing"):
        drive(app, "Go", "click", reads=lambda: text.value, expect="")
    with pytest.raises(AssertionError, match="not 'done'"):
        drive(app, "Go", "click", reads=lambda: text.value, expect="done")
    with pytest.raises(AssertionError, match="0 controls 'Stop'"):
        drive(app, "Stop", "click", reads=lambda: text.value, expect="done")
