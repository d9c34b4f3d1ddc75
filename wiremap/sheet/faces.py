"""A connector's face, drawn as the physical front: key, cavities, an arrow flag at contact 1, word flags."""

from __future__ import annotations

import math

from wiremap.content.pieces import FaceBlock, FaceView, Hole
from wiremap.sheet.elements import FIRM, LINE, THIN, WIDE, Piece, lines
from wiremap.sheet.ink import BODY, SMALL, Ink, shorten, width, wrap

PITCH, WIDE_PITCH, ROW_PITCH = 6.5, 9.2, 6.7
R, R_LARGE = 2.65, 3.05
PAD = 3.7  # from the outer cavity's middle to the shell
FLAG_MAX = 30.0
SIDE = 6.6  # room beside the shell for key and arrow flag
BETWEEN, APART = 3.0, 4.5  # between the two views of a connector, between connectors


def face_pieces(blocks: list[FaceBlock]) -> list[Piece]:
    """The faces of several connectors: both views of one side by side where they fit, small connectors beside each other."""
    rows: list[list[_Front]] = []
    out: list[Piece] = []
    for block in blocks:
        if not block.views:
            continue
        front = _Front(block)
        home = next(
            (
                r
                for r in rows
                if sum(f.wide for f in r) + APART * len(r) + front.wide <= WIDE
                and not front.lone
                and not r[0].lone
            ),
            None,
        )
        if home is None:
            rows.append([front])
        else:
            home.append(front)
    for row in rows:
        out += _front_row(row)
    for block in blocks:
        if not block.views:
            out += [
                _title(f"{block.name}: {block.shell}" if block.shell else block.name),
                *_blank_grid(block),
            ]
    return out


class _Front:
    """One connector with all its views, in as many lines as they need."""

    def __init__(self, block: FaceBlock) -> None:
        self.block = block
        views = [_View(part) for view in block.views for part in _parts(view)]
        self.lines: list[list[_View]] = [[]]
        for view in views:
            if self.lines[-1] and sum(v.wide + BETWEEN for v in self.lines[-1]) + view.wide > WIDE:
                self.lines.append([])
            self.lines[-1].append(view)
        self.lone = len(self.lines) > 1 or bool(block.flag_list)
        self.wide = max(
            sum(v.wide for v in line) + BETWEEN * (len(line) - 1) for line in self.lines
        )
        words = f"{block.name}: {block.shell}" if block.shell else block.name
        self.title = wrap(words, WIDE if self.lone else max(self.wide, 40.0), BODY, True)


def _front_row(row: list[_Front]) -> list[Piece]:
    deep = max(len(f.title) for f in row)

    def titles(ink: Ink, x: float, y: float) -> None:
        for front in row:
            lines(ink, x, y, front.title, BODY, True)
            x += front.wide + APART

    out = [Piece(deep * LINE + 0.2, titles, keep=True)]
    for k in range(max(len(f.lines) for f in row)):
        here = [f.lines[k] if k < len(f.lines) else [] for f in row]
        up = max(v.up for line in here for v in line)
        high = max(v.high - v.up + up for line in here for v in line)

        def draw(
            ink: Ink, x: float, y: float, here: list[list[_View]] = here, up: float = up
        ) -> None:
            for front, line in zip(row, here, strict=True):
                at = x
                for view in line:
                    view.draw(ink, at, y, up)
                    at += view.wide + BETWEEN
                x += front.wide + APART

        out.append(Piece(high, draw))
    for front in row:
        out += _flag_list(front.block)
    return out


def _title(text: str) -> Piece:
    made = wrap(text, WIDE, BODY, True)
    return Piece(
        len(made) * LINE + 0.6, lambda ink, x, y: lines(ink, x, y, made, BODY, True), keep=True
    )


def _flag_list(block: FaceBlock) -> list[Piece]:
    """Word flags in columns, for faces with more rows than flags can be led out of."""
    if not block.flag_list:
        return []
    across = 4
    wide = WIDE / across
    items = [(n, wrap(f, wide - 17)) for n, f in block.flag_list]
    out = []
    for k in range(0, len(items), across):
        part = items[k : k + across]

        def draw(
            ink: Ink, x: float, y: float, part: list[tuple[str, tuple[str, ...]]] = part
        ) -> None:
            for i, (name, text) in enumerate(part):
                ink.text(x + i * wide, y + LINE * 0.8, shorten(name, 13, BODY, True), strong=True)
                lines(ink, x + i * wide + 14, y, text)

        out.append(Piece(max(len(t) for _, t in part) * LINE + 0.4, draw))
    return out


