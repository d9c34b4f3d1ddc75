"""What two points of one metal mean to one another: at most one clash a pair, the gravest."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from itertools import combinations

from wiremap.graph import Net
from wiremap.model import CHASSIS
from wiremap.rules.clash_kinds import ClashKind
from wiremap.rules.levels import are_apart, meet
from wiremap.rules.limits import limit
from wiremap.rules.sensing import LISTENERS, may_listen, may_listen_together, says_more
from wiremap.rules.signals import CASUAL, Signal, most_volts
from wiremap.rules.view import View
from wiremap.trade.functions import OPPOSITE_HALVES, PAIR_HALVES, are_kin, may_share
from wiremap.trade.wording import counted

MOST_KINDS = 60  # different signals on one metal that are still set against one another
POWER_GROUNDS = frozenset({"power-ground", "frame-ground"})
STAR_RETURNS = frozenset({"sensor-return", "signal-ground", "restricted-ground", "bus-ground"})
# kinds of qualifier of which unlike values tell two signals apart
TELLING = ("side", "lamp", "circuit", "index", "channel", "polarity")
# circuit names that two ends give one line of data: what one sends the other receives
DATA_WAYS = frozenset({"transmitted-data", "received-data"})
NO_SIGNAL = frozenset({"nothing", "unknown"})  # these have rules of their own


@dataclass(frozen=True, slots=True)
class Clash:
    """All pairs of one kind on one metal: the first found, and every point that takes part in
    any.
    """

    net: Net
    kind: ClashKind
    a: Signal
    b: Signal
    members: tuple[str, ...]

    @property
    def subject(self) -> tuple[str, ...]:
        """The telling two first, then the others in address order."""
        first = (self.a.address, self.b.address)
        return (*first, *sorted(set(self.members).difference(first)))

    def turned(self) -> Clash:
        """This clash told from its other side."""
        return replace(self, a=self.b, b=self.a)


def clashes(view: View) -> dict[ClashKind, list[Clash]]:
    """Every clash on the judged metals, by kind, in the order of the metals."""
    by_kind: dict[ClashKind, list[Clash]] = defaultdict(list)
    for net in view.nets:
        if len(net.points) > 1:
            for clash in clashes_on(view, net):
                by_kind[clash.kind].append(clash)
    return by_kind


def clashes_on(view: View, net: Net) -> list[Clash]:
    """The clashes of one metal, one per kind."""
    groups: dict[tuple[object, ...], list[Signal]] = defaultdict(list)
    for signal in view.signals(net):
        groups[signal.kind].append(signal)
    if len(groups) < 2:
        return []
    order = sorted(groups.values(), key=_sources_first)[:MOST_KINDS]
    driven = any(group[0].drives for group in order)
    by_kind: dict[ClashKind, Clash] = {}
    for one, two in combinations(order, 2):
        kind = clash_kind(view, net, one[0], two[0], driven=driven)
        if kind is None:
            continue
        if kind == ClashKind.SUPPLY_TO_GROUND and not one[0].is_positive:
            one, two = two, one  # the positive is named first
        first = by_kind.get(kind) or Clash(net, kind, one[0], two[0], ())
        members = [signal.address for signal in (*one, *two)]
        by_kind[kind] = replace(first, members=(*first.members, *members))
    return list(by_kind.values())


def _sources_first(group: list[Signal]) -> tuple[bool, bool, str]:
    return (not group[0].is_source, not group[0].drives, group[0].address)


def clash_kind(view: View, net: Net, a: Signal, b: Signal, *, driven: bool) -> ClashKind | None:
    """The kind of clash between two signals of one metal, or None where they may share it."""
    if a.row.refused or b.row.refused or NO_SIGNAL & {a.row.electrical, b.row.electrical}:
        return None
    if _is_coding_link(net, a, b) or a.row.electrical == b.row.electrical == "loop":
        return None  # the chain family
    stop = _energy_clash(a, b)
    if stop is None and (may_listen(a, b) or (driven and may_listen_together(a, b))):
        return None
    return (
        stop
        or _supply_clash(view, a, b)
        or _bus_clash(a, b)
        or _identity_clash(view, a, b)
        or _direction_clash(a, b, driven=driven)
        or _level_clash(view, a, b)
    )


def _is_coding_link(net: Net, a: Signal, b: Signal) -> bool:
    for signal in (a, b):
        if signal.row.electrical == "coding" and not signal.codes.isdisjoint(net.points):
            return True
    return False


def _energy_clash(a: Signal, b: Signal) -> ClashKind | None:
    if (a.is_positive and b.is_ground) or (b.is_positive and a.is_ground):
        return ClashKind.SUPPLY_TO_GROUND
    if a.is_source and b.is_source and not a.row.electrical == b.row.electrical == "drive":
        return None if _one_lamp(a, b) or _one_source(a, b) else ClashKind.SOURCES_JOINED
    if _overdriven(a, b) or _overdriven(b, a):
        return ClashKind.OVER_VOLTAGE
    return None


def _one_lamp(a: Signal, b: Signal) -> bool:
    """Whether one paper tells who feeds a lamp, and the other only calls it one: no two feeds."""
    lamps = a.row.electrical == b.row.electrical == "lamp"
    return lamps and a.side != b.side and a.flow_told != b.flow_told


def _one_source(a: Signal, b: Signal) -> bool:
    """Whether two sources come from one fuse, at volts that meet."""
    if a.row is not b.row or a.fuse is None or a.fuse != b.fuse:
        return False
    if a.volts is None or b.volts is None:
        return True
    return meet(a.volts, b.volts, limit("nominal-margin"))


def _overdriven(strong: Signal, weak: Signal) -> bool:
    """Whether one drives more volts than a unit's contact is made for."""
    if not strong.drives or weak.drives or weak.is_ground or weak.is_machine:
        return False
    if not strong.volts or not weak.volts:
        return False
    return strong.volts.high > most_volts(weak.volts)


