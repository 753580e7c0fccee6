"""Pictures of a reading: drawn to scale, as arrows, as waves. Each carries its own words."""

from __future__ import annotations

from phasorkit.draw.frame import Frame
from phasorkit.draw.picture import Picture
from phasorkit.draw.scale import both_sequences, scale_drawing

__all__ = ["Frame", "Picture", "both_sequences", "scale_drawing"]