def _blank_grid(block: FaceBlock) -> list[Piece]:
    """A grid of empty cavities to number by hand."""
    columns = min(max(1, math.ceil(block.cavities / 2)), 24)
    rows = math.ceil(block.cavities / columns)
    text = wrap(
        "Nobody has told how this face looks. Read the digits moulded beside the corner cavities, write them in, "
        "mark the key, and note which side you look at.",
        WIDE,
    )

    def draw(ink: Ink, x: float, y: float) -> None:
        lines(ink, x, y, text)
        top = y + len(text) * LINE + 2
        ink.box(
            x + 1,
            top,
            (columns - 1) * 7.4 + 2 * PAD,
            (rows - 1) * ROW_PITCH + 2 * PAD,
            FIRM,
            round=1.5,
        )
        for i in range(block.cavities):
            ink.circle(x + 1 + PAD + i % columns * 7.4, top + PAD + i // columns * ROW_PITCH, R)

    return [Piece(len(text) * LINE + 4 + (rows - 1) * ROW_PITCH + 2 * PAD, draw)]


def _parts(view: FaceView) -> list[FaceView]:
    """A very wide face in parts that fit the paper."""
    columns = max(len(r) for r in view.rows)
    most = int((WIDE - 2 * PAD - 2 * SIDE) // _pitch(view.rows)) + 1
    if columns <= most:
        return [view]
    starts = range(0, columns, most)
    key = f", key {view.key} of the whole" if view.key else ""
    return [
        FaceView(
            view.view,
            None,
            tuple(r[k : k + most] for r in view.rows),
            f", part {n} of {len(starts)} from the left{key}",
        )
        for n, k in enumerate(starts, 1)
    ]


def _pitch(rows: tuple[tuple[Hole | None, ...], ...]) -> float:
    widest = max((width(h.name) for row in rows for h in row if h), default=0.0)
    flagged = any(h and h.flag for row in rows for h in row)
    return max(WIDE_PITCH if flagged and len(rows) > 2 else PITCH, min(widest + 2.2, 22.0))


class _View:
    """One side of a face, measured when made."""

    def __init__(self, view: FaceView) -> None:
        self.view = view
        self.rows = view.rows
        self.columns = max(len(r) for r in view.rows)
        self.pitch = _pitch(view.rows)
        self.half = math.ceil(len(self.rows) / 2)
        flags = [
            [h.flag for row in part for h in row if h and h.flag]
            for part in (self.rows[: self.half], self.rows[self.half :])
        ]
        longest = [max((min(width(f), FLAG_MAX) for f in part), default=0.0) for part in flags]
        keyed = [1.3 if view.key == side else 0.0 for side in ("top", "bottom")]
        self.up, self.down = (
            w + 2.0 + k if w else 1.6 for w, k in zip(longest, keyed, strict=True)
        )
        # flags of inner rows run beside the outer column
        self.pad = self.pitch / 2 + 1.2 if any(flags) and len(self.rows) > 2 else PAD
        self.shell_w = (self.columns - 1) * self.pitch + 2 * self.pad
        self.shell_h = (len(self.rows) - 1) * ROW_PITCH + 2 * PAD
        self.on_right = any(
            h is not None and h.first and c >= self.columns / 2
            for row in self.rows
            for c, h in enumerate(row)
        )
        off = 2.2 if view.key in ("left", "right") else 0.6  # room on the side without the arrow
        self.left = off if self.on_right else SIDE
        words = {"mating": "mating face", "wire-entry": "wire-entry side"}[view.view] + (
            f", key {view.key}" if view.key else view.part
        )
        self.wide = max(self.shell_w + SIDE + off, min(width(words) + 0.6, 44.0))
        self.caption = wrap(words, self.wide, BODY)
        self.high = len(self.caption) * LINE + 0.2 + self.up + self.shell_h + self.down + 0.9

    def draw(self, ink: Ink, x: float, y: float, up: float) -> None:
        lines(ink, x, y, self.caption)
        left, top = x + self.left, y + len(self.caption) * LINE + 0.2 + up
        ink.box(left, top, self.shell_w, self.shell_h, 0.45, round=1.8)
        self._key(ink, left, top)
        for r, row in enumerate(self.rows):
            for c, hole in enumerate(row):
                if hole is not None:
                    self._hole(
                        ink, left + self.pad + c * self.pitch, top + PAD + r * ROW_PITCH, hole
                    )
                    if hole.flag:
                        self._flag(ink, left, top, r, c, hole)
                    if hole.first:
                        self._arrow(ink, left, top, r)

    def _hole(self, ink: Ink, x: float, y: float, hole: Hole) -> None:
        r = R_LARGE if hole.large else R
        ink.circle(
            x,
            y,
            max(r, min(width(hole.name) / 2 + 0.5, self.pitch / 2 - 0.2))
            if len(hole.name) > 3
            else r,
            0.4 if hole.large else 0.22,
        )
        if hole.look == "blank":
            ink.circle(x, y, r - 0.55, THIN)
        elif hole.look == "out":
            for side in (-1, 1):  # clear of the digits
                ink.line(
                    x + side * r * 0.52,
                    y - side * r * 0.52,
                    x + side * r * 1.12,
                    y - side * r * 1.12,
                    0.5,
                )
        size = BODY if width(hole.name) <= self.pitch - 1 else SMALL
        ink.text(x, y + 1.25, shorten(hole.name, self.pitch - 0.6, size), size, align="centre")

    def _flag(self, ink: Ink, left: float, top: float, r: int, c: int, hole: Hole) -> None:
        x, y = left + self.pad + c * self.pitch, top + PAD + r * ROW_PITCH
        inner = len(self.rows) > 2 and r not in (0, len(self.rows) - 1)
        lead = x + self.pitch / 2 if inner else x
        text = shorten(hole.flag, FLAG_MAX)
        above = r < self.half
        room = 1.2 + (1.3 if self._keyed("top" if above else "bottom", left, x) else 0.0)
        edge = top - room if above else top + self.shell_h + room
        if inner:
            side = 1 if above else -1
            ink.shape(
                [
                    (lead - self.pitch / 2 + R * 0.72, y - R * 0.72 * side),
                    (lead, y - R * 0.95 * side),
                    (lead, edge),
                ],
                THIN,
                close=False,
            )
        else:
            ink.line(x, y - R if above else y + R, x, top if above else top + self.shell_h, THIN)
            ink.line(
                x, top - room + 1.0 if above else top + self.shell_h + room - 1.0, x, edge, THIN
            )
        start = edge - 0.7 if above else edge + 0.7 + width(text)
        ink.upright(lead + 1.2, start, text)

    def _keyed(self, side: str, left: float, x: float) -> bool:
        """Whether the key's tab stands over a column on that side: a flag's lead passes behind it."""
        return self.view.key == side and abs(x - left - self.shell_w / 2) < self._tab()

    def _tab(self) -> float:
        """Half the width of the key's tab: over a column, or narrow between two whose leads run beside it."""
        return self.pitch * (0.42 if self.columns % 2 else 0.26)

    def _arrow(self, ink: Ink, left: float, top: float, r: int) -> None:
        """A small pennant at contact 1, its point towards the cavity, beside the shell."""
        y = top + PAD + r * ROW_PITCH
        clear = 2.2 if self.view.key in ("left", "right") else 0.4
        if not self.on_right:
            tip, tail = left - clear, left - clear - 4.0
        else:
            tip, tail = left + self.shell_w + clear, left + self.shell_w + clear + 4.0
        ink.shape([(tip, y), (tail, y - 1.7), (tail, y + 1.7)], THIN, fill=True)

    def _key(self, ink: Ink, left: float, top: float) -> None:
        """The keying feature: a tab on its side of the shell, with its word."""
        key, w, h = self.view.key, self.shell_w, self.shell_h
        if key in ("top", "bottom"):
            middle = left + w / 2
            y = top if key == "top" else top + h
            ink.box(
                middle - self._tab(), y - (1.5 if key == "top" else 0), 2 * self._tab(), 1.5, 0.45
            )
        elif key in ("left", "right"):
            x = left if key == "left" else left + w
            ink.box(x - (1.8 if key == "left" else 0), top + h / 2 - 2.6, 1.8, 5.2, 0.45)
