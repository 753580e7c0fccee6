"""Two textbook motors, and motors at random."""

from dataclasses import replace

from hypothesis import strategies as st

from phasorkit.motor import InductionMotor
from phasorkit.supply import Supply

CHAPMAN = InductionMotor(
    stator_resistance=0.641, stator_reactance=1.106, rotor_resistance=0.332, rotor_reactance=0.464,
    magnetizing_reactance=26.3, frequency=60, poles=4, rotational_loss=1100,
)  # fmt: skip
FITZGERALD = InductionMotor(
    stator_resistance=0.294, stator_reactance=0.503, rotor_resistance=0.144, rotor_reactance=0.209,
    magnetizing_reactance=13.25, frequency=60, poles=6, rotational_loss=403,
)  # fmt: skip
RATED = Supply(line_voltage=460, frequency=60)
TEXTBOOK = {"chapman": (CHAPMAN, RATED), "fitzgerald": (FITZGERALD, Supply(line_voltage=220, frequency=60))}

SLIPS = st.floats(0.002, 0.9) | st.floats(1.1, 1.998)
SHARES = st.complex_numbers(max_magnitude=0.3, allow_nan=False, allow_infinity=False)
OHMS = st.floats(0.05, 5)


def in_delta(motor: InductionMotor) -> InductionMotor:
    """The motor in delta that is equal seen from the lines: three times every impedance."""
    names = ("stator_resistance", "stator_reactance", "rotor_resistance", "rotor_reactance", "magnetizing_reactance")
    return replace(motor, connection="delta", **{name: 3 * getattr(motor, name) for name in names})


MOTORS = st.builds(
    InductionMotor,
    stator_resistance=OHMS, stator_reactance=OHMS, rotor_resistance=OHMS, rotor_reactance=OHMS,
    magnetizing_reactance=st.floats(10, 200), frequency=st.sampled_from([50.0, 60.0]),
    poles=st.sampled_from([2, 4, 6, 8]), rotational_loss=st.just(0.0) | st.floats(1, 500),
    connection=st.sampled_from(["star", "delta"]),
)  # fmt: skip
