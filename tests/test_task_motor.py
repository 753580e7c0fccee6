"""Exercise `motor`: right values by a second way and against a modelled motor, following, forms, wrong ideas named."""

from __future__ import annotations

import math

import numpy as np
import pytest
from course_cases import briefs, right_answers

from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.motor import LIGHT, SYSTEMS, values
from phasorkit.motor_faults import single_phasing
from phasorkit.rotating_field import winding_currents
from phasorkit.run_up import workshop_pump
from phasorkit.supply import Supply

MOTOR = task("motor")
ME = draw_brief(MOTOR, "me", "")
RIGHT_ONES = right_answers(MOTOR, ME)


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(MOTOR, ME, name, {**others, name: answer})


def turned_by(sequence: str, lines: list[str]) -> float:
    """Degrees by which the field of U, V, W has turned in a sixth of a period, by adding up three fields.

    Axes stand 120° apart clockwise, as one sees them on the drive end (IEC 60034-8, from memory): positive here.
    """
    late = {"L1": 0.0, "L2": 120.0, "L3": 240.0} if sequence == "123" else {"L1": 0.0, "L2": 240.0, "L3": 120.0}
    axes = np.exp(1j * np.radians([0.0, 120.0, 240.0]))

    def sum_at(degrees: float) -> complex:
        return complex(sum(np.cos(np.radians(degrees - late[n])) * a for n, a in zip(lines, axes, strict=True)))

    return float(np.degrees(np.angle(sum_at(60.0) / sum_at(0.0))))


@pytest.mark.parametrize("brief", briefs(MOTOR)[::4], ids=lambda b: str(b.values))
def test_directions_agree_with_three_fields_added_up(brief: Brief) -> None:
    """Second method: the sum of three pulsating fields at two moments, after no, one and two swaps."""
    lines, ways = brief.connected.split(), []
    for pair in ("", brief.first_swap, brief.second_swap):
        if pair:
            one, two = (("U1", "V1", "W1").index(t) for t in pair.split())
            lines[one], lines[two] = lines[two], lines[one]
        angle = turned_by(brief.sequence, lines)
        assert abs(angle) == pytest.approx(60.0)
        ways.append(angle > 0)
    right = truths(MOTOR, brief)["direction"]
    seen = [right["drive end"], right["one swap"]]
    assert seen == ["clockwise" if way else "counter-clockwise" for way in ways[:2]]
    assert [right["other end"], right["two swaps"]] == [
        "counter-clockwise" if way else "clockwise" for way in (ways[0], ways[2])
    ]


@pytest.mark.parametrize("brief", briefs(MOTOR)[::4], ids=lambda b: str(b.values))
def test_speed_and_currents_agree_with_formulas_written_out(brief: Brief) -> None:
    """Speed by hand; the current balances the power; the stuck motor as two coils in series."""
    right = truths(MOTOR, brief)
    found = {key[1]: number for key, number in right["speed"].items()}
    assert found["poles"] == 2 * max(p for p in (1, 2, 3, 4) if 60 * brief.frequency / p > brief.rpm)
    assert found["field"] * found["poles"] == pytest.approx(120 * brief.frequency)
    assert found["field"] - brief.rpm == pytest.approx(found["slip"] / 100 * found["field"])
    assert found["rotor"] == pytest.approx(found["poles"] / 2 * (found["field"] - brief.rpm) / 60)
    taken_in = 3 * brief.line_voltage / math.sqrt(3) * right["current"] * brief.power_factor
    assert taken_in * brief.efficiency == pytest.approx(brief.power)
    lost = {key[1]: number for key, number in right["lost"].items()}
    assert brief.line_voltage * lost["full"] * brief.power_factor == pytest.approx(taken_in)
    coil = brief.line_voltage / math.sqrt(3) / (brief.start_times * right["current"])
    assert lost["stuck"] == pytest.approx(brief.line_voltage / (2 * coil))
    assert right["happens"]["relay"] == ("trips" if brief.light > 0.7 else "stays in")


def test_a_stuck_motor_takes_root_three_halves_of_its_starting_current() -> None:
    """Against the network solver (three equal coils) and the modelled motor at rest."""
    supply = Supply(line_voltage=400, frequency=50)
    three, two = (
        float(max(abs(winding_currents(s, resistance=5, inductance=0.05)))) for s in (supply, supply.without("L2"))
    )
    assert two / three == pytest.approx(math.sqrt(3) / 2)
    pump = workshop_pump(line_voltage=400, frequency=50)
    lost = single_phasing(pump.motor, supply, torque=pump.torque, lost="L2")
    start = float(max(abs(pump.motor.on(supply, slip=1.0).line_currents)))
    assert float(max(abs(lost.standing.line_currents))) / start == pytest.approx(math.sqrt(3) / 2)


