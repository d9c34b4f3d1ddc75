"""What a slip comes to: the gravest thing that its metals do, in one plain sentence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from wiremap.graph import Net
from wiremap.model import CHASSIS
from wiremap.rules import View
from wiremap.rules.clash import POWER, Clash, on_metal
from wiremap.rules.families.chain_guards import guard_bridged, guards_crossed
from wiremap.rules.links import codings
from wiremap.rules.segments import is_known, segment_ohms, segments
from wiremap.rules.signals import Signal

GRADES = ("harm", "dead", "quiet", "none")
COMMON_METAL = frozenset({"ground", "supply", "shield", "coding", "loop", "nothing", "unknown"})
MOVING = frozenset({"high-side-drive", "low-side-drive", "brake", "steering", "start-supply"})


@dataclass(frozen=True, slots=True)
class Effect:
    """One thing that goes wrong: how bad (an index into GRADES), what kind of thing, the sentence, the points in it."""

    grade: int
    cause: str
    sentence: str
    points: tuple[str, ...] = ()


NOTHING = Effect(3, "no change", "nothing changes")


def effects(base: View, nets: list[Net]) -> list[Effect]:
    """Everything that the changed metals do which the job as drawn does not, the worst first."""
    view = View(base.harness, nets, base=base)
    touched = {a for net in nets for a in net.points}
    found = [e for net in nets for e in _on(base, view, net)]
    found += _lost(base, view, touched)
    found += _guards(base, view, touched)
    found += _coded(base, view, touched)
    if not any(e.cause == "dead bus" for e in found):
        found += _terminated(base, view, touched)
    return sorted(
        found, key=lambda e: (e.grade, RANK.get(e.cause, 50), not _fed(base, e), e.points)
    )


def _fed(view: View, effect: Effect) -> bool:
    """Whether a supply of the machine stands behind an effect, which makes it the gravest of its kind."""
    return any(
        (s := view.signal(a)) is not None and s.row.electrical == "supply" for a in effect.points
    )


RANK = {
    "over-voltage": 0,
    "sources-joined": 0,
    "supply-to-ground": 1,
    "supply-on-signal": 2,
    "guard": 3,
    "wrong load": 4,
}


# -- what lies together that did not ------------------------------------------------------------------


def _on(base: View, view: View, net: Net) -> Iterator[Effect]:
    old = base.harness.metals
    for clash in on_metal(view, net):
        if old.of(clash.a.address).points != old.of(clash.b.address).points:
            yield _clash(view, clash)
        else:
            new = [m for m in clash.members if old.of(m).points != old.of(clash.a.address).points]
            if new:
                yield _clash(view, clash)
    signals = view.signals(net)
    for a, b in combinations(signals[:40], 2):
        if a.row is b.row and old.of(a.address).points != old.of(b.address).points:
            effect = _alike(view, a, b)
            if effect is not None:
                yield effect


def _word(view: View, signal: Signal) -> str:
    if signal.address == CHASSIS:
        return "the chassis"
    point = view.points[signal.address]
    words = point.cavity.signal if point.cavity else ""
    return f"{words} ({signal.address})" if words else signal.address


def _volts(signal: Signal) -> str:
    if signal.volts is None:
        return f"{signal.row.slug.replace('-', ' ')} voltage"
    return f"{signal.volts.high:g} V"


def _clash(view: View, clash: Clash) -> Effect:
    a, b, kind = clash.a, clash.b, clash.kind
    pair = (a.address, b.address)
    hot, other = (a, b) if (a.source, a.drives) >= (b.source, b.drives) else (b, a)
    one, two = _word(view, hot), _word(view, other)
    if kind == "supply-to-ground":
        if hot.drives:
            return Effect(0, kind, f"{one} is shorted to ground at {two}", pair)
        return Effect(
            1,
            "tied to ground",
            f"{one if hot.hot else two} is tied to ground and gets nothing",
            pair,
        )
    if kind in ("sources-joined", "over-voltage", "supply-on-signal"):
        strong, weak = _stronger(hot, other)
        if kind == "supply-on-signal" and not strong.drives:
            return Effect(
                1,
                "no supply",
                f"{_word(view, strong)} hangs on {_word(view, weak)} and gets no supply",
                pair,
            )
        return Effect(0, kind, f"{_volts(strong)} reaches {_word(view, weak)}", pair)
    if kind == "return-off-star":
        back = two if hot.row.slug in POWER else one
        return Effect(2, kind, f"load current runs through {back}: readings wander", pair)
    if kind == "machine-pairs-joined":
        return Effect(0, kind, f"two buses of the machine touch: {one} and {two}", pair)
    if kind == "legs-crossed":
        return Effect(
            1, "dead bus", f"high meets low ({hot.address}, {other.address}): the bus is dead", pair
        )
    if kind == "senders-joined":
        return Effect(0, kind, f"{one} and {two} push against each other", pair)
    if kind == "flow-against-flow":
        return Effect(
            1, "dead signal", f"{one} and {two} wait for each other: the signal is dead", pair
        )
    return _unlike(view, hot, other)


def _stronger(a: Signal, b: Signal) -> tuple[Signal, Signal]:
    def might(s: Signal) -> tuple[bool, bool, float]:
        return (s.drives, s.row.electrical == "supply", s.volts.high if s.volts else 0.0)

    return (a, b) if might(a) >= might(b) else (b, a)


def _unlike(view: View, a: Signal, b: Signal) -> Effect:
    pair = (a.address, b.address)
    if a.row is b.row:
        same = _alike(view, a, b)
        if same is not None:
            return same
    strong, weak = _stronger(a, b)
    one, two = _word(view, strong), _word(view, weak)
    if (
        strong.drives
        and strong.row.volts == "system"
        and weak.row.volts in ("reference", "data", "bus")
    ):
        return Effect(0, "too many volts", f"{_volts(strong)} reaches {two}", pair)
    if {"drive"} & {strong.row.electrical, weak.row.electrical} and strong.drives:
        return Effect(0, "wrong load", f"{two} is driven by {one}", pair)
    if {"bus"} & {strong.row.electrical, weak.row.electrical}:
        return Effect(1, "dead bus", f"{one} meets {two}: the bus is dead", pair)
    if "loop" in (strong.row.electrical, weak.row.electrical):
        return Effect(
            1,
            "guard lost",
            f"the guard loop hangs on {two if strong.row.electrical == 'loop' else one}",
            pair,
        )
    for s, o in ((a, b), (b, a)):
        if s.cold:
            return Effect(
                2,
                "wrong reading",
                f"{_word(view, o)} is tied to {_word(view, s)} and reads nothing",
                pair,
            )
        if s.row.slug == "sensor-supply":
            return Effect(
                2,
                "wrong reading",
                f"{_word(view, s)} is joined to {_word(view, o)}: the sensors are not fed",
                pair,
            )
    return Effect(2, "wrong reading", f"{two} reads what {one} gives", pair)


def _alike(view: View, a: Signal, b: Signal) -> Effect | None:
    """Two contacts of one function that were apart: harmless where they are common, wrong where each has a sense."""
    if a.row.slug == "sensor-return" or a.row.electrical in COMMON_METAL:
        return None
    if a.row.electrical == "bus":
        machine = a.side == b.side == "machine"
        return Effect(
            0 if machine else 1,
            "dead bus" if not machine else "machine-pairs-joined",
            f"{_word(view, a)} lies on {_word(view, b)}: "
            + ("two buses touch" if machine else "wrong bus, dead"),
            (a.address, b.address),
        )
    if a.drives == b.drives:
        return (
            None
            if not a.drives
            else Effect(
                0,
                "senders-joined",
                f"{_word(view, a)} and {_word(view, b)} push against each other",
                (a.address, b.address),
            )
        )
    sends, takes = (a, b) if a.drives else (b, a)
    pair = (sends.address, takes.address)
    if a.row.slug in MOVING:
        return Effect(
            0,
            "wrong load",
            f"{_word(view, takes)} works when {_word(view, sends)} is called for",
            pair,
        )
    if a.row.electrical == "lamp":
        return Effect(
            2, "wrong lamp", f"{_word(view, takes)} lights for {_word(view, sends)}", pair
        )
    return Effect(
        2, "wrong reading", f"{_word(view, takes)} reads what {_word(view, sends)} gives", pair
    )


# -- what lay together and does not any more ----------------------------------------------------------


def _lost(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    for address in sorted(touched):
        s = view.signal(address)
        if (
            s is None
            or address == CHASSIS
            or (s.side == "machine" and s.row.electrical not in ("bus", "loop", "drive"))
        ):
            continue
        before = [o for o in base.signals(base.net_of(address)) if o.owner != s.owner]
        if not before:
            continue
        there = [o for o in view.signals(view.net_of(address)) if o.owner != s.owner]
        if s.row.electrical in ("bus", "loop") and any(
            o.row.electrical == s.row.electrical for o in there
        ):
            continue  # crossed, not open: told by what meets
        now = {o.address for o in there}
        if not now & {o.address for o in before} and not any(
            view.points[a].kind == "stud" for a in view.net_of(address).points
        ):
            effect = _without(base, view, s)  # nothing of what lay here before is left
            if effect is not None:
                yield effect


def _without(base: View, view: View, s: Signal) -> Effect | None:
    word = _word(view, s)
    kind = s.row.electrical
    if kind == "ground":
        others = [
            p
            for p in (base.points[a] for a in base.points if a.startswith(s.owner + "."))
            if p.address != s.address
            and p.function == s.row.slug
            and base.harness.circuits_at(p.address)
        ]
        if others:
            return Effect(
                2,
                "half a ground",
                f"{word} is open: {others[0].address} carries its current too",
                (s.address,),
            )
        return Effect(1, "no ground", f"{s.owner} has no ground ({s.address})", (s.address,))
    if kind == "supply":
        return Effect(1, "no supply", f"{word} gets no supply", (s.address,))
    if kind == "bus":
        return Effect(1, "dead bus", f"{word} is open: the bus is dead", (s.address,))
    if kind == "loop":
        return Effect(
            1, "guard lost", f"{word} is open: the unit sees the guard lifted", (s.address,)
        )
    if kind == "drive":
        return Effect(1, "no load", f"{word} does not work", (s.address,))
    if kind == "shield":
        return Effect(2, "no shield", f"{word} hangs loose: the pair is not shielded", (s.address,))
    if kind == "coding":
        return None  # told by what it now selects
    if kind == "input" and s.row.slug == "wake":
        return Effect(1, "no wake", f"{s.owner} does not wake ({s.address})", (s.address,))
    if kind in ("input", "reference"):
        return Effect(2, "wrong reading", f"{word} is open: readings are wrong", (s.address,))
    return Effect(1, "dead signal", f"{word} is open", (s.address,))


def _guards(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    known = {hit.subject for hit in guard_bridged(base)} | {
        hit.subject for hit in guards_crossed(base)
    }
    for hit in guard_bridged(view):
        if hit.subject not in known and set(hit.subject) & touched:
            where = " with ".join(hit.subject)
            yield Effect(
                0,
                "guard",
                f"the guard loop is bridged ({where}): it reads shut with the guard open",
                hit.subject,
            )
    for hit in guards_crossed(view):
        if hit.subject not in known and set(hit.subject) & touched:
            yield Effect(
                0,
                "guard",
                f"guard loops are crossed at {hit.subject[0]}: one guard switches the other's function",
                hit.subject,
            )


def _coded(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    if not any(a in touched for a in base.fixed(_coding_points)):
        return
    before = {c.point.address: c for c in base.once(codings)}
    for coding in codings(view):
        old = before[coding.point.address]
        if coding.links != old.links and coding.point.address in touched:
            word = _word(view, view.signal(coding.point.address))  # type: ignore[arg-type]
            now = f"selects {coding.selects}" if coding.selects else "selects nothing that is known"
            wanted = f" instead of {old.selects}" if old.selects else ""
            yield Effect(2, "wrong set-up", f"{word} {now}{wanted}", (coding.point.address,))


def _coding_points(view: View) -> frozenset[str]:
    return frozenset(c.point.address for c in view.once(codings))


def _terminated(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    legs = base.fixed(_bus_points)
    if not touched & legs:
        return
    before = {s.pairs[0].high.address: segment_ohms(base, s) for s in base.once(segments)}
    for segment in segments(view):
        key = segment.pairs[0].high.address
        ohms = segment_ohms(view, segment)
        old = before.get(key)
        if (
            is_known(view, segment)
            and old is not None
            and (abs(ohms.low - old.low) > 1 or ohms.high != old.high)
            and (not _near(ohms.low, old.low) or not _near(ohms.high, old.high))
        ):
            yield Effect(
                2,
                "terminators",
                f"{segment.pairs[0].called} ends in {_shown(ohms.low)} ohm instead of "
                f"{_shown(old.low)}: it errs now and then",
                (key, segment.pairs[0].low.address),
            )


def _near(a: float, b: float) -> bool:
    return a == b or abs(a - b) <= 0.1 * max(a, b)


def _shown(ohms: float) -> str:
    return "no" if ohms == float("inf") else f"{ohms:.3g}"


def _bus_points(view: View) -> frozenset[str]:
    """Every point on the two metals of a joined pair, the legs of its resistors with it."""
    return frozenset(a for s in view.once(segments) for net in (s.high, s.low) for a in net.points)
