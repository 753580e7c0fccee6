"""The nodal solver: laws of circuits on random networks, a second method, open ends, and what it refuses."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_networks import FREQUENCY, OMEGA, any_network, networks, part, tolerance
from scipy import sparse
from scipy.sparse.linalg import spsolve

from phasorkit.network import Element, Network

CHAIN = Network((part("R1", "R", 100.0, "A", "x"), part("C1", "C", 50.0, "x", "B")))


def unknown_nodes(network: Network, sources: dict[str, complex]) -> list[str]:
    """Nodes without a source."""
    return [node for node in network.nodes if node not in sources]


# --- laws that hold for every network --------------------------------------------------------------------


@given(any_network())
def test_currents_at_every_node_add_up_to_nothing(case) -> None:
    """Kirchhoff's current law."""
    network, sources = case
    solution = network.solve(sources, frequency=FREQUENCY)
    _, ampere = tolerance(solution)
    for node in unknown_nodes(network, sources):
        leaving = sum(solution.current(e.name) for e in network.elements if e.a == node)
        arriving = sum(solution.current(e.name) for e in network.elements if e.b == node)
        assert abs(leaving - arriving) <= ampere


@given(any_network())
def test_sources_deliver_what_the_parts_take(case) -> None:
    """Active and reactive power balance; a resistor takes P only, L takes positive Q, C negative."""
    network, sources = case
    solution = network.solve(sources, frequency=FREQUENCY)
    volts, ampere = tolerance(solution)
    delivered = sum(v * np.conj(solution.source_current(node)) for node, v in sources.items())
    taken = {e.name: solution.power(e.name) for e in network.elements}
    assert abs(delivered - sum(taken.values())) <= 1e9 * volts * ampere
    for e in network.elements:
        share = {"R": taken[e.name].real, "L": taken[e.name].imag, "C": -taken[e.name].imag}[e.kind]
        assert share == pytest.approx(abs(taken[e.name]), rel=1e-9)


@given(any_network(), st.randoms(use_true_random=False))
def test_tellegen(case, random) -> None:
    """Volts of one network times currents of another on the same graph add up to nothing (B. D. H. Tellegen, 1952)."""
    network, sources = case
    other = network
    for e in network.elements:
        other = other.with_value(e.name, e.value * 10 ** random.uniform(-1, 1))
    here, there = (n.solve(sources, frequency=FREQUENCY) for n in (network, other))
    inside = sum(here.voltage(e.a, e.b) * np.conj(there.current(e.name)) for e in network.elements)
    outside = sum(v * np.conj(there.source_current(node)) for node, v in sources.items())
    volts, ampere = tolerance(there)
    assert abs(inside - outside) <= 1e9 * volts * ampere


@given(any_network(), st.floats(1e-3, 1e3))
def test_scaling_all_impedances_leaves_the_volts(case, factor) -> None:
    """Only ratios of impedances matter to the volts."""
    network, sources = case
    scaled = network
    for e in network.elements:
        scaled = scaled.with_value(e.name, e.value * (1 / factor if e.kind == "C" else factor))
    before, after = (n.solve(sources, frequency=FREQUENCY) for n in (network, scaled))
    volts, _ = tolerance(before)
    for node in network.nodes:
        assert abs(before.voltage(node) - after.voltage(node)) <= volts


@given(any_network())
def test_mirror(case) -> None:
    """Mirrored sources on mirrored parts (L for C of equal reactance and back) give mirrored volts."""
    network, sources = case
    swap = {"R": "R", "L": "C", "C": "L"}
    mirrored = Network(
        tuple(part(e.name, swap[e.kind], abs(e.impedance(FREQUENCY)), e.a, e.b) for e in network.elements)
    )
    before = network.solve(sources, frequency=FREQUENCY)
    after = mirrored.solve({node: v.conjugate() for node, v in sources.items()}, frequency=FREQUENCY)
    for node in network.nodes:
        assert abs(np.conj(before.voltage(node)) - after.voltage(node)) <= tolerance(before)[0]


@given(any_network())
def test_superposition(case) -> None:
    """The volts are the sum of what each source gives with the others at 0 V."""
    network, sources = case
    whole = network.solve(sources, frequency=FREQUENCY)
    single = [
        network.solve({node: v if node == alone else 0 for node, v in sources.items()}, frequency=FREQUENCY)
        for alone in sources
    ]
    for node in network.nodes:
        assert abs(whole.voltage(node) - sum(s.voltage(node) for s in single)) <= tolerance(whole)[0]


