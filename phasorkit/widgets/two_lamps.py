"""Two lamps that glow in proportion, live: sequence, capacitor or inductor, lamps, probes; call `two_lamps_app`."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import ipywidgets as w

from phasorkit.analysis.two_lamps import CAPACITOR, INDUCTOR, Glow, LampBox, phase_lamp
from phasorkit.draw import Picture, words
from phasorkit.draw.two_lamps import lamps_picture
from phasorkit.filament import FilamentLamp
from phasorkit.indicators import Reading
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE, SEQUENCES
from phasorkit.setting import Setting
from phasorkit.supply import CONDUCTORS
from phasorkit.widgets.compute import Settings, supplied
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status
from phasorkit.widgets.numbers import NumberControl

FIXED, FOLLOWS = "stay", "follow the volts"
SHOWN, HIDDEN = "shown", "hidden"


@dataclass(frozen=True, kw_only=True)
class TwoLampSettings:
    """All that can be set in the app of two lamps.

    Parameters
    ----------
    line_voltage, frequency : float
        [V rms] line to line, [Hz].
    sequence : "123" or "132"
    lamp_volts : float
        Printed on one lamp [V rms].
    kind : "capacitor" or "inductor"
        What is on L1.
    reactance_percent : float
        Its reactance as part of the resistance of a branch [%].
    in_series : int
        Lamps in one branch.
    ohms : `FIXED` or `FOLLOWS`
        What the resistance of the lamps does.
    probes : mapping of probe to what it touches
        A conductor, ``N``, or "" for nothing; a probe that is missing lies right.
    proof : `SHOWN` or `HIDDEN`
        The half circle of S.
    symbols : "IEC" or "NA"
    """

    line_voltage: float = 400.0
    frequency: float = 50.0
    sequence: str = "123"
    lamp_volts: float = 230.0
    kind: str = CAPACITOR
    reactance_percent: float = 100.0
    in_series: int = 1
    ohms: str = FIXED
    probes: MappingProxyType[str, str] = field(default_factory=lambda: MappingProxyType({}))
    proof: str = SHOWN
    symbols: str = "IEC"


@dataclass(frozen=True)
class LampsShown:
    """What the app shows: the reading, how each lamp glows, the picture, the line below it."""

    reading: Reading
    glows: tuple[Glow, Glow]
    picture: Picture
    line: str


def compute_lamps(settings: TwoLampSettings) -> LampsShown:
    """Solve and draw for the settings.

    Raises
    ------
    ValueError
        A setting that the library refuses.

    Examples
    --------
    >>> [round(glow.volts) for glow in compute_lamps(TwoLampSettings(sequence="132")).glows]
    [93, 346]
    """
    s = settings
    box = LampBox(
        line_voltage=s.line_voltage, frequency=s.frequency, lamp=FilamentLamp(s.lamp_volts, 15.0, s.in_series),
        kind=s.kind, reactance_percent=s.reactance_percent, hot=s.ohms == FOLLOWS,
    )  # fmt: skip
    supply = supplied(
        Settings(line_voltage=s.line_voltage, frequency=s.frequency, sequence=s.sequence, probes=s.probes)
    )
    reading = box.star().on(supply)
    picture = lamps_picture(box, reading, symbols=s.symbols, proof=s.proof == SHOWN)
    return LampsShown(reading, box.glows(reading), picture, picture.text)


def draw_lamps(shown: LampsShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def two_lamps_app(*, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0) -> Any:
    """Show two lamps in star with a capacitor or an inductor: the drawing, and the lamps as bright as they are.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage, frequency and symbols.
    line_voltage, frequency : float
        Where the supply starts: line to line [V rms], [Hz]; the lamps are for its phase voltage.

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(two_lamps_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    start = TwoLampSettings(
        line_voltage=volts, frequency=hertz, lamp_volts=phase_lamp(volts).volts,
        symbols="IEC" if setting is None else setting.symbols,
    )  # fmt: skip
    return TwoLampsApp(start).widget


class TwoLampsApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: TwoLampSettings) -> None:
        self._start, self._quiet = start, True
        self.volts = ValueControl(
            LINE_VOLTAGE, label="Line volts", value=start.line_voltage, span=(24, 690), changed=self.update
        )
        self.hertz = ValueControl(
            FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=self.update
        )
        self.sequence, self.swap = start.sequence, w.Button(layout=w.Layout(width="418px"))
        self.kind = buttons("On L1", ((CAPACITOR, CAPACITOR), (INDUCTOR, INDUCTOR)), start.kind, "148px")
        self.percent = NumberControl(
            "X as part of R", unit="%", value=start.reactance_percent, low=10, high=400, step=5, changed=self.update,
            example="100",
        )  # fmt: skip
        each = f"of {start.lamp_volts:g} V"
        branches = ((f"1 lamp {each}", "1"), (f"2 lamps {each}", "2"))
        self.count = buttons("Branch", branches, str(start.in_series), "148px")
        self.ohms = buttons("Ohms", ((FIXED, FIXED), (FOLLOWS, FOLLOWS)), start.ohms, "148px")
        self.probes = {p: _probe(p) for p in CONDUCTORS}
        self.proof = buttons("Proof", ((SHOWN, SHOWN), (HIDDEN, HIDDEN)), start.proof, "148px")
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: LampsShown = compute_lamps(start)
        self.widget = self._arranged()
        self.swap.on_click(self._swapped)
        for control in (self.kind, self.count, self.ohms, *self.probes.values(), self.proof):
            control.observe(self.update, "value")
        self._quiet = False
        self.update()

    @property
    def settings(self) -> TwoLampSettings:
        """The settings that the controls show."""
        return TwoLampSettings(
            line_voltage=self.volts.value, frequency=self.hertz.value, sequence=self.sequence,
            lamp_volts=self._start.lamp_volts, kind=self.kind.value, reactance_percent=self.percent.value,
            in_series=int(self.count.value), ohms=self.ohms.value, proof=self.proof.value,
            probes=MappingProxyType({p: c.value for p, c in self.probes.items()}), symbols=self._start.symbols,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        self.swap.description = f"Swap two phases (sequence is {words.sequence(self.sequence)})"
        trouble = next((c.trouble for c in (self.volts, self.hertz, self.percent) if c.trouble), "")
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        self.result = compute_lamps(self.settings)
        self.picture.value = draw_lamps(self.result)
        self.line.value = status(self.result.line)

    def _swapped(self, _button: object) -> None:
        self.sequence = SEQUENCES[1 - SEQUENCES.index(self.sequence)]
        self.update()

    def _arranged(self) -> Any:
        rows = {
            "Supply": [self.volts.widget, self.hertz.widget, self.swap],
            "Parts": [labelled(self.kind), self.percent.widget, labelled(self.count), labelled(self.ohms)],
            "Fault": [labelled(c) for c in self.probes.values()],
            "View": [labelled(self.proof)],
        }
        left: list[Any] = []
        for name, controls in rows.items():
            left += [w.HTML(f'<b style="line-height:1.4">{name}</b>'), *controls]
        controls_box = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls_box, w.VBox([self.picture, self.line], layout=w.Layout(width="540px"))])


def _probe(probe: str) -> Any:
    return buttons(f"Probe {probe}", ((f"on {probe}", probe), ("open", ""), ("on N", "N")), probe, "98px")
