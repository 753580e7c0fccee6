"""What to buy: resistors in series for volts and watts, capacitor class, margins, and the charge left behind.

All figures of parts are common practice (data sheets of many makers), those of standards are from memory; the data
sheet and the edition in force go before them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import ceil, pi, sqrt

from phasorkit._checks import single
from phasorkit.analysis.stress import Stress, stresses
from phasorkit.indicators.base import Indicator
from phasorkit.network import UNIT_OF_KIND, Element
from phasorkit.parts import nearest, series_values
from phasorkit.quantities import render
from phasorkit.supply import Supply


@dataclass(frozen=True)
class Size:
    """A kind of part that is sold: what it is called, volts it stands [V rms], watts [W] or test pulse [V peak]."""

    name: str
    volts: float
    watts: float = 0.0
    pulse: float = 0.0


RESISTORS = (
    Size("0.25 W film", 200, 0.25),
    Size("0.5 W film", 300, 0.5),
    Size("1 W film", 350, 1.0),
    Size("2 W film", 500, 2.0),
    Size("5 W wirewound", 500, 5.0),
)
"""Film resistors: a quarter-watt one stands 200 to 250 V, taken as 200 V (common practice)."""

DERATING = 0.5
"""Share of the rated power that is used: half, for a closed case and a long life (common practice)."""

MOST_PIECES = 4
"""Up to so many equal pieces in series before the next larger size is taken."""

CLOSE = 0.005
"""Deviation of a chain from its value that is as good as none beside 1 % parts."""

FILM = (
    Size("film, 63 V dc", 40),
    Size("film, 100 V dc", 63),
    Size("film, 250 V dc", 160),
    Size("film, 400 V dc", 200),
)
"""Plain film capacitors by dc rating, with the volts rms they stand at mains frequency: about half, since ac heats and
sparks; a 400 V dc film capacitor is not a 400 V ac one (common practice)."""

CLASS_X = (Size("X2", 275, pulse=2500), Size("X2", 305, pulse=2500), Size("X1", 440, pulse=4000),
           Size("X1", 760, pulse=4000))  # fmt: skip
CLASS_Y = (Size("Y2", 300, pulse=5000), Size("Y1", 500, pulse=8000))
"""Interference suppression classes: X between phases, Y where a failure may put a person in danger (IEC 60384-14, from
memory)."""

EXTRA_LOW = 50.0
"""Line voltage [V rms] up to which no X class is asked for (IEC 60364-4-41 extra-low voltage, from memory)."""

IMPULSES = ((50, 800), (100, 1500), (150, 2500), (300, 4000), (600, 6000), (1000, 8000))
"""Impulse [V peak] by volts to neutral up to [V rms], overvoltage category III (IEC 60664-1, from memory)."""


@dataclass(frozen=True)
class RatingRecord:
    """One part: what it must stand, in which state, and what to buy for it.

    `volts` [V rms], `volts_peak` and `watts` [W] are the worst at 110 % of the nominal voltage; `pieces` equal ones
    in series of `each_value` [`unit`] of the kind `buy` stand `rated_volts` [V rms] and `rated_watts` together;
    `margin` is rated over required, by volts or by derated watts, whichever is tighter. They are None where the part is
    ordered by what it must stand.
    """

    name: str
    kind: str
    role: str
    value: float
    unit: str
    volts: float
    volts_peak: float
    volts_state: str
    watts: float
    watts_state: str
    pieces: int
    each_value: float
    buy: str
    rated_volts: float | None
    rated_watts: float | None
    margin: float | None
    remark: str


def ratings(indicator: Indicator, *, supply: Supply | None = None) -> tuple[RatingRecord, ...]:
    """Required and chosen ratings of every part that is bought.

    Parameters
    ----------
    indicator : Indicator
    supply : Supply, optional
        Default: the nominal one at 110 % of its voltage.

    Returns
    -------
    tuple of RatingRecord
        Over both sequences, every wiring state, an earthed probe and a lost conductor, lamps lit or not. Where a person
        is in series also over every single fault: no part may fail because another did.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [(r.name, r.pieces, r.buy) for r in ratings(bridge)]
    [('R1', 3, '0.25 W film'), ('R2', 2, '0.25 W film'), ('R3', 2, '0.25 W film'), ('C1', 1, 'X1, 440 V ac')]
    """
    worst = stresses(indicator, supply=supply, faulty=_person_behind(indicator))
    bought = (e for e in indicator.network().elements if e.name not in indicator.no_parts)
    return tuple(_rated(indicator, e, worst[e.name]) for e in bought)


def chain(record: RatingRecord, series: str = "E24") -> tuple[float, ...]:
    """Preferred values that make up a resistor of several pieces, smallest first.

    Parameters
    ----------
    record : RatingRecord
        Of a resistor; any other part comes back as its equal pieces, as they are.
    series : str
        Preferred series (IEC 60063).

    Returns
    -------
    tuple of float
        [Ω]. The most even set within `CLOSE` of the value; failing that one piece more is tried, then the closest set
        is taken. No piece bears more than it stands.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> [chain(r) for r in ratings(bridge)[:2]]
    [(130000.0, 130000.0, 130000.0), (150000.0, 240000.0)]
    """
    if record.kind != "R" or record.rated_watts is None or record.rated_volts is None:
        return (record.each_value,) * record.pieces
    if record.pieces == 1:
        return (float(nearest(record.value, series)),)
    share = min(record.rated_volts / record.volts, DERATING * record.rated_watts / max(record.watts, 1e-12))
    most = share * record.each_value
    decade = series_values(series)
    sold = [float(f"{v:.3g}e{p}") for p in range(-1, 9) for v in decade]
    sets = [
        values
        for count in (record.pieces, record.pieces + 1)
        for values in combinations_with_replacement(_near(sold, record.value / count, most), count)
    ]

    def off(values: tuple[float, ...]) -> tuple[float, int, float]:
        deviation = abs(sum(values) / record.value - 1)
        return max(deviation, CLOSE), len(values), values[-1] / values[0]

    return min(sets, key=off)


def impulse(line_voltage: float, *, star_earthed: bool = True) -> float:
    """Impulse that a system may bring [V peak], overvoltage category III, by its volts to neutral.

    An isolated or corner-earthed system counts by its line voltage (IEC 60664-1, annex B, from memory).

    ValueError unless positive, and above 1000 V of what counts.

    >>> impulse(400), impulse(690), impulse(690, star_earthed=False)
    (4000, 6000, 8000)
    """
    share = sqrt(3) if star_earthed else 1.0
    counted = single(line_voltage, "line_voltage", "V") / share
    for limit, peak in IMPULSES:
        if counted <= limit:
            return peak
    raise ValueError(f"line_voltage must be at most {1000 * share:.0f} V rms, got {line_voltage!r}")


def remarks(indicator: Indicator) -> tuple[str, ...]:
    """What figures do not say, as far as it touches this indicator: dc for ac, flash-over, pulses, the probes."""
    records = ratings(indicator)
    said = []
    if any(r.kind == "C" for r in records):
        said.append(
            "A capacitor's dc rating is no ac rating: the peak must stay below it, and heat and sparking ask for more. "
            "A film capacitor for 400 V dc stands some 200 V ac (common practice)."
        )
    if any(r.kind == "C" and r.pieces > 1 for r in records):
        said.append("Capacitors in series share the volts by their values: same make, close tolerance, some margin.")
    if indicator.line_voltage > EXTRA_LOW:
        star, other = (impulse(indicator.line_voltage, star_earthed=star) / 1000 for star in (True, False))
        said += [
            f"A pulse of up to {star:g} kV may come with this system at overvoltage category III, {other:g} kV if it "
            "is isolated or corner earthed (IEC 60664-1, from memory). Film resistors in series share a pulse; one "
            "alone flashes over at some 500 to 1000 V (common practice). Lay a chain in one line, never side by side, "
            "so that a pulse cannot jump over it.",
            "Fused or resistor-protected probes, leads and case for the voltage and category in force (IEC 61010-031). "
            "A resistor in a probe is part of the circuit: up to a hundredth of the resistance above hardly shows.",
        ]
    return tuple(said)


def _rated(indicator: Indicator, e: Element, need: Stress) -> RatingRecord:
    chosen, pieces = _choice(indicator, e, need)
    value = float(e.value)  # type: ignore[arg-type]
    watts = pieces * chosen.watts if chosen.watts else None
    volts = pieces * chosen.volts if chosen.volts else None
    margins = [volts / need.volts] if volts and need.volts else []
    if watts and need.watts:
        margins.append(DERATING * watts / need.watts)
    buy = f"{chosen.name}, {chosen.volts:.0f} V ac" if chosen.pulse else chosen.name
    return RatingRecord(
        name=e.name, kind=e.kind, role=indicator.roles[e.name], value=value, unit=UNIT_OF_KIND[e.kind],
        volts=need.volts, volts_peak=sqrt(2) * need.volts, volts_state=need.volts_state,
        watts=need.watts, watts_state=need.watts_state,
        pieces=pieces, each_value=value * pieces if e.kind == "C" else value / pieces, buy=buy,
        rated_volts=volts, rated_watts=watts, margin=min(margins, default=None),
        remark=_remark(indicator, e, need, chosen, pieces),
    )  # fmt: skip


def _choice(indicator: Indicator, e: Element, need: Stress) -> tuple[Size, int]:
    """The smallest kind of part that does it in few pieces, and how many."""
    filament = getattr(indicator, "filament", None)
    if filament and e.name in {lamp.name for lamp in indicator.lamps}:
        return Size(f"{filament.volts:g} V {filament.watts:g} W lamp", filament.volts), filament.in_series
    if e.kind == "L":
        return Size(f"coil for {need.volts:.0f} V ac", 0.0), 1
    if e.kind == "R":
        counted = [(s, max(_pieces(need.volts, s.volts), _pieces(need.watts, DERATING * s.watts))) for s in RESISTORS]
        last = (Size(f"load resistor {need.watts / DERATING:.0f} W", 0.0), 1)
        return next((c for c in counted if c[1] <= MOST_PIECES), last)
    ladder = FILM if indicator.line_voltage <= EXTRA_LOW else CLASS_Y if _person_behind(indicator) else CLASS_X
    one = next((s for s in ladder if s.volts >= need.volts), None)
    return (one, 1) if one else (ladder[-1], _pieces(need.volts, ladder[-1].volts))


def _near(sold: list[float], even: float, most: float) -> list[float]:
    """Values from half to twice an even share [Ω], thinned to some 16, none above `most`."""
    near = [v for v in sold if even / 2 <= v <= 2 * even]
    return [v for v in near[:: max(1, len(near) // 12)] if v <= most] or [max(v for v in sold if v <= most)]


def _pieces(required: float, each: float) -> int:
    return max(1, ceil(required / each - 1e-9))


def _person_behind(indicator: Indicator) -> bool:
    """A current path to earth is a person's: no other part may end there."""
    return any("PE" in (e.a, e.b) for e in indicator.network().elements)


def _remark(indicator: Indicator, e: Element, need: Stress, chosen: Size, pieces: int) -> str:
    if e.kind == "R":
        return f"{pieces} in series, end to end" if pieces > 1 else ""
    if e.kind == "L":
        ampere = need.volts / (2 * pi * indicator.frequency * float(e.value))  # type: ignore[arg-type]
        return f"insulation of the winding for these volts, wire for {render(ampere, 'A', digits=2)}"
    if chosen in FILM:
        return ""
    series = "in series, " if pieces > 1 else ""
    peak = impulse(indicator.line_voltage)
    enough = chosen.pulse * pieces >= peak
    short = "" if enough else f", less than the {peak / 1000:g} kV of this system: put resistance on both sides"
    return f"{series}test pulse {chosen.pulse / 1000:g} kV{short}"
