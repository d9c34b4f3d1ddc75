"""The few drawing elements that every page uses, each defined once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from wiremap.content.pieces import TextPiece, Warning
from wiremap.sheet.ink import BODY, HEADING, SMALL, STRONG, Ink, shorten, width, wrap

WIDE = 180.0  # margins of 15 mm on both sides: a punch takes no box
TICK_MM = 5.0
WRITE_MM = 8.0  # height of a line to write on
HAIR, THIN, FIRM, HEAVY = 0.12, 0.2, 0.35, 0.7  # line weights, mm
LINE = BODY.line_mm
SMALL_LINE = SMALL.line_mm
FOOT_MM = 0.7  # below the last row of a table
EDGE_MM = 1.6  # of a warning
HEADING_MM = 7.0  # down to its rule, on which the rule of a first row lies
LEAD_AIR_MM = 1.3
MOST_LINES = 12  # of a warning in one piece: a very long sentence goes on as further pieces

Draw = Callable[[Ink, float, float], None]


@dataclass(frozen=True)
class Piece:
    """Something of a known height [mm] that is never split."""

    height: float
    draw: Draw
    keep: bool = False  # on the page of the next piece
    over: tuple[Piece, ...] = ()  # repeated on top when a page begins with this piece
    below: float = 0.0  # room under its rule, which falls away before a piece that begins with one
    ruled: bool = False  # a rule is its upper edge
    at_face: bool = True  # the faces of its section are looked at for it
    counted: bool = False  # a box or a blank: the foot of its page counts those wrong or left open
    stop: bool = False  # asks for that count, and ends it


def under(top: Piece, rows: Sequence[Piece]) -> list[Piece]:
    """Column words with the rows under them; the words come again on every page."""
    return [top, *(replace(row, over=(top,)) for row in rows)]


def closed(table: Sequence[Piece]) -> list[Piece]:
    """A table with a line under its last row."""
    *rows, last = table

    def draw(ink: Ink, x: float, y: float) -> None:
        last.draw(ink, x, y)
        ink.across(x, y + last.height, WIDE, HAIR)

    return [*rows, replace(last, height=last.height + FOOT_MM, draw=draw, below=FOOT_MM)]


def tick(ink: Ink, x: float, y: float) -> None:
    """A box to tick."""
    ink.box(x, y, (TICK_MM, TICK_MM), 0.25)


def write_line(ink: Ink, x: float, y: float, wide: float) -> None:
    """A line to write on; the space above it is the caller's."""
    ink.across(x, y, wide, THIN)


def paragraph(block: TextPiece) -> list[Piece]:
    """A paragraph, a piece a line, the first two together; a strong one heads what follows."""
    if block.strong:
        return [title_piece(block.text, WIDE, above=1.2, below=1.0)]
    out = [_line(line) for line in wrap(block.text, WIDE)]
    out[-1] = replace(out[-1], height=out[-1].height + 1.0)
    if block.keep:
        return [replace(piece, keep=True) for piece in out]
    return [replace(out[0], keep=len(out) > 1), *out[1:]]


def _line(text: str) -> Piece:
    return Piece(BODY.line_mm, lambda ink, x, y: ink.lines(x, y, (text,)))


def warning(block: Warning) -> list[Piece]:
    """A warning strip: a heavy edge on the left, a heavy word, sentences behind it."""
    left = max(width(block.word, STRONG) + 6.5, 16.0)
    parts: list[Sequence[str]] = []
    for text in block.lines:
        made = wrap(text, WIDE - left - 2)
        parts += [made[k : k + MOST_LINES] for k in range(0, len(made), MOST_LINES)]
    out = []
    for i, part in enumerate(parts, 1):
        word = block.word if i == 1 else ""
        out.append(_warning_part(part, left, word=word, last=i == len(parts)))
    return out


def _warning_part(made: Sequence[str], left: float, *, word: str, last: bool) -> Piece:
    """A part of the strip; the first one bears the word, under the last one there is room."""
    edge = len(made) * LINE + 0.3
    below = 0.0
    if last:
        edge += 0.4
        below = 1.2

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.box(x, y, (EDGE_MM, edge), HAIR, fill=True)
        ink.text(x + 3.5, y + LINE * 0.8, word, STRONG)
        ink.lines(x + left, y, made)

    return Piece(edge + below, draw, keep=bool(word) and not last)


def heading(title: str, lead: str = "", *, side: str = "", again: bool = False) -> list[Piece]:
    """A section's heading with a firm rule under it, and one sentence.

    `side` stands at its right: from where the section is seen, or its lengths are taken.
    """
    text = f"{title} (continued)" if again else title
    if width(text, HEADING) + 4 + width(side, SMALL) > WIDE:
        side = ""

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.text(x, y + 5.4, shorten(text, WIDE, HEADING), HEADING)
        ink.text(x + WIDE, y + 5.4, side, SMALL, align="right")
        ink.across(x, y + HEADING_MM, WIDE, FIRM)

    if not lead or again:
        return [Piece(HEADING_MM + LEAD_AIR_MM, draw, keep=True, below=LEAD_AIR_MM)]
    head = Piece(HEADING_MM + LEAD_AIR_MM, draw, keep=True)
    return [head, *paragraph(TextPiece(lead, keep=True))]


def title_piece(text: str, wide: float, *, above: float, below: float) -> Piece:
    """Words in the heavy cut that head what follows, with room above and below them."""
    made = wrap(text, wide, STRONG)
    high = above + len(made) * LINE + below
    return Piece(
        high,
        lambda ink, x, y: ink.lines(x, y + above, made, STRONG),
        keep=True,
        at_face=False,
    )
