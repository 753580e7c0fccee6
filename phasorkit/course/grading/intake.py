"""From an inbox to submissions: which file is whose work on which exercise."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from phasorkit.course.briefs import normalise
from phasorkit.course.grading.handed_in import MAX_BYTES

LONGEST_ID = 80
_DECORATION = re.compile(r"(?i)[ _\-]*(\(\d+\)|[ _\-](copy|copie|kopie|copia) *\d*|(?<=[^\W\d_])-\d{1,2})$")
"""What file managers, browsers and platforms put behind a name: ``bridge (1)``, ``bridge-Copy1``, ``bridge-2``."""

_PLATFORMS = (
    re.compile(r"(?i)(?P<name>[^_]+)(_late)?_(?P<number>\d{2,})_(?P<rest>\d{4,}|(?=.*[^\W\d_]{4})[^/]*)"),
    re.compile(r"(?i)(?:.*_)?(?P<name>[^_]+)_attempt_(?P<time>\d{4}(-\d\d){2,5})"),
    re.compile(r"(?P<number>\d[\d\-]*) - (?P<name>.+?) - .*\d{4}.*"),
)
"""Names that learning platforms give, a folder or a file's front: whose work, a number, then words or a second number;
words, whose work, the time of the attempt; numbers, whose work, a date."""

LITTER = ("thumbs.db", "desktop.ini")
"""Files that systems put beside others."""

SUFFIX = ".ipynb"
TWICE = (f"{SUFFIX}.txt", f"{SUFFIX}.json")
"""Endings that a system which hides endings adds."""


@dataclass(frozen=True)
class Submission:
    """One notebook in the inbox and whose it is; `timestamp` is nbgrader's timestamp.txt where there is one.

    `layout` tells in a few words by which pattern it was found; `number` and `time` (of an attempt, as text that sorts)
    are those that a platform has put into the name.
    """

    learner: str
    exercise: str
    path: Path
    timestamp: Path | None = None
    layout: str = "folder"
    number: str = ""
    time: str = ""


@dataclass(frozen=True)
class Refused:
    """Something in the inbox that is not graded, and why; learner and exercise are empty where they are unknown."""

    path: Path
    reason: str
    learner: str = ""
    exercise: str = ""


def match(inbox: Path, exercises: Collection[str]) -> tuple[list[Submission], list[Refused]]:
    """Find the submissions in a folder.

    Parameters
    ----------
    inbox : Path
        Holds, mixed as they come, ``<learner>/<exercise>.ipynb``, ``<learner>/<exercise>/<exercise>.ipynb`` (nbgrader's
        own layout), ``<learner>_<exercise>.ipynb``, a folder of these or one named after an exercise
        (``<exercise>/<learner>.ipynb``), and what learning platforms make of it:
        ``<name>_<number>_<words>/<exercise>.ipynb`` and ``<name>_<number>_<words>_<exercise>.ipynb``, also with two
        numbers, the time of an attempt or a date. A single folder around all of it is looked into. Nothing in it is
        changed.
    exercises : collection of str
        Names of the exercises there are.

    Returns
    -------
    submissions, refused : lists
        Sorted by learner and exercise. Of attempts whose time is in the name the last one counts. Two other files for
        the same learner and exercise are both refused: which one counts is for a person to say.
    """
    found: dict[tuple[str, str], list[Submission]] = defaultdict(list)
    refused: list[Refused] = []
    for item in _candidates(_inside(inbox, exercises), exercises):
        if isinstance(item, Refused):
            refused.append(item)
        else:
            found[normalise(item.learner), item.exercise].append(item)
    submissions = []
    for _, same in sorted(found.items()):
        if all(s.time for s in same):
            *earlier, last = sorted(same, key=lambda s: s.time)
            submissions.append(last)
            refused += [Refused(s.path, "is an earlier attempt; the last one was taken", s.learner, s.exercise)
                        for s in earlier]  # fmt: skip
        elif len(same) == 1 or (len({s.number for s in same}) == 1 and _equal(same)):
            submissions += same[:1]
        else:
            refused.append(Refused(same[0].path, _several(same, inbox), same[0].learner, same[0].exercise))
    return submissions, refused


def _several(same: Sequence[Submission], inbox: Path) -> str:
    """Why none of several files is taken."""
    names = " and ".join(shown_path(s.path, inbox) for s in same)
    numbers = sorted({s.number for s in same if s.number})
    if len(numbers) > 1:
        return (
            f"more than one file under the name {same[0].learner} ({names}): if these are two people, rename theirs to "
            f"{same[0].learner} {numbers[0]} and so on; if not, keep one in the inbox"
        )
    return f"more than one file for the same work ({names}): keep one in the inbox"


def shown_path(file: Path, folder: Path) -> str:
    """A file's path below a folder as text in which nothing acts on a terminal or turns the line round.

    >>> shown_path(Path("/in/a\x1b[2J\u202e.ipynb"), Path("/in"))
    'a�[2J�.ipynb'
    """
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in str(file.relative_to(folder)))


def exercise_named(file_name: str, exercises: Collection[str]) -> tuple[str, str] | None:
    """The exercise that a file is named after, and what stands before it in the name; None when there is none.

    >>> exercise_named("bridge (1).ipynb", ["bridge"]), exercise_named("app_7_Bridge-Copy1.ipynb", ["bridge"])
    (('bridge', ''), ('bridge', 'app_7'))
    >>> exercise_named("footbridge.ipynb", ["bridge"]) is None
    True
    """
    stem = unicodedata.normalize("NFC", file_name)
    ending = next((e for e in (*TWICE, SUFFIX, Path(stem).suffix) if stem.lower().endswith(e.lower())), "")
    stem = stem[: len(stem) - len(ending)].strip()
    while (bare := _DECORATION.sub("", stem)) != stem:
        stem = bare
    for exercise in sorted(exercises, key=len, reverse=True):
        if stem.casefold() == exercise.casefold():
            return exercise, ""
        if stem.casefold().endswith(f"_{exercise}".casefold()):
            return exercise, stem[: -len(exercise) - 1].rstrip("_ ")
    return None


def _equal(same: list[Submission]) -> bool:
    """Whether files are the same byte for byte; a link or a file that cannot be read is equal to nothing."""
    try:
        sizes = {s.path.stat().st_size for s in same if s.path.is_file() and not s.path.is_symlink()}
        if len(sizes) != 1 or any(s.path.is_symlink() for s in same) or max(sizes) > MAX_BYTES:
            return False
        return len({s.path.read_bytes() for s in same}) == 1
    except OSError:
        return False


def _inside(inbox: Path, exercises: Collection[str]) -> Path:
    """The inbox, or the one folder that lies in it when the learners' work lies in that one."""
    entries = _visible(inbox)
    if len(entries) == 1 and entries[0].is_dir() and not entries[0].is_symlink():
        try:
            below = _visible(entries[0])
        except OSError:
            return inbox
        folders = [entry for entry in below if entry.is_dir() and entry.name not in exercises]
        files = [found for entry in below if not entry.is_dir() and (found := exercise_named(entry.name, exercises))]
        own_work = any(not before for _, before in files) or any(entry.name in exercises for entry in below)
        if not own_work and (folders or files):
            return entries[0]
    return inbox


