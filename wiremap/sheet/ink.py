"""The pen: a canvas measured in millimetres from the live area's upper left corner, with one embedded typeface.

Strings are drawn as they are and never read as markup.  A character that the typeface lacks is shown as its code point.
"""

from __future__ import annotations

import io
import unicodedata
from functools import lru_cache
from typing import Any

LIVE_MM = (190.0, 259.0)  # fits A4 and Letter with margins
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MM = 72 / 25.4
REGULAR, STRONG = "Sheet", "SheetStrong"
BODY, SMALL, HEADING, TITLE = 10.0, 8.5, 13.0, 15.0  # type scale, points
LEADING = 0.405  # mm of line per point of type


class Ink:
    """Draws on pages of one paper; everything in mm, y downwards."""

    def __init__(self, paper: str = "a4", title: str = "") -> None:
        from reportlab.pdfgen.canvas import Canvas

        _fonts()
        self.paper = PAPERS[paper]
        self._out = io.BytesIO()
        self._left = (self.paper[0] - LIVE_MM[0]) / 2
        self._top = (self.paper[1] - LIVE_MM[1]) / 2
        self.c: Any = Canvas(
            self._out,
            pagesize=(self.paper[0] * MM, self.paper[1] * MM),
            invariant=1,
            pageCompression=1,
        )
        self.c.setTitle(shown(title))
        self.c.setCreator("wiremap")
        self.c.setProducer("wiremap")
        self.c.setAuthor("")
        self.c.setSubject("")

    def x(self, mm: float) -> float:
        """Points from the paper's left edge."""
        return (self._left + mm) * MM

    def y(self, mm: float) -> float:
        """Points from the paper's lower edge."""
        return (self.paper[1] - self._top - mm) * MM

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = BODY,
        *,
        strong: bool = False,
        align: str = "left",
    ) -> None:
        """One line with its baseline at y."""
        text = shown(text)
        if not text:
            return
        self.c.setFont(STRONG if strong else REGULAR, size)
        wide = width(text, size, strong)
        x -= {"left": 0.0, "right": wide, "centre": wide / 2}[align]
        self.c.drawString(self.x(x), self.y(y), text)

    def upright(
        self, x: float, y: float, text: str, size: float = BODY, *, strong: bool = False
    ) -> None:
        """One line that climbs from (x, y), x being its baseline."""
        self.c.saveState()
        self.c.translate(self.x(x), self.y(y))
        self.c.rotate(90)
        self.c.setFont(STRONG if strong else REGULAR, size)
        self.c.drawString(0, 0, shown(text))
        self.c.restoreState()

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        weight: float = 0.2,
        dash: tuple[float, ...] = (),
    ) -> None:
        """A line; weight in mm, dash in mm."""
        self.c.setLineWidth(weight * MM)
        self.c.setDash([d * MM for d in dash] if dash else [])
        self.c.line(self.x(x0), self.y(y0), self.x(x1), self.y(y1))
        self.c.setDash([])

    def box(
        self,
        x: float,
        y: float,
        w: float,
        h: float,
        weight: float = 0.2,
        *,
        fill: bool = False,
        round: float = 0.0,
    ) -> None:
        """A rectangle with its upper left corner at (x, y)."""
        self.c.setLineWidth(weight * MM)
        if round:
            self.c.roundRect(
                self.x(x), self.y(y + h), w * MM, h * MM, round * MM, stroke=1, fill=int(fill)
            )
        else:
            self.c.rect(self.x(x), self.y(y + h), w * MM, h * MM, stroke=1, fill=int(fill))

    def circle(
        self, x: float, y: float, r: float, weight: float = 0.25, *, fill: bool = False
    ) -> None:
        """A circle about (x, y)."""
        self.c.setLineWidth(weight * MM)
        self.c.circle(self.x(x), self.y(y), r * MM, stroke=1, fill=int(fill))

    def shape(
        self,
        points: list[tuple[float, float]],
        weight: float = 0.2,
        *,
        fill: bool = False,
        close: bool = True,
    ) -> None:
        """A line through several points, closed or open."""
        path = self.c.beginPath()
        path.moveTo(self.x(points[0][0]), self.y(points[0][1]))
        for px, py in points[1:]:
            path.lineTo(self.x(px), self.y(py))
        if close:
            path.close()
        self.c.setLineWidth(weight * MM)
        self.c.setLineJoin(1)
        self.c.drawPath(path, stroke=1, fill=int(fill))

    def next_page(self) -> None:
        """Close this page and open another."""
        self.c.showPage()

    def finish(self) -> bytes:
        """The document's bytes."""
        self.c.save()
        return self._out.getvalue()


@lru_cache(maxsize=1)
def _fonts() -> Any:
    from fontpkg_fira_sans_condensed import ROOT  # type: ignore[import-untyped]  # static cuts with Latin, Greek, Cyrillic; SIL Open Font License
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    faces = []
    for name, cut in ((REGULAR, "Regular"), (STRONG, "SemiBold")):
        font = TTFont(name, str(ROOT / "files" / f"FiraSansCondensed-{cut}.ttf"))
        pdfmetrics.registerFont(font)
        faces.append(font)
    return tuple(faces)


def _has(c: str) -> bool:
    return ord(c) in _fonts()[0].face.charToGlyph


@lru_cache(maxsize=65536)
def shown(text: str) -> str:
    """The text as it can be set: composed, blanks made plain, what has no glyph shown as its code point."""
    if text.isascii() and text.isprintable():
        return text
    out = []
    for c in unicodedata.normalize("NFC", text):
        if c in "\n\t\r\u00a0\u202f\u2007":
            out.append(" ")
        elif (unicodedata.category(c)[0] in "CZM" and c != " ") or not _has(c):
            out.append(f"<U+{ord(c):04X}>")
        else:
            out.append(c)
    return "".join(out)


@lru_cache(maxsize=65536)
def width(text: str, size: float = BODY, strong: bool = False) -> float:
    """How wide a text is set, mm."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    _fonts()
    return float(stringWidth(shown(text), STRONG if strong else REGULAR, size)) / MM


@lru_cache(maxsize=65536)
def wrap(text: str, wide: float, size: float = BODY, strong: bool = False) -> tuple[str, ...]:
    """The text in lines no wider than asked; a word that is too long for a line is broken."""
    lines: list[str] = []
    now = ""
    for word in shown(text).split(" "):
        trial = f"{now} {word}" if now else word
        if width(trial, size, strong) <= wide:
            now = trial
            continue
        if now:
            lines.append(now)
        while width(word, size, strong) > wide:
            cut = _fitting(word, wide, size, strong)
            lines.append(word[:cut])
            word = word[cut:]
        now = word
    if now or not lines:
        lines.append(now)
    return tuple(lines)


def _fitting(word: str, wide: float, size: float, strong: bool) -> int:
    low, high = 1, len(word)
    while low < high:
        middle = (low + high + 1) // 2
        if width(word[:middle], size, strong) <= wide:
            low = middle
        else:
            high = middle - 1
    for mark in ("/", "-", ".", "_", ","):  # a break behind a mark reads better
        at = word.rfind(mark, max(1, low - 8), low)
        if at > 0:
            return at + 1
    return low


def shorten(text: str, wide: float, size: float = BODY, strong: bool = False) -> str:
    """The text, or as much of it as fits with an ellipsis behind."""
    text = shown(text)
    if width(text, size, strong) <= wide:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width(text[:middle] + "…", size, strong) <= wide:
            low = middle
        else:
            high = middle - 1
    return text[:low] + "…"
