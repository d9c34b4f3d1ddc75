"""What a drawn face shows, as plain data: cavities row by row, their flags, from which side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from wiremap.content.words import listed
from wiremap.model import Contacts, KeyAt, KeyShape, LookedAt


class Look(StrEnum):
    """How a cavity looks on its face."""

    WIRED = "wired"
    OUT = "out"  # its wire is tied back
    BLANK = "blank"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One cavity on a face: its name, its word flag, its look."""

    name: str
    flag: str = ""  # empty: without a flag
    look: Look = Look.WIRED
    large: bool = False  # takes a larger contact than others of its face
    first: bool = False  # contact 1, or the first one where there is no 1
    alike: bool = False  # the colour of its wire comes again in the same connector
    here: bool = False  # a probe goes there: drawn filled

    @property
    def has_wire(self) -> bool:
        """Whether a wire goes into it."""
        return self.look in (Look.WIRED, Look.OUT)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceView:
    """A face as seen from one side, row by row; None is a gap."""

    view: LookedAt
    rows: tuple[tuple[Hole | None, ...], ...]
    key: KeyAt | None = None  # the side with the keyway; None where nobody has told
    key_shape: KeyShape | None = None
    key_by: str = ""  # the cavity beside which the keyway sits; empty: in the middle of its side
    contacts: Contacts | None = None
    part: str = ""  # which piece of a face that is wider than the paper
    owner: str = ""  # the connector, where no title over the view names it

    @property
    def holes(self) -> list[Hole]:
        """All cavities, row by row, without the gaps."""
        return [hole for row in self.rows for hole in row if hole is not None]

    @property
    def columns(self) -> int:
        """The length of the longest row."""
        return max(len(row) for row in self.rows)

    @property
    def side(self) -> str:
        """From which side it is seen, and whose face it is where no title says so."""
        seen = SIDES[self.view]
        return f"{self.owner}, {seen}" if self.owner else seen

    @property
    def where(self) -> str:
        """Where the keyway is and of which form; of a piece, which one it is."""
        if self.part or not self.key:
            return self.part
        return listed(f"keyway {self.key}", self.key_shape)


SIDES = {LookedAt.MATING: "mating face", LookedAt.WIRE_ENTRY: "wire-entry side"}


@dataclass(frozen=True, slots=True)
class FlagLine:
    """A word flag that is listed beside the face, not led out of it."""

    cavity: str
    flag: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceBlock:
    """A connector: its two faces, or none where nobody has told how it looks."""

    name: str
    shell: str
    views: tuple[FaceView, ...]
    cavities: int
    flag_list: tuple[FlagLine, ...]
    alike: tuple[str, ...]  # wires of one colour: `9 and 10 blue`
    legend: str = ""  # what the signs on it mean, where no sentence over it says so

    @property
    def title(self) -> str:
        """Name and shell; empty where each view names its connector."""
        if self.views and all(view.owner for view in self.views):
            return ""
        return f"{self.name}: {self.shell}" if self.shell else self.name


def signs_told(blocks: Iterable[FaceBlock]) -> str:
    """What each sign means that some faces bear, and nothing of the others."""
    views = [view for block in blocks for view in block.views]
    holes = [hole for view in views for hole in view.holes]
    looks = {hole.look for hole in holes}
    signs = (
        ("Triangle: contact 1.", any(hole.first for hole in holes)),
        ("Bump or notch: keyway, the one told.", any(view.key for view in views)),
        ("Heavy ring: large contact.", any(hole.large for hole in holes)),
        ("Strokes: tied back.", Look.OUT in looks),
        ("Double ring: plug.", Look.BLANK in looks),
        ("Diamond: look-alike.", any(hole.alike for hole in holes)),
    )
    return " ".join(words for words, is_borne in signs if is_borne)
