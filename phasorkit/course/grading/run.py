"""Grade a folder of submissions: read, mark one after the other, write each result before the next."""

from __future__ import annotations

import hashlib
import logging
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from time import monotonic

from phasorkit import __version__
from phasorkit.course.grading import worker
from phasorkit.course.grading.folder import ClassFolder
from phasorkit.course.grading.gradebook import GradebookError, Nbgrader, is_time
from phasorkit.course.grading.intake import IntakeError, Refused, Submission, match, read_cells
from phasorkit.course.grading.kernel import LOGGER, Limits
from phasorkit.course.grading.rebuild import Flag, Master, rebuild
from phasorkit.course.grading.records import FORMAT, ClassResult, Problem, Record, load
from phasorkit.course.grading.report import write_tables
from phasorkit.course.model import tasks

Progress = Callable[[int, int, str], None]
"""Called with how many are done, of how many, and what comes next."""


def grade_folder(
    inbox: Path,
    *,
    root: Path,
    class_folder: Path,
    class_code: str | None = None,
    limits: Limits | None = None,
    progress: Progress | None = None,
) -> ClassResult:
    """Grade every submission in a folder, and leave what it cannot grade with a reason.

    Parameters
    ----------
    inbox : Path
        Folder of submissions, see `phasorkit.course.grading.intake.match`. It is only read.
    root : Path
        The course: ``solutions/``, ``exercises/``, ``nbgrader_config.py``.
    class_folder : Path
        Where gradebook, marked notebooks, feedback and tables go; made where missing. What a run replaces is kept in
        its ``backups``.
    class_code : str, optional
        The class's code; a notebook that says another one is flagged. None: not compared.
    limits : Limits, optional
        Times a notebook may take.
    progress : function, optional
        See `Progress`.

    Returns
    -------
    ClassResult
        All records of the class folder, those of earlier runs included, and what was not graded.

    Raises
    ------
    NotADirectoryError
        No such inbox.
    ValueError
        An inbox that lies inside the class folder (but for its ``inbox``) or holds the course itself.
    GradebookError
        The gradebook cannot be opened.

    Notes
    -----
    Learners' code runs on this machine without protection. A submission that has not changed since it was graded is
    not graded again.
    """
    if not inbox.is_dir():
        raise NotADirectoryError(f"there is no folder {inbox}")
    started = monotonic()
    folder = ClassFolder.at(class_folder)
    _require_apart(inbox.resolve(), root.resolve(), folder.path)
    folder.keep_gradebook()
    with _log_to(folder.log) as log:
        run = Run(folder, Nbgrader(root, folder, log), class_code, limits or Limits())
        submissions, refused = match(inbox, [name for name in tasks() if (root / "solutions" / name).is_dir()])
        run.problems += [_refused(item, inbox) for item in refused]
        try:
            for count, submission in enumerate(submissions):
                if progress:
                    progress(count, len(submissions), f"{submission.learner} {submission.exercise}")
                run.one(submission, str(submission.path.relative_to(inbox)))
            if progress:
                progress(len(submissions), len(submissions), "")
        finally:  # also when it is stopped in the middle, the tables tell what is done
            result = run.result(monotonic() - started)
            write_tables(result, folder)
    return result


