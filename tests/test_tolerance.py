"""Tolerance: corners by brute force, likely limits against random copies, harmonics, the built tester's 6 to 7 V."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from dense import across
from example_circuits import NAMES, about, example, filament_star
from hypothesis import given, settings
from hypothesis import strategies as st
from reference_rows import Row, load

from phasorkit.analysis.harmonics import PUBLIC_NETWORK, harmonic, harmonic_table, runs
from phasorkit.analysis.margins import Margins, varied
from phasorkit.analysis.monte_carlo import monte_carlo, sample_lamp_volts
from phasorkit.analysis.tolerance import root_sum_square, sensitivities, tolerance_table
from phasorkit.analysis.tolerance_classes import CAPACITOR_CLASSES, RESISTOR_CLASSES, classes
from phasorkit.indicators import circuit
from phasorkit.parts import TOLERANCE_LETTERS
from phasorkit.supply import Supply

ROWS = load("margins")
PUBLIC_GRID = Margins(voltage=(0.95, 1.05), frequency=(0.99, 1.01))
"""An ordinary day on a public network: ±5 % volts, ±1 % frequency, 2 % unbalance."""


def test_every_row_is_on_something_that_a_test_asks_for() -> None:
    """A quantity that no test knows would check nothing."""
    asked = {
        "voltage", "frequency", "negative", "share", "runs", "fifth of 5 % on the dark lamp", "pulse", "impulse",
        "dark volts of a built tester", "volts", "limit", "input resistance", "inductance", "turns",
    }  # fmt: skip
    assert {row.quantity for row in ROWS} == asked


@pytest.mark.parametrize("quantity", ["voltage", "frequency", "negative"])
def test_default_margins_are_those_of_the_standards(quantity: str) -> None:
    """IEC 61557-7 window and EN 50160 unbalance, from memory."""
    for row in about(ROWS, quantity):
        row.check(*np.ravel(getattr(Margins(), quantity)))


def test_classes_have_a_letter() -> None:
    """Every class that is tried is one of IEC 60062."""
    assert {*RESISTOR_CLASSES, *CAPACITOR_CLASSES} <= set(TOLERANCE_LETTERS.values())


# --- corners --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["divider-bridge", "touch-probe", "two-lamp-inductor"])
def test_worst_case_by_brute_force(name: str) -> None:
    """Every corner solved one by one, with the unbalance of 41 sizes at 72 angles, gives the same extremes."""
    i, margins = example(name), Margins()
    parts = varied(i, margins)
    rows = {(r.sequence, r.lamp): r for r in tolerance_table(i)}
    for s in ("123", "132"):
        lowest, highest = np.full(len(i.lamps), np.inf), np.zeros(len(i.lamps))
        for corner in range(2 ** len(parts)):
            network = i.network()
            for k, e in enumerate(parts):
                sign = 1 if corner >> k & 1 else -1
                network = network.with_value(e.name, e.value * (1 + sign * margins.percent(i, e) / 100))
            for f in margins.frequency:
                supply = Supply(line_voltage=400, frequency=50 * f, sequence=s)
                turned = np.linspace(0, margins.negative, 41)[:, None] * np.exp(2j * np.pi * np.arange(72) / 72)
                for volts, extreme in ((margins.voltage[1], highest), (margins.voltage[0], lowest)):
                    unbalanced = replace(supply, line_voltage=400 * volts).unbalanced(negative=turned)
                    found = i.on(unbalanced, network=network).lamp_volts
                    best = np.maximum if extreme is highest else np.minimum
                    extreme[:] = best(extreme, [(v.max() if extreme is highest else v.min()) for v in found])
        for k, lamp in enumerate(i.lamps):
            assert rows[s, lamp.name].highest == pytest.approx(highest[k], rel=2e-3)
            assert rows[s, lamp.name].lowest == pytest.approx(lowest[k], rel=2e-3, abs=0.5)


@pytest.mark.parametrize("distribution", ["uniform", "normal"])
@pytest.mark.parametrize("name", NAMES)
def test_no_random_copy_leaves_the_worst_case(name: str, distribution: str) -> None:
    """100 000 copies stay within the corners: the lamps' volts have no peak inside the box."""
    i = example(name)
    volts = sample_lamp_volts(i, distribution=distribution)
    for r in tolerance_table(i):
        mine = volts[r.sequence][[lamp.name for lamp in i.lamps].index(r.lamp)]
        assert r.lowest * (1 - 1e-9) <= mine.min()
        assert mine.max() <= r.highest * (1 + 1e-9)


