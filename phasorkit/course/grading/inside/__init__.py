"""What runs on the learner's side of the wall: the process that forks kernels, their walls, and the kernel itself.

Nothing here is trusted by the other side (`phasorkit.course.grading.warm`) once a learner's cell has run.
"""

WALLED, HALF, OPEN = "walled", "half", "open"
"""Kernels with namespaces of their own; with those of the frame only, so one kernel for each frame; without walls."""
