"""What the motor app shows, from its settings and the state of its shaft."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from phasorkit.draw import Picture
from phasorkit.draw.motor import DRIVE_END, Bore, Dials, motor_picture
from phasorkit.draw.words import sequence
from phasorkit.rotating_field import WINDINGS, rotating_field, shaft_direction
from phasorkit.run_up import Plate, gap_currents, speed_after, turned, workshop_pump
from phasorkit.supply import CONDUCTORS, Supply

TURN, TICK = 5.0, 0.1
"""Seconds that one turn of the field takes in the picture, and seconds between two pictures."""

_TOO_MUCH = 1.15
_CHANGING = 2e-3
ALL_WHOLE = "none"


@dataclass(frozen=True, kw_only=True)
class MotorSettings:
    """All that can be set in the motor app.

    Parameters
    ----------
    line_voltage, frequency : float
        Of the supply: line to line [V rms], [Hz].
    made_for : (float, float)
        What the motor is made for: line to line [V rms], [Hz].
    lines : tuple of three conductors
        What lies on U1, V1, W1.
    on : bool
        Whether the contactor is closed.
    open_line : str
        Winding whose line is open, such as ``"V1"``, or ``"none"``.
    load : float
        Of the pump at full speed [% of rated torque].
    end : str
        From where the shaft is seen.
    """

    line_voltage: float = 400.0
    frequency: float = 50.0
    made_for: tuple[float, float] = (400.0, 50.0)
    lines: tuple[str, str, str] = CONDUCTORS
    on: bool = False
    open_line: str = ALL_WHOLE
    load: float = 100.0
    end: str = DRIVE_END


@dataclass(frozen=True, kw_only=True)
class MotorState:
    """What lasts from picture to picture: speed and its last change [1], angle of the shaft and of the supply [rad]."""

    speed: float = 0.0
    gain: float = 0.0
    shaft: float = 0.0
    supply: float = 0.0


@dataclass(frozen=True)
class MotorShown:
    """What the app shows: speed [r/min], line currents [1 of the plate's], kind of field, direction, picture, line."""

    rpm: float
    currents: tuple[float, float, float]
    field: str
    turns: str
    picture: Picture
    line: str


def compute_motor(settings: MotorSettings, state: MotorState) -> MotorShown:
    """Currents, field, shaft and picture for settings and state.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> shown = compute_motor(MotorSettings(on=True, open_line="V1"), MotorState())
    >>> shown.field, [round(i, 1) for i in shown.currents]
    ('pulsating', [5.5, 0.0, 5.5])
    """
    plate = _plate(settings)
    supply = _supply(settings)
    currents, gap, kind, direction = (0.0, 0.0, 0.0), np.zeros(3, dtype=complex), "none", 0
    if supply is not None:
        run = plate.motor.on(supply, slip=plate.slip_at(state.speed, supply))
        i1, i2, i3 = (round(float(i), 9) for i in np.abs(run.line_currents) / plate.current)
        currents, gap = (i1, i2, i3), gap_currents(run)
        field = rotating_field(np.where(np.abs(gap) < 1e-9, 0, gap))
        kind, direction = str(field.kind), int(field.direction)
    rpm = state.speed * float(plate.motor.synchronous_speed(plate.frequency)) * 30 / np.pi
    turns = _sense(state.speed, settings.end)
    bore = Bore(
        currents=gap, turn=state.supply, unit=_unit(plate), lines=_seen_lines(settings), shaft=state.shaft,
        end=settings.end,
    )  # fmt: skip
    dials = Dials(
        speed=state.speed * plate.frequency / settings.frequency,
        field=direction,
        currents=currents,
        rpm=rpm,
        sense=turns,
    )
    heat = _heat(max(currents), at_rest=turns == "at rest", steady=abs(state.gain) <= _CHANGING)
    line = _words(settings, kind, _shaft(state, turns, rpm), heat)
    return MotorShown(rpm, currents, kind, turns, motor_picture(bore, dials, text=line), line)


def draw_motor(shown: MotorShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def after(settings: MotorSettings, state: MotorState, *, seconds: float = TICK) -> MotorState:
    """The state a little later.

    >>> state = MotorState()
    >>> for _ in range(60):
    ...     state = after(MotorSettings(on=True), state)
    >>> round(state.speed, 2)
    0.96
    """
    plate, supply = _plate(settings), _supply(settings)
    speed = speed_after(plate, supply, speed=state.speed, load=settings.load / 100, seconds=seconds)
    return MotorState(
        speed=speed,
        gain=speed - state.speed,
        shaft=turned(state.shaft, speed=(speed + state.speed) / 2, seconds=seconds, turn=TURN),
        supply=turned(state.supply, speed=settings.frequency / plate.frequency, seconds=seconds, turn=TURN)
        if supply
        else state.supply,
    )


# --- from settings to physics -----------------------------------------------------------------------------


def _plate(settings: MotorSettings) -> Plate:
    volts, hertz = settings.made_for
    return workshop_pump(line_voltage=volts, frequency=hertz)


def _supply(settings: MotorSettings) -> Supply | None:
    """The supply as the terminals see it, or None when switched off."""
    if not settings.on:
        return None
    laid = tuple(zip(CONDUCTORS, settings.lines, strict=True))
    supply = replace(Supply(line_voltage=settings.line_voltage, frequency=settings.frequency), probes=laid)
    if settings.open_line == ALL_WHOLE:
        return supply
    return supply.without(CONDUCTORS[WINDINGS.index(settings.open_line[0])])


def _seen_lines(settings: MotorSettings) -> tuple[str, str, str]:
    u, v, last = (
        "" if settings.open_line[0] == name else line for name, line in zip(WINDINGS, settings.lines, strict=True)
    )
    return u, v, last


def _unit(plate: Plate) -> float:
    """One winding's full field at standstill's opposite, no load [A peak]."""
    idle = plate.motor.on(Supply(line_voltage=plate.line_voltage, frequency=plate.frequency), slip=1e-6)
    return float(np.sqrt(2) * np.abs(gap_currents(idle)[0]))


# --- words ------------------------------------------------------------------------------------------------


def _sense(speed: float, end: str) -> str:
    if abs(speed) < 5e-3:
        return "at rest"
    clockwise = (speed > 0) == (end == DRIVE_END)
    return "clockwise" if clockwise else "counter-clockwise"


def _shaft(state: MotorState, turns: str, rpm: float) -> str:
    """What the shaft does; no figure while it changes, so that a screen reader is not told every step."""
    if turns == "at rest":
        return "The shaft is at rest"
    if abs(state.gain) > _CHANGING:
        faster = "speeds up" if state.gain * state.speed > 0 else "slows down"
        return f"The shaft turns {turns} and {faster}"
    return f"The shaft turns {turns}, about {10 * round(abs(rpm) / 10)} r/min"


def _words(settings: MotorSettings, kind: str, shaft: str, heat: str) -> str:
    order = "123" if shaft_direction(terminals=settings.lines).drive_end == "clockwise" else "132"
    seen = f"{shaft}, seen on the {settings.end}."
    if not settings.on:
        return f"Switched off, no field. {seen}"
    fields = {
        "circle": "The field turns and keeps its strength.",
        "ellipse": "The field turns, now stronger, now weaker.",
        "pulsating": "The field pulsates along one line: no torque from rest.",
    }
    opened = "" if settings.open_line == ALL_WHOLE else f", the line to {settings.open_line} open"
    return f"U1, V1, W1 get the sequence {sequence(order)}{opened}. {fields[kind]} {seen} {heat}"


def _heat(most: float, *, at_rest: bool, steady: bool) -> str:
    if most <= _TOO_MUCH:
        return "Line current within the plate's."
    size = f"Line current {most:.1f} times the plate's" if steady else "Line current above the plate's"
    return f"{size}: " + ("hot in seconds, if nothing trips." if at_rest else "too much to bear for long.")
