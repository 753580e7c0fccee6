"""Known slips of the exercise `motor`: current and a lost line; what each one gives, and the words that teach."""

from __future__ import annotations

from math import sqrt

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.motor import values
from phasorkit.course.tasks.motor.values import DEAD, HUMS, RUNS_ON, STAYS, STOPS, TRIPS, TURNS_BACK


def _without_root(brief: Brief, earlier: Values) -> float:
    return values.current(brief, earlier) * sqrt(3)


CURRENT_SLIPS = (
    Slip(
        "the √3 left out",
        "A √3 is missing, or you put it in together with the phase voltage. Three phases carry √3 times line voltage "
        "times line current.",
        _without_root,
        must=True,
    ),
    Slip(
        "the efficiency left out",
        "The plate's power is what the SHAFT gives. The supply has to bring the losses as well.",
        lambda b, e: values.current(b, e) * b.efficiency,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the power factor left out",
        "The power factor is missing. Volts times amperes are more than the watts that are taken in.",
        lambda b, e: values.current(b, e) * b.power_factor,
        credit=0.5,
        must=True,
    ),
    Slip(
        "power factor and efficiency left out",
        "Both the power factor and the efficiency are missing. Each of them makes the current larger.",
        lambda b, e: values.current(b, e) * b.power_factor * b.efficiency,
        must=True,
    ),
    Slip(
        "watts divided by volts",
        "Watts over volts are amperes with direct current only. Here there are three phases, with a √3, and a power "
        "factor; and the plate's watts are those of the SHAFT.",
        lambda b, e: b.power / b.line_voltage,
        must=True,
    ),
    Slip(
        "a √3 too much",
        "A √3 too much, or three times the line voltage: with the line voltage the three phases carry √3 times volts "
        "times amperes.",
        lambda b, e: values.current(b, e) / sqrt(3),
    ),
    Slip(
        "power factor and efficiency on the wrong side",
        "You multiplied by the power factor and by the efficiency. Each of them makes the current larger.",
        lambda b, e: values.current(b, e) * (b.power_factor * b.efficiency) ** 2,
    ),
    Slip(
        "the efficiency on the wrong side",
        "The efficiency makes the current larger, and not smaller: the motor takes in more than it gives.",
        lambda b, e: values.current(b, e) * b.efficiency**2,
    ),
    Slip(
        "the power factor on the wrong side",
        "The power factor makes the current larger, and not smaller.",
        lambda b, e: values.current(b, e) * b.power_factor**2,
    ),
)


def _lost(brief: Brief, earlier: Values, *, running: float, stuck: float = 0.0) -> Numbers:
    """Currents as multiples of the healthy ones; `stuck` 0 leaves that entry out."""
    amps = float(earlier["current"])
    found = {("", "full"): running * amps, ("", "light"): running * brief.light * amps}
    return found | ({("", "stuck"): stuck * brief.start_times * amps} if stuck else {})


LOST_SLIPS = (
    Slip(
        "as if no line were lost",
        "This is the current with all three lines. With one lost it is another. Running: the load has stayed the "
        "same, and two lines must bring what three brought. At rest: two windings in series lie on the line voltage.",
        lambda b, e: _lost(b, e, running=1.0, stuck=1.0),
        must=True,
    ),
    Slip(
        "three lines' amperes shared by two",
        "You let two lines share the amperes of three. Volts count as well: one line voltage drives all of the power.",
        lambda b, e: _lost(b, e, running=1.5),
        must=True,
    ),
    Slip(
        "divided by √3",
        "You divided by √3. The current of the running motor does not fall when a line is lost.",
        lambda b, e: _lost(b, e, running=1 / sqrt(3)),
        must=True,
    ),
    Slip(
        "twice",
        "Twice is the upper end of what is met. The rule of thumb has a √3.",
        lambda b, e: _lost(b, e, running=2.0),
        must=True,
    ),
    Slip(
        "full load for light load",
        "This is at full load. For light load start from the current that a line takes there, with all three lines.",
        lambda b, e: {("", "light"): sqrt(3) * float(e["current"])},
        credit=0.5,
        must=True,
    ),
    Slip(
        "half the starting current",
        "Two windings in series have twice the ohms, but they do not lie on the phase voltage: the two lines put the "
        "LINE voltage on them.",
        lambda b, e: {("", "stuck"): b.start_times * float(e["current"]) / 2},
        must=True,
    ),
    Slip(
        "the rule of the running motor at rest",
        "The √3 is for a motor that runs and keeps its load. At rest it is the ohms that decide: two windings in "
        "series on the line voltage.",
        lambda b, e: {("", "stuck"): sqrt(3) * b.start_times * float(e["current"])},
        must=True,
    ),
    Slip(
        "the starting current divided by √3",
        "You divided by √3. Compare volts and ohms: before, one winding on the phase voltage; now two windings in "
        "series on the line voltage.",
        lambda b, e: {("", "stuck"): b.start_times * float(e["current"]) / sqrt(3)},
    ),
    Slip(
        "no current since nothing turns",
        "It does not turn, and takes current all the more: two windings lie on the line voltage, and no turning rotor "
        "holds the current down.",
        lambda b, e: {("", "stuck"): 0.0},
        must=True,
    ),
    Slip(
        "the starting current left out",
        "You started from the plate's current. At rest the motor takes several times as much.",
        lambda b, e: {("", "stuck"): sqrt(3) / 2 * float(e["current"])},
        must=True,
    ),
)


def _relay(brief: Brief, earlier: Values, *, said: str) -> Choices:
    return {"relay": said} if values.happens(brief, earlier)["relay"] != said else {}


HAPPENS_SLIPS = (
    Slip(
        "a running motor taken for one at rest",
        "A running rotor keeps up with one half of the pulsating field. So nothing stops, and that is the danger.",
        lambda b, e: {"running": (STOPS, HUMS)},
        must=True,
    ),
    Slip(
        "a motor at rest taken for a running one",
        "At rest the two half fields pull alike in both directions. What turns the shaft then?",
        lambda b, e: {"restart": (RUNS_ON, STOPS)},
        must=True,
    ),
    Slip(
        "a lost line taken for a swap",
        "To turn a motor round, two lines must be EXCHANGED. A lost line exchanges nothing.",
        lambda b, e: {"running": TURNS_BACK, "restart": TURNS_BACK},
        must=True,
    ),
    Slip(
        "too much trust in the relay",
        "An overload relay knows nothing but current. Compare the current at light load with its setting.",
        lambda b, e: _relay(b, e, said=TRIPS),
        must=True,
    ),
    Slip(
        "too little trust in the relay",
        "At this load the current is well above the setting. Compare the two once more.",
        lambda b, e: _relay(b, e, said=STAYS),
        must=True,
    ),
    Slip(
        "an open line taken for a dead terminal",
        "The line is open, but the motor's terminal is not dead: the turning rotor makes a voltage there. Whoever "
        "takes it for dead gets hurt.",
        lambda b, e: {"terminal": DEAD},
        must=True,
    ),
)
