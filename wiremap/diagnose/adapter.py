"""An adapter as found.

Its map, what the rule book says of it, what is open, and how that is told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any

from wiremap.base import Finding, some_of
from wiremap.diagnose.as_built import BARRED
from wiremap.diagnose.astray import Astray
from wiremap.diagnose.crossed_signals import Exchange
from wiremap.diagnose.explain import Ask
from wiremap.diagnose.misread_faces import MisreadFace
from wiremap.diagnose.plain_contacts import Contradiction, reading_words
from wiremap.evidence import SILENT_SURE_OHMS
from wiremap.evidence.meter import SHORT_OHMS
from wiremap.model import Entry, Job, Seen
from wiremap.ringout.taken import DIODE_RANGE, seen

IN_ORDER, HOLD, INCOMPLETE = "in-order", "hold", "incomplete"
WORDS: Mapping[str, str] = MappingProxyType({HOLD: "on hold"})
SHOWN = 8  # contacts that are named in one line


@dataclass(frozen=True, slots=True, kw_only=True)
class NotApart:
    """Two nets not proven apart, each by one contact, and why they must be."""

    one: str
    two: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Adapter:
    """An adapter as found.

    `parts` are ohms or a diode between two contacts, no joint.  `findings` leaves out those that
    would take a contact not yet probed for one left out, `not_judged` is what the papers of two
    faces cannot say.  `unclear` are readings of several contacts at once that answered, nobody
    knows yet from which.  `partly` gives for a contact that was probed and joins nothing yet one
    contact of each net of the other side that it was not read against.  `not_apart` has the worst
    first, `untested` is how many pairs of nets nobody asks to be proven apart, `left_alone` are
    contacts that nobody may probe.
    """

    job: Job
    circuits: tuple[tuple[str, ...], ...]
    parts: tuple[Entry, ...]
    findings: tuple[Finding, ...]
    not_judged: tuple[str, ...]
    misread: tuple[MisreadFace, ...]
    exchanges: tuple[Exchange, ...]
    astray: tuple[Astray, ...]
    contradictions: tuple[Contradiction, ...]
    not_counted: tuple[Entry, ...]
    unclear: tuple[Entry, ...]
    not_probed: tuple[str, ...]
    partly: Mapping[str, tuple[str, ...]]
    not_apart: tuple[NotApart, ...]
    untested: int
    left_alone: tuple[str, ...]
    next: tuple[Ask, ...]

    @cached_property
    def gaps(self) -> tuple[str, ...]:
        """What keeps the map from being whole, each kind with its number."""
        diodes = sum(part.ohms is None for part in self.parts)
        sought = sum(bool(each.sweep and each.sure) for each in self.astray)
        kinds = (
            (sought, "wire{s} to be looked for"),
            (len(self.not_probed), "contact{s} not probed yet"),
            (len(self.partly), "contact{s} neither joined nor proven apart"),
            (len(self.contradictions), "contradiction{s}"),
            (
                len(self.unclear),
                "reading{s} of several contacts at once that answered",
            ),
            (len(self.not_apart), "pair{s} of circuits not proven apart"),
            (diodes, "diode{s} to be added to the map by hand"),
        )
        return tuple(f"{count} {words.format(s=_s(count))}" for count, words in kinds if count)

    @property
    def verdict(self) -> str:
        """`incomplete` while the map has gaps, then what the rule book says: `hold`, `in-order`."""
        if self.gaps:
            return INCOMPLETE
        return HOLD if self.holds else IN_ORDER

    @property
    def holds(self) -> bool:
        """Whether what has been heard so far is enough to hold it."""
        misplaced = any(each.sure and each.arrives for each in self.astray)
        return misplaced or any(finding.holds for finding in self.findings)

    @property
    def header(self) -> tuple[str, ...]:
        """What the head of the file of its map must say."""
        lines = ["As found: worked out from probe readings alone."]
        if self.gaps:
            lines.append(f"Incomplete: {', '.join(self.gaps)}.")
        if self.not_probed:
            lines.append(f"Not probed yet: {', '.join(self.not_probed)}.")
        return tuple(lines)

    def told(self) -> list[str]:
        """The verdict in words, a line each, the verdict first."""
        lines = [self.headline]
        lines += [f"{finding.severity.value}: {finding.message}" for finding in self.findings]
        lines += [f"not judged: {words}" for words in self.not_judged]
        return [*lines, *self.mixed_up(), *self.open_points()]

    def mixed_up(self) -> list[str]:
        """Which face was read wrongly, or which circuits are exchanged, which wires went astray."""
        if self.misread:
            return [each.told for each in self.misread]
        return [*(each.told for each in self.exchanges), *(each.told for each in self.astray)]

    def open_points(self) -> list[str]:
        """Parts, contradictions, what does not count, and what keeps the map from being whole."""
        lines = [f"part: {reading_words(part)}: {_part_words(part)}" for part in self.parts]
        lines += [f"contradiction: {contradiction.told}" for contradiction in self.contradictions]
        lines += self._not_counted_lines()
        lines += self._open_lines()
        if self.left_alone:
            named = ", ".join(self.left_alone)
            lines.append(f"left alone: {named}: {BARRED}, and nothing is said of it")
        return lines

    def _not_counted_lines(self) -> Iterator[str]:
        for entry in self.not_counted[:SHOWN]:
            yield f"not counted: {reading_words(entry)}: {_why_not_counted(entry)}"
        if len(self.not_counted) > SHOWN:
            yield f"not counted: {len(self.not_counted) - SHOWN} readings more"

    def _open_lines(self) -> Iterator[str]:
        """What keeps the map from being whole, in words."""
        if self.not_probed:
            named = ", ".join(self.not_probed)
            yield f"not probed yet: {named}: nobody knows what they reach"
        for point, left in self.partly.items():
            yield f"neither joined nor proven apart: {point}, not probed against {_shortened(left)}"
        for comb in self.unclear:
            yield f"unclear: {reading_words(comb)}: one of these answers; probe each half by itself"
        if self.not_apart:
            worst = self.not_apart[0]
            count = len(self.not_apart)
            yield (
                f"not proven apart: {count} pair{_s(count)} of circuits where a touch would harm "
                f"or is likely, the worst {worst.one} and {worst.two} ({worst.why})"
            )
        if self.untested:
            yield (
                f"untested: {self.untested} pair{_s(self.untested)} of circuits neither side by "
                "side nor dangerous together"
            )

    @property
    def headline(self) -> str:
        """The verdict in one sentence."""
        words = f"as built: {WORDS.get(self.verdict, self.verdict)}"
        if self.gaps:
            words += f": {', '.join(self.gaps)}"
            if self.holds:
                words += "; what was heard so far holds it already"
        return words

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data."""
        return {
            "verdict": self.verdict,
            "gaps": list(self.gaps),
            "circuits": [list(circuit) for circuit in self.circuits],
            "parts": [
                {"red": list(part.red), "black": list(part.black), "seen": seen(part)}
                for part in self.parts
            ],
            "misread": [face.as_dict() for face in self.misread],
            "exchanged": [exchange.as_dict() for exchange in self.exchanges],
            "astray": [each.as_dict() for each in self.astray],
            "not_probed": list(self.not_probed),
            "partly": {point: list(left) for point, left in self.partly.items()},
            "not_apart": [
                {"between": [pair.one, pair.two], "why": pair.why} for pair in self.not_apart
            ],
            "contradictions": [
                [reading_words(entry) for entry in contradiction.readings]
                for contradiction in self.contradictions
            ],
            "unclear": [reading_words(comb) for comb in self.unclear],
            "not_counted": [reading_words(entry) for entry in self.not_counted],
            "not_judged": list(self.not_judged),
            "untested": self.untested,
            "left_alone": list(self.left_alone),
            "next": [
                {
                    "red": list(ask.red),
                    "black": list(ask.black),
                    "why": ask.why,
                    "again": ask.again,
                }
                for ask in self.next
            ],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def batch_lines(asks: Sequence[Ask]) -> list[str]:
    """Probes as batch lines ready to fill in; a `?` left as it is counts as nothing."""
    return [f"{'+'.join(ask.red)} - {'+'.join(ask.black)} ?  # {ask.why}" for ask in asks]


def _why_not_counted(entry: Entry) -> str:
    """Why a reading counts as nothing."""
    if entry.state and entry.state != DIODE_RANGE:
        return f"{entry.state}: it tells of another state than the others"
    if entry.seen == Seen.UNSURE:
        return "not sure proves nothing"
    return "it tells nothing of two contacts"


def _part_words(entry: Entry) -> str:
    """What lies between two contacts that are no joint."""
    if entry.ohms is None:
        return f"a diode, its anode at {entry.red[0]}; add it to the map by hand with its amps"
    if entry.ohms.high < SILENT_SURE_OHMS:
        return f"no sound joint, which reads under {SHORT_OHMS:g} ohm: a part, or a poor joint"
    return "a part or a load, no joint"


def _shortened(points: Sequence[str]) -> str:
    return some_of(points, SHOWN)


def _s(count: int) -> str:
    return "" if count == 1 else "s"
