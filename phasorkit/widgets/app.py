"""The app of an indicator, for any circuit, from its shared face."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from html import escape
from types import MappingProxyType
from typing import Any

import ipywidgets as w

from phasorkit.draw.words import sequence
from phasorkit.indicators import Indicator, circuit
from phasorkit.indicators.base import FREQUENCY, LINE_VOLTAGE, SEQUENCES, Choice, Given
from phasorkit.setting import Setting
from phasorkit.supply import CONDUCTORS
from phasorkit.widgets.compute import VIEWS, Settings, Shown, Value, build, compute, draw, table
from phasorkit.widgets.controls import ValueControl, buttons, labelled, starts_at

SECTIONS = ("supply", "parts", "fault", "view")
"""Sections of the controls, in their order everywhere."""


def indicator_app(
    circuit: str = "divider-bridge",
    *,
    setting: Setting | None = None,
    line_voltage: float = 400.0,
    frequency: float = 50.0,
    sequence: str = "123",
    parts: Mapping[str, Value] | None = None,
    symbols: str = "IEC",
    sections: Sequence[str] = SECTIONS,
) -> Any:
    """Show an indicator live: supply, parts, wiring faults; scale drawing, phasors or waves.

    Parameters
    ----------
    circuit : str
        Circuit name.
    setting : Setting, optional
        A lesson's setting, in place of line voltage, frequency and symbols.
    line_voltage, frequency : float
        Where the supply starts: line to line [V rms], [Hz].
    sequence : "123" or "132"
        Where the sequence starts.
    parts : mapping of field to value, optional
        Where the parts start: the circuit's givens and resistances [SI units]; the rest is sized.
    symbols : "IEC" or "NA"
        Which circuit symbols it starts with.
    sections : sequence of str
        Which of `SECTIONS` to show.

    Returns
    -------
    ipywidgets widget

    Raises
    ------
    ValueError, KeyError
        Unknown circuit or section, values that the circuit refuses.

    Examples
    --------
    >>> type(indicator_app()).__name__
    'HBox'
    """
    volts, hertz = starts_at(setting, line_voltage, frequency)
    start = Settings(
        circuit=circuit, line_voltage=volts, frequency=hertz, sequence=sequence,
        symbols=symbols if setting is None else setting.symbols,
        parts=MappingProxyType(_starts(circuit) | dict(parts or {})),
    )  # fmt: skip
    return IndicatorApp(start, sections).widget


class IndicatorApp:
    """The controls of an indicator app and what they show; `result` is the last good one.

    A bad value leaves the picture and says below it what is accepted.
    """

    def __init__(self, start: Settings, sections: Sequence[str] = SECTIONS) -> None:
        unknown = [s for s in sections if s not in SECTIONS]
        if unknown:
            raise ValueError(f"sections must be among {', '.join(SECTIONS)}, got {unknown[0]!r}")
        self._start, self._quiet = start, True
        self._kind = circuit(start.circuit)
        self.values = self._value_controls(build(start))
        self.choices = self._choice_controls()
        self.sequence, self.swap = start.sequence, w.Button(layout=w.Layout(width="418px"))
        self.null = w.Button(description=self._null_label(), layout=w.Layout(width="418px"))
        self.probes = {p: self._probe_control(p) for p in self._kind.probes if p in CONDUCTORS}
        self.view = buttons("Picture", tuple((v, v) for v in VIEWS), start.view, "112px")
        self.symbols = buttons("Symbols", (("IEC", "IEC"), ("North America", "NA")), start.symbols, "170px")
        self.picture, self.line, self.table = w.HTML(), w.HTML(), w.HTML()
        self.result: Shown = compute(start)
        self.widget = self._arranged(sections)
        self._wire()
        self._quiet = False
        self.update()

    @property
    def settings(self) -> Settings:
        """The settings that the controls show."""
        values: dict[str, Value] = {name: c.value for name, c in self.values.items()}
        values |= {name: c.value for name, c in self.choices.items()}
        volts, hertz = float(values.pop("line_voltage")), float(values.pop("frequency"))
        probes = MappingProxyType({p: c.value for p, c in self.probes.items()})
        return replace(
            self._start, line_voltage=volts, frequency=hertz, sequence=self.sequence, probes=probes,
            parts=MappingProxyType(values), view=self.view.value, symbols=self.symbols.value,
        )  # fmt: skip

    def update(self, _change: object = None) -> None:
        """Compute and show; or say what is wrong and leave the last good picture."""
        if self._quiet:
            return
        self.swap.description = f"Swap two phases (sequence is {sequence(self.sequence)})"
        troubles = [c.trouble for c in self.values.values() if c.trouble]
        try:
            if troubles:
                raise ValueError(troubles[0])
            self.result = compute(self.settings)
        except ValueError as error:
            self.line.value = _line(str(error), "#a3261b", "Not taken: ")
            return
        self.picture.value = draw(self.result)
        self.line.value = _line(self.result.line, "#1f2430", "")
        self.table.value = table(self.result)

    # --- wiring ---------------------------------------------------------------------------------------

    def _wire(self) -> None:
        self.swap.on_click(self._swapped)
        self.null.on_click(self._nulled)
        for control in (*self.choices.values(), *self.probes.values(), self.view, self.symbols):
            control.observe(self.update, "value")

    def _swapped(self, _button: object) -> None:
        self.sequence = SEQUENCES[1 - SEQUENCES.index(self.sequence)]
        self.update()

    def _nulled(self, _button: object) -> None:
        """Set every resistance as the circuit sizes it for the givens as they are."""
        sized = self._sized()
        self._quiet = True
        for field in (f for f in self._kind.resistances if f in self.values):
            self.values[field].set(float(getattr(sized, field)))
        self._quiet = False
        self.update()

    def _sized(self) -> Indicator:
        now = self.settings
        parts = {name: value for name, value in now.parts.items() if name not in self._kind.resistances}
        return build(replace(now, parts=MappingProxyType(parts)))

    # --- making ---------------------------------------------------------------------------------------

    def _value_controls(self, indicator: Indicator) -> dict[str, ValueControl]:
        controls = {
            "line_voltage": ValueControl(
                LINE_VOLTAGE, label="Line volts", value=indicator.line_voltage, span=(24, 690), changed=self.update
            ),
            "frequency": ValueControl(
                FREQUENCY, label="Frequency", value=indicator.frequency, span=(45, 65), changed=self.update
            ),
        }
        givens = [g for g in self._kind.inputs if isinstance(g, Given) and g.name not in controls]
        named = {g.name for g in givens}
        rounded = [Given(f, "", "Ω", 1.0, 1e9, "") for f in self._kind.resistances if f not in named]
        for given in (*givens, *rounded):
            if not getattr(indicator, given.name, None):
                continue  # an optional given that was left out
            value = float(getattr(indicator, given.name))
            span = (max(value / 10, given.low), min(value * 10, given.high))
            controls[given.name] = ValueControl(
                given, label=_elements_of(indicator, given.name), value=value, span=span,
                changed=self.update, logarithmic=True,
            )  # fmt: skip
        return controls

    def _choice_controls(self) -> dict[str, Any]:
        controls = {}
        for choice in self._kind.inputs:
            if isinstance(choice, Choice):
                value = self._start.parts.get(choice.name, choice.default)
                controls[choice.name] = w.Dropdown(
                    options=choice.words, value=value, description=choice.name.replace("_", " "),
                    style={"description_width": "96px"},
                )  # fmt: skip
        return controls

    def _probe_control(self, probe: str) -> Any:
        others = [c for c in CONDUCTORS if c != probe]
        places = [(f"on {probe}", probe), ("open", ""), ("on N", "N"), *((f"on {c}", c) for c in others)]
        touched = self._start.probes.get(probe, probe)
        return buttons(f"Probe {probe}", tuple(places), touched, "66px")

    def _null_label(self) -> str:
        sized = build(replace(self._start, parts=MappingProxyType({**self._start.parts})))
        dark = min(float(v) for s in SEQUENCES for v in sized.on(sized.supply(s)).lamp_volts)
        return "Set R for the null" if dark < 1e-6 * sized.line_voltage else "Set R for this C and frequency"

    def _arranged(self, sections: Sequence[str]) -> Any:
        supply = [self.values["line_voltage"].widget, self.values["frequency"].widget, self.swap]
        parts = [c.widget for name, c in self.values.items() if name not in ("line_voltage", "frequency")]
        rows = {
            "supply": supply,
            "parts": [*parts, *self.choices.values(), self.null],
            "fault": [labelled(c) for c in self.probes.values()],
            "view": [labelled(self.view), labelled(self.symbols)],
        }
        left: list[Any] = []
        for name in (s for s in SECTIONS if s in sections):
            left += [w.HTML(f'<b style="line-height:1.4">{name.capitalize()}</b>'), *rows[name]]
        shown = w.VBox([self.picture, self.line, self.table], layout=w.Layout(width="512px"))
        controls = w.VBox(left, layout=w.Layout(width="424px", min_width="424px"))
        return w.HBox([controls, shown] if left else [shown])


def _starts(name: str) -> dict[str, Value]:
    """Start values of the givens that have a typical one."""
    givens = [g for g in circuit(name).inputs if isinstance(g, Given)]
    return {g.name: g.typical for g in givens if g.typical is not None}


def _line(text: str, colour: str, lead: str) -> str:
    style = f"color:{colour};line-height:1.3;min-height:3.9em"
    return f'<div role="status" aria-live="polite" style="{style}">{escape(lead + text)}</div>'


def _elements_of(indicator: Indicator, field: str) -> str:
    """Names of the parts whose value a field sets, such as ``R1, R2``."""
    other = replace(indicator, **{field: 1.5 * getattr(indicator, field)})  # type: ignore[type-var]
    pairs = zip(indicator.network().elements, other.network().elements, strict=True)
    names = [now.name for now, then in pairs if now.value != then.value]
    return ", ".join(names) or field
