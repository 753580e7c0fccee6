"""Ways in which code reaches a module without an import that names it; read in its syntax tree, never run."""

from __future__ import annotations

import ast
import re

UNNAMED = "modules that it reaches without naming them"
"""What is told of code that keeps to itself what it uses."""

DEEPEST = 20
"""Joins inside joins that are looked through."""

_NAMED = re.compile(r"\bphasorkit(?:[.:][A-Za-z_]\w*)+")
_IMPORTERS = {"__import__", "import_module", "resolve_name", "run_module", "find_spec"}
_RUNNERS = {"exec", "eval", "compile"}
_INSIDES = {"__globals__", "f_globals", "f_back", "_getframe", "__builtins__", "getmodule", "get_objects"}
_GIVEN = {"begin", "check", "hint", "progress"}
"""Functions that every exercise hands out, and by which the rest of the library could be reached."""


def hidden_modules(tree: ast.AST) -> set[str]:
    """Modules of this library that code reaches by a text put together, and `UNNAMED` where it does not tell which.

    >>> sorted(hidden_modules(ast.parse("__import__('phasor' + 'kit.indicators')")))
    ['phasorkit.indicators']
    >>> hidden_modules(ast.parse("check.__globals__['truths']")) == {UNNAMED}, hidden_modules(ast.parse("max(a.b, c)"))
    (True, set())
    """
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp | ast.JoinedStr):
            found |= {name.replace(":", ".") for name in _NAMED.findall(_text(node) or "")}
        elif isinstance(node, ast.Attribute) and (node.attr in _INSIDES or _is_list_of_modules(node)):
            found.add(UNNAMED)
        elif isinstance(node, ast.Call):
            found |= _called(node)
    return found


def _called(node: ast.Call) -> set[str]:
    """What a call reaches: an import or a piece of code by a text, or the insides of a function handed out."""
    name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
    first = node.args[0] if node.args else None
    if name in _IMPORTERS and first is not None:
        text = _text(first)
        return {UNNAMED} if text is None else {found.replace(":", ".") for found in _NAMED.findall(text)}
    if name in _RUNNERS and isinstance(node.func, ast.Name) and first is not None and _text(first) is None:
        return {UNNAMED}
    if name in ("getattr", "vars") and isinstance(first, ast.Name) and first.id in _GIVEN:
        return {UNNAMED}
    return set()


def _is_list_of_modules(node: ast.Attribute) -> bool:
    return node.attr == "modules" and isinstance(node.value, ast.Name) and node.value.id == "sys"


def _text(node: ast.AST | None, depth: int = DEEPEST) -> str | None:
    """A text that stands in the code in one piece or in several joined ones; None for anything else."""
    if depth == 0:
        return None
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        parts = [part.value if isinstance(part, ast.FormattedValue) else part for part in node.values]
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        parts = [node.left, node.right]
    else:
        return None
    texts = [_text(part, depth - 1) for part in parts]
    return None if None in texts else "".join(text or "" for text in texts)