@given(any_network(), st.floats(0, 6), st.data())
def test_thevenin_equivalent_loads_like_the_network(case, exponent, data) -> None:
    """A resistor between any two nodes sees the equivalent, also across two groups that share no unknown node."""
    network, sources = case
    a, b = data.draw(st.lists(st.sampled_from(network.nodes), min_size=2, max_size=2, unique=True))
    load = 10.0**exponent
    solution = network.solve(sources, frequency=FREQUENCY)
    open_volts, impedance = solution.thevenin(a, b)
    loaded = network.with_element(Element("load", "R", load, a, b)).solve(sources, frequency=FREQUENCY)
    assert abs(open_volts * load / (impedance + load) - loaded.voltage(a, b)) <= 1e3 * tolerance(loaded)[0]


# --- a second method ------------------------------------------------------------------------------------


@given(any_network())
def test_against_an_incidence_matrix_and_a_sparse_solver(case) -> None:
    """Y = AᵀDA from the incidence matrix, solved by scipy's sparse LU."""
    network, sources = case
    free, fixed = unknown_nodes(network, sources), list(sources)
    column = {node: k for k, node in enumerate([*free, *fixed])}
    incidence = sparse.lil_matrix((len(network.elements), len(column)))
    for row, e in enumerate(network.elements):
        incidence[row, column[e.a]], incidence[row, column[e.b]] = 1, -1
    admittance = sparse.diags([complex(e.admittance(FREQUENCY)) for e in network.elements])
    full = (incidence.T @ admittance @ incidence).tocsc()
    n = len(free)
    volts = spsolve(full[:n, :n], -full[:n, n:] @ np.array([sources[node] for node in fixed]))
    solution = network.solve(sources, frequency=FREQUENCY)
    for node, expected in zip(free, np.atleast_1d(volts), strict=True):
        assert abs(solution.voltage(node) - expected) <= 1e3 * tolerance(solution)[0]


def cube() -> Network:
    """Twelve resistors of 1 Ω along the edges of a cube; a corner is named by its three coordinates."""
    corners = [f"{k:03b}" for k in range(8)]
    edges = [(a, b) for a, b in combinations(corners, 2) if sum(x != y for x, y in zip(a, b, strict=True)) == 1]
    return Network(tuple(Element(f"R{k}", "R", 1.0, a, b) for k, (a, b) in enumerate(edges)))


@pytest.mark.parametrize(("to", "ohms"), [("001", 7 / 12), ("011", 3 / 4), ("111", 5 / 6)])
def test_cube_of_resistors(to, ohms) -> None:
    """Over an edge 7/12 Ω, a face's diagonal 3/4 Ω, the cube's diagonal 5/6 Ω (a standard textbook problem)."""
    for sources in ({}, {"000": 0}, {"110": 5}):
        assert cube().solve(sources, frequency=50).thevenin("000", to)[1] == pytest.approx(ohms, rel=1e-12)


def test_parts_of_any_ratio_stay_exact() -> None:
    """A milliohm contact between two 10 GΩ insulations halves the voltage (closed form; a plain LU is 4e-4 off)."""
    network = Network(
        (Element("R1", "R", 1e10, "A", "x"), Element("R2", "R", 1e-3, "x", "y"), Element("R3", "R", 1e10, "y", "B"))
    )
    solution = network.solve({"A": 1.0, "B": 0.0}, frequency=50)
    assert solution.voltage("y").real == pytest.approx(0.5, rel=1e-12)


# --- batches --------------------------------------------------------------------------------------------


@given(any_network(), st.data())
def test_a_batch_equals_its_samples_one_by_one(case, data) -> None:
    """A frequency axis, a source axis and a part axis broadcast; every sample is the scalar answer."""
    network, sources = case
    name = data.draw(st.sampled_from([e.name for e in network.elements]))
    source = data.draw(st.sampled_from(list(sources)))
    values = network.element(name).value * np.array([0.5, 1.0, 3.0])
    volts = sources[source] * np.array([[1.0], [0.2j]])
    frequencies = np.array([[[50.0]], [[60.0]]])
    batch = network.with_value(name, values).solve(sources | {source: volts}, frequency=frequencies)
    node = data.draw(st.sampled_from(network.nodes))
    everything = np.broadcast_to(batch.voltage(node), (2, 2, 3))
    currents = np.broadcast_to(batch.current(name), (2, 2, 3))
    for f, s, v in np.ndindex(2, 2, 3):
        one = network.with_value(name, values[v]).solve(sources | {source: volts[s, 0]}, frequency=frequencies[f, 0, 0])
        volt, ampere = tolerance(one)
        assert abs(everything[f, s, v] - one.voltage(node)) <= volt
        assert abs(currents[f, s, v] - one.current(name)) <= ampere


