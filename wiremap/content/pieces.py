"""What a page is made of, as plain data: nothing here knows of paper, ink or fonts."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.content.face_pieces import FaceBlock
from wiremap.content.fitted import FittedCard
from wiremap.content.steps import Steps, TwoNames
from wiremap.evidence import Count


@dataclass(frozen=True, slots=True, kw_only=True)
class PageHead:
    """What stands on every page: whose sheet it is and how far the work has come."""

    title: str
    id: str
    revision: str
    digest: str
    surveyed: Count
    rung_out: Count
    filled_in: bool  # what is read and done stands on the sheet too
    held: bool
    wrong: bool  # something is wrong at first power
    not_judged: int
    stamp: str
    cautions: int


@dataclass(frozen=True, slots=True)
class TextPiece:
    """A paragraph."""

    text: str
    strong: bool = False  # in the heavy cut, and on the page of what follows
    keep: bool = False  # on the page of what follows


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


@dataclass(frozen=True, slots=True, kw_only=True)
class WireRow:
    """One wire across two cut ends; `mark` is a word that wants to be seen: ask, likely."""

    circuit: str
    left: WireEnd
    right: WireEnd
    mark: str
    first: bool = True  # first row of its circuit


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A circuit for which no work is printed."""

    circuit: str
    points: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class WireTable:
    """The map: wire rows under words that say which ends stand left and right of the cut."""

    left: str
    right: str
    rows: tuple[WireRow | RefusedRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOutRow:
    """Cavities of one end that stay out, how they are treated and why."""

    points: tuple[str, ...]
    wire: str
    signal: str
    treat: str
    why: str

    @property
    def end(self) -> str:
        """The end that they belong to."""
        return self.points[0].partition(".")[0]


NAME_LETTERS = 14  # of a joint's name beside its place


@dataclass(frozen=True, slots=True)
class StripJoint:
    """A joint on the true-scale strip: its middle and the length of its sleeve [mm]."""

    n: int
    name: str
    at_mm: float
    sleeve_mm: float

    @property
    def left_mm(self) -> float:
        """Where its sleeve begins."""
        return self.at_mm - self.sleeve_mm / 2

    @property
    def right_mm(self) -> float:
        """Where its sleeve ends."""
        return self.left_mm + self.sleeve_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Joint places of one run at true scale, measured from the machine's last tie."""

    run_mm: float
    spots: tuple[StripJoint, ...]
    keep_out: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """Rows of facts under column words; `shares` are the widths in parts of the whole."""

    columns: tuple[str, ...]
    shares: tuple[float, ...]
    rows: tuple[tuple[str, ...], ...]
    tick: bool = False  # a box in front of every row


@dataclass(frozen=True, slots=True)
class Curve:
    """A line on the fuse drawing: points of amps and seconds."""

    name: str
    points: tuple[tuple[float, float], ...]
    heavy: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class CurrentMark:
    """A current that is marked on the fuse drawing: load, far-end short."""

    word: str
    amps: float


@dataclass(frozen=True, slots=True)
class FusePlot:
    """Fuse against wire: how long each may carry each current."""

    title: str
    curves: tuple[Curve, ...]
    marks: tuple[CurrentMark, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class CutLeg:
    """One wire of a cut pair: the far end, and the port's contact that it goes to."""

    far: str
    port: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandStrip:
    """An in-line unit, sketched: both cut legs of a side, what lies across, ground, feed."""

    unit: str
    left: tuple[CutLeg, CutLeg]
    right: tuple[CutLeg, CutLeg]
    ground: str
    feed: str
    across_left: str
    across_right: str
    shield: str


@dataclass(frozen=True, slots=True)
class Flag:
    """A wire flag to cut out, the same read from either end: where to, which signal, which job."""

    text: str
    under: str
    mark: str


@dataclass(frozen=True, slots=True)
class Flags:
    """Wire flags, two on each."""

    flags: tuple[Flag, ...]


Block = (
    TextPiece
    | Warning
    | WireTable
    | LeftOutRow
    | FaceBlock
    | Strip
    | Ledger
    | FusePlot
    | HandStrip
    | Flags
    | Steps
    | TwoNames
    | FittedCard
)


UNNUMBERED = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A heading with its blocks."""

    key: str
    title: str
    drawn_from: str = ""  # from where its drawing is seen, or its lengths are counted
    blocks: tuple[Block, ...]
    lead: str = ""  # one sentence under the heading
    fresh: bool = True  # begins a page, unless the page before is nearly empty
    faces_again: bool = False  # its faces stand on each of its pages
    stop: bool = False  # begins a page whatever stands before it
    whole: bool = False  # begins a page unless the page before has room for all of it
    cut_up: bool = False  # scissors go through its pages: nothing else stands on them
    stage: int = UNNUMBERED  # the number of its stage in the order of work
    name: str = ""  # that number, with a letter where the stage has several sections


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole sheet, ready to be set."""

    head: PageHead
    sections: tuple[Section, ...]
