"""House habits, held by reading the files: sizes, docstrings, examples, notebooks without pictures."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "phasorkit"

LONGEST_MODULE = 300
LONGEST_FUNCTION = 40
"""Lines of code; the docstring of a function is not counted."""

EXAMPLE_ROOMS = ("indicators",)
"""Folders whose public functions must show an example, besides every single module of physics."""

NO_EXAMPLE = {
    "cli.parser": "argparse object, tested by its commands",
    "cli.main": "a command, tested as one",
    "surroundings.course_folder": "depends on where it is called",
    "surroundings.command_environment": "depends on the machine",
    "body.touch_current": "its example stands with measuring_network, which it needs",
    "widgets.draw": "gives a page of HTML, tested with the app",
    "course.answer": "prints a lesson's question; shown in every lesson",
}
"""Public functions without an example, and why."""

TOP_LEVEL = (
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "pyproject.toml", "constraints.txt", "nbgrader_config.py", ".ci",
    "LICENSE", "LICENSE-TEXT", "lessons", "exercises", "solutions", "phasorkit", "tests",
)  # fmt: skip
GENERATED = ("__pycache__", ".ipynb_checkpoints")

Function = ast.FunctionDef | ast.AsyncFunctionDef


def modules() -> list:
    """Every module of the package as a parameter named by its path."""
    paths = sorted(PACKAGE.rglob("*.py"))
    return [pytest.param(path, id=path.relative_to(PACKAGE).as_posix()) for path in paths]


def files() -> Iterator[Path]:
    """Every file of the project, without what programs leave behind."""
    for name in TOP_LEVEL:
        path = ROOT / name
        assert path.exists(), f"{name} is missing at the top"
        inside = path.rglob("*") if path.is_dir() else [path]
        yield from (p for p in inside if p.is_file() and not set(GENERATED) & set(p.parts))


def notebooks() -> list:
    """Every notebook as a parameter named by its path."""
    paths = sorted(path for path in files() if path.suffix == ".ipynb")
    return [pytest.param(path, id=path.relative_to(ROOT).as_posix()) for path in paths]


# --- what is looked for, each on a text, so that it can be shown a breach ---------------------------------


def too_long(source: str) -> list[str]:
    """The module or functions that are longer than allowed."""
    found = []
    if (lines := len(source.splitlines())) > LONGEST_MODULE:
        found.append(f"the module has {lines} lines")
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, Function):
            docstring = node.body[0] if ast.get_docstring(node) is not None else None
            spared = docstring.end_lineno - docstring.lineno + 1 if docstring else 0
            if (lines := node.end_lineno - node.lineno + 1 - spared) > LONGEST_FUNCTION:
                found.append(f"{node.name} has {lines} lines")
    return found


def star_arguments(source: str) -> list[str]:
    """Functions that swallow whatever they are given."""
    nodes = [n for n in ast.walk(ast.parse(source)) if isinstance(n, Function | ast.Lambda)]
    return [f"line {n.lineno}" for n in nodes if n.args.vararg or n.args.kwarg]


def undocumented(source: str) -> list[str]:
    """The module, public functions, classes and their public methods that say nothing of themselves."""
    tree = ast.parse(source)
    found = [] if ast.get_docstring(tree) else ["the module"]
    for node in tree.body:
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_"):
            members = node.body if isinstance(node, ast.ClassDef) else []
            public = [m for m in members if isinstance(m, Function) and not m.name.startswith("_")]
            found += [n.name for n in (node, *public) if not ast.get_docstring(n)]
    return found


def without_example(source: str) -> list[str]:
    """Public functions on the module's own level whose docstring holds no example."""
    functions = [n for n in ast.parse(source).body if isinstance(n, Function) and not n.name.startswith("_")]
    return [n.name for n in functions if ">>> " not in (ast.get_docstring(n) or "")]