def test_worst_case_of_filament_lamps_holds_for_their_own_resistance() -> None:
    """Lamps that settle at their own volts stay within the corners too, but for a percent of second order."""
    star = filament_star()
    volts = sample_lamp_volts(star, samples=20_000)
    for r in tolerance_table(star):
        mine = volts[r.sequence][int(r.lamp == "H2")]
        assert r.lowest * 0.99 <= mine.min()
        assert mine.max() <= r.highest * 1.01


@settings(max_examples=25)
@given(percent=st.floats(0.1, 10), negative=st.floats(0, 0.05))
def test_wider_margins_are_never_better(percent: float, negative: float) -> None:
    """The worst volts of the dark lamp grow with every margin."""
    bridge = example("divider-bridge")
    narrow = Margins(resistor=percent, negative=negative)
    for wider in (replace(narrow, resistor=2 * percent), replace(narrow, negative=negative + 0.01),
                  replace(narrow, capacitor=10.0), replace(narrow, frequency=(0.9, 1.1))):  # fmt: skip
        one, two = (tolerance_table(bridge, margins=m)[0].highest for m in (narrow, wider))
        assert two > one


# --- likely limits --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["divider-bridge", "double-rc-bridge", "touch-probe"])
def test_root_sum_square_is_three_deviations_of_random_copies(name: str) -> None:
    """With tolerances at three deviations, the rms of the dark lamp is a third of the likely limit (small margins)."""
    i = example(name)
    margins = Margins(resistor=0.5, capacitor=1, voltage=(1, 1), frequency=(0.99, 1.01), negative=0)
    dark = min(tolerance_table(i, margins=margins), key=lambda r: r.volts)
    volts = sample_lamp_volts(i, margins=margins, distribution="normal")[dark.sequence][0]
    assert 3 * np.sqrt(np.mean(volts**2)) == pytest.approx(dark.rss_highest, rel=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_root_sum_square_of_a_lit_lamp(name: str) -> None:
    """Three deviations of a lit lamp are its likely half-width, whatever the angle of its phasor."""
    i = example(name)
    margins = Margins(
        resistor=0.5, capacitor=1, inductor=1, lamp=1, voltage=(0.998, 1.002), frequency=(0.99, 1.01), negative=0
    )
    volts = sample_lamp_volts(i, margins=margins, distribution="normal")
    for r in (r for r in tolerance_table(i, margins=margins) if r.state == "lit"):
        mine = volts[r.sequence][[lamp.name for lamp in i.lamps].index(r.lamp)]
        assert 3 * mine.std() == pytest.approx(r.volts - r.rss_lowest, rel=0.03)


def test_sensitivities_by_the_closed_form() -> None:
    """P = L3 + (L2 − L3)/(1 − j√3·x): a relative change dx of R, of C or of frequency moves P by 0.433·400 V·dx."""
    bridge = example("divider-bridge")
    by_cause = {r.cause: r.volts for r in sensitivities(bridge) if r.sequence == "123"}
    slope = 400 * 3**0.5 / 4
    assert by_cause["C1"] == pytest.approx(0.05 * slope, rel=1e-6)
    assert by_cause["frequency"] == pytest.approx(0.05 * slope, rel=1e-6)
    assert by_cause["R3"] == pytest.approx(0.01 * slope, rel=1e-6)
    assert by_cause["R1"] == pytest.approx(0.01 * 400 / 4, rel=1e-6)
    assert by_cause["unbalance"] == pytest.approx(0.02 * 400 * 3**0.5 / 2, rel=1e-9)
    assert by_cause["voltage"] == pytest.approx(0, abs=1e-6)
    assert sum(r.share for r in sensitivities(bridge) if r.sequence == "123") == pytest.approx(1)


def test_the_capacitor_is_the_part_that_dominates_a_bridge() -> None:
    """5 % beside 1 %: C moves the dark lamp most; with a 1 % capacitor its R does so as much."""
    bridge = example("divider-bridge")
    assert tolerance_table(bridge)[0].worst_part == "C1"
    even = {r.cause: r.volts for r in sensitivities(bridge, margins=Margins(capacitor=1.0)) if r.sequence == "123"}
    assert even["C1"] == pytest.approx(even["R3"])


@given(st.complex_numbers(max_magnitude=400), st.lists(st.complex_numbers(max_magnitude=40), min_size=1, max_size=6))
def test_root_sum_square_lies_within_the_plain_sum(volts: complex, shifts: list[complex]) -> None:
    """Squares never add up to more than the sizes do, and never to less than none."""
    low, high = root_sum_square(volts, [(-s, s) for s in shifts])
    total = sum(abs(s) for s in shifts)
    assert max(abs(volts) - total, 0) - 1e-6 <= low <= abs(volts) + 1e-6
    assert abs(volts) - 1e-6 <= high <= abs(volts) + total * 2**0.5 + 1e-6


# --- random copies --------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", about(ROWS, "dark volts of a built tester"), ids=lambda row: row.id)
def test_a_built_tester_leaves_6_to_7_volts_on_its_dark_lamp(row: Row) -> None:
    """1 % resistors, 5 % capacitor, up to 2 % unbalance: the trade's figure lies in the middle half of all copies."""
    for i in (example("divider-bridge"), example("divider-bridge").with_preferred_values()):
        quarter, three = np.quantile(sample_lamp_volts(i, margins=PUBLIC_GRID)["123"][0], [0.25, 0.75])
        figure = float(row.numbers()[0].real)
        assert quarter < figure - row.tolerance
        assert figure + row.tolerance < three
        assert quarter > 2


def test_random_copies_are_the_same_for_the_same_seed() -> None:
    """Repeatable, another seed gives others, and both sequences see the same copies."""
    twin = example("twin-bridge")
    one, again, other = (sample_lamp_volts(twin, samples=25_000, seed=s)["123"][0] for s in (7, 7, 8))
    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)
    assert one.shape == (25_000,)
    still = Margins(voltage=(1, 1), frequency=(1, 1), negative=0)
    volts = sample_lamp_volts(example("two-lamp-capacitor"), margins=replace(still, lamp=0), samples=2000)
    assert np.allclose(volts["123"][0], volts["132"][1])


