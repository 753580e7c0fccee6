"""Two probes, a lamp, a touch pad and a person, live: one call, `body_app`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from phasorkit.analysis.body_path import (
    BOTH_OF_CHAIN,
    NO_FAULT,
    ON_EARTH,
    SINGLE_FAULTS,
    STANCES,
    BodyPath,
    body_path,
)
from phasorkit.draw import Picture
from phasorkit.draw.body_path import body_picture
from phasorkit.draw.words import sequence
from phasorkit.indicators.base import CAPACITOR, FREQUENCY, LINE_VOLTAGE, SEQUENCES, Given, reactance
from phasorkit.indicators.touch_probe import BODY_RESISTANCE, SMALLEST_CHAIN, TouchProbe
from phasorkit.setting import Setting
from phasorkit.supply import EARTHINGS, Supply
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status

BODY = Given("body", "", "Ω", 1.0, 1e6, "body resistance")
CHAIN = Given("chain", "", "Ω", 1e3, 1e8, "each resistor to the pad")
_EARTHING_WORDS = {"star": "star point", "isolated": "nothing", "corner": "corner L2", "side": "mid-side"}
_THIRD = (("there", ""), ("lost", "zero"))


@dataclass(frozen=True, kw_only=True)
class BodySettings:
    """All that can be set in the body app.

    Parameters
    ----------
    line_voltage, frequency : float
        Line to line [V rms], [Hz].
    sequence : "123" or "132"
    earthing : str
        One of `phasorkit.supply.EARTHINGS`.
    third : "" or "zero"
        Whether L3 is there, or lost and at zero.
    capacitance, chain, body : float
        C1 [F], each of R5 and R6 [Ω], the person [Ω]; R1 to R4 follow from C1, from the series E24.
    stance, fault : str
        As for `body_path`.
    """

    line_voltage: float = 400.0
    frequency: float = 50.0
    sequence: str = "123"
    earthing: str = "star"
    third: str = ""
    capacitance: float = 2.2e-9
    chain: float = SMALLEST_CHAIN
    body: float = BODY_RESISTANCE
    stance: str = ON_EARTH
    fault: str = NO_FAULT


@dataclass(frozen=True)
class BodyShown:
    """What the app shows: the path through the person, its picture, the line below it."""

    path: BodyPath
    picture: Picture
    line: str


def compute_body(settings: BodySettings) -> BodyShown:
    """Solve and draw for the settings.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> shown = compute_body(BodySettings(stance="insulated"))
    >>> shown.path.lamp, round(1e6 * shown.path.current)
    ('too faint to see', 7)
    """
    s = settings
    resistance = reactance(s.capacitance, s.frequency) / 3**0.5
    exact = TouchProbe(
        capacitance=s.capacitance, resistance=resistance, half=resistance / 2, chain=s.chain,
        line_voltage=s.line_voltage, frequency=s.frequency,
    )  # fmt: skip
    probe = exact.with_preferred_values("E24")
    lost = (("L3", s.third),) if s.third else ()
    supply = Supply(
        line_voltage=s.line_voltage, frequency=s.frequency, sequence=s.sequence, earthing=s.earthing, lost=lost
    )
    path = body_path(probe, supply, stance=s.stance, body=s.body, fault=s.fault)
    picture = body_picture(path, stance=s.stance)
    fault = "" if s.fault == NO_FAULT else f"Fault: {s.fault}. "
    return BodyShown(path, picture, fault + picture.text)


def draw_body(shown: BodyShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def body_app(
    *, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0, capacitance: float = 2.2e-9
) -> Any:
    """Show what a touch pad passes through a person, by supply, earthing, parts, stance and fault.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency, capacitance : float
        Where it starts: line to line [V rms], [Hz], [F].

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(body_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    return BodyApp(BodySettings(line_voltage=volts, frequency=hertz, capacitance=capacitance)).widget


class BodyApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: BodySettings) -> None:
        self._quiet = True
        spans: tuple[tuple[str, Given, str, tuple[float, float], bool], ...] = (
            ("line_voltage", LINE_VOLTAGE, "Line volts", (24, 690), False),
            ("frequency", FREQUENCY, "Frequency", (45, 65), False),
            ("capacitance", CAPACITOR, "C1", (start.capacitance / 10, start.capacitance * 10), True),
            ("chain", CHAIN, "R5, R6 each", (4.7e3, 4.7e6), True),
            ("body", BODY, "Person", (2, 2e5), True),
        )
        self.values = {
            name: ValueControl(
                given, label=label, value=getattr(start, name), span=span, logarithmic=log, changed=self.update
            )
            for name, given, label, span, log in spans
        }
        self.sequence, self.swap = start.sequence, w.Button(layout=w.Layout(width="418px"))
        self.earthing = buttons("Earthed", tuple((_EARTHING_WORDS[e], e) for e in EARTHINGS), start.earthing, "84px")
        self.third = buttons("L3", _THIRD, start.third, "168px")
        self.stance = buttons("Person is", tuple((s, s) for s in STANCES), start.stance, "112px")
        self.fault = w.Dropdown(
            options=(*SINGLE_FAULTS, BOTH_OF_CHAIN), value=start.fault, description="Part fault",
            layout=w.Layout(width="418px"),
        )  # fmt: skip
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: BodyShown = compute_body(start)
        self.widget = self._arranged()
        self.swap.on_click(self._swapped)
        for control in (self.earthing, self.third, self.stance, self.fault):
            control.observe(self.update, "value")
        self._quiet = False
        self.update()

    @property
    def settings(self) -> BodySettings:
        """The settings that the controls show."""
        return BodySettings(
            sequence=self.sequence, earthing=self.earthing.value, third=self.third.value, stance=self.stance.value,
            fault=self.fault.value, **{name: control.value for name, control in self.values.items()},
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        self.swap.description = f"Swap the two probes (they see {sequence(self.sequence)})"
        troubles = [c.trouble for c in self.values.values() if c.trouble]
        if troubles:
            self.line.value = status(troubles[0], good=False)
            return
        self.result = compute_body(self.settings)
        self.picture.value = draw_body(self.result)
        self.line.value = status(self.result.line)

    def _swapped(self, _button: object) -> None:
        self.sequence = SEQUENCES[1 - SEQUENCES.index(self.sequence)]
        self.update()

    def _arranged(self) -> Any:
        v = {name: control.widget for name, control in self.values.items()}
        rows = {
            "Supply": [v["line_voltage"], v["frequency"], self.swap, labelled(self.earthing), labelled(self.third)],
            "Parts": [v["capacitance"], v["chain"]],
            "Fault and person": [self.fault, labelled(self.stance), v["body"]],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])
