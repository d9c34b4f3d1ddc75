"""The shell of a connector: its face, its contacts, and what they accept."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, replace

from wiremap.base import Place
from wiremap.model.quantities import Span
from wiremap.model.words import Contacts, KeyAt, KeyShape, LookedAt, Plating


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepts:
    """What a contact and its seal take: cross-section, insulation diameter, current."""

    csa_mm2: Span | None = None
    insulation_mm: Span | None = None
    amps: float | None = None


ACCEPTS_UNKNOWN = Accepts()


PROBED_FROM = LookedAt.MATING  # where a probe meets contacts; wires go in at the other side


@dataclass(frozen=True, slots=True)
class Face:
    """The contact pattern of the WIRED half as seen from `view` ("mating" or "wire-entry").

    `rows` lists cavity names from left to right, top to bottom; None is a gap.  A file that shows
    the unit's own header (`half: unit`) has been mirrored once by the reader, so `view` and `rows`
    always speak of the half that carries the wires.  `key` says where the keying feature sits in
    that view (top, right, ...), `key_shape` what it looks like, `key_by` beside which cavity it is.
    """

    view: LookedAt
    rows: tuple[tuple[str | None, ...], ...]
    _: KW_ONLY
    key: KeyAt | None = None
    key_shape: KeyShape | None = None
    key_by: str | None = None  # None: in the middle of its side
    place: Place | None = None

    def seen_from(self, view: LookedAt) -> Face:
        """This face drawn from the asked side: the other side is the mirror image."""
        if view == self.view:
            return self
        return replace(self.mirrored(), view=view)

    def mirrored(self) -> Face:
        """This face with left and right exchanged, the side it is seen from kept."""
        rows = tuple(tuple(reversed(row)) for row in self.padded())
        return replace(self, rows=rows, key=self.key and self.key.mirrored)

    def padded(self) -> tuple[tuple[str | None, ...], ...]:
        """The rows made equally long with gaps on the right."""
        widths = [len(row) for row in self.rows]
        return tuple(row + (None,) * (max(widths) - len(row)) for row in self.rows)

    @property
    def probed(self) -> Face:
        """This face as whoever puts a probe to it looks at it."""
        return self.seen_from(PROBED_FROM)

    @property
    def names(self) -> tuple[str, ...]:
        """Every cavity named in the face, row by row."""
        return tuple(name for row in self.rows for name in row if name is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """The shell: wording, kind of contact, sealing, face and what its contacts accept."""

    shell: str = ""
    contacts: Contacts | None = None
    sealed: bool | None = None  # None: not stated
    plating: Plating | None = None
    face: Face | None = None
    accepts: Accepts = ACCEPTS_UNKNOWN
    place: Place | None = None

    def other_half(self) -> Connector:
        """The half that it mates with: the other kind of contact, the face mirrored."""
        face = self.face and self.face.mirrored()
        if face is not None and face.key_shape is not None:
            face = replace(face, key_shape=face.key_shape.other)
        return replace(self, contacts=self.contacts and self.contacts.other, face=face)


SHELL_UNKNOWN = Connector()
