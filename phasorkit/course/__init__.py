"""The course: exercises with own numbers, checks that explain, lesson questions.

A notebook needs these calls::

    from phasorkit.course import begin, check, answer, hint, progress

`begin` draws the learner's numbers, `check` marks an answer, `answer` asks a lesson question,
`hint` gives a hint to a check, `progress` shows how far one is.
"""

from phasorkit.course.notebook import begin, check, hint, progress
from phasorkit.course.questions import answer

__all__ = ["answer", "begin", "check", "hint", "progress"]
