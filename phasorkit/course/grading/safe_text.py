"""Learners' markdown as HTML that runs nothing: an allow-list of tags, formulas as pictures, no address that acts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import escape
from typing import Any

import nh3
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath

from phasorkit.course.grading.formulas import formula
from phasorkit.course.grading.raster import picture

MAX_SOURCE, MAX_PAGE = 20_000, 200_000
"""Characters of a cell, and of a page, beyond which text is shown as it is, not laid out: hostile text takes time that
grows with the square of its length."""

TAGS = {
    "a", "b", "blockquote", "br", "caption", "code", "dd", "del", "div", "dl", "dt", "em", "h1", "h2", "h3", "h4",
    "h5", "h6", "hr", "i", "img", "kbd", "li", "ol", "p", "pre", "s", "small", "span", "strong", "sub", "sup", "table",
    "tbody", "td", "tfoot", "th", "thead", "tr", "u", "ul",
}  # fmt: skip
"""No form, button or frame; no style and no class either, so nothing can lie over the page or look like its buttons."""

ATTRIBUTES = {
    "a": {"href", "title"}, "img": {"src", "alt", "title", "width", "height", "class"}, "ol": {"start"},
    "td": {"align"}, "th": {"align"},
}  # fmt: skip
FORMULA = "formula"
"""Class of our own pictures of formulas, the only one that passes."""

_DATA = re.compile(r"data:(image/[a-z]+);base64,([A-Za-z0-9+/=\s]+)")


FORMULAS = 15_000
"""Characters of TeX, and `EACH` for every formula, that are drawn on one page; of the others the source is shown."""

EACH = 50


@dataclass
class Budget:
    """What may still be drawn on a page."""

    left: int = FORMULAS
    text: int = MAX_PAGE

    def formula(self, tex: str) -> str:
        """A formula as a picture, or as its source when the page has had enough of them."""
        self.left -= len(tex) + EACH
        return formula(tex) if self.left >= 0 else f"<code>{escape(tex)}</code>"


def markdown_to_html(
    source: str, attachments: dict[str, dict[str, str]] | None = None, budget: Budget | None = None
) -> str:
    """Lay out a learner's text.

    Parameters
    ----------
    source : str
        Markdown as JupyterLab understands it, with TeX between dollar signs and with HTML.
    attachments : dict, optional
        Pictures of the cell, as in the notebook format.
    budget : Budget, optional
        Shared by the cells of one page, so that laying it out takes bounded time; one of its own by default.

    Returns
    -------
    str
        HTML without scripts, forms, styles, and without anything fetched from elsewhere.

    Examples
    --------
    >>> markdown_to_html("**R** <script>alert(1)</script><b onclick='x()'>is</b> [here](javascript:x)")
    '<p><strong>R</strong> <b>is</b> <a rel="noopener noreferrer nofollow">here</a></p>\\n'
    """
    budget = budget or Budget()
    budget.text -= len(source)
    if len(source) > MAX_SOURCE or budget.text < 0:
        return f"<pre>{escape(source)}</pre>"
    try:
        html = MarkdownWithMath(renderer=_Renderer(attachments or {}, budget)).render(source)
    except Exception:  # a text that the markdown library does not digest is shown as it is
        html = f"<pre>{escape(source)}</pre>"
    return clean(html)


def clean(html: str) -> str:
    """HTML with the allowed tags, attributes and addresses only."""
    return nh3.clean(
        html,
        tags=TAGS,
        clean_content_tags={"script", "style", "title", "textarea", "noscript", "template", "iframe", "object"},
        attributes=ATTRIBUTES,
        attribute_filter=_attribute,
        url_schemes={"http", "https", "mailto", "data"},
        url_relative="deny",
        link_rel="noopener noreferrer nofollow",
    )


def _attribute(tag: str, name: str, value: str) -> str | None:
    if (tag, name) == ("img", "src"):
        found = _DATA.fullmatch(value)
        text = picture(found[1], found[2]) if found else ""
        return f"data:{found[1]};base64,{text}" if found and text else None
    if (tag, name) == ("img", "class"):
        return value if value == FORMULA else None
    if name in ("width", "height", "start"):
        return value if re.fullmatch(r"\d{1,4}", value) else None
    if name == "href" and value.lstrip().lower().startswith("data"):
        return None
    return value


class _Renderer(IPythonRenderer):
    """nbconvert's, but headings get no anchors, formulas become pictures, and a missing picture is no error."""

    def __init__(self, attachments: dict[str, dict[str, str]], budget: Budget) -> None:
        super().__init__(escape=False, exclude_anchor_links=True, attachments=attachments)
        self.budget = budget

    def block_math(self, body: str) -> str:
        return f"<div>{self.budget.formula(body)}</div>"

    def inline_math(self, body: str) -> str:
        return self.budget.formula(body)

    def latex_environment(self, name: str, body: str) -> str:
        return f"<div>{self.budget.formula(body)}</div>"

    def image(self, text: str, url: str, title: str | None = None) -> str:
        name = url.removeprefix("attachment:")
        if url == name:
            return str(super().image(text, url, title))
        for kind, data in self.attachments.get(name, {}).items():
            if clean_data := picture(kind, data):
                return f'<img src="data:{kind};base64,{clean_data}" alt="{escape(text)}">'
        return f"<em>[picture: {escape(text or name)}]</em>"

    def block_code(self, code: str, info: Any = None) -> str:
        return f"<pre><code>{escape(code)}</code></pre>\n"
