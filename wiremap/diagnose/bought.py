"""A bought or inherited adapter, judged from two pinouts and probe readings: what it joins, what is still open, what to probe next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Any

from wiremap.base import Finding
from wiremap.diagnose.as_built import BARRED, job_of, spared
from wiremap.diagnose.crossed_signals import Exchange, FaceRead, exchanges, misread_faces, partners
from wiremap.diagnose.explain import Ask
from wiremap.diagnose.plain_contacts import Clash, Heard, pairs_of, told
from wiremap.evidence import SILENT_SURE_OHMS, danger, near_pairs, settle
from wiremap.evidence.meter import SHORT_OHMS
from wiremap.evidence.probe_points import ADAPTER, nets_for
from wiremap.graph import Harness
from wiremap.graph.walks import Joined
from wiremap.model import Address, Entry, Job, Pinout
from wiremap.ringout.readings import DIODE_RANGE, owner, seen
from wiremap.rules import run

IN_ORDER, HOLD, INCOMPLETE = "in-order", "hold", "incomplete"
FILL_IN = "next, as batch lines: put b, s or the ohms for each ?"
LEFT_OUT = frozenset(
    {
        "cavity-forgotten",
        "coding-undecided",
        "guard-open",
        "input-floating",
        "left-out-unexplained",
        "needed-signal-open",
        "nothing-feeds",
        "partner-missing",
    }
)  # rules that take an open contact for a decision
SHOWN = 8  # contacts that are named in one line
Groups = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Open:
    """Two nets that nobody has proven apart: their numbers, how bad a touch would be (0 the worst), and why they must be."""

    nets: tuple[int, int]
    rank: int
    why: str


@dataclass(frozen=True)
class Adapter:
    """An adapter as found: its map, what the rule book says of it, what is open, and the next probes."""

    job: Job
    circuits: Groups
    parts: tuple[Entry, ...]  # ohms or a diode between two contacts: no joint
    findings: tuple[
        Finding, ...
    ]  # without those that would take a contact not yet probed for one left out
    misread: tuple[FaceRead, ...]
    exchanges: tuple[Exchange, ...]
    clashes: tuple[Clash, ...]  # readings that contradict one another
    idle: tuple[Entry, ...]  # readings that count as nothing
    combs: tuple[Entry, ...]  # combs that answered, nobody knows yet from where
    not_probed: tuple[str, ...]
    partly: Mapping[
        str, tuple[str, ...]
    ]  # contact: one contact of each net of the other side that is left
    beside: tuple[
        tuple[str, str, str], ...
    ]  # nets not proven apart, and why they must be; the worst first
    untested: int  # pairs of nets that nobody asks to be proven apart
    left_alone: tuple[str, ...]  # restraint and high voltage
    next: tuple[Ask, ...]

    @cached_property
    def gaps(self) -> tuple[str, ...]:
        """What keeps the map from being whole, each kind with its number."""
        diodes = sum(e.ohms is None for e in self.parts)
        kinds = (
            (len(self.not_probed), "contact{s} not probed yet"),
            (len(self.partly), "contact{s} neither joined nor proven apart"),
            (len(self.clashes), "contradiction{s}"),
            (len(self.combs), "comb{s} that answered and must be parted"),
            (len(self.beside), "pair{s} of nets not proven apart"),
            (diodes, "diode{s} to be added to the map by hand"),
        )
        return tuple(f"{n} {text.format(s='s' * (n != 1))}" for n, text in kinds if n)

    @property
    def verdict(self) -> str:
        """`incomplete` while the map has gaps, then what the rule book says of it: `hold` or `in-order`."""
        return INCOMPLETE if self.gaps else HOLD if self.holds else IN_ORDER

    @property
    def holds(self) -> bool:
        """Whether what has been heard so far is enough to hold it."""
        return any(f.holds for f in self.findings)

    @property
    def header(self) -> tuple[str, ...]:
        """What the head of the file of its map must say."""
        gaps = (f"Incomplete: {', '.join(self.gaps)}.",) if self.gaps else ()
        bare = (f"Not probed yet: {', '.join(self.not_probed)}.",) if self.not_probed else ()
        return ("As found: worked out from probe readings alone.", *gaps, *bare)

    def told(self) -> list[str]:
        """The verdict in words, a line each, what must be read first at the top and the verdict last."""
        lines = [f"{f.severity.value}: {f.message}" for f in self.findings]
        lines += [x.told for x in self.misread or self.exchanges]
        lines += [f"part: {told(e)}: {_part(e)}" for e in self.parts]
        lines += [f"contradiction: {c.told}" for c in self.clashes]
        lines += [f"not counted: {told(e)}: {_idle(e)}" for e in self.idle[:SHOWN]]
        if len(self.idle) > SHOWN:
            lines.append(f"not counted: {len(self.idle) - SHOWN} readings more")
        if self.not_probed:
            lines.append(
                f"not probed yet: {', '.join(self.not_probed)}: nobody knows what they reach"
            )
        for point, left in self.partly.items():
            lines.append(
                f"neither joined nor proven apart: {point}, not probed against {_some(left)}"
            )
        lines += [
            f"unclear: {told(e)}: something in this comb answers; part it" for e in self.combs
        ]
        if self.beside:
            a, b, why = self.beside[0]
            lines.append(
                f"not proven apart: {len(self.beside)} pair{'s' * (len(self.beside) != 1)} of nets where a touch would harm "
                f"or is likely, the worst {a} and {b} ({why})"
            )
        if self.untested:
            lines.append(
                f"untested: {self.untested} pair{'s' * (self.untested != 1)} of nets neither side by side nor dangerous together"
            )
        if self.left_alone:
            lines.append(
                f"left alone: {', '.join(self.left_alone)}: {BARRED}, and nothing is said of it"
            )
        return [*lines, *([FILL_IN, *batch_lines(self.next)] if self.next else []), self._last()]

    def _last(self) -> str:
        gaps = f": {', '.join(self.gaps)}" if self.gaps else ""
        return f"as built: {self.verdict}{gaps}{'; what was heard so far holds it already' if gaps and self.holds else ''}"

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data."""
        return {
            "verdict": self.verdict,
            "gaps": list(self.gaps),
            "circuits": [list(c) for c in self.circuits],
            "parts": [
                {"red": list(e.red), "black": list(e.black), "seen": seen(e)} for e in self.parts
            ],
            "misread": [f.as_dict() for f in self.misread],
            "exchanged": [x.as_dict() for x in self.exchanges],
            "not_probed": list(self.not_probed),
            "partly": {point: list(left) for point, left in self.partly.items()},
            "not_apart": [{"between": [a, b], "why": why} for a, b, why in self.beside],
            "contradictions": [[told(e) for e in c.readings] for c in self.clashes],
            "unclear": [told(e) for e in self.combs],
            "not_counted": [told(e) for e in self.idle],
            "untested": self.untested,
            "left_alone": list(self.left_alone),
            "next": [
                {"red": list(a.red), "black": list(a.black), "why": a.why, "again": a.again}
                for a in self.next
            ],
            "findings": [f.as_dict() for f in self.findings],
        }


