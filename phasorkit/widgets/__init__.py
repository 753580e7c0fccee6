"""Apps for a notebook: one call each. The thinking is in `compute` and `draw`; an app only wires."""

from __future__ import annotations

from phasorkit.widgets.app import indicator_app
from phasorkit.widgets.body import body_app
from phasorkit.widgets.cloud import cloud_app
from phasorkit.widgets.compute import Settings, Shown, compute, draw
from phasorkit.widgets.desk import design_app
from phasorkit.widgets.lamp import lamp_app
from phasorkit.widgets.mistakes import mistakes_app
from phasorkit.widgets.motor import motor_app
from phasorkit.widgets.parts import parts_app
from phasorkit.widgets.phasors import phasors_app
from phasorkit.widgets.shifter import shifter_app
from phasorkit.widgets.three_phase import three_phase_app
from phasorkit.widgets.two_lamps import two_lamps_app

__all__ = [
    "Settings", "Shown", "body_app", "cloud_app", "compute", "design_app", "draw", "indicator_app", "lamp_app",
    "mistakes_app", "motor_app", "parts_app", "phasors_app", "shifter_app", "three_phase_app", "two_lamps_app",
]  # fmt: skip
