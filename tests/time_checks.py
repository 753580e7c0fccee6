"""Laws that every course in time must keep, checked from its sampled waveforms alone; and random circuits to try."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import strategies as st

from phasorkit.network import Element, Network
from phasorkit.switching import GlowLamp, Led, SwitchingLamp
from phasorkit.transient import TimeCourse

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(10)
OMEGA = 2 * np.pi * 50
GLOW = GlowLamp()
PHASES = {f"L{k + 1}": 400 / 3**0.5 * np.exp(-2j * np.pi * k / 3) for k in range(3)}


def moments(course: TimeCourse) -> tuple[np.ndarray, np.ndarray]:
    """Times and weights [s] of an integral over the course: ten points on many steps between every two switchings."""
    edges = np.concatenate([[s.start for s in course.stretches], [course.duration]])
    found = []
    for a, b in pairwise(edges):
        early = (b - a) * np.geomspace(1e-7, 1, 36)
        steps = np.concatenate([[a], a + early])
        found += [((lo + hi) / 2, (hi - lo) / 2) for lo, hi in pairwise(steps)]
    times = np.concatenate([m + h * POINTS for m, h in found])
    return np.clip(times, 0, course.duration), np.concatenate([h * WEIGHTS for _, h in found])


def leaving(course: TimeCourse, node: str, times: np.ndarray) -> np.ndarray:
    """Sum of all currents that leave a node through elements and lamps [A]."""
    total = np.zeros_like(times)
    for e in course.network.elements:
        if node in (e.a, e.b):
            total += (1 if node == e.a else -1) * course.current(e.name, times=times)
    for lamp in course.lamps:
        if node in (lamp.a, lamp.b):
            total += (1 if node == lamp.a else -1) * course.lamp_current(lamp.name, times=times)
    return total


def largest_current(course: TimeCourse, times: np.ndarray) -> np.ndarray:
    """Sum of the magnitudes of all currents at each time [A], to measure errors against."""
    parts = [np.abs(course.current(e.name, times=times)) for e in course.network.elements]
    return np.sum([*parts, *(np.abs(course.lamp_current(x.name, times=times)) for x in course.lamps)], axis=0)


def check_currents(course: TimeCourse, sources: set[str]) -> None:
    """At every node without a source the currents add up to zero at every moment (Kirchhoff)."""
    times, _ = moments(course)
    scale = largest_current(course, times) + 1e-7
    for node in {n for e in course.network.elements for n in (e.a, e.b)} - sources:
        assert np.max(np.abs(leaving(course, node, times)) / scale) < 1e-7, node


def check_energy(course: TimeCourse, sources: set[str]) -> None:
    """Over a period of the steady state the sources give what resistors and lamps take."""
    times, weights = moments(course)
    given = sum(weights @ (course.voltage(n, times=times) * leaving(course, n, times)) for n in sources)
    taken = 0.0
    for e in course.network.elements:
        if e.kind == "R":
            taken += weights @ (course.current(e.name, times=times) ** 2) * float(np.asarray(e.value))
    taken += sum(course.lamp(x.name).watts for x in course.lamps) * course.duration
    assert abs(given - taken) <= 1e-6 * max(taken, 1e-8)


def check_limits(course: TimeCourse) -> None:
    """While on a piece, no lamp is beyond the limits of that piece."""
    times, _ = moments(course)
    for lamp in course.lamps:
        volts = course.voltage(lamp.a, lamp.b, times=times)
        names = np.array(course.states(lamp.name, times=times))
        for name in set(names):
            for out in lamp.model.pieces[str(name)].leaves:
                beyond = out.sign * (volts[names == name] - out.level)
                assert np.max(beyond) <= 1e-6 * (1 + abs(out.level)), (lamp.name, name)


def lamp(a: str, b: str, model: GlowLamp | Led = GLOW, name: str = "H1") -> SwitchingLamp:
    """A lamp between two nodes."""
    return SwitchingLamp(name, a, b, model)


def parts(*texts: str) -> Network:
    """Elements such as ``R1 R 1000 a b``."""
    rows = (text.split() for text in texts)
    return Network(tuple(Element(n, k, float(v), a, b) for n, k, v, a, b in rows))


@st.composite
def lamp_circuits(draw: st.DrawFn, coil: bool = False) -> tuple[Network, dict[str, complex], tuple[SwitchingLamp, ...]]:
    """One to three inner nodes on three phases, R and C anyhow, one or two lamps between them.

    A capacitor of 50 pF (a few metres of lead) lies at each lamp; with `coil`, a coil with its losses feeds a node.
    """
    sources = {f"L{k + 1}": 230 * np.exp(-2j * np.pi * k / 3) for k in range(3)} | {"N": 0j}
    inner = [f"n{k}" for k in range(draw(st.integers(1, 3)))]
    parts: list[Element] = []

    def lay(kind: str, a: str, b: str) -> None:
        ohms = 10 ** draw(st.floats(4, 6.3))
        parts.append(Element(f"Z{len(parts)}", kind, ohms if kind == "R" else 1 / (OMEGA * ohms), a, b))

    for k, node in enumerate(inner):
        lay("R", node, draw(st.sampled_from(["L1", "L2", "L3"])))
        for _ in range(draw(st.integers(0, 2))):
            lay(draw(st.sampled_from("RC")), node, draw(st.sampled_from([*sources, *inner[:k]])))
    if coil:
        parts += [Element("W", "R", 2e3, "L1", "w"), Element("X", "L", draw(st.floats(0.5, 20)), "w", inner[0])]
        parts.append(Element("K", "C", 1e-9, inner[0], "N"))
    lamps = []
    for k in range(draw(st.integers(1, 2))):
        a = draw(st.sampled_from(inner))
        b = draw(st.sampled_from([n for n in [*inner, "N", "L3"] if n != a]))
        model = draw(st.sampled_from([GlowLamp(), GlowLamp(extinction=59), Led(), Led(reverse_diode=None)]))
        lamps.append(SwitchingLamp(f"H{k + 1}", a, b, model))
        parts.append(Element(f"stray{k}", "C", 50e-12, a, b))
    return Network(tuple(parts)), sources, tuple(lamps)