def _idle(entry: Entry) -> str:
    if entry.state and entry.state != DIODE_RANGE:
        return f"{entry.state}: it tells of another state than the others"
    return (
        "not sure proves nothing" if entry.seen == "unsure" else "it tells nothing of two contacts"
    )


def _part(entry: Entry) -> str:
    if entry.ohms is None:
        return f"a diode, its anode at {entry.red[0]}; add it to the map by hand with its amps"
    if entry.ohms.high < SILENT_SURE_OHMS:
        return f"no sound joint, which reads under {SHORT_OHMS:g} ohm: a part, or a poor joint"
    return "a part or a load, no joint"


def _some(points: Sequence[str]) -> str:
    more = f" and {len(points) - SHOWN} more" if len(points) > SHOWN else ""
    return ", ".join(points[:SHOWN]) + more


def batch_lines(asks: Sequence[Ask]) -> list[str]:
    """Probes as batch lines ready to fill in; a `?` left as it is counts as nothing."""
    return [f"{'+'.join(a.red)} - {'+'.join(a.black)} ?  # {a.why}" for a in asks]


def judge_adapter(
    pinouts: Mapping[str, Pinout], entries: Sequence[Entry], path: str = "as-built.yaml"
) -> Adapter:
    """Judge an adapter without a job; the first pinout is the machine's face, every other the unit's."""
    bench = _Bench(pinouts, entries, path)
    heard, groups = bench.heard, bench.heard.groups
    job = job_of(pinouts, heard, groups, path)
    owed = bench.owed(groups)
    lone = {i for i in range(len(groups)) if bench.lone(groups[i])}
    bare = tuple(a for g in groups for a in g if a not in heard.touched and not bench.spared[a])
    partly = {
        groups[i][0]: left
        for i in sorted(lone)
        if groups[i][0] in heard.touched and (left := bench.across(owed, groups, i))
    }
    not_yet = {*bare, *partly}
    beside = tuple(
        (groups[i][0], groups[j][0], o.why)
        for o in owed
        for i, j in [o.nets]
        if not lone & {i, j}
        or (
            bench.one_face(groups[i], groups[j])
            and not_yet.isdisjoint((groups[i][0], groups[j][0]))
        )
    )
    findings = run(Harness(settle(job)))
    return Adapter(
        job=job,
        circuits=tuple(g for g in groups if len(g) > 1),
        parts=tuple(heard.parts),
        findings=tuple(
            f for f in findings if f.rule not in LEFT_OUT or not_yet.isdisjoint(f.subject)
        ),
        misread=misread_faces(pinouts, groups),
        exchanges=exchanges(pinouts, groups),
        clashes=tuple(heard.clashes),
        idle=tuple(heard.idle),
        combs=tuple(bench.unclear(groups)),
        not_probed=bare,
        partly=partly,
        beside=beside,
        untested=bench.untested(groups, owed),
        left_alone=tuple(a for a, why in bench.spared.items() if why == BARRED),
        next=tuple(bench.asks()),
    )


