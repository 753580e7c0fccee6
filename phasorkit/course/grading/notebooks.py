"""Notebook files as bytes and their cells: nbformat, which has no types, behind a few typed functions."""

from __future__ import annotations

from typing import Any, cast

import nbformat
from nbformat import NotebookNode

_LIBRARY: Any = nbformat


def load(data: bytes) -> NotebookNode:
    """A notebook from its file's bytes (JSON, UTF-8), as format 4."""
    return cast(NotebookNode, _LIBRARY.reads(data.decode("utf-8"), as_version=4))


def dump(notebook: NotebookNode) -> bytes:
    """A notebook as its file's bytes; what UTF-8 cannot hold becomes a question mark."""
    return cast(str, _LIBRARY.writes(notebook)).encode("utf-8", "replace")


def grade_id(cell: NotebookNode) -> str:
    """nbgrader's name of a cell; empty where it has none."""
    return str(cell.metadata.get("nbgrader", {}).get("grade_id") or "")


def own_cell(cell_type: str, source: str, cell_id: str) -> NotebookNode:
    """A new cell without metadata and outputs."""
    kinds = {"code": _LIBRARY.v4.new_code_cell, "raw": _LIBRARY.v4.new_raw_cell}
    return cast(NotebookNode, kinds.get(cell_type, _LIBRARY.v4.new_markdown_cell)(source, id=cell_id))


def printed(text: str) -> NotebookNode:
    """An output: text on stdout."""
    return cast(NotebookNode, _LIBRARY.v4.new_output("stream", name="stdout", text=text))


def value(text: str) -> NotebookNode:
    """An output: the value of a cell's last line."""
    return cast(NotebookNode, _LIBRARY.v4.new_output("execute_result", data={"text/plain": text}))


def error(name: str, text: str) -> NotebookNode:
    """An output: an error, told in one line."""
    return cast(NotebookNode, _LIBRARY.v4.new_output("error", ename=name, evalue=text, traceback=[f"{name}: {text}"]))
