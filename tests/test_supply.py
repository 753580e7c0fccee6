"""Supplies: what conductors carry, what probes touch, and every way to lay them wrong."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from phasorkit.phasors import symmetrical_components, waveform
from phasorkit.supply import CONDUCTORS, EARTHINGS, Supply

SUPPLY = Supply(line_voltage=400, frequency=50)
FRACTION = st.complex_numbers(max_magnitude=0.3, allow_nan=False, allow_infinity=False)


def order_of_peaks(supply: Supply) -> list[str]:
    """The conductors in the order of their peaks after that of L1: a sequence is a fact of time."""
    time = np.linspace(0, 1 / 50, 3000, endpoint=False)
    peaks = {
        name: (time[np.argmax(waveform(v, frequency=50, time=time))] + 1e-4) % 0.02
        for name, v in zip(CONDUCTORS, supply.phasors(), strict=True)
    }
    return sorted(CONDUCTORS, key=lambda name: peaks[name])


def test_sequence_is_the_order_of_peaks() -> None:
    """123 peaks as L1, L2, L3; 132 as L1, L3, L2."""
    assert order_of_peaks(SUPPLY) == ["L1", "L2", "L3"]
    assert order_of_peaks(SUPPLY.reversed()) == ["L1", "L3", "L2"]
    assert order_of_peaks(SUPPLY.swapped("L1", "L2")) == ["L1", "L2", "L3"]  # probes move, conductors do not


@given(FRACTION, FRACTION, st.sampled_from(["123", "132"]))
def test_reversed_twice_is_the_same_supply(negative, zero, sequence) -> None:
    """And once exchanges what L2 and L3 carry."""
    supply = Supply(sequence=sequence).unbalanced(negative=negative, zero=zero)
    l1, l2, l3 = supply.phasors()
    assert supply.reversed().reversed() == supply
    assert supply.reversed().phasors() == (l1, l3, l2)


@given(FRACTION, FRACTION, st.sampled_from(["123", "132"]))
def test_unbalance_is_what_was_put_in(negative, zero, sequence) -> None:
    """The ratio of components by their definition (EN 50160 speaks of negative over positive sequence)."""
    supply = Supply(sequence=sequence).unbalanced(negative=negative, zero=zero)
    assert supply.unbalance() == pytest.approx(negative, abs=1e-12)
    l1, l2, l3 = supply.phasors()
    ordered = [l1, l2, l3] if sequence == "123" else [l1, l3, l2]
    x0, x1, x2 = symmetrical_components(ordered)
    assert (x0 / x1, x2 / x1) == pytest.approx((zero, negative), abs=1e-12)


@pytest.mark.parametrize("sequence", ["123", "132"])
def test_line_voltages(sequence) -> None:
    """Every pair of conductors of a balanced supply is 400 V apart, and each is 400/√3 V from N."""
    volts = Supply(sequence=sequence).phasors()
    for a, b in ((0, 1), (1, 2), (2, 0)):
        assert abs(volts[a] - volts[b]) == pytest.approx(400)
    assert [abs(v) for v in volts] == pytest.approx([400 / 3**0.5] * 3)


@pytest.mark.parametrize("probe", CONDUCTORS)
def test_an_open_probe_has_no_voltage_of_its_own(probe) -> None:
    """It is missing among the sources (it floats), it is not at 0 V; the others are untouched."""
    sources = SUPPLY.without(probe).sources()
    assert probe not in sources
    assert {n: v for n, v in SUPPLY.sources().items() if n != probe} == sources


@pytest.mark.parametrize("earthing", EARTHINGS)
@pytest.mark.parametrize("probe", CONDUCTORS)
def test_a_probe_on_the_neutral_takes_its_voltage(probe, earthing) -> None:
    """Whatever the neutral of that earthing carries."""
    supply = Supply(earthing=earthing).neutral_on(probe)
    assert supply.sources()[probe] == supply.neutral() == supply.sources()["N"]


def test_what_neutral_and_earth_carry() -> None:
    """Earthing decides (common practice): star point, nothing, corner L2, the middle of L1-L2."""
    l1, l2, _ = SUPPLY.phasors()
    expected = {"star": 0, "isolated": 0, "corner": l2, "side": (l1 + l2) / 2}
    for earthing in EARTHINGS:
        sources = Supply(earthing=earthing).sources()
        assert sources["N"] == expected[earthing]
        assert ("PE" in sources) == (earthing != "isolated")


def test_high_leg_delta() -> None:
    """A 240 V delta earthed at the centre of one side gives 120, 120 and 208 V to earth (common practice)."""
    side = Supply(line_voltage=240, frequency=60, earthing="side")
    assert [round(float(abs(v - side.neutral()))) for v in side.phasors()] == [120, 120, 208]


def test_doubled_and_swapped_probes() -> None:
    """Two probes on one conductor read alike; exchanged ones read each other's, whatever they touched before."""
    l1, l2, l3 = SUPPLY.phasors()
    for probe, other in ((p, o) for p in CONDUCTORS for o in CONDUCTORS if p != o):
        sources = SUPPLY.doubled(probe, other).sources()
        assert sources[probe] == sources[other] == dict(zip(CONDUCTORS, (l1, l2, l3), strict=True))[other]
        swapped = SUPPLY.swapped(probe, other)
        assert swapped.sources()[probe] == SUPPLY.sources()[other]
        assert swapped.swapped(probe, other) == SUPPLY
    moved = SUPPLY.neutral_on("L1").without("L3").swapped("L1", "L3")
    assert moved.sources()["L3"] == 0
    assert "L1" not in moved.sources()


