"""Nodal analysis with complex phasors: any R, L, C between named nodes, batched over leading axes.

Known voltages stand at named nodes, so each group of unknown nodes that hang together is solved by itself and only
when it is asked for: a sweep over a million part values costs about what its closed form would.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import phasor, positive
from phasorkit._elimination import Equations, solve_equations
from phasorkit.phasors import ComplexArray, FloatArray

SHORT = 1e-6
"""Resistance of a short circuit [Ω]: a thousand million times below any part here, and solved without loss.

Its own current is read from the difference of its two ends: exact where one end is at 0 V, else to three digits at some
hundred volts and some 0.1 mA. Where it matters, count the volts from that end.
"""

UNIT_OF_KIND = {"R": "Ω", "L": "H", "C": "F"}


@dataclass(frozen=True)
class Element:
    """One resistor, inductor or capacitor between two nodes.

    Parameters
    ----------
    name : str
        Unique in its network, such as ``"R1"``.
    kind : "R", "L" or "C"
    value : float or array, shape (...)
        [Ω], [H] or [F]; positive and finite.
    a, b : str
        Its nodes; a current counts positive from a to b.

    Raises
    ------
    ValueError
        Unknown kind, a value that is not positive and finite, or both ends on one node.

    Examples
    --------
    >>> Element("C1", "C", 4.7e-9, "P", "L2").impedance(50.0).imag.round(-2).item()
    -677300.0
    """

    name: str
    kind: str
    value: ArrayLike
    a: str
    b: str

    def __post_init__(self) -> None:
        if self.kind not in UNIT_OF_KIND:
            raise ValueError(f"{self.name}: kind must be one of R, L, C, got {self.kind!r}")
        positive(self.value, f"{self.name}: value", UNIT_OF_KIND[self.kind])
        if self.a == self.b:
            raise ValueError(f"{self.name}: both ends are on node {self.a!r}")

    def admittance(self, frequency: ArrayLike) -> ComplexArray | FloatArray:
        """Admittance [S] at `frequency` [Hz], positive and finite; real for a resistor."""
        return self._at(positive(frequency, "frequency", "Hz"))

    def impedance(self, frequency: ArrayLike) -> ComplexArray:
        """Impedance [Ω] at `frequency` [Hz], positive and finite."""
        return np.asarray(1 / np.asarray(self.admittance(frequency), dtype=complex))

    def _at(self, frequency: FloatArray) -> ComplexArray | FloatArray:
        value = np.asarray(self.value, dtype=float)
        if self.kind == "R":
            return np.asarray(1 / value)
        omega = 2 * np.pi * frequency
        return np.asarray(1j * (omega * value) if self.kind == "C" else -1j / (omega * value))


@dataclass(frozen=True)
class Network:
    """Elements between named nodes.

    Raises
    ------
    ValueError
        Two elements of one name.

    Examples
    --------
    >>> divider = Network((Element("R1", "R", 1e3, "in", "mid"), Element("R2", "R", 3e3, "mid", "0")))
    >>> divider.solve({"in": 8.0, "0": 0.0}, frequency=50).voltage("mid").real.item()
    6.0
    """

    elements: tuple[Element, ...]

    def __post_init__(self) -> None:
        names = [e.name for e in self.elements]
        twice = {n for n in names if names.count(n) > 1}
        if twice:
            raise ValueError(f"elements: {', '.join(sorted(twice))} named more than once")

    @property
    def nodes(self) -> tuple[str, ...]:
        """Every node, in order of first mention."""
        return tuple(dict.fromkeys(node for e in self.elements for node in (e.a, e.b)))

    def element(self, name: str) -> Element:
        """The element of that name; a KeyError lists the names there are."""
        for e in self.elements:
            if e.name == name:
                return e
        raise KeyError(f"no element {name!r}; there are {', '.join(e.name for e in self.elements)}")

    def with_element(self, element: Element) -> Network:
        """The network with one more element."""
        return self.with_elements((element,))

    def with_elements(self, elements: Iterable[Element]) -> Network:
        """The network with more elements."""
        return Network((*self.elements, *elements))

    def with_value(self, name: str, value: ArrayLike) -> Network:
        """The network with one element's value [Ω, H, F] changed."""
        changed = replace(self.element(name), value=value)
        return Network(tuple(changed if e.name == name else e for e in self.elements))

    def opened(self, name: str) -> Network:
        """The network with one element taken out (open circuit)."""
        self.element(name)
        return Network(tuple(e for e in self.elements if e.name != name))

    def shorted(self, name: str) -> Network:
        """The network with one element replaced by a link of `SHORT` ohms; its current stays readable."""
        changed = replace(self.element(name), kind="R", value=SHORT)
        return Network(tuple(changed if e.name == name else e for e in self.elements))

    def solve(self, sources: Mapping[str, ArrayLike], *, frequency: ArrayLike) -> Solution:
        """Solve for the phasors of every node.

        Parameters
        ----------
        sources : mapping of node to phasor, each shape (...)
            Known node voltages [V rms]. Nodes that the network lacks are kept as references.
        frequency : float or array, shape (...)
            [Hz], positive.

        Returns
        -------
        Solution
            Lazy: each group of unknown nodes is solved when first asked for.

        Raises
        ------
        ValueError
            Frequency not positive and finite, a source that is not finite, shapes that do not broadcast; later,
            from the solution, a singular network (a lossless resonance), with the node named.
        """
        f = positive(frequency, "frequency", "Hz")
        known = {node: phasor(v, f"source at node {node!r}", "V") for node, v in sources.items()}
        shapes = {"frequency": f.shape} | {e.name: np.shape(e.value) for e in self.elements}
        shapes |= {f"source at node {node!r}": v.shape for node, v in known.items()}
        try:
            np.broadcast_shapes(*shapes.values())
        except ValueError:
            batched = ", ".join(f"{name} {shape}" for name, shape in shapes.items() if shape)
            raise ValueError(f"shapes do not broadcast against each other: {batched}") from None
        return Solution(self, known, f)


