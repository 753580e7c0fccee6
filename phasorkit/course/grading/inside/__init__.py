"""What runs on the learner's side of the wall: the process that forks kernels, their walls, and the kernel itself.

Nothing here is trusted by the other side (`phasorkit.course.grading.warm`) once a learner's cell has run.
"""
