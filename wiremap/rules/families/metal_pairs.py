"""Family `metal`: what lies on one conductor, each pair of signals held against the other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wiremap.base import Place
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.rules.clash import Clash, clashes
from wiremap.rules.clash_kinds import ClashKind
from wiremap.rules.cure import CONFIRMED_OR_READ_WRONGLY, READ_WRONGLY, TAKE_APART, said_anew, typed
from wiremap.rules.levels import volts_at
from wiremap.rules.limits import limit
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.signals import Signal, level
from wiremap.rules.view import View
from wiremap.trade.functions import are_kin, called

METAL = Family("metal", Matter.UNIT)


def clashing(view: View, kind: ClashKind) -> list[Clash]:
    """Every clash of a kind."""
    return view.once(clashes).get(kind, [])


def clash_hit(view: View, clash: Clash, **facts: object) -> Hit:
    """A hit at the point that stands later in the file, with a word on the other."""
    a, b = clash.a, clash.b
    places = [(view.place_of(s.address) or Place(""), s.address) for s in (a, b)]
    (first, address), (later, _) = sorted(places)
    also = view.described(a.address, b.address)
    if first.path and first != later:
        also = ((first, f"{address} is joined here"), *also)
    rest = ", ".join(clash.subject[2:])
    own_facts = {
        "a_is": called(a.row.slug),
        "b_is": called(b.row.slug),
        "a_volts": level(volts_at(view, a)),
        "b_volts": level(volts_at(view, b)),
        "net": clash.net.name,
        "guessed": _guessed(view, clash),
        "more": f", also {rest}" if rest else "",
    }
    return view.hit_with(clash.subject, own_facts | facts, later if later.path else None, also)


def _guessed(view: View, clash: Clash) -> str:
    """Of two signals that clash the one whose function is the less sure, by its paper's words."""
    known = cavity_of(view.job, clash.b.address)
    sure = known is None or known.cavity.reading.settled
    return clash.a.address if sure else clash.b.address


def _hits(view: View, kind: ClashKind) -> Hits:
    return (clash_hit(view, clash) for clash in clashing(view, kind))


@METAL.stop(
    "supply-to-ground",
    acceptable=False,
    what="{a} is a positive ({a_is}) and is connected with {b}, a ground ({b_is}){more}",
    why="With the fuse in, the supply is shorted: wires burn or a unit dies at first power.",
    fix="Take one of the two out of circuit `{net}`; no signature waives this." + TAKE_APART,
)
def supply_to_ground(view: View) -> Hits:
    """A positive and a ground, return or shield, or the machine's chassis, connected."""
    return _hits(view, ClashKind.SUPPLY_TO_GROUND)


@METAL.stop(
    "sources-joined",
    acceptable=False,
    what="{a} and {b} both feed one circuit{more}: {how}",
    why="Two sources on one circuit drive current into each other, and neither fuse can open the "
    "fault alone.",
    fix="Leave one of them open; if both truly come from one fuse, write the same fuse under "
    "`fed` for both." + READ_WRONGLY + ".",
)
def sources_joined(view: View) -> Hits:
    """Two sources of different function, volts or upstream fuse connected; unnamed fuses
    count as two.
    """
    for clash in clashing(view, ClashKind.SOURCES_JOINED):
        yield clash_hit(view, clash, how=_how_unlike(clash.a, clash.b))


def _how_unlike(a: Signal, b: Signal) -> str:
    if a.row is not b.row:
        return f"one is {called(a.row.slug)}, the other {called(b.row.slug)}"
    if a.volts and b.volts and a.volts != b.volts:
        return f"one gives {level(a.volts)}, the other {level(b.volts)}"
    if a.fuse and b.fuse:
        return f"one comes through {a.fuse}, the other through {b.fuse}"
    return "nobody has said that they come through one fuse"


@METAL.stop(
    "over-voltage",
    acceptable=False,
    source="ISO 16750-2 supply ranges, from memory, unverified",
    what="{a} brings {a_volts} to {b}, which is made for {b_volts}{more}",
    why="Too many volts on a contact can destroy the unit behind it at once.",
    fix="Join it to a source of its own volts, put a unit in between that is made for "
    "both, or state the volts anew" + said_anew("volts", of="bt"),
)
def over_voltage(view: View) -> Hits:
    """More volts at a unit's contact than it is made for: 24 V into a 12 V unit, 12 V on a 5 V
    reference.
    """
    for clash in clashing(view, ClashKind.OVER_VOLTAGE):
        yield clash_hit(view, clash if _is_stronger(clash.a, clash.b) else clash.turned())


def _is_stronger(one: Signal, other: Signal) -> bool:
    return bool(one.drives and one.volts and other.volts and one.volts.high > other.volts.high)


@METAL.stop(
    "supply-on-signal",
    what="{a} ({a_is}) is connected with {b} ({b_is}){more}",
    why="A supply can push far more current into a signal contact than it stands.",
    fix="Check both; if it is one signal under two names, say so" + CONFIRMED_OR_READ_WRONGLY,
)
def supply_on_signal(view: View) -> Hits:
    """A supply connected with an input, a bus, a loop, a drive or a reference."""
    return _hits(view, ClashKind.SUPPLY_ON_SIGNAL)