def test_random_copies_by_a_second_solver() -> None:
    """A few copies rebuilt by hand from the same draws, one by one, with a dense solver."""
    bridge = example("divider-bridge")
    margins = Margins(resistor=10, capacitor=20, voltage=(1, 1), frequency=(1, 1), negative=0)
    found = sample_lamp_volts(bridge, margins=margins, samples=5, seed=3)["132"][0]
    random = np.random.default_rng([3, 0])
    drawn = {e.name: random.uniform(-1, 1, 5) for e in bridge.network().elements}
    sources = {k: complex(v) for k, v in bridge.supply("132").sources().items()}
    for n in range(5):
        network = bridge.network()
        for e in bridge.network().elements:
            edge = 0.2 if e.kind == "C" else 0.1
            network = network.with_value(e.name, e.value * (1 + edge * drawn[e.name][n]))
        assert found[n] == pytest.approx(across(network, sources, 50, "M", "P"), rel=1e-9)


def test_summary_of_random_copies() -> None:
    """Shares of the states add up to all, the quantiles are in order, the dark lamp of a bridge is dark."""
    for distribution in ("uniform", "normal"):
        for r in monte_carlo(example("twin-bridge"), samples=20_000, distribution=distribution):
            assert r.dark + r.unsure + r.lit == pytest.approx(1)
            assert r.lowest <= r.half_below <= r.below_95 <= r.below_999 <= r.highest
            assert (r.dark, r.lit) in ((1.0, 0.0), (0.0, 1.0))


def test_shares_of_the_states_are_counted_by_the_window_of_the_lamp() -> None:
    """Loose parts leave some dark lamps unsure: the shares are those of the copies' own volts, by 40 and 90 V."""
    bridge, loose = example("divider-bridge"), Margins(resistor=20, capacitor=20)
    volts = sample_lamp_volts(bridge, margins=loose, samples=5000)
    for r in monte_carlo(bridge, margins=loose, samples=5000):
        counted = np.histogram(volts[r.sequence][0], [0, 40, 90, 1000])[0] / 5000
        assert (r.dark, r.unsure, r.lit) == pytest.approx(tuple(counted))
    assert all(share > 0.01 for share in (np.mean(volts["123"][0] < 40), np.mean(volts["123"][0] > 40)))


