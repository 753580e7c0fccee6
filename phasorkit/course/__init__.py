"""The course: exercises with own numbers, checks that explain, lesson questions.

A notebook needs three calls::

    from phasorkit.course import begin, check, answer

`begin` draws the learner's numbers, `check` marks an answer, `answer` asks a lesson question.
"""

from phasorkit.course.notebook import begin, check
from phasorkit.course.questions import answer

__all__ = ["answer", "begin", "check"]
