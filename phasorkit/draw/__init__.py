"""Pictures of a reading: drawn to scale, as arrows, as waves. Each carries its own words."""

from __future__ import annotations

from phasorkit.draw.arrows import phasor_diagram
from phasorkit.draw.frame import Frame
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import both_sequences, scale_drawing
from phasorkit.draw.waves import waveforms

__all__ = ["Frame", "Picture", "both_sequences", "phasor_diagram", "scale_drawing", "waveforms"]
