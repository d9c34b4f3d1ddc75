"""Steps of work: number, words, what is wanted, and one box or blank in the column at the right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wiremap.content.drawing import Lettering
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import listed
from wiremap.sheet.elements import HAIR, THIN, TICK_MM, WIDE, Piece, tick, title_piece
from wiremap.sheet.ink import (
    ADDRESS,
    BODY,
    DEED,
    SMALL,
    STRONG,
    Ink,
    shorten,
    shown,
    width,
    wrap,
)

PITCH_MM = 7.0  # from box to box: a missed one is seen at arm's length
HALF_PITCH_MM = PITCH_MM / 2  # what more words make a row higher by
SLOTS_MM = {Slot.BOX: TICK_MM, Slot.BLANK: 26.0, Slot.LINE: 74.0, Slot.NONE: 0.0}
WORDS_AT = 13.0  # behind the number
WORDS_TO = 164.0  # no line of words is longer than this
AIR_MM = 2.0
WANT_AIR_MM = 3.2  # between the words and what is wanted: two columns at a glance
TICKED = 0.5  # weight of a tick that the notebook has
MOST_NAME_MM = 24.0  # of a name before a box
LEAST_NAME_MM = 3.0
BASE_MM = 4.9  # from the top of a row to its first baseline
BELOW_MM = 0.8  # under the last line of words
LEAST_MM = 20.0  # words begin beside an address where this is left
MOST_LINES = 30  # of a step in one piece


def step_pieces(block: Steps) -> list[Piece]:
    """The heading, then a piece for each step; parts of one step stay together."""
    out = []
    if block.title:
        out.append(title_piece(block.title, WIDE, above=1.2, below=0.6))
    if block.lead:
        out += _lead(block.lead)
    pieces = [piece for step in block.steps for piece in one_step(step)]
    if block.title_again:  # whoever turns over reads again under which heading the rows stand
        again = title_piece(f"{block.title} (continued)", WIDE, above=1.2, below=0.6)
        pieces = [*pieces[:1], *(replace(piece, over=(again,)) for piece in pieces[1:])]
    if block.whole:
        pieces = [replace(piece, keep=True) for piece in pieces[:-1]] + pieces[-1:]
    if block.with_next:
        pieces = [replace(piece, keep=True) for piece in pieces]
    return out + _kept(block.steps, pieces)


def _lead(text: str) -> list[Piece]:
    made = wrap(text, WIDE)
    high = len(made) * BODY.line_mm + 1.0
    return [Piece(high, lambda ink, x, y: ink.lines(x, y, made), keep=True)]


def _kept(steps: Sequence[Step], pieces: Sequence[Piece]) -> list[Piece]:
    """Each step that belongs to the one above is held to it."""
    out = list(pieces)
    if len(steps) != len(pieces):
        return out
    for i, after in enumerate(steps[1:]):
        if after.with_last:
            out[i] = replace(out[i], keep=True)
    return out


def one_step(step: Step) -> list[Piece]:
    """A step as a piece; a very long one as several."""
    made = _Measured(step)
    if len(made.lines) <= MOST_LINES:
        looked = step.reading or bool(step.at or step.lines)
        ruled = not step.with_last
        open_or_not = step.slot is not Slot.NONE
        return [
            Piece(
                made.high,
                made.draw,
                ruled=ruled,
                at_face=looked,
                counted=open_or_not,
                stop=step.counts,
            )
        ]
    out = []
    for k in range(0, len(made.lines), MOST_LINES):
        part = _Measured(replace(step, note=""), made.lines[k : k + MOST_LINES], first=k == 0)
        out.append(Piece(part.high, part.draw))
    return out


@dataclass(frozen=True, slots=True)
class _Styled:
    """Words in one style."""

    text: str
    style: Lettering


_Line = tuple[_Styled, ...]


class _Measured:
    """One step, measured: its words left of what is wanted, its slot on the first row."""

    def __init__(
        self, step: Step, lines: Sequence[_Line] | None = None, *, first: bool = True
    ) -> None:
        self.step, self.first = step, first
        self.slot_mm = SLOTS_MM[step.slot]
        self.before_box, self.before_box_style = _before_box(step)
        if self.before_box:
            self.slot_mm += min(width(self.before_box, self.before_box_style), MOST_NAME_MM) + 1.0
        self.want_right = WIDE - self.slot_mm - AIR_MM  # right beside the box or the blank
        room = min(self.want_right, WORDS_TO) - WORDS_AT
        if step.want:
            room = min(room, self.want_right - width(step.want, STRONG) - WANT_AIR_MM - WORDS_AT)
        self.lines = list(_lines(step, room) if lines is None else lines)
        self.note_at = self._note_start(self.want_right - WORDS_AT if not step.want else room)
        self.note: Sequence[str] = ()
        if step.note and not self.note_at:
            self.note = wrap(step.note, room, SMALL)
        inside = sum(map(_high, self.lines)) + len(self.note) * SMALL.line_mm
        halves = math.ceil((inside + BELOW_MM) / HALF_PITCH_MM)
        self.high = max(PITCH_MM, halves * HALF_PITCH_MM)

    def _note_start(self, room: float) -> float:
        """Where the small print stands on the only line, 0 where it has no room there."""
        if len(self.lines) != 1 or not self.step.note:
            return 0.0
        used = sum(width(part.text, part.style) + AIR_MM for part in self.lines[0])
        return used if used + width(self.step.note, SMALL) <= room else 0.0

    def draw(self, ink: Ink, x: float, y: float) -> None:
        """The step with its upper left corner at (x, y)."""
        step = self.step
        base = y + BASE_MM
        if self.first:
            start = WORDS_AT if step.with_last else 0.0
            ink.across(x + start, y, WIDE - start, HAIR)
            ink.text(x, base, step.n, STRONG)
            ink.text(x + self.want_right, base, step.want, STRONG, align="right")
            self._slot(ink, x, y)
        for i, line in enumerate(self.lines):
            if i:
                base += _high(line)
            at = x + WORDS_AT
            for part in line:
                ink.text(at, base, part.text, part.style)
                at += width(part.text, part.style) + AIR_MM
        if self.note_at:
            ink.text(x + WORDS_AT + self.note_at, base, step.note, SMALL)
        for text in self.note:
            base += SMALL.line_mm
            ink.text(x + WORDS_AT, base, text, SMALL)

    def _slot(self, ink: Ink, x: float, y: float) -> None:
        right = x + WIDE
        if self.step.slot is Slot.BOX:
            self._box(ink, right - TICK_MM, y + (PITCH_MM - TICK_MM) / 2)
        elif self.step.slot is not Slot.NONE:
            size = (self.slot_mm, TICK_MM)
            ink.box(right - self.slot_mm, y + (PITCH_MM - TICK_MM) / 2, size, THIN)
            self._figure(ink, right - 1.0, y + BASE_MM - 0.2)

    def _box(self, ink: Ink, x: float, y: float) -> None:
        """The box; ticked by whose hand, where the notebook has it."""
        tick(ink, x, y)
        if not self.step.seen:
            return
        if not self.step.wrong:
            check = [(x + 1.0, y + 2.6), (x + 2.1, y + 3.9), (x + 4.1, y + 1.0)]
            ink.shape(check, TICKED, close=False)
        words = shorten(self.before_box, MOST_NAME_MM, self.before_box_style)
        ink.text(x - 1.0, y + 3.6, words, self.before_box_style, align="right")

    def _figure(self, ink: Ink, right: float, base: float) -> None:
        """The unit of what is written in, or what the notebook has."""
        if not self.step.seen:
            ink.text(right, base, self.step.unit, BODY, align="right")
            return
        room = self.slot_mm - 2.0
        seen = shorten(self.step.seen, room, STRONG)
        ink.text(right, base, seen, STRONG, align="right")
        room -= width(seen, STRONG) + 1.5
        if room > LEAST_NAME_MM:
            left = right - self.slot_mm + 2.0
            ink.text(left, base, shorten(self.step.by, room, SMALL), SMALL)


def _before_box(step: Step) -> tuple[str, Lettering]:
    """What stands before a box: whose hand ticked it, or what was read instead."""
    if step.slot is not Slot.BOX or not step.seen:
        return "", SMALL
    if step.wrong:
        return step.seen, STRONG
    return step.by, SMALL


def _high(line: _Line) -> float:
    return max(part.style.line_mm for part in line)


def _lines(step: Step, room: float) -> list[_Line]:
    """The step's own words, then its further lines."""
    out = _line(step.at, step.text, room) if step.at or step.text else []
    for line in step.lines:
        out += _line(line.at, listed(line.text, line.asked), room)
    return out


def _line(at: str, words: str, room: float) -> list[_Line]:
    """Addresses first, the words behind them as far as they fit, then below."""
    if not at:
        return [(_Styled(text, DEED),) for text in wrap(words, room, DEED)]
    lines: list[_Line] = [(_Styled(text, ADDRESS),) for text in wrap(at, room, ADDRESS)]
    if not words:
        return lines
    last = lines[-1][0]
    beside = room - width(last.text, ADDRESS) - AIR_MM
    rest = words
    if beside >= LEAST_MM:
        first = wrap(words, beside, DEED)[0]
        lines[-1] = (last, _Styled(first, DEED))
        rest = shown(words)[len(first) :].lstrip()
    if rest:
        lines += [(_Styled(text, DEED),) for text in wrap(rest, room, DEED)]
    return lines
