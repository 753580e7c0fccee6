"""From the inbox to the class folder: the file kept as it came, the rebuilt one laid where nbgrader looks for it."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path

from nbgrader.utils import parse_utc

from phasorkit import __version__
from phasorkit.course.briefs import normalise
from phasorkit.course.class_marks import OWN, ClassMarks
from phasorkit.course.grading.folder import ClassFolder
from phasorkit.course.grading.handed_in import HandedIn
from phasorkit.course.grading.intake import Refused, Submission, shown_path
from phasorkit.course.grading.rebuild import Flag, Master
from phasorkit.course.grading.records import FORMAT, Problem


def require_apart(inbox: Path, root: Path, class_folder: Path) -> None:
    """Results must not land among the submissions, nor the course be taken for a learner's work.

    Raises
    ------
    ValueError
        They would; the message says what to give instead.
    """
    inside = inbox.is_relative_to(class_folder) and inbox.relative_to(class_folder).parts[:1] != ("inbox",)
    if inside or root.is_relative_to(inbox):
        raise ValueError(
            f"{inbox} cannot be graded: give a folder that holds nothing but submissions, apart from the course and "
            f"from the class folder ({class_folder}), or its inbox"
        )


def as_known(submissions: Sequence[Submission], known: Collection[str]) -> list[Submission]:
    """The submissions under the ids that the class has: one written another way (see `normalise`) is no new learner.

    An id that is known letter by letter stays, and so does one that two known ones could be.
    """
    spelled: dict[str, list[str]] = defaultdict(list)
    for learner in known:
        spelled[normalise(learner)].append(learner)
    same = [spelled[normalise(s.learner)] for s in submissions]
    return [
        replace(s, learner=one[0]) if len(one) == 1 and s.learner not in known else s
        for s, one in zip(submissions, same, strict=True)
    ]


def fingerprint(handed: HandedIn, master: Master, class_code: str | None, marks: ClassMarks = OWN) -> str:
    """Changes with anything that the marks of this work could depend on."""
    work = hashlib.sha256(handed.raw or handed.trouble.encode()).hexdigest()
    changes = [repr(change) for change in marks.changes if change.exercise == master.exercise]
    parts = (str(FORMAT), __version__, master.fingerprint, str(class_code), work, *changes)
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def lay_out(folder: ClassFolder, submission: Submission, handed: HandedIn, notebook: bytes) -> tuple[Flag, ...]:
    """Keep the file as it came, and lay the rebuilt one, with its time, where nbgrader looks for it."""
    learner, exercise = submission.learner, submission.exercise
    if handed.raw:
        folder.write(folder.received(learner, exercise), handed.raw)
    file = folder.submitted(learner, exercise)
    folder.write(file, notebook)
    timestamp = file.with_name("timestamp.txt")
    handed_in = submission.timestamp.read_bytes()[:100] if submission.timestamp else b""
    if is_time(handed_in):
        folder.write(timestamp, handed_in)
        return ()
    if timestamp.exists():
        folder.keep(timestamp)
        timestamp.unlink()
    return (Flag("time", "its timestamp.txt holds no time, so none was taken"),) if handed_in else ()


def is_time(text: bytes) -> bool:
    """Whether nbgrader can read this as the time a submission came in; it stops at one that it cannot read.

    >>> is_time(b"2025-02-03 10:15:00 UTC"), is_time(b"yesterday"), is_time(b"")
    (True, False, False)
    """
    try:
        return parse_utc(text.decode("utf-8").strip()) is not None
    except (ValueError, OverflowError):
        return False


def not_matched(item: Refused, inbox: Path) -> Problem:
    """What was found in the inbox and not graded, as a problem of the class."""
    return Problem(item.learner, item.exercise, shown_path(item.path, inbox), item.reason)
