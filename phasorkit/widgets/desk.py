"""A design desk: choose circuit and parts, and see requirement by requirement what holds; one call, `design_app`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import ipywidgets as w

from phasorkit.analysis.design import CAPACITOR_KINDS, Asked, Design, Requirement
from phasorkit.analysis.loose_tip import loose_tips
from phasorkit.analysis.margins import Margins
from phasorkit.analysis.ratings import EXTRA_LOW, RESISTORS
from phasorkit.analysis.requirements import requirements
from phasorkit.draw import Picture
from phasorkit.draw.desk import desk_picture
from phasorkit.indicators import Indicator, circuit
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE
from phasorkit.parts import series_values
from phasorkit.quantities import code, render
from phasorkit.setting import Setting
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at, status
from phasorkit.widgets.numbers import NumberControl

CIRCUITS = ("divider-bridge", "twin-bridge", "double-rc-bridge", "led-pair", "touch-probe")
"""Circuits whose lamps strike; filament lamps have other requirements."""

CAPACITORS = (*(float(f"{v:g}e{p}") for p in (-10, -9, -8, -7) for v in series_values("E6")), 1e-6)
"""Capacitors in the drawer [F]: 100 pF to 1 µF, E6."""

SIZES = {size.name: size for size in RESISTORS}
KINDS = {f"{kind.name}, {kind.volts:.0f} V ac": kind for kind in CAPACITOR_KINDS}
SERIES = ("E12", "E24", "E96")
RESISTOR_CLASSES, CAPACITOR_CLASSES = ("1", "2", "5"), ("1", "2", "5", "10", "20")
READINGS = (("two will do", ""), ("one must do", "one"))


@dataclass(frozen=True, kw_only=True)
class DesignSettings:
    """All that can be set at the desk.

    Parameters
    ----------
    circuit : str
        One of `CIRCUITS`.
    line_voltage, frequency : float
        Nominal: line to line [V rms], [Hz]. The window of the voltage is 85 to 110 %, unbalance up to 2 %.
    frequency_off : float
        How far the frequency may be off [%].
    one_reading : bool
        Whether one reading must name the sequence.
    capacitance, capacitor_off, capacitor : float, float, str
        Value [F], class [±%], kind (one of `KINDS`).
    series, resistor_off, size, pieces : str, float, str, int
        Of the resistors: preferred series, class [±%], kind (one of `SIZES`), equal pieces in series.
    faults : bool
        Whether every single fault is tried.
    """

    circuit: str = "divider-bridge"
    line_voltage: float = 400.0
    frequency: float = 50.0
    frequency_off: float = 5.0
    one_reading: bool = False
    capacitance: float = 4.7e-9
    capacitor_off: float = 5.0
    capacitor: str = "film, 400 V dc, 200 V ac"
    series: str = "E24"
    resistor_off: float = 1.0
    size: str = "0.25 W film"
    pieces: int = 1
    faults: bool = False


@dataclass(frozen=True)
class DesignShown:
    """What the desk shows: the design, the verdict, its picture, the line below it."""

    design: Design
    found: tuple[Requirement, ...]
    picture: Picture
    line: str


def compute_design(settings: DesignSettings) -> DesignShown:
    """Judge and draw for the settings.

    Raises
    ------
    ValueError, KeyError
        A setting that the library refuses.

    Examples
    --------
    >>> shown = compute_design(DesignSettings())
    >>> [r.name for r in shown.found if r.passed is False][0]
    'volts on each resistor'
    """
    s = settings
    exact = _sized(s.circuit, s.capacitance, s.frequency, s.line_voltage)
    design = Design(exact=exact, series=s.series, pieces=s.pieces, size=SIZES[s.size], capacitor=KINDS[s.capacitor])
    window = (1 - s.frequency_off / 100, 1 + s.frequency_off / 100)
    margins = Margins(resistor=s.resistor_off, capacitor=s.capacitor_off, frequency=window)
    found = requirements(design, Asked(margins=margins, one_reading=s.one_reading, faults=s.faults))
    tips = None if not s.faults else loose_tips(design.bought) if s.line_voltage > EXTRA_LOW else ()
    picture = desk_picture(found, heading=_heading(design), tips=tips)
    return DesignShown(design, found, picture, f"{exact.title}: {picture.text}")


@lru_cache(maxsize=64)
def _sized(name: str, capacitance: float, frequency: float, line_voltage: float) -> Indicator:
    """Kept, for the touch probe tries every single fault to choose its resistors."""
    given = {"capacitance": capacitance, "frequency": frequency, "line_voltage": line_voltage}
    return circuit(name).sized(**given)  # type: ignore[attr-defined, no-any-return]


def draw_design(shown: DesignShown) -> str:
    """The picture as HTML."""
    return shown.picture.html()


def _heading(design: Design) -> str:
    first = design.exact.resistances[0]
    pieces = f"{design.pieces} × " if design.pieces > 1 else ""
    farad = render(design.exact.capacitance, "F", digits=3)  # type: ignore[attr-defined]
    return f"{design.exact.title}: C {farad}, R {pieces}{code(design.each(first))} ({design.series})"


def design_app(*, setting: Setting | None = None, line_voltage: float = 400.0, frequency: float = 50.0) -> Any:
    """Show a design desk: choose circuit and parts, see what the design meets and where it fails.

    Parameters
    ----------
    setting : Setting, optional
        A lesson's setting, in place of line voltage and frequency.
    line_voltage, frequency : float
        Where the supply starts: line to line [V rms], [Hz].

    Returns
    -------
    ipywidgets widget

    Examples
    --------
    >>> type(design_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    return DesignApp(DesignSettings(line_voltage=volts, frequency=hertz)).widget


class DesignApp:
    """The controls and what they show; `result` is the last good one."""

    def __init__(self, start: DesignSettings) -> None:
        self._quiet, self.faults = True, start.faults
        changed = self.changed
        self.volts = ValueControl(
            LINE_VOLTAGE, label="Line volts", value=start.line_voltage, span=(24, 690), changed=changed
        )
        self.hertz = ValueControl(FREQUENCY, label="Frequency", value=start.frequency, span=(45, 65), changed=changed)
        self.off = NumberControl("Frequency ±", unit="%", value=start.frequency_off, high=15, step=0.5, changed=changed)
        self.reading = buttons("Readings", READINGS, "one" if start.one_reading else "", "152px")
        self.circuit = _menu("Circuit", [(circuit(n).title, n) for n in CIRCUITS], start.circuit)
        self.capacitance = _menu("C [F]", [(render(c, "F"), c) for c in CAPACITORS], start.capacitance)
        self.kind = _menu("C kind", [(k, k) for k in KINDS], start.capacitor)
        self.capacitor = _classes("C ± [%]", CAPACITOR_CLASSES, start.capacitor_off)
        self.series = buttons("R series", tuple((s, s) for s in SERIES), start.series, "68px")
        self.resistor = _classes("R ± [%]", RESISTOR_CLASSES, start.resistor_off)
        self.size = _menu("R kind", [(s, s) for s in SIZES], start.size)
        self.pieces = buttons("R pieces", tuple((str(k), str(k)) for k in (1, 2, 3, 4)), str(start.pieces), "52px")
        self.button = w.Button(description="Try every single fault", layout=w.Layout(width="418px"))
        self.picture, self.line = w.HTML(), w.HTML()
        self.result: DesignShown = compute_design(start)
        self.widget = self._arranged()
        self._wire()
        self._quiet = False
        self.update()

    @property
    def settings(self) -> DesignSettings:
        """The settings that the controls show."""
        return DesignSettings(
            circuit=self.circuit.value, line_voltage=self.volts.value, frequency=self.hertz.value,
            frequency_off=self.off.value, one_reading=self.reading.value == "one",
            capacitance=self.capacitance.value, capacitor_off=float(self.capacitor.value), capacitor=self.kind.value,
            series=self.series.value, resistor_off=float(self.resistor.value), size=self.size.value,
            pieces=int(self.pieces.value), faults=self.faults,
        )  # fmt: skip

    def changed(self, _change: object = None) -> None:
        """Another design: its faults are not tried yet."""
        self.faults = False
        self.update()

    def update(self) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        trouble = self.volts.trouble or self.hertz.trouble or self.off.trouble
        if trouble:
            self.line.value = status(trouble, good=False)
            return
        try:
            self.result = compute_design(self.settings)
        except ValueError as error:
            self.line.value = status(str(error), good=False)
            return
        self.picture.value = draw_design(self.result)
        self.line.value = status(self.result.line)

    def _try_faults(self, _button: object) -> None:
        self.faults = True
        self.update()

    def _wire(self) -> None:
        self.button.on_click(self._try_faults)
        for control in (
            self.reading, self.circuit, self.capacitance, self.kind, self.capacitor, self.series, self.resistor,
            self.size, self.pieces,
        ):  # fmt: skip
            control.observe(self.changed, "value")

    def _arranged(self) -> Any:
        left = [
            _head("Supply"), self.volts.widget, self.hertz.widget, self.off.widget, labelled(self.reading),
            _head("Parts"), self.circuit, self.capacitance, self.kind, labelled(self.capacitor),
            labelled(self.series), labelled(self.resistor), self.size, labelled(self.pieces),
            _head("Fault"), self.button,
        ]  # fmt: skip
        controls = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls, w.VBox([self.picture, self.line], layout=w.Layout(width="560px"))])


def _menu(label: str, options: list[tuple[str, Any]], value: Any) -> Any:
    return w.Dropdown(
        options=options, value=value, description=label, tooltip=label, layout=w.Layout(width="418px"),
        style={"description_width": "62px"},
    )  # fmt: skip


def _classes(label: str, classes: tuple[str, ...], value: float) -> Any:
    return buttons(label, tuple((f"{c} %", c) for c in classes), f"{value:g}", "60px")


def _head(text: str) -> Any:
    return w.HTML(f'<b style="line-height:1.4">{text}</b>')
