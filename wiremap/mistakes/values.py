"""Which value of a part or load makes a reading what it is, and how two of them are told apart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiremap.evidence import metered
from wiremap.evidence.meter import displayed
from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.parts import (
    AS_DRAWN,
    HALF,
    LOAD_OTHER,
    PART_MISSING,
    PART_WRONG,
    TWICE,
    OtherValue,
)
from wiremap.mistakes.tie import Tie
from wiremap.model import Span
from wiremap.model.quantities import band_ohms, plain
from wiremap.trade.functions import OPPOSITE_HALVES

Points = tuple[str, ...]


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
            yield OtherValue(LOAD_OTHER, (tie.a, tie.b, about), tie.a, tie.b, value)
        elif not _is_supposed_anyway(tie, value):
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
    if not shorted < ohms < opened or now == shorted:  # it is as good as metal on that way
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


def _is_supposed_anyway(tie: Tie, ohms: float) -> bool:
    """Whether the value is as drawn, or of a part half or twice that (see `parts_wrong`)."""
    usual = (AS_DRAWN, HALF, TWICE) if tie.name else (AS_DRAWN,)
    return any(tie.ohms.low * by <= ohms <= tie.ohms.high * by for by in usual)


def _valued(drawn: Drawn, tie: Tie, ohms: float) -> OtherValue:
    """A part or load of these ohms, which are told to three digits."""
    about = f"about {band_ohms(ohms, ohms)}{_terminators(drawn, tie, ohms)}"
    if tie.name:
        return OtherValue(PART_WRONG, (tie.name, about), tie.a, tie.b, ohms)
    return OtherValue(LOAD_OTHER, (tie.a, tie.b, about), tie.a, tie.b, ohms)


def _terminators(drawn: Drawn, tie: Tie, ohms: float) -> str:
    """What half of what was drawn across a bus pair means, and what nothing there."""
    points = [drawn.harness.points.get(x) for x in (tie.a, tie.b)]
    pair = {p.function for p in points if p is not None} in OPPOSITE_HALVES
    if math.isinf(ohms) and pair:
        return ": no terminator there, or a wire of the pair broken"
    if math.isinf(ohms):
        return ": nothing there, or a wire to it broken"
    if pair and tie.ohms.low * HALF <= ohms <= tie.ohms.high * HALF:
        return ": one terminator too many in this half"
    return ""


def leg_to_lift(drawn: Drawn, mistakes: Sequence[Mistake]) -> str:
    """Where a part and a load lie side by side and either may be at fault, what tells: in words."""
    loads = [m for m in mistakes if isinstance(m, OtherValue) and m.kind == LOAD_OTHER]
    accused = {m.subject[0] for m in mistakes if m.kind in (PART_MISSING, PART_WRONG)}
    net_of = drawn.net_of
    for load in loads:
        nets = {net_of[load.a], net_of[load.b]}
        behind = next(t for t in drawn.ties if (t.a, t.b) == (load.a, load.b))
        for tie in drawn.ties:
            if tie.name in accused and {net_of[tie.a], net_of[tie.b]} == nets:
                return _lift(tie, behind)
    return ""


def _lift(tie: Tie, behind: Tie) -> str:
    """Which leg to lift, and what the reading behind it then tells."""
    shown = displayed(behind.ohms)
    band = f"{plain(shown.low)} to {plain(shown.high)} ohm"
    return (
        f"lift {tie.a} and read {behind.a} to {behind.b}: {band}, and {tie.name} is at fault; "
        f"otherwise what sits behind is"
    )
