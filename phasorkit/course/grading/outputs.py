"""Outputs of cells as plain text and raster pictures, and nothing else: what may pass into pages and notebooks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from nbformat import NotebookNode

from phasorkit.course.grading.notebooks import output
from phasorkit.course.grading.raster import KINDS, picture

MAX_TEXT = 100_000
"""Characters of one output that are shown."""

MAX_WORDS = 2000
"""Characters of a picture's text alternative."""

NO_WORDS = "picture that this cell drew"
"""Text alternative of a picture that came without one."""

LEFT_OUT = "[not shown here: neither plain text nor a picture]"


def plain_outputs(outputs: Iterable[NotebookNode]) -> list[NotebookNode]:
    """Outputs of a cell, each plain; those that then show nothing are left out."""
    return [plain for found in outputs if (plain := plain_output(found)) is not None]


def plain_output(found: NotebookNode) -> NotebookNode | None:
    """An output as plain text or a raster picture; None where it shows nothing."""
    kind = found.get("output_type")
    if kind == "stream":
        name = "stderr" if found.get("name") == "stderr" else "stdout"
        return output("stream", {"name": name, "text": _text(found.get("text"))})
    if kind == "error":
        lines = [_text(line) for line in found.get("traceback", [])][:200]
        return output(
            "error", {"ename": _text(found.get("ename")), "evalue": _text(found.get("evalue")), "traceback": lines}
        )
    data = found.get("data")
    if kind not in ("display_data", "execute_result") or not isinstance(data, dict):
        return None
    kept = {name: clean for name in KINDS if (clean := picture(name, data.get(name)))}
    if text := _text(data.get("text/plain")):
        kept["text/plain"] = text
    if not kept and data:
        kept["text/plain"] = LEFT_OUT
    fields: dict[str, object] = {"data": kept, "metadata": _words_for(found.get("metadata"), kept)}
    if kind == "execute_result":
        fields["execution_count"] = found.get("execution_count")
    return output(kind, fields) if kept else None


def _words_for(metadata: object, kept: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """The pictures' text alternatives, without any letter that markup is made of."""
    said: dict[str, dict[str, str]] = {}
    for name in (name for name in kept if name in KINDS):
        about = metadata.get(name) if isinstance(metadata, dict) else None
        words = about.get("alt") if isinstance(about, dict) else None
        words = words if isinstance(words, str) and words.strip() else NO_WORDS
        said[name] = {"alt": "".join(" " if letter in "<>&\"'`" else letter for letter in words[:MAX_WORDS])}
    return said


def _text(value: object) -> str:
    if isinstance(value, list) and all(isinstance(line, str) for line in value):
        value = "".join(value)
    if not isinstance(value, str):
        return ""
    return value if len(value) <= MAX_TEXT else value[:MAX_TEXT] + "\n... the rest was left out ..."