class Solution:
    """Phasors of a solved network; made by `Network.solve`.

    A node group without any path to a source floats: differences inside it are known (0 V: no current flows), its
    height against anything outside is not, and reads as NaN.
    """

    def __init__(self, network: Network, sources: dict[str, ComplexArray], frequency: FloatArray) -> None:
        self.network = network
        self.sources = sources
        self.frequency = frequency
        self._groups = _groups(network, frozenset(sources))
        self._solved: dict[str, ComplexArray] = {}
        self._injected: dict[str, float] = {}

    @property
    def shape(self) -> tuple[int, ...]:
        """Batch shape of frequency, sources and part values together."""
        values = (e.value for e in self.network.elements)
        return np.broadcast_shapes(*map(np.shape, (self.frequency, *self.sources.values(), *values)))

    def voltage(self, node: str, to: str | None = None) -> ComplexArray:
        """Phasor of `node` against the reference of the sources, or against the node `to` [V rms].

        Shape: of what it depends on, `shape` on a floating group. NaN where the two float against each other. A
        KeyError names an unknown node.
        """
        if to is None:
            return self._height(node)
        group, other = self._group(node), self._group(to)
        if group is not None and group is other and group.floating:
            return np.zeros(self.shape, dtype=complex)
        return self._height(node) - self._height(to)

    def current(self, name: str) -> ComplexArray:
        """Current through an element from its node a to its node b [A rms]."""
        e = self.network.element(name)
        return np.asarray(self.voltage(e.a, e.b) * e._at(self.frequency))

    def power(self, name: str) -> ComplexArray:
        """Complex power taken by an element, P + jQ [W, var]."""
        e = self.network.element(name)
        return np.asarray(self.voltage(e.a, e.b) * np.conj(self.current(name)))

    def source_current(self, node: str) -> ComplexArray:
        """Current that the source at `node` delivers into the network [A rms]."""
        if node not in self.sources:
            raise KeyError(f"no source at node {node!r}; sources are at {', '.join(self.sources)}")
        signs = {e.name: 1 if e.a == node else -1 for e in self.network.elements if node in (e.a, e.b)}
        currents = (sign * self.current(name) for name, sign in signs.items())
        return np.asarray(sum(currents, start=np.zeros(np.shape(self.frequency), dtype=complex)))

    def thevenin(self, a: str, b: str) -> tuple[ComplexArray, ComplexArray]:
        """Thevenin equivalent between two nodes: open-circuit voltage a to b [V rms] and impedance [Ω].

        ValueError where the two float against each other (there is no finite impedance), naming them.
        """
        group, other = self._group(a), self._group(b)
        for node, own, rest in ((a, group, other), (b, other, group)):
            if own is not None and own.floating and own is not rest:
                raise ValueError(f"node {node!r} floats: no path to {b if node == a else a!r}")
        dead = {node: np.zeros((), dtype=complex) for node in self.sources}
        if group is not None and group is other and group.floating:
            dead[b] = np.zeros((), dtype=complex)
        probe = Solution(self.network, dead, self.frequency)
        probe._injected = {a: 1.0, b: -1.0}
        return self.voltage(a, b), probe.voltage(a, b)

    def _group(self, node: str) -> _Group | None:
        if node in self.sources:
            return None
        if node not in self._groups:
            names = ", ".join(dict.fromkeys([*self.network.nodes, *self.sources]))
            raise KeyError(f"no node {node!r}; there are {names}")
        return self._groups[node]

    def _height(self, node: str) -> ComplexArray:
        group = self._group(node)
        if group is None:
            return self.sources[node]
        if group.floating:
            return np.full(self.shape, complex(np.nan, np.nan))
        if node not in self._solved:
            self._solved.update(self._solve(group))
        return self._solved[node]

    def _solve(self, group: _Group) -> dict[str, ComplexArray]:
        equations = Equations(group.nodes)
        for e in group.elements:
            equations.stamp(e.a, e.b, e._at(self.frequency), self.sources)
        for node, ampere in self._injected.items():
            equations.inject(node, ampere)
        return solve_equations(equations, may_resonate={"L", "C"} <= {e.kind for e in group.elements})


@dataclass(frozen=True)
class _Group:
    """Unknown nodes that hang together, with the elements that touch them."""

    nodes: tuple[str, ...]
    elements: tuple[Element, ...]
    floating: bool


def _groups(network: Network, known: frozenset[str]) -> dict[str, _Group]:
    """Group the unknown nodes by the elements between them; returns the group of each node."""
    neighbours: dict[str, set[str]] = {n: set() for n in network.nodes if n not in known}
    for e in network.elements:
        if e.a in neighbours and e.b in neighbours:
            neighbours[e.a].add(e.b)
            neighbours[e.b].add(e.a)
    found: dict[str, _Group] = {}
    for start in neighbours:
        if start in found:
            continue
        reached, todo = [start], [start]
        while todo:
            fresh = [n for n in sorted(neighbours[todo.pop()]) if n not in reached]
            reached += fresh
            todo += fresh
        touching = tuple(e for e in network.elements if e.a in reached or e.b in reached)
        floating = not any(e.a in known or e.b in known for e in touching)
        group = _Group(tuple(reached), touching, floating)
        found.update(dict.fromkeys(reached, group))
    return found
