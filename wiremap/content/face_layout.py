"""Where things stand on a drawn front: shell, cavities, keyway, and the ways of the flags.

Lengths are millimetres, chosen by eye on printed sheets; y runs downwards from the top.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from wiremap.content import face_signs
from wiremap.content.drawing import Lettering, Measure, Spot, fitted
from wiremap.content.face_pieces import FaceView, Hole
from wiremap.model import KeyAt, LookedAt

BODY, STRONG = Lettering(10.0), Lettering(10.0, strong=True)
SMALL = Lettering(8.5)
PITCH, ROW_PITCH = 6.5, 6.7
FLAGS_PITCH = 9.2  # in more than two rows: flags of inner rows are led out between columns
TIGHT_FLAGS_PITCH = 7.5  # the same where both views stand abreast for it
MOST_PITCH = 22.0
RADIUS, RADIUS_LARGE = 2.65, 3.05
PAD = 3.7  # from the outer cavity's middle to the shell
PENNANT_MM = 4.4  # room beside the shell for the pennant
CLEAR, KEY_CLEAR = 0.4, 2.2  # from shell to pennant: plain, with a keyway on the left or right
OFF_SIDE = 0.6  # room on the side without the pennant
FLAG_MAX = 44.0
FLAG_AIR = 1.2  # between the shell and a flag's lead end
FLAG_GAP = 0.7  # between a lead's end and its flag
KEY_ROOM = 2.3  # more air beyond a keyway over or under the shell
NUMBER_GAP = 1.3  # from a flag's number to its words
MARK_MM = 2.4  # a diamond before a flag
ABOVE_FLAGS = 1.2
NO_FLAGS = 1.6  # room over or under the shell where no flag is led out


class Placed(NamedTuple):
    """A cavity with its row and column."""

    row: int
    column: int
    hole: Hole


class Key(NamedTuple):
    """Where the keyway sits on the shell's line, and half its length."""

    at: Spot
    half: float


def common_pitch(
    views: Sequence[FaceView], measure: Measure, flags_pitch: float = FLAGS_PITCH
) -> float:
    """From one cavity's middle to the next one's [mm], the same in every view."""
    return max((_pitch(view, measure, flags_pitch) for view in views), default=PITCH)


def _pitch(view: FaceView, measure: Measure, flags_pitch: float) -> float:
    widest = max((measure(hole.name, BODY) for hole in view.holes), default=0.0)
    flagged = any(hole.flag for hole in view.holes)
    least = PITCH
    if flagged and len(view.rows) > 2:
        least = flags_pitch
    return max(least, min(widest + 2.2, MOST_PITCH))


