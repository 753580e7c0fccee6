"""What a lamp does in time: struck how often, lit how long, with what current; and from that dark, unsure or lit.

The lamp state of a reading (`Reading.lamp_states`) goes by the unloaded volts alone. Here the lamp draws its current,
and the state comes with a reason. Three lamps are tried in each place: the usual one, and the most and the least
willing of the lamp's window.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from phasorkit._checks import single
from phasorkit.analysis.loading import with_lit_lamps
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.lamps import DARK, LED, LIT, UNSURE, Lamp
from phasorkit.network import Network
from phasorkit.quantities import render
from phasorkit.supply import Supply
from phasorkit.switching import GlowLamp, Led, SwitchingLamp, SwitchingModel
from phasorkit.transient import LampFigures, TimeCourse, steady_state

MODELS: Mapping[str, SwitchingModel] = {"glow": GlowLamp(), LED: Led()}
"""The usual lamp of each kind."""

PULSE = 3.0
"""Peak over rms current from which a lamp is said to fire in pulses; a sine has 1.41, here some 1.5 is usual."""

NEVER = 1e6
"""Strike voltage of a lamp kept from striking [V]."""


@dataclass(frozen=True)
class LampInTime:
    """One lamp over a period of the steady state, in one sequence.

    `state` is ``dark``, ``unsure`` or ``lit``, `reason` says why. The figures are those of the usual lamp: currents [A]
    that make light (mean of the magnitude, rms, peak), `strikes_per_second` [1/s], `lit_fraction` of the time [1],
    volts between the nodes (rms, and momentary largest and smallest) [V]. `settled`: the course repeats every period.
    """

    sequence: str
    lamp: str
    state: str
    reason: str
    mean_ampere: float
    rms_ampere: float
    peak_ampere: float
    strikes_per_second: float
    lit_fraction: float
    volts_rms: float
    volts_max: float
    volts_min: float
    settled: bool


@dataclass(frozen=True)
class BesideLit:
    """The dark lamp of a circuit with several while another one is lit, in one sequence.

    `by_resistor` [V rms]: the lit lamp as a resistor; `by_model` [V rms] and `peak` [V]: as a glow lamp, the dark one
    kept from striking; `strikes`: whether a usual lamp in its place strikes after all.
    """

    sequence: str
    lamp: str
    unloaded: float
    by_resistor: float
    by_model: float
    peak: float
    strikes: bool


def lamps_in_time(
    indicator: Indicator,
    *,
    supply: Supply | None = None,
    network: Network | None = None,
    models: Mapping[str, SwitchingModel] | None = None,
) -> tuple[LampInTime, ...]:
    """Every lamp on one supply.

    Parameters
    ----------
    indicator : Indicator
        Single part values.
    supply : Supply, optional
        Single values; default the nominal one, sequence 123.
    network : Network, optional
        Replaces the indicator's own (faults, other part values).
    models : mapping of lamp kind to model, optional
        ``"glow"`` or ``"LED"``; default `MODELS`.

    Raises
    ------
    ValueError
        A circuit whose lamps are filaments (their resistance follows the rms value; they do not switch); the errors of
        `phasorkit.transient.steady_state`.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> record = lamps_in_time(bridge, supply=bridge.supply("132"))[0]
    >>> record.state, round(1e3 * record.mean_ampere, 2), round(record.strikes_per_second)
    ('lit', 0.49, 100)
    """
    there = supply or indicator.supply()
    usual = {lamp.name: _model(lamp, models) for lamp in indicator.lamps}
    easy = {lamp.name: usual[lamp.name].easy(lamp.dark_below) for lamp in indicator.lamps}
    hard = {lamp.name: usual[lamp.name].hard(lamp.lit_above) for lamp in indicator.lamps}
    course, willing, slow = (lamp_course(indicator, there, network=network, fitted=f) for f in (usual, easy, hard))
    records = []
    for lamp in indicator.lamps:
        figures = course.lamp(lamp.name)
        three = (willing.lamp(lamp.name), figures, slow.lamp(lamp.name))
        state, reason = judge(lamp, usual[lamp.name], three, float(np.asarray(there.frequency)))
        kept = {f: getattr(figures, f) for f in LampFigures.__annotations__ if f in LampInTime.__annotations__}
        records.append(LampInTime(there.sequence, lamp.name, state, reason, settled=course.settled, **kept))
    return tuple(records)


def lamps_switch(indicator: Indicator, *, network: Network | None = None) -> bool:
    """Whether its lamps strike and go out; filament lamps are resistors of the network and do not."""
    own = {e.name for e in (network or indicator.network()).elements}
    return not any(lamp.name in own for lamp in indicator.lamps)


def in_time_table(indicator: Indicator, *, supply: Supply | None = None) -> tuple[LampInTime, ...]:
    """`lamps_in_time` for both sequences, 123 first; `supply` gives voltage, frequency, earthing and wiring."""
    base = supply or indicator.supply()
    return tuple(r for s in SEQUENCES for r in lamps_in_time(indicator, supply=replace(base, sequence=s)))


def lamp_course(
    indicator: Indicator,
    supply: Supply,
    *,
    network: Network | None = None,
    fitted: Mapping[str, SwitchingModel] | None = None,
) -> TimeCourse:
    """The steady state with lamps as they switch: waveforms of every node and lamp on request.

    Parameters
    ----------
    indicator, supply, network
        As `lamps_in_time`.
    fitted : mapping of lamp name to model, optional
        Default: the usual one of each lamp's kind.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> course = lamp_course(bridge, bridge.supply("132"))
    >>> course.voltage("M", "P", times=[0.0, 0.005]).round(1).tolist()
    [61.2, -69.5]
    """
    parts = network or indicator.network()
    if not lamps_switch(indicator, network=parts):
        raise ValueError(f"{indicator.name}: its lamps are filaments, resistors of the network; they do not switch")
    known = fitted or {lamp.name: _model(lamp, None) for lamp in indicator.lamps}
    lamps = tuple(SwitchingLamp(lamp.name, lamp.a, lamp.b, known[lamp.name]) for lamp in indicator.lamps)
    frequency = single(supply.frequency, "frequency", "Hz")
    return steady_state(parts, supply.sources(), frequency=frequency, lamps=lamps)


def judge(
    lamp: Lamp, model: SwitchingModel, three: tuple[LampFigures, LampFigures, LampFigures], frequency: float
) -> tuple[str, str]:
    """State and reason from the figures of the most willing, the usual and the least willing lamp in its place.

    Dark: even the most willing one gives no light that is seen. Lit: even the least willing one plainly does.
    """
    easy, usual, hard = three
    span = render(round(max(abs(usual.volts_max), abs(usual.volts_min)), 3), "V", digits=3)
    low, high = (render(v, "V", digits=2) for v in (lamp.dark_below, lamp.lit_above))
    if easy.mean_ampere < model.unseen_below:
        some = f"passes {render(easy.mean_ampere, 'A', digits=2)} in the mean, too little to be seen"
        reached = max(abs(usual.volts_max), abs(usual.volts_min)) > np.sqrt(2) * lamp.dark_below
        dark = "gets too little current to keep its glow" if reached else "does not light"
        why = some if easy.lit_fraction else dark
        return DARK, f"even a lamp that lights at {low} rms {why}; there are at most {span}, momentary"
    if hard.mean_ampere >= model.plain_above:
        mean, times = render(usual.mean_ampere, "A", digits=2), hard.strikes_per_second / frequency
        return LIT, (
            f"even a lamp that lights only at {high} rms lights, {times:.3g} times a period; the usual one has {mean} "
            f"in the mean and is lit {100 * usual.lit_fraction:.0f} % of the time{_pulses(usual)}"
        )
    if usual.lit_fraction == 0:
        return UNSURE, f"the usual lamp does not light at {span}, momentary, but a more willing one does"
    if hard.lit_fraction == 0:
        return UNSURE, f"the usual lamp lights, but one that lights only at {high} rms does not"
    mean, enough = (render(i, "A", digits=2) for i in (hard.mean_ampere, model.plain_above))
    return UNSURE, f"a lamp that lights only at {high} rms has {mean} in the mean, less than {enough}: faint"


def beside_lit(indicator: Indicator, *, resistor: float = 100e3) -> tuple[BesideLit, ...]:
    """In both sequences, every lamp that is dark unloaded while another one is lit.

    Parameters
    ----------
    indicator : Indicator
        Such as the twin bridge; on its common divider the lit lamp's current lifts the dark one.
    resistor : float
        The lit lamp taken as a resistor [Ω] for `BesideLit.by_resistor`.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> twin = circuit("twin-bridge").sized(
    ...     capacitance=4.7e-9, frequency=50, line_voltage=400, shared="L2", divider_kind="common")
    >>> [(r.sequence, r.lamp, round(r.by_resistor), r.strikes) for r in beside_lit(twin)]
    [('123', 'H1', 111, True), ('132', 'H2', 111, True)]
    """
    single(resistor, "resistor", "Ω")
    records = []
    for sequence in SEQUENCES:
        supply = indicator.supply(sequence)
        reading = indicator.on(supply)
        states = {lamp.name: str(s) for lamp, s in zip(indicator.lamps, reading.lamp_states, strict=True)}
        lit = [lamp for lamp in indicator.lamps if states[lamp.name] == LIT]
        burning = with_lit_lamps(indicator, indicator.network(), ohms=resistor, lamps=[lamp.name for lamp in lit])
        loaded = indicator.on(supply, network=burning).lamp_volts
        free = lamp_course(indicator, supply)
        usual = {lamp.name: _model(lamp, None) for lamp in indicator.lamps}
        kept = {name: usual[name].hard(NEVER) if states[name] == DARK else usual[name] for name in states}
        held = lamp_course(indicator, supply, fitted=kept)
        for lamp, before, after in zip(indicator.lamps, reading.lamp_volts, loaded, strict=True):
            if lit and states[lamp.name] == DARK:
                f = held.lamp(lamp.name)
                peak, strikes = max(f.volts_max, -f.volts_min), free.lamp(lamp.name).lit_fraction > 0
                records.append(BesideLit(sequence, lamp.name, float(before), float(after), f.volts_rms, peak, strikes))
    return tuple(records)


def _pulses(usual: LampFigures) -> str:
    high = usual.peak_ampere > PULSE * usual.rms_ampere
    return f", in pulses of {render(usual.peak_ampere, 'A', digits=2)}" if high else ""


def _model(lamp: Lamp, models: Mapping[str, SwitchingModel] | None) -> SwitchingModel:
    return (models or MODELS)[lamp.kind]
