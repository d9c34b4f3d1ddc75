"""Family `metal`: what lies on one conductor."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.base import Place, Severity
from wiremap.graph import Net
from wiremap.model import Cavity
from wiremap.rules.clash import Clash, clashes
from wiremap.rules.registry import Hit, rule
from wiremap.rules.signals import Signal, level
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

COMMON = "common practice"


def _hits(view: View, kind: str, **facts: object) -> Iterator[Hit]:
    for clash in view.once(clashes).get(kind, ()):
        yield clash_hit(view, clash, **facts)


def clash_hit(view: View, clash: Clash, **facts: object) -> Hit:
    """A hit at the point that stands later in the file, with a word on the other."""
    a, b = clash.a, clash.b
    where = [(view.place_of(s.address), s) for s in (a, b)]
    later, first = sorted(where, key=lambda w: (w[0] or Place(""), w[1].address), reverse=True)
    rest = len(clash.subject) - 2
    also = (
        ((first[0], f"{first[1].address} is joined here"),)
        if first[0] and first[0] != later[0]
        else ()
    )
    told = {
        "a": named(view, a),
        "b": named(view, b),
        "a_is": a.row.slug,
        "b_is": b.row.slug,
        "net": clash.net.name,
        "a_volts": level(a.volts),
        "b_volts": level(b.volts),
        "more": f", and {rest} more" if rest > 0 else "",
        **facts,
    }
    return Hit(later[0], clash.subject, told, (*also, *view.described(a.address, b.address)))


def named(view: View, signal: Signal) -> str:
    """A point in the user's words; the chassis by its name."""
    return view.name(signal.address)


@rule(
    "supply-to-ground",
    Severity.STOP,
    family="metal",
    acceptable=False,
    source=COMMON,
    what="{a} is a positive ({a_is}) and lies on one metal with {b}, a ground ({b_is}){more}",
    why="With the fuse in, the supply is shorted: wires burn or a unit dies at first power.",
    fix="Take one of the two out of circuit `{net}`; no signature waives this.",
)
def supply_to_ground(view: View) -> Iterator[Hit]:
    """A positive and a ground, return or shield, or the machine's chassis, on one metal."""
    yield from _hits(view, "supply-to-ground")


@rule(
    "sources-joined",
    Severity.STOP,
    family="metal",
    acceptable=False,
    source=COMMON,
    what="{a} and {b} both feed one metal{more}: {how}",
    why="Two sources on one metal drive current into each other, and neither fuse can open the fault alone.",
    fix="Leave one of them open; if both truly come from one fuse, write the same fuse under `fed` for both.",
)
def sources_joined(view: View) -> Iterator[Hit]:
    """Two sources of different function, volts or upstream fuse on one metal; unnamed fuses count as two."""
    for clash in view.once(clashes).get("sources-joined", ()):
        yield clash_hit(view, clash, how=_how_unlike(clash.a, clash.b))


def _how_unlike(a: Signal, b: Signal) -> str:
    if a.row is not b.row:
        return f"one is {a.row.slug}, the other {b.row.slug}"
    if a.volts != b.volts and a.volts and b.volts:
        return f"one gives {level(a.volts)}, the other {level(b.volts)}"
    if a.fuse and b.fuse:
        return f"one comes through {a.fuse}, the other through {b.fuse}"
    return "nobody has said that they come through one fuse"


@rule(
    "over-voltage",
    Severity.STOP,
    family="metal",
    acceptable=False,
    source="ISO 16750-2 supply ranges, from memory, unverified",
    what="{a} brings {a_volts} to {b}, which is made for {b_volts}{more}",
    why="Too many volts on a contact can destroy the unit behind it at once.",
    fix="Join it to a source of its own volts, or put a unit in between that is made for both.",
)
def over_voltage(view: View) -> Iterator[Hit]:
    """More volts at a unit's contact than it is made for: 24 V into a 12 V unit, 12 V on a 5 V reference."""
    for clash in view.once(clashes).get("over-voltage", ()):
        a, b = clash.a, clash.b
        if not (a.drives and a.volts and b.volts and a.volts.high > b.volts.high):
            clash.a, clash.b = b, a
        yield clash_hit(view, clash)


@rule(
    "supply-on-signal",
    Severity.STOP,
    family="metal",
    source=COMMON,
    what="{a} ({a_is}) lies on one metal with {b} ({b_is}){more}",
    why="A supply can push far more current into a signal contact than it stands.",
    fix="Check both descriptions; if it is one signal under two names, a named person confirms the circuit.",
)
def supply_on_signal(view: View) -> Iterator[Hit]:
    """A supply on the metal of an input, a bus, a loop, a drive or a reference."""
    yield from _hits(view, "supply-on-signal")


