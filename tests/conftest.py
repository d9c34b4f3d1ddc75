"""Hypothesis draws the same examples on every run and every machine."""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.load_profile("steady")
