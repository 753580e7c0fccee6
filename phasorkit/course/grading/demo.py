"""A made-up class of the training workshop that keeps a pump house: real notebooks, graded for real."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from string import Template

from phasorkit.course.briefs import draw_brief
from phasorkit.course.grading.demo_work import PUPILS, RIGHT, Pupil
from phasorkit.course.grading.folder import replace_file
from phasorkit.course.grading.notebooks import dump, grade_id, load
from phasorkit.course.model import Brief, Task, task, truths
from phasorkit.parts import neighbours
from phasorkit.quantities import code, render

CLASS_CODE = "PUMP-DEMO"
EXERCISE = "bridge"


def demo_inbox(class_folder: Path) -> Path:
    """Where the made-up class hands in.

    Raises
    ------
    FileExistsError
        The class folder holds a class that is not the made-up one.
    """
    inbox = class_folder / "inbox"
    if class_folder.exists() and any(class_folder.iterdir()) and not inbox.is_dir():
        raise FileExistsError(f"{class_folder} holds something else: give the demo a folder of its own")
    return inbox


def make_class(folder: Path, *, root: Path, class_code: str = CLASS_CODE) -> list[Path]:
    """Write the submissions of twelve learners, and two broken files, in the layouts that come in.

    Parameters
    ----------
    folder : Path
        Where they go; made where missing. The same every time.
    root : Path
        The course; the released exercise is taken from its ``exercises/``.
    class_code : str

    Returns
    -------
    list of Path
        The files, in the order of the ids.
    """
    release = (root / "exercises" / EXERCISE / f"{EXERCISE}.ipynb").read_bytes()
    files = []
    for pupil in PUPILS:
        name = f"{pupil.learner}_{EXERCISE}.ipynb" if pupil.flat else f"{pupil.learner}/{EXERCISE}.ipynb"
        files.append(folder / name)
        replace_file(files[-1], filled_in(release, pupil, class_code))
    whole = files[0].read_bytes()
    for name, data in (
        ("app-13", whole[: len(whole) // 2]),
        ("app-14", b"<html><body>Sign in to continue</body></html>"),
    ):
        files.append(folder / name / f"{EXERCISE}.ipynb")
        replace_file(files[-1], data)
    return files


def filled_in(release: bytes, pupil: Pupil, class_code: str) -> bytes:
    """The released exercise as this learner hands it in: the begin cell filled in, work written below each stub."""
    begins_as = pupil.begins_as or pupil.learner
    numbers = _numbers(task(EXERCISE), draw_brief(task(EXERCISE), begins_as, class_code))
    answers = {**RIGHT, **pupil.answers}
    notebook = load(release)
    for cell in notebook.cells:
        if "begin(" in cell.source and cell.cell_type == "code":
            cell.source = cell.source.replace('learner=""', f'learner="{begins_as}"')
            cell.source = cell.source.replace('class_code=""', f'class_code="{class_code}"')
        text = answers.get(grade_id(cell).removesuffix("-answer"))
        if text is not None:
            cell.source += "\n" + Template(text).substitute(numbers)
    return dump(notebook)


def _numbers(exercise: Task, brief: Brief) -> Mapping[str, str]:
    """The numbers that a text of `demo_work` may name, as a learner with a decimal comma writes them."""
    right = truths(exercise, brief)
    volts = brief.line_voltage
    below, above = (float(value) for value in neighbours(right["resistance"], "E24"))
    texts = {
        "reactance": render(right["reactance"], "Ω", digits=3),
        "resistance": render(right["resistance"], "Ω", digits=3),
        "half": render(volts / 2, "V"),
        "leg": render(volts * 3**0.5 / 2, "V"),
        "power": render(right["power"], "W", digits=3),
        "residual": render(right["residual"], "V", digits=3),
    }
    return {
        **{name: text.replace(".", ",") for name, text in texts.items()},
        "preferred": code(right["preferred"]),
        "other": repr(above if below == right["preferred"] else below),
    }
