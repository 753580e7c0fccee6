"""nbgrader reads this when its own commands run here: where the course lies and what a cleared answer looks like."""

from pathlib import Path

from phasorkit.course.grading.safe import make_safe
from phasorkit.course.released import prepare

root = Path(__file__).resolve().parent
c = get_config()  # noqa: F821 (traitlets gives it)

c.CourseDirectory.course_id = "phasorkit"
c.CourseDirectory.root = str(root)
c.CourseDirectory.source_directory = "solutions"
c.CourseDirectory.release_directory = "exercises"
c.CourseDirectory.submitted_directory = "class/submitted"
c.CourseDirectory.autograded_directory = "class/autograded"
c.CourseDirectory.feedback_directory = "class/feedback"
c.CourseDirectory.solution_directory = "class/solution"
c.CourseDirectory.db_url = f"sqlite:///{(root / 'class' / 'gradebook.db').as_posix()}"
(root / "class").mkdir(exist_ok=True)  # the gradebook cannot be made in a folder that is not there

c.ClearSolutions.code_stub = {"python": "# Work it out here, and put the result in place of None."}
c.ExecutePreprocessor.timeout = 60
prepare(c)  # a class's marks (class/marks.toml) and the way to hints, in every release
make_safe(c)  # nothing a learner wrote runs in feedback pages or in formgrader

# nbgrader's own grading (formgrader's button, `nbgrader autograde`) takes the path of `phasorkit grade`: cells run in
# the sandbox, checks outside it, one grader at a time.
c.Autograde.exporter_class = "phasorkit.course.grading.button.OneAtATime"
c.Autograde.autograde_preprocessors = [
    "phasorkit.course.grading.button.Marked",
    "nbgrader.preprocessors.IgnorePattern",
    "nbconvert.preprocessors.ClearMetadataPreprocessor",
    "nbgrader.preprocessors.LimitOutput",
    "nbgrader.preprocessors.SaveAutoGrades",
    "nbgrader.preprocessors.AssignLatePenalties",
    "nbgrader.preprocessors.CheckCellMetadata",
]
