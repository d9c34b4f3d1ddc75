"""At work: each output by itself, all of them together, the guards; everything mated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiremap.entries.lines import PLUS
from wiremap.firstpower.carried import SOURCE, carried_amps, expected_amps
from wiremap.firstpower.faces import Faces, NewFace, is_lamp, is_supply
from wiremap.firstpower.step import AMPS, PowerStage, PowerStep, deed, look, turned
from wiremap.graph import Point
from wiremap.model import OnOff, Side
from wiremap.ringout.fuses import Fuse
from wiremap.rules.fed_units import fed_units
from wiremap.rules.outputs import outputs
from wiremap.rules.view import View

RUNS = "the engine runs only where what is tried needs it"
MOVES_SO = "with the ignition on it may move as the pressure comes back"
EXCHANGED = "another one works: stop, battery off, two outputs are exchanged"
AGAIN = "the same on together, no longer"
SPARED = "up to a minute, none longer than it is made for, none against its stop"
AT_GUARD = "all at rest, engine, ignition and pressure off, the key with whoever goes there"
FROM_FAR = "everyone out of reach, then pressure and ignition on, the engine if it needs it"
MOST_NAMED = 4  # outputs told by their contacts
TOGETHER = "outputs on together"
OVERLOADED = "over the limit a load draws too much"


class Working:
    """The steps that try what the unit drives and what stops it."""

    def __init__(self, faces: Faces) -> None:
        self.faces = faces

    def steps(self) -> Iterator[PowerStep]:
        """Each output by itself: two valves of one kind read alike until one moves."""
        units = [face for face in self.faces.all if face.end.side == Side.UNIT]
        moving = self.faces.moving() if units else []
        lit = [point for face in units for point in self.faces.switched(face)]
        clear = "ignition off, blocks away, pressure back, everyone clear"
        yield turned(PowerStage.WORK, OnOff.OFF, clear, MOVES_SO)
        yield turned(PowerStage.WORK, OnOff.ON, "one hand at what stops it all, ignition on", RUNS)
        driven = [*moving, *self._lights(units)]
        draws = self._draws()
        for point in driven:
            here, there = signal_at(point), driven_at(self.faces, point)
            alone = f"{here}{draws.get(point.address, '')} on alone"
            do = f"at the new unit's controls {alone}: {there} works and nothing else"
            yield replace(look(PowerStage.WORK, do, EXCHANGED), tries=point.address)
        if len(driven) > 1:
            yield from self._together(units, driven)
        for point in lit:
            here, there = driven_at(self.faces, point), signal_at(point)
            do = f"at the machine's own switch {here} on alone: {there} works and nothing else"
            yield replace(look(PowerStage.WORK, do, EXCHANGED), tries=point.address)
        if lit:
            yield deed(PowerStage.WORK, "those switches off again")
        if driven or lit:
            yield from self._guarded()

    def _lights(self, units: Sequence[NewFace]) -> list[Point]:
        """The lamps that the unit itself switches."""
        return [
            point
            for face in units
            for point in face.points
            if is_lamp(point)
            and self.faces.is_fed_by_unit(point)
            and self.faces.harness.circuits_at(point.address)
        ]

    def _together(self, units: Sequence[NewFace], driven: Sequence[Point]) -> Iterator[PowerStep]:
        """What each fuse of the units carries with all outputs on, against its rating."""
        together = f"{self._on_together(driven)}, {SPARED}"
        fuses = [fuse for fuse in self._fuses() if self._feeds_any(fuse, units)]
        rated = [fuse for fuse in fuses if fuse.amps is not None]
        if not rated:
            yield look(PowerStage.WORK, f"{together}: no fuse blows")
        turn = together
        for fuse in rated:
            yield PowerStep(
                stage=PowerStage.WORK,
                do=f"{turn}: current through {fuse.label}, by a clamp on its wire",
                red=PLUS,
                black=fuse.first_feed,
                key=OnOff.ON,
                low=0.0,
                high=carried_amps(fuse, self.faces.sizes),
                why=_overloaded(expected_amps(fuse, self.faces.sizes)),
                quantity=AMPS,
                state=TOGETHER,
                source=SOURCE,
            )
            turn = AGAIN

    def _on_together(self, driven: Sequence[Point]) -> str:
        """Which outputs: not all where their loads come to more than their unit may draw."""
        over = [
            f"of {unit.name} at most {unit.most_together_amps:.3g} A by their papers (all come to "
            f"{unit.given_amps:.3g} A)"
            for unit in fed_units(View(self.faces.harness))
            if unit.most_together_amps is not None
        ]
        if over:
            return f"of these only those on together that ever are, {', '.join(over)}"
        if len(driven) <= MOST_NAMED:
            return f"{' and '.join(point.address for point in driven)} on together"
        return f"all {len(driven)} of these on together"

    def _draws(self) -> dict[str, str]:
        """What the load of each output draws, where not all may be on together: to choose by."""
        view = View(self.faces.harness)
        if all(unit.most_together_amps is None for unit in fed_units(view)):
            return {}
        return {
            output.signal.address: f", {output.consumed_amps():.3g} A,"
            for output in outputs(view)
            if output.consumed_amps() and not output.has_unknown_load
        }

    def _fuses(self) -> Iterator[Fuse]:
        yield from self.faces.upstream
        yield from self.faces.own

    def _feeds_any(self, fuse: Fuse, units: Sequence[NewFace]) -> bool:
        """Whether a fuse bears the loads of a unit: one that only wakes it does not."""
        supplies = [p.address for face in units for p in face.points if is_supply(p)]
        behind = {a for feed in fuse.feeds for a in self.faces.sections.of(feed).points}
        return not behind.isdisjoint(supplies)

    def _guarded(self) -> Iterator[PowerStep]:
        for chain in self._guards():
            yield turned(
                PowerStage.WORK, OnOff.OFF, f"{AT_GUARD}: the {chain} loop opened at its guard"
            )
            still = f"{FROM_FAR}, what the {chain} loop stops switched on: nothing moves"
            yield look(PowerStage.WORK, still, "a bridged loop protects nobody")
            shut = f"switched off again, {AT_GUARD}: the {chain} loop shut at its guard"
            yield turned(PowerStage.WORK, OnOff.OFF, shut)
            yield look(PowerStage.WORK, f"{FROM_FAR}: nothing starts by itself")

    def _guards(self) -> list[str]:
        """The loops that the unit's joined contacts belong to."""
        found: dict[str, None] = {}
        for point in self.faces.harness.points.values():
            if point.cavity is None or point.end is None or not point.cavity.chain:
                continue
            if point.end.side == Side.UNIT and self.faces.harness.circuits_at(point.address):
                found[point.cavity.chain] = None
        return list(found)


def _overloaded(expected: float | None) -> str:
    """Why the current through a fuse is read, with what the papers let expect."""
    return OVERLOADED if expected is None else f"{expected:.2g} A are expected; {OVERLOADED}"


def driven_at(faces: Faces, point: Point) -> str:
    """What the machine's papers call what a contact drives; `it` where no wire of it is there."""
    behind = faces.harness.cavities(faces.sections.of(point.address))
    machine = [p for p in behind if p.is_machine]
    return next(map(signal_at, machine), "it")


def signal_at(point: Point) -> str:
    """A contact by its signal and its address."""
    signal = point.cavity.signal if point.cavity is not None else ""
    return f"{signal or point.function.replace('-', ' ')} ({point.address})"
