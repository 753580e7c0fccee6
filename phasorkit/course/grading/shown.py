"""What a learner's cell shows, as outputs of a notebook: taken from messages that nobody vouches for."""

from __future__ import annotations

import re
from typing import Any

from nbformat import NotebookNode

from phasorkit.course.grading.notebooks import output

KEPT_BYTES = 8_000_000
"""What one cell may show, text and pictures together; further outputs are left out."""

MOST = 200
"""Outputs of one cell that are kept."""

_KIND = re.compile(r"[a-z]+/[\w.+-]{1,60}")


class Shown:
    """The outputs of one cell, as they come."""

    def __init__(self) -> None:
        self.outputs: list[NotebookNode] = []
        self._named: dict[str, list[NotebookNode]] = {}
        self._size = 0
        self._clear = False

    def add(self, message: dict[str, Any]) -> None:
        """Take one message; what is not of the agreed form shows nothing."""
        kind, content = message.get("shows"), message.get("content")
        if not isinstance(content, dict):
            return
        if kind == "clear_output":
            self._clear = True
            if not content.get("wait"):
                self._empty()
            return
        found = _output(kind, content)
        if found is None:
            return
        name = _name(content)
        if kind == "update_display_data":
            for old in self._named.get(name, []):
                old.data, old.metadata = found.data, found.metadata
        else:
            self._keep(found, name)

    def _keep(self, found: NotebookNode, name: str) -> None:
        if self._clear:
            self._empty()
        self._size += _size(found)
        last = self.outputs[-1] if self.outputs else None
        if self._size > KEPT_BYTES:
            return
        if found.output_type == "stream" and last is not None and last.get("name") == found.name:
            last.text += found.text
        elif len(self.outputs) < MOST:
            self.outputs.append(found)
            if name:
                self._named.setdefault(name, []).append(found)

    def _empty(self) -> None:
        self.outputs.clear()
        self._named.clear()
        self._size = 0
        self._clear = False


def _output(kind: object, content: dict[str, Any]) -> NotebookNode | None:
    if kind == "stream":
        name, text = content.get("name"), content.get("text")
        right = isinstance(text, str) and name in ("stdout", "stderr")
        return output("stream", {"name": name, "text": text}) if right else None
    if kind == "error":
        words, lines = [content.get("ename"), content.get("evalue")], content.get("traceback")
        if isinstance(lines, list) and all(isinstance(word, str) for word in [*words, *lines]):
            return output("error", {"ename": words[0], "evalue": words[1], "traceback": lines})
        return None
    data = content.get("data")
    if not isinstance(data, dict) or kind not in ("execute_result", "display_data", "update_display_data"):
        return None
    data = {key: value for key, value in data.items() if _KIND.fullmatch(key) and isinstance(value, str)}
    return output("execute_result" if kind == "execute_result" else "display_data", {"data": data, "metadata": {}})


def _name(content: dict[str, Any]) -> str:
    transient = content.get("transient")
    name = transient.get("display_id") if isinstance(transient, dict) else None
    return name if isinstance(name, str) else ""


def _size(found: NotebookNode) -> int:
    texts = [found.get("text", ""), *found.get("data", {}).values(), *found.get("traceback", [])]
    return sum(map(len, texts))
