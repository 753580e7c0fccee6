"""nbgrader's feedback page, from its own template, without work that this template does not need."""

from __future__ import annotations

from functools import cached_property, lru_cache
from typing import Any

from nbconvert.exporters import HTMLExporter
from nbconvert.exporters.templateexporter import TemplateExporter
from nbconvert.filters import Highlight2HTML
from nbconvert.filters.widgetsdatatypefilter import WidgetsDataTypeFilter
from nbformat import NotebookNode, v4

REMEMBERED = 500
"""Cells of which the coloured code is remembered: most cells of a class are the released ones."""

LONGEST_REMEMBERED = 10_000
"""Characters of such a cell; colours make code up to thirty times longer."""


class FeedbackPage(HTMLExporter):
    """Makes the page as `HTMLExporter` does, but does not parse it once more, which takes half of the time.

    That parse gives words to pictures without any, and ours have them (`phasorkit.course.grading.outputs`); and it
    changes cells of JupyterLab's template, which this is not.
    """

    @cached_property
    def _coloured(self) -> Any:
        def coloured(lexer: str | None, source: str) -> Any:
            return Highlight2HTML(pygments_lexer=lexer, parent=self)(source)  # type: ignore[no-untyped-call]

        remembered = lru_cache(REMEMBERED)(coloured)
        return lambda lexer, source: (remembered if len(source) <= LONGEST_REMEMBERED else coloured)(lexer, source)

    def get_ready(self) -> None:
        """Make a page of nothing: templates are read and compiled with the first one."""
        python = {"language_info": {"name": "python"}}
        nothing = v4.new_notebook(cells=[v4.new_code_cell("pass")], metadata=python)  # type: ignore[no-untyped-call]
        about = {"notebook": "", "score": 0, "max_score": 0, "late_penalty": 0}
        self.from_notebook_node(nothing, {"nbgrader": about})

    def from_notebook_node(  # type: ignore[override]
        self, nb: NotebookNode, resources: dict[str, Any] | None = None
    ) -> tuple[str, dict[str, Any]]:
        """The page of a notebook, and the resources."""
        language = nb.metadata.get("language_info", {})
        lexer = language.get("pygments_lexer", language.get("name"))
        about = self._init_resources(resources)  # type: ignore[no-untyped-call]
        choose: Any = WidgetsDataTypeFilter
        filters = {
            "highlight_code": lambda source, metadata=None: self._coloured(lexer, source),
            "filter_data_type": choose(notebook_metadata=self._nb_metadata, parent=self, resources=about),
        }
        for name, use in filters.items():
            self.register_filter(name, use)  # type: ignore[no-untyped-call]
        return TemplateExporter.from_notebook_node(self, nb, about)
