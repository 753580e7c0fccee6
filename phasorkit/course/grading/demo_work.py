"""What the made-up class writes into its answer cells: right, half right, wrong and blank work on exercise `bridge`.

Ids only. A name after ``$`` stands for a number of that learner's own, see `phasorkit.course.grading.demo`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True)
class Pupil:
    """One made-up learner: id, and the answers that differ from `RIGHT` (None: left blank).

    `begins_as`: another id in the begin cell than the file's. `flat`: handed in as one file, not in a folder.
    """

    learner: str
    answers: Mapping[str, str | None] = field(default_factory=lambda: MappingProxyType({}))
    begins_as: str = ""
    flat: bool = False


RIGHT = MappingProxyType(
    {
        "reactance": "from math import pi\nreactance = 1 / (2 * pi * brief.frequency * brief.capacitance)",
        "resistance": "resistance = reactance / 3 ** 0.5",
        "preferred": (
            "e24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]\n"
            "values = [n * 10 ** k for n in e24 for k in range(8)]\n"
            "preferred = min(values, key=lambda value: abs(value - resistance))"
        ),
        "volts": (
            "U = brief.line_voltage\n"
            'parts = {"R1": U / 2, "R2": U / 2, "R3": U / 2, "C1": U * 3 ** 0.5 / 2}\n'
            'volts = {"123": {**parts, "lamp": 0}, "132": {**parts, "lamp": U * 3 ** 0.5 / 2}}'
        ),
        "power": "power = (1.1 * brief.line_voltage / 2) ** 2 / resistance",
        "residual": (
            "low, high = 0.99 * preferred, 1.01 * preferred\n"
            "residual = 0\n"
            "for c in (0.95 * brief.capacitance, 1.05 * brief.capacitance):\n"
            "    for r3 in (low, high):\n"
            "        residual = max(residual, lamp_volts(low, high, r3, c), lamp_volts(high, low, r3, c))"
        ),
    }
)

_AS_TEXT = {
    "reactance": 'reactance = "$reactance"',
    "resistance": 'resistance = "$resistance"',
    "preferred": 'preferred = "$preferred"',
    "volts": (
        'parts = {"R1": "$half", "R2": "$half", "R3": "$half", "C1": "$leg"}\n'
        'volts = {"123": {**parts, "lamp": "0 V"}, "132": {**parts, "lamp": "$leg"}}'
    ),
    "power": 'power = "$power"',
    "residual": 'residual = "$residual"',
}
_PHASE_VOLTS = RIGHT["volts"].replace("U = brief.line_voltage", "U = brief.line_voltage / 3 ** 0.5")
_EXCHANGED = RIGHT["volts"].replace('"123"', '"other"').replace('"132"', '"123"').replace('"other"', '"132"')
_HALF_A_TABLE = (
    "U = brief.line_voltage\n"
    'volts = {"123": {"R1": U / 2, "R2": U / 2, "R3": U / 2, "C1": U / 2, "lamp": 0}, "132": {"R1": U / 2}}'
)
_LINE_ON_R3 = "power = brief.line_voltage ** 2 / resistance"
_EXACT_PARTS = "residual = lamp_volts(preferred, preferred, preferred, brief.capacitance)"
_IN_MICROFARAD = "C = brief.capacitance * 1000  # in µF?\nreactance = 1 / (2 * 3.14 * brief.frequency * C)"
_NO_TWO_PI = {"reactance": "reactance = 1 / (brief.frequency * brief.capacitance)"}
_GAVE_UP = {"preferred": None, "volts": None, "power": None, "residual": None}
_GUESSES = {
    "resistance": "resistance = reactance / sqrt(3)",  # sqrt is not there: the cell fails
    "preferred": "preferred = 1000",
    "power": 'power = "no idea"',
    "residual": "residual = brief.line_voltage / 7",
}

PUPILS = (
    Pupil("app-01"),
    Pupil("app-02", _AS_TEXT),
    Pupil("app-03", {"resistance": "resistance = reactance * 3 ** 0.5"}),
    Pupil("app-04", _NO_TWO_PI, flat=True),
    Pupil("app-05", {"volts": _PHASE_VOLTS, "power": 'power = (1.1 * volts["123"]["R3"]) ** 2 / resistance'}),
    Pupil("app-06", {"resistance": "resistance = reactance", "residual": None}),
    Pupil("app-07", {"reactance": _IN_MICROFARAD, "power": _LINE_ON_R3, "residual": None}),
    Pupil("app-08", {**_NO_TWO_PI, **_GAVE_UP}, flat=True),
    Pupil("app-09", {"volts": _EXCHANGED, "power": RIGHT["power"].replace("1.1 * ", ""), "residual": _EXACT_PARTS}),
    Pupil("app-10", {"preferred": "preferred = $other", "volts": _HALF_A_TABLE, "power": _LINE_ON_R3}),
    Pupil("app-11", _GUESSES),
    Pupil(
        "app-12",
        {"resistance": "resistance = reactance", "volts": _PHASE_VOLTS, "power": _LINE_ON_R3, "residual": _EXACT_PARTS},
        begins_as="app-21",
    ),
)
"""The class of twelve."""
