"""How many boxes are wrong or left open, counted at the foot of each page up to the next stop.

Each page takes over what the page before it carries: nobody has to turn back.
"""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.steps import Slot, Step
from wiremap.sheet.elements import Piece
from wiremap.sheet.worksteps import PITCH_MM, one_step

TALLY_MM = PITCH_MM  # of its row at the foot of a page
HERE = "Wrong or left open on this page"
BELOW = "Wrong or left open on this page, below the stop"
CARRIED = "Wrong or left open so far: what page {before} carries{between}, and this page"
ONE_CUT, MANY_CUT = " ({last} is cut up)", " ({first} to {last} are cut up)"


class Tally:
    """From the first box after a stop on, each page up to the next stop bears the count."""

    def __init__(self, stops: int) -> None:
        self.stops = stops  # still to come, the handing over too: after it nothing is counted
        self.since = 0  # the page on which the count began, from 1; 0 while there is none
        self.carried = 0  # the last page that bears it
        self.stopped = 0  # the page of the last stop

    def room(self, pieces: Sequence[Piece]) -> float:
        """How much these pieces have to leave free at the foot of their page [mm]."""
        if any(piece.stop for piece in pieces):
            return 0.0
        counted = self.since or any(piece.counted for piece in pieces)
        return TALLY_MM if self.stops and counted else 0.0

    def note(self, piece: Piece, page: int) -> None:
        """Take note that a piece stands on a page."""
        if piece.stop:
            self.stops -= 1
            self.since, self.stopped = 0, page
        elif piece.counted and self.stops and not self.since:
            self.since = page

    def row(self, page: int) -> Sequence[Piece]:
        """The row at the foot of a page that is full; none where nothing is counted."""
        if not self.since:
            return ()
        words = BELOW if self.stopped == page else HERE
        if self.since < page:
            words = CARRIED.format(before=self.carried, between=self._cut_up(page))
        self.carried = page
        return one_step(Step(text=words, slot=Slot.BLANK))

    def _cut_up(self, page: int) -> str:
        """Which pages before this one are gone: the last that bears the count lies on top then."""
        first, last = self.carried + 1, page - 1
        if first > last:
            return ""
        return (ONE_CUT if first == last else MANY_CUT).format(first=first, last=last)
