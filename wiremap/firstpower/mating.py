"""The job's own fuses, the in-line units, and mating: no contact closes while anything is live."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiremap.entries.lines import PLUS
from wiremap.evidence.expected import AWAKE
from wiremap.firstpower.faces import QUIET, QUIET_MINUTES, Faces, FedWhen, NewFace, TestLamp
from wiremap.firstpower.loads import LoadedTests
from wiremap.firstpower.step import (
    AMPS,
    PLUGGED_AGAIN,
    VOLTS,
    PowerStage,
    PowerStep,
    deed,
    lamp_in,
    lamp_out,
    look,
    turned,
)
from wiremap.graph import Point
from wiremap.model import OnOff, Side, Span, Stop
from wiremap.ringout.fuses import Fuse

BATTERY_ON = "battery on, plus first, every other source on"
AWAKE_SOURCE = (
    "ISO 11898-2, from memory: recessive 2 to 3 V; half a volt up for the high wire, down for "
    "the low one, for the mean of a busy bus (common practice)"
)
BURNS_ON = (
    "a lamp that burns on: battery off, unmate: mated wrongly, broken, or awake and in need of "
    "more than a lamp lets through; leave it out only where the unit's maker wants the full feed "
    "at once"
)
UNPLUGGED_AGAIN = (
    "another load on its fuse that made the lamp burn before: unplugged till the fuse is in"
)


class Mating:
    """The steps that put the job's own fuses in and mate the units."""

    def __init__(self, faces: Faces, loads: LoadedTests, lamp: TestLamp) -> None:
        self.faces, self.loads, self.lamp = faces, loads, lamp
        self.stop: Stop | None = Stop.MATING  # None once a step has it: it covers every mating
        self.turned_on = any(  # by an earlier step that the ignition is on for
            faces.supplies(face, FedWhen.KEY) or faces.switched(face) for face in faces.all
        )

    # -- the job's own fuses ----------------------------------------------------------------------

    def own_fuse(self, fuse: Fuse) -> Iterator[PowerStep]:
        """Lamp first, then the fuse, then the feed contact read on the unmated face."""
        fuse_lamp = self.faces.fuse_lamp()
        dark = f"{self.lamp.put_away()}{fuse_lamp} in place of {fuse.label}: it stays dark"
        short = "a lamp that burns shows a short behind this fuse"
        yield replace(look(PowerStage.IN_LINE, dark, short), lamp=fuse_lamp, fuse_lamps=1)
        yield lamp_out(PowerStage.IN_LINE, fuse.fit)
        if not self.turned_on:
            self.turned_on = True
            yield turned(PowerStage.IN_LINE, OnOff.ON, "ignition on")
        for face in self.faces.all:
            fed = [p for p in face.points if p.address in fuse.feeds]
            for point in fed:
                yield self._fed(face, point, fuse)
            yield from self.loads.steps(PowerStage.IN_LINE, face.points, fed, [fuse])

    def _fed(self, face: NewFace, point: Point, fuse: Fuse) -> PowerStep:
        band, why = self._made_for(point)
        step = PowerStep(
            stage=PowerStage.IN_LINE,
            do=f"unmated face of {face.end.name}, {fuse.label} in, ignition on",
            red=point.address,
            black=self.faces.ground(face),
            key=OnOff.ON,
            why=why,
            quantity=VOLTS,
            state=f"{fuse.name} in",
            source="" if band is self.faces.live_volts else "what the contact is made for",
        )
        return step.within(band)

    def _made_for(self, point: Point) -> tuple[Span | None, str]:
        """The volts a supply contact must see before it is mated: its own stated range first."""
        own = point.cavity.volts if point.cavity is not None else None
        live = self.faces.live_volts
        if own is None or own.exact:
            return live, "no supply, or too much: do not mate"
        if live is not None and live.overlaps(own):  # the machine's own band, where that is less
            own = Span(max(own.low, live.low), min(own.high, live.high))
        return own, "outside what the unit is made for, or what the machine gives: do not mate it"

    # -- in-line units and the rest ---------------------------------------------------------------

    def in_line(self) -> Iterator[PowerStep]:
        """Each in-line unit mated, asleep, awake, its bus lines read at the faces still unmated."""
        for face in self.faces.all:
            if face.end.side != Side.BETWEEN:
                continue
            fuses = [f for f in self.faces.own if self.faces.feeds(f, face)]
            if not fuses:
                fuses = [f for f in self.faces.upstream if self.faces.feeds(f, face)]
            first = next(iter(fuses), None)
            asleep = None if first is None else self._asleep(face, first)
            why = "only if every reading at its face was in order"
            yield from self._mated([face], fuses, why, asleep)
            yield from self._bus_lines(face)

    def units(self) -> Iterator[PowerStep]:
        """The units mated."""
        units = [face for face in self.faces.all if face.end.side == Side.UNIT]
        if not units:
            return
        fuses = [
            fuse
            for fuse in (*self.faces.upstream, *self.faces.own)
            if any(self.faces.feeds(fuse, face) for face in units)
        ]
        stop = "the stop passed" if self.stop else "the mating stop passed, which covers each unit"
        yield from self._mated(units, fuses, f"only with {stop}: nothing wrong, nothing left open")
        yield look(PowerStage.MATE, "nothing moves, nothing warms, no new warning lamp")

    def _mated(
        self,
        faces: Sequence[NewFace],
        fuses: Sequence[Fuse],
        why: str,
        asleep: PowerStep | None = None,
    ) -> Iterator[PowerStep]:
        """Battery off, mate, battery on, fuses back one by one, ignition on.

        In the fuses' places lamps, then the fuses; where a leaflet tells what to see, the lamp is
        the bridge across which an ammeter is put, so that the feed is never broken.
        The ignition is off, so that the unit charges its input and then rests: a small lamp lets
        that through and still spares a unit that is mated wrongly.  With the ignition on a lamp
        would starve it (common practice).
        """
        yield turned(PowerStage.MATE, OnOff.OFF, f"{self.lamp.put_away()}ignition off")
        for fuse in fuses:
            yield deed(PowerStage.MATE, f"take {fuse.label} out")
        any_order = (
            "a face that is mated live meets its contacts in any order, supply before ground"
        )
        yield deed(PowerStage.MATE, "battery off, minus first, every other source off", any_order)
        for face in faces:
            name = face.end.name
            stop, self.stop = self.stop, None
            yield replace(deed(PowerStage.MATE, f"mate {name}", why), stop=stop, mates=name)
        lamps = [fuse for fuse in fuses if not self._by_key_alone(fuse)]
        for fuse in lamps:
            lamp = lamp_in(PowerStage.MATE, self.faces.fuse_lamp(), f"in place of {fuse.label}")
            yield lamp if fuse.own else replace(lamp, why=UNPLUGGED_AGAIN)
        starved = "no lamp first: with the ignition off nothing flows, with it on a lamp starves it"
        for fuse in fuses:
            if fuse not in lamps:
                yield deed(PowerStage.MATE, f"fit {fuse.label} again", starved)
        yield from self._battery_on(fuses, lamps, asleep)
        yield turned(PowerStage.MATE, OnOff.ON, "ignition on")

    def _battery_on(
        self,
        fuses: Sequence[Fuse],
        lamps: Sequence[Fuse],
        asleep: PowerStep | None,
    ) -> Iterator[PowerStep]:
        if lamps:
            yield look(
                PowerStage.MATE, f"{BATTERY_ON}: a lamp may flash and glow, not burn on", BURNS_ON
            )
        else:
            yield deed(PowerStage.MATE, BATTERY_ON)
        if asleep is not None and fuses[0] in lamps:
            yield asleep
        for fuse in lamps:
            back = lamp_out(PowerStage.MATE, f"fit {fuse.label} again")
            yield back if fuse.own else replace(back, why=PLUGGED_AGAIN)

    def _by_key_alone(self, fuse: Fuse) -> bool:
        """Whether nothing flows through a fuse while the ignition is off."""
        contacts = self.faces.job.extras[fuse.name].legs if fuse.own else fuse.feeds
        feeds = {self.faces.fed_when(address) for address in contacts}
        return FedWhen.KEY in feeds and FedWhen.ALWAYS not in feeds

    def _asleep(self, face: NewFace, fuse: Fuse) -> PowerStep | None:
        """What an in-line unit draws asleep, in place of its fuse; None without its leaflet."""
        cavities = [p.cavity for p in face.points if p.cavity is not None]
        stated = [c.asleep_amps for c in cavities if c.asleep_amps is not None]
        if not stated:
            return None
        red, black = PLUS, fuse.first_feed
        if fuse.own:
            red, black = self.faces.job.extras[fuse.name].legs
        name = face.end.name
        return PowerStep(
            stage=PowerStage.MATE,
            do=f"ignition off, {name} asleep, {QUIET}: the ammeter across the lamp of "
            f"{fuse.label}, then the lamp out, read, the lamp back before the ammeter comes off",
            red=red,
            black=black,
            key=OnOff.OFF,
            low=0.0,
            high=round(sum(stated), 6),
            why="an in-line unit that never sleeps empties a battery",
            quantity=AMPS,
            state=f"{name} asleep",
            wait_minutes=QUIET_MINUTES,
            source="stated for the unit",
        )

    def _bus_lines(self, between: NewFace) -> Iterator[PowerStep]:
        """The bus lines that a mated in-line unit drives, read at the faces still unmated."""
        name = between.end.name
        for face in self.faces.all:
            if face.end.side == Side.BETWEEN:
                continue
            for point in face.points:
                if point.function in AWAKE and self._meets(point, name):
                    step = PowerStep(
                        stage=PowerStage.MATE,
                        do=f"{name} awake, unmated face of {face.end.name}",
                        red=point.address,
                        black=self.faces.ground(face),
                        key=OnOff.ON,
                        why="the in-line unit does not hold its bus: feed, ground or pair",
                        quantity=VOLTS,
                        state=f"{name} mated",
                        source=AWAKE_SOURCE,
                    )
                    yield step.within(AWAKE[point.function])

    def _meets(self, point: Point, end: str) -> bool:
        """Whether a contact is one metal with a contact of an end."""
        points = self.faces.harness.cavities(self.faces.sections.of(point.address))
        return any(p.end is not None and p.end.name == end for p in points)
