"""What a builder must know before trusting the indication: where a lamp may not do what the volts as built say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from phasorkit.lamps import DARK, LIT
from phasorkit.quantities import render

Rows = Sequence[Mapping[str, Any]]

IN_SERIES = "Two alike lamps in series strike at twice the volts (common practice)."
FAINT = "Take a larger capacitor, or another circuit."


def doubts(lamps: Rows, tolerance: Mapping[str, Any], in_time: Rows) -> tuple[str, ...]:
    """Sentences for the head of the sheet; none where the indication holds.

    Parameters
    ----------
    lamps : sequence of mappings
        ``name``, ``dark_below`` and ``lit_above`` [V rms] of every lamp.
    tolerance : mapping
        As `phasorkit.analysis.sheet.tolerance_summary` gives it.
    in_time : sequence of mappings
        Fields of `LampInTime`, both sequences; empty for lamps that are resistors of the network (filaments): they
        are judged by which is the brighter, so only the classes count.

    Examples
    --------
    >>> row = {"lamp": "H1", "sequence": "123", "state": "dark", "lowest": 0.0, "highest": 53.0}
    >>> summary = {"lamps": [row], "harmonics": [], "loosest_classes": []}
    >>> time = [{"lamp": "H1", "sequence": "123", "state": "dark", "reason": ""}]
    >>> doubts([{"name": "H1", "dark_below": 40.0, "lit_above": 90.0}], summary, time)[0]
    'Within tolerance H1 may have 53 V at 123, where it should be dark, and one that strikes at 40 V lights.'
    """
    window = {lamp["name"]: lamp for lamp in lamps}
    rows = tolerance["lamps"] if in_time else []
    built = {(r["sequence"], r["lamp"]): r["state"] for r in rows}
    said = []
    high = [r for r in rows if r["state"] == DARK and r["highest"] >= window[r["lamp"]]["dark_below"]]
    if high:
        said.append(_may_light("Within tolerance", max(high, key=lambda r: float(r["highest"])), "highest", window))
    low = [r for r in rows if r["state"] == LIT and r["lowest"] <= window[r["lamp"]]["lit_above"]]
    if low:
        r = min(low, key=lambda row: float(row["lowest"]))
        said.append(
            f"Within tolerance {r['lamp']} may have only {_volts(r['lowest'])} at {r['sequence']}, where it should be "
            f"lit, and one that strikes at {_volts(window[r['lamp']]['lit_above'])} stays dark."
        )
    waves = [
        {"sequence": r["sequence"], "lamp": lamp["name"], "volts": volts}
        for r in tolerance["harmonics"]
        for lamp, volts in zip(lamps, r["lamp_volts"], strict=True)
        if r["order"] == 0 and built.get((r["sequence"], lamp["name"])) == DARK and volts >= lamp["dark_below"]
    ]
    if waves:
        worst = max(waves, key=lambda r: float(str(r["volts"])))
        said.append(_may_light("With all harmonics of a poor public network", worst, "volts", window))
    if not tolerance["loosest_classes"]:
        said.append("No class of parts that is sold holds the indication over the whole window of volts and hertz.")
    if high or waves:
        said.append(IN_SERIES)
    faint = [r for r in in_time if built[r["sequence"], r["lamp"]] == LIT and r["state"] != LIT]
    said += [f"{r['lamp']} at {r['sequence']} should be lit by its volts, but {r['reason']}." for r in faint]
    return (*said, FAINT) if faint else tuple(said)


def _may_light(when: str, r: Mapping[str, Any], key: str, window: Mapping[str, Mapping[str, Any]]) -> str:
    strikes = _volts(window[r["lamp"]]["dark_below"])
    return (
        f"{when} {r['lamp']} may have {_volts(r[key])} at {r['sequence']}, where it should be dark, and one that "
        f"strikes at {strikes} lights."
    )


def _volts(volts: float) -> str:
    return render(volts, "V", digits=3)
