"""Exercise `motor`: from sequence to direction, where to swap, speed and slip, and what a lost line does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations, permutations

from phasorkit.course.briefs import Picker
from phasorkit.course.choice import ChoiceCheck
from phasorkit.course.diagnosis import Tolerance, general
from phasorkit.course.model import Brief, Task
from phasorkit.course.numbers import NumberCheck
from phasorkit.course.table import TableCheck
from phasorkit.course.tasks.motor import slips, slips_current, values
from phasorkit.indicators.base import SEQUENCES
from phasorkit.quantities import render
from phasorkit.rotating_field import synchronous_rpm
from phasorkit.supply import CONDUCTORS

SYSTEMS = (
    (380.0, 50.0), (400.0, 50.0), (415.0, 50.0), (690.0, 50.0), (208.0, 60.0), (220.0, 60.0), (380.0, 60.0),
    (460.0, 60.0), (575.0, 60.0),
)  # fmt: skip
"""Volts and hertz on a motor's plate (IEC 60038 and national practice, from memory)."""

POWERS = (750.0, 1.1e3, 1.5e3, 2.2e3, 3e3, 4e3, 5.5e3, 7.5e3, 11e3)
"""Of the shaft [W]: usual ratings (common practice)."""

POLES = (2, 4, 4, 6)
SLIPS_PERCENT = (25, 30, 35, 40, 45, 50, 55, 60, 65)
"""Slip at full load in tenths of a per cent, before the plate's speed is rounded to 5 r/min (common practice)."""

POWER_FACTORS = (0.72, 0.74, 0.76, 0.78, 0.80, 0.82, 0.84, 0.86, 0.88)
EFFICIENCIES = (0.76, 0.78, 0.80, 0.82, 0.84, 0.86, 0.88, 0.90)
START_TIMES = (5.0, 5.5, 6.0, 6.5, 7.0, 7.5)
"""Starting current over plate current (common practice: five to eight)."""

LIGHT = (0.45, 0.48, 0.5, 0.52, 0.55, 0.75, 0.8, 0.85)
"""Line current at light load over plate current, all three lines there (common practice: half is mere magnetizing).

With a lost line some trip the relay and some do not; none comes near its limit.
"""

PAIRS = tuple(" ".join(pair) for pair in combinations(values.TERMINALS, 2))
CONNECTED = tuple(" ".join(lines) for lines in permutations(CONDUCTORS))


