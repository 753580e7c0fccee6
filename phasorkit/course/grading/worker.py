"""The grading worker: a notebook in, a marked notebook and its record out, and nothing else touched.

The learner's cells run in a kernel of their own. A check cell never does: the one answer it names is read out of that
kernel as text, made plain data here, and marked here by `phasorkit.course.model.judge`.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from time import monotonic

from nbformat import NotebookNode

from phasorkit.course.briefs import draw_brief, normalise
from phasorkit.course.class_marks import OWN, ClassMarks
from phasorkit.course.grading.kernel import Kernel, KernelGone, Kernels, Limits, NoKernel
from phasorkit.course.grading.notebooks import dump, error, grade_id, load, printed, value
from phasorkit.course.grading.outputs import plain_outputs
from phasorkit.course.grading.reader import EXPRESSION
from phasorkit.course.grading.rebuild import Flag
from phasorkit.course.grading.records import Record, Row
from phasorkit.course.model import BLANK, Brief, Mark, Task, judge, task
from phasorkit.course.notebook import report
from phasorkit.course.parts_check import PartsCheck
from phasorkit.course.plain import PlainData, to_plain

MAX_HANDED = 1_000_000
"""Characters of an answer that are looked at; `to_plain` in the kernel keeps honest ones far below."""

NOT_BEGUN = "Not marked: the begin cell gave no learner id, so there are no numbers to mark against."


@dataclass(frozen=True)
class Job:
    """All a worker needs, and all it gets: plain values, so that it may run in another process or on another machine.

    `notebook` is the learner's work on the released exercise (see `rebuild`), `checks` the name of the check by grade
    id, `source` the fingerprint for the record, `class_code` the instructor's or None, `kernels` where cells run,
    `marks` what the class changes of the exercise's marks, `noticed` what a learner is told of library use by check.
    """

    learner: str
    exercise: str
    notebook: bytes
    checks: Mapping[str, str]
    source: str = ""
    class_code: str | None = None
    limits: Limits = field(default_factory=Limits)
    kernels: Kernels = Kernels.SANDBOX
    marks: ClassMarks = OWN
    noticed: Mapping[str, str] = field(default_factory=dict)

    @property
    def task(self) -> Task:
        """The exercise with the class's marks."""
        return self.marks.task(self.exercise)


@dataclass(frozen=True)
class Graded:
    """What a worker hands back: the marked notebook (JSON) and the record of its marks."""

    notebook: bytes
    record: Record


def grade(job: Job) -> Graded:
    """Run and mark one submission; once more where its sandbox was ended from outside.

    Raises
    ------
    NoKernel, OSError
        No kernel could be started on this machine. Whatever the notebook does is no error but a mark.
    """
    try:
        return _grade(job)
    except NoKernel:
        return _grade(job)


def _grade(job: Job) -> Graded:
    started = monotonic()
    notebook = load(job.notebook)
    marking = Marking(job)
    with _kernel(job, notebook) as kernel:
        for cell in notebook.cells:
            if cell.cell_type == "code":
                _one_cell(cell, kernel, marking)
        if kernel.gone:
            marking.flags.append(Flag("stopped", kernel.gone))
        elif kernel.stopped_cells:
            marking.flags.append(Flag("stopped", f"a cell was stopped after {job.limits.cell_seconds} s"))
    for cell in notebook.cells:
        if cell.cell_type == "code":
            _draw_case(cell, marking)
            cell.outputs = plain_outputs(cell.outputs)
    _number(notebook)
    begun = (marking.brief.learner, marking.brief.class_code) if marking.brief else None
    record = Record(
        job.learner, job.exercise, job.source, tuple(marking.rows), marking.all_flags(),
        round(monotonic() - started, 2), begun, marking.answers,
    )  # fmt: skip
    return Graded(dump(notebook), record)


def trouble(kernels: Kernels) -> str:
    """Why no such kernel can be had on this machine, in words; empty when it can."""
    if kernels != Kernels.SANDBOX:
        return ""
    from phasorkit.course.grading.warm import usable_walls

    try:
        usable_walls()
    except (NoKernel, OSError) as error:
        return str(error)
    return ""


def _kernel(job: Job, notebook: NotebookNode) -> AbstractContextManager[Kernel]:
    if job.kernels == Kernels.FRESH:
        from phasorkit.course.grading.fresh import fresh_kernel

        return fresh_kernel(notebook, job.limits)
    from phasorkit.course.grading.warm import warm_kernel

    return warm_kernel(job.limits, boxed=job.kernels == Kernels.SANDBOX)


def _one_cell(cell: NotebookNode, kernel: Kernel, marking: Marking) -> None:
    name = marking.job.checks.get(grade_id(cell))
    try:
        if name is None:
            kernel.run(cell)
        else:
            variable = marking.job.task.check(name).variable
            mark = marking.mark(name, kernel.ask(EXPRESSION.format(name=json.dumps(variable))))
            write_mark(cell, name, mark, marking.job.noticed.get(name, ""))
    except KernelGone as gone:
        if name is None:
            cell.outputs = [*cell.outputs, error("NotRun", str(gone))]
        else:
            write_mark(cell, name, marking.lost(name, str(gone)))


def _draw_case(cell: NotebookNode, marking: Marking) -> None:
    """Under the feedback of a design that fails, the case in which it does, drawn to scale."""
    name = marking.job.checks.get(grade_id(cell))
    if name is None or marking.brief is None or name not in marking.answers:
        return
    check = marking.job.task.check(name)
    if isinstance(check, PartsCheck):
        from phasorkit.course.grading.drawn import case_output

        drawn = case_output(check, marking.brief, marking.answers[name])
        cell.outputs = [*cell.outputs[:1], *drawn, *cell.outputs[1:]]


