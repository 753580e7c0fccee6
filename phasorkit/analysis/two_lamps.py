"""Two lamps and a capacitor (or an inductor) in star as a learner builds it: what each lamp gets, how it glows."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt

from phasorkit._checks import single
from phasorkit.conductors import SYSTEMS
from phasorkit.filament import FilamentLamp
from phasorkit.indicators import Reading
from phasorkit.indicators._two_lamp import CLEAR_PART, VISIBLE_PART, TwoLampStar
from phasorkit.indicators.two_lamp_capacitor import TwoLampCapacitor
from phasorkit.indicators.two_lamp_inductor import TwoLampInductor
from phasorkit.lamps import Lamp

CAPACITOR, INDUCTOR = "capacitor", "inductor"

BRIGHT = 0.66
"""Part of its rated volts from which a filament counts as bright here: a quarter of its light."""


def phase_lamp(line_voltage: float, *, watts: float = 15.0, in_series: int = 1) -> FilamentLamp:
    """A lamp for the phase voltage of a supply: as such lamps are called (230 V for 400 V), else to the volt.

    Parameters
    ----------
    line_voltage : float
        Line to line [V rms].
    watts : float
        Of one lamp [W].
    in_series : int
        Lamps in one branch.

    Examples
    --------
    >>> [phase_lamp(volts).volts for volts in (400, 208, 480, 24)]
    [230.0, 120.0, 277.0, 13.9]
    """
    volts = single(line_voltage, "line_voltage", "V")
    named = [s.phase_voltage for s in SYSTEMS.values() if s.line_voltage == volts and s.phase_voltage]
    exact = volts / sqrt(3)
    return FilamentLamp(float(named[0]) if named else round(exact, 1 if exact < 100 else 0), watts, in_series)


class _Branches(TwoLampStar):
    """A star whose branches are said by the builder: so many lamps in series, with a fixed resistance or a hot one."""

    branch: FilamentLamp
    hot: bool

    @property
    def filament(self) -> FilamentLamp | None:
        """The lamps of one branch if their resistance follows their volts."""
        return self.branch if self.hot else None

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """H1 on L2, H2 on L3, with the thresholds of a filament of this rating."""
        dark, lit = VISIBLE_PART * self.branch.rated_volts, CLEAR_PART * self.branch.rated_volts
        return Lamp("H1", "L2", "S", dark, lit), Lamp("H2", "L3", "S", dark, lit)


@dataclass(frozen=True, kw_only=True)
class _WithCapacitor(_Branches, TwoLampCapacitor):
    branch: FilamentLamp
    hot: bool = False


@dataclass(frozen=True, kw_only=True)
class _WithInductor(_Branches, TwoLampInductor):
    branch: FilamentLamp
    hot: bool = False


@dataclass(frozen=True)
class Glow:
    """How the lamps of one branch glow.

    Parameters
    ----------
    name, at : str
        The lamp and the conductor it belongs on.
    volts : float
        Of the whole branch [V rms].
    part : float
        Volts over rated volts [1].
    light, life : float
        Relative to rated [1]; a dark lamp lives for ever.
    """

    name: str
    at: str
    volts: float
    part: float
    light: float
    life: float

    @property
    def looks(self) -> str:
        """In one word or two.

        >>> [Glow("H1", "L2", 230 * p, p, 0, 0).looks for p in (0.05, 0.2, 0.4, 0.8, 1.5)]
        ['dark', 'a faint glow', 'dim', 'bright', 'too bright, too many volts']
        """
        steps = (
            (VISIBLE_PART, "dark"), (CLEAR_PART, "a faint glow"), (BRIGHT, "dim"), (1.001, "bright"),
            (inf, "too bright, too many volts"),
        )  # fmt: skip
        return next(word for limit, word in steps if self.part < limit)


@dataclass(frozen=True, kw_only=True)
class LampBox:
    """Two equal branches of lamps on L2 and L3 and a reactance on L1, joined at S.

    Parameters
    ----------
    line_voltage, frequency : float
        [V rms] line to line, [Hz].
    lamp : FilamentLamp
        One branch: what is printed on one lamp, and how many stand in series.
    kind : `CAPACITOR` or `INDUCTOR`
        What is on L1.
    reactance_percent : float
        Its reactance as part of the resistance of a branch [%].
    hot : bool
        Whether the resistance of the lamps follows their volts, as a filament's does; else it stays that at phase
        voltage.

    Raises
    ------
    ValueError
        Values that are not positive and finite, unknown kind.

    Examples
    --------
    >>> box = LampBox(line_voltage=400, frequency=50, lamp=FilamentLamp(230, 15))
    >>> [round(glow.part, 2) for glow in box.glows(box.star().on(box.star().supply("123")))]
    [1.5, 0.4]
    """

    line_voltage: float
    frequency: float
    lamp: FilamentLamp
    kind: str = CAPACITOR
    reactance_percent: float = 100.0
    hot: bool = False

    def __post_init__(self) -> None:
        for name, unit in (("line_voltage", "V"), ("frequency", "Hz"), ("reactance_percent", "%")):
            single(getattr(self, name), name, unit)
        if self.kind not in (CAPACITOR, INDUCTOR):
            raise ValueError(f"kind must be {CAPACITOR!r} or {INDUCTOR!r}, got {self.kind!r}")

    @property
    def resistance(self) -> float:
        """Of one branch at phase voltage [Ω]."""
        return float(self.lamp.resistance(self.line_voltage / sqrt(3)))

    @property
    def reactance(self) -> float:
        """Of the part on L1 [Ω]."""
        return self.resistance * self.reactance_percent / 100

    @property
    def value(self) -> float:
        """Of the part on L1: [F] or [H]."""
        omega = 2 * pi * self.frequency
        return 1 / (omega * self.reactance) if self.kind == CAPACITOR else self.reactance / omega

    def star(self) -> TwoLampStar:
        """The circuit."""
        if self.kind == CAPACITOR:
            return _WithCapacitor(
                capacitance=self.value, lamp_resistance=self.resistance, line_voltage=self.line_voltage,
                frequency=self.frequency, branch=self.lamp, hot=self.hot,
            )  # fmt: skip
        return _WithInductor(
            inductance=self.value, lamp_resistance=self.resistance, line_voltage=self.line_voltage,
            frequency=self.frequency, branch=self.lamp, hot=self.hot,
        )  # fmt: skip

    def glows(self, reading: Reading) -> tuple[Glow, Glow]:
        """How H1 and H2 glow in a single (not batched) reading of the star."""
        one, two = (
            self._glow(lamp, float(v)) for lamp, v in zip(reading.indicator.lamps, reading.lamp_volts, strict=True)
        )
        return one, two

    def _glow(self, lamp: Lamp, volts: float) -> Glow:
        part = volts / self.lamp.rated_volts
        light, life = float(self.lamp.light(volts)), float(self.lamp.life(volts)) if part > 0.01 else inf
        return Glow(lamp.name, lamp.a, volts, part, light, life)
