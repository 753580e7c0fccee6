"""What lamps do in time in the circuits that are built: the choices of the design, and the state with its reason."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from example_circuits import example
from time_checks import check_currents, check_energy, parts

from phasorkit.analysis.lamp_in_time import beside_lit, in_time_table, lamp_course, lamps_in_time
from phasorkit.analysis.wiring import wiring_states
from phasorkit.indicators import Indicator
from phasorkit.indicators.base import SEQUENCES
from phasorkit.indicators.double_rc_bridge import DoubleRcBridge
from phasorkit.indicators.led_pair import PLAIN_GLOW, LedPair
from phasorkit.lamps import DARK, LIT, UNSURE
from phasorkit.supply import Supply
from phasorkit.switching import GlowLamp, Led

SWITCHING = ("divider-bridge", "double-rc-bridge", "twin-bridge", "led-pair", "touch-probe")
GLOWING = tuple(name for name in SWITCHING if name != "led-pair")
HOLDING = tuple(
    GlowLamp(extinction=58 + r * i, maintain=60, dynamic_resistance=r, current=2 / r)
    for r in (1e3, 4e3)
    for i in (50e-6, 100e-6, 200e-6, 400e-6)
)
"""Lamps that go out below 50 to 400 µA and rise by 1 or 4 kΩ."""


def double(capacitance: float, series_part: float) -> DoubleRcBridge:
    """The null bridge with two capacitors; its series resistor as a part of R."""
    b = example("double-rc-bridge", givens={"capacitance": capacitance})
    assert isinstance(b, DoubleRcBridge)
    return replace(b, series_resistance=series_part * b.resistance)


def fitted(indicator: Indicator, model: GlowLamp | Led) -> dict[str, GlowLamp | Led]:
    """The same model in every place."""
    return {lamp.name: model for lamp in indicator.lamps}


@pytest.mark.parametrize("name", SWITCHING)
@pytest.mark.parametrize("sequence", SEQUENCES)
def test_every_circuit_settles_and_keeps_the_laws(name: str, sequence: str) -> None:
    """Currents add up at every inner node, and the supply gives what parts and lamps take."""
    i = example(name)
    supply = i.supply(sequence)
    course = lamp_course(i, supply)
    assert course.settled
    check_currents(course, set(supply.sources()))
    check_energy(course, set(supply.sources()))


@pytest.mark.parametrize("name", SWITCHING)
def test_right_wiring_gives_the_state_that_the_unloaded_volts_give(name: str) -> None:
    """One lamp (or side) dark, the other lit, exactly as the reading says; lit ones strike in every period."""
    i = example(name)
    for record in in_time_table(i):
        reading = i.on(i.supply(record.sequence))
        k = [lamp.name for lamp in i.lamps].index(record.lamp)
        assert record.state == str(reading.lamp_states[k]), record
        assert record.settled
        assert record.strikes_per_second == (
            0 if record.state == DARK else pytest.approx(50 if name == "led-pair" else 100)
        )


@pytest.mark.parametrize("name", GLOWING)
def test_under_every_wiring_a_glow_lamp_is_what_its_unloaded_volts_say(name: str) -> None:
    """The simple rule of the readings holds in time, but for a lamp fed too little to be plainly seen (touch probe)."""
    i, seen = example(name), 0
    for sequence in SEQUENCES:
        for laying in wiring_states(i.probes).values():
            for earthing in ("star", "isolated", "corner"):
                supply = laying(Supply(line_voltage=400, frequency=50, sequence=sequence, earthing=earthing))
                states = [str(s) for s in i.on(supply).lamp_states]
                for simple, record in zip(states, lamps_in_time(i, supply=supply), strict=True):
                    faint = name == "touch-probe" and (simple, record.state) == (LIT, UNSURE)
                    assert faint or simple == record.state, (supply, record)
                    seen += record.state == LIT
    assert seen > 20


# --- two capacitors: pulses ------------------------------------------------------------------------------------------


def test_without_its_series_resistor_the_lamp_fires_a_pulse_at_every_strike() -> None:
    """The two capacitors empty through the lamp: (90 − 58) V over its own 4 kΩ, gone after a few times 4 kΩ · C/2."""
    b = double(4.7e-9, 0)
    course = lamp_course(b, b.supply("132"))
    figures = course.lamp("H1")
    assert figures.peak_ampere == pytest.approx(32 / 4e3, rel=1e-6)
    assert figures.peak_ampere > 12 * figures.rms_ampere
    struck = next(t for t, piece in course.switchings("H1") if piece.startswith("glow"))
    later = struck + 5 * 4e3 * 4.7e-9 / 2
    at, after = np.abs(course.lamp_current("H1", times=[struck + 1e-12, later]))
    assert at == pytest.approx(8e-3, rel=1e-4)
    assert after < 0.1 * at
    assert "in pulses of 8 mA" in lamps_in_time(b, supply=b.supply("132"))[0].reason


def test_without_its_series_resistor_a_lamp_that_needs_more_current_fires_many_pulses() -> None:
    """Capacitors of 1 nF, a lamp that needs 0.2 mA: thousands of pulses a second, lit for a small part of the time."""
    b = double(1e-9, 0)
    figures = lamp_course(b, b.supply("132"), fitted=fitted(b, HOLDING[6])).lamp("H1")
    assert HOLDING[6].extinction_current == pytest.approx(200e-6)
    assert figures.strikes_per_second > 5000
    assert 0 < figures.lit_fraction < 0.1


@pytest.mark.parametrize("capacitance", [1e-9, 2.2e-9, 4.7e-9, 10e-9])
def test_the_default_series_resistor_takes_the_pulses_away(capacitance: float) -> None:
    """With R in series every lamp of the list strikes once in a half-wave, or never where it gets too little current.

    Half of R would do as well and pass some 15 % more; an eighth does not: then some lamps strike again and again.
    """
    again = 0
    for model in HOLDING:
        for part in (0.125, 0.5, 1.0):
            b = double(capacitance, part)
            figures = lamp_course(b, b.supply("132"), fitted=fitted(b, model)).lamp("H1")
            again += part < 0.5 and figures.strikes_per_second > 101
            if part >= 0.5:
                assert figures.strikes_per_second in (0, pytest.approx(100)), (model, part)
                assert figures.peak_ampere <= 1.8 * figures.rms_ampere
    assert again > 0 or capacitance == 10e-9
    default = example("double-rc-bridge", givens={"capacitance": capacitance})
    assert default.series_resistance == default.resistance  # type: ignore[attr-defined]


# --- LED pair --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("line_voltage", [208, 400, 690])
@pytest.mark.parametrize("part", [0.85, 1.0, 1.10])
def test_led_pair_over_the_voltage_window(line_voltage: float, part: float) -> None:
    """85 to 110 %: the bright side lit, the dim side dark, whatever the LED within its window; no reverse stress."""
    pair = example("led-pair", line_voltage=line_voltage, givens={"capacitance": 33e-9 * 400 / line_voltage})
    for sequence, bright in (("123", "H1"), ("132", "H2")):
        supply = replace(pair.supply(sequence), line_voltage=part * line_voltage)
        states = {r.lamp: r for r in lamps_in_time(pair, supply=supply)}
        dim = "H2" if bright == "H1" else "H1"
        assert (states[bright].state, states[dim].state) == (LIT, DARK)
        assert states[dim].volts_max < 1.1
        assert states[bright].peak_ampere < 4e-3
        assert min(r.volts_min for r in states.values()) > -0.7


def test_without_the_protecting_diodes_the_shunts_hold_the_reverse_voltage() -> None:
    """At 110 % the shunt alone keeps it below the 5 V that LEDs usually stand."""
    pair = example("led-pair")
    supply = replace(pair.supply("123"), line_voltage=440)
    course = lamp_course(pair, supply, fitted=fitted(pair, Led(reverse_diode=None)))
    assert course.lamp("H1").volts_min == pytest.approx(-3.71, abs=0.01)


def test_a_small_capacitor_does_not_light_an_led_and_the_sheet_says_which_does() -> None:
    """4.7 nF at 400 V: faint. The figure's current is that of the least willing LED at 85 %, stepped in time."""
    pair = example("led-pair")
    assert isinstance(pair, LedPair)
    small = pair.resized({"capacitance": 4.7e-9})
    assert lamps_in_time(small, supply=small.supply("123"))[0].state == UNSURE
    low = replace(pair.supply("123"), line_voltage=340)
    figures = lamp_course(pair, low, fitted=fitted(pair, Led(threshold=PLAIN_GLOW))).lamp("H1")
    assert pair.least_bright_current() == pytest.approx(figures.mean_ampere, rel=0.05)
    enough = pair.figures()["smallest_capacitor_farad"]
    assert enough == pytest.approx(25.6e-9, rel=0.01)
    for part, state in ((0.8, UNSURE), (1.1, LIT)):
        other = pair.resized({"capacitance": part * enough})
        assert lamps_in_time(other, supply=replace(other.supply("123"), line_voltage=340))[0].state == state


