"""A lamp's volts and current in time, live: line volts, series resistor or shunt; one call, `lamp_app`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import ipywidgets as w

from phasorkit.analysis.lamp_in_time import MODELS
from phasorkit.draw import Picture
from phasorkit.draw.lamp_time import lamp_time
from phasorkit.draw.words import sequence as written
from phasorkit.indicators import Indicator, circuit
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE, SEQUENCES, Given
from phasorkit.lamps import Lamp
from phasorkit.setting import Setting
from phasorkit.switching import Led, SwitchingLamp, SwitchingModel
from phasorkit.time_course import TimeCourse
from phasorkit.transient import steady_state
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status
from phasorkit.widgets.player import Player

AS_BUILT, PERIOD, STRIKE = "as built", "a period", "at the strike"


@dataclass(frozen=True)
class Moved:
    """What the app moves in a circuit: capacitor to start with [F], field, label, range, faults.

    The range is that of the slider, down and up from the value as sized, as powers of ten.

    A fault names the elements that are open, those that are shorted, and the LEDs that lack their diode.
    """

    capacitance: float
    field: str
    label: str
    decades: tuple[int, int]
    faults: Mapping[str, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]]


_NONE: tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]] = ((), (), ())

CIRCUITS: Mapping[str, Moved] = MappingProxyType(
    {
        "double-rc-bridge": Moved(
            4.7e-9, "series_resistance", "R3", (3, 1), {AS_BUILT: _NONE, "R3 bridged": ((), ("R3",), ())}
        ),
        "led-pair": Moved(
            47e-9, "shunt", "Shunts", (1, 2),
            {AS_BUILT: _NONE, "no shunts": (("R2", "R4"), (), ()), "H2 bare": (("R4",), (), ("H2",))},
        ),
    }
)  # fmt: skip
"""Circuits with lamps that switch, by name."""


@dataclass(frozen=True, kw_only=True)
class LampSettings:
    """All that can be set in the lamp app.

    Parameters
    ----------
    circuit : str
        A key of `CIRCUITS`.
    nominal_voltage, nominal_frequency, capacitance : float
        What the parts are sized for: line to line [V rms], [Hz], [F].
    line_voltage, frequency : float
        What the supply really has.
    sequence : "123" or "132"
    resistance : float, optional
        The resistor that is moved [Ω]; by default as sized.
    fault : str
        One of the circuit's faults.
    view : "a period" or "at the strike"
    turned : float
        Part of the period at which the lamps are shown.
    """

    circuit: str = "double-rc-bridge"
    nominal_voltage: float = 400.0
    nominal_frequency: float = 50.0
    capacitance: float = 4.7e-9
    line_voltage: float = 400.0
    frequency: float = 50.0
    sequence: str = "132"
    resistance: float | None = None
    fault: str = AS_BUILT
    view: str = PERIOD
    turned: float = 0.0


@dataclass(frozen=True)
class LampShown:
    """What the app shows: the course, its picture, the line below it."""

    course: TimeCourse
    picture: Picture
    line: str


def compute_lamp(settings: LampSettings) -> LampShown:
    """Step to the steady state and draw it.

    Raises
    ------
    ValueError
        A setting that the library refuses.
    KeyError
        A circuit or fault that is not offered.

    Examples
    --------
    >>> figures = compute_lamp(LampSettings(fault="R3 bridged")).course.lamp("H1")
    >>> round(1e3 * figures.peak_ampere, 1)
    8.0
    """
    course, unlit = _run(replace(settings, view=PERIOD, turned=0.0))
    free, hertz = dict(unlit), settings.frequency
    picture = lamp_time(course, frequency=hertz, free=free, close=settings.view == STRIKE, moment=settings.turned)
    late = "" if course.settled else " The lamp does not keep step with the supply; one period out of many is shown."
    return LampShown(course, picture, picture.text + late)


@lru_cache(maxsize=4)
def _run(settings: LampSettings) -> tuple[TimeCourse, tuple[tuple[str, complex], ...]]:
    """The course, and what every lamp would have unlit [V rms]."""
    moved, indicator = CIRCUITS[settings.circuit], build(settings)
    opened, shorted, bare = moved.faults[settings.fault]
    network = indicator.network()
    for name in opened:
        network = network.opened(name)
    for name in shorted:
        network = network.shorted(name)
    supply = replace(
        indicator.supply(settings.sequence), line_voltage=settings.line_voltage, frequency=settings.frequency
    )
    lamps = tuple(SwitchingLamp(p.name, p.a, p.b, _model(p, bare)) for p in indicator.lamps)
    course = steady_state(network, supply.sources(), frequency=settings.frequency, lamps=lamps)
    solution = indicator.on(supply, network=network).solution
    return course, tuple((p.name, complex(solution.voltage(p.a, p.b))) for p in lamps)


def _model(lamp: Lamp, bare: tuple[str, ...]) -> SwitchingModel:
    """The usual lamp of its kind; an LED among the bare ones has no diode across it."""
    usual = MODELS[lamp.kind]
    return replace(usual, reverse_diode=None) if isinstance(usual, Led) and lamp.name in bare else usual


def build(settings: LampSettings) -> Indicator:
    """The circuit of the settings, sized for the nominal supply, the moved resistor as set."""
    moved = CIRCUITS[settings.circuit]
    sized: Any = circuit(settings.circuit).sized(  # type: ignore[attr-defined]
        capacitance=settings.capacitance, frequency=settings.nominal_frequency, line_voltage=settings.nominal_voltage
    )
    changed: Indicator = sized if settings.resistance is None else replace(sized, **{moved.field: settings.resistance})
    return changed


def draw_lamp(shown: LampShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def lamp_app(
    circuit: str = "double-rc-bridge", *, setting: Setting | None = None, line_voltage: float = 400.0,
    frequency: float = 50.0, capacitance: float | None = None, sequence: str = "132",
) -> Any:  # fmt: skip
    """Show volts and current of lamps that switch: line volts, series resistor or shunt, with or without it.

    Parameters
    ----------
    circuit : "double-rc-bridge" or "led-pair"
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency, capacitance : float
        What the parts are sized for: line to line [V rms], [Hz], [F].
    sequence : "123" or "132"
        Where the sequence starts.

    Returns
    -------
    ipywidgets widget

    Raises
    ------
    ValueError
        A circuit that is not offered, values that it refuses.

    Examples
    --------
    >>> type(lamp_app("led-pair")).__name__
    'HBox'
    """
    if circuit not in CIRCUITS:
        raise ValueError(f"circuit must be one of {', '.join(CIRCUITS)}, got {circuit!r}")
    volts, hertz = starts_at(setting, line_voltage, frequency)
    farad = CIRCUITS[circuit].capacitance if capacitance is None else capacitance
    return LampApp(
        LampSettings(
            circuit=circuit, nominal_voltage=volts, nominal_frequency=hertz, line_voltage=volts, frequency=hertz,
            capacitance=farad, sequence=sequence,
        )
    ).widget  # fmt: skip


class LampApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: LampSettings) -> None:
        self._start, self._moved = start, CIRCUITS[start.circuit]
        self.sized = float(getattr(build(start), self._moved.field))
        down, up = self._moved.decades
        self.sequence, self.swap = start.sequence, w.Button(layout=w.Layout(width="418px"))
        self.volts = ValueControl(
            LINE_VOLTAGE, label="Line volts", value=start.line_voltage, span=(24, 690), changed=self.update
        )
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=self.update
        )
        self.ohms = ValueControl(
            Given(self._moved.field, "", "Ω", 1.0, 1e9, ""), label=self._moved.label, value=self.sized,
            span=(self.sized / 10**down, self.sized * 10**up), logarithmic=True, changed=self.update,
        )  # fmt: skip
        self.back = w.Button(description=f"{self._moved.label} as sized", layout=w.Layout(width="418px"))
        width = {2: "150px", 3: "112px"}[len(self._moved.faults)]
        self.fault = buttons("Fault", tuple((f, f) for f in self._moved.faults), start.fault, width)
        self.view = buttons("Picture", ((PERIOD, PERIOD), (STRIKE, STRIKE)), start.view, "150px")
        self.player = Player(changed=self.update)
        self.picture, self.line = w.HTML(), w.HTML()
        self.result = compute_lamp(start)
        self.widget = self._arranged()
        self.swap.on_click(self._swapped)
        self.back.on_click(self._sized)
        for control in (self.fault, self.view):
            control.observe(self.update, "value")
        self.update()

    @property
    def settings(self) -> LampSettings:
        """The settings that the controls show."""
        return replace(
            self._start, line_voltage=self.volts.value, frequency=self.hertz.value, sequence=self.sequence,
            resistance=self.ohms.value, fault=self.fault.value, view=self.view.value, turned=self.player.turned,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        self.swap.description = f"Swap two phases (sequence is {written(self.sequence)})"
        troubles = [c.trouble for c in (self.volts, self.hertz, self.ohms, self.player) if c.trouble]
        try:
            if troubles:
                raise ValueError(troubles[0])
            self.result = compute_lamp(self.settings)
        except ValueError as error:
            self.line.value = status(str(error), good=False)
            return
        self.picture.value = draw_lamp(self.result)
        self.line.value = status(self.result.line)

    def _swapped(self, _button: object) -> None:
        self.sequence = SEQUENCES[1 - SEQUENCES.index(self.sequence)]
        self.update()

    def _sized(self, _button: object) -> None:
        self.ohms.set(self.sized)

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget, self.swap],
            "Parts": [self.ohms.widget, self.back],
            "Fault": [labelled(self.fault)],
            "View": [labelled(self.view), self.player.widget],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])
