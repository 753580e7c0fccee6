"""What one frame costs on the kernel's side: drawing alone, and the app from a changed value to new HTML.

Aims (issue): 5 ms a drawing, 10 ms median a frame. The machine may be busy, so the gate is generous and counts the
best of several rounds; the medians are printed.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable
from statistics import median
from types import MappingProxyType

import pytest

from phasorkit.analysis.second_reading import MISTAKES
from phasorkit.draw import phasor_diagram, scale_drawing, waveforms
from phasorkit.indicators import circuit
from phasorkit.widgets import Settings
from phasorkit.widgets.app import IndicatorApp
from phasorkit.widgets.body import BodyApp, BodySettings
from phasorkit.widgets.cloud import CloudApp, CloudSettings
from phasorkit.widgets.desk import DesignApp, DesignSettings
from phasorkit.widgets.lamp import LampApp, LampSettings
from phasorkit.widgets.mistakes import MistakesApp, MistakeSettings
from phasorkit.widgets.motor import MotorApp
from phasorkit.widgets.motor_shown import MotorSettings
from phasorkit.widgets.parts import PartsApp, PartsSettings
from phasorkit.widgets.phasors import VIEWS, PhasorsApp, PhasorSettings
from phasorkit.widgets.shifter import ShifterApp, ShifterSettings
from phasorkit.widgets.three_phase import VIEWS as SUPPLY_VIEWS
from phasorkit.widgets.three_phase import ThreePhaseApp, ThreePhaseSettings
from phasorkit.widgets.two_lamps import FIXED, FOLLOWS, TwoLampsApp, TwoLampSettings

BRIDGE = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)


def milliseconds(step: Callable[[int], object], *, rounds: int = 5, frames: int = 40) -> tuple[float, float]:
    """Median over all frames, and the best round's median [ms], after one frame to warm up."""
    step(0)
    medians, every = [], []
    for _ in range(rounds):
        times = []
        for k in range(frames):
            start = time.perf_counter()
            step(k)
            times.append(1e3 * (time.perf_counter() - start))
        medians.append(median(times))
        every += times
    return median(every), min(medians)


@pytest.mark.bench
@pytest.mark.parametrize("picture", [scale_drawing, phasor_diagram, waveforms])
def test_one_drawing(picture: Callable[..., object]) -> None:
    network = BRIDGE.network()

    def step(k: int) -> object:
        return picture(BRIDGE.on(BRIDGE.supply("132"), network=network.with_value("R3", 1e5 * (1 + k))))

    every, best = milliseconds(step)
    print(f"{picture.__name__}: median {every:.2f} ms, best round {best:.2f} ms")
    assert best < 10


@pytest.mark.bench
@pytest.mark.parametrize("sequence", ["123", "132"])
def test_one_app_frame(sequence: str) -> None:
    app = IndicatorApp(Settings(sequence=sequence, parts=MappingProxyType({"capacitance": 4.7e-9})))
    slider = app.values["resistance"].slider
    seen = set()

    def step(k: int) -> None:
        slider.value = 1e5 * (1 + k)
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"app frame {sequence}: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
def test_one_frame_of_the_mistakes_app() -> None:
    app = MistakesApp(MistakeSettings())
    seen = set()

    def step(k: int) -> None:
        app.mistake.value = MISTAKES[k % len(MISTAKES)]
        app.at.value = f"L{1 + k % 3}"
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"mistakes app, two frames: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 20
    assert best / 2 < 20


@pytest.mark.bench
def test_one_frame_of_the_cloud_app() -> None:
    app = CloudApp(CloudSettings())
    slider = app.percents["capacitor"].slider
    seen = set()

    def step(k: int) -> None:
        slider.value = 0.5 * (k % 40)
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"cloud app: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
@pytest.mark.parametrize("view", VIEWS)
def test_one_frame_of_the_phasors_app(view: str) -> None:
    app = PhasorsApp(PhasorSettings(view=view))
    seen = set()

    def step(k: int) -> None:
        app.player.play.value = 1 + k % 70
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"phasors app, {view}: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
@pytest.mark.parametrize("view", SUPPLY_VIEWS)
def test_one_frame_of_the_three_phase_app(view: str) -> None:
    app = ThreePhaseApp(ThreePhaseSettings(view=view))
    seen = set()

    def step(k: int) -> None:
        app.player.play.value = 1 + k % 70
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"three-phase app, {view}: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
def test_one_frame_of_the_body_app() -> None:
    app = BodyApp(BodySettings())
    slider = app.values["chain"].slider
    seen = set()

    def step(k: int) -> None:
        slider.value = 1e5 * (1 + k)
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"body app: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
def test_one_frame_of_the_motor_app() -> None:
    app = MotorApp(MotorSettings(on=True, open_line="V1"))
    seen = set()

    def step(k: int) -> None:
        app.play.value += 1
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"motor app: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
def test_one_frame_of_the_parts_app() -> None:
    app = PartsApp(PartsSettings())
    seen = set()

    def step(k: int) -> None:
        app.farad.slider.value = (1 + 0.2 * k) * 1e-9
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"parts app: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
@pytest.mark.parametrize(("circuit", "capacitance"), [("double-rc-bridge", 4.7e-9), ("led-pair", 47e-9)])
def test_one_frame_of_the_lamp_app(circuit: str, capacitance: float) -> None:
    app = LampApp(LampSettings(circuit=circuit, capacitance=capacitance))
    seen = set()

    def step(k: int) -> None:
        app.volts.slider.value = 300 + 4 * k
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"lamp app, {circuit}: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
def test_one_frame_of_the_shifter_app() -> None:
    app = ShifterApp(ShifterSettings())
    seen = set()

    def step(k: int) -> None:
        app.ohms.slider.value = 1e3 * (1 + k)
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"shifter app: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
@pytest.mark.parametrize("ohms", [FIXED, FOLLOWS])
def test_one_frame_of_the_two_lamps_app(ohms: str) -> None:
    app = TwoLampsApp(TwoLampSettings(ohms=ohms, in_series=2))
    seen = set()

    def step(k: int) -> None:
        app.percent.slider.value = 20 + 5 * k
        seen.add(app.picture.value)

    every, best = milliseconds(step)
    print(f"two-lamps app, ohms {ohms}: median {every:.2f} ms, best round {best:.2f} ms")
    assert len(seen) >= 30
    assert best < 20


@pytest.mark.bench
@pytest.mark.parametrize("name", ["divider-bridge", "twin-bridge", "touch-probe"])
def test_one_frame_of_the_design_desk(name: str) -> None:
    """Another supply: every wiring state, corner and rating anew; the touch probe adds every single fault."""
    app = DesignApp(DesignSettings(circuit=name, capacitance=1e-9))
    seen, count = set(), itertools.count()

    def another_supply(k: int) -> None:
        app.volts.set(200 + 0.7 * next(count))  # never the same twice: nothing is kept
        seen.add(app.picture.value)

    def another_tolerance(k: int) -> None:
        app.off.slider.value = 1 + 0.5 * (k % 20)

    for step, aim in ((another_supply, 60 if name == "touch-probe" else 30), (another_tolerance, 20)):
        every, best = milliseconds(step)
        print(f"design desk, {name}, {step.__name__}: median {every:.2f} ms, best round {best:.2f} ms")
        assert best < aim
    assert len(seen) >= 200
