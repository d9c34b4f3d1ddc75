"""The cut pair with an in-line module, as numbered things in the order of the hands."""

from __future__ import annotations

from wiremap.content.pieces import HandStrip
from wiremap.sheet.elements import FIRM, LINE, THIN, WIDE, Piece, lines, tick
from wiremap.sheet.ink import SMALL, Ink, wrap

BOX_W, HIGH = 52.0, 58.0


def hand_strip(block: HandStrip) -> list[Piece]:
    """The drawing, then its numbered sentences with boxes to tick."""
    left = (WIDE - BOX_W) / 2

    def draw(ink: Ink, x: float, y: float) -> None:
        right = x + left + BOX_W
        ink.box(x + left, y + 6, BOX_W, 24, FIRM, round=1.5)
        lines(ink, x + left + 4, y + 8, wrap(block.module, BOX_W - 8, strong=True), strong=True)
        for side, ends, port in (
            ("l", block.left, block.ports[0]),
            ("r", block.right, block.ports[1]),
        ):
            for k in (0, 1):
                level = y + 17 + k * 7
                _leg(ink, x, right, left, level, side, ends[k], port[k], k)
        _number(ink, x + left * 0.55, y + 9, "1")
        _number(ink, right + left * 0.45, y + 9, "2")
        for k, (text, n, at) in enumerate(
            ((block.ground, "3", x + left + 14), (block.feed, "4", x + left + BOX_W - 14))
        ):
            ink.line(at, y + 30, at, y + 44, FIRM)
            _number(ink, at + 4.5, y + 35, n)
            made = wrap(text, 86.0)[:2]
            if k == 0:
                for i in range(3):
                    ink.line(
                        at - 4 + i * 1.2, y + 44 + i * 1.2, at + 4 - i * 1.2, y + 44 + i * 1.2, FIRM
                    )
            else:
                ink.box(at - 1.6, y + 38, 3.2, 6, FIRM)
            for i, line in enumerate(made):
                ink.text(
                    x if k == 0 else x + WIDE,
                    y + 50 + i * LINE,
                    line,
                    align="left" if k == 0 else "right",
                )

    out = [Piece(HIGH + 2, draw, keep=True)]
    for i, sentence in enumerate(block.sentences, 1):
        made = wrap(sentence, WIDE - 16)

        def row(ink: Ink, x: float, y: float, made: tuple[str, ...] = made, i: int = i) -> None:
            tick(ink, x, y + 0.3)
            ink.text(x + 7.5, y + LINE, str(i), strong=True)
            lines(ink, x + 13, y + 0.8, made)

        out.append(Piece(max(6.4, len(made) * LINE + 1.8), row))
    return out


def _leg(
    ink: Ink,
    x: float,
    right: float,
    left: float,
    level: float,
    side: str,
    end: str,
    port: str,
    k: int,
) -> None:
    """One wire of the pair: the cut end, a joint, then the port's contact."""
    start, stop = (x + 2, x + left) if side == "l" else (x + WIDE - 2, right)
    joint = start + (stop - start) * (0.45 if k == 0 else 0.62)
    ink.line(start, level, stop, level, FIRM)
    ink.box(joint - 4, level - 1, 8, 2, THIN, round=1, fill=True)
    made = wrap(end, left - 4, SMALL)[0]
    ink.text(start, level - 1.6, made, SMALL, align="left" if side == "l" else "right")
    ink.text(
        stop + (2 if side == "l" else -2),
        level + 1.2,
        port,
        SMALL,
        align="left" if side == "l" else "right",
    )


def _number(ink: Ink, x: float, y: float, text: str) -> None:
    ink.circle(x, y, 2.4, THIN)
    ink.text(x, y + 1.25, text, strong=True, align="centre")
