"""Buying parts: the ladder against IEC 60063, limits by hand, the app by its controls.

By hand, 400 V, 50 Hz, 4.7 nF: Xc = 1/(2π·50·4.7e-9) = 677.26 kΩ, R = Xc/√3 = 391.01 kΩ. A lit lamp taken as a short
puts M on P: R2 and R3 side by side, R1 alone against them and C1; a bridge of three equal resistors and one capacitor.
"""

from __future__ import annotations

import re
from math import log10, pi, sqrt

import eseries
import pytest
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.analysis.design import Design
from phasorkit.analysis.purchase import purchase
from phasorkit.draw.bands import bands_picture
from phasorkit.draw.purchase import off_words, purchase_picture
from phasorkit.indicators import circuit
from phasorkit.widgets import parts_app
from phasorkit.widgets.parts import PartsApp, PartsSettings, compute_parts, draw_parts

BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)  # type: ignore[attr-defined]


@pytest.fixture
def app() -> PartsApp:
    return PartsApp(PartsSettings())


def rungs(html: str) -> dict[float, float]:
    """Value of every rung and where it stands [px]."""
    found = re.findall(r'd="M([\d.]+),[^"]*"[^>]*data-rung="([\d.e+]+)"', html)
    return {float(value): float(x) for x, value in found}


def flag(html: str, name: str) -> float:
    return float(re.search(rf'd="M([\d.]+),[^"]*"[^>]*data-flag="{name}"', html)[1])  # type: ignore[index]


def bar(html: str, label: str) -> float:
    """Length of a bar as a part of the way to its limit."""
    data = re.search(rf'd="M([^"]+)Z"[^>]*data-bar="{re.escape(label)}"', html)[1]  # type: ignore[index]
    xs = [float(pair.split(",")[0]) for pair in data.split(" L")]
    stroke = float(re.search(r'd="M([\d.]+),[^"]*"[^>]*data-limit="1"', html)[1])  # type: ignore[index]
    return (max(xs) - min(xs)) / (stroke - min(xs))


# --- the purchase -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("series", ["E6", "E12", "E24", "E96"])
def test_what_is_bought_is_what_an_independent_table_finds(series: str) -> None:
    """The `eseries` package has its own tables of IEC 60063 and its own search."""
    for pieces in (1, 2, 3, 4):
        found = purchase(Design(exact=BRIDGE, series=series, pieces=pieces))
        wanted = 1 / (2 * pi * 50 * 4.7e-9) / sqrt(3) / pieces
        assert found.wanted == pytest.approx(wanted)
        assert found.piece == pytest.approx(eseries.find_nearest(eseries.ESeries[series], wanted))


def test_what_is_left_follows_the_half_circle_to_first_order() -> None:
    """P moves along the half circle by √3/4·U for each relative part that R3 is off; M stays (equal R1, R2)."""
    found = purchase(Design(exact=BRIDGE))
    assert found.left == pytest.approx(sqrt(3) / 4 * 400 * abs(found.off), rel=0.01)


def test_pieces_share_volts_and_heat() -> None:
    one, two = (purchase(Design(exact=BRIDGE, series="E192", pieces=n)) for n in (1, 2))
    assert two.volts == pytest.approx(one.volts / 2, rel=0.01)
    assert two.watts == pytest.approx(one.watts / 2, rel=0.01)
    assert not one.holds
    assert one.fewest == 3
    assert purchase(Design(exact=BRIDGE, pieces=3)).holds


def test_another_circuit_is_refused() -> None:
    other = circuit("two-lamp-capacitor").sized(capacitance=1e-6, frequency=50, line_voltage=400)  # type: ignore[attr-defined]
    with pytest.raises(TypeError, match="two-lamp-capacitor"):
        purchase(Design(exact=other))


def test_a_deviation_is_said_in_words() -> None:
    assert [off_words(x) for x in (0.021, -0.079, 1e-5)] == ["2.1 % too much", "7.9 % too little", "right to 0.1 %"]


# --- the picture ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("series", ["E6", "E12", "E24", "E96"])
def test_the_ladder_has_all_rungs_of_the_decade_at_equal_factors(series: str) -> None:
    html = purchase_picture(purchase(Design(exact=BRIDGE, series=series))).svg
    found = rungs(html)
    table = [float(f"{v:.3g}") for v in eseries.erange(eseries.ESeries[series], 100e3, 1e6)]
    assert sorted(found) == pytest.approx(table)
    decade = found[1e6] - found[1e5]
    for value, x in found.items():
        assert (x - found[1e5]) / decade == pytest.approx(log10(value / 1e5), abs=1e-4)


