"""Loads outside truth from ``tests/reference/*.csv``; refuses a row that does not say where it comes from.

Every row names what it checks (`id`, `given`, `quantity`, `expected`, `unit`), how well it is known (`digits` printed,
`tolerance` and `why` that one) and its origin (`source`, `edition`, `where` in it, and `origin`: at hand, recalled
`from memory`, or `common practice`).
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).parent / "reference"
COLUMNS = (
    "id", "given", "quantity", "expected", "unit", "digits", "tolerance", "why", "source", "edition", "where", "origin",
)  # fmt: skip
ORIGINS = ("at hand", "from memory", "common practice")


@dataclass(frozen=True)
class Row:
    """One value from outside. `tolerance` is absolute [unit], or relative where `relative`, or 0 for an exact text."""

    id: str
    given: dict[str, str]
    quantity: str
    expected: str
    unit: str
    tolerance: float
    relative: bool

    def numbers(self) -> np.ndarray:
        """The expected values, separated by semicolons, each as `number` reads it."""
        return np.array([number(text) for text in self.expected.split(";")])

    def check(self, *values: complex) -> None:
        """Fail unless every value lies within the tolerance of the expected one (distance in the complex plane)."""
        if self.tolerance == 0:
            raise ValueError(f"{self.id}: an exact row is compared as text")
        expected = self.numbers()
        assert len(expected) == len(values), f"{self.id}: {len(values)} values for {len(expected)} expected"
        allowed = self.tolerance * (np.abs(expected) if self.relative else 1)
        off = np.abs(np.array(values) - expected)
        assert np.all(off <= allowed), f"{self.id}: {values} is not {self.expected} {self.unit} (off by {off})"


def number(text: str) -> complex:
    """Real (``3.2``), rectangular (``6.48-2.64j``) or polar with degrees (``3.2∠-30``)."""
    if text.strip().endswith("j"):
        return complex(text.strip())
    magnitude, _, angle = text.strip().partition("∠")
    return complex(float(magnitude) * np.exp(1j * np.deg2rad(float(angle or 0))))


def load(name: str, folder: Path = FOLDER) -> list[Row]:
    """Every row of one file; a ValueError names the file, the line and what is missing."""
    path = folder / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        if tuple(reader.fieldnames or ()) != COLUMNS:
            raise ValueError(f"{path.name}: columns must be {', '.join(COLUMNS)}, got {reader.fieldnames}")
        rows = [_row(fields, f"{path.name} line {reader.line_num}") for fields in reader]
    ids = [row.id for row in rows]
    if not rows or len(set(ids)) != len(ids):
        raise ValueError(f"{path.name}: no rows, or an id used twice")
    return rows


def files() -> list[str]:
    """The names of all reference files."""
    return sorted(path.stem for path in FOLDER.glob("*.csv"))


def _row(fields: dict[str, str], place: str) -> Row:
    blank = [column for column in COLUMNS if not (fields.get(column) or "").strip()]
    if blank or None in fields:
        raise ValueError(f"{place}: nothing in {', '.join(blank) or 'the header for a further column'}")
    if fields["origin"] not in ORIGINS:
        raise ValueError(f"{place}: origin must be one of {', '.join(ORIGINS)}, got {fields['origin']!r}")
    if not re.fullmatch(r"exact|[1-9]", fields["digits"]):
        raise ValueError(f"{place}: digits must be the digits printed or 'exact', got {fields['digits']!r}")
    if len(fields["why"].split()) < 3:
        raise ValueError(f"{place}: why must give a reason for the tolerance, got {fields['why']!r}")
    tolerance, relative = _tolerance(fields["tolerance"], place)
    pairs = (item.partition("=") for item in fields["given"].split("|"))
    given = {key.strip(): value.strip() for key, _, value in pairs}
    return Row(fields["id"], given, fields["quantity"], fields["expected"], fields["unit"], tolerance, relative)


def _tolerance(text: str, place: str) -> tuple[float, bool]:
    match = re.fullmatch(r"exact|([0-9.]+(?:e-?[0-9]+)?) (abs|rel)", text)
    if not match or (match[1] and not 0 < float(match[1]) < np.inf):
        raise ValueError(f"{place}: tolerance must be 'exact', '<number> abs' or '<number> rel', got {text!r}")
    return (float(match[1]), match[2] == "rel") if match[1] else (0.0, False)
