"""Which one more mistake could make a reading what it is, in a build that does not explain it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from wiremap.diagnose.one_more import Base
from wiremap.diagnose.weigh import Evidence
from wiremap.evidence import BEEP_SURE_OHMS, OPEN_OHMS, is_silent
from wiremap.evidence.meter import METER_OHMS
from wiremap.mistakes.build import FRESH_NETS, Build
from wiremap.mistakes.every import every, supposed
from wiremap.mistakes.face_read import FaceRead, face_reads
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.move import move
from wiremap.mistakes.open import Open, off_joint, opens
from wiremap.mistakes.parts import OtherValue, parts_wrong
from wiremap.mistakes.poor_joint import poor_joints
from wiremap.mistakes.swap import swap
from wiremap.mistakes.tie import Tie
from wiremap.mistakes.touch import touch
from wiremap.mistakes.values import other_values, straight_across
from wiremap.model import OPEN
from wiremap.ringout.masks import ones_of
from wiremap.ringout.taken import Taken, owner

COMB_UP_TO = 400  # pairs of a comb that are each supposed to touch; a longer one is halved first
SHORT_WAY = 8  # nets on a way through parts up to which each of their points is supposed astray
NEAR_SHARE = 0.15  # values of one load within it are one: other loads on the way are not exact


def _is_near(one: float, other: float) -> bool:
    return one == other or abs(one - other) <= NEAR_SHARE * min(one, other)


class Suppose:
    """Makes candidates; what does not depend on the build is worked out once."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence, self.drawn = evidence, evidence.drawn
        self._opens: dict[int, tuple[Open, ...]] = {}
        self._faces: dict[str, tuple[FaceRead, ...]] = {}
        self._values: dict[tuple[str, str], list[OtherValue]] = {}
        self._parts = tuple(parts_wrong(self.drawn))
        # every mistake that is supposed wherever a net of its own reads wrong
        self._anywhere = tuple((m, m.nets(self.drawn)) for m in supposed(self.drawn))
        self.contacts_of: dict[str, list[str]] = {}  # by end
        for point in self.drawn.points:
            if self.drawn.harness.points[point].end is not None:
                self.contacts_of.setdefault(owner(point), []).append(point)
        # the nets of more than one point, in order
        self.joined = {n: None for n, points in self.drawn.members.items() if len(points) > 1}

    def candidates(self, base: Base, index: int) -> Iterator[Mistake]:
        """The mistakes that, made on top of this build, could make a reading what it is."""
        taken, build = self.evidence.readings[index], base.build
        for end in dict.fromkeys(owner(a) for a in taken.points):
            yield from self.faces(base, end)
        reds, blacks = {build.net(a) for a in taken.red}, {build.net(a) for a in taken.black}
        both = reds & blacks
        if both:
            yield from self._less_than_metal(base, taken, both)
        elif not is_silent(taken.entry):
            pairs = self.pairs_not_silent(index)
            for one, other in pairs if len(pairs) <= COMB_UP_TO else ():
                yield from self._read_as_one(base, one, other, apart=bool(taken.state))
        if taken.state.fuse and is_silent(taken.entry):
            for point in (*taken.points, *self.drawn.legs_of(taken.state)):
                yield from self._not_in_its_net(base, point)
        tied = reds & build.linked and blacks & build.linked
        if tied or taken.entry.ohms is not None or taken.diode_range:
            yield from self._through_parts(base, taken)
        yield from self._near(base, taken)

    def _near(self, base: Base, taken: Taken) -> Iterator[Mistake]:
        """The mistakes that concern a net of a reading, or one that parts connect with it."""
        if not self._anywhere:
            return
        here = {self.drawn.net_of[a] for a in taken.points}
        near = here.union(*(self.drawn.tied.get(n, ()) for n in here))
        for mistake, nets in self._anywhere:
            if mistake not in base.mistakes and not near.isdisjoint(nets):
                yield mistake

    def _less_than_metal(self, base: Base, taken: Taken, nets: set[int]) -> Iterator[Mistake]:
        """What may have come between points that this build has on one net.

        A poor joint with the ohms that were read, or a point that is off its net.
        """
        ohms = taken.entry.ohms
        if ohms is not None and ohms.high < OPEN_OHMS:
            for net in sorted(nets):
                yield from poor_joints(self.drawn, net, ohms.low)
        for point in taken.points:
            if base.build.net(point) in nets:
                yield from self._not_in_its_net(base, point)

    def pairs_not_silent(self, index: int) -> list[tuple[str, str]]:
        """The pairs of points of a reading between which silence was not yet heard."""
        taken = self.evidence.readings[index]
        silent = self.evidence.silent
        return [pair for pair in product(taken.red, taken.black) if frozenset(pair) not in silent]

    def faces(self, base: Base, end: str) -> Iterator[FaceRead]:
        """The whole face of an end read wrongly, unless it was supposed so already."""
        if end not in self.drawn.harness.job.ends:
            return
        if any(isinstance(m, FaceRead) and m.end == end for m in base.mistakes):
            return
        if end not in self._faces:
            self._faces[end] = tuple(face_reads(self.drawn, end))
        yield from self._faces[end]

    def _not_in_its_net(self, base: Base, point: str) -> Iterator[Mistake]:
        """What takes a point off the net where this build has it: an open, an exchange, a stray."""
        build, wire = base.build, base.build.wire(point)
        if wire is not None:
            yield from self.opens(base, build.joint(wire))
        if point in base.confirmed:
            return
        for other in self.contacts_of.get(owner(point), ()):
            if (
                other != point
                and other not in base.confirmed
                and build.own_net(other) != build.own_net(point)
            ):
                yield swap(self.drawn, point, other)
        if wire is not None and self.drawn.net_of[wire] in self.joined:
            for net in self.joined:
                if net != build.joint(wire):
                    yield move(self.drawn, wire, net)

    def opens(self, base: Base, net: int) -> Iterator[Open]:
        """One conductor of a net as built interrupted."""
        build = base.build
        for way in self._opens_as_drawn(net):
            here = tuple(w for w in way.wires if build.joint(w) == net)
            if here == way.wires:
                yield way
            elif here:
                yield off_joint(self.drawn, here)
            if base.mistakes and here:  # what came to the net may hang on either side
                others = [w for w in self.drawn.members[net] if w not in way.wires]
                there = tuple(w for w in others if build.joint(w) == net)
                if there:
                    yield off_joint(self.drawn, there)
        moved = {w for w, n in build.joints.items() if n == net}
        for wire in sorted(moved, key=self.drawn.rank.__getitem__):
            yield off_joint(self.drawn, (wire,))

    def _opens_as_drawn(self, net: int) -> tuple[Open, ...]:
        if net >= FRESH_NETS:
            return ()
        if net not in self._opens:
            self._opens[net] = tuple(opens(self.drawn, net))
        return self._opens[net]

    def _read_as_one(
        self, base: Base, one: str, two: str, *, apart: bool = False
    ) -> Iterator[Mistake]:
        """What makes two points read as one: a touch of their nets, an exchange, a stray.

        No touch of nets that meet outside the harness, as they read as one anyway; unless they were
        parted there for this reading (`apart`).
        """
        here, there = base.build.own_net(one), base.build.own_net(two)
        if here != there and (apart or not self.drawn.inseparable(here, there)):
            yield touch(self.drawn, here, there)
        for point, other in ((one, two), (two, one)):
            yield from self._comes_to(base, point, other)

    def _comes_to(self, base: Base, point: str, other: str) -> Iterator[Mistake]:
        """What brings a point to the net of another."""
        build, drawn = base.build, self.drawn
        neighbours = self.contacts_of.get(owner(point), ())
        for contact in build.members.get(build.net(other), ()):
            if contact != point and owner(contact) == owner(point) and contact in neighbours:
                yield swap(drawn, point, contact)
        wire, into = build.wire(point), build.own_net(other)
        if wire is None or into not in self.joined or build.joint(wire) == into:
            return
        if drawn.net_of[wire] in self.joined:
            yield move(drawn, wire, into)

    # -- through parts ----------------------------------------------------------------------------

    def _through_parts(self, base: Base, taken: Taken) -> Iterator[Mistake]:
        """What changes ohms on a way through parts: the parts themselves, opens and strays of the
        nets on the way, touches.
        """
        drawn, build, ohms = self.drawn, base.build, taken.entry.ohms
        yield from self._parts
        if not taken.state and ohms is not None and METER_OHMS < ohms.low == ohms.high:
            yield from self._other_values(base, taken, ohms.low)
        way = self._way(build, taken)
        astray = len(way) <= SHORT_WAY or (ohms is not None and ohms.low < BEEP_SURE_OHMS)
        for net in way:
            yield from self.opens(base, net)
            for point in drawn.members.get(net, ()) if astray else ():
                yield from self._not_in_its_net(base, point)
            for other in sorted({*drawn.reached} - {net}) if taken.is_alone else ():
                if not drawn.inseparable(net, other):
                    yield touch(drawn, net, other)

    def _other_values(self, base: Base, taken: Taken, ohms: float) -> Iterator[OtherValue]:
        """Parts and loads of another value; values that two readings tell nearly alike are one.

        On a build with a mistake, only parts straight between the points of the reading get a value
        that no reading told before.
        """
        for mistake in other_values(base.build, taken.red, taken.black, ohms):
            tie = Tie(mistake.a, mistake.b, OPEN)
            straight = straight_across(base.build, tie, taken.red, taken.black)
            known = self._values.setdefault((mistake.a, mistake.b), [])
            if straight or not any(_is_near(m.ohms, mistake.ohms) for m in known):
                known.append(mistake)
            if straight or not base.mistakes:
                yield from (m for m in known if _is_near(m.ohms, mistake.ohms))

    def _way(self, build: Build, taken: Taken) -> list[int]:
        """The nets that parts, loads and diodes connect with those of a reading."""
        net_of = self.drawn.net_of
        nets = {net_of[a] for a in taken.points} | {build.own_net(a) for a in taken.points}
        found = {m for n in nets for m in self.drawn.tied.get(n, ())}
        for tie in self.drawn.ties:
            poles = {net_of[tie.a], net_of[tie.b]}
            if tie.diode and poles & nets:
                found |= poles
        return sorted(found)

    def behind_parts(self, failing: int) -> Iterator[Mistake]:
        """Every modelled mistake on a net that parts or loads connect with a failed reading."""
        drawn, readings = self.drawn, self.evidence.readings
        here = {drawn.net_of[a] for k in ones_of(failing) for a in readings[k].points}
        nets = {m for n in here for m in drawn.tied.get(n, ())}
        for mistake in every(drawn) if nets else ():
            if not nets.isdisjoint(mistake.nets(drawn)):
                yield mistake