def test_flags_stand_at_their_values_and_bars_have_the_length_of_their_share() -> None:
    found = purchase(Design(exact=BRIDGE, series="E6", pieces=4))
    html = purchase_picture(found).svg
    ladder = rungs(html)
    decade = ladder[1e5] - ladder[1e4]
    assert (flag(html, "wanted") - ladder[1e4]) / decade == pytest.approx(log10(found.wanted / 1e4), abs=1e-3)
    assert flag(html, "bought") == pytest.approx(ladder[found.piece], abs=0.01)
    assert bar(html, "volts on each piece") == pytest.approx(found.volts / found.volts_limit, abs=0.003)
    assert bar(html, "left on the dark lamp") == pytest.approx(found.left / 40, abs=0.003)


def test_the_frame_never_changes() -> None:
    pictures = [draw_parts(compute_parts(PartsSettings(series=s, pieces=n))) for s in ("E6", "E96") for n in (1, 4)]
    assert len({re.search('viewBox="([^"]+)"', p)[1] for p in pictures}) == 1  # type: ignore[index]
    assert all("nan" not in p.lower() for p in pictures)


@pytest.mark.parametrize(
    ("ohms", "tolerance", "bands"),
    [  # IEC 60062 colour code, common practice
        (390e3, 1.0, ["orange", "white", "black", "orange", "brown"]),
        (4.7, 5.0, ["yellow", "violet", "gold", "gold"]),
    ],
)
def test_bands_are_drawn_in_order_and_named(ohms: float, tolerance: float, bands: list[str]) -> None:
    picture = bands_picture(ohms, tolerance=tolerance)
    assert re.findall('data-band="([a-z]+)"', picture.svg) == bands
    assert all(band in picture.text for band in bands)


# --- the app ----------------------------------------------------------------------------------------------


def test_every_control_moves_the_purchase(app: PartsApp) -> None:
    drive(app.widget, "Pieces in series", "3", reads=lambda: app.result.purchase.piece, expect=130e3)
    drive(app.widget, "Series", "E6", reads=lambda: app.result.purchase.piece, expect=150e3)
    drive(app.widget, "Each piece", "0.5 W", reads=lambda: app.result.purchase.volts_limit, expect=300)
    drive(app.widget, "C1 [F]: exact", "2n2", reads=lambda: app.result.purchase.piece, expect=330e3)
    drive(app.widget, "Frequency [Hz]: exact", "60", reads=lambda: app.result.purchase.piece, expect=220e3)
    drive(app.widget, "Line volts [V]: exact", "208", reads=lambda: app.result.purchase.fewest, expect=1)
    assert "2.2 nF at 60 Hz" in app.line.value
    app.farad.slider.value = 10e-9
    assert app.result.purchase.capacitance == pytest.approx(10e-9, rel=0.01)


@pytest.mark.parametrize("text", ["4.7", "-1n", "much", "", "4 m"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: PartsApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "Not taken" in app.line.value  # noqa: E731
    drive(app.widget, "C1 [F]: exact", text, reads=reads, expect=True)
    assert app.picture.value == good
    drive(app.widget, "C1 [F]: exact", "6n8", reads=reads, expect=False)
    assert app.farad.value == 6.8e-9


def test_an_exact_value_stays_exact_when_the_page_snaps_the_handle(app: PartsApp) -> None:
    """6.8 nF lies between two steps of the slider; the browser sends the nearest step back (seen in Chromium)."""
    drive(app.widget, "C1 [F]: exact", "6n8", reads=lambda: app.farad.value, expect=6.8e-9)
    app.farad.slider.value = 6.794e-9
    assert (app.farad.value, app.farad.box.value) == (6.8e-9, "6.8 nF")
    app.farad.slider.value = 6.873e-9  # one step further: the learner's own
    assert app.farad.value == 6.873e-9
    drive(app.widget, "Frequency [Hz]: exact", "50.2", reads=lambda: app.hertz.value, expect=50.2)
    app.hertz.slider.value = 50.0
    assert app.hertz.value == 50.2


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    shown = parts_app(line_voltage=208, frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(shown)]
    assert [x for x in labels if x.endswith("]")] == ["Line volts [V]", "Frequency [Hz]", "C1 [F]"]
    assert_no_hidden_error(shown)
