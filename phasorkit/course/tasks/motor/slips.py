"""Known slips of the exercise `motor`: direction, swap and speed; what each one gives, and the words that teach."""

from __future__ import annotations

from phasorkit.course.choice import Choices
from phasorkit.course.model import Brief, Slip, Values
from phasorkit.course.table import Numbers
from phasorkit.course.tasks.motor import values
from phasorkit.course.tasks.motor.values import BOARD, CASES, CLOCKWISE, COUNTER, GENERATOR, MOTOR, NOWHERE

TWO_FREQUENCIES = 50.0 + 60.0
WAYS = {CLOCKWISE: COUNTER, COUNTER: CLOCKWISE}


def _turned(brief: Brief, earlier: Values, look: str) -> Choices:
    return {look: WAYS[values.direction(brief, earlier)[look]]}


DIRECTION_SLIPS = (
    Slip(
        "the order of the peaks misread",
        "Seen on the drive end, as connected: write down which line is on U, V and W, and in which order they peak. "
        "U, V, W is clockwise, U, W, V the other way. All three moved on by one place is still the same order.",
        lambda b, e: _turned(b, e, "drive end"),
        must=True,
    ),
    Slip(
        "the two ends not told apart",
        "Seen on the other end: the same turning looks mirrored from there, like a clock of glass from behind. Put "
        "the drive end right first.",
        lambda b, e: _turned(b, e, "other end"),
        must=True,
    ),
    Slip(
        "a swap that changes nothing",
        "After one swap: any two lines exchanged mirror the order of the peaks, whichever two they are. Put the drive "
        "end right first.",
        lambda b, e: _turned(b, e, "one swap"),
        must=True,
    ),
    Slip(
        "two swaps miscounted",
        "After two swaps, seen on the OTHER end: a second swap undoes what the first has done to the direction, even "
        "with other lines. And mind from where you look now.",
        lambda b, e: _turned(b, e, "two swaps"),
        must=True,
    ),
)


def _where(brief: Brief, right: str, wrong: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    return {case: wrong for case in CASES if values.place(brief, case) == right}


PLACES_SLIPS = (
    Slip(
        "others turned round with it",
        "There is one wrong motor among right ones. A swap at the board or at a source turns every motor behind it.",
        lambda b, e: _where(b, MOTOR, (BOARD, GENERATOR)),
        must=True,
    ),
    Slip(
        "one motor put right where all are wrong",
        "All motors of one board are wrong, on the one source that they have. What do they share? One swap there does "
        "it, where a swap at each motor would take many, and the next new motor would be wrong again.",
        lambda b, e: _where(b, BOARD, (MOTOR, GENERATOR)),
        must=True,
    ),
    Slip(
        "the mains made wrong as well",
        "On the mains all is right. A swap at a motor or at the board would turn it round on the mains, too. Which "
        "part carries current only on the other source?",
        lambda b, e: _where(b, GENERATOR, (MOTOR, BOARD)),
        must=True,
    ),
    Slip(
        "a swap where all is right",
        "In one of these nothing is wrong. The same turning has two names, one from each end. And behind an inverter "
        "the sequence of the supply does nothing to the shaft.",
        lambda b, e: _where(b, NOWHERE, (MOTOR, BOARD, GENERATOR)),
        must=True,
    ),
    Slip(
        "left as it is",
        "In one of these something does turn backwards, and you swap nothing.",
        lambda b, e: {c: (NOWHERE,) for c in CASES if values.place(b, c) != NOWHERE},
        must=True,
    ),
)


def _turns_per_second(brief: Brief, _: Values) -> Numbers:
    """Turns of the shaft per second; with two poles this is the supply's frequency less the rotor's, another slip."""
    return {("", "rotor"): brief.rpm / 60} if values.poles(brief) > 2 else {}


def _slip(brief: Brief) -> float:
    return 1 - float(brief.rpm) / values.field(brief)


SPEED_SLIPS = (
    Slip(
        "pairs of poles counted",
        "These are PAIRS of poles. Each pair is two poles, a north and a south.",
        lambda b, e: {("", "poles"): values.poles(b) / 2},
        credit=0.5,
        must=True,
    ),
    Slip(
        "a field slower than the shaft",
        "With so many poles the field would be slower than the shaft. The field of a motor is the one just ABOVE the "
        "speed on the plate.",
        lambda b, e: {("", "poles"): values.poles(b) + 2},
        must=True,
    ),
    Slip(
        "half the field's speed",
        "This field is half as fast as it should be. It goes round once in a period where there are TWO poles: turns "
        "in a minute are the hertz times sixty for one PAIR.",
        lambda b, e: {("", "field"): values.field(b) / 2},
        must=True,
    ),
    Slip(
        "twice the field's speed",
        "This field is twice as fast as it should be. With a hundred and twenty in the formula, divide by POLES, not "
        "by pairs.",
        lambda b, e: {("", "field"): values.field(b) * 2},
        must=True,
    ),
    Slip(
        "the other frequency",
        "This is the field at another supply frequency. Use the one on the plate.",
        lambda b, e: {("", "field"): values.field(b) * (TWO_FREQUENCIES - b.frequency) / b.frequency},
        credit=0.5,
        must=True,
    ),
    Slip(
        "turns in a second",
        "So often the field goes round in a second. Asked are turns in a minute.",
        lambda b, e: {("", "field"): values.field(b) / 60},
        credit=0.5,
    ),
    Slip(
        "the plate's speed taken for the field's",
        "This is the speed of the SHAFT. The field is faster; the difference is the slip.",
        lambda b, e: {("", "field"): b.rpm},
        must=True,
    ),
    Slip(
        "slip as a part of the shaft's speed",
        "You divided by the speed of the shaft. The slip is a part of the FIELD's speed.",
        lambda b, e: {("", "slip"): 100 * (values.field(b) / b.rpm - 1)},
        credit=0.5,
        must=True,
    ),
    Slip(
        "speed in per cent",
        "This is how fast the shaft is. The slip is what is missing from the whole.",
        lambda b, e: {("", "slip"): 100 * (1 - _slip(b))},
        must=True,
    ),
    Slip(
        "a part, not yet per cent",
        "This is the slip as a part of one. Asked are per cent.",
        lambda b, e: {("", "slip"): _slip(b)},
        credit=0.5,
        must=True,
    ),
    Slip(
        "revolutions in place of per cent",
        "This is by how many revolutions in a minute the shaft is slower. Which part of the field's speed is it?",
        lambda b, e: {("", "slip"): values.field(b) - b.rpm},
        credit=0.5,
        must=True,
    ),
    Slip(
        "the supply's frequency less the rotor's",
        "You took the slip off. In the bars the field sweeps by only as often as the shaft LAGS: at standstill that "
        "is the supply's frequency, at full speed almost nothing.",
        lambda b, e: {("", "rotor"): b.frequency * (1 - _slip(b))},
        must=True,
    ),
    Slip(
        "the supply's frequency in the rotor",
        "So it is at standstill. Once the shaft turns along, the field sweeps over the bars less often.",
        lambda b, e: {("", "rotor"): b.frequency},
        must=True,
    ),
    Slip(
        "per cent not divided by a hundred",
        "You multiplied by the per cent as they stand. Divide by a hundred.",
        lambda b, e: {("", "rotor"): 100 * _slip(b) * b.frequency},
        credit=0.5,
        must=True,
    ),
    Slip(
        "turns of the shaft in a second",
        "So often does the shaft turn in a second. How often does the field sweep over a bar of it?",
        _turns_per_second,
        must=True,
    ),
)
