"""What two readings say under a single fault, the worse verdict on it, and what the fault leaves of a part's rating."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from phasorkit.analysis.wiring import CANT_TELL, MISLEADING, TRUE
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.lamps import DARK, Lamp

Seen = tuple[tuple[str, ...], tuple[float, ...]]


def as_seen(lamps: Sequence[Lamp], states: Iterable[object], volts: Iterable[object], fault: str) -> Seen:
    """States and volts [V rms] of one reading as the eye has them: a lamp that failed is dark and counts for nothing.

    >>> as_seen((Lamp("H1", "M", "P"),), ["lit"], [346.4], "H1 open")
    (('dark',), (0.0,))
    """
    failed = [fault in (f"{lamp.name} open", f"{lamp.name} shorted") for lamp in lamps]
    return (
        tuple(DARK if out else str(s) for out, s in zip(failed, states, strict=True)),
        tuple(0.0 if out else float(v) for out, v in zip(failed, volts, strict=True)),  # type: ignore[arg-type]
    )


def both_say(indicator: Indicator, seen: Mapping[str, Seen]) -> dict[str, str]:
    """The conclusion from both readings, by the sequence of the first; `seen` by sequence."""
    single = {s: indicator.conclude(*seen[s]) for s in SEQUENCES}
    return {
        s: indicator.after_swap(seen[s][0], seen[other][0], (single[s], single[other]))
        for s, other in (SEQUENCES, SEQUENCES[::-1])
    }


def worse_verdict(says: Mapping[str, str]) -> str:
    """The worse of the verdicts on what is said on each supply: the right sequence and ``fault`` are both true.

    >>> worse_verdict({"123": "123", "132": "fault"}), worse_verdict({"123": "132", "132": "132"})
    ('true', 'misleading')
    """
    found = {
        TRUE if said in (s, "fault") else MISLEADING if said in SEQUENCES else CANT_TELL for s, said in says.items()
    }
    return next(v for v in (MISLEADING, CANT_TELL, TRUE) if v in found)


def rating_left(fault: str, part: str, pieces: int) -> float:
    """Share of a part's rating that a fault leaves: all elsewhere or drifted, none open or shorted, less in a chain.

    >>> [rating_left(fault, "R1", 4) for fault in ("R2 open", "R1 ×2", "R1 1 of 4 shorted", "R1 open")]
    [1.0, 1.0, 0.75, 0.0]
    """
    if fault.split()[0] != part or "×" in fault:
        return 1.0
    return 1 - 1 / pieces if " of " in fault else 0.0
