"""The motor app: what three windings, a swap and a lost line do, against textbook facts and by its controls.

From outside: three balanced fields add up to 1.5 times one of them, and two opposite rotating halves to a pulsating
one (Chapman, Electric Machinery Fundamentals, ch. 3 and 9, from memory); swapping two conductors reverses, a second
swap restores; an open line gives no starting torque, and about √3 to 2 times the current at full load (common
practice); clockwise on the drive end for 1-2-3 (IEC 60034-8, from memory).
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from widget_gate import assert_no_hidden_error, drive, widgets_of

from phasorkit.draw.motor import DRIVE_END, OTHER_END, place
from phasorkit.motor_faults import running_slip
from phasorkit.run_up import gap_currents, speed_after, workshop_pump
from phasorkit.supply import Supply
from phasorkit.widgets import motor_app
from phasorkit.widgets.motor import MotorApp
from phasorkit.widgets.motor_shown import MotorSettings, MotorShown, MotorState, after, compute_motor, draw_motor

LONG = 120
"""Ticks after which a start is over."""


@pytest.fixture
def app() -> MotorApp:
    return MotorApp(MotorSettings())


def ran(settings: MotorSettings, ticks: int = LONG, state: MotorState | None = None) -> MotorState:
    now = state or MotorState()
    for _ in range(ticks):
        now = after(settings, now)
    return now


def shown(settings: MotorSettings, ticks: int = LONG) -> MotorShown:
    return compute_motor(settings, ran(settings, ticks))


# --- physics ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("volts", "hertz"), [(400, 50), (208, 60), (480, 60)])
def test_it_runs_up_to_its_plate_on_every_system(volts: float, hertz: float) -> None:
    plate = workshop_pump(line_voltage=volts, frequency=hertz)
    found = shown(MotorSettings(line_voltage=volts, frequency=hertz, made_for=(volts, hertz), on=True))
    assert found.rpm == pytest.approx(plate.rpm, rel=0.001)
    assert found.currents == pytest.approx((1, 1, 1), abs=0.01)
    assert plate.power == pytest.approx(4000, rel=0.01)


def test_low_volts_cost_slip_and_current_and_very_low_ones_the_start() -> None:
    """Torque goes with the square of the volts (textbooks): at a quarter of them a loaded pump hardly turns."""
    full, low = (shown(MotorSettings(on=True, line_voltage=v), 300) for v in (400, 320))
    assert low.rpm < full.rpm
    assert max(low.currents) > 1.1 * max(full.currents)
    assert shown(MotorSettings(on=True, line_voltage=40), 300).rpm < 1000


def test_torque_below_friction_moves_nothing() -> None:
    """24 of 400 V give 1.9·(24/400)² = 0.7 % of rated torque; friction is 120 W at 3000 r/min: 2.9 %."""
    stuck = shown(MotorSettings(on=True, line_voltage=24, load=0))
    assert (stuck.rpm, stuck.turns) == (0, "at rest")
    assert max(stuck.currents) > 0.3


def test_on_sixty_hertz_the_field_and_the_shaft_turn_a_fifth_faster() -> None:
    faster = shown(MotorSettings(on=True, frequency=60, load=0), 300)
    assert faster.rpm == pytest.approx(3600, rel=0.01)


def test_speed_settles_where_torque_and_load_balance() -> None:
    """Second method: the slip that `running_slip` finds by bisection for the torque that the pump asks there."""
    plate, supply = workshop_pump(line_voltage=400, frequency=50), Supply(line_voltage=400, frequency=50)
    speed = speed_after(plate, supply, speed=0, load=0.8, seconds=20)
    slip = float(running_slip(plate.motor, supply, torque=0.8 * (speed / (1 - plate.slip)) ** 2 * plate.torque))
    assert 1 - speed == pytest.approx(slip, abs=5e-4)


def test_it_gathers_speed_by_newtons_law() -> None:
    """Second method, scipy: rated torque alone takes `run_up` seconds; a pump asks for the square of the speed."""
    plate, supply = workshop_pump(line_voltage=400, frequency=50), Supply(line_voltage=400, frequency=50)
    friction = 120 / (2 * np.pi * 50) / plate.torque

    def rise(_: float, speed: np.ndarray) -> np.ndarray:
        pull = plate.motor.on(supply, slip=1 - speed).torque / plate.torque
        return (pull - friction - 0.8 * (speed * 3000 / plate.rpm) ** 2) / 6

    def fall(_: float, speed: np.ndarray) -> np.ndarray:
        return (-friction - 0.8 * (speed * 3000 / plate.rpm) ** 2) / 6 + 0 * speed

    for law, on, start in ((rise, supply, 0.0), (fall, None, 0.9)):
        expected = solve_ivp(law, (0, 1.5), [start], rtol=1e-8).y[0, -1]
        assert 0.2 < expected < 0.8  # on its way
        found = speed_after(plate, on, speed=start, load=0.8, seconds=1.5, run_up=6)
        assert found == pytest.approx(expected, abs=0.005)


def test_one_swap_reverses_and_a_second_one_restores() -> None:
    turns = [
        shown(MotorSettings(on=True, lines=lines)).turns
        for lines in (("L1", "L2", "L3"), ("L2", "L1", "L3"), ("L2", "L3", "L1"))
    ]
    assert turns == ["clockwise", "counter-clockwise", "clockwise"]


@pytest.mark.parametrize("line", ["U1", "V1", "W1"])
def test_an_open_line_does_not_start_it_but_leaves_it_running_hot(line: str) -> None:
    broken = MotorSettings(on=True, open_line=line)
    rest = compute_motor(broken, ran(broken))
    assert (rest.turns, rest.field) == ("at rest", "pulsating")
    running = compute_motor(broken, ran(broken, state=ran(MotorSettings(on=True))))
    assert running.turns == "clockwise"
    assert 1.6 < max(running.currents) < 2.1
    assert min(running.currents) == 0
    assert max(rest.currents) > 4


def test_switched_off_it_runs_down_without_current() -> None:
    spinning = ran(MotorSettings(on=True))
    off = compute_motor(MotorSettings(), after(MotorSettings(), spinning))
    assert off.currents == (0, 0, 0)
    assert 0 < off.rpm < 2889


def test_the_gap_field_of_an_idle_motor_is_that_of_its_windings() -> None:
    """Without slip no rotor current flows, so winding and gap currents are one and the same."""
    run = workshop_pump(line_voltage=400, frequency=50).motor.on(Supply(), slip=0.0)
    assert np.allclose(gap_currents(run), run.winding_currents, rtol=1e-9)


@pytest.mark.parametrize(("seconds", "load", "says"), [(0, 1, "seconds must be positive"), (1, -1, "load must be 0")])
def test_bad_steps_are_refused(seconds: float, load: float, says: str) -> None:
    plate = workshop_pump(line_voltage=400, frequency=50)
    with pytest.raises(ValueError, match=says):
        speed_after(plate, None, speed=0, load=load, seconds=seconds)


# --- the picture ------------------------------------------------------------------------------------------


def arrow(html: str, mark: str) -> complex:
    """From tail to the last point of an arrow's shaft [px, y down]; the head is cut off by a constant."""
    data = re.search(rf'd="M([^"]+)"[^>]*{mark}', html)[1]  # type: ignore[index]
    points = [complex(*map(float, p.split(","))) for p in data.split(" L")]
    return points[-1] - points[0]


