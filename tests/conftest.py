"""Shared by all tests: hypothesis draws the same examples on every machine and never fails for slowness.

What a notebook keeps of a learner's progress goes to a passing folder, never to the home of whoever runs the tests.
"""

import atexit
import os
import shutil
import tempfile

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")

os.environ["PHASORKIT_PROGRESS"] = tempfile.mkdtemp(prefix="phasorkit-progress-")
atexit.register(shutil.rmtree, os.environ["PHASORKIT_PROGRESS"], ignore_errors=True)

collect_ignore = ["elsewhere"]  # to import it is to hide Linux from the project
