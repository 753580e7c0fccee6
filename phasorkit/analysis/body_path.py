"""A person as a part of the circuit: what a touch pad passes to earth, now and in the worst single fault."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from phasorkit._checks import single
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES
from phasorkit.indicators.touch_probe import BODY_CAPACITANCE, BODY_RESISTANCE, TOUCH_LIMIT, TouchProbe
from phasorkit.lamps import DARK
from phasorkit.network import SHORT, Element, Network, Solution
from phasorkit.phasors import FloatArray
from phasorkit.supply import Supply

ON_EARTH, INSULATED, HANDS_OFF = "on earth", "insulated", "not touching"
STANCES = (ON_EARTH, INSULATED, HANDS_OFF)
"""Barefoot on earth; on dry insulation, where only the body's capacitance leads to earth; pad not touched."""

NO_FAULT = "none"
PARTS = ("R1", "R2", "R3", "R4", "C1", "R5", "R6")
SINGLE_FAULTS = (NO_FAULT, *(f"{name} {how}" for name in PARTS for how in ("shorted", "open")))
BOTH_OF_CHAIN = "R5 and R6 shorted"
"""Two faults at once: what one single resistor between lamp and pad would do with one."""

FAINT = 20e-6
"""Current below which nobody is taken to see a glow [A rms] (our own assumption; a small lamp needs some µA)."""

TOO_FAINT = "too faint to see"
OPEN = 1e15
"""What counts as no way at all [Ω]."""


@dataclass(frozen=True)
class BodyPath:
    """One look at the probe with a person at its pad.

    Parameters
    ----------
    lamp_volts : float
        Across the lamp before it lights [V rms].
    lamp : str
        ``dark``, ``unsure``, ``lit`` or ``too faint to see``.
    current : float
        Through the person now [A rms]: none while the lamp is dark, else with the lamp taken as a short.
    volts : dict of str to float
        Along the way while the current flows [V rms]: ``K``, then across R5, R6 and the ``body``.
    worst : float
        Largest current through a body of 0 Ω in any single fault, both sequences, 110 % of voltage [A rms].
    worst_fault : str
    limit : float
        What may pass [A rms].
    places : dict of str to complex
        Phasors of L1, L2, L3, N, K and, unless it floats, earth PE [V rms].
    supply : Supply
    """

    lamp_volts: float
    lamp: str
    current: float
    volts: dict[str, float]
    worst: float
    worst_fault: str
    limit: float
    places: dict[str, complex]
    supply: Supply


def body_path(
    probe: TouchProbe,
    supply: Supply,
    *,
    stance: str = ON_EARTH,
    body: float = BODY_RESISTANCE,
    fault: str = NO_FAULT,
) -> BodyPath:
    """Solve the touch probe with a person at its pad.

    Parameters
    ----------
    probe : TouchProbe
        With its way back over the pad.
    supply : Supply
        Its earthing decides.
    stance : str
        One of `STANCES`.
    body : float
        Resistance of the person [Ω].
    fault : str
        One of `SINGLE_FAULTS`, or `BOTH_OF_CHAIN`.

    Raises
    ------
    ValueError
        Unknown stance or fault, a probe that returns to neutral, a body that is not positive.

    Examples
    --------
    >>> probe = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400)
    >>> for stance in STANCES:
    ...     path = body_path(probe, probe.supply(), stance=stance)
    ...     print(stance, path.lamp, f"{1e6 * path.current:.0f} µA")
    on earth lit 125 µA
    insulated too faint to see 7 µA
    not touching dark 0 µA
    """
    single(body, "body", "Ω")
    if probe.return_path != "pad":
        raise ValueError(f"probe must return over the pad, got return_path {probe.return_path!r}")
    if stance not in STANCES:
        raise ValueError(f"stance must be one of {', '.join(STANCES)}, got {stance!r}")
    network = with_fault(probe.network(), fault)
    network = network.with_value("RB", body if stance == ON_EARTH else OPEN).with_value("CB", BODY_CAPACITANCE)
    if stance == HANDS_OFF:
        network = network.with_value("CB", 1e-21)
    dark = probe.on(supply, network=network)
    flowing = probe.on(supply, network=network.with_element(Element("H1", "R", SHORT, "K", "G"))).solution
    passes = stance != HANDS_OFF and str(dark.lamp_states[0]) != DARK
    current = float(_through(flowing)) if passes else 0.0
    lamp = str(dark.lamp_states[0]) if stance != HANDS_OFF else DARK
    worst, worst_fault = worst_touch(probe, supply)
    return BodyPath(
        lamp_volts=float(dark.lamp_volts[0]) if stance != HANDS_OFF else 0.0,
        lamp=TOO_FAINT if passes and current < FAINT else lamp,
        current=current, volts=_along(flowing) if passes else {}, worst=worst, worst_fault=worst_fault,
        limit=TOUCH_LIMIT, places=_places(dark.solution, supply), supply=supply,
    )  # fmt: skip


