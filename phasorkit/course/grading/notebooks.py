"""Notebook files as bytes and their cells: nbformat, which has no types, behind a few typed functions."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from pathlib import Path
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


def output(kind: str, fields: Mapping[str, object]) -> NotebookNode:
    """An output of one of the notebook format's kinds, with that kind's fields."""
    return cast(NotebookNode, _LIBRARY.v4.new_output(kind, **fields))


def printed(text: str) -> NotebookNode:
    """An output: text on stdout."""
    return output("stream", {"name": "stdout", "text": text})


def value(text: str) -> NotebookNode:
    """An output: the value of a cell's last line."""
    return output("execute_result", {"data": {"text/plain": text}})


def error(name: str, text: str) -> NotebookNode:
    """An output: an error, told in one line."""
    return output("error", {"ename": name, "evalue": text, "traceback": [f"{name}: {text}"]})


def to_format_4(document: dict[str, Any]) -> dict[str, Any]:
    """A notebook of format 1 to 3, given as plain data, as format 4; raises whatever the library raises."""
    worksheets = document.get("worksheets")
    document = {"metadata": {}, "nbformat": 3, "nbformat_minor": 0, **document}
    if isinstance(worksheets, list):
        cells = [cell for sheet in worksheets for cell in sheet["cells"]]
        document["worksheets"] = [{"metadata": {}, "cells": cells}]
    return cast(dict[str, Any], _LIBRARY.convert(_LIBRARY.from_dict(document), 4))


def readable(file: Path) -> bool:
    """Whether a file is there and can be read as a notebook."""
    try:
        load(file.read_bytes())
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return False
    return True


def check_name(source: str) -> str:
    """Name of the check that a check cell calls; empty when it calls none, or more than one.

    >>> check_name('# is it the right size?\\ncheck("resistance")')
    'resistance'
    """
    try:
        calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    except SyntaxError:
        return ""
    match calls:
        case [ast.Call(func=ast.Name(id="check"), args=[ast.Constant(value=str(name))], keywords=[])]:
            return name
    return ""
