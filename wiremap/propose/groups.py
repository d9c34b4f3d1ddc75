"""Contacts that belong together, the pairs of a bus and the two ends of a loop, and their match."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from wiremap.model import Address, Cavity
from wiremap.propose.comparison import Comparison
from wiremap.propose.doubt import Doubt, DoubtKind
from wiremap.propose.grading import Candidates, Comparisons
from wiremap.propose.result import NeedsLogic, Proposed, joined_points
from wiremap.propose.sides import Contacts, Edge, Generations
from wiremap.propose.weighing import weigh

PAIR_ROLES = {
    "can-high": ("can", "high"),
    "can-low": ("can", "low"),
    "j1850-plus": ("j1850", "plus"),
    "j1850-minus": ("j1850", "minus"),
}
LOOP_ROLES = {"interlock-out": "out", "interlock-back": "back"}
GROUPED = frozenset({*PAIR_ROLES, *LOOP_ROLES})
SAME_NAME = 200  # weight of one name for a group on both papers

ByRole = Mapping[str, list[Address]]  # the contacts of a group by what they do in it
GrowingByRole = defaultdict[str, list[Address]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalGroup:
    """A pair or loop: its kind (can, j1850, loop), its name on its own paper, and its contacts
    with what each does there (high, low, out, back), in the order of these roles.
    """

    end: str
    kind: str
    name: str
    roles: tuple[str, ...]
    addresses: tuple[Address, ...]

    @property
    def id(self) -> Address:
        """What it is told apart by; in the form of an address, as edges join addresses."""
        return Address.read(f"{self.end}:{self.kind}:{self.name}")

    @property
    def called(self) -> str:
        """What it is called in a reason."""
        kind = "loop" if self.kind == "loop" else "pair"
        return f"the {kind} {self.name}".rstrip()


@dataclass(frozen=True, slots=True)
class Matched:
    """Circuits of the groups that found each other, and groups that only a gateway could join."""

    circuits: list[Proposed]
    needs_logic: list[NeedsLogic]

    def points(self) -> set[Address]:
        """Every contact that is accounted for."""
        parted = {point for need in self.needs_logic for point in need.points}
        return joined_points(self.circuits) | parted


def match_groups(sides: Generations, compared: Comparisons) -> Matched:
    """The groups of both sides matched as wholes; each edge looked at is entered in `compared`."""
    old = {group.id: group for group in groups(sides.old)}
    new = {group.id: group for group in groups(sides.new)}
    weighed = {}
    for one, two in product(old.values(), new.values()):
        if one.kind == two.kind:
            weighed[Edge(one.id, two.id)] = _weigh(one, two, sides, compared)
    every = (*old.values(), *new.values())
    called = {group.id: f"{group.called} of {group.end}" for group in every}
    candidates = Candidates(weighed, called)
    circuits: list[Proposed] = []
    for edge in candidates.chosen():
        graded = candidates.grade(edge)
        one = old.pop(edge.old)
        two = new.pop(edge.new)
        for leg, role in zip(_legs(one, two), one.roles, strict=True):
            joined = f"{role} of {one.called} to {role} of {two.called}"
            reasons = (joined, *compared[leg].reasons, *graded.reasons)
            circuits.append(
                Proposed(join=leg, grade=graded.grade, reasons=reasons, doubts=graded.doubts)
            )
    return Matched(circuits, _unlike_rates(old.values(), new.values(), sides))


def _legs(old: SignalGroup, new: SignalGroup) -> Iterator[Edge]:
    return map(Edge, old.addresses, new.addresses)


def _weigh(
    old: SignalGroup, new: SignalGroup, sides: Generations, compared: Comparisons
) -> Comparison:
    """Two groups compared leg by leg, then by their names."""
    legs = []
    for edge in _legs(old, new):
        compared[edge] = weigh(sides, edge)
        legs.append(compared[edge])
    weight = sum(leg.weight for leg in legs)
    soft = tuple(dict.fromkeys(doubt for leg in legs for doubt in leg.soft))
    hard = tuple(dict.fromkeys(doubt for leg in legs for doubt in leg.hard))
    refused = next((leg.refused for leg in legs if leg.refused), "")
    reasons: tuple[str, ...] = ()
    if old.name.casefold() != new.name.casefold():
        soft += _names_differ(old.name, new.name, soft)
    elif old.name:
        weight += SAME_NAME
        reasons = (f"both are called {old.name}",)
    return Comparison(weight=weight, reasons=reasons, soft=soft, hard=hard, refused=refused)


def _names_differ(old: str, new: str, soft: tuple[Doubt, ...]) -> tuple[Doubt, ...]:
    if any(doubt.kind == DoubtKind.BUS for doubt in soft):  # a leg's doubt tells the names already
        return ()
    if old and new:
        return (Doubt(f"the papers name it differently, {old} and {new}"),)
    return (Doubt(f"only one paper names it, {old or new}"),)


def _unlike_rates(
    old: Iterable[SignalGroup], new: Iterable[SignalGroup], sides: Generations
) -> list[NeedsLogic]:
    """Pairs that would find each other but for the bit rate: a gateway's work, not a splice's."""
    needs = []
    used: set[Address] = set()
    for one, two in product(old, new):
        if one.id in used or two.id in used or one.kind != two.kind:
            continue
        why = _rates_differ(sides.old[one.addresses[0]], sides.new[two.addresses[0]])
        if why:
            used |= {one.id, two.id}
            needs.append(NeedsLogic(points=(*one.addresses, *two.addresses), why=why))
    return needs


def _rates_differ(old: Cavity, new: Cavity) -> str:
    if not old.kbit_s or not new.kbit_s or old.kbit_s == new.kbit_s:
        return ""
    return (
        f"the old pair speaks {old.kbit_s:g} kbit/s, the new one {new.kbit_s:g}: "
        "a splice cannot translate; it takes a gateway (`wiremap start` asks for one)"
    )


def groups(contacts: Contacts) -> list[SignalGroup]:
    """The pairs and loops among a side's contacts: declared ones, others told from their functions.

    Contacts without a name for their pair belong together only where that leaves no doubt: one of
    each role, or one of each role among those that say the same (`in`, `out`, `2`) beside it.
    """
    gathered: dict[tuple[str, str, str], GrowingByRole] = defaultdict(lambda: defaultdict(list))
    for address, cavity in contacts.items():
        if cavity.function in PAIR_ROLES:
            kind, role = PAIR_ROLES[cavity.function]
            name = cavity.pair or cavity.reading.qualifier("bus") or ""
            gathered[address.end, kind, name][role].append(address)
        elif cavity.function in LOOP_ROLES:
            role = LOOP_ROLES[cavity.function]
            gathered[address.end, "loop", cavity.chain or ""][role].append(address)
    signal_groups = []
    for (end, kind, name), by_role in sorted(gathered.items()):
        for beside, own in _whole_groups(by_role, contacts).items():
            called = f"{name} {beside}".strip()
            roles = tuple(sorted(own))
            points = tuple(point for role in roles for point in own[role])  # one each
            signal_groups.append(
                SignalGroup(end=end, kind=kind, name=called, roles=roles, addresses=points)
            )
    return signal_groups


def _whole_groups(by_role: ByRole, contacts: Contacts) -> Mapping[str, ByRole]:
    """The whole groups among contacts of one name, by what their wordings say beside the role."""
    if _one_each(by_role):
        return {"": by_role}
    if len(by_role) != 2:
        return {}
    parts: dict[str, GrowingByRole] = defaultdict(lambda: defaultdict(list))
    for role, addresses in by_role.items():
        for address in addresses:
            parts[_words_beside_role(contacts[address])][role].append(address)
    whole = {}
    for beside, own in sorted(parts.items()):
        if beside and _one_each(own):
            whole[beside] = own
    return whole


def _one_each(by_role: ByRole) -> bool:
    return len(by_role) == 2 and all(len(addresses) == 1 for addresses in by_role.values())


def _words_beside_role(cavity: Cavity) -> str:
    words = set(cavity.reading.unexplained)
    for kind, value in cavity.reading.qualifiers:
        if kind not in ("polarity", "bus", "rate"):
            words.add(value)
    return " ".join(sorted(words))
