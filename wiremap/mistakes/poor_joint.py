"""A joint or a conductor with ohms of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.open import opens
from wiremap.mistakes.tie import Tie
from wiremap.model import Span
from wiremap.model.quantities import band_ohms

# supposed by the diagnosis at ohms that were read; `every` makes none, so no MODELLED stands here
POOR_JOINT = MistakeKind("poor-joint", "a poor joint")
COST = LEAST + 0.4  # see `Mistake.cost`


@dataclass(frozen=True, slots=True)
class PoorJoint(Mistake):
    """Some contacts of a net hang on the others through ohms where there should be metal."""

    wires: tuple[str, ...]
    kept: str  # a contact on the other side of it
    ohms: float

    def on(self, build: Build) -> Build:
        tie = Tie(self.wires[0], self.kept, Span.of(self.ohms), poor=True)
        return build.parted(self.wires).with_ties((*build.ties, tie))

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return self.wires

    def words(self) -> str:
        circuit, one, other, about = self.subject
        return (
            f"circuit {circuit} has a poor joint or a hurt wire between {one} and {other}: "
            f"{about}, where sound metal reads under 1 ohm"
        )

    def cost(self, drawn: Drawn, failed: int) -> float:
        return COST


def poor_joints(drawn: Drawn, net: int, ohms: float) -> Iterator[PoorJoint]:
    """A conductor of a net with these ohms: each way of parting its points once."""
    for way in opens(drawn, net):
        kept = tuple(a for a in drawn.members[net] if a not in way.wires)
        one, other = sorted((way.wires, kept), key=lambda side: drawn.rank[side[0]])
        about = f"about {band_ohms(ohms, ohms)}"
        subject = (way.subject[0], ", ".join(one), ", ".join(other), about)
        yield PoorJoint(POOR_JOINT, subject, way.wires, kept[0], ohms)
