"""``phasorkit grade``: see `phasorkit.course.grading.command`."""

from phasorkit.course.grading.command import add_arguments, run

HELP = "grade a folder of submissions into a gradebook, a CSV and feedback pages"

__all__ = ["HELP", "add_arguments", "run"]
