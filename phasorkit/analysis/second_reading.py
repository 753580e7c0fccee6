"""Two readings with two probes exchanged between them, the mistake staying where it is: in a lead or at a terminal."""

from __future__ import annotations

from dataclasses import dataclass

from phasorkit.analysis.wiring import RIGHT, WiringRecord, poor_contact, record
from phasorkit.indicators.base import Indicator, Reading
from phasorkit.supply import CONDUCTORS, Supply

NOTHING_WRONG = "nothing wrong"
MISTAKES = (
    NOTHING_WRONG, "lead broken", "on neutral", "on earth", "on next phase", "poor contact", "phase at zero",
    "phase back-fed", "dead supply", "lamp H1 failed",
)  # fmt: skip
"""What can be wrong. A broken lead goes with its probe and a failed lamp with the tester; all else stays behind."""

EXCHANGES = (("L1", "L2"), ("L2", "L3"), ("L1", "L3"))
"""Pairs of probes that can be exchanged for the second reading."""


@dataclass(frozen=True)
class TwoReadings:
    """A first reading and a second after two probes were exchanged.

    `first` and `second` are the records of the two, each with its own single conclusion; `first.after_swap` is what
    both together say of the order in which the probes sat at first. `readings` are the solved circuits.
    """

    first: WiringRecord
    second: WiringRecord
    readings: tuple[Reading, Reading]


def two_readings(
    indicator: Indicator,
    *,
    mistake: str = NOTHING_WRONG,
    at: str = "L1",
    exchange: tuple[str, str] = ("L1", "L2"),
    supply: Supply | None = None,
) -> TwoReadings:
    """Read, exchange two probes, read again.

    Parameters
    ----------
    indicator : Indicator
        One with three probes.
    mistake : str
        One of `MISTAKES`.
    at : "L1", "L2" or "L3"
        The probe, terminal or conductor that has it; of no matter for ``dead supply`` and ``lamp H1 failed``.
    exchange : (str, str)
        One of `EXCHANGES`.
    supply : Supply, optional
        Default the nominal one, sequence 1-2-3.

    Raises
    ------
    ValueError
        An unknown mistake, probe or exchange.

    Notes
    -----
    The wiring table keeps the mistake with its probe, as after exchanging two sound conductors. Here it stays at its
    terminal, so exchanging two probes can carry it from one lamp to the other and look like a true change-over.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> star = circuit("two-lamp-capacitor").sized(capacitance=33e-9, frequency=50, line_voltage=400)
    >>> wrong = [two_readings(star, mistake="on neutral", at="L3", exchange=pair) for pair in EXCHANGES]
    >>> [pair.first.after_swap for pair in wrong]
    ['fault', '123', "can't tell"]
    """
    if mistake not in MISTAKES:
        raise ValueError(f"mistake must be one of {', '.join(MISTAKES)}, got {mistake!r}")
    if at not in CONDUCTORS:
        raise ValueError(f"at must be one of {', '.join(CONDUCTORS)}, got {at!r}")
    if exchange not in EXCHANGES:
        raise ValueError(f"exchange must be one of {EXCHANGES}, got {exchange!r}")
    base = _with_mistake(supply or indicator.supply(), mistake, at)
    readings = tuple(
        _read(indicator, laid, mistake, at, contact)
        for laid, contact in ((base, at), (base.swapped(*exchange), _moved(at, exchange)))
    )
    first, second = readings
    wiring = RIGHT if mistake == NOTHING_WRONG else f"{mistake} {at}"
    failed = 0 if mistake == "lamp H1 failed" else None
    return TwoReadings(
        record(first, wiring, swapped=second, failed=failed),
        record(second, wiring, swapped=first, failed=failed),
        (first, second),
    )


def _with_mistake(supply: Supply, mistake: str, at: str) -> Supply:
    """The supply as the probes meet it first; what goes with the lead is left to `_read`."""
    following = CONDUCTORS[(CONDUCTORS.index(at) + 1) % 3]
    laid = {
        "on neutral": supply.neutral_on(at),
        "on earth": supply.earth_on(at),
        "on next phase": supply.doubled(at, following),
        "phase at zero": supply.phase_lost(at),
        "phase back-fed": supply.phase_lost(at, backfed=True),
        "dead supply": supply.dead(),
    }
    return laid.get(mistake, supply)


def _read(indicator: Indicator, supply: Supply, mistake: str, at: str, contact: str) -> Reading:
    if mistake == "poor contact":
        return poor_contact(indicator, supply, contact)
    own = indicator.network()
    if mistake == "lamp H1 failed" and "H1" in (e.name for e in own.elements):
        own = own.opened("H1")  # a filament that burnt through; a glow lamp draws nothing to begin with
    return indicator.on(supply.without(at) if mistake == "lead broken" else supply, network=own)


def _moved(at: str, exchange: tuple[str, str]) -> str:
    """The probe that sits on terminal `at` after the exchange."""
    one, two = exchange
    return {one: two, two: one}.get(at, at)
