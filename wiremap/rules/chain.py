"""Family `chain`: guard loops that must stay loops, and coding contacts that must be decided."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from wiremap.base import Severity
from wiremap.evidence import answers, undecided
from wiremap.graph import Net, Point
from wiremap.model import Entry
from wiremap.rules.registry import Hit, rule
from wiremap.rules.signals import Signal
from wiremap.rules.view import View

COMMON = "common practice"
LOOP = ("interlock-out", "interlock-back")
BRIDGE_OHMS = 1000.0  # a part of the job of less than this across a guard loop can hold it shut; common practice


@dataclass(slots=True)
class Loop:
    """The two ends of one chain at one connector."""

    end: str
    chain: str
    out: list[Point] = field(default_factory=list)
    back: list[Point] = field(default_factory=list)

    @property
    def points(self) -> list[Point]:
        """Both ends, out first."""
        return [*self.out, *self.back]


def loops(view: View) -> list[Loop]:
    """Every guard loop of every end, in the order of the ends."""
    found: dict[tuple[str, str], Loop] = {}
    for end in view.job.ends.values():
        for cavity in end.pinout.cavities.values():
            if cavity.function in LOOP:
                loop = found.setdefault(
                    (end.name, cavity.chain or ""), Loop(end.name, cavity.chain or "")
                )
                side = loop.out if cavity.function == "interlock-out" else loop.back
                side.append(view.points[f"{end.name}.{cavity.name}"])
    return list(found.values())


@rule(
    "guard-open",
    Severity.STOP,
    family="chain",
    source=COMMON,
    what="guard loop {chain} is open at {a}{how}",
    why="The unit sees the guard as lifted and will not run; the next person is tempted to bridge it.",
    fix="Carry both ends of the loop through to their partners.",
)
def guard_open(view: View) -> Iterator[Hit]:
    """A contact of a guard loop that is not carried through to a partner on another connector."""
    for loop in view.fixed(loops):
        for point in loop.points:
            if point.is_tap and not view.harness.circuits_at(point.address):
                continue
            others = [s for s in view.signals(view.net_of(point.address)) if s.owner != loop.end]
            if not any(s.row.electrical == "loop" for s in others):
                how = ": it meets nothing of a loop" if others else ": it is not joined"
                yield Hit(
                    view.place_of(point.address),
                    (point.address,),
                    {
                        "chain": loop.chain or "without a name",
                        "a": view.name(point.address),
                        "how": how,
                    },
                )


@rule(
    "guard-bridged",
    Severity.STOP,
    family="chain",
    acceptable=False,
    source="common practice; ISO 14119 on defeating interlocks, from memory, unverified",
    what="guard loop {chain} is bridged: {a} and {b} {how}",
    why="With the loop bridged the machine runs with its guard open and can maim.",
    fix="Take the bridge out; a guard loop is carried through, never closed by an adapter.",
)
def guard_bridged(view: View) -> Iterator[Hit]:
    """Out and back of a guard loop of one connector on one metal, or with a part of low ohms of the job across."""
    ends: dict[str, list[Loop]] = defaultdict(list)
    for loop in view.fixed(loops):
        ends[loop.end].append(loop)
    for own in ends.values():
        for one in (p for loop in own for p in loop.out):
            for two in (p for loop in own for p in loop.back):
                how = _bridge(view, view.net_of(one.address), view.net_of(two.address))
                if how:
                    a, b = sorted((one.address, two.address), key=lambda x: str(view.place_of(x)))
                    yield Hit(
                        view.place_of(b),
                        (one.address, two.address),
                        {
                            "chain": next(x.chain for x in own if one in x.out) or "without a name",
                            "a": view.name(a),
                            "b": view.name(b),
                            "how": how,
                        },
                        view.described(a, b),
                    )


def _bridge(view: View, one: Net, two: Net) -> str:
    if one is two or one.points == two.points:
        return "are one metal"
    # metals that parts of the job lead to, with the ohms and the parts on the way
    reached: dict[tuple[str, ...], tuple[float, tuple[str, ...]]] = {one.points: (0.0, ())}
    todo: list[Net] = [one]
    while todo:
        here = todo.pop()
        ohms, through = reached[here.points]
        for extra in {
            e.name: e for a in here.points if (e := view.points[a].extra) is not None
        }.values():
            more = ohms + (0.0 if extra.kind == "diode" else extra.ohms or 0.0)
            if extra.kind not in ("resistor", "diode") or more >= BRIDGE_OHMS:
                continue
            for there in (view.net_of(leg) for leg in extra.legs):
                if there.points == two.points:
                    return f"have {' and '.join((*through, extra.name))} across them"
                if (
                    more < reached.get(there.points, (BRIDGE_OHMS, ()))[0]
                    and there.points != here.points
                ):
                    reached[there.points] = (more, (*through, extra.name))
                    todo.append(there)
    return ""


@dataclass(frozen=True, slots=True)
class Meeting:
    """A loop contact and one contact of another connector's loop on the same metal."""

    mine: Signal
    theirs: Signal