def _supply_clash(view: View, a: Signal, b: Signal) -> ClashKind | None:
    supplies = [s for s in (a, b) if s.row.electrical == "supply"]
    if len(supplies) == 1 and not _settled_kin(view, a, b):
        return ClashKind.SUPPLY_ON_SIGNAL
    return None


def _bus_clash(a: Signal, b: Signal) -> ClashKind | None:
    slugs = frozenset({a.row.slug, b.row.slug})
    if not slugs <= PAIR_HALVES:
        return None
    if slugs in OPPOSITE_HALVES or (a.row is b.row and _differs(a, b, "polarity")):
        return ClashKind.LEGS_CROSSED
    if a.row is not b.row or not (a.is_machine and b.is_machine):
        return None
    if a.pair != b.pair or (a.pair is None and a.owner != b.owner):
        return ClashKind.MACHINE_PAIRS_JOINED
    return None


def _identity_clash(view: View, a: Signal, b: Signal) -> ClashKind | None:
    if a.row is b.row:
        return _clash_of_one_function(view, a, b)
    if may_share(a.row.slug, b.row.slug) or _settled_kin(view, a, b):
        return None
    slugs = {a.row.slug, b.row.slug}
    if "lamp-feed" in slugs and slugs & LISTENERS and settled(view, a, b):
        return None  # an input that watches whether a lamp burns
    if slugs & POWER_GROUNDS and slugs & STAR_RETURNS:
        return ClashKind.RETURN_OFF_STAR
    return ClashKind.UNLIKE_SIGNALS


def _clash_of_one_function(view: View, a: Signal, b: Signal) -> ClashKind | None:
    if a.row.slug in CASUAL or not _told_apart(a, b):
        return None
    loads = a.row.electrical == "lamp" and a.listens and b.listens
    if (loads or a.owner != b.owner) and settled(view, a, b):
        return None
    return ClashKind.UNLIKE_SIGNALS


def _told_apart(a: Signal, b: Signal) -> bool:
    """Whether the words or the standards' marks say that two of one function are not the same."""
    telling = TELLING if a.owner != b.owner else (*TELLING, "serves")
    if _sent_and_received(a, b):
        return False
    if a.qualifiers != b.qualifiers and any(_differs(a, b, kind) for kind in telling):
        return True
    return any(a.marks[mark] != b.marks[mark] for mark in a.marks.keys() & b.marks.keys())


def _sent_and_received(a: Signal, b: Signal) -> bool:
    """Whether one end calls sent what the other calls received, and both say so by their flow."""
    named = {a.qualifiers.get("circuit"), b.qualifiers.get("circuit")}
    if named != DATA_WAYS or a.owner == b.owner or a.marks or b.marks:
        return False
    return (a.drives and b.listens) or (b.drives and a.listens)


def _direction_clash(a: Signal, b: Signal, *, driven: bool) -> ClashKind | None:
    one_fuse = a.is_source and b.is_source and a.fuse and a.fuse == b.fuse
    if a.drives and b.drives and not one_fuse and not _one_lamp(a, b):
        return ClashKind.SENDERS_JOINED
    across = a.is_machine != b.is_machine
    if across and not driven and a.listens and b.listens:
        return ClashKind.FLOW_AGAINST_FLOW
    return None


def _level_clash(view: View, a: Signal, b: Signal) -> ClashKind | None:
    return ClashKind.VOLTS_UNLIKE if are_apart(view, a, b) else None


def _differs(a: Signal, b: Signal, kind: str) -> bool:
    one, two = a.qualifiers.get(kind), b.qualifiers.get(kind)
    if one is None or two is None or one == two:
        return False
    if kind == "index":
        return counted(one) != counted(two)
    return kind != "circuit" or not says_more(one, two)


def _settled_kin(view: View, a: Signal, b: Signal) -> bool:
    return a.owner != b.owner and are_kin(a.row.slug, b.row.slug) and settled(view, a, b)


def settled(view: View, a: Signal, b: Signal) -> bool:
    """Whether named persons stand to every circuit that brings these two together."""
    ids: set[str] = set()
    for signal in (a, b):
        if signal.address != CHASSIS:
            ids.update(view.harness.circuits_at(signal.address))
    return bool(ids) and ids <= view.confirmed
