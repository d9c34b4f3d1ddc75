"""The pen: a canvas measured in millimetres from the live area's upper left corner, one typeface.

Strings are drawn as they are and never read as markup.  A character that the typeface lacks is
shown as its code point.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from fontpkg_fira_sans_condensed import ROOT  # type: ignore[import-untyped]
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from wiremap.content.drawing import Lettering

LIVE_MM = (180.0, 259.0)  # fits A4 and Letter with 15 mm for the punch on either side


class Paper(NamedTuple):
    """Width and height [mm], and how many pages stand beside each other on it."""

    size: tuple[float, float]
    across: int


PAPERS = {
    "a4": Paper((210.0, 297.0), 1),
    "letter": Paper((215.9, 279.4), 1),
    "a3": Paper((420.0, 297.0), 2),
}
MM = 72 / 25.4
CUTS = {"Sheet": "Regular", "SheetStrong": "SemiBold"}  # files by name: Latin, Greek, Cyrillic
BREAKS = ("/", "-", ".", "_", ",")  # a break behind one of these reads better
BREAK_WITHIN = 10  # characters of the end of a line
BLANKS = " \n\t\r\u00a0\u202f\u2007"  # set as a plain blank
CACHED = 65536  # texts whose width is remembered


BODY, STRONG = Lettering(10.0), Lettering(10.0, strong=True)
SMALL, SMALL_STRONG = Lettering(8.5), Lettering(8.5, strong=True)
DEED, ADDRESS = Lettering(11.0), Lettering(12.0, strong=True)  # read at arm's length
HEADING, TITLE = Lettering(13.0, strong=True), Lettering(14.0, strong=True)


class Ink:
    """Draws on pages of one paper; everything in mm, y downwards."""

    def __init__(self, paper: str = "a4", title: str = "") -> None:
        _fonts()
        self.paper, self._across = PAPERS[paper]
        self._page_mm = self.paper[0] / self._across
        self._shown = 0  # pages that stand left of this one on the same sheet of paper
        self._out = io.BytesIO()
        self._top = (self.paper[1] - LIVE_MM[1]) / 2
        size = (self.paper[0] * MM, self.paper[1] * MM)
        first = {
            "initialFontName": _font(BODY),
            "initialFontSize": BODY.points,
        }  # the canvas would name a typeface of its own in every file
        self.canvas: Any = Canvas(self._out, pagesize=size, invariant=1, pageCompression=1, **first)
        self.canvas.setTitle(shown(title))
        self.canvas.setCreator("wiremap")
        self.canvas.setProducer("wiremap")
        self.canvas.setAuthor("")
        self.canvas.setSubject("")
        self.canvas.setViewerPreference("Duplex", "Simplex")  # cards and flags are cut out
        self.canvas.setViewerPreference("PrintScaling", "None")  # lengths are at true scale

    def x(self, mm: float) -> float:
        """Points from the paper's left edge."""
        left = self._shown * self._page_mm + (self._page_mm - LIVE_MM[0]) / 2
        return (left + mm) * MM

    @property
    def corner(self) -> tuple[float, float]:
        """The paper's upper left corner, from that of the live area [mm]."""
        return (LIVE_MM[0] - self._page_mm) / 2, -self._top

    def y(self, mm: float) -> float:
        """Points from the paper's lower edge."""
        return (self.paper[1] - self._top - mm) * MM

    def text(
        self, x: float, y: float, text: str, style: Lettering = BODY, *, align: str = "left"
    ) -> None:
        """One line with its baseline at y."""
        text = shown(text)
        if not text:
            return
        self.canvas.setFont(_font(style), style.points)
        wide = width(text, style)
        x -= {"left": 0.0, "right": wide, "centre": wide / 2}[align]
        self.canvas.drawString(self.x(x), self.y(y), text)

    def lines(self, x: float, y: float, text: Sequence[str], style: Lettering = BODY) -> None:
        """Lines of text below each other; y is the top of the first."""
        for i, line in enumerate(text):
            self.text(x, y + style.line_mm * (i + 0.8), line, style)

    def outlined(self, text: str, size: float, degrees: float) -> None:
        """Large hollow letters across the middle of the page: what lies below stays readable."""
        self.canvas.saveState()
        self.canvas.translate(self.x(LIVE_MM[0] / 2), self.y(LIVE_MM[1] / 2))
        self.canvas.rotate(degrees)
        self.canvas.setLineWidth(0.25 * MM)
        style = Lettering(size, strong=True)
        shape = self.canvas.beginText(-width(text, style) * MM / 2, -size / 3)
        shape.setFont(_font(style), size)
        shape.setTextRenderMode(1)
        shape.textOut(text)
        self.canvas.drawText(shape)
        self.canvas.restoreState()

    def upright(self, x: float, y: float, text: str, style: Lettering = BODY) -> None:
        """One line that climbs from (x, y), x being its baseline."""
        self.canvas.saveState()
        self.canvas.translate(self.x(x), self.y(y))
        self.canvas.rotate(90)
        self.canvas.setFont(_font(style), style.points)
        self.canvas.drawString(0, 0, shown(text))
        self.canvas.restoreState()

    def across(
        self,
        x: float,
        y: float,
        wide: float,
        weight: float,
        *,
        dash: Sequence[float] = (),
    ) -> None:
        """A level line from (x, y) to the right; weight and dash in mm."""
        self.line((x, y), (x + wide, y), weight, dash=dash)

    def down(
        self,
        x: float,
        y: float,
        high: float,
        weight: float,
        *,
        dash: Sequence[float] = (),
    ) -> None:
        """A plumb line from (x, y) downwards; weight and dash in mm."""
        self.line((x, y), (x, y + high), weight, dash=dash)

    def line(
        self,
        start: tuple[float, float],
        stop: tuple[float, float],
        weight: float,
        *,
        dash: Sequence[float] = (),
    ) -> None:
        """A line from one spot to another; weight and dash in mm."""
        self.canvas.setLineWidth(weight * MM)
        self.canvas.setDash([d * MM for d in dash])
        self.canvas.line(self.x(start[0]), self.y(start[1]), self.x(stop[0]), self.y(stop[1]))
        self.canvas.setDash([])

    def box(
        self,
        x: float,
        y: float,
        size: tuple[float, float],
        weight: float,
        *,
        fill: bool = False,
        round: float = 0.0,
    ) -> None:
        """A rectangle of (width, height) with its upper left corner at (x, y)."""
        wide, high = size
        self.canvas.setLineWidth(weight * MM)
        corner = (self.x(x), self.y(y + high), wide * MM, high * MM)
        if round:
            self.canvas.roundRect(*corner, round * MM, stroke=1, fill=int(fill))
        else:
            self.canvas.rect(*corner, stroke=1, fill=int(fill))

    def circle(
        self, x: float, y: float, r: float, weight: float = 0.25, *, fill: bool = False
    ) -> None:
        """A circle about (x, y)."""
        self.canvas.setLineWidth(weight * MM)
        self.canvas.circle(self.x(x), self.y(y), r * MM, stroke=1, fill=int(fill))

    def shape(
        self,
        points: Sequence[tuple[float, float]],
        weight: float,
        *,
        fill: bool = False,
        close: bool = True,
        dash: Sequence[float] = (),
    ) -> None:
        """A line through several points, closed or open; weight and dash in mm."""
        path = self.canvas.beginPath()
        first, *others = [(self.x(x), self.y(y)) for x, y in points]
        path.moveTo(*first)
        for point in others:
            path.lineTo(*point)
        if close:
            path.close()
        self.canvas.setLineWidth(weight * MM)
        self.canvas.setLineJoin(1)
        self.canvas.setDash([d * MM for d in dash])
        self.canvas.drawPath(path, stroke=1, fill=int(fill))
        self.canvas.setDash([])

    def white(self, *, on: bool) -> None:
        """Draw in white from here, or in black again."""
        self.canvas.setFillGray(int(on))
        self.canvas.setStrokeGray(int(on))

    def next_page(self) -> None:
        """Go on beside this page where the paper has room, else on a new sheet of paper."""
        self._shown = (self._shown + 1) % self._across
        if self._shown == 0:
            self.canvas.showPage()

    def finish(self) -> bytes:
        """The document's bytes."""
        self.canvas.save()
        return self._out.getvalue()


