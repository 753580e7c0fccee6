"""The case in which a design fails, as a reading to be drawn to scale; `draw_case` shows it in the notebook."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from phasorkit.analysis.design_faults import try_faults
from phasorkit.analysis.loading import LIT_LAMP, with_lit_lamps
from phasorkit.analysis.stress import faulty_networks, stress_states
from phasorkit.analysis.wiring import MISLEADING, wiring_states
from phasorkit.course import parts_verdict as v
from phasorkit.course.model import Brief
from phasorkit.course.parts_check import PartsCheck, in_words
from phasorkit.course.parts_list import Listed
from phasorkit.course.plain import PlainData
from phasorkit.indicators.base import OVERVOLTAGE, SEQUENCES, Indicator, Reading
from phasorkit.lamps import DARK, LIT
from phasorkit.network import SHORT, Network
from phasorkit.supply import Supply

if TYPE_CHECKING:
    from phasorkit.draw import Picture


@dataclass(frozen=True)
class Burning(Reading):
    """A reading with lamps that are lit: those that stand in its network as a part, whatever volts they have."""

    @property
    def lamp_states(self) -> tuple[NDArray[np.str_], ...]:
        """Lit where the lamp is in the network."""
        lit = {e.name for e in self.solution.network.elements}
        pairs = zip(self.indicator.lamps, super().lamp_states, strict=True)
        return tuple(np.array(LIT) if lamp.name in lit else state for lamp, state in pairs)


def draw_case(name: str) -> Picture | None:
    """Draw the case in which the design that was checked last fails, to scale; for use in the exercise's notebook.

    Parameters
    ----------
    name : str
        Name of the check, such as ``"lamps"``; run that check first.

    Returns
    -------
    Picture or None
        None, and a line that says why, where there is nothing to draw. What fails is printed above it.
    """
    from phasorkit.course.notebook import SESSION, Session

    session = sys._getframe(1).f_globals.get(SESSION)
    if not isinstance(session, Session) or name not in session.answers:
        sys.stdout.write(f'Run the cells with  begin(...)  and  check("{name}")  first.\n')
        return None
    check = session.exercise.check(name)
    found = drawing_of(check, session.brief, session.answers[name]) if isinstance(check, PartsCheck) else None
    sys.stdout.write(f"{found[1]}\n" if found else "Nothing to draw: no case fails here, or it fails in a shop.\n")
    return found[0] if found else None


def drawing_of(check: PartsCheck, brief: Brief, answer: PlainData) -> tuple[Picture, str] | None:
    """The first case in which a design fails, to scale, with a caption; None where there is none to draw."""
    found = check.failing(brief, answer)
    for ask, row in found[1] if found else ():
        reading = failing_reading(found[0], check.job(brief), ask.row) if found else None
        if reading is not None:
            from phasorkit.draw import scale_drawing

            words = in_words(row.case)
            case = f" {words[:1].upper()}{words[1:]}." if words else ""
            figure = f" ({row.figure})" if row.figure else ""
            lit = " A lit lamp counts as a short, for its drop is not sure." if isinstance(reading, Burning) else ""
            return scale_drawing(reading), f"Not met: {ask.row}{figure}.{case}{lit}"
    return None


def failing_reading(listed: Listed, job: v.Job, name: str) -> Reading | None:
    """The reading in which a requirement fails; None where it is met, or where there is nothing to draw (a shop).

    Parameters
    ----------
    listed : Listed
    job : Job
    name : str
        A row of `phasorkit.course.parts_verdict.verdict`.
    """
    row = v.verdict(listed, job)[name]
    built = listed.bought
    if row.met or name in v.NOT_DRAWN:
        return None
    if name in (v.DARK, v.LIT) and row.case.startswith("H"):
        return _corner(listed, job, row.case, low=name == v.LIT)
    if name in (v.VOLTS, v.HEAT, v.C_VOLTS):
        return _stressed(built, row.case)
    if name == v.NO_LIE:
        sequence, wiring = _split(row.case)
        return built.on(wiring_states(built.probes)[wiring](built.supply(sequence)))
    if name == v.TOUCH and job.person:
        return _touched(built, row.case)
    if name == v.FAULTS:
        return _faulty(listed)
    if name == v.CURRENT:
        return _lit_lamp(built, job)
    return built.on(built.supply("123"))


def _corner(listed: Listed, job: v.Job, case: str, *, low: bool) -> Reading:
    """One corner of parts, frequency and voltage, the unbalance at its worst angle."""
    built, margins = listed.bought, job.asked(listed).margins
    lamp, sequence, signs = case.split(", ")
    network = built.network()
    for part, sign in re.findall(r"([RC][0-9])([+−])", signs):
        e = network.element(part)
        percent = margins.percent(built, e) * (1 if sign == "+" else -1)
        network = network.with_value(part, float(np.asarray(e.value)) * (1 + percent / 100))
    hertz = float(signs.rpartition("f ")[2].split()[0]) / 100
    volts = margins.voltage[0] if low else margins.voltage[1]
    supply = Supply(
        line_voltage=volts * built.line_voltage, frequency=hertz * built.frequency, sequence=sequence.replace("-", "")
    )
    k = [known.name for known in built.lamps].index(lamp)
    whole, more = (built.on(s, network=network).lamp_phasors[k] for s in (supply, supply.unbalanced(negative=1.0)))
    turn = np.angle(complex(whole)) - np.angle(complex(more - whole)) + (np.pi if low else 0)
    return built.on(supply.unbalanced(negative=margins.negative * np.exp(1j * turn)), network=network)


def _split(case: str) -> tuple[str, str]:
    """Sequence and state of ``1-3-2, open L1``."""
    sequence, _, state = case.partition(", ")
    return sequence.replace("-", ""), state


def _over(built: Indicator, sequence: str) -> Supply:
    return replace(built.supply(sequence), line_voltage=OVERVOLTAGE * built.line_voltage)


def _stressed(built: Indicator, case: str) -> Reading:
    """The worst state of a part, such as ``R1, 1-3-2, right, lamp lit; half the rated watts``."""
    sequence, state = _split(case.split(";")[0].partition(", ")[2])
    state, lit = state.removesuffix(", lamp lit"), state.endswith(", lamp lit")
    supply = stress_states(_over(built, sequence), built, wrong=True)[state]
    return _burning(built, built.on(supply)) if lit else built.on(supply)


def _burning(built: Indicator, seen: Reading) -> Reading:
    """The same with every lamp that may light taken as a short."""
    pairs = zip(built.lamps, seen.lamp_states, strict=True)
    lit = tuple(lamp.name for lamp, state in pairs if str(state) != DARK)
    network = with_lit_lamps(built, seen.solution.network, ohms=SHORT, lamps=lit)
    return _lit(built, seen.supply, network)


def _lit(built: Indicator, supply: Supply, network: Network) -> Reading:
    """A reading of a network in which the lit lamps are parts."""
    return Burning(built, supply, built.on(supply, network=network).solution)


def _touched(built: Indicator, case: str) -> Reading:
    """The lamp lit and one part shorted or opened, a person on the pad."""
    network = built.network()
    if case != "no fault":
        part, what = case.split()
        network = network.shorted(part) if what == "shorted" else network.opened(part)
    lit = with_lit_lamps(built, network, ohms=SHORT, lamps=tuple(lamp.name for lamp in built.lamps))
    readings = [_lit(built, _over(built, s), lit) for s in SEQUENCES]
    return max(readings, key=lambda r: float(np.abs(r.solution.current("RB"))))


def _faulty(listed: Listed) -> Reading:
    """The fault that overloads most, else one that misleads, with most volts on the part that bears most."""
    tried = try_faults(listed)
    worst = max(tried, key=lambda t: (t.share > 1, t.indication == MISLEADING, t.share))
    built, network = listed.bought, _network(listed, worst.fault)
    readings = [built.on(_over(built, s), network=network) for s in SEQUENCES]
    readings += [_burning(built, r) for r in readings]
    return max(readings, key=lambda r: _volts(r, worst.part))


def _network(listed: Listed, fault: str) -> Network:
    """The network with one fault, of the parts as they are listed."""
    pieces = {part: listed.pieces_of(part) for part, _ in listed.counts}
    return faulty_networks(listed.bought, pieces=pieces)[fault]


def _volts(reading: Reading, part: str) -> float:
    e = reading.solution.network.element(part)
    return float(np.nan_to_num(np.abs(reading.solution.voltage(e.a, e.b))))


def _lit_lamp(built: Indicator, job: v.Job) -> Reading:
    """The weakest lit lamp at the lowest voltage, taken as a resistor where it is a glow lamp."""
    low = replace(built.supply("123"), line_voltage=0.85 * built.line_voltage)
    readings = [built.on(replace(low, sequence=s)) for s in SEQUENCES]
    lit = max(readings, key=lambda r: max(float(x) for x in r.lamp_volts))
    if "bright_led_mean_at_85_percent_ampere" in built.figures():
        return lit
    pairs = zip(built.lamps, lit.lamp_states, strict=True)
    names = tuple(lamp.name for lamp, state in pairs if str(state) != DARK)
    return _lit(built, lit.supply, with_lit_lamps(built, built.network(), ohms=LIT_LAMP, lamps=names))
