"""Phasors, three-phase supplies and passive phase-sequence indicators, computed and drawn to scale.

Importing the package has no side effect and loads neither matplotlib nor Jupyter. Start with::

    from phasorkit.indicators import circuit
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    bridge.on(bridge.supply("132")).lamp_volts

Dark is never proof of absence of voltage.
"""

__version__ = "0.1.0"
