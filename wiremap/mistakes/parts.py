"""A resistor or diode left out, of another value or the wrong way round.

A load of another value.
"""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.evidence import metered
from wiremap.evidence.meter import displayed
from wiremap.mistakes.build import THROUGH_OHMS, Build, Tie
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Kind, Mistake
from wiremap.mistakes.swap import HALVES
from wiremap.model import Span
from wiremap.model.quantities import plain

FAR_OFF = 3.0  # times by which a load is supposed to differ
HALF, TWICE = 0.5, 2.0  # the values that are supposed of every resistor, whatever was read
Points = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _OfPart(Mistake):
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
class PartLost(_OfPart):
    """A resistor or diode is missing."""

    name: str

    def concerns(self, tie: Tie) -> bool:
        return tie.name == self.name

    def instead(self, tie: Tie) -> Tie | None:
        return None

    def words(self) -> str:
        return f"{self.name} is missing"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return LEAST + 0.3


@dataclass(frozen=True, slots=True)
class PartTurned(_OfPart):
    """A diode sits the wrong way round."""

    name: str

    def concerns(self, tie: Tie) -> bool:
        return tie.name == self.name

    def instead(self, tie: Tie) -> Tie:
        return replace(tie, a=tie.b, b=tie.a)

    def words(self) -> str:
        return f"{self.name} is the wrong way round"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return LEAST + 0.5


@dataclass(frozen=True, slots=True)
class PartScaled(_OfPart):
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
        return LEAST + 0.5


@dataclass(frozen=True, slots=True)
class OtherValue(_OfPart):
    """A resistor, or a load behind the loom, has the value that was read; infinite: open."""

    a: str
    b: str
    ohms: float

    def concerns(self, tie: Tie) -> bool:
        return (tie.a, tie.b) == (self.a, self.b)

    def instead(self, tie: Tie) -> Tie | None:
        return None if math.isinf(self.ohms) else replace(tie, ohms=Span.of(self.ohms))

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return (self.a, self.b)

    def words(self) -> str:
        if self.kind == Kind.EXTRA_WRONG:
            return f"{self.subject[0]} has another value, {self.subject[-1]}"
        one, other, about = self.subject
        return f"what sits behind between {one} and {other} reads {about}"

    def cost(self, drawn: Drawn, failed: int) -> float:
        if math.isinf(self.ohms):
            return LEAST + 0.9
        return LEAST + (0.8 if self.kind == Kind.EXTRA_WRONG else 1.2)


def parts_wrong(drawn: Drawn) -> Iterator[Mistake]:
    """Every resistor or diode of the job left out, of half or twice its value, or turned round."""
    fitted = {t.name for t in drawn.ties}
    for extra in drawn.harness.job.extras.values():
        subject = (extra.name,)
        if extra.kind == "resistor" and extra.name in fitted:
            yield PartLost(Kind.EXTRA_MISSING, subject, extra.name)
            yield PartScaled(Kind.EXTRA_WRONG, subject, extra.name, HALF)
            yield PartScaled(Kind.EXTRA_WRONG, subject, extra.name, TWICE)
        elif extra.kind == "diode":
            yield PartLost(Kind.EXTRA_MISSING, subject, extra.name)
            yield PartTurned(Kind.EXTRA_WRONG, subject, extra.name)


def loads_other(drawn: Drawn) -> Iterator[OtherValue]:
    """What sits behind the loom missing, of a third of its least value, of three times its most."""
    for tie in drawn.ties:
        if tie.outside and not tie.diode:
            for ohms in (math.inf, tie.ohms.low / FAR_OFF, tie.ohms.high * FAR_OFF):
                if ohms > THROUGH_OHMS and (tie.ohms.high < math.inf or ohms < math.inf):
                    about = "open" if math.isinf(ohms) else f"about {plain(ohms)} ohm"
                    subject = (tie.a, tie.b, about)
                    yield OtherValue(Kind.LOAD_OTHER, subject, tie.a, tie.b, ohms)


def other_values(build: Build, red: Points, black: Points, ohms: float) -> Iterator[OtherValue]:
    """A resistor, or what sits behind the loom, of the value that makes a reading what it is.

    Straight across, beside another, or one after the other on the way.
    """
    for tie in build.ties:
        if tie.diode or not (tie.name or tie.outside):
            continue
        value = _value_for(build, tie, red, black, ohms)
        if value is None or (tie.name and math.isinf(value)):  # a lost part is supposed anyway
            continue
        if math.isinf(value):
            about = f"open{_terminators(build.drawn, tie, value)}"
            yield OtherValue(Kind.LOAD_OTHER, (tie.a, tie.b, about), tie.a, tie.b, value)
        elif not _as_usual(tie, value):
            yield _valued(build.drawn, tie, value)


