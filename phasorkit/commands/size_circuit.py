"""``phasorkit size``: part values, ratings and lamp volts of one circuit, as a sheet or as JSON."""

from __future__ import annotations

import argparse
import json
import re
import sys
from typing import Any

from phasorkit.indicators import circuits
from phasorkit.indicators.base import Choice, Given, Indicator
from phasorkit.parts import SERIES
from phasorkit.quantities import QuantityError, has_unit_or_prefix, positive

HELP = "part values, ratings and lamp volts of one circuit"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """One subcommand per circuit, its options from the circuit's own `inputs`."""
    by_circuit = parser.add_subparsers(dest="circuit", required=True, metavar="CIRCUIT", parser_class=type(parser))
    for name, kind in circuits().items():
        sub = by_circuit.add_parser(name, help=kind.title, description=kind.title, allow_abbrev=False)
        for given in kind.inputs:
            if isinstance(given, Choice):
                sub.add_argument(
                    given.option, choices=given.words, default=given.default, help=given.help, dest=given.name
                )
            else:
                sub.add_argument(
                    given.option, required=given.required, help=given.help, dest=given.name, metavar="VALUE"
                )
        sub.add_argument(
            "--series",
            type=str.upper,
            choices=SERIES,
            default="E24",
            help="preferred series of the resistors (IEC 60063)",
        )
        sub.add_argument("--json", action="store_true", help="print the sheet as JSON")
        sub.set_defaults(fail=sub.error)


def run(given: argparse.Namespace) -> int:
    """Print the sheet; bad input is one line and exit code 2."""
    from phasorkit.analysis.sheet import sheet

    kind = circuits()[given.circuit]
    try:
        exact = sized(kind, vars(given))
        data = sheet(exact, series=given.series)
    except ValueError as problem:
        given.fail(_by_option(str(problem), kind))
    if given.json:
        json.dump(data, sys.stdout, ensure_ascii=False, indent=2, allow_nan=False)
        print()
    else:
        from phasorkit.commands.sheet_text import print_sheet

        print_sheet(exact, data)
    return 0


def _by_option(problem: str, kind: type[Indicator]) -> str:
    """The same line with the options of the command line where it names arguments of the library."""
    for given in kind.inputs:
        if isinstance(given, Given):
            problem = re.sub(rf"\b(?:an? )?{given.name}(?= \[| must be)", given.option, problem)
        else:
            problem = re.sub(rf"\b{given.name}(=| )'(\w+)'", rf"{given.option} \2", problem)
    return problem


def sized(kind: type[Indicator], texts: dict[str, Any]) -> Indicator:
    """Read the givens of a circuit from texts and size it; a QuantityError names the option."""
    values: dict[str, Any] = {}
    for given in kind.inputs:
        text = texts.get(given.name)
        if text is not None:
            values[given.name] = text if isinstance(given, Choice) else read(given, text)
    return kind.sized(**values)  # type: ignore[attr-defined, no-any-return]


def read(given: Given, text: str) -> float:
    """One value from the command line, within the bounds of its given [SI unit]."""
    if given.needs_unit and not has_unit_or_prefix(text):
        samples = {"H": "680m, 2H or 2.0e0"}.get(given.unit, "4n7, 4.7nF or 4.7e-9")
        raise QuantityError(f"{given.option}: {text!r} has no unit; write it like {samples}")
    return positive(text, given.unit, name=given.option, low=given.low, high=given.high)