@rule(
    "unlike-signals",
    Severity.STOP,
    family="metal",
    source=COMMON,
    what="{a} ({a_told}) and {b} ({b_told}) are joined, but are not the same signal{more}",
    why="Two different signals on one metal give neither: the unit reads, drives or talks to the wrong thing.",
    fix="Give each its own circuit; if papers only word it differently, a named person confirms the circuit.",
)
def unlike_signals(view: View) -> Iterator[Hit]:
    """Signals of unlike function, or of one function for unlike side, lamp, circuit or number, on one metal."""
    for clash in view.once(clashes).get("unlike-signals", ()):
        yield clash_hit(view, clash, a_told=_told(clash.a, clash.b), b_told=_told(clash.b, clash.a))


def _told(one: Signal, other: Signal) -> str:
    if one.row is not other.row:
        return one.row.slug
    differ = [f"{k} {v}" for k, v in one.qualifiers.items() if other.qualifiers.get(k, v) != v]
    differ += [f"{k} {v}" for k, v in sorted(one.marks.items()) if other.marks.get(k, v) != v]
    return ", ".join([one.row.slug, *differ])


@rule(
    "senders-joined",
    Severity.STOP,
    family="metal",
    source=COMMON,
    what="{a} and {b} both send on one metal{more}",
    why="Two senders push against each other; the stronger one decides and the weaker one heats.",
    fix="Leave one of them open, or check the direction (`flow`) of both.",
)
def senders_joined(view: View) -> Iterator[Hit]:
    """Two points that both drive one metal."""
    yield from _hits(view, "senders-joined")


@rule(
    "flow-against-flow",
    Severity.STOP,
    family="metal",
    source=COMMON,
    what="{a} and {b} both only listen: nothing sends on this metal{more}",
    why="Each side waits for the other, so the signal is dead; or one of the directions is read wrongly.",
    fix="Check `flow` on both sides: it is told from the machine, to-unit or from-unit, in both generations.",
)
def flow_against_flow(view: View) -> Iterator[Hit]:
    """A contact of the machine and one of a unit whose directions do not meet."""
    yield from _hits(view, "flow-against-flow")


@rule(
    "volts-unlike",
    Severity.STOP,
    family="metal",
    source=COMMON,
    what="{a} stands at {a_volts} and {b} at {b_volts} on one metal{more}",
    why="Levels that do not meet are read wrongly, or harm the side with the lower one.",
    fix="Check the volts of both descriptions; join levels of one kind only.",
)
def volts_unlike(view: View) -> Iterator[Hit]:
    """Points of one metal whose stated volts do not meet, a nominal figure taken with a quarter around it."""
    yield from _hits(view, "volts-unlike")


@rule(
    "return-off-star",
    Severity.STOP,
    family="metal",
    source="common practice of controller makers",
    what="{a} ({a_is}) is joined to {b} ({b_is}) away from its star point{more}{star}",
    why="Load current through a shared piece of ground shifts the zero that sensors are read against.",
    fix="Keep them apart: a return meets power ground at its star point only.",
)
def return_off_star(view: View) -> Iterator[Hit]:
    """A sensor, signal, bus or restricted return on one metal with a power or frame ground."""
    for clash in view.once(clashes).get("return-off-star", ()):
        yield clash_hit(view, clash, star=_star(view, clash))


def _star(view: View, clash: Clash) -> str:
    for s in (clash.a, clash.b):
        for bond in view.harness.bonds:
            if (
                bond.origin == "inside"
                and s.address in (bond.a, bond.b)
                and bond.ohms.high < 1
                and bond.end == s.owner
            ):
                return f" ({s.owner} has it inside)"
    return ""


@rule(
    "machine-pairs-joined",
    Severity.STOP,
    family="metal",
    source=COMMON,
    what="{a} and {b} are halves of two different buses of the machine, joined{more}",
    why="Two buses of the machine that never met now share a wire: both may stop, brakes and engine included.",
    fix="Join a unit to one bus only; if both names mean one bus, give both the same `pair`.",
)
def machine_pairs_joined(view: View) -> Iterator[Hit]:
    """Two machine-side pairs of different name on one metal."""
    yield from _hits(view, "machine-pairs-joined")


# -- single metals ------------------------------------------------------------------------------------


def _joined_nets(view: View) -> Iterator[tuple[Net, list[Signal]]]:
    for net in view.nets:
        if net.circuits:
            yield net, view.signals(net)


def beyond(view: View, net: Net) -> list[Signal]:
    """Signals that a resistor or diode of the job brings to a metal."""
    found: list[Signal] = []
    for address in net.points:
        extra = view.points[address].extra
        if extra is not None and extra.kind in ("resistor", "diode"):
            for leg in extra.legs:
                if leg not in net.points:
                    found += view.signals(view.net_of(leg))
    return found