def straight_across(build: Build, tie: Tie, red: Points, black: Points) -> bool:
    """Whether a tie lies between two combs with nothing of its own before or behind it."""
    reds, blacks = {build.net(a) for a in red}, {build.net(a) for a in black}
    one, two = build.net(tie.a), build.net(tie.b)
    return (one in reds and two in blacks) or (one in blacks and two in reds)


def _value_for(build: Build, tie: Tie, red: Points, black: Points, ohms: float) -> float | None:
    """The ohms of a tie at which two combs would read so; None if there are none.

    What two points read is (a + b r) / (c + d r) in any one resistance r: without it, with it
    shorted and as drawn are three readings that tell it.
    """
    opened = _read(build, tie, None, red, black)
    if math.isinf(ohms):
        return math.inf if math.isinf(opened) else None
    drawn = _middle(tie.ohms)
    now = _read(build, tie, drawn, red, black)
    if opened == now:
        return None  # it does not lie on the way
    if metered(Span.of(ohms)).overlaps(Span.of(opened)):
        return math.inf
    shorted = _read(build, tie, 0.0, red, black)
    if not shorted < ohms < opened:
        return None
    if math.isinf(opened):
        return _figure(drawn * (ohms - shorted) / (now - shorted))
    share = (opened - now) / (opened - shorted)
    wanted = (opened - ohms) / (opened - shorted)
    return _figure(drawn * share / (1 - share) * (1 - wanted) / wanted)


def _figure(ohms: float) -> float:
    """Three digits, as a display has."""
    return float(f"{ohms:.3g}")


def _read(build: Build, tie: Tie, ohms: float | None, red: Points, black: Points) -> float:
    """What two combs read with this tie of another value; None: without it."""
    changed = [] if ohms is None else [replace(tie, ohms=Span.of(ohms))]
    others = [t for t in build.ties if t is not tie]
    return _middle(build.with_ties((*others, *changed)).ohms(red, black))


def _middle(span: Span) -> float:
    return span.low if math.isinf(span.high) else (span.low + span.high) / 2


def _as_usual(tie: Tie, ohms: float) -> bool:
    """Whether the value is as drawn, or of a part half or twice that, which is supposed anyway."""
    usual = (HALF, 1.0, TWICE) if tie.name else (1.0,)
    return any(tie.ohms.low * by <= ohms <= tie.ohms.high * by for by in usual)


def _valued(drawn: Drawn, tie: Tie, ohms: float) -> OtherValue:
    about = f"about {plain(ohms)} ohm{_terminators(drawn, tie, ohms)}"
    if tie.name:
        return OtherValue(Kind.EXTRA_WRONG, (tie.name, about), tie.a, tie.b, ohms)
    return OtherValue(Kind.LOAD_OTHER, (tie.a, tie.b, about), tie.a, tie.b, ohms)


def leg_to_lift(drawn: Drawn, mistakes: Sequence[Mistake]) -> str:
    """Where a part and a load lie side by side and either may be at fault, what tells: in words."""
    loads = [m for m in mistakes if isinstance(m, OtherValue) and m.kind == Kind.LOAD_OTHER]
    accused = {m.subject[0] for m in mistakes if m.kind in (Kind.EXTRA_MISSING, Kind.EXTRA_WRONG)}
    net_of = drawn.net_of
    for load in loads:
        nets = {net_of[load.a], net_of[load.b]}
        behind = next(t for t in drawn.ties if (t.a, t.b) == (load.a, load.b))
        for tie in drawn.ties:
            if tie.name in accused and {net_of[tie.a], net_of[tie.b]} == nets:
                return _lift(tie, behind)
    return ""


def _lift(tie: Tie, behind: Tie) -> str:
    shown = displayed(behind.ohms)
    band = f"{plain(shown.low)} to {plain(shown.high)} ohm"
    return (
        f"lift {tie.a} and read {behind.a} to {behind.b}: {band}, and {tie.name} is at fault; "
        f"otherwise what sits behind is"
    )


def _terminators(drawn: Drawn, tie: Tie, ohms: float) -> str:
    """What half of what was drawn across a bus pair means, and what nothing there."""
    points = [drawn.harness.points.get(x) for x in (tie.a, tie.b)]
    pair = {p.function for p in points if p is not None} in HALVES
    if math.isinf(ohms) and pair:
        return ": no terminator there, or a wire of the pair broken"
    if math.isinf(ohms):
        return ": nothing there, or a wire to it broken"
    if pair and tie.ohms.low / 2 <= ohms <= tie.ohms.high / 2:
        return ": one terminator too many in this half"
    return ""
