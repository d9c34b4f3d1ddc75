"""What comes of alike slips is worked out once and told of each.

Two slips are alike when the points of the metals that they touch, in the order of their addresses,
are alike one by one: of one class, and with names (of a pair, a circuit) that are equal or not in
the same places.  It holds only where nothing beyond those metals counts: no part, stud or chassis,
no coding contact, no guard loop, no joined pair, no unit's ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from wiremap.graph import PointKind
from wiremap.mistakes.face_read import FaceRead
from wiremap.rules import View
from wiremap.rules.sensing import says_more
from wiremap.rules.signals import Signal
from wiremap.slips.effect import MARK, NAMED, NOTHING, Effect, Gravity, words_for
from wiremap.slips.outcome import Outcome, OutcomePattern, PointInWords, apart_points, effects
from wiremap.slips.plausible import Planned
from wiremap.slips.rewire import Rewire

Key = tuple[object, ...]
Name = tuple[str, str]  # its kind, and the name


class Row(NamedTuple):
    """What counts of a point of a touched metal."""

    address: str
    number: int  # of its class
    names: tuple[int, ...]  # numbers of its metal and of its signal's names: only equality counts
    circuits: tuple[str, ...]  # those of its names that call a circuit


class Outcomes:
    """What comes of each slip of a job, with those remembered that were worked out before."""

    def __init__(self, base: View, rewire: Rewire) -> None:
        self.base, self.rewire = base, rewire
        self._numbers: dict[Key, int] = {}  # of classes of points, and of names
        self._rows: dict[str, list[Row] | None] = {}  # by point; None: its metal is like no other
        self._words: dict[str, str] = {}  # what points are called, by address
        self._known: dict[Key, OutcomePattern] = {}

    def of(self, planned: Planned) -> Outcome:
        """What comes of a slip."""
        rows = self._rows_around(planned)
        if rows is None:
            return self._worked_out(planned)
        key = _key(planned, rows)
        around = [row.address for row in rows]
        pattern = self._known.get(key)
        if pattern is None:
            pattern = self._known[key] = self._pattern(self._effects(planned), around)
        return self._filled(pattern, around)

    def _effects(self, planned: Planned) -> list[Effect]:
        nets = self.rewire.after(planned.mistake, planned.points)
        return effects(self.base, nets) if nets else []

    def _worked_out(self, planned: Planned) -> Outcome:
        told = self._effects(planned)
        worst = next(iter(told), NOTHING)
        harmful = {effect.points for effect in told if effect.grade is Gravity.HARM}
        return Outcome(
            grade=worst.grade,
            cause=worst.cause,
            sentence=self._in_words(worst.sentence),
            points=tuple(point for points in sorted(harmful) for point in points),
            harms=len(harmful),
        )

    def _in_words(self, sentence: str) -> str:
        return MARK.sub(lambda mark: self._told(mark["at"], in_full=mark["how"] == NAMED), sentence)

    def _told(self, address: str, *, in_full: bool) -> str:
        if not in_full:
            return address
        words = self._words.get(address)
        if words is None:
            words = self._words[address] = words_for(self.base, address)
        return words

    def _pattern(self, told: Sequence[Effect], around: Sequence[str]) -> OutcomePattern:
        """The worst of these effects, its points told by their places."""
        place = {address: index for index, address in enumerate(around)}
        worst = next(iter(told), NOTHING)
        harmful = {effect.points for effect in told if effect.grade is Gravity.HARM}
        return OutcomePattern(
            grade=worst.grade,
            cause=worst.cause,
            parts=tuple(self._parts(worst.sentence, place)),
            points=tuple(sorted({place[point] for points in harmful for point in points})),
            harms=len(harmful),
        )

    def _parts(self, sentence: str, place: Mapping[str, int]) -> Iterator[str | PointInWords]:
        """A sentence parted at its points; a point elsewhere stays in it as it is named."""
        end = 0
        for mark in MARK.finditer(sentence):
            yield sentence[end : mark.start()]
            end = mark.end()
            in_full, at = mark["how"] == NAMED, mark["at"]
            if at in place:
                yield PointInWords(place[at], in_full)
            else:
                yield self._told(at, in_full=in_full)
        yield sentence[end:]

    def _filled(self, pattern: OutcomePattern, around: Sequence[str]) -> Outcome:
        """A pattern told of these points."""
        sentence = ""
        for part in pattern.parts:
            if isinstance(part, str):
                sentence += part
            else:
                sentence += self._told(around[part.place], in_full=part.in_full)
        return Outcome(
            grade=pattern.grade,
            cause=pattern.cause,
            sentence=sentence,
            points=tuple(around[place] for place in pattern.points),
            harms=pattern.harms,
        )

    # -- what makes two slips alike ---------------------------------------------------------------

    def _rows_around(self, planned: Planned) -> list[Row] | None:
        """The points of all touched metals in the order of their addresses.

        None where the slip is like no other.
        """
        if isinstance(planned.mistake, FaceRead):
            return None
        found: list[Row] = []
        for point in planned.points:
            rows = self._rows_of(point)
            if rows is None:
                return None
            first, *_ = rows
            if first not in found:
                found += rows
        found.sort()
        return found

    def _rows_of(self, point: str) -> list[Row] | None:
        """The points of the metal of a point."""
        if point not in self._rows:
            members = first, *_ = self.base.harness.metals.of(point).points
            rows = [self._row(address, first) for address in members]
            known = [row for row in rows if row is not None]
            alone = len(known) < len(members)
            self._rows.update(dict.fromkeys(members, None if alone else known))
        return self._rows[point]

    def _row(self, address: str, metal: str) -> Row | None:
        """What counts of a point; None where more than its metal counts."""
        base = self.base
        point, signal = base.points[address], base.signal(address)
        if point.kind is not PointKind.CAVITY or signal is None or signal.codes:
            return None
        if address in base.fixed(apart_points):
            return None
        names = tuple(_names(signal))
        what_counts = (
            signal.row.slug,
            signal.side,
            signal.owner,
            signal.flow,
            signal.volts,
            signal.kbit_s,
            tuple(kind for kind, _ in names),
            point.function,
            base.is_joined(address),
            base.is_confirmed(address),
        )
        return Row(
            address,
            self._number(what_counts),
            tuple(map(self._number, (("its metal", metal), *names))),
            tuple(name for kind, name in names if kind == "circuit"),
        )

    def _number(self, key: Key) -> int:
        """A number by which equal keys are known."""
        return self._numbers.setdefault(key, len(self._numbers))


def _key(planned: Planned, rows: Sequence[Row]) -> Key:
    """Equal for two slips that are alike: names are numbered anew, in the order they are met."""
    key: list[object] = [type(planned.mistake)]
    seen: dict[int, int] = {}
    circuits: dict[str, None] = {}
    for row in rows:
        key += (row.number, row.address in planned.points)
        for name in row.names:
            key.append(seen.setdefault(name, len(seen)))
        if row.circuits:
            circuits.update(dict.fromkeys(row.circuits))
    key += [says_more(one, two) for one, two in combinations(circuits, 2)]
    return tuple(key)


def _names(signal: Signal) -> Iterator[Name]:
    """Each name that a signal bears, after what kind of name it is."""
    yield from sorted(signal.qualifiers.items())
    yield from ((f"mark {standard}", word) for standard, word in sorted(signal.marks.items()))
    for kind, name in (("pair", signal.pair), ("chain", signal.chain), ("fuse", signal.fuse)):
        if name is not None:
            yield f"its {kind}", name
