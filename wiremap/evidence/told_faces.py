"""The front of a connector as somebody types it."""

from __future__ import annotations

from wiremap.entries.face_words import read_face
from wiremap.model import Job, split


def wrong_face(job: Job, about: str, text: str) -> str:
    """What is wrong with a front that was typed; empty for any other answer."""
    owner, rest = split(about)
    if rest != "face" or owner not in job.ends:
        return ""
    read = read_face(text, job.ends[owner].pinout.cavities)
    return f" ({read})" if isinstance(read, str) else ""