@lru_cache(maxsize=1)
def _fonts() -> TTFont:
    """The regular cut, both cuts being registered (SIL Open Font License)."""
    for name, cut in CUTS.items():
        path = ROOT / "files" / f"FiraSansCondensed-{cut}.ttf"
        pdfmetrics.registerFont(TTFont(name, str(path)))
    return pdfmetrics.getFont(_font(BODY))


def _font(style: Lettering) -> str:
    """The name under which a cut is known to the canvas, of `CUTS`."""
    return "SheetStrong" if style.strong else "Sheet"


@lru_cache(maxsize=CACHED)
def shown(text: str) -> str:
    """The text as it can be set: blanks made plain, what has no glyph as its code point."""
    if text.isascii() and text.isprintable():
        return text
    glyphs = _fonts().face.charToGlyph
    out = []
    for c in unicodedata.normalize("NFC", text):
        control = unicodedata.category(c)[0] in "CZM"
        if c in BLANKS:
            out.append(" ")
        elif control or ord(c) not in glyphs:
            out.append(f"<U+{ord(c):04X}>")
        else:
            out.append(c)
    return "".join(out)


@lru_cache(maxsize=CACHED)
def width(text: str, style: Lettering = BODY) -> float:
    """How wide a text is set [mm]."""
    _fonts()
    return float(pdfmetrics.stringWidth(shown(text), _font(style), style.points)) / MM