def _candidates(inbox: Path, exercises: Collection[str]) -> Iterator[Submission | Refused]:
    for entry in _visible(inbox):
        if entry.is_dir() and entry.is_symlink():
            yield Refused(entry, "is a link, so it was not followed")
        elif entry.is_dir():
            try:
                yield from list(_group(entry, exercises) or _of_learner(entry, exercises))
            except OSError as error:
                yield Refused(entry, f"cannot be opened ({error.strerror})", entry.name)
        else:
            yield _flat(entry, exercises)


def _visible(folder: Path) -> list[Path]:
    entries = (e for e in folder.iterdir() if e.name.casefold() not in LITTER)
    return sorted(entry for entry in entries if not entry.name.startswith((".", "__")))


def _group(folder: Path, exercises: Collection[str]) -> list[Submission | Refused]:
    """What lies in a folder that is no learner's: named after an exercise, or with the names of several learners."""
    entries = _visible(folder)
    found = [exercise_named(entry.name, exercises) for entry in entries]
    files = [entry for entry in entries if entry.is_symlink() or not entry.is_dir()]
    if folder.name in exercises and ("" not in {name[1] for name in found if name}):
        own = [e for e in files if e.suffix == SUFFIX and not exercise_named(e.name, exercises)]
        named = [_submission(e.stem, folder.name, e, "folder of an exercise") for e in own]
        inside = [each for e in entries if e not in files for each in _of_learner(e, exercises)]
        return [*named, *inside, *(_flat(e, exercises) for e in files if e not in own)]
    if len({name[1] for name in found if name and name[1]}) > 1:
        inside = [each for e in entries if e not in files for each in _of_learner(e, exercises)]
        return [*inside, *(_flat(e, exercises) for e in files)]
    return []