def test_the_unbalance_of_random_copies_has_any_angle() -> None:
    """It adds to a lamp as often as it takes away, and by up to its share of the mirror image (superposition)."""
    star, only = example("two-lamp-capacitor"), Margins(resistor=0, capacitor=0, voltage=(1, 1), frequency=(1, 1))
    turn = np.exp(2j * np.pi / 3)
    bright, dim = (400 / np.sqrt(3) * abs(x - (-1 + 3j) / 5) for x in (turn**2, turn))  # R = Xc, textbook problem
    volts = sample_lamp_volts(star, margins=replace(only, lamp=0), samples=5000)["123"]
    for v, own, other in ((volts[0], bright, dim), (volts[1], dim, bright)):
        assert np.mean(v > own) == pytest.approx(0.5, abs=0.05)
        assert (v.min(), v.max()) == pytest.approx((own - 0.02 * other, own + 0.02 * other), rel=0.005)


def test_normal_parts_lie_closer_than_uniform_ones() -> None:
    """The middle of the tolerance is likelier: the dark lamp's volts are lower."""
    bridge = example("divider-bridge")
    uniform, normal = (monte_carlo(bridge, distribution=d)[0].half_below for d in ("uniform", "normal"))
    assert normal < 0.8 * uniform


# --- classes --------------------------------------------------------------------------------------------


def test_loosest_classes_of_the_bridge() -> None:
    """5 % capacitor with 2 % resistors keep the lamp dark, 10 % with any do not (worst case of the table)."""
    records = {(r.resistor, r.capacitor): r for r in classes(example("divider-bridge"))}
    assert [(r.resistor, r.capacitor) for r in records.values() if r.loosest] == [(2, 5), (5, 1)]
    for pair, r in records.items():
        worst = tolerance_table(example("divider-bridge"), margins=Margins(resistor=pair[0], capacitor=pair[1]))[0]
        assert r.dark_highest == pytest.approx(worst.highest)
        assert r.holds == (worst.highest < 40)


@pytest.mark.parametrize("name", NAMES)
def test_loosest_classes_are_the_edge_of_what_holds(name: str) -> None:
    """Whatever is tighter than a loosest pair holds; no looser pair does; something is sold that does."""
    records = classes(example(name))
    best = [r for r in records if r.loosest]
    assert best
    for r in records:
        inside = any(r.resistor <= b.resistor and r.capacitor <= b.capacitor for b in best)
        assert r.holds == inside
        assert not (r.holds and r.dark_highest and r.dark_highest >= example(name).lamps[0].dark_below)


def test_a_narrow_window_needs_closer_parts() -> None:
    """At 690 V the dark lamp gets more volts, so the classes must be closer than at 400 V."""
    loosest = [r for r in classes(example("divider-bridge", line_voltage=690)) if r.loosest]
    assert all(r.capacitor < 5 or r.resistor < 2 for r in loosest)


# --- harmonics ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", about(ROWS, "runs"), ids=lambda row: row.id)
def test_harmonics_run_forward_backward_or_not_at_all(row: Row) -> None:
    """1, 7, 13 forward; 5, 11 backward; 3, 9 all in phase."""
    assert runs(int(row.given["order"])) == row.expected


@pytest.mark.parametrize("row", about(ROWS, "share"), ids=lambda row: row.id)
def test_levels_of_the_public_network(row: Row) -> None:
    """EN 50160, from memory."""
    row.check(dict(PUBLIC_NETWORK)[int(row.given["order"])])


@pytest.mark.parametrize("row", about(ROWS, "fifth of 5 % on the dark lamp"), ids=lambda row: row.id)
def test_the_fifth_harmonic_on_the_dark_lamp(row: Row) -> None:
    """5 % of it leaves 19.6 V on the dark lamp with exact parts."""
    row.check(harmonic_table(example("divider-bridge"), content={5: 0.05})[1].lamp_volts[0])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("order", [3, 5, 7, 11])
