"""What two points of one metal mean to one another: each pair has at most one clash, the gravest."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import combinations

from wiremap.graph import Net
from wiremap.model import CHASSIS
from wiremap.rules.signals import CASUAL, Signal, band, most_volts
from wiremap.rules.view import View
from wiremap.trade.functions import are_kin, may_share

MOST_KINDS = 60  # different signals on one metal that are still set against one another; no real joint comes near
PAIRED = frozenset({"can-high", "can-low", "j1850-plus", "j1850-minus", "differential-data"})
HALVES = (frozenset({"can-high", "can-low"}), frozenset({"j1850-plus", "j1850-minus"}))
POWER = frozenset({"power-ground", "frame-ground"})
STARRED = frozenset({"sensor-return", "signal-ground", "restricted-ground", "bus-ground"})
TELLING = ("side", "lamp", "circuit", "index", "channel", "polarity")


@dataclass(slots=True)
class Clash:
    """All pairs of one kind on one metal: the first one found, and every point that takes part in any."""

    net: Net
    kind: str
    a: Signal
    b: Signal
    members: list[str] = field(default_factory=list)

    @property
    def subject(self) -> tuple[str, ...]:
        """The telling two first, then the others in address order."""
        first = [self.a.address, self.b.address]
        return (*first, *sorted(set(self.members) - set(first)))


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
    order = sorted(groups.values(), key=lambda g: (not g[0].source, not g[0].drives, g[0].address))[
        :MOST_KINDS
    ]
    driven = any(g[0].drives for g in order)
    found: dict[str, Clash] = {}
    for one, two in combinations(order, 2):
        kind = between(view, net, one[0], two[0], driven)
        if kind is not None:
            if kind == "supply-to-ground" and not one[0].hot:
                one, two = two, one  # the positive is named first
            clash = found.setdefault(kind, Clash(net, kind, one[0], two[0]))
            clash.members += [s.address for s in (*one, *two)]
    return list(found.values())


def between(view: View, net: Net, a: Signal, b: Signal, driven: bool) -> str | None:
    """The kind of clash between two signals of one metal, or None where they may share it."""
    if (
        a.row.refused
        or b.row.refused
        or {"nothing", "unknown"} & {a.row.electrical, b.row.electrical}
    ):
        return None  # rules of their own
    if _coded(net, a, b) or {a.row.electrical, b.row.electrical} == {"loop"}:
        return None  # the chain family
    return (
        _energy(a, b)
        or _supply(view, a, b)
        or _bus(a, b)
        or _identity(view, a, b)
        or _direction(a, b, driven)
        or _level(a, b)
    )


def _coded(net: Net, a: Signal, b: Signal) -> bool:
    return any(s.row.electrical == "coding" and not s.codes.isdisjoint(net.points) for s in (a, b))


def _energy(a: Signal, b: Signal) -> str | None:
    if (a.hot and b.cold) or (b.hot and a.cold):
        return "supply-to-ground"
    if a.source and b.source and not a.row.electrical == b.row.electrical == "drive":
        alike = a.row is b.row and (
            a.volts is None or b.volts is None or band(a.volts).overlaps(band(b.volts))
        )
        if not (alike and a.fuse is not None and a.fuse == b.fuse):
            return "sources-joined"
        return None
    for one, two in ((a, b), (b, a)):
        listening = one.drives and two.side != "machine" and not two.drives and not two.cold
        if listening and one.volts and two.volts and one.volts.high > most_volts(two.volts):
            return "over-voltage"
    return None


def _supply(view: View, a: Signal, b: Signal) -> str | None:
    supplies = [s for s in (a, b) if s.row.electrical == "supply"]
    if len(supplies) == 1 and not _settled_kin(view, a, b):
        return "supply-on-signal"
    return None


def _bus(a: Signal, b: Signal) -> str | None:
    if not {a.row.slug, b.row.slug} <= PAIRED:
        return None
    slugs = frozenset({a.row.slug, b.row.slug})
    if slugs in HALVES or (a.row is b.row and _differs(a, b, "polarity")):
        return "legs-crossed"
    machine = a.row is b.row and a.side == b.side == "machine"
    if machine and (a.pair != b.pair or (a.pair is None and a.owner != b.owner)):
        return "machine-pairs-joined"
    return None


def _identity(view: View, a: Signal, b: Signal) -> str | None:
    if a.row is not b.row and not may_share(a.row.slug, b.row.slug):
        if _settled_kin(view, a, b):
            return None
        slugs = {a.row.slug, b.row.slug}
        return "return-off-star" if slugs & POWER and slugs & STARRED else "unlike-signals"
    if a.row is not b.row or a.row.slug in CASUAL:
        return None
    telling = TELLING if a.owner != b.owner else (*TELLING, "serves")
    unlike = any(_differs(a, b, kind) for kind in telling) or any(
        a.marks[m] != b.marks[m] for m in a.marks.keys() & b.marks.keys()
    )
    if unlike and not (a.owner != b.owner and settled(view, a, b)):
        return "unlike-signals"
    return None


def _direction(a: Signal, b: Signal, driven: bool) -> str | None:
    if a.drives and b.drives and not (a.source and b.source and a.fuse and a.fuse == b.fuse):
        return "senders-joined"
    if not driven and a.listens and b.listens and (a.side == "machine") != (b.side == "machine"):
        return "flow-against-flow"
    return None


def _level(a: Signal, b: Signal) -> str | None:
    if a.volts is None or b.volts is None or band(a.volts).overlaps(band(b.volts)):
        return None
    return "volts-unlike"


def _differs(a: Signal, b: Signal, kind: str) -> bool:
    one, two = a.qualifiers.get(kind), b.qualifiers.get(kind)
    return one is not None and two is not None and one != two


def _settled_kin(view: View, a: Signal, b: Signal) -> bool:
    return a.owner != b.owner and are_kin(a.row.slug, b.row.slug) and settled(view, a, b)


def settled(view: View, a: Signal, b: Signal) -> bool:
    """Whether named persons stand to every circuit that brings these two together."""
    ids = {c for s in (a, b) if s.address != CHASSIS for c in view.harness.circuits_at(s.address)}
    return bool(ids) and ids <= view.confirmed
