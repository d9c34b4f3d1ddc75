"""What a proposal says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.model import Circuit, End, Job, NotJoined, Pinout, frozen
from wiremap.trade.functions import FUNCTIONS

GRADES = ("certain", "likely", "ask")  # best first
Side = Sequence[tuple[str, Pinout]]


def worse(one: str, two: str) -> str:
    """The worse of two grades."""
    return GRADES[max(GRADES.index(one), GRADES.index(two))]


@dataclass(frozen=True, slots=True)
class Proposed:
    """One circuit: its points (old first), its grade and why."""

    join: tuple[str, ...]
    grade: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoHome:
    """A contact without a partner: why, and the nearest candidate that was refused."""

    point: str
    why: str
    nearest: str | None = None


@dataclass(frozen=True, slots=True)
class NeedsLogic:
    """Contacts whose signal cannot be carried over by a splice."""

    points: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """The whole proposal."""

    circuits: tuple[Proposed, ...]
    no_home: tuple[NoHome, ...]
    needs_logic: tuple[NeedsLogic, ...]
    not_joined: tuple[NotJoined, ...]

    @property
    def asks(self) -> bool:
        """Whether a person has to settle something."""
        return bool(self.needs_logic) or any(c.grade == "ask" for c in self.circuits)

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "circuits": [
                {"join": list(c.join), "grade": c.grade, "because": list(c.because)}
                for c in self.circuits
            ],
            "no_home": [
                {"point": n.point, "why": n.why, "nearest": n.nearest} for n in self.no_home
            ],
            "needs_logic": [{"points": list(n.points), "why": n.why} for n in self.needs_logic],
        }


def as_job(proposal: Proposal, old: Side, new: Side, *, title: str, path: str = "job.yaml") -> Job:
    """The job that a proposal comes to: old ends as cut tails on the machine's side, new ends as pigtails of the unit."""
    ends = {name: End(name, pinout, "cut-tail", "machine") for name, pinout in old}
    ends |= {name: End(name, pinout, "pigtail", "unit") for name, pinout in new}
    circuits = tuple(
        Circuit(c.join[0], c.join, grade=c.grade, because=c.because) for c in proposal.circuits
    )
    return Job(
        title,
        path,
        frozen(ends),
        circuits,
        not_joined=frozen({n.point: n for n in proposal.not_joined}),
    )


def left_over(point: str, pinout: Pinout, why: str) -> NotJoined:
    """The entry of a contact that stays out, with the treatment that its cavity needs."""
    cavity = pinout.cavities[point.partition(".")[2]]
    empty = cavity.unused or cavity.as_found == "empty"
    known = FUNCTIONS[cavity.function]
    reason = why or ("nothing there" if empty else f"{known.slug}: never joined on a guess")
    return NotJoined(point, reason, "blank" if empty else "cap")
