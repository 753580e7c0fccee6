"""Lessons and tables as printable pages: each stands alone, asks no network, and shows every app as a still figure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from html import escape
from pathlib import Path
from typing import Any

import nbformat
from nbclient.exceptions import CellExecutionError
from nbconvert import HTMLExporter

from phasorkit.cautions import DARK_IS_NO_PROOF, WHO_MAY
from phasorkit.course.contents import Lesson, contents, table
from phasorkit.course.handout_look import page
from phasorkit.course.lesson_run import WIDGET_VIEW, app_html, read_lesson, run_lesson, widget_models

INDEX = "index.html"
STILL = "The app as it starts. In the notebook its controls move it."
_ANCHOR = re.compile(r'<a class="anchor-link".*?</a>')
_LINK = re.compile(r"(?<!!)\[([^\]]*)\]\(([^)\s#]*)(#[^)\s]*)?\)")

Run = Callable[[Lesson], Any]


class HandoutError(RuntimeError):
    """A page could not be made; the message names it and says why."""


def write(root: Path, out: Path, *, system: str | None = None, run: Run | None = None) -> list[Path]:
    """Write a page for every lesson and for every table beside them, and an index.

    Parameters
    ----------
    root : Path
        The course folder.
    out : Path
        Where the pages go; made if missing. Pages of the same name are written anew, nothing else is touched.
    system : str, optional
        What the switch of every lesson is set to, such as ``"208 V 60 Hz"``.
    run : callable, optional
        Gives a lesson as run; by default each is run in a kernel of its own.

    Returns
    -------
    list of Path
        The pages, the index first.

    Raises
    ------
    HandoutError
        A lesson has a cell that raises.
    """
    folder = root / "lessons"
    lessons = [lesson for lesson in contents(root) if (folder / lesson.file).is_file()]
    tables = sorted(folder.glob("*.md"))
    pages = {name: f"{Path(name).stem}.html" for name in (*(x.file for x in lessons), *(t.name for t in tables))}
    out.mkdir(parents=True, exist_ok=True)
    made = {INDEX: _index(lessons, tables, pages, root)}
    for lesson in lessons:
        ran = (run or _runner(folder, system))(lesson)
        made[pages[lesson.file]] = lesson_page(ran, title=lesson.name, folder=folder, pages=pages)
    for path in tables:
        text = path.read_text(encoding="utf-8")
        made[pages[path.name]] = text_page(text, title=title_of(path), folder=folder, pages=pages)
    for name, html in made.items():
        (out / name).write_text(html, encoding="utf-8", newline="\n")
    return [out / name for name in made]


def _runner(folder: Path, system: str | None) -> Run:
    def run(lesson: Lesson) -> Any:
        path = folder / lesson.file
        try:
            return run_lesson(read_lesson(path), folder=folder, system=system)
        except CellExecutionError as error:
            raise HandoutError(f"lessons/{lesson.file}: a cell raised {error.ename}: {error.evalue}") from error

    return run


def lesson_page(ran: Any, *, title: str, folder: Path, pages: dict[str, str]) -> str:
    """A lesson that was run, as a page; `pages` names the page of each file that has one."""
    notebook = nbformat.from_dict(ran)  # type: ignore[no-untyped-call]
    models = widget_models(ran)
    notebook.metadata.pop("widgets", None)
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            cell.source = relinked(cell.source, pages)
        for output in cell.get("outputs", ()):
            if WIDGET_VIEW in output.get("data", {}):
                output.data = {"text/html": still(app_html(output.data[WIDGET_VIEW]["model_id"], models))}
    return page(_body(notebook, folder), title=title)


def text_page(text: str, *, title: str, folder: Path, pages: dict[str, str]) -> str:
    """A text with tables, as a page."""
    cell = nbformat.v4.new_markdown_cell(relinked(text, pages))  # type: ignore[no-untyped-call]
    notebook = nbformat.v4.new_notebook(cells=[cell])  # type: ignore[no-untyped-call]
    return page(_body(notebook, folder), title=title)


def still(parts: Iterable[str]) -> str:
    """An app's picture, line and table as a figure without controls.

    >>> still(["<b>Supply</b>", "<figure>arrows</figure>", '<div role="status" aria-live="polite">dark</div>'])[-48:]
    '</p><figure>arrows</figure><div>dark</div></div>'
    """
    kept = [p for p in parts if re.match(r'\s*<(figure|table|div role="status")', p)]
    plain = [p.replace(' role="status" aria-live="polite"', "") for p in kept]
    return f'<div class="still"><p class="note">{escape(STILL)}</p>{"".join(plain)}</div>'


def relinked(text: str, pages: dict[str, str]) -> str:
    """A text whose links lead to the pages of a handout; a link to what has no page keeps its words only.

    >>> relinked("[Lesson 05](05-x.ipynb#Goal), [exercise](../exercises/b/b.ipynb)", {"05-x.ipynb": "05-x.html"})
    '[Lesson 05](05-x.html#Goal), exercise'
    """

    def one(found: re.Match[str]) -> str:
        words, file, anchor = found[1], found[2], found[3] or ""
        if file and file not in pages:
            return words
        return f"[{words}]({pages.get(file, '')}{anchor})"

    return _LINK.sub(one, text)


def title_of(path: Path) -> str:
    """The first heading of a text."""
    heading = re.search(r"^# (.+)$", path.read_text(encoding="utf-8"), re.MULTILINE)
    return heading[1] if heading else path.stem


def _index(lessons: list[Lesson], tables: list[Path], pages: dict[str, str], root: Path) -> str:
    also = "\n".join(f"- [{title_of(path)}]({path.name})" for path in tables)
    text = (
        f"# Phase sequence: the lessons on paper\n\n{DARK_IS_NO_PROOF} {WHO_MAY}\n\n## Contents\n\n"
        f"{table(lessons, root)}\n\n## Tables\n\n{also}\n\nWhere a page asks you to put an answer in place of `None`, "
        "write it beside the question. Apps are shown as they start; the notebooks let you move them."
    )
    return text_page(text, title="Contents", folder=root / "lessons", pages=pages)


def _body(notebook: Any, folder: Path) -> str:
    exporter = HTMLExporter(template_name="basic", embed_images=True)  # type: ignore[no-untyped-call]
    body, _ = exporter.from_notebook_node(notebook, {"metadata": {"path": str(folder)}})
    return _ANCHOR.sub("", body)
