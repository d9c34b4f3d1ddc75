"""What a sheet is made of, as plain data: nothing here knows of paper, ink or fonts."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Head:
    """What stands on every page: whose sheet it is and how far the work has come."""

    title: str
    id: str
    revision: str
    digest: str
    surveyed: tuple[int, int]
    rung_out: tuple[int, int]
    held: bool
    stamp: str
    cautions: int


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; `strong` is set in the heavy cut, `small` in the size for sources; `sign` labels a line to sign beside it.

    `keep`: it stays with what follows, as a strong one does anyway.
    """

    text: str
    strong: bool = False
    small: bool = False
    indent_mm: float = 0.0
    sign: str = ""
    keep: bool = False


@dataclass(frozen=True, slots=True)
class Warning:
    """A strip with a heavy edge: a word in front, sentences behind it."""

    word: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WireEnd:
    """One side of a wire row: where, which wire, which signal."""

    point: str
    wire: str
    signal: str


@dataclass(frozen=True, slots=True)
class WireRow:
    """One wire across two cut ends, with its tick box."""

    circuit: str
    left: WireEnd
    right: WireEnd
    mark: str = ""  # a word that wants to be seen: ask, harm
    first: bool = True  # first row of its circuit


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A circuit for which no work is printed."""

    circuit: str
    points: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class LeftRow:
    """A cavity that stays out, how it is treated and why."""

    point: str
    wire: str
    signal: str
    treat: str
    why: str


@dataclass(frozen=True, slots=True)
class Hole:
    """One cavity on a face: its name, its word flag, its look."""

    name: str
    flag: str = ""
    look: str = "wired"  # wired, out (wire tied back), blank, empty
    large: bool = False
    first: bool = False


@dataclass(frozen=True, slots=True)
class FaceView:
    """A face as seen from one side, row by row; None is a gap."""

    view: str  # mating, wire-entry
    key: str | None
    rows: tuple[tuple[Hole | None, ...], ...]
    part: str = ""  # which piece of a face that is wider than the paper


@dataclass(frozen=True, slots=True)
class FaceBlock:
    """A connector: its two faces, or none where nobody has told how it looks."""

    name: str
    shell: str
    views: tuple[FaceView, ...]
    cavities: int = 0
    flag_list: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of a joint's row of work."""

    text: str


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint as a complete row of work."""

    n: int
    harm: bool  # exchanged here, something can break or move
    name: str
    wires: tuple[str, ...]
    stages: tuple[Stage, ...]
    notes: tuple[str, ...] = ()  # told apart by, what a slip here would do


@dataclass(frozen=True, slots=True)
class Joints:
    """All joints, in working order."""

    rows: tuple[JointRow, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A joint on the true-scale strip."""

    n: int
    name: str
    at_mm: float
    sleeve_mm: float


@dataclass(frozen=True, slots=True)
class Strip:
    """Joint places of one run at true scale, measured from the datum of `origin`."""

    run: str
    origin: str
    far: str
    run_mm: float
    spots: tuple[Spot, ...]
    keep_out: tuple[tuple[float, float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Card:
    """One reading to take; `write` asks for the figure to be written in."""

    n: str
    red: str
    black: str
    expect: str
    write: bool = False
    note: str = ""
    mark: str = ""  # a word that wants to be seen, beside the figure: owed
    still: str = ""  # the point on which its probe stays for the next reading or stood for the last


@dataclass(frozen=True, slots=True)
class Cards:
    """Cards under one heading, set one below another in columns; `dense` ones as many beside each other as fit."""

    title: str
    cards: tuple[Card, ...]
    dense: bool = False


@dataclass(frozen=True, slots=True)
class Deed:
    """A short thing to do or to read: its boxes, its number, what it is, what shall be seen, lines to write on."""

    n: str
    text: str
    want: str = ""
    boxes: int = 1
    blanks: int = 0
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Deeds:
    """Deeds one behind another like the words of a sentence, under a heading."""

    title: str
    deeds: tuple[Deed, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """A numbered thing to do, ticked; `blanks` are words with a line to write on."""

    n: str
    text: str
    blanks: tuple[str, ...] = ()
    small: bool = False


@dataclass(frozen=True, slots=True)
class Fill:
    """A row of labelled lines to write on."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """Plain rows of facts under column words; `shares` are the widths in parts of the whole; `tick` puts a box in front."""

    columns: tuple[str, ...]
    shares: tuple[float, ...]
    rows: tuple[tuple[str, ...], ...]
    tick: bool = False


@dataclass(frozen=True, slots=True)
class Curve:
    """A line on the fuse drawing: points of amps and seconds."""

    name: str
    points: tuple[tuple[float, float], ...]
    heavy: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class FusePlot:
    """Fuse against wire: how long each may carry each current."""

    title: str
    curves: tuple[Curve, ...]
    marks: tuple[tuple[str, float], ...]  # word and amps: load, far-end fault
    sentence: str


@dataclass(frozen=True, slots=True)
class HandStrip:
    """The cut pair with an in-line module, drawn as numbered things for the hand."""

    module: str
    left: tuple[str, str]
    right: tuple[str, str]
    ports: tuple[tuple[str, str], tuple[str, str]]
    ground: str
    feed: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Flag:
    """A wire flag to cut out, the same read from either end: where to, which signal, which job."""

    text: str
    under: str
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Flags:
    """Wire flags, two on each."""

    flags: tuple[Flag, ...]


@dataclass(frozen=True, slots=True)
class WireTable:
    """The map: wire rows under words that say which ends stand left and right of the cut."""

    left: str
    right: str
    rows: tuple[WireRow | RefusedRow, ...]


Block = (
    Text
    | Warning
    | WireTable
    | LeftRow
    | FaceBlock
    | Joints
    | Strip
    | Cards
    | Deeds
    | Step
    | Fill
    | Ledger
    | FusePlot
    | HandStrip
    | Flags
)


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its blocks; `fresh` begins a page, `drawn_from` says which side the section is drawn from."""

    key: str
    title: str
    drawn_from: str
    blocks: tuple[Block, ...] = field(default=())
    lead: str = ""  # one sentence under the heading
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole sheet, ready to be set."""

    head: Head
    sections: tuple[Section, ...]
