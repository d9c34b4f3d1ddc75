"""How a job names a file."""

from __future__ import annotations

import os
from pathlib import PurePath


def from_job(job: str, path: str) -> str:
    """A file's path from a job's folder, with forward slashes; or whole from another drive."""
    whole = os.path.abspath(path)
    try:
        named = os.path.relpath(whole, os.path.abspath(os.path.dirname(job)))
    except ValueError:  # only where there are drives
        named = whole
    return PurePath(named.replace(os.sep, "/")).as_posix()
