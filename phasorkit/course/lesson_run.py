"""Run a lesson in a kernel of its own, with its switch set; what its apps show afterwards."""

from __future__ import annotations

import asyncio
import re
import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

from phasorkit.course.kernel_loop import kernel_loop

SWITCH = re.compile(r'^SYSTEM = "[^"]*"', re.MULTILINE)
"""The line at the top of a lesson that names the supply."""

WIDGET_STATE = "application/vnd.jupyter.widget-state+json"
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"


def read_lesson(path: Path) -> Any:
    """A notebook as nbformat reads it, checked against the schema."""
    notebook = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    nbformat.validate(notebook)
    return notebook


def run_lesson(notebook: Any, *, folder: Path, system: str | None = None) -> Any:
    """A copy of a notebook with the outputs of a fresh run.

    Parameters
    ----------
    notebook
        As `read_lesson` gives it; it stays as it is.
    folder : Path
        Where its cells run.
    system : str, optional
        What its switch is set to first, such as ``"208 V 60 Hz"``; a lesson without a switch runs as it is.

    Raises
    ------
    nbclient.exceptions.CellExecutionError
        A cell raised.
    """
    copy = nbformat.from_dict(notebook)  # type: ignore[no-untyped-call]
    if system is not None:
        for cell in (c for c in copy.cells if c.cell_type == "code"):
            cell.source = SWITCH.sub(f'SYSTEM = "{system}"', cell.source)
    resources = {"metadata": {"path": str(folder)}}
    client = NotebookClient(copy, timeout=120, kernel_name="python3", resources=resources, coalesce_streams=True)
    with ThreadPoolExecutor(1, "lesson") as thread:  # where a loop runs already, as in a notebook, no second one may
        thread.submit(_execute, client).result()
    return copy


def _execute(client: NotebookClient) -> None:
    with asyncio.Runner(loop_factory=kernel_loop) as runner:
        runner.run(client.async_execute(stderr=subprocess.DEVNULL))  # what the kernel program says of itself


def widget_models(ran: Any) -> dict[str, dict[str, Any]]:
    """State of every widget of a run notebook by its model's id."""
    states = ran.metadata.get("widgets", {}).get(WIDGET_STATE, {}).get("state", {})
    return {name: model["state"] for name, model in states.items()}


def app_html(view: str, models: dict[str, dict[str, Any]]) -> list[str]:
    """What the HTML parts of an app show, in reading order: its headings, picture, line and table.

    >>> inner = {"value": "<figure></figure>", "_model_name": "HTMLModel"}
    >>> app_html("a", {"a": {"children": ["IPY_MODEL_b"]}, "b": inner})
    ['<figure></figure>']
    """
    return list(_html_below(view, models))


def _html_below(name: str, models: dict[str, dict[str, Any]]) -> Iterator[str]:
    model = models[name]
    if model.get("_model_name") == "HTMLModel":
        yield str(model.get("value", ""))
    for child in model.get("children", ()):
        yield from _html_below(str(child).removeprefix("IPY_MODEL_"), models)