def test_a_harmonic_by_its_waveforms(name: str, order: int) -> None:
    """Three waveforms a third of a period apart, taken at n times the frequency: their phasors, a dense solver."""
    i = example(name)
    turns = {"L1": 0, "L2": -1 / 3, "L3": 1 / 3}  # of the fundamental's period, 1-2-3
    sources = {p: 0.05 * 400 / 3**0.5 * np.exp(2j * np.pi * order * turns[p]) for p in i.probes} | {"N": 0j, "PE": 0j}
    record = next(r for r in harmonic_table(i, content={order: 0.05}) if r.sequence == "123" and r.order == order)
    settled = i.on(i.supply("123")).solution.network
    expected = [across(settled, sources, 50 * order, lamp.a, lamp.b) for lamp in i.lamps]
    assert np.allclose(record.lamp_volts, expected, atol=1e-9)


def test_three_probes_do_not_see_the_third_harmonic_and_a_pad_does() -> None:
    """Zero sequence has no volts between conductors; against earth it has its phase volts."""
    bridge, pad = (
        harmonic_table(example(n), content={3: 0.05})[1].lamp_volts for n in ("divider-bridge", "touch-probe")
    )
    assert bridge[0] == pytest.approx(0, abs=1e-9)
    assert pad[0] == pytest.approx(0.05 * 400 / 3**0.5)


def test_rms_of_all_harmonics() -> None:
    """The sum's rms, and that the fifth lights the dark lamp more than all the others together."""
    first = [r for r in harmonic_table(example("divider-bridge")) if r.sequence == "123"]
    single = {r.order: r.lamp_volts[0] for r in first if r.order}
    assert first[-1].lamp_volts[0] == pytest.approx(np.sqrt(sum(v**2 for v in single.values())))
    assert single[5] == max(single.values())
    assert single[5] ** 2 > 0.5 * sum(v**2 for v in single.values())


@pytest.mark.parametrize("earthing", ["star", "isolated", "corner", "side"])
def test_a_zero_sequence_harmonic_has_no_volts_between_conductors(earthing: str) -> None:
    """Whatever is earthed, all probes go up and down together; an open one is missing."""
    wave, sources = harmonic(Supply(earthing=earthing).without("L2"), 9, share=0.1)
    assert sources["L1"] == sources["L3"] == pytest.approx(0.1 * 400 / 3**0.5)
    assert "L2" not in sources
    assert float(wave.frequency) == 450


# --- refused --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"resistor": -1}, "resistor must be 0 to below 100"), ({"capacitor": 100}, "capacitor must be 0 to below 100"),
        ({"voltage": (1.1, 0.9)}, "voltage must be 0 < low <= high"), ({"frequency": (0, 1)}, "frequency must be"),
        ({"negative": 1}, "negative must be 0 to below 1"), ({"lamp": float("nan")}, "lamp must be"),
    ],
)  # fmt: skip
def test_margins_refused(wrong: dict, words: str) -> None:
    """A margin that is none names itself and what is accepted."""
    with pytest.raises(ValueError, match=words):
        Margins(**wrong)


def test_samples_refused() -> None:
    """No samples, an unknown distribution, a harmonic of no order or no size."""
    bridge = example("divider-bridge")
    with pytest.raises(ValueError, match="samples must be a whole number from 1, got 0"):
        sample_lamp_volts(bridge, samples=0)
    with pytest.raises(ValueError, match="distribution must be one of uniform, normal, got 'flat'"):
        monte_carlo(bridge, distribution="flat")
    with pytest.raises(ValueError, match="order must be a whole number from 1, got 0"):
        harmonic(bridge.supply(), 0, share=0.1)
    with pytest.raises(ValueError, match="share must be positive"):
        harmonic(bridge.supply(), 5, share=0)


def test_no_class_holds_what_is_not_told_as_built() -> None:
    """R = 150 kΩ in the place of 184 kΩ leaves 57 V on the dark lamp, in its strike window: there is nothing to hold.

    By hand: M halves the 690 V between L1 and L3, P parts L3–L2, turned by −60° in 1-2-3, as R to −jXc.
    """
    exact = circuit("divider-bridge").sized(capacitance=10e-9, frequency=50, line_voltage=690)
    built = exact.with_preferred_values("E6")
    xc = 1 / (2 * np.pi * 50 * 10e-9)
    by_hand = abs(690 / 2 - 690 * np.exp(-1j * np.pi / 3) * 150e3 / (150e3 - 1j * xc))
    assert float(built.on(built.supply("123")).lamp_volts[0]) == pytest.approx(by_hand)
    assert 40 < by_hand < 90
    assert any(record.holds for record in classes(exact))
    assert not any(record.holds for record in classes(built))
