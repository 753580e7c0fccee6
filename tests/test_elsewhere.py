"""What a user on Windows touches, run where the project's modules find no more of the system than there.

This machine has Linux; `elsewhere/sitecustomize.py` takes from the project's modules what Python's library reference
says is not available on Windows. It does not show how Windows itself behaves (open files, consoles).
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from grading_runs import ROOT, automatic_scores

from phasorkit.course.grading.demo import CLASS_CODE, make_class
from phasorkit.course.model import tasks
from phasorkit.indicators import circuits

BARE = ROOT / "tests" / "elsewhere"
IN_THE_SANDBOX = {"phasorkit.course.grading.inside.walls", "phasorkit.course.grading.inside.zygote"}
"""Modules that run in the sandbox only, which needs Linux."""

GIVEN = {"two-lamp-inductor": ["--inductor", "2H"]}
SUPPLY = ["--frequency", "50", "--line-voltage", "400"]


def bare(*arguments: str | Path, cwd: Path = ROOT, encoding: str = "utf-8") -> subprocess.CompletedProcess[bytes]:
    """Run this Python on a bare system; `encoding` is what stdout would have if nobody cared."""
    own = {"PYTHONPATH": str(BARE), "PYTHONWARNDEFAULTENCODING": "1", "PYTHONIOENCODING": encoding, "COLUMNS": "80"}
    words = [sys.executable, *map(str, arguments)]
    return subprocess.run(words, cwd=cwd, env={**os.environ, **own}, capture_output=True, timeout=900, check=False)


def said(done: subprocess.CompletedProcess[bytes]) -> str:
    """All that it printed."""
    return (done.stdout + done.stderr).decode("utf-8")


WALK = """
import importlib, pkgutil, phasorkit
for module in pkgutil.walk_packages(phasorkit.__path__, "phasorkit."):
    if not module.name.endswith("__main__"):
        try:
            importlib.import_module(module.name)
        except ModuleNotFoundError as error:
            print(module.name, error.name)
"""


def test_every_module_can_be_imported_but_those_that_run_in_the_sandbox() -> None:
    """`resource` is in the library reference as Availability: Unix; the sandbox's inside needs it, nothing else may."""
    done = bare("-c", WALK)
    assert done.returncode == 0, said(done)
    assert dict(line.split() for line in done.stdout.decode().splitlines()) == dict.fromkeys(IN_THE_SANDBOX, "resource")


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
def test_a_sheet_is_printed_whole_to_a_console_that_has_no_ohm(encoding: str) -> None:
    """cp1252 and cp437 (Western European and North American Windows) lack ∠ or √; the sheet is UTF-8 all the same."""
    name = "divider-bridge"
    done = bare("-m", "phasorkit", "size", name, "--capacitor", "4n7", *SUPPLY, encoding=encoding)
    assert done.returncode == 0, said(done)
    assert "390 kΩ" in done.stdout.decode("utf-8")
    assert "\ufffd" not in said(done)
    assert "?" not in said(done)


EACH = """
import json, sys
from phasorkit.cli import main
for words in json.loads(sys.argv[1]):
    print("ends with", main(words))
"""


def each(*commands: list[str]) -> str:
    """Run these commands one after the other in one process; what they print. Each must end with 0."""
    done = bare("-c", EACH, json.dumps(commands))
    assert done.returncode == 0, said(done)
    assert done.stdout.decode("utf-8").count("ends with 0") == len(commands), said(done)
    return said(done)


def test_every_circuit_is_sized() -> None:
    shown = each(*(["size", name, *GIVEN.get(name, ["--capacitor", "33n"]), *SUPPLY] for name in sorted(circuits())))
    assert shown.count("Dark is never proof") >= len(circuits())