def _meetings(view: View, loop: Loop) -> list[Meeting]:
    found = []
    for point in loop.points:
        mine = view.signal(point.address)
        assert mine is not None
        for s in view.signals(view.net_of(point.address)):
            if s.owner != loop.end and s.row.electrical == "loop":
                found.append(Meeting(mine, s))
    return found


@rule(
    "guards-crossed",
    Severity.STOP,
    family="chain",
    source=COMMON,
    what="guard loop {chain} of {end} is crossed with {other}",
    why="One guard then switches the other's function, and both seem to work.",
    fix="Join each loop to the one loop that it belongs to, out and back.",
)
def guards_crossed(view: View) -> Iterator[Hit]:
    """A guard loop whose two ends go to different loops, or to another one although its namesake is there."""
    known = {(loop.end, loop.chain) for loop in view.fixed(loops)}
    for loop in view.fixed(loops):
        met: dict[str, dict[str, Signal]] = defaultdict(dict)
        for m in _meetings(view, loop):
            met[m.theirs.owner].setdefault(m.theirs.chain or "", m.theirs)
        for owner, chains in met.items():
            wrong = [
                s
                for c, s in chains.items()
                if c != loop.chain and loop.chain and (owner, loop.chain) in known
            ]
            if len(chains) > 1 or wrong:
                guilty = wrong[0] if wrong else list(chains.values())[1]
                yield Hit(
                    view.place_of(guilty.address),
                    tuple(p.address for p in loop.points),
                    {
                        "chain": loop.chain or "without a name",
                        "end": loop.end,
                        "other": " and ".join(f"{owner} {c or 'without a name'}" for c in chains),
                    },
                )


@rule(
    "guard-exchanged",
    Severity.NOTE,
    family="chain",
    source=COMMON,
    what="guard loop {chain}: out and back are exchanged between {end} and {other}",
    why="A plain loop reads alike both ways, but a unit that tests its own output may see a fault.",
    fix="Exchange the two if the unit reports the loop.",
)
def guard_exchanged(view: View) -> Iterator[Hit]:
    """A loop carried through whole, with its out on the other's back and its back on the other's out."""
    for loop in view.fixed(loops):
        met = _meetings(view, loop)
        if len(met) >= 2 and all(m.mine.row is not m.theirs.row for m in met):
            other = met[0].theirs.owner
            if loop.end < other:
                yield Hit(
                    view.place_of(loop.points[0].address),
                    tuple(p.address for p in loop.points),
                    {"chain": loop.chain or "without a name", "end": loop.end, "other": other},
                )


@rule(
    "guard-half",
    Severity.STOP,
    family="chain",
    source=COMMON,
    what="guard loop {chain}: {a} and {b} are joined, but not the other two ends in the same way",
    why="With only one leg turned round the loop does not run from the unit through the guard and back.",
    fix="Join out to out and back to back.",
)
def guard_half(view: View) -> Iterator[Hit]:
    """A loop with one leg carried straight and the other one turned round."""
    for loop in view.fixed(loops):
        met = _meetings(view, loop)
        turned = [m for m in met if m.mine.row is not m.theirs.row]
        if turned and len(turned) < len(met):
            m = turned[0]
            if loop.end < m.theirs.owner:
                yield Hit(
                    view.place_of(m.theirs.address),
                    (m.mine.address, m.theirs.address),
                    {
                        "chain": loop.chain or "without a name",
                        "a": view.name(m.mine.address),
                        "b": view.name(m.theirs.address),
                    },
                )


