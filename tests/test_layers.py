"""The walls of the house: imports point down only, and importing the library loads nothing heavy."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "phasorkit"

GROUND, PHYSICS, INDICATORS, ANALYSIS, DRAW, WIDGETS, COURSE, CLI = range(8)
"""The rooms from below to above."""

ROOM = {
    "__init__": GROUND, "cautions": GROUND, "surroundings": GROUND,
    "indicators": INDICATORS, "analysis": ANALYSIS, "draw": DRAW, "widgets": WIDGETS, "course": COURSE,
    "commands": CLI, "cli": CLI, "__main__": CLI,
}  # fmt: skip
"""The room of a module or folder in phasorkit/; a single module not named here belongs to physics."""

NUMBERS = {"numpy"}
FROM_OUTSIDE = {
    GROUND: set(),
    PHYSICS: NUMBERS,
    INDICATORS: NUMBERS,
    ANALYSIS: NUMBERS,
    DRAW: NUMBERS | {"schemdraw", "IPython"},
    WIDGETS: NUMBERS | {"ipywidgets", "IPython"},
    COURSE: NUMBERS
    | {
        "IPython",
        "ipykernel",
        "jupyter_client",
        "jupyter_core",
        "nbclient",
        "nbconvert",
        "nbformat",
        "nbgrader",
        "nh3",
        "rich",
    }
    | {"sqlalchemy", "traitlets", "PIL", "matplotlib", "jinja2"},
    CLI: {"rich"},
}
"""Packages that a room may import besides the standard library."""

ALSO = {
    "phasorkit.quantities": {"quantiphy", "rkm_codes"},
    "phasorkit.commands.open_course": {"zmq"},
    "phasorkit.commands.prompt_socket": {"jupyter_server"},
}
"""The edge reads text by readers of text; opening asks what kernels' lines can do; the server's line is its own."""

HEAVY = ("matplotlib", "IPython", "ipywidgets", "nbgrader", "nbformat", "schemdraw", "rich", "scipy", "sympy")

Imports = dict[str, set[str]]


def name_of(path: Path, package: Path) -> str:
    """``phasorkit.indicators`` for indicators/__init__.py."""
    parts = path.relative_to(package.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(package: Path) -> Imports:
    """What each module imports, wherever in it the import stands; ``from a import b`` is a.b where that is a module."""
    paths = {name_of(path, package): path for path in package.rglob("*.py")}
    found: Imports = {}
    for name, path in paths.items():
        found[name] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found[name] |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                if node.level:
                    raise ValueError(f"{name}: relative import; write the name in full")
                whole = [f"{node.module}.{alias.name}" for alias in node.names]
                found[name] |= {w if w in paths else str(node.module) for w in whole}
    return found


def room(module: str) -> int:
    """The room of a module."""
    return ROOM.get([*module.split("."), "__init__"][1], PHYSICS)


def upward(imports: Imports) -> list[str]:
    """Imports that point up."""
    return [
        f"{module} imports {other}"
        for module, others in imports.items()
        for other in others
        if other.split(".")[0] == "phasorkit" and room(other) > room(module)
    ]


def strangers(imports: Imports) -> list[str]:
    """Imports of packages that the room may not use."""
    return [
        f"{module} imports {top}"
        for module, others in imports.items()
        for top in {other.split(".")[0] for other in others} - {"phasorkit"} - sys.stdlib_module_names
        if top not in FROM_OUTSIDE[room(module)] | ALSO.get(module, set())
    ]


def cycle(imports: Imports) -> list[str]:
    """Modules that import each other in a circle, or nothing."""
    done: set[str] = set()

    def walk(module: str, way: list[str]) -> list[str]:
        if module in way:
            return [*way[way.index(module) :], module]
        if module in done:
            return []
        for other in sorted(imports[module] & imports.keys()):
            if found := walk(other, [*way, module]):
                return found
        done.add(module)
        return []

    return next((found for module in sorted(imports) if (found := walk(module, []))), [])


@pytest.fixture(scope="module")
def imports() -> Imports:
    """The imports of the package as it stands."""
    return imports_of(PACKAGE)


def test_every_folder_has_a_room() -> None:
    """And what is named above is there: the table describes the house as it is."""
    folders = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    modules = {path.stem for path in PACKAGE.glob("*.py")}
    assert folders <= set(ROOM) <= folders | modules


def test_imports_point_down(imports: Imports) -> None:
    """A room imports its own floor and those below, nothing above; lazily or not."""
    assert not upward(imports)


def test_rooms_use_only_their_packages(imports: Imports) -> None:
    """Physics, indicators and analyses know numpy alone."""
    assert not strangers(imports)


def test_no_circles(imports: Imports) -> None:
    """No two modules need each other."""
    assert not cycle(imports)


def test_circuits_know_nothing_of_each_other(imports: Imports) -> None:
    """One file per circuit: it imports the shared base, or a private helper, never another circuit."""
    circuits = [
        m for m in imports if m.startswith("phasorkit.indicators.") and "._" not in m and not m.endswith(".base")
    ]
    assert len(circuits) >= 1
    assert not [f"{m} imports {o}" for m in circuits for o in imports[m] & set(circuits)]


@pytest.mark.parametrize("wanted", ["phasorkit", "phasorkit.indicators", "phasorkit.analysis.sheet"])
def test_importing_loads_nothing_heavy(wanted: str) -> None:
    """In a fresh Python, with every circuit found: no pictures, no Jupyter, no tests' packages."""
    code = (
        f"import sys, importlib; importlib.import_module({wanted!r}); "
        "from phasorkit.indicators import circuits; assert circuits(); "
        f"print(sorted(set({HEAVY!r}) & sys.modules.keys()))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_the_gates_see_a_breach(tmp_path: Path) -> None:
    """Each gate on a small house with one thing wrong in each way."""
    house = tmp_path / "phasorkit"
    texts = {
        "__init__": "",
        "phasors": "import matplotlib\nimport json\nfrom phasorkit.quantities import x",
        "quantities": "import quantiphy\n\ndef f():\n    from phasorkit import network",
        "network": "import phasorkit.phasors",
        "supply": "from phasorkit.indicators.base import y",
        "indicators/__init__": "",
        "indicators/base": "import phasorkit.supply",
    }
    (house / "indicators").mkdir(parents=True)
    for name, text in texts.items():
        (house / f"{name}.py").write_text(text, encoding="utf-8")
    found = imports_of(house)
    assert upward(found) == ["phasorkit.supply imports phasorkit.indicators.base"]
    assert strangers(found) == ["phasorkit.phasors imports matplotlib"]
    assert cycle(found) == ["phasorkit.indicators.base", "phasorkit.supply", "phasorkit.indicators.base"]
    del found["phasorkit.supply"]
    assert cycle(found) == [f"phasorkit.{n}" for n in ("network", "phasors", "quantities", "network")]
