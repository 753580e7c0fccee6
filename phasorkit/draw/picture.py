"""A finished picture: SVG that carries its own words."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path


@dataclass(frozen=True)
class Picture:
    """An SVG picture with its title and its text alternative.

    Parameters
    ----------
    svg : str
        A whole ``<svg>`` element with ``<title>`` and ``<desc>``.
    title : str
        What it is, in a few words.
    text : str
        What a sighted person reads off it, in one to four sentences.

    Notes
    -----
    In a notebook it shows as one output of one kind (``text/html``); its text rides along as the label.

    Examples
    --------
    >>> Picture("<svg/>", "Nothing", "An empty picture.").html()
    '<figure role="img" aria-label="Nothing. An empty picture." style="margin:0"><svg/></figure>'
    """

    svg: str
    title: str
    text: str

    def html(self) -> str:
        """The picture as a ``<figure>`` for a page."""
        label = escape(f"{self.title}. {self.text}", quote=True)
        return f'<figure role="img" aria-label="{label}" style="margin:0">{self.svg}</figure>'

    def save(self, path: str | Path) -> Path:
        """Write the SVG to a file (UTF-8, line feed) and return its path."""
        target = Path(path)
        target.write_text(self.svg + "\n", encoding="utf-8", newline="\n")
        return target

    def _ipython_display_(self) -> None:
        from IPython.display import publish_display_data

        publish_display_data({"text/html": self.html()})  # type: ignore[no-untyped-call]