# -- coding -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Coding:
    """A unit's coding contact as the job sets it."""

    point: Point
    links: tuple[str, ...]  # what it is linked with: cavities of `codes`, `open`, or other points
    selects: str | None  # what that means; None where `codes` does not tell
    answer: Entry | None
    confirmed: bool


def _answers(view: View) -> dict[str, Entry]:
    return answers(view.job)


def codings(view: View) -> list[Coding]:
    """Every coding contact of units and modules."""
    found = []
    for end in view.job.ends.values():
        if end.side == "machine" or end.kind == "tap":
            continue
        for cavity in end.pinout.cavities.values():
            if cavity.function == "coding":
                found.append(_coding(view, view.points[f"{end.name}.{cavity.name}"]))
    return found


def _coding(view: View, point: Point) -> Coding:
    assert point.cavity is not None and point.end is not None
    net = view.net_of(point.address)
    others = [a for a in net.points if a != point.address]
    prefix = f"{point.end.name}."
    named = [c for c in point.cavity.codes if c != "open" and prefix + c in others]
    links = tuple(named) if named else tuple(others) if others else ("open",)
    circuits = view.harness.circuits_at(point.address)
    said = view.fixed(_answers).get(point.address)
    confirmed = bool(circuits) and set(circuits) <= view.confirmed
    selects = point.cavity.codes.get(links[0]) if len(links) == 1 else None
    return Coding(point, links, selects, said if said and said.by.strip() else None, confirmed)


def _settled(coding: Coding) -> bool:
    if coding.answer is not None and not undecided(coding.answer.answer):
        return True
    codes = coding.point.cavity.codes if coding.point.cavity else {}
    return coding.confirmed or (len(codes) == 1 and coding.selects is not None)


@rule(
    "coding-undecided",
    Severity.STOP,
    family="chain",
    source=COMMON,
    what="nobody has decided the coding contact {a}: {now}",
    why="An undecided coding contact silently selects a set-up, perhaps the wrong one.",
    fix="Answer it in the notebook (kind answer, about {address}) with what it shall select: {choices}.",
)
def coding_undecided(view: View) -> Iterator[Hit]:
    """A coding contact with a choice that no named person has made."""
    for coding in view.once(codings):
        if not _settled(coding):
            yield _coding_hit(view, coding)


def _coding_hit(view: View, coding: Coding) -> Hit:
    address = coding.point.address
    codes = coding.point.cavity.codes if coding.point.cavity else {}
    now = (
        "it is left open"
        if coding.links == ("open",)
        else f"it is joined to {', '.join(coding.links)}"
    )
    if coding.selects:
        now += f", which selects {coding.selects}"
    choices = ", ".join(
        f"{v} ({'open' if k == 'open' else 'linked with ' + k})" for k, v in codes.items()
    )
    wanted = coding.answer.answer if coding.answer else "the coding as confirmed"
    also = (
        ((coding.answer.place, "answered here"),) if coding.answer and coding.answer.place else ()
    )
    return Hit(
        view.place_of(address),
        (address,),
        {
            "a": view.name(address),
            "address": address,
            "now": now,
            "choices": choices or "as the leaflet tells",
            "wanted": wanted,
        },
        (*also, *view.described(address)),
    )


@rule(
    "coding-otherwise",
    Severity.STOP,
    family="chain",
    source=COMMON,
    what="the coding contact {a} is set otherwise than confirmed: {now}, wanted is {wanted}",
    why="The unit will start in another set-up than the one that was chosen.",
    fix="Make or take away the link so that it selects what was chosen: {choices}.",
)
def coding_otherwise(view: View) -> Iterator[Hit]:
    """A coding contact whose link selects something else than was answered, or that lies on what its codes do not name."""
    for coding in view.once(codings):
        codes = coding.point.cavity.codes if coding.point.cavity else {}
        if coding.answer is not None and not undecided(coding.answer.answer):
            wanted = coding.answer.answer.strip().casefold()
            if codes and wanted not in (
                (coding.selects or "").casefold(),
                *(x.casefold() for x in coding.links),
            ):
                yield _coding_hit(view, coding)
        elif codes and coding.confirmed and coding.selects is None:
            yield _coding_hit(view, coding)
