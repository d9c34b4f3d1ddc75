"""The volts of the unmated faces: what belongs on each contact, and what must not stand there."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.evidence.expected import (
    ASLEEP_OR_AWAKE,
    AT_REST,
    AWAKE,
    CHARGED,
    ZERO,
    electrical,
)
from wiremap.evidence.measured import measured_volts
from wiremap.evidence.meter import NOISE_VOLTS
from wiremap.firstpower.faces import Faces, FedWhen, NewFace, is_supply
from wiremap.firstpower.step import VOLTS, PowerStage, PowerStep
from wiremap.graph import Point
from wiremap.model import Address, OnOff, Span
from wiremap.survey.bus_pairs import bus_pairs

HELD_BY_MACHINE = frozenset({"lin", "k-line", "l-line", "low-side-drive", "unknown"})
SWITCHED = HELD_BY_MACHINE | {"digital-input"}  # a switch to plus may be closed
HELD = "the machine may hold this line at volts of its own: wanted is what was read before the work"
OTHERWISE = "otherwise than it was read before: do not mate"
AS_READ = "as read before"
DEAD = frozenset({"reference", "ground", "shield", "loop"})  # classes at which no volts may stand

UNSTATED = "the job does not state the machine's volts: write it down, and add supply.volts"

Band = tuple[Span | None, str, str]  # volts that belong there, why others are bad, their source


class Unmated:
    """The readings at the unmated faces, fuses out."""

    def __init__(self, faces: Faces) -> None:
        self.faces = faces
        self.read = measured_volts(faces.job)

    def steps(self) -> Iterator[PowerStep]:
        """Contacts of every face against its ground: some with the ignition off, all with it on."""
        for key in (OnOff.OFF, OnOff.ON):
            for face in self.faces.all:
                black = self.faces.ground(face)
                for point in _pairs_together(face):
                    if point.address == black:
                        continue
                    if key == OnOff.ON or self._read_off(point):
                        yield self._volts(face, point, black, key)

    def _read_off(self, point: Point) -> bool:
        """Whether a contact is read with the ignition off too.

        Supplies, wake and the sensor reference are, and what the machine holds or held at volts of
        its own.  Any other wire that is live is live with the ignition on as well.
        """
        if is_supply(point) or point.function in ("wake", "sensor-supply"):
            return True
        if self.faces.fed_when(point.address) != FedWhen.NEVER:
            return True
        if self.faces.machine_functions(point.address) & HELD_BY_MACHINE:
            return True
        return self._as_read(point.address, OnOff.OFF) not in (None, ZERO)

    def _volts(self, face: NewFace, point: Point, black: str, key: OnOff) -> PowerStep:
        band, why, source = self._band(point, key)
        step = PowerStep(
            stage=PowerStage.VOLTS,
            do=f"unmated face of {face.end.name}, ignition {key}",
            red=point.address,
            black=black,
            key=key,
            why=why,
            quantity=VOLTS,
            source=source,
        )
        return step.within(band)

    def _band(self, point: Point, key: OnOff) -> Band:
        """The volts that belong on a contact with the ignition so; None where nobody can say."""
        feed = self.faces.fed_when(point.address)
        if feed == FedWhen.ALWAYS or (feed == FedWhen.KEY and key == OnOff.ON):
            live = self.faces.rested_volts if key == OnOff.OFF else self.faces.live_volts
            if live is None:
                return None, UNSTATED, ""
            return live, "no supply: fuse, crimp or ground is not sound", ""
        if feed == FedWhen.KEY:
            return ZERO, "live with the ignition off: another feed touches it; do not mate", ""
        return self._unfed(point, key)

    def _unfed(self, point: Point, key: OnOff) -> Band:
        """What belongs on a contact that no supply feeds; more where the machine holds its line."""
        functions = self.faces.machine_functions(point.address)
        legs = functions.intersection(ASLEEP_OR_AWAKE)
        if legs:
            leg = "can-high" if "can-high" in legs else min(legs)
            why = "the machine's own bus stands here when it is awake"
            bands = AWAKE if key == OnOff.ON else ASLEEP_OR_AWAKE  # as before the cut
            return bands[leg], why, ""
        stands = _stands(point, self.faces.live_volts)
        read = self._as_read(point.address, key)
        if read not in (None, ZERO) and read.low <= stands:
            return Span(read.low, min(read.high, stands)), OTHERWISE, AS_READ
        if not functions & SWITCHED or stands <= ZERO.high:
            return ZERO, _stray(point), ""
        if read is not None and read.low <= stands:
            return ZERO, OTHERWISE, AS_READ
        if stands < (self.faces.live_volts.high if self.faces.live_volts else math.inf):
            return Span(ZERO.low, stands), HELD, ""
        return None, HELD, ""

    def _as_read(self, address: str, key: OnOff) -> Span | None:
        """What was read before the cut at the machine's wires that a contact is one metal with.

        None where nobody read it; a wire that showed nothing shows nothing again.
        """
        found = []
        for other in self.faces.harness.cavities(self.faces.sections.of(address)):
            if other.is_machine:
                read = self.read.get(other.address)
                if read is not None and key in read.by_key:
                    found.append(read.by_key[key])
        if not found:
            return None
        volts = max(found)
        if volts <= NOISE_VOLTS:
            return ZERO
        low, high = volts * AT_REST - NOISE_VOLTS, volts * CHARGED + NOISE_VOLTS
        return Span(math.floor(low * 10) / 10, math.ceil(high * 10) / 10)


def _pairs_together(face: NewFace) -> list[Point]:
    """The contacts of a face in order, the low wire of a bus next to its high one."""
    points = {point.address: point for point in face.points}
    for high, low in bus_pairs(face.end):
        one, other = (Address(face.end.name, leg.name) for leg in (high, low))
        if one in points and other in points:
            moved = points.pop(other)
            order = list(points)
            order.insert(order.index(one) + 1, other)
            points = {each: points.get(each, moved) for each in order}
    return list(points.values())


def _stands(point: Point, live: Span | None) -> float:
    """The most volts that a unit's contact may see from a wire that nobody knows.

    An input that is made for the machine's volts stands all of them.
    """
    if point.cavity is None:
        return math.inf
    group = electrical(point.cavity)
    if group in DEAD:
        return ZERO.high
    if group == "bus":
        return ASLEEP_OR_AWAKE["can-high"].high
    stated = point.cavity.volts
    made_for_it = stated is not None and live is not None and stated.high >= live.low
    if group == "input" and stated is not None and not made_for_it:
        return stated.high + NOISE_VOLTS
    return math.inf


def _stray(point: Point) -> str:
    if point.function == "sensor-supply":
        return "volts here: the sensor reference touches a supply; do not mate"
    if point.cavity is not None and point.cavity.unused:
        return "it is called unused, and volts stand on it: a live wire is in use; do not mate"
    return "volts here that do not belong: do not mate"