@rule(
    "nothing-feeds",
    Severity.CAUTION,
    family="metal",
    source=COMMON,
    what="nothing feeds {a}: no source lies on its metal{more}",
    why="The supply contact is wired but stays dead.",
    fix="Join it to a source of the machine, or list it under `not_joined`.",
)
def nothing_feeds(view: View) -> Iterator[Hit]:
    """A joined supply contact without any source on its metal."""
    for net, signals in _joined_nets(view):
        waiting = [
            s for s in signals if s.row.electrical == "supply" and s.listens and s.side != "machine"
        ]
        fed = any(s.drives or s.row.electrical == "unknown" for s in (*signals, *beyond(view, net)))
        if waiting and not fed and not any(s.listens and s.side == "machine" for s in signals):
            yield _at_first(view, waiting)


def _at_first(view: View, signals: list[Signal]) -> Hit:
    first = signals[0]
    rest = len(signals) - 1
    return Hit(
        view.place_of(first.address),
        tuple(s.address for s in signals),
        {"a": named(view, first), "more": f" ({rest} more with it)" if rest else ""},
    )


@rule(
    "input-floating",
    Severity.CAUTION,
    family="metal",
    source=COMMON,
    what="input {a} is left floating",
    why="An open input picks up whatever is near and may read as on.",
    fix="Join it to what sends on it, or say under `not_joined` why the unit does not mind it open.",
)
def input_floating(view: View) -> Iterator[Hit]:
    """A unit's input on whose metal nothing else lies, or which is left open by a written decision."""
    for net in view.nets:
        signals = view.signals(net)
        for s in signals:
            if s.row.electrical != "input" or s.side == "machine" or not s.listens:
                continue
            alone = (
                not any(o.owner != s.owner for o in (*signals, *beyond(view, net)))
                if net.circuits
                else s.address in view.job.not_joined
            )
            if alone:
                yield Hit(view.place_of(s.address), (s.address,), {"a": named(view, s)})


@rule(
    "return-weaker",
    Severity.CAUTION,
    family="metal",
    source=COMMON,
    what="the return of {owner} is weaker than what it serves: {back} back against {out} out",
    why="The same current flows back as flows out; the thin return heats and lifts the unit's ground.",
    fix="Join all ground contacts of {owner}, or use a return at least as thick as its feeds.",
)
def return_weaker(view: View) -> Iterator[Hit]:
    """The joined ground contacts of a unit, or a restricted return, thinner altogether than the supplies they serve."""
    for end in view.job.ends.values():
        if end.side == "machine":
            continue
        cavities = end.pinout.cavities
        joined = [c for c in cavities.values() if view.harness.circuits_at(f"{end.name}.{c.name}")]
        feeds = [c for c in joined if FUNCTIONS[c.function].electrical == "supply"]
        yield from _weaker(
            view, end.name, feeds, [c for c in joined if c.function == "power-ground"]
        )
        for back in (c for c in joined if c.serves):
            yield from _weaker(view, end.name, [c for c in joined if c.name in back.serves], [back])


def _weaker(view: View, owner: str, feeds: list[Cavity], backs: list[Cavity]) -> Iterator[Hit]:
    outs = [c.wire.csa_mm2 if c.wire else None for c in feeds]
    ins = [c.wire.csa_mm2 if c.wire else None for c in backs]
    if not outs or not ins or None in outs or None in ins:
        return
    out, back = max(o for o in outs if o), sum(i for i in ins if i)
    if back < out - 1e-9:
        subject = tuple(f"{owner}.{c.name}" for c in backs)
        yield Hit(
            view.place_of(subject[0]),
            subject,
            {"owner": owner, "back": f"{back:g} mm2", "out": f"{out:g} mm2"},
        )


@rule(
    "two-fuses",
    Severity.NOTE,
    family="metal",
    source=COMMON,
    what="{a} is fed through {fuses}",
    why="With two fuses in a row either may open; side by side they do not share the load evenly.",
    fix="Write both ratings on the sheet, the smaller one nearest to what it guards.",
)
def two_fuses(view: View) -> Iterator[Hit]:
    """A metal with two fuses of the job, or one behind a named fuse of the machine."""
    for net, signals in _joined_nets(view):
        fuses = sorted(
            {
                e.name
                for a in net.points
                if (e := view.points[a].extra) is not None and e.kind == "fuse"
            }
        )
        upstream = [s for s in signals if s.source and s.fuse]
        chain = [*(s.fuse or "" for s in upstream[:1]), *fuses]
        if len(chain) > 1 and fuses:
            fed = next((s for s in signals if s.listens), upstream[0] if upstream else None)
            if fed is not None:
                facts = {"a": named(view, fed), "fuses": " and ".join(chain)}
                yield Hit(view.place_of(fed.address), (fed.address,), facts)