def test_the_sum_turns_with_the_supply_and_keeps_its_length() -> None:
    settings = MotorSettings(on=True)
    ways = [arrow(draw_motor(compute_motor(settings, MotorState(supply=t))), 'data-sum="field"') for t in (0, 0.5, 1)]
    lengths = [abs(w) for w in ways]
    assert max(lengths) - min(lengths) < 0.1
    turned = [float(np.angle(b / a)) for a, b in pairwise(ways)]  # y down: clockwise is positive
    assert turned == pytest.approx([0.5, 0.5], abs=0.01)


def test_the_other_end_sees_the_mirror_image() -> None:
    assert place(0.7, end=OTHER_END) == pytest.approx(complex(-place(0.7).real, place(0.7).imag))
    for end, sense in ((DRIVE_END, "clockwise"), (OTHER_END, "counter-clockwise")):
        assert shown(MotorSettings(on=True, end=end)).turns == sense


def test_the_frame_never_changes() -> None:
    settings = (MotorSettings(), MotorSettings(on=True), MotorSettings(on=True, open_line="V1", line_voltage=208))
    pictures = [draw_motor(compute_motor(s, MotorState())) for s in settings]
    assert len({re.search('viewBox="([^"]+)"', p)[1] for p in pictures}) == 1  # type: ignore[index]
    assert all("nan" not in p.lower() for p in pictures)