@pytest.mark.parametrize("share", LIGHT)
def test_the_relay_does_on_a_modelled_motor_what_the_rule_of_thumb_says(share: float) -> None:
    """At a load where each line takes this share of the plate's current: under 1.05 or over 1.2 times its setting.

    The bounds are those of IEC 60947-4-1 (from memory).
    """
    pump = workshop_pump(line_voltage=400, frequency=50)
    supply = Supply(line_voltage=400, frequency=50)
    loads = np.linspace(0.0, 1.0, 401) * pump.torque
    lost = single_phasing(pump.motor, supply, torque=loads, lost="L2")
    healthy = np.abs(lost.healthy.line_currents).max(axis=-1) / pump.current
    after = np.abs(lost.running.line_currents).max(axis=-1) / pump.current
    if share < healthy[0]:
        assert after[0] < 1.05
        return
    current = float(np.interp(share, healthy, after))
    assert current < 1.05 if math.sqrt(3) * share < values.TRIPPING else current > 1.2


def test_what_happens_agrees_with_the_modelled_motor() -> None:
    """Runs on at full load; no torque at rest; the open terminal of the running motor has most of its voltage."""
    pump = workshop_pump(line_voltage=400, frequency=50)
    supply = Supply(line_voltage=400, frequency=50)
    lost = single_phasing(pump.motor, supply, torque=pump.torque, lost="L2")
    assert not lost.stalls
    assert float(lost.running.rpm) > 0.9 * pump.rpm
    assert abs(float(lost.standing.torque)) < 1e-9 * pump.torque
    assert abs(complex(lost.running.terminal_volts[1])) > 0.5 * 400 / math.sqrt(3)


@pytest.mark.parametrize(
    ("hertz", "rpm", "poles", "slip"), [(60, 1740, 4, 3.33), (50, 1440, 4, 4.0), (50, 2850, 2, 5.0), (60, 1140, 6, 5.0)]
)
def test_plates_of_usual_motors_read_as_the_trade_reads_them(hertz: float, rpm: float, poles: int, slip: float) -> None:
    """Speeds as they are printed on usual plates (common practice)."""
    brief = Brief("motor", "n", "", (("frequency", hertz), ("rpm", rpm)))
    found = values.speed(brief, {})
    assert found["", "poles"] == poles
    assert found["", "slip"] == pytest.approx(slip, abs=0.005)


def test_a_class_meets_the_whole_range() -> None:
    """Every supply, both directions, every place, both answers of the relay; the two swaps are never the same."""
    drawn = briefs(MOTOR)
    right = [truths(MOTOR, b) for b in drawn]
    assert {(b.line_voltage, b.frequency) for b in drawn} == set(SYSTEMS)
    ways = [r["direction"]["drive end"] for r in right]
    assert min(ways.count("clockwise"), ways.count("counter-clockwise")) > 60
    assert {place for r in right for place in r["places"].values()} == {"motor", "board", "generator", "nowhere"}
    assert {getattr(b, f"case_{c}") for b in drawn for c in "abc"} == set(values.WORK)
    assert {r["happens"]["relay"] for r in right} == {"trips", "stays in"}
    assert all(b.first_swap != b.second_swap for b in drawn)


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values] == [
        "123",
        "L1 L3 L2",
        "U1 V1",
        "V1 W1",
        "habit",
        "repair",
        "feeder",
        415.0,
        50.0,
        3000.0,
        1425.0,
        0.8,
        0.76,
        6.0,
        0.5,
    ]


# --- marking --------------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """The √3 left out of the current; what follows from it is full, the relay included."""
    own = float(RIGHT_ONES["current"]) * math.sqrt(3)  # type: ignore[arg-type]
    mark = mark_of("current", own)
    assert (mark.points, mark.slip) == (0.0, "the √3 left out")
    lost: PlainData = {k: v * math.sqrt(3) for k, v in RIGHT_ONES["lost"].items()}  # type: ignore[union-attr, operator]
    mark = mark_of("lost", lost, current=own)
    assert (mark.points, mark.followed) == (3.0, True)
    assert mark_of("lost", lost).points == 0.0
    assert mark_of("happens", RIGHT_ONES["happens"], current=own, lost=lost).points == 4.0


def test_the_relay_follows_from_own_currents() -> None:
    """Who forgets that a line is lost finds that nothing trips, and is right by that."""
    amps = float(RIGHT_ONES["current"])  # type: ignore[arg-type]
    own: PlainData = {**RIGHT_ONES["lost"], "light": ME.light * amps}  # type: ignore[dict-item]
    said: PlainData = {**RIGHT_ONES["happens"], "relay": "stays in"}  # type: ignore[dict-item]
    assert mark_of("happens", said, current=amps, lost=own).points == 4.0


