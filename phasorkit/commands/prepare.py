"""``phasorkit teach``: what an instructor or contributor prepares."""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from phasorkit.commands import for_class
from phasorkit.surroundings import course_folder

HELP = "prepare teaching: exercises, pages, handout and bench sheets; a class's key, printed sheets and marks"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Subcommands of ``phasorkit teach``."""
    kinds = parser.add_subparsers(
        dest="kind", required=True, metavar="{release,pages,handout,bench,key,sheets,marks}", parser_class=type(parser)
    )
    release = kinds.add_parser("release", help="generate exercises/ from solutions/")
    pages = kinds.add_parser(
        "pages",
        help="generate lessons/pictures/, lessons/reference-wiring.md, and the links and contents of the lessons",
    )
    for sub in (release, pages):
        sub.add_argument("--check", action="store_true", help="change nothing; exit 1 if anything would change")
    handout = kinds.add_parser("handout", help="write every lesson and table as a page to print")
    handout.add_argument("--out", type=Path, default=Path("handout"), help="folder for the pages (default handout)")
    handout.add_argument("--system", help='supply of the computed parts, such as "208 V 60 Hz" (default as stored)')
    handout.add_argument("--pdf", action="store_true", help="also print each page to PDF, with a browser")
    bench = kinds.add_parser("bench", help="write a bench sheet for every circuit and extra-low-voltage source")
    bench.add_argument("--out", type=Path, default=Path("handout"), help="folder for the sheets (default handout)")
    handout.add_argument("--browser", help="the browser's program for --pdf, if it is not found by itself")
    for_class.add_arguments(kinds)


def run(given: argparse.Namespace) -> int:
    """Generate, or with --check compare."""
    if given.kind in for_class.KINDS:
        return for_class.run(given)
    if given.kind == "handout":
        return _handout(given)
    if given.kind == "bench":
        return _bench(given)
    differences = {"release": _release, "pages": _pages}[given.kind](course_folder(), given.check)
    for line in differences:
        print(line)
    if given.check and differences:
        print(f"Out of date: run  phasorkit teach {given.kind}")
        return 1
    return 0


def _release(root: Path, check_only: bool) -> list[str]:
    from phasorkit.course.release import release_all

    return release_all(root, check_only=check_only)


def _pages(root: Path, check_only: bool) -> list[str]:
    """Write every generated page below lessons/, or tell which differ from what would be written."""
    from phasorkit.course import contents

    lessons = root / "lessons"
    if not check_only:
        written = [f"wrote {path.relative_to(root)}" for path in _write_pages(lessons)]
        return written + contents.write(root)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as fresh:
        wanted = {p.relative_to(fresh): p.read_bytes() for p in _write_pages(Path(fresh))}
    listed = [*wanted, *(p.relative_to(lessons) for p in (lessons / "pictures").glob("*.svg"))]
    there = {p: (lessons / p).read_bytes() for p in listed if (lessons / p).is_file()}
    differ = [f"lessons/{p.as_posix()} differs" for p in sorted(set(listed)) if wanted.get(p) != there.get(p)]
    return differ + contents.write(root, check_only=True)


def _write_pages(lessons: Path) -> list[Path]:
    from phasorkit.analysis import reference_page
    from phasorkit.draw import key_drawings

    pictures = lessons / "pictures"
    pictures.mkdir(parents=True, exist_ok=True)
    return [*key_drawings.write_all(pictures), *reference_page.write(lessons)]


def _handout(given: argparse.Namespace) -> int:
    """Write the handout; one clear line and 2 where something stands in the way."""
    from phasorkit.course import handout, pdf
    from phasorkit.setting import setting_of

    try:
        if given.system:
            setting_of(given.system)
        program = pdf.browser(given.browser) if given.pdf else ""
        pages = handout.write(course_folder(), given.out, system=given.system)
        printed = pdf.print_pages(pages, program=program) if given.pdf else []
    except (ValueError, OSError, handout.HandoutError, pdf.PdfError) as error:
        print(f"phasorkit teach handout: {error}", file=sys.stderr)
        return 2
    print(f"wrote {len(pages)} pages to {given.out}{f' and printed {len(printed)} PDF files' if printed else ''}")
    print(f"begin with {pages[0]}")
    return 0


def _bench(given: argparse.Namespace) -> int:
    """Write the bench sheets; one clear line and 2 where the folder cannot be written."""
    from phasorkit.draw import bench_page

    try:
        pages = bench_page.write(given.out)
    except OSError as error:
        print(f"phasorkit teach bench: {error}", file=sys.stderr)
        return 2
    print(f"wrote {len(pages)} pages to {given.out}, begin with {pages[0]}")
    return 0