def stored_pictures(notebook: str) -> list[str]:
    """Outputs and attachments that are no text: pictures, widgets, scripts."""
    found = []
    for number, cell in enumerate(json.loads(notebook)["cells"], start=1):
        kinds = {kind for output in cell.get("outputs", []) for kind in output.get("data", {})}
        kinds |= {kind for attached in cell.get("attachments", {}).values() for kind in attached}
        found += [f"cell {number}: {kind}" for kind in sorted(kinds) if kind != "text/plain"]
        if "data:image" in "".join(cell["source"]):
            found.append(f"cell {number}: a picture in its text")
    return found


# --- the gates ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", modules())
def test_modules_and_functions_are_short(path: Path) -> None:
    """At most 300 lines a module, 40 lines of code a function."""
    assert not too_long(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", modules())
def test_no_star_arguments(path: Path) -> None:
    """A typo in a keyword must be an error."""
    assert not star_arguments(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", modules())
def test_everything_public_says_what_it_is(path: Path) -> None:
    """Modules, functions, classes and methods have docstrings."""
    assert not undocumented(path.read_text(encoding="utf-8"))


def public_functions_without_example() -> set[str]:
    """In physics and indicators every public function; of pictures, apps and course what the package exports."""
    missing: set[str] = set()
    paths = [*PACKAGE.glob("*.py"), *(p for room in EXAMPLE_ROOMS for p in (PACKAGE / room).glob("*.py"))]
    for path in (p for p in paths if p.stem in ("__init__", "__main__") or not p.stem.startswith("_")):
        place = ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        missing |= {f"{place}.{name}" for name in without_example(path.read_text(encoding="utf-8"))}
    for room in ("draw", "widgets", "course"):
        sources = [p.read_text(encoding="utf-8") for p in (PACKAGE / room).rglob("*.py")]
        exports = ast.parse((PACKAGE / room / "__init__.py").read_text(encoding="utf-8"))
        names = {a.asname or a.name for n in exports.body if isinstance(n, ast.ImportFrom) for a in n.names}
        missing |= {f"{room}.{name}" for source in sources for name in names & set(without_example(source))}
    return missing


def test_public_functions_show_an_example() -> None:
    """Pytest runs the examples; the few functions without one are named above with the reason, and no more are."""
    assert public_functions_without_example() == set(NO_EXAMPLE)


def test_analyses_show_an_example_each() -> None:
    """Every module of analyses has at least one that runs."""
    paths = [path for path in (PACKAGE / "analysis").glob("*.py") if path.stem != "__init__"]
    assert paths
    assert not [path.stem for path in paths if ">>> " not in path.read_text(encoding="utf-8")]


@pytest.mark.parametrize("path", notebooks())
def test_notebooks_store_no_pictures(path: Path) -> None:
    """Outputs are text; pictures are made when a cell runs."""
    assert not stored_pictures(path.read_text(encoding="utf-8"))


# --- each gate is shown a breach ------------------------------------------------------------------------


def test_the_gates_see_a_breach() -> None:
    """A gate that cannot fail is none."""
    long = "def f():\n" + '    """One line."""\n' + "    x = 1\n" * 40
    assert too_long(long) == ["f has 41 lines"]
    assert too_long(long.replace("    x = 1\n", "", 1)) == []
    assert too_long("x = 1\n" * 301) == ["the module has 301 lines"]
    assert star_arguments("def f(*a): ...\ng = lambda **k: k\ndef h(*, x): ...") == ["line 1", "line 2"]
    breach = 'class A:\n    """A."""\n    def b(self): ...\n    def _c(self): ...\ndef d(): ...\nclass _E: ...'
    assert undocumented(breach) == ["the module", "b", "d"]
    assert without_example('def f():\n    """No."""\ndef g():\n    """>>> 1\n    1"""\ndef _h(): ...') == ["f"]
    cell = {"source": ["![x](data:image/png;base64,AA)"], "outputs": [{"data": {"text/plain": "", "image/png": ""}}]}
    assert stored_pictures(json.dumps({"cells": [cell]})) == ["cell 1: image/png", "cell 1: a picture in its text"]
