"""What there is at the bench to hold several circuits at once: mating halves, insulated clips."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from wiremap.model import Entry, EntryKind

ABOUT = "equipment"  # what an answer in a notebook speaks of that tells it
EXAMPLE = "mating half, 12 clips"
WORDS = (
    "a mating half (with leads), a number of clips (insulated, for bare barrels), "
    "both joined by `and`, neither"
)
MOST_CLIPS = 1000  # nobody has so many
_CLIPS = re.compile(r"(?P<clips>\d{1,4})\s*(?:insulated\s+)?clips?", re.IGNORECASE)
_HALF = re.compile(r"(?:a\s+)?mating\s+hal(?:f|ves)(?:\s+with\s+leads)?", re.IGNORECASE)
_NEITHER = frozenset({"neither", "none", "nothing"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """Mating halves with leads for the unmated faces, and so many insulated clips for barrels.

    `clips` None: as many as are wanted.
    """

    halves: bool = False
    clips: int | None = 0

    def __post_init__(self) -> None:
        if self.clips is not None and not 0 <= self.clips <= MOST_CLIPS:
            raise ValueError(f"from 0 to {MOST_CLIPS} clips (got {self.clips!r})")

    @property
    def holds(self) -> bool:
        """Whether several circuits can be held at once."""
        return self.halves or self.clips is None or self.clips > 1

    @property
    def told(self) -> str:
        """What there is, in words."""
        parts = ["mating halves with leads"] if self.halves else []
        if self.clips is None:
            parts.append("as many clips as are wanted")
        elif self.clips:
            parts.append(f"{self.clips} insulated clips")
        return ", ".join(parts) or "neither a mating half nor clips"


def read_equipment(text: str) -> Equipment | None:
    """What an answer says there is; None if it says nothing of the kind.

    >>> read_equipment("a mating half with leads, 12 clips")
    Equipment(halves=True, clips=12)
    """
    said = text.strip()
    if said.casefold() in _NEITHER:
        return Equipment()
    halves = False
    clips: list[int] = []
    for part in re.split(r"\s*(?:,|\+|\band\b)\s*", said):
        counted = _CLIPS.fullmatch(part)
        if counted is not None:
            clips.append(int(counted.group("clips")))
        elif _HALF.fullmatch(part):
            halves = True
        else:
            return None
    return Equipment(halves=halves, clips=sum(clips)) if sum(clips) <= MOST_CLIPS else None


def equipment_of(entries: Iterable[Entry]) -> Equipment | None:
    """The equipment that the last answer about it tells; None if nobody has told it."""
    last: Equipment | None = None
    for entry in entries:
        if entry.kind == EntryKind.ANSWER and entry.about == ABOUT:
            last = read_equipment(entry.answer) or last
    return last


def tells_equipment(text: str) -> bool:
    """Whether a text says what is at the bench."""
    return read_equipment(text) is not None