class Marking:
    """Marks the answers of one notebook in order, and remembers them for follow-through."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.rows: list[Row] = []
        self.flags: list[Flag] = []
        self.answers: dict[str, PlainData] = {}
        self.begun: tuple[str, str, str] | None = None
        self.brief: Brief | None = None
        self.marked_by: dict[tuple[str, str], Brief] = {}

    def mark(self, name: str, handed: str) -> Mark:
        """Mark the answer to a check from what the kernel handed over."""
        found = decode(handed)
        if found.begun != self.begun or found.kept == 0:
            self.answers = {}
            self.begun = found.begun
            self.brief = self._drawn(found.begun)
        if self.brief is None:
            return self._entered(name, self._zero(name, NOT_BEGUN))
        if not found.answered:
            variable = self.job.task.check(name).variable
            return self._entered(name, self._zero(name, f"There is no variable called {variable}."))
        self.marked_by.setdefault(_who(self.brief), self.brief)
        self.answers[name] = found.answer
        return self._entered(name, judge(self.job.task, self.brief, name, self.answers))

    def lost(self, name: str, reason: str) -> Mark:
        """The mark of a check that was never reached."""
        return self._entered(name, self._zero(name, f"Not marked: {reason}."))

    def all_flags(self) -> tuple[Flag, ...]:
        """Everything noticed; also, who the notebook says it belongs to against who handed it in."""
        return (*self._identity(), *dict.fromkeys(self.flags))

    def _drawn(self, begun: tuple[str, str, str] | None) -> Brief | None:
        """The brief that the notebook began with, drawn here from its plain words."""
        if begun is None or begun[0] != self.job.exercise:
            return None
        try:
            return draw_brief(task(self.job.exercise), begun[1], begun[2])
        except ValueError:
            return None

    def _identity(self) -> list[Flag]:
        briefs = dict(self.marked_by)  # a notebook may begin more than once, and has answers marked by each
        flags = []
        if self.brief is not None:
            briefs[_who(self.brief)] = self.brief
        elif self.begun is not None and self.begun[0] != self.job.exercise:
            flags.append(Flag("begin", f"the notebook begins the exercise {self.begun[0][:40]!r}, not this one"))
        else:
            flags.append(Flag("begin", "the begin cell gave no learner id (left empty, deleted or failing)"))
        for brief in briefs.values():
            if normalise(brief.learner) != normalise(self.job.learner):
                text = f"the begin cell says learner {brief.learner[:40]!r}, the file is from {self.job.learner!r}"
                flags.append(Flag("learner", text))
            wanted = self.job.class_code
            if wanted is not None and normalise(brief.class_code) != normalise(wanted):
                text = f"the begin cell says class code {brief.class_code[:40]!r}, the class has {wanted!r}"
                flags.append(Flag("class code", text))
        if len(briefs) > 1:
            flags.append(Flag("begin", f"it begins {len(briefs)} times, each time with another id or class code"))
        return list(dict.fromkeys(flags))

    def _zero(self, name: str, text: str) -> Mark:
        return Mark(0.0, self.job.task.check(name).points, text, outcome=BLANK)

    def _entered(self, name: str, mark: Mark) -> Mark:
        self.rows.append(Row(name, mark.points, mark.maximum, mark.slip, mark.followed, mark.outcome, mark.text))
        return mark


def _who(brief: Brief) -> tuple[str, str]:
    """Learner and class code as they count."""
    return normalise(brief.learner), normalise(brief.class_code)


@dataclass(frozen=True)
class Handed:
    """What a kernel handed over: exercise, learner and class code it began with, answers since, and this one."""

    begun: tuple[str, str, str] | None = None
    kept: int = 0
    answered: bool = False
    answer: PlainData = None


def decode(text: str) -> Handed:
    """What the kernel handed over, as plain data; whatever is not of the agreed form is no answer.

    >>> decode(repr('{"begun": ["bridge", "app-01", "x"], "kept": 2, "answer": 3.5}'))
    Handed(begun=('bridge', 'app-01', 'x'), kept=2, answered=True, answer=3.5)
    >>> decode("<object>") == decode("'[1]'") == Handed()
    True
    """
    if len(text) > MAX_HANDED:
        return Handed()
    try:
        found = json.loads(ast.literal_eval(text))
    except (ValueError, TypeError, SyntaxError, RecursionError, MemoryError):
        return Handed()
    begun = found.get("begun") if isinstance(found, dict) else None
    if not (isinstance(begun, list) and len(begun) == 3 and all(isinstance(word, str) for word in begun)):
        return Handed()
    kept = found.get("kept")
    answer = to_plain(found.get("answer"))
    return Handed((begun[0], begun[1], begun[2]), kept if isinstance(kept, int) else 0, "answer" in found, answer)


def write_mark(cell: NotebookNode, name: str, mark: Mark, noticed: str = "") -> None:
    """Write a mark as nbgrader reads it: feedback on stdout, then the points as the cell's value, a plain float.

    `noticed` is told below the feedback.

    nbgrader gives full marks for a value it cannot read (NaN, negative, text) and stops at one above the maximum.
    """
    points = float(mark.points) if 0 <= mark.points <= mark.maximum else 0.0
    cell.outputs = [printed("\n".join([report(name, mark), *filter(None, [noticed]), ""])), value(repr(points))]


def _number(notebook: NotebookNode) -> None:
    """Number the code cells in their order, check cells included, as a run from the top would."""
    count = 0
    for cell in notebook.cells:
        if cell.cell_type == "code" and cell.source.strip():
            count += 1
            cell.execution_count = count
            for output in cell.outputs:
                if output.output_type == "execute_result":
                    output.execution_count = count