@pytest.mark.parametrize("factor", [0.95, 1.05])
def test_one_is_told_from_one_point_oh_five(factor: float) -> None:
    """The tolerance is narrow enough: five per cent off is wrong."""
    assert mark_of("current", float(RIGHT_ONES["current"]) * factor).points == 0  # type: ignore[arg-type]
    lost: PlainData = {k: v * factor for k, v in RIGHT_ONES["lost"].items()}  # type: ignore[union-attr, operator]
    assert mark_of("lost", lost).points == 0
    for entry in ("poles", "field", "rotor"):
        off: PlainData = {entry: RIGHT_ONES["speed"][entry] * factor}  # type: ignore[call-overload, index, operator]
        assert mark_of("speed", off).points == 0


def test_every_accepted_form_counts() -> None:
    """Units written out, decimal comma, other spellings of a direction."""
    speed = RIGHT_ONES["speed"]
    units = {"poles": "", "field": " r/min", "slip": " %", "rotor": " Hz"}
    written: PlainData = {k: f"{v:.4g}{units[k]}".replace(".", ",") for k, v in speed.items()}  # type: ignore[union-attr]
    assert mark_of("speed", written).points == 4.0
    assert mark_of("speed", {**speed, "field": f"{speed['field']:.0f}rpm"}).points == 4.0  # type: ignore[dict-item, index, call-overload]
    ways: PlainData = {
        k: {"clockwise": "CW", "counter-clockwise": "Anti-clockwise"}[v]  # type: ignore[index]
        for k, v in RIGHT_ONES["direction"].items()  # type: ignore[union-attr]
    }
    assert mark_of("direction", ways).points == 4.0


def test_wrong_ideas_are_named() -> None:
    """What an apprentice with one wrong idea hands in."""
    right = RIGHT_ONES["direction"]
    mark = mark_of("direction", {**right, "other end": right["drive end"]})  # type: ignore[dict-item, index, call-overload]
    assert (mark.points, mark.slip) == (3.0, "the two ends not told apart")
    fields = RIGHT_ONES["speed"]
    mark = mark_of("speed", {**fields, "poles": fields["poles"] / 2})  # type: ignore[dict-item, index, call-overload, operator]
    assert (mark.points, mark.slip) == (3.5, "pairs of poles counted")
    amps = float(RIGHT_ONES["current"])  # type: ignore[arg-type]
    same: PlainData = {"full": amps, "light": ME.light * amps, "stuck": ME.start_times * amps}
    mark = mark_of("lost", same)
    assert (mark.points, mark.slip) == (0.0, "as if no line were lost")
    stopped: PlainData = {**RIGHT_ONES["happens"], "running": "stops", "terminal": "dead"}  # type: ignore[dict-item]
    mark = mark_of("happens", stopped)
    assert mark.points == 2.0
    assert "that is the danger" in mark.text
    assert "not dead" in mark.text
    every_motor: PlainData = dict.fromkeys("ABC", "motor")
    assert mark_of("places", every_motor).slip is not None


def test_roots_and_factors_on_the_wrong_side_are_named() -> None:
    """Volts times amperes times three; power factor and efficiency as factors; the starting current over √3."""
    watts = ME.power / (ME.power_factor * ME.efficiency)
    text = mark_of("current", watts / (3 * ME.line_voltage)).text
    assert "A √3 too much" in text  # at some plates another slip gives the same number; both are told then
    assert "no part touches the neutral" not in text
    made_smaller = ME.power * ME.power_factor * ME.efficiency / (math.sqrt(3) * ME.line_voltage)
    assert mark_of("current", made_smaller).slip == "power factor and efficiency on the wrong side"
    lost = RIGHT_ONES["lost"]
    stuck: PlainData = {**lost, "stuck": lost["stuck"] * 2 / 3}  # type: ignore[dict-item, call-overload, index, operator]
    assert mark_of("lost", stuck).slip == "the starting current divided by √3"


def test_words_as_apprentices_write_them_are_taken() -> None:
    """`runs`, `clock-wise`, `at the board`."""
    happens = {**RIGHT_ONES["happens"], "running": "runs"}  # type: ignore[dict-item]
    assert mark_of("happens", happens, **{n: RIGHT_ONES[n] for n in ("current", "lost")}).points == 4.0
    places: PlainData = {
        k: v if v == "nowhere" else f"at the {v}"
        for k, v in RIGHT_ONES["places"].items()  # type: ignore[union-attr]
    }
    assert mark_of("places", places).points == 3.0
    ways: PlainData = {
        k: "clock-wise" if v == "clockwise" else v
        for k, v in RIGHT_ONES["direction"].items()  # type: ignore[union-attr]
    }
    assert mark_of("direction", ways).points == 4.0
