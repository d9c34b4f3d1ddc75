"""What a typed answer means: the entries that it comes to, or why it is none."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeGuard

from wiremap.diagnose.turn import KEYS, Turn
from wiremap.entries.numbers import read_seen
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake, words
from wiremap.model import Address, Entry, EntryKind, Seen, Span
from wiremap.ringout.taken import DIODE_RANGE

BEEPER_ALONE = (Seen.BEEP, Seen.SILENT)
NO_DIODE = ("no diode", "nodiode", "no drop")
SWEPT = "told by its name in a sweep"


class Typed:
    """Reads what was typed at a turn of one harness."""

    def __init__(self, drawn: Drawn) -> None:
        self.drawn = drawn

    def read(self, turn: Turn, text: str) -> list[Entry]:
        """The entries that a line answers a turn with, nobody's yet; none if it cannot be read."""
        mended = re.fullmatch(r"(?i)m(?:ended)?\b[\s:]*(.*)", text)
        if mended:
            return self._mended(turn, mended[1])
        if turn.mend:
            return []
        named, shown = self._named(turn, text)
        if named:
            return _swept(turn, named, shown)
        seen = _seen(turn, text)
        if seen is None or (turn.is_one_by_one and _is_figure(seen)):
            return []
        return [_entry(turn, turn.red, turn.black, seen)]

    def _mended(self, turn: Turn, text: str) -> list[Entry]:
        points = [p for p in re.split(r"[\s,+]+", text) if p]
        if not points and turn.mend and turn.certain:
            points = [a for m in turn.mend for a in self.places(m)]
        small = {a.casefold(): a for a in self.drawn.harness.points}
        known = [small.get(p.casefold()) for p in points]
        if not known or not all(known):
            return []
        where = tuple(dict.fromkeys(Address.read(a) for a in known if a))
        what = words(turn.mend) if turn.mend and turn.certain else ""
        return [Entry(kind=EntryKind.MENDED, points=where, what=what)]

    def places(self, mistake: Mistake) -> Sequence[str]:
        """The contacts at which a mistake is mended."""
        joined = [self.drawn.reached.get(n, ())[:1] for n in mistake.joins(self.drawn)]
        return (*mistake.touches(self.drawn), *(a for points in joined for a in points))

    def _named(self, turn: Turn, text: str) -> tuple[tuple[str, ...], Seen | Span]:
        """The contacts that a typed line names at a sweep, also some that it does not ask for, and
        what showed there: a beep if the line does not say.

        The probe that is held still may be typed with them, `new.9 - old.7 b`.
        """
        if not turn.is_sweep:
            return (), Seen.BEEP
        small = {a.casefold(): a for a in self.drawn.net_of}
        parts = [part for part in re.split(r"[\s,+]+|\s-\s", text) if part not in ("", "-")]
        typed = [small[part.casefold()] for part in parts if part.casefold() in small]
        rest = " ".join(parts[len(typed) :])
        shown = read_seen(rest) if rest else Seen.BEEP
        if shown != Seen.BEEP and not _is_figure(shown):
            return (), Seen.BEEP
        points = tuple(a for a in typed if a not in turn.red)
        is_known = all(part.casefold() in small for part in parts[: len(typed)])
        return (points if is_known else ()), shown


def _is_figure(seen: Seen | Span | None) -> TypeGuard[Span]:
    """Whether a meter showed ohms, no open circuit."""
    return isinstance(seen, Span) and not math.isinf(seen.low)


def refused(turn: Turn, text: str) -> str:
    """Why a typed answer is none."""
    typed = text.strip()
    if turn.mend:
        named = " and its contacts" if not turn.certain else ""
        return f"nothing is read here: type m{named} once it is mended, or q"
    if turn.is_one_by_one and _is_figure(read_seen(typed)):
        return f"one of them reads that: type which, as `{turn.black[0]} {typed}`"
    if typed and turn.unit == Shows.OHMS and read_seen(text) in BEEPER_ALONE:
        wanted = f" ({turn.expect} expected)" if turn.expect else ""
        return (
            "the beeper alone is not enough here, more than one wire would do the same: type the "
            f"ohms on the display{wanted}, o if it shows none"
        )
    if typed:
        return f"`{typed}` is no answer here: {KEYS}"
    if turn.unit == Shows.OHMS:
        wanted = f" ({turn.expect} expected)" if turn.expect else ""
        return f"a figure is wanted here: type the ohms on the display{wanted}, o if it shows none"
    return f"Enter is no answer: type what the meter does ({KEYS})"


def _seen(turn: Turn, text: str) -> Seen | Span | None:
    if text.casefold() in NO_DIODE:
        return Seen.SILENT if turn.unit == Shows.DIODE else None
    seen = read_seen(text)
    return None if seen in BEEPER_ALONE and turn.unit == Shows.OHMS else seen


def _entry(turn: Turn, red: Sequence[str], black: Sequence[str], seen: Seen | Span) -> Entry:
    state = DIODE_RANGE if turn.unit == Shows.DIODE else None
    entry = Entry(
        kind=EntryKind.PROBE,
        red=tuple(map(Address.read, red)),
        black=tuple(map(Address.read, black)),
        state=str(turn.state) or state,
    )
    return replace(entry, seen=seen) if isinstance(seen, Seen) else replace(entry, ohms=seen)


def _swept(turn: Turn, named: tuple[str, ...], shown: Seen | Span) -> list[Entry]:
    """What a sweep came to: these beeped, the others did not.

    A place outside the sweep tells nothing of those within it, nor does a figure of the others.
    """
    entries = [_entry(turn, turn.red, (a,), shown) for a in named]
    others = () if _is_figure(shown) else tuple(a for a in turn.black if a not in named)
    if others and len(others) < len(turn.black):
        entries.append(_entry(turn, turn.red, others, Seen.SILENT))
    return [replace(e, how=SWEPT) for e in entries]