# --- the app ----------------------------------------------------------------------------------------------


def tick(app: MotorApp, times: int = LONG) -> None:
    """What the browser's play button does: count up."""
    for _ in range(times):
        app.play.value += 1
    assert_no_hidden_error(app.widget)


def test_start_swap_and_stop_by_the_buttons(app: MotorApp) -> None:
    drive(app.widget, "Switch on", "click", reads=lambda: app.result.field, expect="circle")
    tick(app)
    assert app.result.turns == "clockwise"
    assert "about 2890 r/min" in app.line.value
    drive(app.widget, "Swap U1 and V1", "click", reads=lambda: app.lines, expect=("L2", "L1", "L3"))
    assert max(app.result.currents) > 5
    tick(app, 2 * LONG)
    assert app.result.turns == "counter-clockwise"
    drive(app.widget, "Seen on", OTHER_END, reads=lambda: app.result.turns, expect="clockwise")
    drive(app.widget, "Off, wait", "click", reads=lambda: app.result.turns, expect="at rest")
    assert "Switched off" in app.line.value


def test_a_line_opened_while_it_runs_and_the_next_start(app: MotorApp) -> None:
    drive(app.widget, "Switch on", "click", reads=lambda: app.on, expect=True)
    tick(app)
    drive(app.widget, "Open at", "V1", reads=lambda: app.result.field, expect="ellipse")
    tick(app)
    assert "too much to bear for long" in app.line.value
    drive(app.widget, "Off, wait", "click", reads=lambda: app.on, expect=False)
    drive(app.widget, "Switch on", "click", reads=lambda: app.result.field, expect="pulsating")
    tick(app)
    assert "no torque from rest" in app.line.value
    drive(app.widget, "Open at", "none", reads=lambda: app.result.field, expect="circle")
    tick(app)
    assert app.result.turns == "clockwise"


def test_load_slows_it_and_pause_holds_it(app: MotorApp) -> None:
    app.switch.click()
    tick(app)
    before = app.result.rpm
    drive(app.widget, "Pump load [%]: exact", "150 %", reads=lambda: app.load.value, expect=150)
    assert app.result.rpm == before
    tick(app)
    assert app.result.rpm < before
    app.play.value = 0  # the stop button: the count starts again, the shaft stays as it is
    assert app.result.rpm < before


@pytest.mark.parametrize("text", ["-1", "0", "much", "20 kV"])
def test_bad_input_says_what_is_accepted_and_keeps_the_picture(app: MotorApp, text: str) -> None:
    good = app.picture.value
    reads = lambda: "Not taken" in app.line.value  # noqa: E731
    drive(app.widget, "Line volts [V]: exact", text, reads=reads, expect=True)
    tick(app, 2)
    assert app.picture.value == good
    drive(app.widget, "Line volts [V]: exact", "208", reads=reads, expect=False)


def test_labels_carry_units_and_nothing_hidden_failed() -> None:
    widget = motor_app(line_voltage=208, frequency=60)
    labels = [str(getattr(c, "description", "")) for c in widgets_of(widget)]
    assert [x for x in labels if x.endswith("]")] == ["Line volts [V]", "Frequency [Hz]", "Pump load [%]"]
    assert_no_hidden_error(widget)


def test_the_millimetres_of_the_ruler_cell_are_those_of_the_picture() -> None:
    """At 96 px to the inch (CSS); the arrow's line ends 0.8 heads before its tip."""
    svg = (Path(__file__).parents[1] / "lessons" / "pictures" / "motor_field_123.svg").read_text(encoding="utf-8")
    second = svg.split("30° later")[0].split("start</tspan>")[1]
    total = abs(arrow(second, 'data-sum="field"')) + 0.8 * 15
    single = [abs(arrow(second, f'data-winding="{name}"')) + 0.8 * 10 for name in "UW"]
    assert [round(px * 25.4 / 96, 1) for px in (*single, total)] == pytest.approx([10.5, 10.5, 18], abs=0.3)
    assert total / single[0] == pytest.approx(3**0.5, rel=0.001)