@METAL.stop(
    "unlike-signals",
    what="{a} ({a_told}) and {b} ({b_told}) are joined, {but}{more}",
    why="Two different signals on one wire give neither: the unit reads, drives or talks to the "
    "wrong thing.",
    fix="Part them; if papers only word it differently, say so" + CONFIRMED_OR_READ_WRONGLY,
)
def unlike_signals(view: View) -> Hits:
    """Signals of unlike function, or of one function for unlike side, lamp, circuit or number,
    connected.
    """
    for clash in clashing(view, ClashKind.UNLIKE_SIGNALS):
        a, b = clash.a, clash.b
        but = "but are not the same signal"
        if a.row is not b.row and are_kin(a.row.slug, b.row.slug):
            but = "and nobody has settled whether they are one signal"
        yield clash_hit(view, clash, a_told=_told(a, b), b_told=_told(b, a), but=but)


def _told(one: Signal, other: Signal) -> str:
    """What tells a signal from the other: its function, or the words that differ."""
    words = [called(one.row.slug)]
    if one.row is other.row:
        words += _differing(one.qualifiers.items(), other.qualifiers)
        words += _differing(sorted(one.marks.items()), other.marks)
    return ", ".join(words)


def _differing(mine: Iterable[tuple[str, str]], theirs: Mapping[str, str]) -> Iterator[str]:
    for key, value in mine:
        if theirs.get(key, value) != value:
            yield f"{key} {value}"


@METAL.stop(
    "senders-joined",
    what="{a} and {b} both send on one circuit{more}",
    why="Two senders push against each other; the stronger one decides and the weaker one heats.",
    fix="Leave one open, or say the direction as told from the machine" + said_anew("flow"),
)
def senders_joined(view: View) -> Hits:
    """Two points that both drive one circuit."""
    return _hits(view, ClashKind.SENDERS_JOINED)


@METAL.stop(
    "flow-against-flow",
    what="{a} and {b} both only listen: nothing sends on this circuit{more}",
    why="Each side waits for the other, so the signal is dead; or one of the directions is read "
    "wrongly.",
    fix="Find out who sends, and answer it"
    + typed(": wiremap next JOB --about {about}.flow")
    + " (told from the machine: to-unit or from-unit).",
)
def flow_against_flow(view: View) -> Hits:
    """A contact of the machine and one of a unit whose directions do not meet."""
    for clash in clashing(view, ClashKind.FLOW_AGAINST_FLOW):
        yield clash_hit(view, clash, about=_doubtful(clash.a, clash.b).address)


def _doubtful(a: Signal, b: Signal) -> Signal:
    """Of two directions that do not meet the one to ask for: untold, or the machine's."""
    machine, unit = (a, b) if a.is_machine else (b, a)
    return unit if machine.flow_told and not unit.flow_told else machine


@METAL.stop(
    "volts-unlike",
    what="{a} stands at {a_volts} and {b} at {b_volts}, and they are connected{more}",
    why="Levels that do not meet are read wrongly, or harm the side with the lower one.",
    fix="Join levels of one kind only; if one is stated wrongly, say its volts"
    + said_anew("volts"),
)
def volts_unlike(view: View) -> Hits:
    """Connected points whose volts do not meet, a nominal figure taken with a quarter around it.

    Where no paper says, a contact of the machine stands at the machine's own volts.
    """
    return _hits(view, ClashKind.VOLTS_UNLIKE)


@METAL.stop(
    "return-off-star",
    source="common practice of controller makers",
    what="{a} ({a_is}) is joined to {b} ({b_is}): they meet a second time, not only where they "
    "are meant to{more}{star}",
    why="Load current through a shared piece of ground shifts the zero that sensors are read "
    "against.",
    fix="Keep them apart: a return meets power ground in one place only, mostly in its unit."
    + TAKE_APART,
)
def return_off_star(view: View) -> Hits:
    """A sensor, signal, bus or restricted return connected with a power or frame ground."""
    for clash in clashing(view, ClashKind.RETURN_OFF_STAR):
        star = _star(view, clash.a) or _star(view, clash.b)
        yield clash_hit(view, clash, star=star)


def _star(view: View, signal: Signal) -> str:
    """Where the star point of a return is, if its unit has one inside."""
    for bond in view.harness.bonds:
        near = bond.origin == "inside" and bond.ohms.high < limit("drain-ohms")
        if near and bond.end == signal.owner and signal.address in (bond.a, bond.b):
            return f" ({signal.owner} joins them inside)"
    return ""


@METAL.stop(
    "machine-pairs-joined",
    matter=Matter.PEOPLE,
    what="{a} and {b} are halves of two different buses of the machine, joined{more}",
    why="Two buses of the machine that never met now share a wire: both may stop, brakes and "
    "engine included.",
    fix="Join a unit to one bus only; if both names mean one bus, give both the same name"
    + said_anew("pair"),
)
def machine_pairs_joined(view: View) -> Hits:
    """Two machine-side pairs of different name that are connected."""
    return _hits(view, ClashKind.MACHINE_PAIRS_JOINED)
