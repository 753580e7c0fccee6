"""Grade a folder of submissions: read, let workers mark, and write each result, one writer for all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from time import monotonic

from phasorkit.course.class_marks import FILE, read_marks
from phasorkit.course.grading.archive import opened
from phasorkit.course.grading.button import Settings, write_settings
from phasorkit.course.grading.folder import ClassFolder, GradebookError, GradebookLocked
from phasorkit.course.grading.gathered import gather
from phasorkit.course.grading.gradebook import Nbgrader
from phasorkit.course.grading.handed_in import IntakeError, read_file
from phasorkit.course.grading.intake import Submission, match, shown_path
from phasorkit.course.grading.journal import Journal
from phasorkit.course.grading.kernel import Kernels, Limits
from phasorkit.course.grading.lock import only_grader
from phasorkit.course.grading.logs import log_to
from phasorkit.course.grading.own_code import told_of_library
from phasorkit.course.grading.pool import Outcome, Workers, local_workers, outcomes
from phasorkit.course.grading.rebuild import Flag, Master, put_on_release
from phasorkit.course.grading.records import ClassResult, Problem, load
from phasorkit.course.grading.report import write_tables
from phasorkit.course.grading.taking_in import as_known, fingerprint, lay_out, not_matched, require_apart
from phasorkit.course.grading.unread import nothing_read, unread
from phasorkit.course.grading.worker import Graded, Job
from phasorkit.course.model import tasks

Progress = Callable[[int, int, str], None]
"""Called with how many are done, of how many, and what has just been done."""

TABLES_EVERY = 20.0
"""The tables are written this often while a long run goes on [s]."""


def grade_folder(
    inbox: Path,
    *,
    root: Path,
    class_folder: Path,
    class_code: str | None = None,
    limits: Limits | None = None,
    kernels: Kernels = Kernels.SANDBOX,
    workers: AbstractContextManager[Workers] | None = None,
    progress: Progress | None = None,
) -> ClassResult:
    """Grade every submission in a folder, and leave what it cannot grade with a reason.

    Parameters
    ----------
    inbox : Path
        Folder of submissions, see `phasorkit.course.grading.intake.match`, or a zip file of one. It is only read.
    root : Path
        The course: ``solutions/``, ``exercises/``, ``nbgrader_config.py``.
    class_folder : Path
        Where gradebook, marked notebooks, feedback and tables go; made where missing. What a run replaces is kept in
        its ``backups``.
    class_code : str, optional
        The class's code; a notebook that says another one is flagged. None: not compared.
    limits : Limits, optional
        What a notebook may use.
    kernels : Kernels
        Where learners' cells run; only the sandbox protects the machine.
    workers : context manager of Workers, optional
        Who runs them; by default one process of this machine.
    progress : function, optional
        See `Progress`.

    Returns
    -------
    ClassResult
        All records of the class folder, those of earlier runs included, and what was not graded.

    Raises
    ------
    FileNotFoundError
        No such inbox.
    ValueError
        A file of marks that cannot be used, a zip file that is not opened, or an inbox that lies inside the class
        folder (but for its ``inbox``) or holds the course itself.
    Busy
        Somebody else grades this class now.
    GradebookError, OSError
        The gradebook cannot be opened or is locked or damaged, or nothing can be written to the class folder. What
        was graded until then is kept, and the next run goes on from there.

    Notes
    -----
    A submission that has not changed since it was graded is not graded again. Only this process writes to the class
    folder; workers get bytes and give bytes.
    """
    if not inbox.exists():
        raise FileNotFoundError(f"there is no folder and no file {inbox}")
    started = monotonic()
    folder = ClassFolder.at(class_folder)
    require_apart(inbox.resolve(), root.resolve(), folder.path)
    exercises = [name for name in tasks() if (root / "solutions" / name).is_dir()]
    with (
        only_grader(folder.path, "phasorkit grade"),
        log_to(folder.log) as log,
        folder.tidied(),
        opened(inbox, exercises, folder.passing / "inbox") as (place, left_out),
    ):
        folder.require_sound()
        folder.keep_gradebook()
        marks, limits = read_marks(folder.path / FILE), limits or Limits()
        run = Run(folder, Nbgrader(root, folder, log, marks), class_code, limits, kernels, progress=progress)
        write_settings(folder, Settings.of(class_code, kernels, limits))
        submissions, refused = match(place, exercises)
        run.problems += [not_matched(item, place) for item in [*refused, *left_out]]
        try:
            with workers or local_workers(1, kernels) as those:
                run.all_of(as_known(submissions, run.known()), place, those)
        except BaseException:  # also when it is stopped in the middle, the tables tell what is done
            with suppress(GradebookError, OSError):
                write_tables(run.result(monotonic() - started), folder, root=root)
            raise
        write_tables(result := run.result(monotonic() - started), folder, root=root)
        folder.require_sound()
    return result


@dataclass
class Run:
    """One grading run over one class folder; the only writer to it."""

    folder: ClassFolder
    nbgrader: Nbgrader
    class_code: str | None
    limits: Limits
    kernels: Kernels
    problems: list[Problem] = field(default_factory=list)
    unchanged: int = 0
    masters: dict[str, Master | GradebookError] = field(default_factory=dict)
    progress: Progress | None = None
    done: int = 0
    total: int = 0
    files: dict[tuple[str, str], str] = field(default_factory=dict)
    flags: dict[tuple[str, str], tuple[Flag, ...]] = field(default_factory=dict)
    unread: dict[tuple[str, str], str] = field(default_factory=dict)
    tables: float = field(default_factory=monotonic)

    def all_of(self, submissions: list[Submission], inbox: Path, workers: Workers) -> None:
        """Grade these: what a worker has done is kept in the journal at once, and entered one after the other."""
        self.total = len(submissions)
        self.files = {(s.learner, s.exercise): shown_path(s.path, inbox) for s in submissions}
        self._tell("")
        for batch in outcomes(self._jobs(submissions), workers, self.nbgrader.get_ready):
            done = [(job, self._flagged(job, outcome)) for job, outcome in batch]
            for _, outcome in done:
                if isinstance(outcome, Graded):
                    self.journal.put(outcome)
                    self.nbgrader.log.info("worked out %s %s", outcome.record.learner, outcome.record.exercise)
            for job, outcome in done:
                self._enter(job, outcome)

    def known(self) -> set[str]:
        """Ids of the learners that the class folder has."""
        there = self.nbgrader.learners() if self.folder.gradebook.exists() else set()
        return there | {place.name for place in (self.folder.path / "submitted").glob("*")}

    def _flagged(self, job: Job, outcome: Outcome) -> Outcome:
        """A result with what was noticed when the work was taken in."""
        if not isinstance(outcome, Graded):
            return outcome
        flags = self.flags.pop((job.learner, job.exercise), ())
        return replace(outcome, record=outcome.record.flagged(flags))

    @property
    def journal(self) -> Journal:
        """Results that are not in the gradebook yet."""
        return Journal(self.folder.journal)

    def _jobs(self, submissions: list[Submission]) -> Iterator[Job]:
        """What the workers have to do: nothing for work that is graded, or whose result waits in the journal."""
        there = self.folder.gradebook.exists()
        scores, commented = (self.nbgrader.scores(), self.nbgrader.commented()) if there else ({}, set())
        for submission in submissions:
            learner, exercise = submission.learner, submission.exercise
            with self._each(learner, exercise):
                job = self._job(submission, bool(scores.get((learner, exercise))))
                if job is None:
                    self.unchanged += 1
                    by_hand = any(score.by_hand for score in scores.get((learner, exercise), {}).values())
                    if by_hand or (learner, exercise) in commented:
                        self.nbgrader.feedback(learner, exercise)
                    self._tell(f"{learner} {exercise}: as before")
                elif reason := self.unread.get((learner, exercise)):
                    self._enter(job, self._flagged(job, unread(job, reason)))
                elif (waiting := self.journal.get(learner, exercise, job.source)) is not None:
                    self._enter(job, waiting)
                else:
                    yield job

    def _job(self, submission: Submission, scored: bool) -> Job | None:
        """A worker's job, with the submission laid where nbgrader looks for it; None when it is graded already."""
        learner, exercise = submission.learner, submission.exercise
        handed = read_file(submission.path)
        master = self._master(exercise)
        source = fingerprint(handed, master, self.class_code, self.nbgrader.marks)
        record = load(self.folder.record(learner, exercise))
        stands = record is not None and record.source == source and scored
        if stands and self.folder.autograded(learner, exercise).exists():
            self.journal.drop(learner, exercise)
            return None
        if handed.trouble:
            if scored and record is not None and not nothing_read(record.flags):
                raise IntakeError(handed.trouble)
            self.unread[learner, exercise] = handed.trouble
        notebook, flags = put_on_release(handed, master)
        self.flags[learner, exercise] = flags + lay_out(self.folder, submission, handed, notebook)
        noticed = told_of_library(notebook, master.release, master.checks)
        return Job(
            learner, exercise, notebook, master.checks, source, self.class_code, self.limits, self.kernels,
            self.nbgrader.marks, noticed,
        )  # fmt: skip

    def _enter(self, job: Job, outcome: Outcome) -> None:
        """Enter a result into the gradebook, and write the feedback and, last of all, the record."""
        with self._each(job.learner, job.exercise):
            if not isinstance(outcome, Graded):
                raise outcome
            self.folder.keep(self.folder.autograded(job.learner, job.exercise))
            self.nbgrader.save(job.learner, job.exercise, outcome.notebook)
            self.nbgrader.feedback(job.learner, job.exercise)
            record = outcome.record
            self.folder.write(self.folder.record(job.learner, job.exercise), record.to_json())
            self.journal.drop(job.learner, job.exercise)
            self._tell(f"{job.learner} {job.exercise}: {record.points:g} of {record.maximum:g}")

    @contextmanager
    def _each(self, learner: str, exercise: str) -> Iterator[None]:
        """What goes wrong with one submission becomes its problem and does not stop the others, unless it would them.

        A disk that is full, or a gradebook that is locked, is nobody's fault here: the run stops, and loses nothing.
        """
        try:
            yield
        except GradebookLocked:
            raise
        except (IntakeError, GradebookError) as error:
            self.folder.require_room()
            self._not_graded(learner, exercise, str(error))
        except Exception as error:  # a notebook of a kind nobody thought of must not stop the class
            self.folder.require_room()
            self.nbgrader.log.exception("%s %s", learner, exercise)
            reason = f"could not be graded ({type(error).__name__}: {error}); more in {self.folder.log}"
            self._not_graded(learner, exercise, " ".join(reason.split()))

    def _not_graded(self, learner: str, exercise: str, reason: str) -> None:
        stands = self.folder.record(learner, exercise).exists()
        also = "; the marks of an earlier file stand" if stands else ""
        self.problems.append(Problem(learner, exercise, self.files[learner, exercise], f"{reason}{also}"))
        self._tell(f"{learner} {exercise}: not graded")

    def _tell(self, what: str) -> None:
        """Report one more that is done (none yet where `what` is empty), and now and then write the tables."""
        self.done += bool(what)
        if self.progress:
            self.progress(self.done, self.total, what)
        if monotonic() - self.tables > TABLES_EVERY:
            with suppress(GradebookError, OSError):  # one that somebody has open is no fault of this learner's work
                write_tables(self.result(0.0), self.folder)
            self.tables = monotonic()

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

    def result(self, seconds: float) -> ClassResult:
        """See `gathered.gather`; with what this run could not grade."""
        records, problems = gather(self.folder, self.nbgrader.scores(), self.nbgrader.late_penalties())
        told = {(problem.learner, problem.exercise) for problem in self.problems}
        problems = [problem for problem in problems if (problem.learner, problem.exercise) not in told]
        return ClassResult(
            self.folder.path, tuple(records), (*self.problems, *problems), self.unchanged, seconds, self.nbgrader.marks
        )
