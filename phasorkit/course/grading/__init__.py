"""Grading a class: intake, marking outside the learners' kernels, nbgrader's gradebook and feedback, the tables.

The steps, one module each: `intake` (whose work is which file), `rebuild` (put on the released exercise), `worker`
(run and mark, a pure function of bytes), `gradebook` (nbgrader's side), `run` (all of it, one writer), `report`.
"""