def draw(picker: Picker) -> Mapping[str, float | str]:
    """A connection with two swaps, three places of work, a plate, a light load."""
    line_voltage, frequency = picker.pick(SYSTEMS)
    field = float(synchronous_rpm(frequency, poles=picker.pick(POLES)))
    tenths = picker.pick(SLIPS_PERCENT)
    cases: list[str] = []
    for _ in values.CASES:
        taken = {values.WORK[case][0] for case in cases}
        cases.append(picker.pick([case for case, (place, _) in values.WORK.items() if place not in taken]))
    first_swap = picker.pick(PAIRS)
    return {
        "sequence": picker.pick(SEQUENCES),
        "connected": picker.pick(CONNECTED),
        "first_swap": first_swap,
        "second_swap": picker.pick([pair for pair in PAIRS if pair != first_swap]),
        **{f"case_{name.lower()}": case for name, case in zip(values.CASES, cases, strict=True)},
        "line_voltage": line_voltage,
        "frequency": frequency,
        "power": picker.pick(POWERS),
        "rpm": float(int(field) * (1000 - tenths) // 5000 * 5),
        "power_factor": picker.pick(POWER_FACTORS),
        "efficiency": picker.pick(EFFICIENCIES),
        "start_times": picker.pick(START_TIMES),
        "light": picker.pick(LIGHT),
    }


def tells(brief: Brief) -> Sequence[str]:
    """The numbers in words."""
    laid = ", ".join(f"{line} on {t}" for line, t in zip(values.terminals(brief), values.TERMINALS, strict=True))
    first, second = (pair.replace(" ", " and ") for pair in (brief.first_swap, brief.second_swap))
    volts, hertz = render(brief.line_voltage, "V"), render(brief.frequency, "Hz")
    work = [values.WORK[getattr(brief, f"case_{case.lower()}")][1] for case in values.CASES]
    return (
        f"sequence of L1, L2, L3:  {'-'.join(brief.sequence)}",
        f"connected:               {laid}",
        f"first swap, then second: the lines on {first}; then those on {second}",
        *(f"question 2, {case}:           {found}" for case, found in zip(values.CASES, work, strict=True)),
        f"the pump's plate:        {render(brief.power, 'W')}, {volts}, {hertz}, {brief.rpm:.0f} r/min, star",
        f"                         power factor {brief.power_factor:.2f}, efficiency {brief.efficiency:.2f}, "
        f"starting current {brief.start_times:g} times",
        f"at light load:           each line takes {100 * brief.light:.0f} % of the current at full load",
    )


def fair(brief: Brief) -> bool:
    """Whether the slip is large enough to tell the shaft's speed from the field's."""
    return brief.rpm < 0.977 * values.field(brief) and values.poles(brief) in POLES


TASK = Task(
    name="motor",
    title="The motor",
    scenario=(
        "The pump house of the training workshop gets a new motor. You say which way it turns and for whom, where a "
        "swap is due, what its plate tells, and what happens when a line is lost."
    ),
    draw=draw,
    tells=tells,
    fair=fair,
    checks=(
        ChoiceCheck(
            name="direction",
            says="direction seen from both ends, after one swap and after two",
            points=4.0,
            options=(values.CLOCKWISE, values.COUNTER),
            entries=values.LOOKS,
            aliases={
                "cw": values.CLOCKWISE,
                "clock-wise": values.CLOCKWISE,
                "ccw": values.COUNTER,
                "counterclockwise": values.COUNTER,
                "anticlockwise": values.COUNTER,
                "anti-clockwise": values.COUNTER,
            },
            value=values.direction,
            slips=slips.DIRECTION_SLIPS,
            hints=(
                "In which order do U, V and W reach their peaks?",
                "The field turns in the order of the peaks. U, V, W is clockwise, seen on the drive end; U, W, V is "
                "the other way.",
                "Write down the line on each terminal, and anew after each swap. From the other end the same turning "
                "looks mirrored.",
            ),
        ),
        ChoiceCheck(
            name="places",
            says="where to swap two lines, in three places of work",
            points=3.0,
            options=(values.MOTOR, values.BOARD, values.GENERATOR, values.NOWHERE),
            entries=values.CASES,
            aliases={
                "at the motor": values.MOTOR,
                "at the board": values.BOARD,
                "at the generator": values.GENERATOR,
                "none": values.NOWHERE,
            },
            value=values.places,
            slips=slips.PLACES_SLIPS,
            hints=(
                "What else would a swap there turn round?",
                "A swap turns every motor behind it, and only on a source whose current passes through it.",
                "First ask whether anything turns wrong at all, then how many motors do, then on which source.",
            ),
        ),
        TableCheck(
            name="speed",
            says="poles, speed of the field, slip, and frequency in the rotor",
            points=4.0,
            unit="r/min",
            units={"poles": "pieces", "slip": "%", "rotor": "Hz"},
            value=values.speed,
            groups=("",),
            entries=("poles", "field", "slip", "rotor"),
            sense=(0.0, 4000.0),
            tolerance=Tolerance(0.01),
            slips=slips.SPEED_SLIPS,
            factors=(),
            hints=(
                "The field's speed is a little above the plate's: which even number of poles gives such a one? Slip "
                "and the rotor's frequency come from the two speeds.",
                "A hundred and twenty times the hertz, divided by the number of poles, is the field's speed.",
                "Slip is the difference of the two speeds as a part of the field's. The same part of the supply's "
                "hertz is what the rotor sees.",
            ),
        ),
        NumberCheck(
            name="current",
            says="current in each line at full load",
            points=2.0,
            unit="A",
            value=values.current,
            sense=(0.1, 1000.0),
            slips=slips_current.CURRENT_SLIPS,
            factors=general(volts=1, frequency=False),
            hints=(
                "The plate's power is that of the shaft. How much does the motor take in?",
                "Power taken in is √3 times line voltage times current times power factor.",
                "Divide the shaft's power by √3, line voltage, power factor and efficiency.",
            ),
        ),
        TableCheck(
            name="lost",
            says="current with one line lost: running at full and at light load, and at rest",
            points=3.0,
            follows=("current",),
            unit="A",
            value=values.lost,
            groups=("",),
            entries=("full", "light", "stuck"),
            sense=(0.1, 10000.0),
            slips=slips_current.LOST_SLIPS,
            factors=(),
            hints=(
                "Running: start from your current at full load; what becomes of it when two lines bring the power of "
                "three? At rest: start from the starting current; which volts lie on which windings now?",
                "Running: power before is √3 times volts times current, after it volts times current.",
                "At rest: before, one winding on the phase voltage; after, two in series on the line voltage.",
            ),
        ),
        ChoiceCheck(
            name="happens",
            says="what a lost line does: running, switched on again, to the relay, at the open terminal",
            points=4.0,
            follows=("current", "lost"),
            options=(
                values.RUNS_ON,
                values.STOPS,
                values.HUMS,
                values.TURNS_BACK,
                values.TRIPS,
                values.STAYS,
                values.ALIVE,
                values.DEAD,
            ),
            entries=("running", "restart", "relay", "terminal"),
            aliases={
                "runs": values.RUNS_ON,
                "hums": values.HUMS,
                "stands": values.HUMS,
                "stays": values.STAYS,
                "live": values.ALIVE,
            },
            value=values.happens,
            slips=slips_current.HAPPENS_SLIPS,
            hints=(
                "Ask in each case: does the rotor turn already, and what current flows?",
                "Two lines make a field that only pulsates: two half fields that turn against each other. A rotor "
                "that turns keeps up with one of them.",
                "For the relay compare your current at light load with its setting. For the terminal: what does a "
                "turning rotor do in a winding?",
            ),
        ),
    ),
)
