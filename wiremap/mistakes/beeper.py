"""The beeper of the meter at hand: what its sound and its silence leave possible."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from wiremap.entries.numbers import figure
from wiremap.evidence import BEEP_SURE_OHMS, SILENT_SURE_OHMS, says
from wiremap.evidence.answer_figures import FIGURES
from wiremap.model import Entry, EntryKind, Seen, Span

ABOUT = "beeper"  # what an answer in a notebook speaks of that tells the beeper's limit in ohms
MARGIN = 4.0  # a way over ohms is told from metal by silence only above so many times the limit
SURE_SHARE = BEEP_SURE_OHMS / SILENT_SURE_OHMS  # of the limit; below that it surely sounds


@dataclass(frozen=True, slots=True)
class Beeper:
    """A beeper that sounds up to about `limit_ohms`; `stated`: somebody has told that limit."""

    limit_ohms: float = SILENT_SURE_OHMS
    stated: bool = False

    def __post_init__(self) -> None:
        if not 0 < self.limit_ohms < math.inf:
            raise ValueError(f"a beeper sounds up to some ohms (got {self.limit_ohms!r})")

    @property
    def sounds_ohms(self) -> float:
        """Below this it surely sounds [ohm]."""
        return min(BEEP_SURE_OHMS, SURE_SHARE * self.limit_ohms)

    @property
    def silent_ohms(self) -> float:
        """Above this it is surely silent [ohm]."""
        return MARGIN * self.limit_ohms

    @property
    def told(self) -> str:
        """What is assumed of it."""
        whose = "as stated" if self.stated else "assumed; say what yours does, with a resistor"
        return (
            f"the beeper sounds up to {self.limit_ohms:g} ohm ({whose}); "
            f"where another way is below {self.silent_ohms:g} ohm, ohms are read"
        )

    @property
    def brief(self) -> str:
        """Its limit in few words."""
        assumed = "" if self.stated else " (assumed)"
        return f"the beeper sounds up to {self.limit_ohms:g} ohm{assumed}"

    def says(self, entry: Entry) -> Span | None:
        """The true ohms that a reading leaves possible; None when it says nothing of ohms."""
        if entry.ohms is None and entry.seen == Seen.BEEP:
            return Span(0.0, self.silent_ohms)
        if entry.ohms is None and entry.seen == Seen.SILENT:
            return Span(self.sounds_ohms, math.inf)
        return says(entry)

    def fits(self, entry: Entry, true: Span) -> bool:
        """Whether a reading may come from a true band of ohms; an unsure reading always may."""
        said = self.says(entry)
        return said is None or said.overlaps(true)


def beeper_of(entries: Iterable[Entry]) -> Beeper:
    """The beeper that the last answer about it tells, otherwise the assumed one."""
    beeper = Beeper()
    for entry in entries:
        if entry.kind == EntryKind.ANSWER and entry.about == ABOUT:
            ohms = figure(entry.answer.strip(), FIGURES[ABOUT])
            if ohms is not None:
                beeper = Beeper(ohms, stated=True)
    return beeper
