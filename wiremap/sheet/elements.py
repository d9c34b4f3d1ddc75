"""The few drawing elements that every page uses, each defined once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from wiremap.sheet.ink import BODY, LEADING, SMALL, Ink, shorten, width, wrap

WIDE = 190.0
TICK_MM = 5.0
WRITE_MM = 8.0  # height of a line to write on
HAIR, THIN, FIRM, HEAVY = 0.12, 0.2, 0.35, 0.7  # line weights, mm
LINE = BODY * LEADING
SMALL_LINE = SMALL * LEADING

FOOT_MM = 0.7  # below the last row of a table

Draw = Callable[[Ink, float, float], None]


@dataclass(frozen=True)
class Piece:
    """Something of a known height that is never split; `keep` holds it to the next one."""

    height: float
    draw: Draw
    keep: bool = False
    over: tuple[Piece, ...] = ()  # repeated on top when a page begins with this piece


def closed(table: list[Piece]) -> list[Piece]:
    """A table with a line under its last row."""
    *rows, last = table

    def draw(ink: Ink, x: float, y: float) -> None:
        last.draw(ink, x, y)
        ink.line(x, y + last.height, x + WIDE, y + last.height, HAIR)

    return [*rows, replace(last, height=last.height + FOOT_MM, draw=draw)]


def tick(ink: Ink, x: float, y: float, size: float = TICK_MM) -> None:
    """A box to tick."""
    ink.box(x, y, size, size, 0.25)


def write_line(ink: Ink, x: float, y: float, wide: float) -> None:
    """A line to write on; the space above it is the caller's."""
    ink.line(x, y, x + wide, y, THIN)


def lines(
    ink: Ink, x: float, y: float, text: tuple[str, ...], size: float = BODY, strong: bool = False
) -> None:
    """Lines of text below each other; y is the top of the first."""
    for i, line in enumerate(text):
        ink.text(x, y + size * LEADING * (i + 0.8), line, size, strong=strong)


def paragraph(
    text: str,
    *,
    strong: bool = False,
    small: bool = False,
    indent: float = 0.0,
    wide: float = WIDE,
    sign: str = "",
) -> list[Piece]:
    """A paragraph, one piece a line, the first two kept together; a strong one heads what follows and stays with it.

    `sign` puts a line to sign behind its last words, with this label.
    """
    size = SMALL if small else BODY
    made = wrap(text, wide - indent, size, strong)
    out = []
    for i, line in enumerate(made):
        last = i == len(made) - 1
        drop = WRITE_MM - size * LEADING - 1.0 if last and sign else 0.0

        def draw(ink: Ink, x: float, y: float, line: str = line, drop: float = drop) -> None:
            base = y + drop + size * LEADING * 0.8
            ink.text(x + indent, base, line, size, strong=strong)
            if drop:
                start = x + indent + width(line, size, strong) + 4.0
                ink.text(start, base, sign, SMALL)
                write_line(
                    ink,
                    start + width(sign, SMALL) + 1.0,
                    base + 0.7,
                    x + wide - start - width(sign, SMALL) - 1.0,
                )

        out.append(
            Piece(
                size * LEADING + drop + (1.0 if last else 0.0),
                draw,
                keep=strong or (i == 0 and not last),
            )
        )
    return out


def warning(word: str, texts: tuple[str, ...], wide: float = WIDE) -> list[Piece]:
    """A warning strip: a heavy edge on the left, a heavy word, sentences behind it."""
    left = max(width(word, BODY, True) + 6.5, 16.0)
    out: list[Piece] = []
    for i, text in enumerate(texts):
        made = wrap(text, wide - left - 2, BODY)
        # a very long sentence goes on as further pieces of the strip
        for k in range(0, len(made), 12):
            part = made[k : k + 12]
            first, last = i == 0 and k == 0, i == len(texts) - 1 and k + 12 >= len(made)
            high = len(part) * LINE + 0.3 + (1.6 if last else 0.0)

            def draw(
                ink: Ink,
                x: float,
                y: float,
                part: tuple[str, ...] = part,
                first: bool = first,
                last: bool = last,
                high: float = high,
            ) -> None:
                body = high - (1.2 if last else 0.0)
                ink.box(x, y, 1.6, body, HAIR, fill=True)
                if first:
                    ink.text(x + 3.5, y + LINE * 0.8, word, strong=True)
                lines(ink, x + left, y, part)

            out.append(Piece(high, draw, keep=not last and first))
    return out


def heading(title: str, lead: str = "", again: bool = False) -> list[Piece]:
    """A section's heading with a firm rule under it, and one sentence."""
    text = f"{title} (continued)" if again else title

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.text(x, y + 5.4, shorten(text, WIDE, 13.0, True), 13.0, strong=True)
        ink.line(x, y + 7.0, x + WIDE, y + 7.0, FIRM)

    out = [Piece(8.3, draw, keep=True)]
    if lead and not again:
        body = paragraph(lead)
        out += [Piece(p.height, p.draw, keep=True) for p in body]
    return out


def space(high: float) -> Piece:
    """Room."""
    return Piece(high, lambda ink, x, y: None)