def test_shapes_that_do_not_fit_are_named() -> None:
    """The message says whose shapes they are."""
    network = CHAIN.with_value("R1", [1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match=r"do not broadcast .*: frequency \(2,\), R1 \(3,\)"):
        network.solve({"A": 1, "B": 0}, frequency=[50, 60])


# --- open ends and islands ------------------------------------------------------------------------------


@given(networks("RLC"), st.floats(0, 6))
def test_an_open_end_takes_the_potential_of_its_neighbour(case, exponent) -> None:
    """A node that hangs on one part only carries no current and no voltage across that part."""
    network, sources = case
    at = network.nodes[0]
    solution = network.with_element(part("tail", "R", 10**exponent, at, "end")).solve(sources, frequency=FREQUENCY)
    volts, ampere = tolerance(solution)
    assert abs(solution.current("tail")) <= ampere
    assert abs(solution.voltage("end") - solution.voltage(at)) <= volts


def test_an_island_floats() -> None:
    """Inside an island nothing flows and all is level; against the rest its height is unknown: NaN, not 0 V."""
    island = CHAIN.with_elements((part("R2", "R", 10, "p", "q"), part("L1", "L", 10, "q", "r")))
    solution = island.solve({"A": 1, "B": 0}, frequency=50)
    assert solution.voltage("p", "r") == 0
    assert solution.current("R2") == 0
    assert solution.power("L1") == 0
    assert np.isnan(solution.voltage("p"))
    assert np.isnan(solution.voltage("p", "x"))
    assert np.isnan(solution.voltage("A", "p"))


def test_two_islands_float_against_each_other() -> None:
    """Each is level in itself, neither knows the other."""
    network = Network((part("R1", "R", 10, "p", "q"), part("R2", "R", 10, "r", "s")))
    solution = network.solve({}, frequency=50)
    assert solution.voltage("p", "q") == 0
    assert np.isnan(solution.voltage("p", "r"))


def test_thevenin_inside_an_island_and_out_of_it() -> None:
    """Inside, the parts themselves are seen; out of it there is no path, and the error names both nodes."""
    network = CHAIN.with_elements((part("R2", "R", 10, "p", "q"), part("R3", "R", 15, "p", "q")))
    solution = network.solve({"A": 1, "B": 0}, frequency=50)
    volts, impedance = solution.thevenin("p", "q")
    assert volts == 0
    assert impedance == pytest.approx(6)
    for pair in (("p", "x"), ("A", "q")):
        with pytest.raises(ValueError, match=r"node '[pq]' floats: no path to '[xA]'"):
            solution.thevenin(*pair)


def test_thevenin_between_sources_is_stiff() -> None:
    """Two ideal sources: their difference, no impedance."""
    volts, impedance = CHAIN.solve({"A": 5, "B": 2}, frequency=50).thevenin("A", "B")
    assert (volts, impedance) == (3, 0)


# --- what is refused ------------------------------------------------------------------------------------


def test_resonance_names_the_node() -> None:
    """L and C in series across a source at their resonance: the midpoint has no finite voltage."""
    network = Network((part("L1", "L", 100, "A", "mid"), part("C1", "C", 100, "mid", "B")))
    for frequency in (FREQUENCY, [40.0, FREQUENCY, 60.0]):
        with pytest.raises(ValueError, match=r"singular .*resonance.* at node 'mid'"):
            network.solve({"A": 1, "B": 0}, frequency=frequency).voltage("mid")


def test_resonance_names_the_node_that_swings() -> None:
    """Of two coupled nodes the one on the coil swings ten times as far: 0.1 S of the 1 S at the other couples them.

    By hand: b1 + s = 1 S, s = 0.1 S, and b2 + s = s²/(b1 + s) = 0.01 S makes the determinant vanish; v1 = 0.1·v2.
    """
    network = Network(
        (
            part("C1", "C", 1 / 0.9, "calm", "A"),
            part("C2", "C", 1 / 0.1, "calm", "swinging"),
            part("L1", "L", 1 / 0.09, "swinging", "B"),
        )
    )
    with pytest.raises(ValueError, match="at node 'swinging'"):
        network.solve({"A": 1, "B": 0}, frequency=FREQUENCY).voltage("calm")


def test_beside_resonance_is_solved() -> None:
    """One hertz off, the midpoint stands high but finite: V = 1/(1 − ω²LC), closed form."""
    network = Network((part("L1", "L", 100, "A", "mid"), part("C1", "C", 100, "mid", "B")))
    volts = network.solve({"A": 1, "B": 0}, frequency=51).voltage("mid")
    assert volts == pytest.approx(1 / (1 - (51 / 50) ** 2))


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("R1", "X", 1.0, "a", "b"), r"R1: kind must be one of R, L, C, got 'X'"),
        (("R1", "R", 1.0, "a", "a"), r"R1: both ends are on node 'a'"),
        (("R1", "R", 0.0, "a", "b"), r"R1: value must be positive and finite \[Ω\], got 0.0"),
        (("L1", "L", -1.0, "a", "b"), r"L1: value must be positive and finite \[H\], got -1.0"),
        (("C1", "C", np.inf, "a", "b"), r"C1: value must be positive and finite \[F\], got inf"),
        (("C1", "C", [1e-9, np.nan], "a", "b"), r"C1: value must be positive and finite \[F\], got"),
        (("R1", "R", "4k7", "a", "b"), r"R1: value must be positive and finite \[Ω\], got '4k7'"),
        (("R1", "R", 1 + 1j, "a", "b"), r"R1: value must be positive and finite \[Ω\], got \(1\+1j\)"),
        (("R1", "R", [[1], [1, 2]], "a", "b"), r"R1: value must be positive and finite \[Ω\], got"),
    ],
)
def test_an_element_that_cannot_be_is_refused(arguments, message) -> None:
    """The message names the part, what is wrong and the unit."""
    with pytest.raises(ValueError, match=message):
        Element(*arguments)


