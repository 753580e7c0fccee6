"""The RC shifter: its numbers by hand, its picture, its app by the controls.

By hand (Pythagoras and Thales): with R = Xc·tan φ the output across C is late by φ and has U·cos φ; R has U·sin φ. The
two stand at 90°, so P lies half a source voltage from the middle of A–com. 100 nF at 50 Hz: Xc = 31.83 kΩ.
"""

from __future__ import annotations

import re
from math import cos, pi, radians, sin

import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.analysis.shifter import EARLY, FAULTS, LATE, Shifter
from phasorkit.draw.shifter import shifter_picture
from phasorkit.widgets import shifter_app
from phasorkit.widgets.shifter import ShifterApp, ShifterSettings, compute_shifter, draw_shifter


@pytest.fixture
def app() -> ShifterApp:
    return ShifterApp(ShifterSettings())


def made(degrees: float, output: str = LATE) -> Shifter:
    return Shifter.turning_by(degrees, capacitance=100e-9, volts=12, frequency=50, output=output)


@pytest.mark.parametrize("degrees", [5, 30, 45, 60, 85])
@pytest.mark.parametrize(("output", "sign"), [(LATE, 1), (EARLY, -1)])
def test_volts_are_sine_and_cosine_of_the_angle_and_stand_at_a_right_angle(
    degrees: float, output: str, sign: int
) -> None:
    turned = made(degrees, output).turned()
    assert turned.late_deg == pytest.approx(sign * degrees)
    assert abs(turned.output) == pytest.approx(12 * cos(radians(degrees)))
    assert abs(turned.source - turned.output) == pytest.approx(12 * sin(radians(degrees)))
    assert abs(turned.output - 6) == pytest.approx(6)  # Thales: half circle over A-com
    assert (turned.r * turned.c.conjugate()).real == pytest.approx(0, abs=1e-9)


def test_the_order_of_the_two_parts_changes_nothing_about_them() -> None:
    """The same current flows through both: which comes first on the way does not matter."""
    one = Shifter(resistance=10e3, capacitance=100e-9, volts=12, frequency=50, output=LATE).turned()
    two = Shifter(resistance=10e3, capacitance=100e-9, volts=12, frequency=50, output=EARLY).turned()
    assert one.r == pytest.approx(two.r)
    assert one.c == pytest.approx(two.c)
    assert one.ampere == pytest.approx(two.ampere)
    assert one.ampere == pytest.approx(one.r / 10e3)


def test_a_meter_acts_as_thevenin_says() -> None:
    """Output on a load Rm: V·Rm/(Rm + Z), with Z = R∥(1/jωC) and V the open output (Thevenin's theorem)."""
    shifter = Shifter(resistance=470e3, capacitance=4.7e-9, volts=12, frequency=50)
    zc = 1 / (2j * pi * 50 * 4.7e-9)
    inner = 470e3 * zc / (470e3 + zc)
    for ohms in (1e5, 1e6, 10e6):
        expected = shifter.turned().output * ohms / (ohms + inner)
        assert shifter.turned(meter=ohms).output == pytest.approx(expected)


@pytest.mark.parametrize(("fault", "share"), list(zip(FAULTS[1:], (0, 1, 1, 0), strict=True)))
def test_a_broken_part_gives_all_or_nothing(fault: str, share: float) -> None:
    assert abs(made(40).turned(fault=fault).output) == pytest.approx(12 * share, abs=1e-6)


@pytest.mark.parametrize("degrees", [0, 90, 120, -30])
def test_one_pair_turns_by_less_than_a_right_angle(degrees: float) -> None:
    with pytest.raises(ValueError, match="between 0° and 90°"):
        made(degrees)


@pytest.mark.parametrize(
    ("given", "says"),
    [({"output": "C"}, "across C1"), ({"resistance": 0}, "resistance"), ({"volts": float("nan")}, "volts")],
)
def test_bad_values_are_named(given: dict[str, object], says: str) -> None:
    values: dict[str, object] = {"resistance": 1e3, "capacitance": 1e-6, "volts": 12, "frequency": 50}
    with pytest.raises(ValueError, match=says):
        Shifter(**values | given)  # type: ignore[arg-type]


def test_an_unknown_fault_is_refused() -> None:
    with pytest.raises(ValueError, match="fault must be one of none, R1 open"):
        made(30).turned(fault="broken")


# --- the picture --------------------------------------------------------------------------------------


def places(svg: str) -> dict[str, complex]:
    found = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)"[^>]*data-node="(\w+)"', svg)
    return {name: complex(float(x), float(y)) for x, y, name in found}


