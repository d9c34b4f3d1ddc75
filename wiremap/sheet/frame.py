"""What every page carries: title, standing and stamp above; identity and page number below."""

from __future__ import annotations

from wiremap.content.picture import WIRING_ONLY
from wiremap.content.pieces import PageHead
from wiremap.sheet.elements import FIRM, HEAVY, THIN, WIDE
from wiremap.sheet.ink import LIVE_MM, SMALL, STRONG, TITLE, Ink, shorten, width

# all in millimetres, from the left and the top of what a printer reaches (`ink.LIVE_MM`)
TOP = 16.6
BOTTOM = LIVE_MM[1] - 8.8
STATUS_AIR_MM = 8.0  # behind a status, with a rule in it
LEAST_AIR_MM = 4.0
MARK_MM = 80.0  # room for id and revision above
ID_MM = 60.0  # room for the id below
HOLD_POINTS, HOLD_DEGREES = 230.0, 52.0


def head(ink: Ink, page: PageHead) -> None:
    """Title, id and revision, how far the work has come, the stamp."""
    revision = _revision(page)
    name = shorten(page.id, MARK_MM - width(revision))
    mark = "  ".join(word for word in (name, revision) if word)
    ink.text(WIDE, 4.6, mark, align="right")
    ink.text(0, 4.8, shorten(page.title, WIDE - width(mark) - 6, TITLE), TITLE)
    _statuses(ink, page, WIDE - _stamp(ink, page))
    ink.across(0, 14.9, WIDE, THIN)


def hold_across(ink: Ink) -> None:
    """HOLD over the whole page, hollow, so that the page can still be read."""
    ink.outlined("HOLD", HOLD_POINTS, HOLD_DEGREES)


def _statuses(ink: Ink, page: PageHead, room: float) -> None:
    """How far the work has come, in words: a filled square would look like a tick of one's own."""
    paper = "paper on hold" if page.held else "paper in order"
    if page.not_judged:
        paper += f", {page.not_judged} not judged"
    surveyed = f"surveyed {page.surveyed}"
    rung_out = f"rung out {page.rung_out}"
    texts: tuple[str, ...] = (paper, f"{surveyed} cavities", f"{rung_out} circuits")
    if not page.filled_in:  # what is done stands in the notebook, not on this sheet
        texts = (paper, f"in the notebook: {surveyed} cavities, {rung_out} circuits")
    if _air(texts, room) < LEAST_AIR_MM:
        texts = (paper, surveyed, rung_out)
        if not page.filled_in:
            texts = (paper, f"notebook: {surveyed}, {rung_out}")
    air = _air(texts, room)
    x = 0.0
    for n, text in enumerate(texts):
        if n:
            ink.down(x - air / 2, 8.0, 5.0, THIN)
        ink.text(x, 11.6, text)
        x += width(text) + air


def _air(texts: tuple[str, ...], room: float) -> float:
    """What is left about each status once the words have their room [mm]."""
    words = sum(map(width, texts))
    return min(STATUS_AIR_MM, (room - words) / len(texts))


def _revision(page: PageHead) -> str:
    return f"revision {page.revision}" if page.revision else ""


def _stamp(ink: Ink, page: PageHead) -> float:
    """The stamp at the right edge; gives its width."""
    style, weight, base = STRONG, FIRM, 11.6
    if page.held or page.wrong:
        style, weight, base = TITLE, HEAVY, 12.1
    wide = width(page.stamp, style) + 6
    ink.box(WIDE - wide, 7.2, (wide, 6.2), weight)
    ink.text(WIDE - wide / 2, base, page.stamp, style, align="centre")
    return wide


def foot(ink: Ink, page: PageHead, number: str) -> None:
    """Identity, what the wiring does not prove, page number."""
    y = LIVE_MM[1] - 8.2
    ink.across(0, y, WIDE, THIN)
    ink.text(WIDE, y + 3.9, number, STRONG, align="right")
    who = (shorten(page.id, ID_MM, SMALL), _revision(page), f"hash {page.digest}")
    ink.text(0, y + 3.7, "  ".join(word for word in who if word), SMALL)
    ink.text(0, y + 7.4, WIRING_ONLY, SMALL)
