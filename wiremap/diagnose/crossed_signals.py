"""Signals that arrive at one another's places: both sides of each exchange, by what the two papers call them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from wiremap.mistakes.face import whole_face
from wiremap.model import Cavity, Pinout
from wiremap.propose import compare, propose_map
from wiremap.propose.compare import offered
from wiremap.rules.faces import LEAST_MORE, LEAST_TOLD, WORDS


@dataclass(frozen=True, slots=True)
class Exchange:
    """Contacts of the machine's side that arrive at one another's places on the unit's side.

    `arrives` pairs each with where it was found, `belongs` with where the papers want it.  Not `sure`: the papers' words alone
    do not tell like circuits apart.  `disputed` are contacts whose own sources disagree.
    """

    arrives: tuple[tuple[str, str], ...]
    belongs: tuple[tuple[str, str], ...]
    sure: bool
    disputed: tuple[str, ...]
    names: Mapping[str, str]

    @property
    def told(self) -> str:
        """The exchange in words, every side of it named."""
        found = ", ".join(f"{self._name(a)} arrives at {self._name(b)}" for a, b in self.arrives)
        wanted = " and ".join(f"{a} belongs at {b}" for a, b in self.belongs)
        doubt = (
            ""
            if self.sure
            else "; like circuits: unplug one load or sensor and see which goes before a wire is moved"
        )
        if self.disputed:
            doubt += f"; the sources disagree on {', '.join(self.disputed)}: survey first, the paper may be what is exchanged"
        return f"{'exchanged' if self.sure else 'may be exchanged'}: {found}; by the papers {wanted}{doubt}"

    def _name(self, point: str) -> str:
        return f"{point} ({self.names[point]})" if self.names[point] else point

    def as_dict(self) -> dict[str, Any]:
        """The exchange as plain data."""
        return {
            "arrives": [list(p) for p in self.arrives],
            "belongs": [list(p) for p in self.belongs],
            "sure": self.sure,
            "disputed": list(self.disputed),
        }


def exchanges(
    pinouts: Mapping[str, Pinout], groups: Sequence[Sequence[str]]
) -> tuple[Exchange, ...]:
    """Every ring of circuits of which each ends where the papers want the next; the first pinout is the machine's side."""
    machine = next(iter(pinouts))
    cavities = {f"{n}.{name}": c for n, p in pinouts.items() for name, c in p.cavities.items()}
    homes = [points for points, _ in partners(pinouts)]
    home = {a: i for i, points in enumerate(homes) for a in points}
    step: dict[
        int, tuple[int, str, str]
    ] = {}  # from one circuit of the papers to that in whose place it arrives
    for group in groups:
        old, new = (
            [a for a in group if a in home and (a.partition(".")[0] == machine) == mine]
            for mine in (True, False)
        )
        if old and new and {home[a] for a in old}.isdisjoint(home[a] for a in new):
            step.setdefault(home[old[0]], (home[new[0]], old[0], new[0]))
    found = []
    for start in sorted(step):
        ring, at = [start], step[start][0]
        while at in step and at not in ring:
            ring.append(at)
            at = step[at][0]
        if at == start and start == min(ring):
            found.append(
                _exchange([step[i][1:] for i in ring], [homes[i] for i in ring], cavities, machine)
            )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class FaceRead:
    """A whole face that seems to have been read wrongly: of the joints found, how many are the papers' read so, and as written."""

    end: str
    how: str
    read_so: int
    as_written: int
    found: int

    @property
    def told(self) -> str:
        """The face in words."""
        return (
            f"the face of {self.end} may have been read {self.how}: so read, the papers want {self.read_so} of the {self.found} joints "
            f"that were found, as written {self.as_written}; look at its moulded digits before a wire is moved"
        )

    def as_dict(self) -> dict[str, Any]:
        """The same as plain data."""
        return {
            "face": self.end,
            "how": self.how,
            "read_so": self.read_so,
            "as_written": self.as_written,
            "found": self.found,
        }


def misread_faces(
    pinouts: Mapping[str, Pinout], groups: Sequence[Sequence[str]]
) -> tuple[FaceRead, ...]:
    """The whole-face mistakes of one face that explain the joints far better than the papers as written; the best first."""
    found = {pair for g in groups for pair in _across(g)}
    homes = [points for points, _ in partners(pinouts)]
    written = len(found & {pair for points in homes for pair in _across(points)})
    out = []
    for end, pinout in pinouts.items():
        for kind, places in (
            whole_face(pinout.connector.face).items() if pinout.connector.face is not None else ()
        ):
            seat = {
                f"{end}.{wire}": f"{end}.{hole}"
                for hole, wire in places.items()
                if wire is not None
            }
            so = len(
                found
                & {pair for points in homes for pair in _across([seat.get(a, a) for a in points])}
            )
            if so >= max(LEAST_TOLD, written + LEAST_MORE):
                out.append(FaceRead(end, WORDS[kind.rstrip("+-1")], so, written, len(found)))
    best = max((f.read_so for f in out), default=0)
    return tuple(f for f in out if f.read_so == best)


def _across(points: Sequence[str]) -> set[frozenset[str]]:
    """The pairs of points of different faces."""
    return {
        frozenset(p)
        for p in combinations(points, 2)
        if p[0].partition(".")[0] != p[1].partition(".")[0]
    }


def partners(pinouts: Mapping[str, Pinout]) -> list[tuple[tuple[str, ...], str]]:
    """What the papers would join, each with its grade: by proposal, and of what that leaves the only two contacts of one function.

    Those two may be unlike in what a splice cannot mend, such as a bit rate, and yet be where a wire was laid.
    """
    machine, *units = pinouts.items()
    proposal = propose_map([machine], units)
    homes = [(c.join, c.grade) for c in proposal.circuits]
    placed = {a for points, _ in homes for a in points}
    rest: dict[str, dict[bool, list[str]]] = {}
    for end, pinout in pinouts.items():
        for name, cavity in pinout.cavities.items():
            if (a := f"{end}.{name}") not in placed and offered(cavity):
                rest.setdefault(cavity.function, {True: [], False: []})[end == machine[0]].append(a)
    pairs = (
        (*sides[True], *sides[False])
        for sides in rest.values()
        if len(sides[True]) == len(sides[False]) == 1
    )
    return homes + [(pair, "ask") for pair in pairs]


def _exchange(
    arrives: Sequence[tuple[str, str]],
    homes: Sequence[Sequence[str]],
    cavities: Mapping[str, Cavity],
    machine: str,
) -> Exchange:
    belongs = [
        (old, "+".join(a for a in points if a.partition(".")[0] != machine))
        for (old, _), points in zip(arrives, homes, strict=True)
    ]
    touched = [a for pair in arrives for a in pair]
    disputed = tuple(
        a
        for a in touched
        if any(c.reading.function != cavities[a].function for c in cavities[a].also)
    )
    sure = all(compare(cavities[a], cavities[b]).refused for a, b in arrives)
    return Exchange(
        tuple(arrives), tuple(belongs), sure, disputed, {a: cavities[a].signal for a in touched}
    )
