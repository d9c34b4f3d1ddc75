"""Sets a sheet: blocks become pieces, pieces fill pages, every page gets its head and foot."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from types import MappingProxyType
from typing import Any

from wiremap.content.face_pieces import FaceBlock
from wiremap.content.fitted import FittedCard
from wiremap.content.pieces import (
    Block,
    Flags,
    FusePlot,
    HandStrip,
    Ledger,
    LeftOutRow,
    Section,
    Sheet,
    Strip,
    TextPiece,
    Warning,
    WireTable,
)
from wiremap.content.steps import Steps, TwoNames
from wiremap.sheet.elements import Draw, Piece, heading, paragraph, warning
from wiremap.sheet.faces import face_pieces
from wiremap.sheet.fitted_card import fitted_card
from wiremap.sheet.flags import flag_pieces
from wiremap.sheet.frame import BOTTOM, TOP, foot, head, hold_across
from wiremap.sheet.handstrip import hand_strip
from wiremap.sheet.ink import Ink
from wiremap.sheet.ledger import ledger
from wiremap.sheet.plot import fuse_plot
from wiremap.sheet.strip import strip_pieces
from wiremap.sheet.tally import Tally
from wiremap.sheet.twonames import two_names
from wiremap.sheet.wiretable import left_out_row, wire_table
from wiremap.sheet.worksteps import step_pieces

NEAR_MM = 1e-6  # what sums of lengths may be out by
ABOVE_MM = 1.5  # over a heading that goes on below another section
LEAST_FULL, HALF_FULL = 1 / 3, 1 / 2  # of a page: with more on it a section begins a new one

PIECES: Mapping[type[Block], Callable[[Any], list[Piece]]] = MappingProxyType(
    {
        TextPiece: paragraph,
        Warning: warning,
        WireTable: wire_table,
        LeftOutRow: left_out_row,
        Strip: strip_pieces,
        Ledger: ledger,
        FusePlot: fuse_plot,
        HandStrip: hand_strip,
        Flags: flag_pieces,
        Steps: step_pieces,
        TwoNames: two_names,
        FittedCard: fitted_card,
    }
)


@dataclass(frozen=True, slots=True)
class PlacedDrawing:
    """A drawing with its place on the page [mm]."""

    x: float
    y: float
    draw: Draw


@dataclass
class SetPage:
    """What one page holds."""

    marks: list[PlacedDrawing] = field(default_factory=list)
    cut_up: bool = False


def render(sheet: Sheet, paper: str = "a4") -> bytes:
    """The sheet as a PDF on `a4` or `letter`, the same bytes for the same sheet."""
    ink = Ink(paper, sheet.head.title)
    pages = lay_out(sheet)
    for n, page in enumerate(pages, 1):
        if n > 1:
            ink.next_page()
        if sheet.head.held:
            hold_across(ink)
        head(ink, sheet.head)
        for mark in page.marks:
            mark.draw(ink, mark.x, mark.y)
        foot(ink, sheet.head, f"page {n} of {len(pages)}")
    return ink.finish()


def lay_out(sheet: Sheet) -> list[SetPage]:
    """Every page of the sheet, not yet drawn."""
    blocks = [block for section in sheet.sections for block in section.blocks]
    flow = _Flow(Tally(stops=sum(map(_asks, blocks))))
    for section in sheet.sections:
        flow.section(section)
    return flow.pages or [SetPage()]


def _asks(block: Block) -> bool:
    """Whether a step of a block asks how many boxes were wrong or left open so far."""
    return isinstance(block, (Steps, TwoNames)) and any(step.counts for step in block.steps)


class _Flow:
    """Fills pages from top to bottom."""

    def __init__(self, tally: Tally) -> None:
        self.tally = tally
        self.pages: list[SetPage] = []
        self.y = BOTTOM
        self.first_faces: Sequence[Piece] = ()  # the section's, if its further pages repeat them
        self.again: Sequence[Piece] = ()  # `first_faces`, once they stand on a page
        self.at_face = False  # what is left of the section is done at its faces
        self.begun = False  # something of the section stands on a page
        self.below = 0.0  # room under the last piece, which one with a rule above it takes

    def section(self, section: Section) -> None:
        """Set one section, its faces beside each other."""
        self.begun = False
        self.again = self.first_faces = ()
        pieces = self._made(section)
        apart = not self.pages or section.stop or self.pages[-1].cut_up
        if apart or not self._goes_below(pieces, section):
            self._page(section)
        elif self.y > TOP:
            self.y += ABOVE_MM
        self._pieces(pieces, section)

    def _goes_below(self, pieces: Sequence[Piece], section: Section) -> bool:
        """Whether a section goes on below what stands on the page.

        A `whole` section does where it fits, and one that is not `fresh` always does.  A fresh
        one does where it fits, or where at most a third of the page is used; half of it, where
        the section is longer than a page.
        """
        need = ABOVE_MM + sum(piece.height for piece in pieces) + self.tally.room(pieces)
        if section.whole:
            return self.y + need <= BOTTOM
        if not section.fresh:
            return True
        used = (self.y - TOP) / (BOTTOM - TOP)
        most = LEAST_FULL if TOP + need <= BOTTOM else HALF_FULL
        return used <= most or self.y + need <= BOTTOM

    def _made(self, section: Section) -> list[Piece]:
        """The pieces of a section, its heading first."""
        pieces: list[Piece] = []
        if section.title:
            pieces = heading(_title(section), section.lead, side=section.drawn_from)
        for kind, group in groupby(section.blocks, type):
            blocks: list[Any] = list(group)
            if kind is FaceBlock:
                faces = face_pieces(blocks)
                if _has_work(section, blocks[-1]):
                    faces = [*faces[:-1], replace(faces[-1], keep=True)]
                if section.faces_again and not self.first_faces:
                    faces = [*(replace(face, keep=True) for face in faces[:-1]), *faces[-1:]]
                    self.first_faces = faces  # one group: a page that goes on repeats all of it
                pieces += faces
            else:
                pieces += [piece for block in blocks for piece in PIECES[kind](block)]
        return pieces

    def _page(self, section: Section) -> None:
        """Begin a page; the heading stands on it again where the section goes on."""
        if self.pages and not self.pages[-1].cut_up:
            for row in self.tally.row(len(self.pages)):
                self.pages[-1].marks.append(PlacedDrawing(0.0, BOTTOM - row.height, row.draw))
        self.pages.append(SetPage(cut_up=section.cut_up))
        self.y, self.below = TOP, 0.0
        if self.begun and section.title:
            self._put(heading(_title(section), side=section.drawn_from, again=True))
            if self.at_face:
                self._put(self.again)

    def _put(self, pieces: Sequence[Piece]) -> None:
        for piece in pieces:
            if piece.ruled:
                self.y -= self.below
            self.pages[-1].marks.append(PlacedDrawing(0.0, self.y, piece.draw))
            self.tally.note(piece, len(self.pages))
            self.y += piece.height
            self.below = piece.below
            if self.first_faces and piece is self.first_faces[0]:
                self.again = self.first_faces

    def _pieces(self, pieces: Sequence[Piece], section: Section) -> None:
        """Set pieces one below another, those that keep to each other on one page."""
        together: list[Piece] = []
        last = max((n for n, piece in enumerate(pieces) if piece.at_face), default=-1)
        for n, piece in enumerate(pieces):
            together.append(piece)
            if not piece.keep:
                self.at_face = n - len(together) < last
                self._together(together, section)
                together = []
        if together:
            self._together(together, section)

    def _together(self, pieces: Sequence[Piece], section: Section) -> None:
        need = sum(piece.height for piece in pieces) + self.tally.room(pieces)
        if need > BOTTOM - TOP and len(pieces) > 1:  # more than a page: parted where it must be
            for piece in pieces:
                self._together((piece,), section)
            return
        if self.y + need > BOTTOM + NEAR_MM and self.y > TOP + 0.1:
            self._page(section)
            self._put(pieces[0].over)
        self.begun = True
        self._put(pieces)


def _has_work(section: Section, face: FaceBlock) -> bool:
    """Whether a face is for what stands behind it: then it stays with that."""
    behind = section.blocks[section.blocks.index(face) + 1 :]
    return bool(behind) and not (isinstance(behind[0], Steps) and behind[0].with_next)


def _title(section: Section) -> str:
    """The heading, behind the number of its stage."""
    return f"{section.name}  {section.title}" if section.name else section.title