def with_fault(network: Network, fault: str) -> Network:
    """The network with one of `SINGLE_FAULTS`, or `BOTH_OF_CHAIN`; ValueError for another."""
    if fault not in (*SINGLE_FAULTS, BOTH_OF_CHAIN):
        raise ValueError(f"fault must be one of {', '.join((*SINGLE_FAULTS, BOTH_OF_CHAIN))}, got {fault!r}")
    for one in ("R5 shorted", "R6 shorted") if fault == BOTH_OF_CHAIN else (fault,):
        for name in (n for n in PARTS if one.startswith(n)):
            network = network.with_value(name, _value(network.element(name), name, one))
    return network


def worst_touch(probe: TouchProbe, supply: Supply) -> tuple[float, str]:
    """Largest current through a body of 0 Ω [A rms] and its fault: single faults, both sequences, 110 % of voltage.

    Probes and earthing are those of the supply; the lamp counts as a short.

    >>> probe = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400)
    >>> worst, fault = worst_touch(probe, probe.supply())
    >>> f"{1e3 * worst:.2f} mA, {fault}"
    '0.18 mA, R5 shorted'
    """
    if "PE" not in supply.sources():
        return 0.0, NO_FAULT
    direct = probe.network().with_value("RB", SHORT).with_element(Element("H1", "R", SHORT, "K", "G"))
    for name in PARTS:
        direct = direct.with_value(name, [_value(direct.element(name), name, fault) for fault in SINGLE_FAULTS])
    volts = OVERVOLTAGE * np.asarray(supply.line_voltage)
    solved = []
    for s in SEQUENCES:
        known = replace(supply, line_voltage=volts, sequence=s).sources()
        from_earth = {node: v - known["PE"] for node, v in known.items()}
        solved.append(probe.on(supply, network=direct, sources=from_earth).solution)
    currents = np.max([_through(s) for s in solved], axis=0)
    return float(currents.max()), SINGLE_FAULTS[int(currents.argmax())]


def _value(element: Element, name: str, fault: str) -> float:
    """An element's value [Ω, F] under a fault: a short is next to no ohms, an opening next to none of siemens."""
    if not fault.startswith(f"{name} "):
        return float(np.asarray(element.value))
    small = fault.endswith("shorted") == (element.kind == "R")
    return (SHORT if element.kind == "R" else 1 / OPEN) if small else (OPEN if element.kind == "R" else 1.0)


def _through(solution: Solution) -> FloatArray:
    """Current through the person, resistance and capacitance together [A rms]; 0 where nothing leads back."""
    return np.asarray(np.nan_to_num(np.abs(solution.current("RB") + solution.current("CB"))))


def _along(solution: Solution) -> dict[str, float]:
    legs = {"K": ("K", "PE"), "R5": ("G", "F"), "R6": ("F", "PAD"), "body": ("PAD", "PE")}
    return {name: float(np.nan_to_num(np.abs(solution.voltage(a, b)))) for name, (a, b) in legs.items()}


def _places(solution: Solution, supply: Supply) -> dict[str, complex]:
    volts = dict(zip(("L1", "L2", "L3"), supply.phasors(), strict=True))
    known = {name: complex(v) for name, v in volts.items()} | {"N": complex(supply.neutral())}
    known["K"] = complex(solution.voltage("K"))
    if "PE" in supply.sources():
        known["PE"] = known["N"]
    return known
