"""Key drawings of the lessons on the touch pad and on the motor."""

from __future__ import annotations

from phasorkit.analysis.body_path import ON_EARTH, body_path
from phasorkit.draw.body_path import body_picture
from phasorkit.draw.motor import Bore, Dials, field_strip, motor_picture
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import scale_drawing
from phasorkit.indicators.touch_probe import TouchProbe
from phasorkit.lamps import Lamp
from phasorkit.network import Network
from phasorkit.rotating_field import winding_currents
from phasorkit.run_up import gap_currents, workshop_pump
from phasorkit.supply import CONDUCTORS, Supply

_MOMENTS, _SWING = (0, 30, 60, 90), (30, 75, 120, 165)


class _Legs(TouchProbe):
    """The probe's two legs alone, the lamp straight from K to earth: what the proof needs."""

    def network(self) -> Network:
        """R1, R2, R3, R4, C1."""
        return Network(tuple(e for e in super().network().elements if e.name not in ("R5", "R6")))

    @property
    def lamps(self) -> tuple[Lamp, ...]:
        """K to N."""
        return (Lamp("H1", "K", "N"),)


def drawings() -> dict[str, Picture]:
    """Drawings by file name, at 400 V and 50 Hz.

    >>> sorted(drawings())[:2]
    ['motor_field_123.svg', 'motor_open_line.svg']
    """
    probe = _Legs.sized(capacitance=2.2e-9, frequency=50, line_voltage=400, return_path="neutral")
    pad = TouchProbe.sized(capacitance=2.2e-9, frequency=50, line_voltage=400).with_preferred_values("E24")
    return {
        "touch_123.svg": scale_drawing(probe.on(probe.supply("123"))),
        "touch_132.svg": scale_drawing(probe.on(probe.supply("132"))),
        "touch_path.svg": body_picture(body_path(pad, pad.supply()), stance=ON_EARTH),
        "motor_field_123.svg": _strip(
            Supply(),
            CONDUCTORS,
            "Four moments, 30° of the supply apart, sequence 1-2-3. The three windings' fields only swell and shrink "
            "along their own axes. Their sum keeps its length, one and a half times the longest single field, and "
            "turns clockwise by 30° from picture to picture.",
            _MOMENTS,
        ),
        "motor_open_line.svg": _strip(
            Supply().without("L2"),
            ("L1", "", "L3"),
            "Four moments, 45° of the supply apart, the line to V1 open, no rotor. The fields of U and W are alike. "
            "Their sum stays on one line: long, shorter, gone, then the other way. It does not turn.",
            _SWING,
        ),
        "motor_running.svg": _running(),
    }


def _strip(supply: Supply, lines: tuple[str, str, str], said: str, degrees: tuple[int, ...]) -> Picture:
    """Bare windings without resistance worth naming: their fields lag a quarter period, so start there."""
    currents = 1j * winding_currents(supply, resistance=1e-3, inductance=1.0)
    return field_strip(currents, lines=lines, degrees=degrees, said=said)


def _running() -> Picture:
    plate = workshop_pump(line_voltage=400, frequency=50)
    run = plate.motor.on(Supply(), slip=plate.slip)
    unit = 2**0.5 * abs(complex(gap_currents(plate.motor.on(Supply(), slip=1e-6))[0]))
    bore = Bore(currents=gap_currents(run), turn=1.2, unit=unit, lines=CONDUCTORS, shaft=0.7)
    dials = Dials(speed=1 - plate.slip, field=1, currents=(1.0, 1.0, 1.0), rpm=plate.rpm, sense="clockwise")
    text = (
        "The pump's motor at rated load, sequence 1-2-3, seen on the drive end: the field turns clockwise, 3000 r/min. "
        f"The shaft follows at {plate.rpm:.0f} r/min. Each line carries the plate's current."
    )
    return motor_picture(bore, dials, text=text)
