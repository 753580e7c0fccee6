"""Read a parts list: a circuit by its name, pieces and value of every part, kinds and tolerances, out of plain data."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeGuard

from phasorkit.analysis.design import CAPACITOR_KINDS, Design
from phasorkit.analysis.ratings import RESISTORS, Size
from phasorkit.course.plain import PlainData
from phasorkit.course.reading import Trouble, read_number
from phasorkit.indicators import Indicator, circuit

Groups = Mapping[str, tuple[str, ...]]

CIRCUITS: Mapping[str, tuple[str, Groups]] = {
    "null bridge": ("divider-bridge", {"divider": ("R1", "R2"), "resistance": ("R3",), "capacitance": ("C1",)}),
    "two-capacitor bridge": (
        "double-rc-bridge",
        {"resistance": ("R1",), "second_resistance": ("R2",), "series_resistance": ("R3",),
         "capacitance": ("C1", "C2")},
    ),
    "twin": (
        "twin-bridge",
        {"divider": ("R1", "R2", "R4", "R5"), "resistance": ("R3", "R6"), "capacitance": ("C1", "C2")},
    ),
    "LED pair": ("led-pair", {"dropping": ("R1", "R3"), "shunt": ("R2", "R4"), "capacitance": ("C1",)}),
    "touch pad": (
        "touch-probe",
        {"resistance": ("R1", "R2"), "half": ("R3", "R4"), "chain": ("R5", "R6"), "capacitance": ("C1",)},
    ),
}  # fmt: skip
"""Circuits by the name that the lessons give them: name in the library, and which parts have the value of which field.

