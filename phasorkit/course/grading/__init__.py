"""Grading a class: intake, marking outside the learners' kernels, nbgrader's gradebook and feedback, the tables.

The steps, one module each: `intake` (whose work is which file), `rebuild` (put on the released exercise), `worker`
(run and mark, a pure function of bytes), `gradebook` (nbgrader's side), `run` (all of it, one writer), `report`.
"""

import sys

sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
# jsonschema, which nbformat imports, compiles the grammars of internet addresses for near a second where it finds this
# package. No notebook's format has an address in it; None is how Python is told that a module cannot be imported.
