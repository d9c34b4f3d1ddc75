"""What two points of one metal mean to one another: at most one clash a pair, the gravest."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from itertools import combinations

from wiremap.graph import Net
from wiremap.model import CHASSIS
from wiremap.rules.levels import apart, meet
from wiremap.rules.limits import limit
from wiremap.rules.sensing import LISTENERS, may_listen, may_listen_together, says_more
from wiremap.rules.signals import CASUAL, Signal, most_volts
from wiremap.rules.view import View
from wiremap.trade.functions import are_kin, may_share
from wiremap.trade.wording import counted

MOST_KINDS = 60  # different signals on one metal that are still set against one another
PAIRED = frozenset({"can-high", "can-low", "j1850-plus", "j1850-minus", "differential-data"})
HALVES = (frozenset({"can-high", "can-low"}), frozenset({"j1850-plus", "j1850-minus"}))
POWER = frozenset({"power-ground", "frame-ground"})
STARRED = frozenset({"sensor-return", "signal-ground", "restricted-ground", "bus-ground"})
TELLING = ("side", "lamp", "circuit", "index", "channel", "polarity")
DATA_WAYS = frozenset({"transmitted-data", "received-data"})
SILENT = frozenset({"nothing", "unknown"})  # these have rules of their own


@dataclass(frozen=True, slots=True)
class Clash:
    """All pairs of one kind on one metal: the first found, and every point that takes part in
    any.
    """

    net: Net
    kind: str
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


def clashes(view: View) -> dict[str, list[Clash]]:
    """Every clash on the judged metals, by kind, in the order of the metals."""
    found: dict[str, list[Clash]] = defaultdict(list)
    for net in view.nets:
        if len(net.points) > 1:
            for clash in on_metal(view, net):
                found[clash.kind].append(clash)
    return found


def on_metal(view: View, net: Net) -> list[Clash]:
    """The clashes of one metal, one per kind."""
    groups: dict[tuple[object, ...], list[Signal]] = defaultdict(list)
    for signal in view.signals(net):
        groups[signal.kind].append(signal)
    if len(groups) < 2:
        return []
    order = sorted(groups.values(), key=_sources_first)[:MOST_KINDS]
    driven = any(group[0].drives for group in order)
    found: dict[str, Clash] = {}
    for one, two in combinations(order, 2):
        kind = between(view, net, one[0], two[0], driven=driven)
        if kind is None:
            continue
        if kind == "supply-to-ground" and not one[0].hot:
            one, two = two, one  # the positive is named first
        first = found.get(kind) or Clash(net, kind, one[0], two[0], ())
        members = [signal.address for signal in (*one, *two)]
        found[kind] = replace(first, members=(*first.members, *members))
    return list(found.values())


def _sources_first(group: list[Signal]) -> tuple[bool, bool, str]:
    return (not group[0].source, not group[0].drives, group[0].address)


def between(view: View, net: Net, a: Signal, b: Signal, *, driven: bool) -> str | None:
    """The kind of clash between two signals of one metal, or None where they may share it."""
    if a.row.refused or b.row.refused or SILENT & {a.row.electrical, b.row.electrical}:
        return None
    if _coded(net, a, b) or a.row.electrical == b.row.electrical == "loop":
        return None  # the chain family
    stop = _energy(a, b)
    if stop is None and (may_listen(a, b) or (driven and may_listen_together(a, b))):
        return None
    return (
        stop
        or _supply(view, a, b)
        or _bus(a, b)
        or _identity(view, a, b)
        or _direction(a, b, driven=driven)
        or _level(view, a, b)
    )


def _coded(net: Net, a: Signal, b: Signal) -> bool:
    for signal in (a, b):
        if signal.row.electrical == "coding" and not signal.codes.isdisjoint(net.points):
            return True
    return False


def _energy(a: Signal, b: Signal) -> str | None:
    if (a.hot and b.cold) or (b.hot and a.cold):
        return "supply-to-ground"
    if a.source and b.source and not a.row.electrical == b.row.electrical == "drive":
        return None if _one_lamp(a, b) or _one_source(a, b) else "sources-joined"
    if _overdriven(a, b) or _overdriven(b, a):
        return "over-voltage"
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
    if not strong.drives or weak.drives or weak.cold or weak.side == "machine":
        return False
    if not strong.volts or not weak.volts:
        return False
    return strong.volts.high > most_volts(weak.volts)


def _supply(view: View, a: Signal, b: Signal) -> str | None:
    supplies = [s for s in (a, b) if s.row.electrical == "supply"]
    if len(supplies) == 1 and not _settled_kin(view, a, b):
        return "supply-on-signal"
    return None


def _bus(a: Signal, b: Signal) -> str | None:
    slugs = frozenset({a.row.slug, b.row.slug})
    if not slugs <= PAIRED:
        return None
    if slugs in HALVES or (a.row is b.row and _differs(a, b, "polarity")):
        return "legs-crossed"
    if a.row is not b.row or not a.side == b.side == "machine":
        return None
    if a.pair != b.pair or (a.pair is None and a.owner != b.owner):
        return "machine-pairs-joined"
    return None


def _identity(view: View, a: Signal, b: Signal) -> str | None:
    if a.row is b.row:
        return _same_function(view, a, b)
    if may_share(a.row.slug, b.row.slug) or _settled_kin(view, a, b):
        return None
    slugs = {a.row.slug, b.row.slug}
    if "lamp-feed" in slugs and slugs & LISTENERS and settled(view, a, b):
        return None  # an input that watches whether a lamp burns
    if slugs & POWER and slugs & STARRED:
        return "return-off-star"
    return "unlike-signals"


def _same_function(view: View, a: Signal, b: Signal) -> str | None:
    if a.row.slug in CASUAL or not _told_apart(a, b):
        return None
    loads = a.row.electrical == "lamp" and a.listens and b.listens
    if (loads or a.owner != b.owner) and settled(view, a, b):
        return None
    return "unlike-signals"


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


def _direction(a: Signal, b: Signal, *, driven: bool) -> str | None:
    one_fuse = a.source and b.source and a.fuse and a.fuse == b.fuse
    if a.drives and b.drives and not one_fuse and not _one_lamp(a, b):
        return "senders-joined"
    across = (a.side == "machine") != (b.side == "machine")
    if across and not driven and a.listens and b.listens:
        return "flow-against-flow"
    return None


def _level(view: View, a: Signal, b: Signal) -> str | None:
    return "volts-unlike" if apart(view, a, b) else None


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
