"""How long every conductor is cut: a tail to its joint, a new wire from end to end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiremap.graph import Conductor, Harness
from wiremap.sizing.placing import RunLayout
from wiremap.sizing.stagger import Cut, lengths_to_cut, remake_slack_mm


@dataclass(frozen=True, slots=True)
class CutLength:
    """How long one conductor is cut [mm], and the slack in it for remakes."""

    conductor: str
    mm: float
    slack_mm: float


class Cutting:
    """The cuts of one job, once the joints of its runs have their places."""

    def __init__(self, harness: Harness, layouts: Mapping[str, RunLayout]) -> None:
        self.harness = harness
        self.cuts: dict[str, tuple[Cut, str]] = {}  # by joint, with the machine's end of its run
        for run in layouts.values():
            if run.layout is not None:
                for cut in lengths_to_cut(run.layout, run.window):
                    self.cuts[cut.name] = (cut, run.machine)
        self.made_up = dict(self._made_up())

    def lengths(self) -> Iterator[CutLength]:
        """The length to cut of every tail and of every new wire [mm], with slack."""
        want = remake_slack_mm() / 2  # at each joint half of it, the other half is the tail's
        for conductor in self.harness.conductors.values():
            if conductor.is_new and conductor.length_mm is not None:
                slack = want * len(self._joints(conductor))
                mm = conductor.length_mm + slack + self.made_up.get(conductor.circuit, 0.0)
                yield CutLength(conductor.id, mm, slack)
            elif conductor.is_tail:
                yield from self._tail(conductor)

    def _joints(self, conductor: Conductor) -> list[str]:
        """The ids of the joints that a conductor ends in."""
        nodes = (conductor.a, conductor.b)
        return [node[1:] for node in nodes if self.harness.is_joint(node)]

    def _tail(self, conductor: Conductor) -> Iterator[CutLength]:
        """How long a tail is cut for its joint, if that one has a place."""
        joints = self._joints(conductor)
        if not joints or joints[0] not in self.cuts:
            return
        cut, machine = self.cuts[joints[0]]
        end = self.harness.end_of(conductor.point or "")
        if end is not None and end.name == machine:
            yield CutLength(conductor.id, cut.machine_mm, cut.machine_slack_mm)
        else:
            yield CutLength(conductor.id, cut.unit_mm, cut.unit_slack_mm)

    def _made_up(self) -> Iterator[tuple[str, float]]:
        """By how much the new wire of a twist is cut longer than the others of it [mm].

        Its joints are staggered, so that the tails differ: where a tail ends sooner its new wire
        makes up for it.  Then both ways of a pair are as long as each other, and the drain reaches
        its joint (common practice).
        """
        for twist in self.harness.job.twists.values():
            members = (*twist.circuits, *([twist.drain] if twist.drain else []))
            tails = {circuit: self._tail_mm(circuit) for circuit in members}
            known = [mm for mm in tails.values() if mm is not None]
            for circuit, mm in tails.items():
                if mm is not None:
                    yield circuit, max(known) - mm

    def _tail_mm(self, circuit: str) -> float | None:
        """How long the one tail of a circuit is cut; None where there is none, or several."""
        wires = self.harness.conductors_by_circuit.get(circuit, ())
        cuts = [cut for wire in wires if wire.is_tail for cut in self._tail(wire)]
        return cuts[0].mm if len(cuts) == 1 else None


def cut_lengths(harness: Harness, layouts: Mapping[str, RunLayout]) -> Iterator[CutLength]:
    """The length to cut of every loom and donor conductor and every new wire [mm], with slack."""
    return Cutting(harness, layouts).lengths()