@lru_cache(maxsize=CACHED)
def wrap(text: str, wide: float, style: Lettering = BODY) -> tuple[str, ...]:
    """The text in lines no wider than asked; a word that is too long for a line is broken."""
    lines: list[str] = []
    now = ""
    for word in shown(text).split(" "):
        trial = f"{now} {word}" if now else word
        if width(trial, style) <= wide:
            now = trial
            continue
        if now:
            lines.append(now)
        while width(word, style) > wide:
            cut = _break(word, wide, style)
            lines.append(word[:cut])
            word = word[cut:]
        now = word
    if now or not lines:
        lines.append(now)
    return tuple(lines)


def _break(word: str, wide: float, style: Lettering) -> int:
    """Where a word that is too long is broken."""
    most = _most(1, len(word), lambda n: width(word[:n], style) <= wide)
    for mark in BREAKS:
        at = word.rfind(mark, max(1, most - BREAK_WITHIN), most)
        if at > 0:
            return at + 1
    return most


def lacking(texts: Iterable[str]) -> tuple[str, ...]:
    """The characters that the typeface has no glyph for, each once, in their order."""
    glyphs = _fonts().face.charToGlyph
    found: dict[str, None] = {}
    for text in texts:
        if text.isascii() and text.isprintable():
            continue
        for c in unicodedata.normalize("NFC", text):
            if c not in BLANKS and ord(c) not in glyphs:
                found[c] = None
    return tuple(found)


def shorten(text: str, wide: float, style: Lettering = BODY) -> str:
    """The text, or as much of its beginning and its end as fits about an ellipsis."""
    text = shown(text)
    if width(text, style) <= wide:
        return text
    most = _most(0, len(text), lambda n: width(_ends(text, n), style) <= wide)
    return _ends(text, most)


def _ends(text: str, kept: int) -> str:
    """So many characters of a text, the larger half from its beginning."""
    behind = kept // 2
    return f"{text[: kept - behind]}…{text[len(text) - behind :]}"


def _most(low: int, high: int, fits: Callable[[int], bool]) -> int:
    """The largest number from low to high that fits, low if none does."""
    while low < high:
        middle = (low + high + 1) // 2
        if fits(middle):
            low = middle
        else:
            high = middle - 1
    return low
