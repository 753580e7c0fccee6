"""Pages that nbgrader makes of learners' work (feedback, formgrader), made safe: nothing a learner wrote runs in them.

A learner's text is HTML to nbgrader, and its pages open with the instructor's rights. Two steps close that: markdown
goes through an allow-list (`phasorkit.course.grading.safe_text`), and the last preprocessor keeps of the outputs only
plain text and raster pictures. The templates' script for formulas, fetched from elsewhere, is left out too.
"""

from __future__ import annotations

import os
from html import escape
from pathlib import Path
from typing import Any

import nbgrader
from jinja2 import pass_context
from jinja2.runtime import Context
from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode

from phasorkit.course.grading.outputs import plain_outputs
from phasorkit.course.grading.safe_text import Budget, markdown_to_html

PAGES = Path(__file__).resolve().parent / "pages"
"""Our own part of nbgrader's templates."""


def make_safe(config: Any) -> None:
    """Set nbgrader's pages to be safe, in a traitlets configuration; called by the course's nbgrader_config.py too."""
    theirs = Path(nbgrader.__file__).parent / "server_extensions" / "formgrader" / "templates"
    config.HTMLExporter.filters = {"markdown2html": f"{__name__}.markdown2html"}
    config.HTMLExporter.preprocessors = [f"{__name__}.PlainOutputs"]
    config.HTMLExporter.extra_template_basedirs = [os.fspath(PAGES), os.fspath(theirs)]


@pass_context
def markdown2html(context: Context, source: str) -> str:
    """The templates' filter for markdown; pictures put into the cell are at hand in the template's context."""
    cell = context.get("cell", {})
    about = context.get("resources")
    budget = about.setdefault("phasorkit_formulas", Budget()) if isinstance(about, dict) else None
    return markdown_to_html(source, cell.get("attachments", {}) if isinstance(cell, dict) else {}, budget)


class PlainOutputs(Preprocessor):
    """Keeps of a notebook's outputs plain text and raster pictures, and of its cells what nbgrader needs."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Make the notebook plain; nbgrader's exporters call this last."""
        return make_plain(nb), resources


def make_plain(notebook: NotebookNode) -> NotebookNode:
    """Take from a notebook everything that a page would take for markup; cells' own text stays.

    Outputs become plain text and raster pictures, metadata what nbgrader needs, and raw cells, whose text a template
    may pass on as it is, become escaped text.
    """
    for name in [name for name in notebook.metadata if name not in ("kernelspec", "language_info", "celltoolbar")]:
        del notebook.metadata[name]
    for cell in notebook.cells:
        for name in [name for name in cell.metadata if name != "nbgrader"]:
            del cell.metadata[name]
        if cell.cell_type == "code":
            cell.outputs = plain_outputs(cell.outputs)
        elif cell.cell_type == "raw":
            cell.source = escape(cell.source, quote=False)
    return notebook
