"""What an indicator app shows for given settings: plain values in, plain values out, no widget in sight."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from html import escape
from types import MappingProxyType

from phasorkit.draw import Picture, phasor_diagram, waveforms, words
from phasorkit.draw.scale import drawing_of
from phasorkit.draw.survey import Survey, survey
from phasorkit.indicators import Indicator, Reading, circuit
from phasorkit.supply import Supply

VIEWS = ("scale drawing", "phasors", "waves")
Value = float | str


@dataclass(frozen=True, kw_only=True)
class Settings:
    """All that can be set in an indicator app.

    Parameters
    ----------
    circuit : str
        Circuit name.
    line_voltage, frequency : float
        Of the supply: line to line [V rms], [Hz].
    sequence : "123" or "132"
    parts : mapping of field to value
        Givens of the circuit (such as ``capacitance`` [F]) and its resistances [Ω]; what is missing is sized.
    probes : mapping of probe to what it touches
        A conductor, ``N``, or "" for nothing; a probe that is missing lies right.
    view : one of `VIEWS`
    symbols : "IEC" or "NA"
    """

    circuit: str = "divider-bridge"
    line_voltage: float = 400.0
    frequency: float = 50.0
    sequence: str = "123"
    parts: MappingProxyType[str, Value] = field(default_factory=lambda: MappingProxyType({}))
    probes: MappingProxyType[str, str] = field(default_factory=lambda: MappingProxyType({}))
    view: str = VIEWS[0]
    symbols: str = "IEC"


@dataclass(frozen=True)
class Shown:
    """What the app shows: the reading, its picture, the line below it, and the rows of its table."""

    reading: Reading
    picture: Picture
    line: str
    rows: tuple[tuple[str, str, str, str], ...]


def compute(settings: Settings) -> Shown:
    """Solve and draw for the settings.

    Raises
    ------
    ValueError, KeyError
        A setting that the library refuses; the message says what is accepted.

    Examples
    --------
    >>> settings = Settings(sequence="132", parts=MappingProxyType({"capacitance": 4.7e-9}))
    >>> compute(settings).rows[-1]
    ('H1', 'M–P', '346 V', 'lit')
    """
    indicator = build(settings)
    reading = indicator.on(supplied(settings))
    facts = survey(reading)
    return Shown(reading, _picture(reading, facts, settings), _line(facts), tuple(_rows(facts)))


def draw(shown: Shown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def build(settings: Settings) -> Indicator:
    """The indicator of the settings: sized from its givens, then with the resistances that were set."""
    kind = circuit(settings.circuit)
    nominal = {"line_voltage": settings.line_voltage, "frequency": settings.frequency}
    names = [given.name for given in kind.inputs]
    parts = {**nominal, **settings.parts}
    sized: Indicator = kind.sized(**{n: parts[n] for n in names if n in parts})  # type: ignore[attr-defined]
    chosen = {f: settings.parts[f] for f in sized.resistances if f in settings.parts and f not in names}
    return replace(sized, **chosen)  # type: ignore[type-var]


def supplied(settings: Settings) -> Supply:
    """The supply of the settings, with the probes laid as they say."""
    supply = Supply(line_voltage=settings.line_voltage, frequency=settings.frequency, sequence=settings.sequence)
    for probe, touched in settings.probes.items():
        if touched == "":
            supply = supply.without(probe)
        elif touched == "N":
            supply = supply.neutral_on(probe)
        elif touched != probe:
            supply = supply.doubled(probe, touched)
    return supply


def table(shown: Shown) -> str:
    """The numbers as a small HTML table: one column a part, lamps last."""
    heads = ("part", "between", "volts", "value, state")
    columns = (heads, *shown.rows)
    cell = 'style="padding:0 9px;text-align:center;border-bottom:1px solid #d5dae0"'
    lines = []
    for k in range(len(heads)):
        tag = "th" if k == 0 else "td"
        first = f'<th scope="row" {cell}>{heads[k]}</th>'
        cells = "".join(f"<{tag} {cell}>{escape(column[k])}</{tag}>" for column in columns[1:])
        lines.append(f"<tr>{first}{cells}</tr>")
    return f'<table style="border-collapse:collapse;line-height:1.45;font-size:12px">{"".join(lines)}</table>'


def _picture(reading: Reading, facts: Survey, settings: Settings) -> Picture:
    if settings.view == VIEWS[0]:
        return drawing_of(facts, symbols=settings.symbols)
    views: dict[str, Callable[[Reading], Picture]] = {VIEWS[1]: phasor_diagram, VIEWS[2]: waveforms}
    if settings.view not in views:
        raise ValueError(f"view must be one of {', '.join(VIEWS)}, got {settings.view!r}")
    return views[settings.view](reading)


def _line(facts: Survey) -> str:
    where = f"Sequence {words.sequence(facts.sequence)}, {words.wiring(facts.touching)}."
    return words.sentences((where, words.lamps(facts), words.geometry(facts)))


def _rows(facts: Survey) -> list[tuple[str, str, str, str]]:
    rows = []
    for s in facts.spans:
        rows.append((s.name, f"{s.a}–{s.b}", words.volts(s.volts), s.value or s.state))
    return rows
