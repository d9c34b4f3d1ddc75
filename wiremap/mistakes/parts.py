"""A part left out, of another value or the wrong way round; a load of another value."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass, replace

from wiremap.mistakes.build import THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled
from wiremap.mistakes.tie import Tie
from wiremap.model import Span
from wiremap.model.quantities import band_ohms

PART_MISSING = MistakeKind("extra-missing", "a part left out")
PART_WRONG = MistakeKind("extra-wrong", "a part of another value")
LOAD_OTHER = MistakeKind("load-other", "a load of another value")
FAR_OFF = 3.0  # by how many times a load is supposed to differ
AS_DRAWN, HALF, TWICE = 1.0, 0.5, 2.0  # shares of its value that are supposed of every resistor
# the costs (see `Mistake.cost`)
LOST, TURNED, SCALED = LEAST + 0.3, LEAST + 0.5, LEAST + 0.5
OPEN_INSIDE, OTHER_PART, OTHER_LOAD = LEAST + 0.9, LEAST + 0.8, LEAST + 1.2


@dataclass(frozen=True, slots=True)
class OfPart(Mistake):
    """Something is wrong with the ties of a part, or with what sits behind the loom."""

    @abstractmethod
    def concerns(self, tie: Tie) -> bool:
        """Whether a tie is the one in question."""

    @abstractmethod
    def instead(self, tie: Tie) -> Tie | None:
        """What is there in its place."""

    def on(self, build: Build) -> Build:
        ties: list[Tie] = []
        for tie in build.ties:
            now = self.instead(tie) if self.concerns(tie) else tie
            if now is not None:
                ties.append(now)
        return build.with_ties(tuple(ties))

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return tuple(x for t in drawn.ties if self.concerns(t) for x in (t.a, t.b))


@dataclass(frozen=True, slots=True)
class PartLost(OfPart):
    """A resistor or diode is missing."""

    name: str

    def concerns(self, tie: Tie) -> bool:
        return tie.name == self.name

    def instead(self, tie: Tie) -> Tie | None:
        return None

    def words(self) -> str:
        return f"{self.name} is missing"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return LOST


@dataclass(frozen=True, slots=True)
class PartTurned(OfPart):
    """A diode sits the wrong way round."""

    name: str

    def concerns(self, tie: Tie) -> bool:
        return tie.name == self.name

    def instead(self, tie: Tie) -> Tie:
        return replace(tie, a=tie.b, b=tie.a)

    def words(self) -> str:
        return f"{self.name} is the wrong way round"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return TURNED


@dataclass(frozen=True, slots=True)
class PartScaled(OfPart):
    """A resistor has half or twice its value."""

    name: str
    by: float

    def concerns(self, tie: Tie) -> bool:
        return tie.name == self.name

    def instead(self, tie: Tie) -> Tie:
        return replace(tie, ohms=Span(tie.ohms.low * self.by, tie.ohms.high * self.by))

    def words(self) -> str:
        if self.by == TWICE:
            return f"{self.name} has twice its value"
        return f"{self.name} has half its value, or a second one lies beside it"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return SCALED


@dataclass(frozen=True, slots=True)
class OtherValue(OfPart):
    """A resistor, or a load behind the loom, has the value that was read; infinite: open."""

    a: str
    b: str
    ohms: float

    def concerns(self, tie: Tie) -> bool:
        return (tie.a, tie.b) == (self.a, self.b)

    def instead(self, tie: Tie) -> Tie | None:
        return None if math.isinf(self.ohms) else replace(tie, ohms=Span.of(self.ohms))

    def on(self, build: Build) -> Build:
        ends = self.a, self.b
        ties = [self.instead(t) if (t.a, t.b) == ends else t for t in build.ties]
        return build.with_ties(tuple(t for t in ties if t is not None))

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return (self.a, self.b)

    def words(self) -> str:
        if self.kind == PART_WRONG:
            return f"{self.subject[0]} has another value, {self.subject[-1]}"
        one, other, about = self.subject
        return f"what sits behind between {one} and {other} reads {about}"

    def cost(self, drawn: Drawn, failed: int) -> float:
        if math.isinf(self.ohms):
            return OPEN_INSIDE
        return OTHER_PART if self.kind == PART_WRONG else OTHER_LOAD


def parts_wrong(drawn: Drawn) -> Iterator[Mistake]:
    """Every resistor or diode of the job left out, of half or twice its value, or turned round."""
    fitted = {t.name for t in drawn.ties}
    for extra in drawn.harness.job.extras.values():
        subject = (extra.name,)
        if extra.kind == "resistor" and extra.name in fitted:
            yield PartLost(PART_MISSING, subject, extra.name)
            yield PartScaled(PART_WRONG, subject, extra.name, HALF)
            yield PartScaled(PART_WRONG, subject, extra.name, TWICE)
        elif extra.kind == "diode":
            yield PartLost(PART_MISSING, subject, extra.name)
            yield PartTurned(PART_WRONG, subject, extra.name)


def loads_other(drawn: Drawn) -> Iterator[OtherValue]:
    """What sits behind the loom missing, of a third of its least value, of three times its most.

    Not so small that it reads as metal; and what may be open as it is cannot be missed.
    """
    for tie in drawn.ties:
        if tie.outside and not tie.diode:
            for ohms in (math.inf, tie.ohms.low / FAR_OFF, tie.ohms.high * FAR_OFF):
                if ohms > THROUGH_OHMS and (tie.ohms.high < math.inf or ohms < math.inf):
                    about = "open" if math.isinf(ohms) else f"about {band_ohms(ohms, ohms)}"
                    subject = (tie.a, tie.b, about)
                    yield OtherValue(LOAD_OTHER, subject, tie.a, tie.b, ohms)


MODELLED = (
    Modelled(kinds=(PART_MISSING, PART_WRONG), make=parts_wrong, order=6, supposed=False),
    Modelled(kinds=(LOAD_OTHER,), make=loads_other, order=7, sampled=True, supposed=False),
)
