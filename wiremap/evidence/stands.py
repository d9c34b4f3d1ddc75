"""Answers to which somebody stands against what was asked back: a strange figure, a meter."""

from __future__ import annotations

from wiremap.model import Entry, says_what

SURE = "sure:"  # begins the words how an answer was found, of one who was asked back


def sure(how: str) -> str:
    """How it was found, of a person who was asked back and stands to it."""
    return f"{SURE} {without_sure(how)}"


def without_sure(how: str) -> str:
    """How it was found, without the word that stands to it."""
    said = how.strip()
    return said[len(SURE) :].strip() if said.casefold().startswith(SURE) else said


def stands_to(how: str) -> bool:
    """Whether somebody who was asked back stands to an answer, and says how it was found."""
    return how.strip().casefold().startswith(SURE) and says_what(without_sure(how))


def outweighs_meter(entry: Entry) -> bool:
    """Whether an answer stands against a reading: a licensed person's, or one asked back."""
    licensed = bool(entry.licence) and says_what(entry.how or entry.why)
    return licensed or stands_to(entry.how)
