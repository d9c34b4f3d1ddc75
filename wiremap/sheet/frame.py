"""What every page carries: title, status boxes and stamp above; identity, page number and drawn side below."""

from __future__ import annotations

from wiremap.content.pieces import Head
from wiremap.sheet.elements import FIRM, HEAVY, THIN, WIDE
from wiremap.sheet.ink import BODY, LIVE_MM, SMALL, Ink, shorten, width

TOP = 16.6
BOTTOM = LIVE_MM[1] - 8.8
WIRING_ONLY = "Wiring only: does not prove that the two units understand each other."


def head(ink: Ink, page: Head) -> None:
    """Title, the three boxes, the stamp."""
    mark = "  ".join(
        t for t in (page.id, f"revision {page.revision}" if page.revision else "") if t
    )
    mark = shorten(mark, 80.0)
    ink.text(WIDE, 4.6, mark, align="right")
    ink.text(0, 4.8, shorten(page.title, WIDE - width(mark) - 6, 14, True), 14, strong=True)
    at = 0.0
    paper = "paper on hold" if page.held else "paper in order"
    for text, full in (
        (f"surveyed {page.surveyed[0]} of {page.surveyed[1]} cavities", _all(page.surveyed)),
        (paper, not page.held),
        (f"rung out {page.rung_out[0]} of {page.rung_out[1]} circuits", _all(page.rung_out)),
    ):
        at = _status(ink, at, text, full) + 3
    _stamp(ink, page)
    ink.line(0, 14.9, WIDE, 14.9, THIN)


def _all(box: tuple[int, int]) -> bool:
    return box[0] >= box[1] > 0


def _status(ink: Ink, x: float, text: str, full: bool) -> float:
    """A status: a small square, filled when complete, its words, a rule behind them."""
    wide = width(text) + 9
    ink.line(x + wide, 8.0, x + wide, 13.0, THIN)
    ink.box(x + 0.2, 8.7, 3.2, 3.2, FIRM, fill=full)
    ink.text(x + 5.0, 11.6, text)
    return x + wide


def _stamp(ink: Ink, page: Head) -> None:
    size = 14.0 if page.held else BODY
    wide = width(page.stamp, size, True) + 6
    ink.box(WIDE - wide, 7.2, wide, 6.2, HEAVY if page.held else FIRM)
    ink.text(
        WIDE - wide / 2, 12.1 if page.held else 11.6, page.stamp, size, strong=True, align="centre"
    )


def foot(ink: Ink, page: Head, n: int, m: int, drawn_from: str) -> None:
    """Identity, what the wiring does not prove, page n of m, and the side that the page is drawn from."""
    y = LIVE_MM[1] - 8.2
    ink.line(0, y, WIDE, y, THIN)
    number = f"page {n} of {m}"
    ink.text(WIDE, y + 3.9, number, BODY, strong=True, align="right")
    who = "  ".join(
        t
        for t in (
            shorten(page.id, 60, SMALL),
            f"revision {page.revision}" if page.revision else "",
            f"hash {page.digest}",
        )
        if t
    )
    ink.text(0, y + 3.7, who, SMALL)
    ink.text(0, y + 7.4, WIRING_ONLY, SMALL)
    ink.text(
        WIDE,
        y + 7.4,
        shorten(
            drawn_from or "cavity numbers as moulded", WIDE - width(WIRING_ONLY, SMALL) - 4, SMALL
        ),
        SMALL,
        align="right",
    )