@pytest.mark.parametrize("output", [LATE, EARLY])
@pytest.mark.parametrize("degrees", [20, 45, 70])
def test_the_drawing_is_to_scale_and_p_is_on_the_half_circle(degrees: float, output: str) -> None:
    at = places(shifter_picture(made(degrees, output)).svg)
    a, b, p = at["A"], at["com"], at["P"]
    assert abs(p - (a + b) / 2) == pytest.approx(abs(a - b) / 2, abs=0.05)
    assert abs(p - b) / abs(a - b) == pytest.approx(cos(radians(degrees)), abs=1e-3)
    assert (p.real > b.real) is (output == LATE)  # later is clockwise of straight up


def test_the_half_circle_is_drawn_on_the_side_of_p() -> None:
    """From A at the top down to com, an SVG arc with sweep 1 runs with the clock: on the right."""
    for output, sweep in ((LATE, 1), (EARLY, 0)):
        svg = shifter_picture(made(45, output)).svg
        assert re.search(rf'd="M[\d.,]+ A125,125 0 0 {sweep} [^"]*"[^>]*data-half-circle="P"', svg)


def test_the_waves_peak_where_the_words_say() -> None:
    picture = shifter_picture(made(60))
    one, two = (float(x) for x in re.findall(r'<circle cx="([\d.]+)"[^>]*data-peak="1"', picture.svg))
    period = (530 - 326) / 1.25
    assert (two - one) / period == pytest.approx(60 / 360, abs=1e-3)
    assert "60° later, 3.33 ms" in picture.text  # a sixth of 20 ms


def test_the_square_stands_only_at_a_right_angle_and_a_meter_pulls_p_inwards() -> None:
    shifter = Shifter(resistance=470e3, capacitance=4.7e-9, volts=12, frequency=50)
    free, loaded = shifter_picture(shifter), shifter_picture(shifter, meter=1e6)
    assert 'data-right-angle="P"' in free.svg
    assert 'data-right-angle="P"' not in loaded.svg
    at = places(loaded.svg)
    assert abs(at["P"] - (at["A"] + at["com"]) / 2) < abs(at["A"] - at["com"]) / 2 - 5
    assert "off the half circle" in loaded.text


def test_the_frame_never_changes_and_no_number_is_missing() -> None:
    pictures = [shifter_picture(made(d, o), fault=f).svg for d in (1, 45, 89) for o in (LATE, EARLY) for f in FAULTS]
    assert len({re.search('viewBox="([^"]+)"', p)[1] for p in pictures}) == 1  # type: ignore[index]
    assert all("nan" not in p.lower() for p in pictures)


# --- the app ------------------------------------------------------------------------------------------


def late(app: ShifterApp) -> float:
    return round(app.result.turned.late_deg, 1)


def test_controls_turn_the_output(app: ShifterApp) -> None:
    drive(app.widget, "R1 [Ω]: exact", "31,83k", reads=lambda: late(app), expect=45.0)
    drive(app.widget, "Frequency [Hz]: exact", "100", reads=lambda: late(app), expect=63.4)
    drive(app.widget, "C1 [F]: exact", "50n", reads=lambda: late(app), expect=45.0)
    drive(app.widget, "Output", EARLY, reads=lambda: late(app), expect=-45.0)
    drive(app.widget, "Source [V]: exact", "6", reads=lambda: round(abs(app.result.turned.output), 2), expect=4.24)
    assert "45° earlier" in app.line.value
    app.ohms.slider.value = 3e3
    assert late(app) < -80
    assert app.ohms.box.value == "3 kΩ"


def test_faults_and_meters_are_one_click_each(app: ShifterApp) -> None:
    volts = lambda: round(abs(app.result.turned.output), 1)  # noqa: E731
    drive(app.widget, "Fault", "R1 open", reads=volts, expect=0.0)
    assert "no volts to speak of" in app.line.value
    drive(app.widget, "Fault", "C1 open", reads=volts, expect=12.0)
    drive(app.widget, "Fault", "none", reads=volts, expect=9.2)  # 12/√(1 + (27/31.83)²)
    drive(app.widget, "Meter", "1e5", reads=volts, expect=7.9)
    assert "the meter of 100 kΩ pulls P off" in app.line.value


def test_symbols_follow_the_button(app: ShifterApp) -> None:
    before = app.picture.value
    drive(app.widget, "Symbols", "NA", reads=lambda: app.picture.value != before, expect=True)


@pytest.mark.parametrize("text", ["-1k", "0", "much", "", "nan", "10 F"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: ShifterApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "Not taken: R1" in app.line.value  # noqa: E731
    drive(app.widget, "R1 [Ω]: exact", text, reads=reads, expect=True)
    assert app.picture.value == good
    drive(app.widget, "R1 [Ω]: exact", "4k7", reads=reads, expect=False)
    assert app.ohms.value == 4700


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = shifter_app(frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    assert [x for x in labels if x.endswith("]")] == ["Source [V]", "Frequency [Hz]", "R1 [Ω]", "C1 [F]"]
    assert_no_hidden_error(shown)
    assert draw_shifter(compute_shifter(ShifterSettings())).startswith("<figure")
