"""The command ``phasorkit``: open the course, size a circuit, grade a class, prepare teaching material."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from typing import NoReturn

from phasorkit import __version__


class OneLineParser(argparse.ArgumentParser):
    """An argument parser whose errors are one clear line with exit code 2."""

    def error(self, message: str) -> NoReturn:
        """Print one line and exit with 2."""
        self.exit(2, f"{self.prog}: {message}\n")


def parser() -> OneLineParser:
    """The whole command line."""
    top = OneLineParser(prog="phasorkit", description=__doc__, allow_abbrev=False)
    top.add_argument("--version", action="version", version=f"phasorkit {__version__}")
    rooms = top.add_subparsers(
        dest="room", required=True, metavar="{open,size,grade,teach}", parser_class=OneLineParser
    )
    from phasorkit.commands import grade_class, open_course, prepare, size_circuit

    for name, module in (
        ("open", open_course),
        ("size", size_circuit),
        ("grade", grade_class),
        ("teach", prepare),
    ):
        room = rooms.add_parser(name, help=module.HELP, description=module.HELP, allow_abbrev=False)
        module.add_arguments(room)
        room.set_defaults(run=module.run)
    return top


def join_negative(arguments: Sequence[str]) -> list[str]:
    """Write ``--option -4n7`` as ``--option=-4n7``, so that a negative value reaches the check that explains it.

    >>> join_negative(["size", "--capacitor", "-4n7", "--json"])
    ['size', '--capacitor=-4n7', '--json']
    """
    joined: list[str] = []
    for word in arguments:
        if re.match(r"-[0-9.,]", word) and joined and joined[-1].startswith("--") and "=" not in joined[-1]:
            joined[-1] += "=" + word
        else:
            joined.append(word)
    return joined


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit code (0 done, 1 something needs a person, 2 bad input)."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    given = parser().parse_args(join_negative(sys.argv[1:] if arguments is None else arguments))
    try:
        return int(given.run(given))
    except BrokenPipeError:
        return 0


if __name__ == "__main__":
    sys.exit(main())
