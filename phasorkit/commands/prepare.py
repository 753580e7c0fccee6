"""``phasorkit teach``: what an instructor or contributor prepares."""

from __future__ import annotations

import argparse
from pathlib import Path

from phasorkit.surroundings import course_folder

HELP = "prepare teaching material: released exercises and generated pictures"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Subcommands of ``phasorkit teach``."""
    kinds = parser.add_subparsers(dest="kind", required=True, metavar="{release,pictures}", parser_class=type(parser))
    release = kinds.add_parser("release", help="generate exercises/ from solutions/")
    pictures = kinds.add_parser("pictures", help="generate lessons/pictures/")
    for sub in (release, pictures):
        sub.add_argument("--check", action="store_true", help="change nothing; exit 1 if anything would change")


def run(given: argparse.Namespace) -> int:
    """Generate, or with --check compare."""
    differences = {"release": _release, "pictures": _pictures}[given.kind](course_folder(), given.check)
    for line in differences:
        print(line)
    if given.check and differences:
        print(f"Out of date: run  phasorkit teach {given.kind}")
        return 1
    return 0


def _release(root: Path, check_only: bool) -> list[str]:
    from phasorkit.course.release import release_all

    return release_all(root, check_only=check_only)


def _pictures(root: Path, check_only: bool) -> list[str]:
    import tempfile

    from phasorkit.draw.key_drawings import write_all

    folder = root / "lessons" / "pictures"
    if not check_only:
        return [f"wrote {path.relative_to(root)}" for path in write_all(folder)]
    with tempfile.TemporaryDirectory() as fresh:
        wanted = {p.name: p.read_bytes() for p in write_all(Path(fresh))}
    there = {p.name: p.read_bytes() for p in folder.glob("*.svg")}
    return [
        f"lessons/pictures/{n} differs" for n in sorted(wanted.keys() | there.keys()) if wanted.get(n) != there.get(n)
    ]