def test_every_lesson_and_every_solved_exercise_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No cell raises; each check of a solved exercise gives its full marks, as on this system."""
    monkeypatch.setenv("PHASORKIT_PROGRESS", str(tmp_path / "progress"))
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path / "ipython"))
    files = [*sorted((ROOT / "lessons").glob("*.ipynb")), *sorted((ROOT / "solutions").glob("*/*.ipynb"))]
    done = bare(BARE / "run_cells.py", *files)
    assert done.returncode == 0, said(done)
    found = [json.loads(line) for line in done.stdout.decode("utf-8").splitlines() if line.startswith('{"name"')]
    assert [notebook["name"] for notebook in found] == [file.stem for file in files]
    assert [notebook["errors"] for notebook in found] == [[]] * len(files)
    for notebook in found:
        if notebook["name"] in tasks():
            assert notebook["numbers"] == [check.points for check in tasks()[notebook["name"]].checks], notebook["name"]
    assert len(list((tmp_path / "progress").glob("*.json"))) == len(tasks())


@pytest.fixture(scope="module")
def inbox(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The work of three learners in a folder with a space and a letter beyond ASCII in its name."""
    everybody, folder = tmp_path_factory.mktemp("everybody"), tmp_path_factory.mktemp("inbox") / "Jo Müller"
    for file in make_class(everybody, root=ROOT):
        if any(learner in str(file) for learner in ("app-01", "app-03", "app-06")):
            place = folder / file.relative_to(everybody)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    return folder


def test_without_the_flag_grading_says_in_one_line_that_there_is_no_sandbox(inbox: Path, tmp_path: Path) -> None:
    done = bare("-m", "phasorkit", "grade", inbox, "--class-folder", tmp_path / "class")
    assert done.returncode == 2
    assert said(done).startswith("phasorkit grade: There is no sandbox here (this is not Linux).")
    assert "--trust-learners" in said(done)
    assert len(said(done).splitlines()) == 1
    assert not (tmp_path / "class").exists()


def test_with_the_flag_a_class_is_graded_in_fresh_kernels(inbox: Path, tmp_path: Path) -> None:
    """The marks are those that stock nbgrader gives the same files (`KNOWN` in test_grading_class.py)."""
    folder = tmp_path / "Jo Müller" / "class"
    words = [inbox, "--class-folder", folder, "--class-code", CLASS_CODE, "--workers", "2", "--trust-learners"]
    done = bare("-m", "phasorkit", "grade", *words)
    assert done.returncode == 0, said(done)
    assert "without a sandbox (this is not Linux)" in said(done)
    assert "3 graded; 0 not graded." in said(done)
    points = dict.fromkeys(("app-01", "app-03", "app-06"), 0.0)
    for (learner, _), score in automatic_scores(folder).items():
        points[learner] += score or 0.0
    assert points == {"app-01": 20, "app-03": 17, "app-06": 13}


def test_what_an_instructor_prepares_is_written_and_the_stored_files_are_as_there(tmp_path: Path) -> None:
    key, sheets, bench = (str(tmp_path / name) for name in ("key", "sheets", "bench"))
    learners = ["--learner", "a", "--learner", "b", "--exercise", "bridge"]
    each(
        ["teach", "pages", "--check"], ["teach", "release", "--check"], ["teach", "marks"],
        ["teach", "bench", "--out", bench], ["teach", "key", *learners, "--out", key],
        ["teach", "sheets", *learners, "--out", sheets],
    )  # fmt: skip
    assert {p.name for p in (tmp_path / "key").iterdir()} == {"key-bridge.html", "key.csv"}
    assert [p.name for p in (tmp_path / "sheets").iterdir()] == ["bridge.html"]
    assert len(list((tmp_path / "bench").iterdir())) > len(circuits())


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="a copy without history")
def test_a_checkout_on_windows_has_the_same_bytes(tmp_path: Path) -> None:
    """Git on Windows is mostly set to core.autocrlf=true (common practice); `.gitattributes` keeps LF all the same."""
    git = ["git", "-c", "core.autocrlf=true", "clone", "--quiet", "--depth", "1", ROOT.as_uri(), str(tmp_path / "copy")]
    subprocess.run(git, check=True, timeout=300)
    files = [file for room in ("exercises", "lessons") for file in (tmp_path / "copy" / room).rglob("*.*")]
    assert len(files) > 50
    assert [file.name for file in files if file.is_file() and b"\r\n" in file.read_bytes()] == []
