"""One switch moves volts, hertz, symbols and conductor colours; drawings, apps and lessons follow it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from widget_gate import control, widgets_of

import phasorkit.widgets
from phasorkit.conductors import COLOURS, SYSTEMS
from phasorkit.course import lesson
from phasorkit.course.lesson import setting_of, supply_of
from phasorkit.draw import scale_drawing
from phasorkit.indicators import circuit

APPS = sorted(name for name in phasorkit.widgets.__all__ if name.endswith("_app"))
TAKES_NO_VOLTS = {"phasors_app", "shifter_app"}
"""Apps on a generator's few volts instead of a three-phase supply."""
DRAWS_SYMBOLS = {"indicator_app", "shifter_app"}


@pytest.mark.parametrize("name", sorted(SYSTEMS))
def test_nominal_systems_bring_the_habits_of_where_they_are_met(name: str) -> None:
    """IEC 60038 and ANSI C84.1 (from memory, in `phasorkit.conductors`) say where each nominal system is met."""
    system = SYSTEMS[name]
    setting = setting_of(f"{system.line_voltage:g} V {system.frequency:g} Hz")
    american = re.search("North America|United States|Canada", system.where)
    assert setting.symbols == ("NA" if american else "IEC")
    assert setting.colours.earth == ("green" if american else "green-yellow")
    assert setting.supply == system.supply() or system.earthing != "star"
    if "Canada" in system.where:
        assert setting.colours is COLOURS["Canada"]


@pytest.mark.parametrize(
    ("system", "words"),
    [  # NEC practice and HD 308 S2, from memory; see `phasorkit.conductors`
        ("400 V 50 Hz", "L1 brown, L2 black, L3 grey, N blue, PE green-yellow"),
        ("208 V 60 Hz", "L1 black, L2 red, L3 blue, N white, PE green"),
        ("480 V 60 Hz", "L1 brown, L2 orange, L3 yellow, N grey, PE green"),
        ("400 V 50 Hz, United Kingdom, old", "L1 red, L2 yellow, L3 blue, N black, PE green-yellow"),
        ("380 V 60 Hz, Europe", "L1 brown, L2 black, L3 grey, N blue, PE green-yellow"),
    ],
)
def test_colours_go_with_the_supply_or_with_the_region_named(system: str, words: str) -> None:
    """A region that is named wins over the usual one."""
    assert setting_of(system).colour_words == words


@pytest.mark.parametrize(
    ("system", "says"),
    [
        ("400 V", "must read like"),
        ("400V 50Hz", "must read like"),
        ("50 Hz 400 V", "must read like"),
        (None, "must read like"),
        ("4000 V 50 Hz", "accepted: 1 V to 1 kV"),
        ("400 V 5 Hz", "accepted: 10 Hz to 1 kHz"),
        ("-400 V 50 Hz", "accepted: 1 V to 1 kV"),
        ("400 V 50 Hz, Atlantis", "one of Europe, "),
        ("400 V 50 Hz,", "must read like"),
    ],
)
def test_a_bad_switch_says_what_is_accepted(system: Any, says: str) -> None:
    """In one line that names SYSTEM."""
    with pytest.raises(ValueError, match=r"^SYSTEM") as error:
        setting_of(system)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_the_supply_alone_is_that_of_the_setting() -> None:
    """Older lessons ask for it by name; all three settings of the tests are known."""
    for system in lesson.SYSTEMS:
        assert supply_of(system) == setting_of(system).supply
    assert {setting_of(system).symbols for system in lesson.SYSTEMS} == {"IEC", "NA"}


def test_a_drawing_takes_the_symbols() -> None:
    """The zigzag resistor has more corners than the box: IEEE 315 and IEC 60617, from memory."""
    bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=60, line_voltage=480)
    drawn = [scale_drawing(bridge.on(bridge.supply()), symbols=setting_of(s).symbols).svg for s in lesson.SYSTEMS[:2]]
    assert drawn[0] != drawn[1]


@pytest.mark.parametrize("name", APPS)
def test_every_app_starts_where_the_setting_says(name: str) -> None:
    """Volts and hertz stand in its boxes; a circuit's symbols on its buttons."""
    app: Callable[..., Any] = getattr(phasorkit.widgets, name)
    shown = app(setting=setting_of("480 V 60 Hz"))
    assert control(shown, "Frequency [Hz]: exact value").value == "60 Hz"
    if name not in TAKES_NO_VOLTS:
        assert control(shown, "Line volts [V]: exact value").value == "480 V"
    symbols = [w for w in widgets_of(shown) if getattr(w, "tooltip", "") == "Symbols"]
    assert [w.value for w in symbols] == ["NA"] * (name in DRAWS_SYMBOLS)
