"""The steps of first power in their order, from lock-out to sleep."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from wiremap.entries.lines import MINUS
from wiremap.firstpower.faces import (
    QUIET,
    QUIET_MINUTES,
    Faces,
    FedWhen,
    NewFace,
    TestLamp,
    is_supply,
)
from wiremap.firstpower.loads import LoadedTests
from wiremap.firstpower.mating import BATTERY_ON, Mating
from wiremap.firstpower.step import (
    AMPS,
    PLUGGED_AGAIN,
    PowerStage,
    PowerStep,
    deed,
    lamp_in,
    lamp_out,
    look,
    turned,
)
from wiremap.firstpower.unmated import Unmated
from wiremap.firstpower.working import Working, driven_at
from wiremap.graph import Harness
from wiremap.model import CHASSIS, EndKind, OnOff, Stop
from wiremap.ringout.fuses import Fuse, fuses_kept, unfused
from wiremap.rules.limits import limit
from wiremap.sizing.job import size_job
from wiremap.sizing.job_sizes import JobSizes
from wiremap.survey.loaded import FILE, FUSE_LAMP_WATTS
from wiremap.survey.lock_out import AT_BATTERY, lock_out
from wiremap.trade.tables import figure

LEAST_ASLEEP = figure(FILE, "row", "least-asleep")
BATTERY_OUT = "battery disconnected, minus first, every other source off, if it is not so still"
TOO_LARGE = "behind one that is larger the wire burns first"
STATED_DRAW = "sum of what the units are stated to draw asleep"
SLEEPS_DEAD = "nothing here is fed with the ignition off: no more than two readings differ by"
UNSTATED_DRAW = "what one added unit may draw asleep, as a unit's paper does not state its own"


def power_plan(harness: Harness, sizes: JobSizes | None = None) -> tuple[PowerStep, ...]:
    """The steps of first power of a settled job, fuses out until their step.

    `sizes` are worked out if not given.
    """
    made = _Order(Faces(harness, sizes or size_job(harness))).steps()
    return tuple(replace(step, n=n) for n, step in enumerate(made, 1))


class _Order:
    """All steps in order, each one deed or one reading."""

    def __init__(self, faces: Faces) -> None:
        self.faces, self.lamp = faces, TestLamp()
        self.loads = LoadedTests(faces, self.lamp)
        self.mating = Mating(faces, self.loads, self.lamp)

    def steps(self) -> Iterator[PowerStep]:
        yield from self._lock_out()
        yield from self._fuses_out()
        yield from self._dark()
        yield from Unmated(self.faces).steps()
        yield from self._fuses_in()
        for fuse in self.faces.own:
            yield from self.mating.own_fuse(fuse)
        yield from self.mating.in_line()
        yield from self.mating.units()
        yield from self._read_off()
        yield from Working(self.faces).steps()
        yield from self._sleep()

    def _lock_out(self) -> Iterator[PowerStep]:
        for do in lock_out(self.faces.job):
            yield deed(PowerStage.LOCK_OUT, do)

    def _fuses_out(self) -> Iterator[PowerStep]:
        """Battery off, this job's fuses out, what is unmated and what stays as it is."""
        yield deed(PowerStage.LAMP, BATTERY_OUT)
        faces = [face.end.name for face in self.faces.all]
        if faces:
            fits = "probe through a contact that fits, never a bare tip in a socket"
            yield deed(PowerStage.LAMP, f"unmated: {', '.join(faces)}", fits)
        plugged = self._into_the_machine()
        if plugged:
            yield deed(PowerStage.LAMP, f"mated with the machine: {', '.join(plugged)}")
        nameless = "the job does not name it: pull fuses until the contact goes dead"
        for fuse in self.faces.upstream:
            told = f"out: {fuse.out}, it feeds {', '.join(fuse.feeds)}"
            yield deed(PowerStage.LAMP, told, "" if fuse.named else nameless)
        for fuse in self.faces.own:
            yield deed(PowerStage.LAMP, f"holder of {fuse.label} empty")
        if self.faces.upstream:
            kept = fuses_kept(self.faces.harness)
            also = f", also {', '.join(kept)}" if kept else ""
            yield deed(
                PowerStage.LAMP,
                f"the machine's other fuses stay in{also}{self._live_through_others()}",
            )
        lamp = self.faces.lamp(FUSE_LAMP_WATTS)
        for address in unfused(self.faces.harness):
            place = f"in the battery's minus lead for {address}: no fuse protects it"
            yield lamp_in(PowerStage.LAMP, lamp, place)

    def _into_the_machine(self) -> list[str]:
        """The plugs of an adapter that go into the machine's own: its volts come through them."""
        ends = self.faces.job.ends.values()
        return [e.name for e in ends if e.kind is EndKind.MATE and e.is_machine]

    def _live_through_others(self) -> str:
        """Joined wires of the machine that are live with the ignition on through another fuse."""
        named = {address for fuse in self.faces.upstream for address in fuse.feeds}
        found = [
            p.address
            for p in self.faces.harness.points.values()
            if p.is_machine
            and p.address not in named
            and self.faces.harness.circuits_at(p.address)
            and self.faces.fed_when(p.address) == FedWhen.KEY
        ]
        return f" ({', '.join(found)} may be live through one)" if found else ""

    def _dark(self) -> Iterator[PowerStep]:
        """A lamp in the place of each fuse: whoever sees it burn has found a short."""
        for fuse in self.faces.upstream:
            yield lamp_in(PowerStage.LAMP, self.faces.fuse_lamp(), f"in place of {fuse.out}")
        if any(self.faces.switched(face) for face in self.faces.all):
            yield deed(PowerStage.LAMP, "the machine's own lights and switches off")
        battery_on = turned(PowerStage.LAMP, OnOff.OFF, f"ignition off, {BATTERY_ON}", AT_BATTERY)
        yield replace(battery_on, stop=Stop.BATTERY)
        names = " and ".join(fuse.name for fuse in self.faces.upstream)
        short = (
            "one burns, or the limited feed limits: a short, or another load on its fuse: unplug "
            "that till the fuse is in"
        )
        if names:
            for key in (OnOff.OFF, OnOff.ON):
                dark = look(PowerStage.LAMP, f"ignition {key}: no lamp burns ({names})", short)
                yield replace(dark, turns=key)
        yield PowerStep(
            stage=PowerStage.LAMP,
            do=f"ignition off, lamps still in place, {QUIET}: "
            "current in the battery's minus lead, then meter out",
            red=MINUS,
            black=CHASSIS,
            key=OnOff.OFF,
            quantity=AMPS,
            state="fuses out",
            why="what the machine draws without this job",
            wait_minutes=QUIET_MINUTES,
        )

    def _fuses_in(self) -> Iterator[PowerStep]:
        """Each fuse in for its lamp, then a load over what it feeds."""
        yield turned(PowerStage.LOAD, OnOff.OFF, "ignition off")
        for fuse in self.faces.upstream:
            yield replace(lamp_out(PowerStage.LOAD, fuse.fit), why=PLUGGED_AGAIN)
        for face in self.faces.all:
            later = [*self.faces.supplies(face, FedWhen.KEY), *self.faces.switched(face)]
            self.loads.comes_later(face.points, later, self.faces.upstream)
        yield from self._face_loads(FedWhen.ALWAYS)
        if any(self.faces.supplies(face, FedWhen.KEY) for face in self.faces.all):
            yield turned(PowerStage.LOAD, OnOff.ON, f"{self.lamp.put_away()}ignition on")
            yield from self._face_loads(FedWhen.KEY)
        yield from self._switched_loads()

    def _face_loads(self, feed: FedWhen) -> Iterator[PowerStep]:
        """The lamp over every contact that the machine feeds at that time."""
        for face in self.faces.all:
            fed = self.faces.supplies(face, feed)
            yield from self.loads.steps(PowerStage.LOAD, face.points, fed, self.faces.upstream)

    def _switched_loads(self) -> Iterator[PowerStep]:
        """The lamp over every contact that is live only while a switch of the machine is on."""
        lit = [point for face in self.faces.all for point in self.faces.switched(face)]
        if not lit:
            return
        names = dict.fromkeys(map(partial(driven_at, self.faces), lit))
        on = f"ignition on, and the machine's own switch on for {', '.join(names)}"
        yield turned(PowerStage.LOAD, OnOff.ON, f"{self.lamp.put_away()}{on}")
        for face in self.faces.all:
            fed = self.faces.switched(face)
            grounds = self.loads.comes_later(face.points, fed, self.faces.upstream)
            yield from self.loads.steps(PowerStage.LOAD, grounds, fed, self.faces.upstream)
        yield deed(PowerStage.LOAD, f"{self.lamp.put_away()}those switches off again")

    def _read_off(self) -> Iterator[PowerStep]:
        """Every fuse that is not as found, read off it once all have gone back for good."""
        told = [f"{fuse.label} ({fuse.found_amps:g} A was found)" for fuse in self._swapped()]
        told += [fuse.label for fuse in self.faces.own if fuse.amps is not None]
        if told:
            yield look(PowerStage.MATE, f"read off each fuse itself: {', '.join(told)}", TOO_LARGE)

    def _swapped(self) -> list[Fuse]:
        return [fuse for fuse in self.faces.upstream if fuse.swapped]

    def _sleep(self) -> Iterator[PowerStep]:
        asleep, told = self._asleep_amps()
        asleep_first = turned(
            PowerStage.SLEEP, OnOff.OFF, f"{self.lamp.put_away()}ignition off, {QUIET}"
        )
        yield replace(asleep_first, wait_minutes=QUIET_MINUTES)
        yield PowerStep(
            stage=PowerStage.SLEEP,
            do="current in the battery's minus lead",
            red=MINUS,
            black=CHASSIS,
            key=OnOff.OFF,
            low=0.0,
            high=asleep,
            why="amps above the figure with this job's fuses out; "
            "an in-line unit that never sleeps empties a battery",
            quantity=AMPS,
            state="fuses in",
            source=told,
        )

    def _sleeps_dead(self, face: NewFace) -> bool:
        """Whether nothing feeds a face while the ignition and the machine's switches are off."""
        feeds = {self.faces.fed_when(point.address) for point in face.points}
        supplies = {self.faces.fed_when(p.address) for p in face.points if is_supply(p)}
        return FedWhen.ALWAYS not in feeds and supplies == {FedWhen.KEY}

    def _asleep_amps(self) -> tuple[float, str]:
        """What the units may draw asleep together, and whence that is."""
        if self.faces.all and all(map(self._sleeps_dead, self.faces.all)):
            return LEAST_ASLEEP, SLEEPS_DEAD
        draws: list[float] = []
        for face in self.faces.all:
            points = self.faces.harness.points.values()
            cavities = [p.cavity for p in points if p.owner == face.end.name and p.cavity]
            stated = [c.asleep_amps for c in cavities if c.asleep_amps is not None]
            if not stated:
                return limit("asleep-added-amps"), UNSTATED_DRAW
            draws += stated
        summed = round(sum(draws), 6)
        return (summed, STATED_DRAW) if summed else (limit("asleep-added-amps"), UNSTATED_DRAW)