# --- twin, touch probe -----------------------------------------------------------------------------------------------


def test_on_a_common_divider_a_lit_lamp_lights_the_dark_one() -> None:
    """100 kΩ in place of the lit lamp puts well over 100 V on the dark one; so does the glow lamp; it lights."""
    common = example("twin-bridge", givens={"shared": "L2", "divider_kind": "common"})
    records = beside_lit(common)
    assert [(r.sequence, r.lamp) for r in records] == [("123", "H1"), ("132", "H2")]
    for r in records:
        assert r.unloaded < 1e-6
        assert r.by_resistor == pytest.approx(110.5, abs=0.1)
        assert r.by_model == pytest.approx(r.by_resistor, rel=0.05)
        assert r.peak > 127
        assert r.strikes
    assert {r.state for r in in_time_table(common)} == {LIT}


def test_with_a_divider_for_each_bridge_the_dark_lamp_stays_dark() -> None:
    """Nothing couples the two bridges of the twin but the conductors."""
    for r in beside_lit(example("twin-bridge")):
        assert max(r.by_resistor, r.by_model, r.peak) < 1e-6
        assert not r.strikes


def test_the_resistor_in_place_of_the_lit_lamp_by_a_second_method() -> None:
    """Common divider: with 100 kΩ at the lit bridge the middle moves by a voltage divider of two source impedances."""
    common = example("twin-bridge", givens={"shared": "L2", "divider_kind": "common"})
    r = common.divider  # type: ignore[attr-defined]
    leg = 1 / (1 / r + 1j * 2 * np.pi * 50 * 4.7e-9)
    expected = 400 * 3**0.5 / 2 * (r / 2) / abs(r / 2 + 100e3 + leg)
    assert beside_lit(common)[0].by_resistor == pytest.approx(expected, rel=1e-9)


