"""What every page carries: title, status boxes and stamp above; identity and page number below."""

from __future__ import annotations

from wiremap.content.pieces import Count, Head
from wiremap.sheet.elements import FIRM, HEAVY, THIN, WIDE
from wiremap.sheet.ink import LIVE_MM, SMALL, STRONG, TITLE, Ink, shorten, width

TOP = 16.6
BOTTOM = LIVE_MM[1] - 8.8
MARK_MM = 80.0  # room for id and revision above
ID_MM = 60.0  # room for the id below
WIRING_ONLY = "Wiring only: does not prove that the two units understand each other."


def head(ink: Ink, page: Head) -> None:
    """Title, the three boxes, the stamp."""
    mark = "  ".join(word for word in (page.id, _revision(page)) if word)
    mark = shorten(mark, MARK_MM)
    ink.text(WIDE, 4.6, mark, align="right")
    ink.text(0, 4.8, shorten(page.title, WIDE - width(mark) - 6, TITLE), TITLE)
    at = _status(ink, 0.0, "surveyed {} of {} cavities", page.surveyed)
    paper = "paper on hold" if page.held else "paper in order"
    at = _status(ink, at, paper, Count(int(not page.held), 1))
    _status(ink, at, "rung out {} of {} circuits", page.rung_out)
    _stamp(ink, page)
    ink.across(0, 14.9, WIDE, THIN)


def _revision(page: Head) -> str:
    return f"revision {page.revision}" if page.revision else ""


def _status(ink: Ink, x: float, words: str, count: Count) -> float:
    """A square, filled when complete, its words, a rule; gives where the next begins."""
    text = words.format(count.done, count.of)
    wide = width(text) + 9
    ink.down(x + wide, 8.0, 5.0, THIN)
    ink.box(x + 0.2, 8.7, (3.2, 3.2), FIRM, fill=count.all_done)
    ink.text(x + 5.0, 11.6, text)
    return x + wide + 3


def _stamp(ink: Ink, page: Head) -> None:
    style, weight, base = STRONG, FIRM, 11.6
    if page.held:
        style, weight, base = TITLE, HEAVY, 12.1
    wide = width(page.stamp, style) + 6
    ink.box(WIDE - wide, 7.2, (wide, 6.2), weight)
    ink.text(WIDE - wide / 2, base, page.stamp, style, align="centre")


def foot(ink: Ink, page: Head, number: str, drawn_from: str) -> None:
    """Identity, what the wiring does not prove, page number, the side drawn from."""
    y = LIVE_MM[1] - 8.2
    ink.across(0, y, WIDE, THIN)
    ink.text(WIDE, y + 3.9, number, STRONG, align="right")
    who = (shorten(page.id, ID_MM, SMALL), _revision(page), f"hash {page.digest}")
    ink.text(0, y + 3.7, "  ".join(word for word in who if word), SMALL)
    ink.text(0, y + 7.4, WIRING_ONLY, SMALL)
    room = WIDE - width(WIRING_ONLY, SMALL) - 4
    side = shorten(drawn_from or "cavity numbers as moulded", room, SMALL)
    ink.text(WIDE, y + 7.4, side, SMALL, align="right")