def _flat(file: Path, exercises: Collection[str]) -> Submission | Refused:
    found = exercise_named(file.name, exercises)
    if found is not None and found[1]:
        return _submission(found[1], found[0], file, "flat")
    if file.suffix.lower() != SUFFIX:
        return Refused(file, "is not a notebook named learner_exercise.ipynb")
    return Refused(file, f"is not named learner_exercise.ipynb with an exercise of this course ({_list(exercises)})")


def _of_learner(folder: Path, exercises: Collection[str]) -> Iterator[Submission | Refused]:
    empty = True
    for entry in _visible(folder):
        file = entry / f"{entry.name}{SUFFIX}" if entry.is_dir() and not entry.is_symlink() else entry
        found = exercise_named(file.name, exercises)
        if entry.is_dir() and entry.name not in exercises:
            yield Refused(entry, f"is not an exercise of this course ({_list(exercises)})", folder.name)
        elif entry.is_dir() and not file.exists() and not file.is_symlink():
            others = [other for other in _visible(entry) if exercise_named(other.name, exercises) == (entry.name, "")]
            if not others:
                yield Refused(entry, f"holds no {file.name}", folder.name, entry.name)
            for other in others:
                yield _submission(folder.name, entry.name, other, "folder")
        elif found is not None:
            yield _submission(folder.name, found[0], file, "folder")
        elif SUFFIX in file.name.lower():
            yield Refused(file, f"is not an exercise of this course ({_list(exercises)})", folder.name)
        else:
            continue
        empty = False
    if empty:
        yield Refused(folder, f"holds no notebook of this course ({_list(exercises)})", folder.name)


def _submission(learner: str, exercise: str, file: Path, layout: str) -> Submission | Refused:
    learner = unicodedata.normalize("NFC", learner).strip()
    platform: dict[str, str] = {}
    if found := next(filter(None, (pattern.fullmatch(learner) for pattern in _PLATFORMS)), None):
        platform = found.groupdict()
        learner, layout = platform["name"], "platform"
    learner = " ".join(re.sub("[\u200c\u200d]", "", learner).replace(",", " ").replace("\u2019", "'").split())
    if not _usable(learner):
        return Refused(
            file, f"has no usable learner id: {learner!r} (a letter or digit first, then also . @ - + _ ' ( ))"
        )
    timestamp = file.parent / "timestamp.txt"
    own = file.parent.name == exercise and timestamp.is_file() and not timestamp.is_symlink()
    when = timestamp if own else None
    return Submission(learner, exercise, file, when, layout, platform.get("number", ""), platform.get("time", ""))


def _usable(learner: str) -> bool:
    """Whether a text can be a learner's id: a file's name everywhere, no formula, no markup, a name in any script.

    >>> [_usable(name) for name in ("app-01", "प्रिया", "=cmd", "a/b", "a\u202eb", "app.")]
    [True, True, False, False, False, False]
    """
    marks = (unicodedata.category(letter).startswith("M") for letter in learner)
    letters = all(c.isalnum() or c in "_.@ '()-+" or mark for c, mark in zip(learner, marks, strict=True))
    return letters and learner[:1].isalnum() and len(learner) <= LONGEST_ID and not learner.endswith(".")


def _list(names: Collection[str]) -> str:
    return ", ".join(sorted(names))