def test_swapping_two_probes_reads_like_the_other_sequence() -> None:
    """L2 and L3 exchanged at the probes or in the supply: the probes carry the same."""
    swapped, reversed_ = SUPPLY.swapped("L2", "L3").sources(), SUPPLY.reversed().sources()
    assert all(swapped[probe] == reversed_[probe] for probe in CONDUCTORS)


def test_a_lost_phase_is_not_an_open_probe() -> None:
    """The probe touches a conductor: at the star point, or midway between the others when back-fed."""
    l1, _, l3 = SUPPLY.phasors()
    assert SUPPLY.phase_lost("L2").sources()["L2"] == 0
    assert SUPPLY.phase_lost("L2", backfed=True).sources()["L2"] == (l1 + l3) / 2
    both = SUPPLY.phase_lost("L1", backfed=True).phase_lost("L2", backfed=True)
    assert both.sources()["L1"] == both.sources()["L2"] == l3
    order = SUPPLY.phase_lost("L2", backfed=True).phase_lost("L1")
    assert order.sources()["L2"] == l3 / 2 == SUPPLY.phase_lost("L1").phase_lost("L2", backfed=True).sources()["L2"]


@pytest.mark.parametrize("earthing", EARTHINGS)
def test_a_dead_supply_is_dead_everywhere(earthing) -> None:
    """Every probe on 0 V, also one on the neutral of a corner-earthed supply; its unbalance has no value."""
    dead = Supply(earthing=earthing).neutral_on("L2").dead()
    assert all(v == 0 for v in dead.sources().values())
    assert np.isnan(dead.unbalance())
    assert all(v == 0 for v in SUPPLY.phase_lost("L1", backfed=True).dead().sources().values())


def test_batches_broadcast() -> None:
    """Voltage and unbalance axes broadcast against each other; each sample is the scalar supply."""
    batch = Supply(line_voltage=[208.0, 400.0, 480.0]).unbalanced(negative=np.array([[0.0], [0.02j]]))
    for supply in (batch, batch.phase_lost("L1"), batch.phase_lost("L3", backfed=True), batch.reversed()):
        for k, conductor in enumerate(supply.phasors()):
            assert conductor.shape == (2, 3)
            one = Supply(line_voltage=480.0, negative=0.02j, sequence=supply.sequence, lost=supply.lost).phasors()[k]
            assert conductor[1, 2] == pytest.approx(one)
    assert batch.unbalance().shape == (2, 3)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"line_voltage": 0}, "line_voltage must be positive and finite [V], got 0"),
        ({"line_voltage": "400 V"}, "line_voltage must be positive and finite [V], got '400 V'"),
        ({"line_voltage": [400, np.nan]}, "line_voltage must be positive and finite [V], got [400, nan]"),
        ({"frequency": -50}, "frequency must be positive and finite [Hz], got -50"),
        ({"sequence": "321"}, "sequence must be '123' or '132', got '321'"),
        ({"earthing": "none"}, "earthing must be one of star, isolated, corner, side, got 'none'"),
        ({"negative": np.inf}, "negative must be finite [fraction of the positive sequence], got inf"),
        ({"zero": "2 %"}, "zero must be finite [fraction of the positive sequence], got '2 %'"),
        ({"probes": (("L4", "L1"),)}, "probe must be one of L1, L2, L3, got 'L4'"),
        ({"probes": (("L1", "PEN"),)}, "conductor under probe L1 must be one of L1, L2, L3, N, PE, got 'PEN'"),
        ({"lost": (("N", "zero"),)}, "lost conductor must be one of L1, L2, L3, got 'N'"),
        ({"lost": (("L1", "half"),)}, "lost L1 must be one of zero, backfed, got 'half'"),
    ],
)
def test_a_supply_that_cannot_be_is_refused(wrong, message) -> None:
    """The message names argument, value and what is accepted."""
    with pytest.raises(ValueError, match=re.escape(message)):
        Supply(**wrong)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda s: s.without("N"), "probe must be one of L1, L2, L3, got 'N'"),
        (lambda s: s.neutral_on("L0"), "probe must be one of L1, L2, L3, got 'L0'"),
        (lambda s: s.doubled("L1", "L1"), "doubled needs two different probes, got 'L1' twice"),
        (lambda s: s.doubled("L1", "N"), "other must be one of L1, L2, L3, got 'N'"),
        (lambda s: s.doubled("PE", "L1"), "probe must be one of L1, L2, L3, got 'PE'"),
        (lambda s: s.swapped("L1", "N"), "other must be one of L1, L2, L3, got 'N'"),
        (lambda s: s.phase_lost("N"), "conductor must be one of L1, L2, L3, got 'N'"),
    ],
)
def test_a_wiring_that_cannot_be_is_refused(change, message) -> None:
    """Unknown probes and conductors are named, with those there are."""
    with pytest.raises(ValueError, match=re.escape(message)):
        change(SUPPLY)
