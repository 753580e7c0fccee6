"""Exercises are generated: in step with their solutions, the same bytes every time, without an activated venv."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from phasorkit.course.model import tasks
from phasorkit.course.release import ReleaseError, release_all

ROOT = Path(__file__).resolve().parent.parent
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")


@pytest.fixture
def course(tmp_path: Path) -> Path:
    """A copy of what a release needs."""
    shutil.copytree(ROOT / "solutions", tmp_path / "solutions")
    shutil.copytree(ROOT / "exercises", tmp_path / "exercises")
    shutil.copy(ROOT / "nbgrader_config.py", tmp_path)
    return tmp_path


def test_exercises_are_in_step_with_their_solutions() -> None:
    """The drift gate: ``phasorkit teach release`` would change nothing."""
    assert release_all(ROOT, check_only=True) == []


def test_every_exercise_has_its_solution_and_its_notebook() -> None:
    """The tasks that can be begun are those there are notebooks for."""
    assert set(tasks()) == {p.name for p in (ROOT / "solutions").iterdir() if p.is_dir()}


def test_a_change_by_hand_is_found_and_put_right(course: Path) -> None:
    """The gate can fail: an edited, a missing and an orphaned exercise are named; releasing mends the first two."""
    exercise = course / "exercises" / "bridge" / "bridge.ipynb"
    original = exercise.read_bytes()
    exercise.write_bytes(original.replace(b"within 2 %", b"within 3 %", 1))
    orphan = course / "exercises" / "old" / "old.ipynb"
    orphan.parent.mkdir()
    orphan.write_bytes(original)
    differs, leftover = "exercises/bridge/bridge.ipynb differs", "exercises/old/old.ipynb has no solution"
    assert release_all(course, check_only=True) == [differs, leftover]
    assert release_all(course) == [differs, leftover]
    assert exercise.read_bytes() == original
    exercise.unlink()
    assert release_all(course, check_only=True) == ["exercises/bridge/bridge.ipynb is missing", leftover]
    assert not exercise.exists()
    assert orphan.exists()


def test_a_changed_solution_is_found(course: Path) -> None:
    """A new sentence in the solution is a difference; its answer code is not, for it is cut out."""
    source = course / "solutions" / "bridge" / "bridge.ipynb"
    text = source.read_text(encoding="utf-8")
    source.write_text(text.replace("1 / (2 * pi", "1.0 / (2 * pi"), encoding="utf-8")
    assert release_all(course, check_only=True) == []
    source.write_text(text.replace("Everybody has other numbers.", "Numbers are your own."), encoding="utf-8")
    assert release_all(course, check_only=True) == ["exercises/bridge/bridge.ipynb differs"]


def test_a_solution_that_nbgrader_refuses_is_named(course: Path) -> None:
    """Two cells of one grade id: the error names the exercise and says what nbgrader said."""
    source = course / "solutions" / "bridge" / "bridge.ipynb"
    source.write_text(
        source.read_text(encoding="utf-8").replace('"grade_id": "power-check"', '"grade_id": "volts-check"'),
        encoding="utf-8",
    )
    with pytest.raises(ReleaseError, match=r"bridge.*volts-check"):
        release_all(course)


def test_released_notebooks_carry_no_noise() -> None:
    """Cell ids kept, no outputs, no execution counts, no metadata that depends on who released; Unix line ends."""
    for file in (ROOT / "exercises").rglob("*.ipynb"):
        raw = file.read_bytes()
        assert b"\r" not in raw
        released = json.loads(raw)
        solution = json.loads((ROOT / "solutions" / file.relative_to(ROOT / "exercises")).read_text(encoding="utf-8"))
        assert [c["id"] for c in released["cells"]] == [c["id"] for c in solution["cells"]]
        assert released["metadata"] == {
            "kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        }
        assert all(c.get("outputs", []) == [] and c.get("execution_count") is None for c in released["cells"])


def test_release_works_in_a_virtual_environment_that_is_not_activated(course: Path) -> None:
    """No `alembic` on PATH: a known trap of nbgrader."""
    kept = ("SYSTEMROOT", "TEMP", "TMP", "HOME", "USERPROFILE")
    bare = {k: v for k, v in os.environ.items() if k in kept} | {"PATH": os.defpath}
    if shutil.which("alembic", path=os.defpath):
        pytest.fail("this machine has alembic outside the virtual environment: the test shows nothing here")
    code = "import sys; from pathlib import Path; from phasorkit.course.release import release_all; "
    code += "print(release_all(Path(sys.argv[1])))"
    (course / "exercises" / "bridge" / "bridge.ipynb").unlink()
    command = [sys.executable, "-c", code, str(course)]
    done = subprocess.run(command, env=bare, cwd=course, capture_output=True, text=True, timeout=300, check=True)
    assert done.stdout.strip() == "['exercises/bridge/bridge.ipynb is missing']"
    assert release_all(course, check_only=True) == []