@dataclass
class Run:
    """One grading run over one class folder; the only writer to it."""

    folder: ClassFolder
    nbgrader: Nbgrader
    class_code: str | None
    limits: Limits
    problems: list[Problem] = field(default_factory=list)
    unchanged: int = 0
    masters: dict[str, Master | GradebookError] = field(default_factory=dict)

    def one(self, submission: Submission, file: str) -> None:
        """Grade one submission, or note why not. What goes wrong with it never stops the others."""
        try:
            self._grade(submission)
        except (IntakeError, GradebookError) as error:
            self._not_graded(submission, file, str(error))
        except Exception as error:  # a notebook of a kind nobody thought of must not stop the class
            self.nbgrader.log.exception("%s", file)
            reason = f"could not be graded ({type(error).__name__}: {error}); more in {self.folder.log}"
            self._not_graded(submission, file, " ".join(reason.split()))

    def _not_graded(self, submission: Submission, file: str, reason: str) -> None:
        stands = self.folder.record(submission.learner, submission.exercise).exists()
        also = "; the marks of an earlier file stand" if stands else ""
        self.problems.append(Problem(submission.learner, submission.exercise, file, f"{reason}{also}"))

    def _grade(self, submission: Submission) -> None:
        learner, exercise = submission.learner, submission.exercise
        raw, cells = read_cells(submission.path)
        master = self._master(exercise)
        source = self._fingerprint(raw, master)
        if self._stands(learner, exercise, source):
            self.unchanged += 1
            if any(score.by_hand for score in self.nbgrader.scores(learner, exercise).values()):
                self.nbgrader.feedback(learner, exercise)
            return
        notebook, flags = rebuild(cells, master)
        flags += self._take_in(submission, raw, notebook)
        job = worker.Job(learner, exercise, notebook, master.checks, source, self.class_code, self.limits)
        graded = worker.grade(job)
        self.folder.keep(self.folder.autograded(learner, exercise))
        self.nbgrader.save(learner, exercise, graded.notebook)
        self.nbgrader.feedback(learner, exercise)
        self.folder.write(self.folder.record(learner, exercise), graded.record.flagged(flags).to_json())

    def _master(self, exercise: str) -> Master:
        """The exercise from the gradebook, which is given the exercise if it lacks it."""
        if exercise not in self.masters:
            try:
                self.nbgrader.ensure_assignment(exercise)
                self.masters[exercise] = self.nbgrader.master(exercise)
            except GradebookError as error:
                self.masters[exercise] = error
        found = self.masters[exercise]
        if isinstance(found, GradebookError):
            raise found
        return found

    def _fingerprint(self, raw: bytes, master: Master) -> str:
        parts = (str(FORMAT), __version__, master.fingerprint, str(self.class_code), hashlib.sha256(raw).hexdigest())
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()

    def _stands(self, learner: str, exercise: str, source: str) -> bool:
        """Whether this very work is graded already, here and in the gradebook."""
        record = load(self.folder.record(learner, exercise))
        if record is None or record.source != source or not self.folder.autograded(learner, exercise).exists():
            return False
        return bool(self.nbgrader.scores(learner, exercise))

    def _take_in(self, submission: Submission, raw: bytes, notebook: bytes) -> tuple[Flag, ...]:
        """Keep the file as it came, and lay the rebuilt one, with its time, where nbgrader looks for it."""
        learner, exercise = submission.learner, submission.exercise
        self.folder.write(self.folder.received(learner, exercise), raw)
        file = self.folder.submitted(learner, exercise)
        self.folder.write(file, notebook)
        timestamp = file.with_name("timestamp.txt")
        handed_in = submission.timestamp.read_bytes()[:100] if submission.timestamp else b""
        if is_time(handed_in):
            self.folder.write(timestamp, handed_in)
            return ()
        if timestamp.exists():
            self.folder.keep(timestamp)
            timestamp.unlink()
        return (Flag("time", "its timestamp.txt holds no time, so none was taken"),) if handed_in else ()

    def result(self, seconds: float) -> ClassResult:
        """All records of the class folder with the gradebook's points, so that marks set by hand are seen."""
        records = []
        for file in sorted((self.folder.path / "records").glob("*/*.json")):
            record = load(file)
            if record:
                records.append(self._with_scores(record))
        records.sort(key=lambda r: (r.exercise, r.learner))
        return ClassResult(self.folder.path, tuple(records), tuple(self.problems), self.unchanged, seconds)

    def _with_scores(self, record: Record) -> Record:
        scores = self.nbgrader.scores(record.learner, record.exercise)
        cells = {check: cell for cell, check in self._master(record.exercise).checks.items()}
        rows = []
        for row in record.rows:
            score = scores.get(cells.get(row.check, ""))
            rows.append(replace(row, points=score.points, by_hand=score.by_hand) if score else row)
        return replace(record, rows=tuple(rows))


def _require_apart(inbox: Path, root: Path, class_folder: Path) -> None:
    """Results must not land among the submissions, nor the course be taken for a learner's work."""
    inside = inbox.is_relative_to(class_folder) and inbox.relative_to(class_folder).parts[:1] != ("inbox",)
    if inside or root.is_relative_to(inbox):
        raise ValueError(
            f"{inbox} cannot be graded: give a folder that holds nothing but submissions, apart from the course and "
            f"from the class folder ({class_folder}), or its inbox"
        )


def _refused(item: Refused, inbox: Path) -> Problem:
    return Problem(item.learner, item.exercise, str(item.path.relative_to(inbox)), item.reason)


@contextmanager
def _log_to(file: Path) -> Iterator[logging.Logger]:
    """A logger for nbgrader and for warnings that writes to a file and not to the terminal."""
    log, warned = logging.getLogger(LOGGER), logging.getLogger("py.warnings")
    handler = logging.FileHandler(file, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    log.setLevel(logging.INFO)
    before = log.propagate, warned.propagate
    log.propagate = warned.propagate = False
    with warnings.catch_warnings():
        warnings.simplefilter("default")
        logging.captureWarnings(True)
        log.addHandler(handler)
        warned.addHandler(handler)
        try:
            yield log
        finally:
            warned.removeHandler(handler)
            log.removeHandler(handler)
            handler.close()
            logging.captureWarnings(False)
            log.propagate, warned.propagate = before
