"""A connector's face, drawn as the physical front: key, cavities, word flags, an arrow."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wiremap.content.pieces import FaceBlock, FaceView, FlagLine, Hole, Look
from wiremap.sheet.elements import FIRM, LINE, THIN, WIDE, Piece, title_piece
from wiremap.sheet.ink import BODY, SMALL, STRONG, Ink, shorten, width, wrap

PITCH, WIDE_PITCH, ROW_PITCH = 6.5, 9.2, 6.7
MOST_PITCH = 22.0
R, R_LARGE = 2.65, 3.05
PAD = 3.7  # from the outer cavity's middle to the shell
FLAG_MAX = 30.0
SIDE = 6.6  # room beside the shell for key and arrow flag
BETWEEN, APART = 3.0, 4.5  # between the two views of a connector, between connectors
SHELL = 0.45  # weight of the shell's line
CAPTION_MAX = 44.0
KEY_ROOM = 1.3  # for the key's tab over or under a shell
LIST_ACROSS = 4
LIST_MM = WIDE / LIST_ACROSS
BLANK_PITCH = 7.4
BLANK_COLUMNS = 24
CAPTIONS = {"mating": "mating face", "wire-entry": "wire-entry side"}
UNKNOWN = (
    "Nobody has told how this face looks. Read the digits moulded beside the corner cavities, "
    "write them in, mark the key, and note which side you look at."
)


def face_pieces(blocks: Sequence[FaceBlock]) -> list[Piece]:
    """The faces of several connectors: both views side by side, small ones beside each other."""
    rows: list[list[_Front]] = []
    for block in blocks:
        if not block.views:
            continue
        front = _Front(block)
        home = [row for row in rows if _fits(front, row)]
        if home:
            home[0].append(front)
        else:
            rows.append([front])
    out = [piece for row in rows for piece in _front_row(row)]
    for block in blocks:
        if not block.views:
            out += [title_piece(block.title, WIDE, above=0.0, below=0.6), _blank_grid(block)]
    return out


class _Front:
    """One connector with all its views, in as many lines as they need."""

    def __init__(self, block: FaceBlock) -> None:
        self.block = block
        self.lines: list[list[_View]] = [[]]
        for view in block.views:
            for part in _parts(view):
                self._add(_View(part))
        self.lone = len(self.lines) > 1 or bool(block.flag_list)
        self.wide = max(_line_mm(line) for line in self.lines)
        self.title = wrap(block.title, WIDE if self.lone else max(self.wide, 40.0), STRONG)

    def _add(self, view: _View) -> None:
        line = self.lines[-1]
        if line and _line_mm([*line, view]) > WIDE:
            line = []
            self.lines.append(line)
        line.append(view)

    def line(self, k: int) -> list[_View]:
        """Its views of one line, if it has as many."""
        return self.lines[k] if k < len(self.lines) else []


def _line_mm(line: Sequence[_View]) -> float:
    return sum(view.wide for view in line) + BETWEEN * (len(line) - 1)


def _fits(front: _Front, row: Sequence[_Front]) -> bool:
    """Whether a connector has room beside others."""
    if front.lone or row[0].lone:
        return False
    return sum(other.wide + APART for other in row) + front.wide <= WIDE


def _front_row(row: Sequence[_Front]) -> list[Piece]:
    """Connectors beside each other: their titles, their views, their listed flags."""

    def titles(ink: Ink, x: float, y: float) -> None:
        for front in row:
            ink.lines(x, y, front.title, STRONG)
            x += front.wide + APART

    deep = max(len(front.title) for front in row)
    out = [Piece(deep * LINE + 0.2, titles, keep=True)]
    for k in range(max(len(front.lines) for front in row)):
        out.append(_views(row, k))
    for front in row:
        flags = front.block.flag_list
        for k in range(0, len(flags), LIST_ACROSS):
            out.append(_listed(flags[k : k + LIST_ACROSS]))
    return out


def _views(row: Sequence[_Front], k: int) -> Piece:
    """One line of views, their shells on one level."""
    views = [view for front in row for view in front.line(k)]
    up = max(view.up for view in views)

    def draw(ink: Ink, x: float, y: float) -> None:
        for front in row:
            at = x
            for view in front.line(k):
                view.draw(ink, at, y, up)
                at += view.wide + BETWEEN
            x += front.wide + APART

    return Piece(max(view.high - view.up + up for view in views), draw)


def _listed(flags: Sequence[FlagLine]) -> Piece:
    """Word flags in columns, for faces with more rows than flags can be led out of."""
    texts = [wrap(line.flag, LIST_MM - 17) for line in flags]

    def draw(ink: Ink, x: float, y: float) -> None:
        for line, text in zip(flags, texts, strict=True):
            ink.text(x, y + LINE * 0.8, shorten(line.cavity, 13, STRONG), STRONG)
            ink.lines(x + 14, y, text)
            x += LIST_MM

    return Piece(max(map(len, texts)) * LINE + 0.4, draw)


def _blank_grid(block: FaceBlock) -> Piece:
    """A grid of empty cavities to number by hand."""
    columns = min(max(1, math.ceil(block.cavities / 2)), BLANK_COLUMNS)
    rows = math.ceil(block.cavities / columns)
    text = wrap(UNKNOWN, WIDE)
    deep = (rows - 1) * ROW_PITCH + 2 * PAD
    above = len(text) * LINE + 2

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.lines(x, y, text)
        size = ((columns - 1) * BLANK_PITCH + 2 * PAD, deep)
        ink.box(x + 1, y + above, size, FIRM, round=1.5)
        for i in range(block.cavities):
            row, column = divmod(i, columns)
            at = x + 1 + PAD + column * BLANK_PITCH
            ink.circle(at, y + above + PAD + row * ROW_PITCH, R)

    return Piece(above + 2 + deep, draw)


def _parts(view: FaceView) -> list[FaceView]:
    """A very wide face in parts that fit the paper."""
    most = int((WIDE - 2 * PAD - 2 * SIDE) // _pitch(view)) + 1
    if view.columns <= most:
        return [view]
    starts = range(0, view.columns, most)
    key = f", key {view.key} of the whole" if view.key else ""
    parts = []
    for n, k in enumerate(starts, 1):
        rows = tuple(row[k : k + most] for row in view.rows)
        words = f", part {n} of {len(starts)} from the left{key}"
        parts.append(FaceView(view.view, None, rows, words))
    return parts


def _pitch(view: FaceView) -> float:
    """From one cavity's middle to the next one's [mm]."""
    widest = max((width(hole.name) for hole in view.holes), default=0.0)
    flagged = any(hole.flag for hole in view.holes)
    least = WIDE_PITCH if flagged and len(view.rows) > 2 else PITCH
    return max(least, min(widest + 2.2, MOST_PITCH))


class _View:
    """One side of a face, measured when made."""

    def __init__(self, view: FaceView) -> None:
        self.view, self.key = view, view.key
        self.rows = len(view.rows)
        self.pitch = _pitch(view)
        self.half = math.ceil(self.rows / 2)
        self.up = self._flag_room(view.rows[: self.half], "top")
        self.down = self._flag_room(view.rows[self.half :], "bottom")
        # flags of inner rows run beside the outer column
        beside = self.rows > 2 and any(hole.flag for hole in view.holes)
        self.pad = self.pitch / 2 + 1.2 if beside else PAD
        self.shell_w = (view.columns - 1) * self.pitch + 2 * self.pad
        self.shell_h = (self.rows - 1) * ROW_PITCH + 2 * PAD
        self.keyed_aside = self.key in ("left", "right")
        off = 2.2 if self.keyed_aside else 0.6  # room on the side without the arrow
        self.on_right = self._first_on_right()
        self.left = off if self.on_right else SIDE
        words = CAPTIONS[view.view] + (f", key {self.key}" if self.key else view.part)
        self.wide = max(self.shell_w + SIDE + off, min(width(words) + 0.6, CAPTION_MAX))
        self.caption = wrap(words, self.wide)
        self.caption_mm = len(self.caption) * LINE + 0.2
        self.high = self.caption_mm + self.up + self.shell_h + self.down + 0.9

    def _flag_room(self, rows: Sequence[Sequence[Hole | None]], side: str) -> float:
        """Room for the word flags that are led out of some rows on one side."""
        flags = [hole.flag for row in rows for hole in row if hole]
        longest = max((min(width(flag), FLAG_MAX) for flag in flags if flag), default=0.0)
        if not longest:
            return 1.6
        return longest + 2.0 + (KEY_ROOM if self.key == side else 0.0)

    def _first_on_right(self) -> bool:
        """Whether contact 1 lies in the right half."""
        for row in self.view.rows:
            for column, hole in enumerate(row):
                if hole is not None and hole.first:
                    return column >= self.view.columns / 2
        return False

    def draw(self, ink: Ink, x: float, y: float, up: float) -> None:
        """The view with its upper left corner at (x, y), its shell `up` below the caption."""
        ink.lines(x, y, self.caption)
        shell = _Shell(self, ink, x + self.left, y + self.caption_mm + up)
        ink.box(shell.left, shell.top, (self.shell_w, self.shell_h), SHELL, round=1.8)
        shell.key_tab()
        for r, row in enumerate(self.view.rows):
            for c, hole in enumerate(row):
                if hole is None:
                    continue
                shell.hole(r, c, hole)
                if hole.flag:
                    shell.flag(r, c, hole)
                if hole.first:
                    shell.arrow(r)


class _Shell:
    """A view at its place on the page."""

    def __init__(self, view: _View, ink: Ink, left: float, top: float) -> None:
        self.of, self.ink = view, ink
        self.left, self.top = left, top
        self.right, self.foot = left + view.shell_w, top + view.shell_h
        self.middle = left + view.shell_w / 2
        # half the key's tab: over a column, or narrow between two whose leads run beside it
        self.tab = view.pitch * (0.42 if view.view.columns % 2 else 0.26)

    def spot(self, r: int, c: int) -> tuple[float, float]:
        """The middle of a cavity."""
        return self.left + self.of.pad + c * self.of.pitch, self.top + PAD + r * ROW_PITCH

    def hole(self, r: int, c: int, hole: Hole) -> None:
        """A cavity: its ring, how it is treated, its name."""
        x, y = self.spot(r, c)
        pitch, named = self.of.pitch, width(hole.name)
        ring = round_mm = R_LARGE if hole.large else R
        if len(hole.name) > 3:
            round_mm = max(ring, min(named / 2 + 0.5, pitch / 2 - 0.2))
        self.ink.circle(x, y, round_mm, 0.4 if hole.large else 0.22)
        if hole.look is Look.BLANK:
            self.ink.circle(x, y, ring - 0.55, THIN)
        elif hole.look is Look.OUT:
            near, far = ring * 0.52, ring * 1.12  # clear of the digits
            self.ink.line((x - near, y + near), (x - far, y + far), 0.5)
            self.ink.line((x + near, y - near), (x + far, y - far), 0.5)
        style = BODY if named <= pitch - 1 else SMALL
        self.ink.text(x, y + 1.25, shorten(hole.name, pitch - 0.6, style), style, align="centre")

    def flag(self, r: int, c: int, hole: Hole) -> None:
        """A word flag, led upwards out of the upper rows, downwards out of the lower ones."""
        x, y = self.spot(r, c)
        text = shorten(hole.flag, FLAG_MAX)
        side, shell, named = -1, self.top, 0.0
        if r >= self.of.half:
            side, shell, named = 1, self.foot, width(text)
        room = 1.2 + (KEY_ROOM if self._behind_tab(side, x) else 0.0)
        edge = shell + side * room
        if 0 < r < self.of.rows - 1:
            lead = x + self.of.pitch / 2
            turn = y + side * R * 0.95
            self.ink.shape(
                [(x + R * 0.72, y + side * R * 0.72), (lead, turn), (lead, edge)],
                THIN,
                close=False,
            )
        else:
            lead = x
            self.ink.line((x, y + side * R), (x, shell), THIN)
            self.ink.line((x, edge - side * 1.0), (x, edge), THIN)
        self.ink.upright(lead + 1.2, edge + side * 0.7 + named, text)

    def _behind_tab(self, side: int, x: float) -> bool:
        """Whether the key's tab stands over a column: a flag's lead passes behind it."""
        keyed = self.of.key == ("top" if side < 0 else "bottom")
        return keyed and abs(x - self.left - self.of.shell_w / 2) < self.tab

    def arrow(self, r: int) -> None:
        """A small pennant at contact 1, its point towards the cavity, beside the shell."""
        _, y = self.spot(r, 0)
        clear = 2.2 if self.of.keyed_aside else 0.4
        tip, tail = self.left - clear, self.left - clear - 4.0
        if self.of.on_right:
            tip, tail = self.right + clear, self.right + clear + 4.0
        self.ink.shape([(tip, y), (tail, y - 1.7), (tail, y + 1.7)], THIN, fill=True)

    def key_tab(self) -> None:
        """The keying feature: a tab on its side of the shell."""
        level, plumb = (2 * self.tab, 1.5), (1.8, 5.2)
        beside = self.top + self.of.shell_h / 2 - 2.6
        match self.of.key:
            case "top":
                self.ink.box(self.middle - self.tab, self.top - 1.5, level, SHELL)
            case "bottom":
                self.ink.box(self.middle - self.tab, self.foot, level, SHELL)
            case "left":
                self.ink.box(self.left - 1.8, beside, plumb, SHELL)
            case "right":
                self.ink.box(self.right, beside, plumb, SHELL)