def test_a_touch_probe_passes_less_than_its_limit_and_is_dim() -> None:
    """Its lamp gets a tenth of a milliampere: lit, and far from the lamp's rated current."""
    probe = example("touch-probe", givens={"capacitance": 2.2e-9})
    lit, dark = in_time_table(probe)
    assert (lit.state, dark.state) == (LIT, DARK)
    assert 0.05e-3 < lit.mean_ampere < lit.rms_ampere < lit.peak_ampere < 0.2e-3


# --- states and reasons ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volts", "state", "reason"),
    [
        (39, DARK, "even a lamp that lights at 40 V rms does not light"),
        (50, UNSURE, "the usual lamp does not light"),
        (75, UNSURE, "one that lights only at 90 V rms does not"),
        (91, LIT, "even a lamp that lights only at 90 V rms lights, 2 times a period"),
        (230, LIT, "the usual one has 1.5 mA in the mean"),
    ],
)
def test_state_and_reason_follow_the_strike_window(volts: float, state: str, reason: str) -> None:
    """The window of 40 to 90 V decides where there is current enough, and the reason says which lamp does what."""
    plain = parts("R1 R 1e5 L1 M", "R2 R 1 P N")
    supply = Supply(line_voltage=volts * 3**0.5, frequency=50)
    (record,) = lamps_in_time(example("divider-bridge"), supply=supply, network=plain)
    assert record.state == state
    assert reason in record.reason


def test_a_lamp_fed_too_little_is_unsure_and_the_reason_says_so() -> None:
    """The LED pair for 4.7 nF: the reason gives current and what is needed."""
    pair = example("led-pair", givens={"capacitance": 4.7e-9})
    assert lamps_in_time(pair)[0].reason.endswith("has 64 µA in the mean, less than 200 µA: faint")


def test_filament_lamps_are_refused() -> None:
    """They are resistors of the network and do not switch."""
    with pytest.raises(ValueError, match="two-lamp-capacitor: its lamps are filaments"):
        lamps_in_time(example("two-lamp-capacitor"))


def test_a_supply_of_many_voltages_is_refused() -> None:
    """Stepping in time takes single values, and says which is not."""
    b = example("divider-bridge")
    with pytest.raises(ValueError, match="single values, not arrays"):
        lamps_in_time(b, supply=replace(b.supply(), line_voltage=np.array([400.0, 690.0])))