@pytest.mark.parametrize("frequency", [0, -50, np.nan, np.inf, "50 Hz", [50, 0], None, 50j])
def test_a_frequency_that_cannot_be_is_refused(frequency) -> None:
    """Direct current is no sine either."""
    with pytest.raises(ValueError, match=r"frequency must be positive and finite \[Hz\], got"):
        CHAIN.solve({"A": 1}, frequency=frequency)


@pytest.mark.parametrize("volts", [np.nan, np.inf, "12 V", [1, np.nan]])
def test_a_source_that_cannot_be_is_refused(volts) -> None:
    """The message names its node."""
    with pytest.raises(ValueError, match=r"source at node 'A' must be finite \[V\], got"):
        CHAIN.solve({"A": volts}, frequency=50)


def test_names_are_unique_and_unknown_ones_are_listed() -> None:
    """Two parts of one name are refused; asking for what is not there lists what is."""
    with pytest.raises(ValueError, match="R1 named more than once"):
        CHAIN.with_element(part("R1", "R", 1, "A", "B"))
    for wrong in (CHAIN.element, CHAIN.opened, lambda name: CHAIN.with_value(name, 1.0)):
        with pytest.raises(KeyError, match="no element 'R9'; there are R1, C1"):
            wrong("R9")
    solution = CHAIN.solve({"A": 1, "B": 0, "far": 2}, frequency=50)
    with pytest.raises(KeyError, match="no node 'y'; there are A, x, B, far"):
        solution.voltage("y")
    with pytest.raises(KeyError, match="no node 'y'; there are A, x, B, far"):
        solution.thevenin("x", "y")
    with pytest.raises(KeyError, match="no source at node 'x'; sources are at A, B, far"):
        solution.source_current("x")


def test_networks_are_values() -> None:
    """Changing a value or opening a part gives another network and leaves the first."""
    assert CHAIN.opened("R1").nodes == ("x", "B")
    assert CHAIN.with_value("R1", 5.0).element("R1").value == 5.0
    assert CHAIN.element("R1").value == 100.0
    assert CHAIN.element("C1").impedance(FREQUENCY) == pytest.approx(-50j)
    assert part("L1", "L", 50.0, "a", "b").admittance(FREQUENCY) == pytest.approx(1 / 50j)
    assert CHAIN.element("C1").value * OMEGA * 50 == pytest.approx(1)
