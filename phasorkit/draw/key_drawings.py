"""The drawings that lessons show with the kernel off; generated, never edited by hand."""

from __future__ import annotations

from pathlib import Path

from phasorkit.draw import key_body_motor, key_design, key_lamps, key_mistakes, key_parts, key_waves
from phasorkit.draw.arrows import phasor_diagram
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import both_sequences, scale_drawing
from phasorkit.draw.waves import waveforms
from phasorkit.indicators.divider_bridge import DividerBridge
from phasorkit.indicators.double_rc_bridge import DoubleRcBridge


def key_drawings() -> dict[str, Picture]:
    """Every key drawing by its file name, at 400 V and 50 Hz with 4.7 nF.

    >>> sorted(key_drawings())[:2]
    ['bridge_123.svg', 'bridge_132.svg']
    """
    bridge = DividerBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    readings = {s: bridge.on(bridge.supply(s)) for s in ("123", "132")}
    double = DoubleRcBridge.sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    return {
        "bridge_123.svg": scale_drawing(readings["123"]),
        "bridge_132.svg": scale_drawing(readings["132"]),
        "bridge_both.svg": both_sequences(bridge),
        "bridge_phasors_123.svg": phasor_diagram(readings["123"]),
        "bridge_phasors_132.svg": phasor_diagram(readings["132"]),
        "bridge_waves_123.svg": waveforms(readings["123"]),
        "bridge_waves_132.svg": waveforms(readings["132"]),
        "double_123.svg": scale_drawing(double.on(double.supply("123"))),
        "double_132.svg": scale_drawing(double.on(double.supply("132"))),
        **key_mistakes.drawings(),
        **key_design.drawings(),
        **key_body_motor.drawings(),
        **key_parts.drawings(),
        **key_waves.drawings(),
        **key_lamps.drawings(),
    }


def write_all(folder: Path) -> list[Path]:
    """Write all key drawings into a folder (made if missing) and return their paths.

    The bytes are the same on every machine, so a comparison with the stored files tells whether they are fresh.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return [picture.save(folder / name) for name, picture in key_drawings().items()]
