"""The whole face of an end read wrongly: mirrored, turned, off by one, by columns, in a snake."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face import whole_face
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled

MIRRORED = MistakeKind("mirrored", "a face read mirrored")
ROTATED = MistakeKind("rotated", "a face turned round")
SHIFTED = MistakeKind("shifted", "a face counted one off")
ROWS_SWAPPED = MistakeKind("rows-swapped", "rows of a face exchanged")
BY_COLUMNS = MistakeKind("by-columns", "a face counted by columns")
SNAKE = MistakeKind("snake", "a face counted in a snake")
KINDS = (MIRRORED, ROTATED, SHIFTED, ROWS_SWAPPED, BY_COLUMNS, SNAKE)
BY_WORD: Mapping[str, MistakeKind] = MappingProxyType({str(kind): kind for kind in KINDS})
WORDS: Mapping[MistakeKind, str] = MappingProxyType(
    {
        MIRRORED: "the face of {} was read mirrored",
        ROTATED: "the face of {} was read turned by half a turn",
        ROWS_SWAPPED: "the rows of {} are exchanged",
        BY_COLUMNS: "the face of {} was counted by columns",
        SNAKE: "every second row of {} was counted backwards",
        SHIFTED: "the face of {} is off by one",
    }
)
# what was done to a face, behind `was`
MISREAD: Mapping[str, str] = MappingProxyType(
    {
        MIRRORED: "read mirrored",
        ROTATED: "turned round",
        ROWS_SWAPPED: "read with its rows exchanged",
        BY_COLUMNS: "counted by columns",
        SNAKE: "counted in a snake",
        SHIFTED: "counted one off",
    }
)
RARE = frozenset({SNAKE, BY_COLUMNS, ROWS_SWAPPED})
READINGS_OF_ONE = 4  # that one exchange makes fail: two wires not where they belong, two elsewhere
MOST_TOLD = 4  # exchanges of a face that are told by their contacts
LIKELY = 1.2  # its cost (see `Mistake.cost`) if several readings failed; two cost more than LEAST
UNLIKELY = LEAST + 0.9  # its cost if no more readings failed than one exchange explains


@dataclass(frozen=True, slots=True)
class FaceRead(Mistake):
    """The wires of a whole face sit where a wrong reading of it puts them."""

    seats: tuple[tuple[str, str | None], ...]  # each contact, and whose wire sits in it

    @property
    def end(self) -> str:
        """The end whose face was read wrongly."""
        return self.subject[0]

    def on(self, build: Build) -> Build:
        return build.seated({p: build.wire(q) if q else None for p, q in self.seats})

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return tuple(p for p, q in self.seats if p != q)

    def words(self) -> str:
        return WORDS[self.kind].format(self.end)

    def mending(self) -> str:
        """Which wires change places, two by two, the first few; empty where not all go in twos."""
        moved = {p: q for p, q in self.seats if p != q}
        twos = [(p, q) for p, q in moved.items() if q is not None and moved.get(q) == p and p < q]
        if not twos or 2 * len(twos) < len(moved):
            return ""
        pairs = ", ".join(f"{p} with {q}" for p, q in twos[:MOST_TOLD])
        more = len(twos[MOST_TOLD:])
        return f"exchange the wires of {pairs}" + (f" and {more} more pairs" if more else "")

    def cost(self, drawn: Drawn, failed: int) -> float:
        """The likeliest of all mistakes if more readings failed than one exchange explains.

        A rare way of misreading must explain more; and where only two wires move, that is the same
        as their exchange, which is likelier.
        """
        least = READINGS_OF_ONE if self.kind in RARE else 1
        if failed <= least or len(self.touches(drawn)) == 2:
            return UNLIKELY
        return LIKELY


def face_reads(drawn: Drawn, end: str) -> Iterator[FaceRead]:
    """Each way of reading the whole face of an end wrongly that changes the metal."""
    face = drawn.harness.job.ends[end].pinout.connector.face
    if face is None:
        return
    for how, places in whole_face(face).items():
        seats = _seats(drawn, end, places)
        kind = BY_WORD[how.rstrip("+-1")]  # both shifts are of one kind
        subject = (end, how.removeprefix("shifted")) if kind == SHIFTED else (end,)
        mistake = FaceRead(kind, subject, seats)
        if seats and mistake.on(drawn.sound).signature():
            yield mistake


def _seats(
    drawn: Drawn, end: str, places: Mapping[str, str | None]
) -> tuple[tuple[str, str | None], ...]:
    """Whose wire sits in each contact of an end; nothing if one is that of no test point."""
    known = set(drawn.points)
    seats = tuple((f"{end}.{p}", f"{end}.{q}" if q else None) for p, q in places.items())
    seats = tuple((p, q) for p, q in seats if p in known)
    if any(q is not None and q not in known for _, q in seats):
        return ()
    return seats


def all_face_reads(drawn: Drawn) -> Iterator[FaceRead]:
    """The whole face of any end read wrongly."""
    for end in drawn.harness.job.ends:
        yield from face_reads(drawn, end)


MODELLED = (Modelled(kinds=KINDS, make=all_face_reads, order=1, supposed=False),)
