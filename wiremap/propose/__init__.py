"""From two generations of connectors to a proposed mapping, graded by identity, never by best score alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from wiremap.model import Cavity
from wiremap.propose.compare import Comparison, compare, offered, refusal
from wiremap.propose.logic import both_sides, logic_needed
from wiremap.propose.matching import best_assignment
from wiremap.propose.merging import merge
from wiremap.propose.result import NeedsLogic, NoHome, Proposal, Proposed, Side, as_job, left_over
from wiremap.propose.returns import RETURNS, weigh_returns
from wiremap.propose.units import LOOP_ROLES, PAIR_ROLES, Unit, units
from wiremap.trade.functions import FUNCTIONS

__all__ = [
    "NeedsLogic",
    "NoHome",
    "Proposal",
    "Proposed",
    "Side",
    "as_job",
    "compare",
    "propose",
    "propose_map",
]

CLOSE = 60  # a second candidate within this weight is a close one
UNIT_ROLES = frozenset({*PAIR_ROLES, *LOOP_ROLES})
Table = dict[tuple[str, str], Comparison]


def propose(old: Side, new: Side) -> Proposal:
    """Propose which old contact goes to which new one.

    Exact assignment over the electrically possible candidates: first pairs and loops as units, then single contacts, then
    the returns, which are told apart by what they serve.  Grades ask whether it is the same signal.
    """
    a, b = _contacts(old), _contacts(new)
    live_a = {k: c for k, c in a.items() if offered(c)}
    live_b = {k: c for k, c in b.items() if offered(c)}
    table: Table = {}
    circuits, parted = _units(live_a, live_b, table)
    done = {p for c in circuits for p in c.join} | {p for n in parted for p in n.points}
    rest_a = {k: c for k, c in live_a.items() if k not in done}
    rest_b = {k: c for k, c in live_b.items() if k not in done}
    circuits += _singles(
        {k: c for k, c in rest_a.items() if c.function not in RETURNS},
        {k: c for k, c in rest_b.items() if c.function not in RETURNS},
        table,
    )
    partners = {
        p: q for p, q in (c.join for c in circuits) if a[p].function == b[q].function != "unknown"
    }
    returns = weigh_returns(
        {k: c for k, c in rest_a.items() if c.function in RETURNS},
        {k: c for k, c in rest_b.items() if c.function in RETURNS},
        partners,
        live_a,
        live_b,
    )
    circuits += _assigned(returns)
    table |= returns
    merged, kept = merge(circuits, live_a, live_b)
    joined = {p for c in merged for p in c.join}
    logic = parted + logic_needed(live_a, live_b, joined)
    explained = {p for n in logic for p in n.points}
    given = {
        p: " and ".join(q for q in c.join if (q in live_a) != (p in live_a))
        for c in merged
        for p in c.join
    }
    homeless = [
        _no_home(p, live_a, live_b, table, kept.get(p, ""), given)
        for p in (*live_a, *live_b)
        if p not in joined | explained
    ]
    why = {n.point: n.why for n in homeless} | {
        p: n.why for n in logic for p in n.points if p not in joined
    }
    by_end = dict((*old, *new))
    out = tuple(
        left_over(p, by_end[p.partition(".")[0]], why.get(p, ""))
        for p in (*a, *b)
        if p not in joined
    )
    order = {p: i for i, p in enumerate((*a, *b))}
    merged = [replace(c, join=tuple(sorted(c.join, key=order.__getitem__))) for c in merged]
    return Proposal(
        tuple(sorted(merged, key=lambda c: order[c.join[0]])), tuple(homeless), tuple(logic), out
    )


propose_map = propose  # the package's own name for it: `wiremap.propose` is this module


def _contacts(side: Side) -> dict[str, Cavity]:
    return {f"{name}.{cavity}": c for name, pinout in side for cavity, c in pinout.cavities.items()}


# -- units -------------------------------------------------------------------------------------------


def _units(
    a: Mapping[str, Cavity], b: Mapping[str, Cavity], table: Table
) -> tuple[list[Proposed], list[NeedsLogic]]:
    ua, ub = units(a), units(b)
    weighed = {(x.id, y.id): _unit(x, y, a, b, table) for x in ua for y in ub if x.kind == y.kind}
    chosen = best_assignment({pair: c.weight for pair, c in weighed.items() if not c.refused})
    by_id = {u.id: u for u in (*ua, *ub)}
    circuits: list[Proposed] = []
    for x, y in sorted(chosen.items()):
        grade, because = _grade(
            (x, y),
            weighed,
            called={u.id: f"{_called(u)} of {u.id.partition(':')[0]}" for u in by_id.values()},
        )
        for (role, p), (_, q) in zip(by_id[x].members, by_id[y].members, strict=True):
            own = table[p, q].reasons
            circuits.append(
                Proposed(
                    (p, q),
                    grade,
                    (
                        f"{role} of {_called(by_id[x])} to {role} of {_called(by_id[y])}",
                        *own,
                        *because,
                    ),
                )
            )
    left = [u for u in (*ua, *ub) if u.id not in chosen and u.id not in chosen.values()]
    return circuits, _unlike_rates(left, a, b)


def _called(unit: Unit) -> str:
    return f"the {unit.kind if unit.kind == 'loop' else 'pair'} {unit.name}".rstrip()


def _unit(
    x: Unit, y: Unit, a: Mapping[str, Cavity], b: Mapping[str, Cavity], table: Table
) -> Comparison:
    parts = []
    for (_, p), (_, q) in zip(x.members, y.members, strict=True):
        table[p, q] = compare(a[p], b[q])
        parts.append(table[p, q])
    refused = next((c.refused for c in parts if c.refused), "")
    soft, hard = (
        tuple(dict.fromkeys(s for c in parts for s in c.soft)),
        tuple(dict.fromkeys(h for c in parts for h in c.hard)),
    )
    weight = sum(c.weight for c in parts)
    if x.name.casefold() == y.name.casefold():
        return Comparison(
            weight + 200 * bool(x.name),
            (f"both are called {x.name}",) if x.name else (),
            soft,
            hard,
            refused,
        )
    if not any("says bus" in s for s in soft):
        told = (
            f"the papers name it differently, {x.name} and {y.name}"
            if x.name and y.name
            else f"only one paper names it, {x.name or y.name}"
        )
        soft = (*soft, told)
    return Comparison(weight, (), soft, hard, refused)


def _unlike_rates(
    left: list[Unit], a: Mapping[str, Cavity], b: Mapping[str, Cavity]
) -> list[NeedsLogic]:
    """Pairs that would find each other but for the bit rate: a gateway's work, not a splice's."""
    found, used = [], set[str]()
    for x in left:
        for y in left:
            if (
                x.id in used
                or y.id in used
                or x.kind != y.kind
                or x.addresses[0] not in a
                or y.addresses[0] not in b
            ):
                continue
            one, two = a[x.addresses[0]].kbit_s, b[y.addresses[0]].kbit_s
            if one and two and one != two:
                used |= {x.id, y.id}
                found.append(
                    NeedsLogic(
                        (*x.addresses, *y.addresses),
                        f"the old pair speaks {one:g} kbit/s, the new one {two:g}: "
                        "a splice cannot translate; it takes a gateway, added by hand",
                    )
                )
    return found


# -- singles -----------------------------------------------------------------------------------------


def _singles(a: Mapping[str, Cavity], b: Mapping[str, Cavity], table: Table) -> list[Proposed]:
    weighed = {(p, q): _single(c, d) for p, c in a.items() for q, d in b.items()}
    for lamp in both_sides(a, b):
        weighed |= {
            pair: refusal(f"it lights one side only, {lamp} both")
            for pair in weighed
            if lamp in pair and not weighed[pair].refused
        }
    table |= weighed
    return _assigned(weighed)


def _single(c: Cavity, d: Cavity) -> Comparison:
    """Two contacts by themselves; of a pair or loop that means that the rest of it is not found."""
    found = compare(c, d)
    if found.refused or not (c.function in UNIT_ROLES or d.function in UNIT_ROLES):
        return found
    return replace(
        found,
        hard=(
            *found.hard,
            "it belongs to a pair or loop that is not whole, or not told apart, on both papers",
        ),
    )


def _assigned(weighed: Mapping[tuple[str, str], Comparison]) -> list[Proposed]:
    open_to = {pair: c.weight for pair, c in weighed.items() if not c.refused}
    near = _rivals(weighed)
    return [
        Proposed((p, q), *_grade((p, q), weighed, near))
        for p, q in sorted(best_assignment(open_to).items())
    ]


Near = Mapping[str, list[tuple[str, str]]]


def _rivals(weighed: Mapping[tuple[str, str], Comparison]) -> Near:
    near: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for pair, c in weighed.items():
        if not c.refused:
            near[pair[0]].append(pair)
            near[pair[1]].append(pair)
    return near


def _grade(
    pair: tuple[str, str],
    weighed: Mapping[tuple[str, str], Comparison],
    near: Near | None = None,
    called: Mapping[str, str] | None = None,
) -> tuple[str, tuple[str, ...]]:
    """The grade of a pair, and its reasons: what speaks for it, then what is open.

    `certain` leaves nothing open, `likely` one soft thing, everything else is a question; and where another candidate passes
    the same test, it is a question whichever of the two scores better.
    """
    chosen = weighed[pair]
    near = near or _rivals(weighed)
    soft, hard = list(chosen.soft), list(chosen.hard)
    others = {p for p in (*near[pair[0]], *near[pair[1]]) if p != pair}
    same = sorted(p for p in others if not weighed[p].hard and len(weighed[p].soft) <= len(soft))
    if same and not hard:
        rival = (
            next(x for x in same[0] if x not in pair) if set(same[0]) & set(pair) else same[0][1]
        )
        hard.append(f"{(called or {}).get(rival, rival)} fits as well")
    elif any(weighed[p].weight >= chosen.weight - CLOSE for p in others):
        soft.append("another candidate is close")
    grade = "ask" if hard or len(soft) > 1 else "likely" if soft else "certain"
    return grade, (*chosen.reasons, *(f"open: {s}" for s in (*hard, *soft)))


# -- what stays over -----------------------------------------------------------------------------------


def _no_home(
    point: str,
    a: Mapping[str, Cavity],
    b: Mapping[str, Cavity],
    table: Table,
    kept: str,
    given: Mapping[str, str],
) -> NoHome:
    """Why a contact stays alone, with the candidate that came nearest; `given` says whom each that is joined went to."""
    mine, others = (a, b) if point in a else (b, a)
    ranked: list[tuple[int, str, str]] = []
    for other, cavity in others.items():
        pair = (point, other) if point in a else (other, point)
        found = table.get(pair) or compare(
            *((mine[point], cavity) if point in a else (cavity, mine[point]))
        )
        ranked.append(
            (
                _nearness(mine[point], cavity, found),
                other,
                found.refused or f"it went to {given.get(other, 'a better candidate')}",
            )
        )
    if not ranked:
        return NoHome(point, kept or "the other side has no contact that may be joined")
    best = min(ranked, key=lambda r: (-r[0], r[1]))
    if best[0] <= 0:
        return NoHome(point, kept or f"no contact on the other side carries {mine[point].function}")
    return NoHome(point, kept or f"no partner: nearest is {best[1]}, but {best[2]}", best[1])


def _nearness(one: Cavity, two: Cavity, found: Comparison) -> int:
    if not found.refused:
        return 1000 + found.weight
    alike = {FUNCTIONS[one.function].electrical == FUNCTIONS[two.function].electrical: 300}.get(
        True, 0
    )
    return (
        alike
        + 100 * (one.function == two.function)
        + len(set(one.reading.unexplained) & set(two.reading.unexplained)) * 50
    )
