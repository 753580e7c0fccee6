"""Drive an app by its controls, as a learner does, and let nothing that went wrong stay hidden.

A callback that raises inside an `Output` leaves its traceback only there, and a button that raises leaves no more than
a line in the log: the cell that made the app still counts as executed. So every step here looks into all outputs and
at the log, and every step must change what it says it changes.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import ipywidgets as w


def widgets_of(app: w.Widget) -> Iterator[w.Widget]:
    """The app's widgets, itself included, in reading order."""
    yield app
    for child in getattr(app, "children", ()):
        yield from widgets_of(child)


def control(app: w.Widget, label: str) -> w.Widget:
    """The one control whose description or tooltip is, or else starts with, a label; else an error lists them all."""
    named = [(str(getattr(c, "description", "") or getattr(c, "tooltip", "") or ""), c) for c in widgets_of(app)]
    exact = [c for text, c in named if text == label]
    found = exact or [c for text, c in named if text.startswith(label)]
    assert len(found) == 1, f"{len(found)} controls {label!r}; there are {[text for text, _ in named if text]}"
    return found[0]


def assert_no_hidden_error(app: w.Widget) -> None:
    """No Output of the app holds a traceback or something on stderr."""
    for output in widgets_of(app):
        if isinstance(output, w.Output):
            bad = [o for o in output.outputs if o["output_type"] == "error" or o.get("name") == "stderr"]
            assert not bad, f"an Output holds {bad[0]}"


@contextmanager
def logged(logger: logging.Logger) -> Iterator[list[logging.LogRecord]]:
    """Warnings and errors that a logger gets meanwhile."""
    records: list[logging.LogRecord] = []
    handler = logging.Handler(logging.WARNING)
    handler.emit = records.append  # type: ignore[method-assign]
    logger.addHandler(handler)
    try:
        yield records
    finally:
        logger.removeHandler(handler)


def drive(app: w.Widget, label: str, value: Any, *, reads: Callable[[], Any], expect: Any) -> None:
    """Set one control (`value`, or ``"click"`` for a button) and assert what the app then reads.

    Parameters
    ----------
    app : widget
    label : str
        Start of the control's description or tooltip.
    value : object
        New value of the control, or ``"click"``.
    reads : callable
        What to read from the app or from its result afterwards.
    expect : object
        What that must be; it must be something else before (a step that changes nothing proves nothing).

    Raises
    ------
    AssertionError
        No such control, an error hidden in an Output or in the log, nothing changed, or the wrong result.
    """
    before = reads()
    chosen = control(app, label)
    with logged(chosen.log) as records:
        if value == "click":
            chosen.click()
        else:
            chosen.value = value
    assert not records, f"a callback of {label!r} failed: {records[0].getMessage()}"
    assert_no_hidden_error(app)
    after = reads()
    assert after == expect, f"after {label!r} = {value!r}: {after!r}, not {expect!r}"
    assert before != after, f"{label!r} = {value!r} changed nothing: {after!r}"
