"""Sets a sheet: blocks become pieces, pieces fill pages, every page gets its head and foot."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from wiremap.content.pieces import (
    Block,
    Cards,
    Deeds,
    FaceBlock,
    Fill,
    Flags,
    FusePlot,
    HandStrip,
    Joints,
    Ledger,
    LeftRow,
    Section,
    Sheet,
    Step,
    Strip,
    Text,
    Warning,
    WireTable,
)
from wiremap.sheet import cards as card_room
from wiremap.sheet import deeds, faces, rows, steps, strip
from wiremap.sheet import elements as el
from wiremap.sheet.elements import Draw, Piece
from wiremap.sheet.frame import BOTTOM, TOP, foot, head
from wiremap.sheet.ink import Ink


@dataclass
class Page:
    """What one page holds: drawings with their height on the page, and the side it is drawn from."""

    drawn_from: str
    marks: list[tuple[float, float, Draw]] = field(default_factory=list)


def render(sheet: Sheet, paper: str = "a4") -> bytes:
    """The sheet as a PDF."""
    ink = Ink(paper, sheet.head.title)
    pages = lay_out(sheet)
    for n, page in enumerate(pages, 1):
        if n > 1:
            ink.next_page()
        head(ink, sheet.head)
        for x, y, draw in page.marks:
            draw(ink, x, y)
        foot(ink, sheet.head, n, len(pages), page.drawn_from)
    return ink.finish()


def lay_out(sheet: Sheet) -> list[Page]:
    """Every page of the sheet, not yet drawn."""
    flow = _Flow()
    for section in sheet.sections:
        flow.section(section)
    return flow.pages or [Page("")]


def pieces_of(block: Block) -> list[Piece]:
    """The unsplittable pieces of a block, top to bottom."""
    match block:
        case Text():
            made = el.paragraph(
                block.text,
                strong=block.strong,
                small=block.small,
                indent=block.indent_mm,
                sign=block.sign,
            )
            return [replace(piece, keep=True) for piece in made] if block.keep else made
        case Warning():
            return el.warning(block.word, block.lines)
        case WireTable():
            return rows.wire_table(block)
        case LeftRow():
            return rows.left_row(block)
        case FaceBlock():
            return faces.face_pieces([block])
        case Joints():
            return rows.joint_rows(block)
        case Strip():
            return strip.strip_pieces(block)
        case Step():
            return steps.step(block)
        case Deeds():
            return deeds.deed_pieces(block)
        case Fill():
            return steps.fill(block)
        case Ledger():
            return steps.ledger(block)
        case FusePlot():
            from wiremap.sheet.plot import fuse_plot

            return fuse_plot(block)
        case HandStrip():
            from wiremap.sheet.handstrip import hand_strip

            return hand_strip(block)
        case Flags():
            from wiremap.sheet.flags import flag_pieces

            return flag_pieces(block)
        case Cards():
            raise TypeError("cards are set in columns")


class _Flow:
    """Fills pages from top to bottom."""

    def __init__(self) -> None:
        self.pages: list[Page] = []
        self.y = BOTTOM
        self.now: Section | None = None

    def section(self, section: Section) -> None:
        """Set one section, its cards in columns."""
        self.now = None
        top = el.heading(section.title, section.lead)
        if section.fresh or not self.pages:
            self._page(section)
        elif self.y > TOP:
            self.y += 1.5
        pieces = list(top)
        grouped: list[Cards] = []
        fronts: list[FaceBlock] = []
        for block in section.blocks:
            if isinstance(block, FaceBlock):
                fronts.append(block)
                continue
            if fronts:
                pieces += faces.face_pieces(fronts)
                fronts = []
            if isinstance(block, Cards):
                grouped.append(block)
                continue
            if grouped:
                self._pieces(pieces, section)
                self._cards(grouped, section)
                pieces, grouped = [], []
            pieces += pieces_of(block)
        if fronts:
            pieces += faces.face_pieces(fronts)
        self._pieces(pieces, section)
        if grouped:
            self._cards(grouped, section)

    def _page(self, section: Section, again: bool = False) -> None:
        self.pages.append(Page(section.drawn_from))
        self.y = TOP
        if again:
            for piece in el.heading(section.title, again=True):
                self._put(piece)

    def _put(self, piece: Piece) -> None:
        self.pages[-1].marks.append((0.0, self.y, piece.draw))
        self.y += piece.height

    def _pieces(self, pieces: list[Piece], section: Section) -> None:
        i = 0
        while i < len(pieces):
            group = [pieces[i]]
            while group[-1].keep and i + len(group) < len(pieces):
                group.append(pieces[i + len(group)])
            need = sum(p.height for p in group)
            if self.y + need > BOTTOM and self.y > TOP + 0.1:
                title = bool(self.now)
                self._page(section, again=title)
                if group[0].over:
                    for piece in group[0].over:
                        self._put(piece)
            self.now = section
            for piece in group:
                self._put(piece)
            i += len(group)

    def _cards(self, blocks: list[Cards], section: Section) -> None:
        column = card_room.column_for(blocks)
        across = column.across
        items: list[tuple[float, Draw, bool]] = []
        for block in blocks:
            if block.title:
                items.append((*column.title(block.title), True))
            items += [(*column.card(card), False) for card in block.cards]
        while items:
            room = BOTTOM - self.y
            if room < 24:
                self._page(section, again=bool(self.now))
                room = BOTTOM - self.y
            self.now = section
            used = self._columns(items, column, min(room, _even(items, across, room)))
            items = items[used:]

    def _columns(
        self, items: list[tuple[float, Draw, bool]], column: card_room.CardColumn, room: float
    ) -> int:
        i, deepest = 0, 0.0
        for k in range(column.across):
            y = 0.0
            while i < len(items):
                need = items[i][0] + (items[i + 1][0] if items[i][2] and i + 1 < len(items) else 0)
                if y + need > room + 1e-6 and y > 0:
                    break
                self.pages[-1].marks.append(
                    (k * (column.wide + column.gutter), self.y + y, items[i][1])
                )
                y += items[i][0]
                i += 1
            deepest = max(deepest, y)
        self.y += deepest + 1.5
        return i


def _even(items: list[tuple[float, Draw, bool]], across: int, most: float) -> float:
    """The least depth at which all cards fit into the columns, or the most there is."""
    low = max(max(h for h, _, _ in items), sum(h for h, _, _ in items) / across)
    while low < most:
        if _fits(items, across, low):
            return low
        low += 1.5
    return most


def _fits(items: list[tuple[float, Draw, bool]], across: int, deep: float) -> bool:
    i = 0
    for _ in range(across):
        y = 0.0
        while i < len(items):
            need = items[i][0] + (items[i + 1][0] if items[i][2] and i + 1 < len(items) else 0)
            if y + need > deep + 1e-6 and y > 0:
                break
            y += items[i][0]
            i += 1
    return i == len(items)
