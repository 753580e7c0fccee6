"""Solutions to exercises: nbgrader's own release step, with the same bytes on every machine."""

from __future__ import annotations

import json
import logging
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

SOLUTIONS, EXERCISES = "solutions", "exercises"


class ReleaseError(RuntimeError):
    """nbgrader could not release an exercise; the message names it and repeats what nbgrader said."""


def release_all(root: Path, *, check_only: bool = False) -> list[str]:
    """Generate every exercise from its solution.

    Parameters
    ----------
    root : Path
        The course folder, with `solutions`, `exercises` and `nbgrader_config.py`.
    check_only : bool
        Write nothing, only compare.

    Returns
    -------
    list of str
        One line for each file of `exercises` that differs from what its solution gives, is missing, or has no
        solution. Unless `check_only`, the first two are now put right; a file without solution is left alone.

    Raises
    ------
    ReleaseError
        A solution that nbgrader refuses.
    """
    wanted: dict[Path, bytes] = {}
    for name in sorted(p.name for p in (root / SOLUTIONS).iterdir() if p.is_dir()):
        wanted |= _released(root, name)
    differences = []
    for file, content in wanted.items():
        there = root / EXERCISES / file
        if not there.is_file() or there.read_bytes() != content:
            differences.append(f"{EXERCISES}/{file.as_posix()} {'differs' if there.is_file() else 'is missing'}")
            if not check_only:
                there.parent.mkdir(parents=True, exist_ok=True)
                there.write_bytes(content)
    there_are = {p.relative_to(root / EXERCISES) for p in (root / EXERCISES).rglob("*.ipynb") if not _hidden(p, root)}
    return differences + [f"{EXERCISES}/{f.as_posix()} has no solution" for f in sorted(there_are - wanted.keys())]


def _released(root: Path, name: str) -> dict[Path, bytes]:
    """Every file of one released exercise, by its path below `exercises`."""
    with tempfile.TemporaryDirectory(prefix="phasorkit-release-", ignore_cleanup_errors=True) as temporary:
        course = Path(temporary)
        shutil.copytree(root / SOLUTIONS / name, course / SOLUTIONS / name, ignore=_leftovers)
        _generate(root, course, name)
        made = sorted(p for p in (course / EXERCISES / name).rglob("*") if p.is_file())
        return {p.relative_to(course / EXERCISES): _tidy(p) for p in made}


def _generate(root: Path, course: Path, name: str) -> None:
    """Run nbgrader's generate_assignment on one exercise, without a gradebook."""
    from nbgrader.converters import GenerateAssignment
    from nbgrader.coursedir import CourseDirectory
    from traitlets.config.loader import PyFileConfigLoader

    from phasorkit.course.released import prepare

    config = PyFileConfigLoader("nbgrader_config.py", path=str(root)).load_config()
    config.CourseDirectory.root = str(course)
    config.CourseDirectory.db_url = f"sqlite:///{(course / 'class' / 'gradebook.db').as_posix()}"  # no class's marks
    prepare(config)
    config.SaveCells.enabled = False  # no gradebook here, so no database programs are needed either
    log = logging.getLogger("phasorkit.release")
    with _kept(log) as said:
        directory = CourseDirectory(config=config, log=log, assignment_id=name)
        converter = GenerateAssignment(coursedir=directory, config=config, log=log)
        converter.no_database = True
        converter.force = True
        try:
            converter.start()
        except (Exception, SystemExit) as error:
            reason = (said or [str(error)])[0].strip().splitlines()[-1]
            raise ReleaseError(f"exercise {name!r} was not released: {reason}") from error


@contextmanager
def _kept(log: logging.Logger) -> Iterator[list[str]]:
    """Keep a logger's complaints in a list instead of letting them flood the terminal."""
    said: list[str] = []
    handler = logging.Handler(logging.WARNING)
    handler.emit = lambda record: said.append(record.getMessage())  # type: ignore[method-assign]
    log.addHandler(handler)
    log.propagate = False
    try:
        yield said
    finally:
        log.removeHandler(handler)


def _tidy(file: Path) -> bytes:
    """A notebook with sorted keys, Unix line ends and no metadata that depends on who made it; other files as is."""
    if file.suffix != ".ipynb":
        return file.read_bytes()
    notebook = json.loads(file.read_text(encoding="utf-8"))
    keep = ("kernelspec", "language_info")
    notebook["metadata"] = {key: notebook["metadata"][key] for key in keep if key in notebook["metadata"]}
    notebook["metadata"]["language_info"] = {"name": "python"}
    return (json.dumps(notebook, indent=1, ensure_ascii=False, sort_keys=True) + "\n").encode("utf-8")


def _hidden(file: Path, root: Path) -> bool:
    return any(part.startswith(".") for part in file.relative_to(root).parts)


def _leftovers(_: str, names: list[str]) -> list[str]:
    return [n for n in names if n.startswith(".") or n == "__pycache__"]
