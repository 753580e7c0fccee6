"""Two readings with probes exchanged: a mistake at a terminal, in a lead, in the tester.

Outside facts: a star of one capacitor and two equal lamps is its own mirror image about the capacitor's branch, so
exchanging the lamps' probes exchanges their volts whatever the probes touch (symmetry of the circuit, textbook); half
the phase voltage and the phase voltage stand on the bridge's lamp with an outer probe on the neutral (midline of a
triangle, Euclid); a broken lead under a lamp leaves C and the other lamp in series on the line voltage, 1/√2 each
for R = Xc (Pythagoras).
"""

from __future__ import annotations

import pytest

from phasorkit.analysis.second_reading import EXCHANGES, MISTAKES, two_readings
from phasorkit.analysis.wiring import wiring_table
from phasorkit.indicators import Indicator, circuit
from phasorkit.supply import CONDUCTORS


def sized(name: str, capacitance: float) -> Indicator:
    return circuit(name).sized(capacitance=capacitance, frequency=50, line_voltage=400)  # type: ignore[attr-defined,no-any-return]


BRIDGE, TWIN, STAR = sized("divider-bridge", 4.7e-9), sized("twin-bridge", 4.7e-9), sized("two-lamp-capacitor", 33e-9)


@pytest.mark.parametrize("mistake", [m for m in MISTAKES if m not in ("lead broken", "lamp H1 failed")])
@pytest.mark.parametrize("at", CONDUCTORS)
def test_exchanging_the_lamps_probes_of_the_star_only_exchanges_its_lamps(mistake: str, at: str) -> None:
    """So this swap finds no mistake at a terminal: both readings name opposite sequences, or neither names one."""
    pair = two_readings(STAR, mistake=mistake, at=at, exchange=("L2", "L3"))
    assert pair.second.lamp_volts == pytest.approx(pair.first.lamp_volts[::-1], abs=1e-9)


def test_the_swap_with_the_capacitors_probe_lets_no_terminal_mistake_name_a_sequence() -> None:
    for mistake in MISTAKES[1:]:
        for at in CONDUCTORS:
            for exchange in (("L1", "L2"), ("L1", "L3")):
                for sequence in ("123", "132"):
                    supply = STAR.supply(sequence)
                    pair = two_readings(STAR, mistake=mistake, at=at, exchange=exchange, supply=supply)
                    assert pair.first.after_swap not in ("123", "132"), (mistake, at, exchange)


def test_the_swap_of_the_lamps_probes_is_fooled_by_a_neutral() -> None:
    pair = two_readings(STAR, mistake="on neutral", at="L3", exchange=("L2", "L3"))
    assert (pair.first.after_swap, pair.first.after_swap_verdict) == ("123", "misleading")


def test_a_broken_lead_goes_with_its_probe() -> None:
    for exchange in EXCHANGES:
        pair = two_readings(STAR, mistake="lead broken", at="L2", exchange=exchange)
        assert pair.first.lamp_volts == pytest.approx((0, 400 / 2**0.5), abs=1e-6)
        assert pair.second.lamp_volts == pytest.approx((0, 400 / 2**0.5), abs=1e-6)
        assert pair.first.after_swap == "fault"


@pytest.mark.parametrize("at", CONDUCTORS)
def test_a_neutral_leaves_half_the_phase_voltage_or_all_of_it_on_the_bridge(at: str) -> None:
    pair = two_readings(BRIDGE, mistake="on neutral", at=at)
    phase = 400 / 3**0.5
    assert (pair.first.lamp_volts[0], pair.second.lamp_volts[0]) == pytest.approx((phase / 2, phase))


@pytest.mark.parametrize("sequence", ["123", "132"])
@pytest.mark.parametrize("exchange", EXCHANGES)
@pytest.mark.parametrize("indicator", [BRIDGE, TWIN, STAR], ids=lambda i: i.name)
def test_with_nothing_wrong_every_swap_tells_the_truth(
    indicator: Indicator, exchange: tuple[str, str], sequence: str
) -> None:
    pair = two_readings(indicator, exchange=exchange, supply=indicator.supply(sequence))
    assert (pair.first.after_swap, pair.first.after_swap_verdict) == (sequence, "true")


def test_a_failed_lamp_of_the_twin_is_found_by_the_second_reading() -> None:
    pair = two_readings(TWIN, mistake="lamp H1 failed")
    assert (pair.first.conclusion, pair.first.verdict) == ("123", "misleading")
    assert (pair.second.conclusion, pair.first.after_swap) == ("nothing", "can't tell")


def test_first_readings_are_those_of_the_wiring_table() -> None:
    table = {(r.sequence, r.wiring): r for r in wiring_table(TWIN)}
    for mistake, name in (("on neutral", "neutral L2"), ("on next phase", "doubled L2=L3"), ("lead broken", "open L2")):
        pair = two_readings(TWIN, mistake=mistake, at="L2")
        assert pair.first.lamp_volts == pytest.approx(table["123", name].lamp_volts)


def test_a_poor_contact_stays_at_its_terminal() -> None:
    """Behind 1 MΩ the star's lamp on the bad terminal is the dim one, before and after."""
    pair = two_readings(STAR, mistake="poor contact", at="L2", exchange=("L2", "L3"))
    assert 4 * pair.first.lamp_volts[0] < pair.first.lamp_volts[1]
    assert 4 * pair.second.lamp_volts[1] < pair.second.lamp_volts[0]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"mistake": "rust"}, "mistake must be one of nothing wrong"),
        ({"at": "L4"}, "at must be one of L1"),
        ({"exchange": ("L2", "L1")}, "exchange must be one of"),
    ],
)
def test_bad_arguments_say_what_is_accepted(wrong: dict[str, object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        two_readings(BRIDGE, **wrong)  # type: ignore[arg-type]
