"""What the briefs of the exercise `capstone` ask, and one good parts list for each."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.model import Brief
from phasorkit.course.parts_list import KINDS
from phasorkit.course.parts_verdict import Job
from phasorkit.course.plain import PlainData
from phasorkit.indicators.base import OVERVOLTAGE, reactance
from phasorkit.indicators.touch_probe import TOUCH_LIMIT
from phasorkit.parts import nearest, neighbours
from phasorkit.supply import CONDUCTORS

STALLS, BENCH, PUMPS = "market stalls", "workshop", "pump house"
JOBS = {
    STALLS: "one reading must name the sequence; no person in the circuit",
    BENCH: "two readings, with two conductors exchanged in between; no person in the circuit",
    PUMPS: "two readings; only L1 and L2 within reach; a person may be part",
}
"""The three jobs, and what each asks, as the learner's numbers tell it."""

CAPACITORS = (2.2e-9, 3.3e-9, 4.7e-9)
PIECES = (3, 4)
CLOSE = 0.004


def job(brief: Brief) -> Job:
    """What the brief asks of a design."""
    off = brief.frequency_off / 100
    return Job(
        one_reading=brief.job == STALLS,
        frequency=(1 - off, 1 + off),
        reach=CONDUCTORS[:2] if brief.job == PUMPS else CONDUCTORS,
        person=brief.job == PUMPS,
        finest=brief.closest_capacitor,
    )


def example(brief: Brief) -> dict[str, PlainData]:
    """One parts list that does all that is asked."""
    capacitance, pieces, each = _resistance(brief)
    bridge = f"{pieces} x {each:.0f}"
    kinds: dict[str, PlainData] = {
        "R kind": "0.5 W film", "R tolerance": 1,
        "C kind": _capacitor(brief), "C tolerance": brief.closest_capacitor,
    }  # fmt: skip
    if brief.job == STALLS:
        return {"circuit": "twin", "R1 R2 R3 R4 R5 R6": bridge, "C1 C2": capacitance, **kinds}
    if brief.job == BENCH:
        return {"circuit": "null bridge", "R1 R2 R3": bridge, "C1": capacitance, **kinds}
    half = float(nearest(reactance(capacitance, brief.frequency) / sqrt(3) / 2 / pieces))
    return {
        "circuit": "touch pad", "R1 R2": bridge, "R3 R4": f"{pieces} x {half:.0f}",
        "R5 R6": f"3 x {_pad(brief) / 3:.0f}", "C1": capacitance, **kinds,
    }  # fmt: skip


def _resistance(brief: Brief) -> tuple[float, int, float]:
    """Capacitor [F], pieces, and value of each [Ω]: the first set that R = Xc/√3 comes close to, else the closest."""
    found = []
    for capacitance in CAPACITORS:
        wanted = float(reactance(capacitance, brief.frequency) / sqrt(3))
        for pieces in PIECES:
            each = float(nearest(wanted / pieces))
            found.append((max(abs(pieces * each / wanted - 1), CLOSE), capacitance, pieces, each))
    _, capacitance, pieces, each = min(found, key=lambda f: f[0])
    return capacitance, pieces, each


def _pad(brief: Brief) -> float:
    """A resistor to the pad in three pieces [Ω]: alone it holds the touch current, whatever stands before it."""
    least = OVERVOLTAGE * brief.line_voltage / sqrt(3) / TOUCH_LIMIT
    return 3 * float(neighbours(least / 3)[1])


def _capacitor(brief: Brief) -> str:
    """The smallest class that bears 110 % of line voltage; class Y where a person is behind it."""
    letter = "Y" if brief.job == PUMPS else "X"
    need = OVERVOLTAGE * brief.line_voltage
    fit = [name for name, kind in KINDS.items() if name[0] == letter and kind.volts >= need]
    return fit[0] if fit else [name for name in KINDS if name[0] == letter][-1]
