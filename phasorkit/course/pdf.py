"""Pages to PDF, by the print command of a browser that is there."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterable
from pathlib import Path

BROWSERS = ("chromium", "chromium-browser", "chrome")
"""Names under which a browser that can print without a window is looked for."""

PATIENCE = 120


class PdfError(RuntimeError):
    """No browser, or it did not print; the message says what to do."""


def browser(given: str | None = None) -> str:
    """The program that prints: the one given, or one of `BROWSERS` that is there.

    Raises
    ------
    PdfError
        None is there, or the one given is not.
    """
    found = shutil.which(given) if given else next((f for name in BROWSERS if (f := shutil.which(name))), None)
    if found:
        return found
    if given:
        raise PdfError(f"--browser {given!r} is no program here; give the full path of a Chromium browser's program")
    raise PdfError(
        f"no browser found that prints PDF (looked for {', '.join(BROWSERS)}): give its program with --browser, "
        "or open the pages in any browser and print them from there"
    )


def print_pages(pages: Iterable[Path], *, program: str) -> list[Path]:
    """Print HTML pages to PDF files beside them.

    Raises
    ------
    PdfError
        The browser failed; the message repeats the end of what it said.
    """
    return [_print(page, program) for page in pages]


def _print(page: Path, program: str) -> Path:
    target = page.with_suffix(".pdf")
    with tempfile.TemporaryDirectory(prefix="phasorkit-print-", ignore_cleanup_errors=True) as profile:
        fresh = Path(profile) / "page.pdf"
        command = [
            program, "--headless", "--disable-gpu", "--no-pdf-header-footer", f"--user-data-dir={profile}",
            f"--print-to-pdf={fresh}", page.resolve().as_uri(),
        ]  # fmt: skip
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            command.insert(1, "--no-sandbox")  # such browsers refuse to run as root otherwise; the page is our own
        try:
            done = subprocess.run(command, capture_output=True, timeout=PATIENCE)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise PdfError(f"{page.name} was not printed: {error}") from error
        if not fresh.is_file():
            said = done.stderr.decode("utf-8", "replace").strip()[-300:]
            raise PdfError(f"{page.name} was not printed: {program} ended with {done.returncode}: {said}")
        shutil.move(fresh, target)
    return target