def first_probes(pinouts: Mapping[str, Pinout]) -> list[str]:
    """The probes worth taking first at an adapter that nobody has read yet, as batch lines ready to fill in.

    Likely partners by proposal come first, then combs that prove the rest apart if those beeped.
    """
    return batch_lines(list(_Bench(pinouts, (), "as-built.yaml").asks()))


class _Bench:
    """Two or more faces and what was heard of them: what is still owed, and the probes that settle it."""

    def __init__(self, pinouts: Mapping[str, Pinout], entries: Sequence[Entry], path: str) -> None:
        self.pinouts, self.path = pinouts, path
        cavities = {f"{n}.{name}": c for n, p in pinouts.items() for name, c in p.cavities.items()}
        self.spared = {a: spared(c) for a, c in cavities.items()}
        self.heard = Heard(entries, cavities)
        self.machine = next(iter(pinouts))

    # -- what is owed -----------------------------------------------------------------------------

    def lone(self, group: Sequence[str]) -> bool:
        """Whether a net lies on one face only."""
        return self.one_face(group)

    @staticmethod
    def one_face(*groups: Sequence[str]) -> bool:
        """Whether all these contacts are on one face."""
        return len({owner(a) for g in groups for a in g}) == 1

    def out(self, group: Sequence[str]) -> bool:
        """Whether nobody needs to probe a net, or nobody may."""
        return any(self.spared[a] == BARRED for a in group) or all(
            self.spared[a] and a not in self.heard.touched for a in group
        )

    def owed(self, groups: Groups) -> list[Open]:
        """The pairs of nets that must be proven apart and are not, the worst first.

        A net that lies on one face only is owed silence to everything else; of the others, those side by side or dangerous
        together, as in every ring-out.
        """
        far = self.heard.apart(groups)
        found: dict[tuple[int, int], Open] = {}
        live = [i for i, g in enumerate(groups) if not self.out(g)]
        for i, j in combinations(live, 2):
            if self.lone(groups[i]) or self.lone(groups[j]):
                found[i, j] = Open((i, j), 10, "a link may join them")
        for o in self._near(groups):
            if set(o.nets) <= set(live):
                found[o.nets] = o
        left = (o for o in found.values() if frozenset(o.nets) not in far)
        return sorted(left, key=lambda o: (o.rank, o.nets))

    def untested(self, groups: Groups, owed: Sequence[Open]) -> int:
        """How many pairs of nets are neither proven apart nor owed."""
        live = [i for i, g in enumerate(groups) if not self.out(g)]
        known = self.heard.apart(groups) | {frozenset(o.nets) for o in owed}
        return sum(frozenset(pair) not in known for pair in combinations(live, 2))

    def _near(self, groups: Groups) -> Iterator[Open]:
        net = {a: i for i, g in enumerate(groups) for a in g}
        harness = Harness(job_of(self.pinouts, self.heard, groups, self.path))
        sections = nets_for(harness, ADAPTER).all
        for a, b in (
            (sections[i].points, sections[j].points) for _, _, i, j in near_pairs(harness, ADAPTER)
        ):
            i, j = (next((net[x] for x in side if x in net), None) for side in (a, b))
            if i is not None and j is not None and i != j:
                rank, why = danger(harness, a, b) or (9, "side by side")
                yield Open((min(i, j), max(i, j)), rank, why)

    def across(self, owed: Sequence[Open], groups: Groups, i: int) -> tuple[str, ...]:
        """One contact of each net that reaches another face and from which a net is not yet proven apart."""
        nets = (groups[sum(o.nets) - i] for o in owed if i in o.nets)
        faced = (self.facing(g, groups[i]) for g in nets)
        return tuple(
            sorted(
                (a for a in faced if owner(a) != owner(groups[i][0])),
                key=self.heard.rank.__getitem__,
            )
        )

    @staticmethod
    def facing(group: Sequence[str], other: Sequence[str]) -> str:
        """The contact of a net to touch while the other probe is on another net: on the other face if there is one."""
        return next((a for a in group if owner(a) != owner(other[0])), group[0])

    def unclear(self, groups: Groups) -> list[Entry]:
        """The narrowest combs that answered for a reason that is not known yet; what clashes is told there."""
        net = {a: i for i, g in enumerate(groups) for a in g}
        far = self.heard.apart(groups)
        clashing = {id(e) for c in self.heard.clashes for e in c.readings}
        found: dict[frozenset[frozenset[int]], Entry] = {}
        for e in self.heard.combs:
            if not self.heard.accounted(e, groups) and id(e) not in clashing:
                found[frozenset(pairs_of(e, net) - far)] = e
        return [e for pairs, e in found.items() if not any(other < pairs for other in found)]

    # -- the next probes --------------------------------------------------------------------------

    def asks(self) -> Iterator[Ask]:
        """Contradictions again, combs parted, likely partners, then combs that prove apart what should be if those beep."""
        done: set[tuple[frozenset[str], frozenset[str]]] = set()
        groups = self.heard.groups
        likely = list(self._likely(groups))
        supposed = self._merged(groups, likely)
        for ask in (*self._again(), *self._halves(groups), *likely, *self._combs(supposed)):
            sides = (frozenset(ask.red), frozenset(ask.black))
            if sides not in done and not any(
                self.spared[a] == BARRED for a in (*ask.red, *ask.black)
            ):
                done.add(sides)
                yield ask

    def _again(self) -> Iterator[Ask]:
        return (
            Ask(red=e.red, black=e.black, why="contradicted: take it again", again=True)
            for c in self.heard.clashes
            for e in c.readings
        )

    def _halves(self, groups: Groups) -> Iterator[Ask]:
        net = {a: i for i, g in enumerate(groups) for a in g}
        far = self.heard.apart(groups)
        for e in self.unclear(groups):
            red, black = (
                [a for a in one if any(frozenset((net[a], net[b])) not in far for b in two)]
                for one, two in ((e.red, e.black), (e.black, e.red))
            )
            red, black = _half(
                list({net[a]: a for a in reversed(red)}.values())[::-1],
                list({net[a]: a for a in reversed(black)}.values())[::-1],
            )
            why = f"something in {'+'.join(e.red)} to {'+'.join(e.black)} answered"
            yield Ask(red=tuple(red), black=tuple(black), why=why)

    def _likely(self, groups: Groups) -> Iterator[Ask]:
        """Contacts that the papers would join, where one of the two has not beeped to the other side yet."""
        net = {a: i for i, g in enumerate(groups) for a in g}
        far = self.heard.apart(groups)
        for (hub, *others), grade in partners(self.pinouts):
            for a in others:
                nets = frozenset((net[hub], net[a]))
                if len(nets) == 2 and nets not in far and any(self.lone(groups[i]) for i in nets):
                    why = f"likely partners by their papers ({grade})"
                    yield Ask(red=(hub,), black=(a,), why=why)

    def _merged(self, groups: Groups, likely: Sequence[Ask]) -> Groups:
        joined: Joined[str] = Joined()
        for group in (*groups, *((*a.red, *a.black) for a in likely)):
            for a in group[1:]:
                joined.join(group[0], a)
        found: dict[str, list[str]] = {}
        for a in self.heard.rank:
            found.setdefault(joined.root(a), []).append(a)
        return tuple(tuple(g) for g in found.values())

    def _combs(self, groups: Groups) -> Iterator[Ask]:
        """One probe on a net, the other on all that it is owed: nets of one face first, the machine's before the unit's."""
        left = {o.nets: o for o in self.owed(groups)}
        worst: dict[int, int] = {}
        for o in left.values():  # the worst come first
            for i in o.nets:
                worst.setdefault(i, o.rank)
        for i in sorted(worst, key=lambda i: self._order(groups[i], worst[i])):
            mine = [o for o in left.values() if i in o.nets]
            for o in mine:
                del left[o.nets]
            others = [groups[sum(o.nets) - i] for o in mine]
            if others:
                black = [
                    self.facing(g, groups[i]) if self.lone(groups[i]) else g[0] for g in others
                ]
                black.sort(key=self.heard.rank.__getitem__)
                why = self._why(groups[i], mine[0])
                yield Ask(red=groups[i][:1], black=tuple(black), why=why)

    def _order(self, group: Sequence[str], rank: int) -> tuple[bool, bool, bool, int, int]:
        lone = self.lone(group)
        return (
            not lone,
            lone and owner(group[0]) != self.machine,
            lone and group[0] in self.heard.touched,
            0 if lone else rank,
            self.heard.rank[group[0]],
        )

    def _why(self, group: Sequence[str], worst: Open) -> str:
        if self.lone(group):
            return (
                "not proven apart yet"
                if group[0] in self.heard.touched
                else "not probed yet; if it beeps, halve the comb"
            )
        return f"not proven apart yet: {worst.why}"


def _half(red: list[Address], black: list[Address]) -> tuple[list[Address], list[Address]]:
    """The first half of the longer of two combs against the whole of the other."""
    if len(red) > len(black):
        return red[: (len(red) + 1) // 2], black
    return red, black[: (len(black) + 1) // 2]