def parts(view: FaceView, pitch: float, room: float) -> list[FaceView]:
    """A view in as many pieces from left to right as the room asks for."""
    most = max(1, int((room - 2 * PAD - 2 * (PENNANT_MM + KEY_CLEAR)) // pitch) + 1)
    if view.columns <= most:
        return [view]
    starts = range(0, view.columns, most)
    whole = f", keyway {view.key} of the whole" if view.key else ""
    pieces = []
    for n, start in enumerate(starts, 1):
        rows = tuple(row[start : start + most] for row in view.rows)
        part = f"part {n} of {len(starts)} from the left{whole}"
        pieces.append(replace(view, rows=rows, key=None, part=part))
    return pieces


class FaceLayout:
    """Where everything of one view stands [mm]; flags of the upper half of the rows go upwards."""

    def __init__(self, view: FaceView, pitch: float, measure: Measure) -> None:
        self.view, self.pitch, self.measure = view, pitch, measure
        self.upper_rows = math.ceil(len(view.rows) / 2)
        self.from_behind = view.view == LookedAt.WIRE_ENTRY
        self.pad = PAD
        if len(view.rows) > 2 and any(hole.flag for hole in view.holes):
            self.pad = pitch / 2 + 2.0  # flags of inner rows run clear of column and shell
        self.shell_wide = (view.columns - 1) * pitch + 2 * self.pad
        self.shell_high = (len(view.rows) - 1) * ROW_PITCH + 2 * PAD
        self.first_on_right = self._first_on_right()
        aside = view.key in (KeyAt.LEFT, KeyAt.RIGHT)
        self.clear = KEY_CLEAR if aside else CLEAR
        off = KEY_CLEAR if aside else OFF_SIDE
        self.left = off if self.first_on_right else self.clear + PENNANT_MM
        self.wide = self.shell_wide + self.clear + PENNANT_MM + off
        self.top = self._flag_room(view.rows[: self.upper_rows], KeyAt.TOP)
        self.foot = self.top + self.shell_high
        self.high = self.foot + self._flag_room(view.rows[self.upper_rows :], KeyAt.BOTTOM) + 0.9

    def spot(self, row: int, column: int) -> Spot:
        """The middle of a cavity."""
        x = self.left + self.pad + column * self.pitch
        return Spot(x, self.top + PAD + row * ROW_PITCH)

    def placed(self) -> Iterator[Placed]:
        """Every cavity, row by row."""
        for row, holes in enumerate(self.view.rows):
            for column, hole in enumerate(holes):
                if hole is not None:
                    yield Placed(row, column, hole)

    def _first_on_right(self) -> bool:
        """Whether contact 1 lies in the right half."""
        for cavity in self.placed():
            if cavity.hole.first:
                return cavity.column >= self.view.columns / 2
        return False

    # -- flags ------------------------------------------------------------------------------------

    def flag_text(self, hole: Hole) -> str:
        """The words of a flag, shortened where they are very long."""
        return fitted(hole.flag, FLAG_MAX - self.measure(hole.name, STRONG), BODY, self.measure)

    def _flag_mm(self, hole: Hole) -> float:
        """How long a flag is: mark, number, words."""
        mark = MARK_MM if hole.alike else 0.0
        number = self.measure(hole.name, STRONG)
        return mark + number + NUMBER_GAP + self.measure(self.flag_text(hole), BODY)

    def _flag_room(self, rows: Sequence[Sequence[Hole | None]], side: KeyAt) -> float:
        """Room for the flags that are led out of some rows on one side."""
        holes = [hole for row in rows for hole in row if hole is not None]
        longest = max((self._flag_mm(hole) for hole in holes if hole.flag), default=0.0)
        key = KEY_ROOM if self.view.key == side else 0.0
        if not longest:
            return NO_FLAGS + key
        return FLAG_AIR + FLAG_GAP + longest + ABOVE_FLAGS + key

    def way(self, cavity: Placed) -> Iterator[Spot]:
        """From a cavity's edge to its flag; out of an inner row between the columns."""
        x, y = self.spot(cavity.row, cavity.column)
        step, side, edge = 1, KeyAt.BOTTOM, self.foot
        if self.is_up(cavity):
            step, side, edge = -1, KeyAt.TOP, self.top
        room = FLAG_AIR
        if self._behind_key(side, x):
            room += KEY_ROOM
        lead = x
        if 0 < cavity.row < len(self.view.rows) - 1:
            lead = x + self.pitch / 2
            yield Spot(x + RADIUS * 0.72, y + step * RADIUS * 0.72)
            yield Spot(lead, y + step * RADIUS * 0.95)
        else:
            yield Spot(x, y + step * RADIUS)
        yield Spot(lead, edge + step * room)

    def is_up(self, cavity: Placed) -> bool:
        """Whether a cavity's flag is led out upwards."""
        return cavity.row < self.upper_rows

    def _behind_key(self, side: KeyAt, x: float) -> bool:
        """Whether the keyway stands over a column, so that a lead passes behind it."""
        if self.view.key != side:
            return False
        key = self.key(side)
        return abs(x - key.at.x) < key.half + 0.7

    # -- the keyway -------------------------------------------------------------------------------

    def key(self, side: KeyAt) -> Key:
        """Where the keyway sits on that side."""
        beside = self._beside_key()
        if side in (KeyAt.LEFT, KeyAt.RIGHT):
            level = beside.y if beside else self.top + self.shell_high / 2
            x = self.left if side == KeyAt.LEFT else self.left + self.shell_wide
            return Key(Spot(x, level), face_signs.KEY_LONG / 2)
        share = 0.26  # narrow between two columns whose leads run beside it
        if beside is not None or self.view.columns % 2:
            share = 0.42  # over a column
        x = beside.x if beside else self.left + self.shell_wide / 2
        level = self.top if side == KeyAt.TOP else self.foot
        return Key(Spot(x, level), self.pitch * share)

    def _beside_key(self) -> Spot | None:
        """The cavity beside which the keyway sits, if that is told."""
        for cavity in self.placed():
            if cavity.hole.name == self.view.key_by:
                return self.spot(cavity.row, cavity.column)
        return None
