"""Shared by all tests: hypothesis draws the same examples on every machine and never fails for slowness."""

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")
