"""The faces that the harness brings for units, and what feeds which of their contacts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from wiremap.evidence.expected import electrical, machine_volts, rested_volts
from wiremap.evidence.expected_volts import LIVE_ALWAYS
from wiremap.evidence.probe_points import is_hole, test_points
from wiremap.firstpower.lamp import Lamp
from wiremap.graph import Harness, Nets, Point
from wiremap.model import CHASSIS, End, EndKind, Flow, Side, Treat
from wiremap.ringout.fuses import Fuse, fuses_out
from wiremap.sizing.job_sizes import JobSizes
from wiremap.survey.loaded import FUSE_LAMP_WATTS
from wiremap.survey.own_ground import Belonging, OwnGrounds

NEW_FACES = (EndKind.PIGTAIL, EndKind.MATE)  # a cut tail and a tap have none
BY_KEY = frozenset(  # functions that are live with the ignition on
    {"switched-supply", "accessory-supply", "relay-switched-supply", "start-supply", "wake"}
)
QUIET_MINUTES = 75  # units go to sleep one by one, by makers' texts after up to 75 min
QUIET = f"wait till the current falls no more (up to {QUIET_MINUTES} min)"


class FedWhen(StrEnum):
    """When the machine feeds a contact."""

    ALWAYS = "always"
    KEY = "key"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class NewFace:
    """An unmated face of the harness with its contacts."""

    end: End
    points: tuple[Point, ...]


class Faces:
    """The faces of a job at first power (`all`), its fuses, and the machine's volts.

    `live_volts` is the band in which those lie, `rested_volts` that while nothing charges, `volts`
    what they are called; None where nobody states them.  `upstream` are the machine's fuses, `own`
    those that the job adds.
    """

    def __init__(self, harness: Harness, sizes: JobSizes) -> None:
        self.harness, self.job, self.sizes = harness, harness.job, sizes
        self.sections: Nets = harness.sections
        self.live_volts = machine_volts(self.job)
        self.rested_volts = rested_volts(self.job)
        self.volts = self.job.supply.volts
        if self.volts is None and self.live_volts is not None:
            self.volts = round((self.live_volts.low + self.live_volts.high) / 2)
        fuses = fuses_out(harness, sizes)
        self.upstream = [fuse for fuse in fuses if not fuse.own]
        self.own = [fuse for fuse in fuses if fuse.own]
        self._grounds = OwnGrounds(self.job)
        self.all = tuple(self._faces())

    def _faces(self) -> list[NewFace]:
        test = set(test_points(self.harness))
        faces = []
        for end in self.job.ends.values():
            if end.kind in NEW_FACES and not end.is_machine:
                points = [p for p in self.harness.points.values() if p.owner == end.name]
                contacts = [p for p in points if p.address in test and self._has_contact(p)]
                faces.append(NewFace(end, tuple(contacts)))
        return faces

    def _has_contact(self, point: Point) -> bool:
        """Whether there is a contact to touch: none in a hole, none under a plug.

        An unused contact with a wire in it is one: what is live there is live, whatever it is
        called.
        """
        if point.cavity is None:
            return False
        bare = not point.cavity.has_wire or is_hole(self.harness, point.address)
        if point.cavity.unused and bare:
            return False
        left = self.job.not_joined.get(point.address)
        return left is None or left.treat != Treat.BLANK

    def machine_functions(self, address: str) -> set[str]:
        """The functions of the machine's wires that a contact is one metal with, fuses out."""
        points = self.harness.cavities(self.sections.of(address))
        return {p.function for p in points if p.is_machine}

    def fed_when(self, address: str) -> FedWhen:
        """When the machine feeds a contact."""
        functions = self.machine_functions(address)
        if functions & LIVE_ALWAYS:
            return FedWhen.ALWAYS
        return FedWhen.KEY if functions & BY_KEY else FedWhen.NEVER

    def supplies(self, face: NewFace, feed: FedWhen) -> list[Point]:
        """The supply contacts of a face that the machine feeds at that time."""
        return [p for p in face.points if is_supply(p) and self.fed_when(p.address) == feed]

    def switched(self, face: NewFace) -> list[Point]:
        """The contacts that the machine feeds by a switch of its own: those of its lamps."""
        return [p for p in face.points if self._by_switch(p)]

    def _by_switch(self, point: Point) -> bool:
        if not is_lamp(point) or self.is_fed_by_unit(point):
            return False
        behind = self.harness.cavities(self.sections.of(point.address))
        return any(p.is_machine and is_lamp(p) for p in behind)

    def is_fed_by_unit(self, point: Point) -> bool:
        """Whether a unit feeds the lamp at a contact, not the machine.

        Its own paper tells, else that of a contact on the same metal: either end may tell.
        """
        if point.cavity is not None and point.cavity.flow is not None:
            return point.cavity.flow == Flow.FROM_UNIT
        metal = self.harness.cavities(self.sections.of(point.address))
        told = {p.cavity.flow for p in metal if p.cavity is not None and is_lamp(p)}
        return Flow.FROM_UNIT in told

    def ground(self, face: NewFace) -> str:
        """The ground of the first supply at a face that the machine feeds, else the first ground;
        the chassis if the face has none.
        """
        grounds = self.grounds(face.points)
        for supply in face.points if grounds else ():
            if is_supply(supply) and self.fed_when(supply.address) != FedWhen.NEVER:
                grounds = self.own_grounds(supply, grounds)
                break
        return next((ground.address for ground in grounds), CHASSIS)

    def own_grounds(self, supply: Point, grounds: Sequence[Point]) -> list[Point]:
        """Those of some grounds that are most surely a supply's own; all where nothing tells."""
        own = self._grounds.own(supply.address, [ground.address for ground in grounds])
        return [ground for ground in grounds if ground.address in own]

    def belongs(self, supply: Point, ground: Point) -> Belonging:
        """How surely a ground is a supply's own."""
        return self._grounds.belongs(supply.address, ground.address)

    def grounds(self, points: Sequence[Point]) -> list[Point]:
        """The joined power grounds among contacts."""
        return [
            p
            for p in points
            if p.function == "power-ground" and self.harness.circuits_at(p.address)
        ]

    def feeds(self, fuse: Fuse, face: NewFace) -> bool:
        """Whether a fuse feeds a contact of a face."""
        if fuse.own:
            return any(p.address in fuse.feeds for p in face.points)
        behind = set(fuse.feeds)
        return any(behind & set(self.sections.of(p.address).points) for p in face.points)

    def moving(self) -> list[Point]:
        """The unit's joined outputs that drive something."""
        return [
            p
            for p in self.harness.points.values()
            if p.cavity is not None
            and p.end is not None
            and p.end.side == Side.UNIT
            and electrical(p.cavity) == "drive"
            and self.harness.circuits_at(p.address)
        ]

    # -- lamps ------------------------------------------------------------------------------------

    def lamp(self, watts: float) -> Lamp:
        """A bulb for the machine's volts."""
        return Lamp(watts=watts, volts=self.volts)

    def fuse_lamp(self) -> Lamp:
        """What is put in a fuse's place: a small lamp, or a feed that lets no more through."""
        return Lamp(watts=FUSE_LAMP_WATTS, volts=self.volts, or_feed=True)


class TestLamp:
    """The lamp over a feed and its ground while feeds are tried; no other reading is taken with it.

    One for all steps of a plan, as they follow one another.
    """

    def __init__(self) -> None:
        self.watts = 0.0  # 0 if none burns

    def put_away(self) -> str:
        """Take the lamp away if it still burns; the words with which the next step says so."""
        told = "test lamp away, " if self.watts else ""
        self.watts = 0.0
        return told


def is_supply(point: Point) -> bool:
    """Whether a contact is a supply."""
    return point.cavity is not None and electrical(point.cavity) == "supply"


def is_lamp(point: Point) -> bool:
    """Whether a contact feeds a lamp."""
    return point.cavity is not None and electrical(point.cavity) == "lamp"