Parts of one field are alike by the circuit's nature, and so a parts list has one value for them.
"""

KINDS = {f"{k.name} {k.volts:.0f} V" if k.pulse else k.name: k for k in CAPACITOR_KINDS}
"""Kinds of capacitor as a parts list has them: plain film by its dc rating, a class with the volts of its print."""

SIZES = {size.name: size for size in RESISTORS}
SENSE = {"R": (1.0, 100e6), "C": (1e-12, 1e-3)}
"""What a part may be at all [Ω], [F]: of all its pieces together, and each."""

MOST = 20
"""Pieces in series that are read; more is no design."""

_EACH_FIRST = re.compile(r"\s*([0-9.,]+\s*[kKMR][^x×*]*?)\s*[x×*]\s*([0-9]{1,2})\s*")
_MADE_OF = re.compile(r"\s*([0-9]{1,3})\s*(?:[x×*]|pieces?\s+of)\s*(.+)", re.IGNORECASE)
_WORD = re.compile(r"[a-z]+[0-9]*|[0-9]+(?:[.][0-9]+)?")


@dataclass(frozen=True, kw_only=True)
class Listed(Design):
    """A design as a parts list has it: every part of its own number of pieces, values as they are.

    `named`: the circuit as the lessons call it; `counts`: pieces in series by part; `resistor_percent` and
    `capacitor_percent`: tolerances [±%].
    """

    named: str
    counts: tuple[tuple[str, int], ...]
    resistor_percent: float
    capacitor_percent: float

    @property
    def bought(self) -> Indicator:
        """The circuit: a list has only what is bought."""
        return self.exact

    def pieces_of(self, part: str) -> int:
        """How many pieces a part is made of."""
        return dict(self.counts).get(part, 1)

    def values(self) -> dict[str, float]:
        """Value of each piece by part [Ω], [F]; nothing that nobody buys."""
        elements = {e.name: float(e.value) for e in self.exact.network().elements}  # type: ignore[arg-type]
        return {part: elements[part] / self.pieces_of(part) for part, _ in self.counts}


def parts_of(named: str) -> tuple[str, ...]:
    """Names of the parts of a circuit, resistors first.

    >>> parts_of("null bridge")
    ('R1', 'R2', 'R3', 'C1')
    """
    names = [part for parts in CIRCUITS[named][1].values() for part in parts]
    return tuple(sorted(names, key=lambda part: (part[0] != "R", part)))


def is_blank(answer: PlainData) -> bool:
    """Whether nothing at all has been filled in."""
    return isinstance(answer, dict) and all(_empty(value) for value in answer.values())


def read_list(answer: PlainData, *, line_voltage: float, frequency: float) -> Listed | Trouble:
    """Read a parts list for a supply [V rms, line to line], [Hz], or say why it cannot be read.

    Never raises on plain data; the words hold no result.

    >>> parts = {"circuit": "null bridge", "R1 R2 R3": "3 x 130k", "C1": "4n7", "R kind": "0.5 W film",
    ...          "R tolerance": "1 %", "C kind": "X1 440 V", "C tolerance": 5}
    >>> found = read_list(parts, line_voltage=400, frequency=50)
    >>> found.exact.resistance, found.pieces_of("R3"), found.capacitor.name, found.values()["R1"]
    (390000.0, 3, 'X1', 130000.0)
    >>> read_list({"circuit": "twin"}, line_voltage=400, frequency=50).slip
    'a part is missing'
    """
    if not isinstance(answer, dict):
        return Trouble("no parts list", 'Keep the form of the answer: a dictionary such as {"circuit": ..., ...}.')
    given = {" ".join(str(key)[:80].split()).casefold(): value for key, value in answer.items()}
    named = _named(given.get("circuit"))
    if isinstance(named, Trouble):
        return named
    made = _made(given, named)
    if isinstance(made, Trouble):
        return made
    kinds = _kinds(given)
    if isinstance(kinds, Trouble):
        return kinds
    return _built(named, made, kinds, line_voltage=line_voltage, frequency=frequency)


def _named(value: PlainData) -> str | Trouble:
    if _empty(value):
        return Trouble("no circuit chosen", 'Choose a circuit first, at "circuit".')
    words = " ".join(_words(value))
    aliases = {"touch probe": "touch pad", "twin bridge": "twin", "double rc bridge": "two-capacitor bridge"}
    known = {" ".join(_words(name)): name for name in CIRCUITS} | {
        " ".join(_words(library)): name for name, (library, _) in CIRCUITS.items()
    }
    found = known.get(words) or aliases.get(words)
    return found or Trouble("not a circuit", f"Choose the circuit among these words, in quotes: {', '.join(CIRCUITS)}.")


def _made(given: Mapping[str, PlainData], named: str) -> dict[str, tuple[int, float]] | Trouble:
    """Pieces and value of each piece of every part."""
    wanted, found = parts_of(named), dict[str, tuple[int, float]]()
    for key, value in given.items():
        parts = [p.upper() for p in re.findall(r"\b[rc][0-9]\b", key)]
        if _empty(value) or not parts or not set(parts) & set(wanted):
            continue
        made = _pieces(value, parts[0][0])
        if isinstance(made, Trouble):
            return Trouble(made.slip, f"{parts[0]}: {made.words}")
        found |= dict.fromkeys(parts, made)
    if missing := [part for part in wanted if part not in found]:
        return Trouble("a part is missing", f"Still without a value: {', '.join(missing)}.")
    return {part: found[part] for part in wanted}


def _pieces(value: PlainData, letter: str) -> tuple[int, float] | Trouble:
    """``"3 x 130k"``, ``"130k x 3"``, ``[3, "130k"]`` or just a value."""
    count, each = 1, value
    if isinstance(value, str) and (match := _MADE_OF.fullmatch(value[:80])):
        count, each = int(match[1]), match[2]
    elif isinstance(value, str) and (match := _EACH_FIRST.fullmatch(value[:80])):
        count, each = int(match[2]), match[1]
    elif isinstance(value, list) and len(value) == 2 and isinstance(value[0], int) and not isinstance(value[0], bool):
        count, each = value[0], value[1]
    if not 1 <= count <= MOST:
        return Trouble("pieces beyond all sense", "Nobody puts so many pieces in series.")
    unit = {"R": "Ω", "C": "F"}[letter]
    ohms = read_number(each, unit)
    if isinstance(ohms, Trouble):
        return ohms
    low, high = SENSE[letter]
    if not (low <= ohms <= high and low <= count * ohms <= high):
        return Trouble("beyond all sense", "No circuit of this kind has such a value: check the prefix.")
    return count, ohms


def _kinds(given: Mapping[str, PlainData]) -> tuple[Size, Size, float, float] | Trouble:
    """Kind of resistor and of capacitor, and their tolerances [±%]."""
    keys = ("r kind", "c kind", "r tolerance", "c tolerance")
    if missing := [key.capitalize() for key in keys if _empty(given.get(key))]:
        return Trouble("a kind is missing", f"Still open: {', '.join(missing)}.")
    size, kind = _among(given["r kind"], SIZES), _among(given["c kind"], KINDS)
    if size is None or kind is None:
        words = "is not among the words of the list above: choose one of them, in quotes."
        return Trouble("no such kind", f"The {'R' if size is None else 'C'} kind {words}")
    r, c = (_percent(name, given[name.casefold()]) for name in ("R tolerance", "C tolerance"))
    if isinstance(r, Trouble):
        return r
    return c if isinstance(c, Trouble) else (size, kind, r, c)


def _percent(name: str, value: PlainData) -> float | Trouble:
    bare = value.replace("±", "").replace("+-", "").strip() if isinstance(value, str) else value
    found = read_number(bare, "%")
    if isinstance(found, Trouble):
        return Trouble(found.slip, f"{name}: {found.words}")
    if not 0.1 <= found <= 50:
        return Trouble("no such tolerance", f"{name}: write per cent, as it is printed on the part.")
    return found


def _built(
    named: str, made: Mapping[str, tuple[int, float]], kinds: tuple[Size, Size, float, float], *,
    line_voltage: float, frequency: float,
) -> Listed | Trouble:  # fmt: skip
    library, groups = CIRCUITS[named]
    totals: dict[str, float] = {}
    for field, parts in groups.items():
        values = {made[part][0] * made[part][1] for part in parts}
        if max(values) > (1 + 1e-9) * min(values):
            return Trouble("unequal parts", f"{', '.join(parts)} are alike in this circuit: give them one value.")
        if parts[0][0] == "C" and any(made[part][0] > 1 for part in parts):
            return Trouble("capacitors in series", "One capacitor for each place: in series their values do not add.")
        totals[field] = values.pop()
    sized: Any = circuit(library)
    base = sized.sized(capacitance=totals["capacitance"], frequency=frequency, line_voltage=line_voltage)
    size, kind, r, c = kinds
    return Listed(
        exact=replace(base, **totals), size=size, capacitor=kind, named=named, resistor_percent=r, capacitor_percent=c,
        counts=tuple((part, count) for part, (count, _) in made.items()),
    )  # fmt: skip


def _among(value: PlainData, kinds: Mapping[str, Size]) -> Size | None:
    """The kind with the same words; ``V``, ``W``, ``ac`` and the like are not told apart, nor film left out."""
    idle = {"v", "w", "ac", "dc", "film", "wirewound", "class", "watt"}
    words = set(_words(value)) - idle
    found = [kind for name, kind in kinds.items() if words and words == set(_words(name)) - idle]
    return found[0] if found else None


def _words(value: PlainData) -> list[str]:
    """Words and numbers in small letters, with decimal points."""
    text = f"{value:g}" if _is_number(value) else value if isinstance(value, str) else ""
    small = text[:80].casefold().replace(", ", " ").replace(",", ".")
    return _WORD.findall(small)


def _is_number(value: PlainData) -> TypeGuard[float]:
    return isinstance(value, float | int) and not isinstance(value, bool) and abs(value) < 1e6


def _empty(value: PlainData) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())
