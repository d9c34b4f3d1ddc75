"""Every single mistake that is modelled; a new kind is its own file and one more line here."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face_read import FaceRead, face_reads
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.move import moves
from wiremap.mistakes.open import Open, opens
from wiremap.mistakes.parts import parts_wrong
from wiremap.mistakes.swap import swaps
from wiremap.mistakes.touch import touches


def _faces(drawn: Drawn) -> Iterator[FaceRead]:
    for end in drawn.harness.job.ends:
        yield from face_reads(drawn, end)


def _opens(drawn: Drawn) -> Iterator[Open]:
    for net in drawn.members:
        yield from opens(drawn, net)


Generator = Callable[[Drawn], Iterator[Mistake]]
FEW: tuple[Generator, ...] = (_faces, _opens)  # coverage makes each such mistake by itself
MODELLED: tuple[Generator, ...] = (*FEW, swaps, touches, moves, parts_wrong)


def one_by_one(drawn: Drawn) -> Iterator[Mistake]:
    """The mistakes of which there are few."""
    for of_kind in FEW:
        yield from of_kind(drawn)


def every(drawn: Drawn) -> Iterator[Mistake]:
    """Every single mistake that is modelled, kind by kind; none that leaves the metal as drawn."""
    for of_kind in MODELLED:
        yield from of_kind(drawn)
