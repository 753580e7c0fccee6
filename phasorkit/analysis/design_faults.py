"""Every single fault of a design, judged by the ratings of the parts that were chosen for it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from phasorkit.analysis.at_once import State, solve_at_once
from phasorkit.analysis.design import Design
from phasorkit.analysis.fault_words import as_seen, both_say, rating_left, worse_verdict
from phasorkit.analysis.loading import with_lit_lamps
from phasorkit.analysis.stress import faulty_networks
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator
from phasorkit.lamps import DARK
from phasorkit.network import SHORT, Network


@dataclass(frozen=True)
class TriedFault:
    """One fault: the part that bears most of its full rating, that share [1], and the worse verdict on what is said."""

    fault: str
    part: str
    share: float
    indication: str


def try_faults(design: Design) -> tuple[TriedFault, ...]:
    """Every part open, one piece of it shorted, drifted; every lamp open and shorted; one at a time.

    Parameters
    ----------
    design : Design

    Returns
    -------
    tuple of TriedFault
        Stress at 110 % of voltage on right wiring, both sequences, lamps lit or not. `indication` is by two readings.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> worst = max(try_faults(Design(exact=bridge, pieces=2)), key=lambda r: r.share)
    >>> worst.fault, worst.part, round(worst.share, 2), worst.indication
    ('R3 1 of 2 shorted', 'C1', 2.11, 'true')
    """
    built = design.bought
    pieces = {e.name: design.pieces_of(e.name) for e in built.network().elements if e.name not in built.no_parts}
    networks = faulty_networks(built, pieces=pieces)
    several = {f"{name} shorted" for name, count in pieces.items() if count > 1}  # takes more than one fault
    return tuple(_tried(design, built, f, network) for f, network in networks.items() if f not in {"none", *several})


def _tried(design: Design, built: Indicator, fault: str, network: Network) -> TriedFault:
    over = OVERVOLTAGE * built.line_voltage
    supplies = {s: built.supply(s) for s in SEQUENCES}
    cases = {s: (supply, network) for s, supply in supplies.items()}
    cases |= {f"{s} over": (replace(supply, line_voltage=over), network) for s, supply in supplies.items()}
    found = solve_at_once(built, cases)
    stressed = [found[f"{s} over"] for s in SEQUENCES]
    for s in SEQUENCES:
        pairs = zip(built.lamps, found[f"{s} over"].lamp_states, strict=True)
        lit = tuple(lamp.name for lamp, seen in pairs if seen != DARK and lamp.name != fault.split()[0])
        if lit:
            burning = with_lit_lamps(built, network, ohms=SHORT, lamps=lit)
            stressed += solve_at_once(built, {s: (cases[f"{s} over"][0], burning)}).values()
    part, share = max(_shares(design, fault, stressed).items(), key=lambda item: item[1])
    seen = {s: as_seen(built.lamps, found[s].lamp_states, found[s].lamp_volts, fault) for s in SEQUENCES}
    return TriedFault(fault, part, share, worse_verdict(both_say(built, seen)))


def _shares(design: Design, fault: str, states: list[State]) -> dict[str, float]:
    """Share of its full rating that each part bears, the worst of the states."""
    shares: dict[str, float] = {}
    for e in design.exact.network().elements:
        left = rating_left(fault, e.name, design.pieces_of(e.name))
        if e.name in design.exact.no_parts or not left or e.kind not in ("R", "C"):
            continue
        pieces = left * design.pieces_of(e.name)
        for state in (s for s in states if e.name in s.volts):
            kind = design.size if e.kind == "R" else design.capacitor
            found = [state.volts[e.name] / (pieces * kind.volts)]
            if e.kind == "R":
                found.append(state.watts[e.name] / (pieces * kind.watts))
            shares[e.name] = max(shares.get(e.name, 0.0), *found)
    return shares
