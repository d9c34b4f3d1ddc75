"""Returns are told apart by what they serve: a restricted return goes where its circuits went, or nowhere."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from wiremap.model import Cavity
from wiremap.propose.compare import Comparison, compare, refusal
from wiremap.trade.functions import FUNCTIONS

RETURNS = frozenset(slug for slug, f in FUNCTIONS.items() if f.electrical == "ground") | {
    "sensor-return",
    "shield",
}
_RANGE = re.compile(r"(\d+)-(\d+)")


def served(address: str, cavity: Cavity, contacts: Mapping[str, Cavity]) -> frozenset[str] | None:
    """The contacts that a return names as its own; None where it names none and serves its whole connector."""
    names = list(cavity.serves)
    if not names and (said := cavity.reading.qualifier("serves")):
        for part in said.split(","):
            hit = _RANGE.fullmatch(part.strip())
            names += (
                [str(i) for i in range(int(hit.group(1)), int(hit.group(2)) + 1)]
                if hit
                else [part.strip()]
            )
    if not names:
        return None
    end = address.partition(".")[0]
    return frozenset(p for n in names if (p := f"{end}.{n}") in contacts and p != address)


def weigh_returns(
    a: Mapping[str, Cavity],
    b: Mapping[str, Cavity],
    partners: Mapping[str, str],
    all_a: Mapping[str, Cavity],
    all_b: Mapping[str, Cavity],
) -> dict[tuple[str, str], Comparison]:
    """Every old return against every new one, once the other signals have found their partners."""
    back = {new: old for old, new in partners.items()}
    return {
        (p, q): _weigh(p, c, q, d, partners, back, all_a, all_b)
        for p, c in a.items()
        for q, d in b.items()
    }


def _weigh(
    p: str,
    c: Cavity,
    q: str,
    d: Cavity,
    partners: Mapping[str, str],
    back: Mapping[str, str],
    all_a: Mapping[str, Cavity],
    all_b: Mapping[str, Cavity],
) -> Comparison:
    found = compare(c, d)
    if found.refused:
        return found
    one, two = served(p, c, all_a), served(q, d, all_b)
    if one is None and two is None:
        return found
    carried = _carried(p, one, q, two, partners, back)
    if not carried:
        which = p if one is not None else q
        return refusal(f"{which} serves circuits of its own, and none of them goes there")
    weight = (
        found.weight + 100 * min(len(carried), 5) + min(max(len(one or ()), len(two or ())), 20)
    )  # of equals the wider one
    reasons = (
        *found.reasons,
        f"it serves {', '.join(carried[:4])}"
        + (" and more" if len(carried) > 4 else "")
        + ", which go there",
    )
    hard = found.hard
    if {c.function, d.function} == {"power-ground", "restricted-ground"}:
        hard = tuple(h for h in hard if not h.startswith("one paper says"))
        return replace(
            found,
            weight=weight,
            reasons=reasons,
            hard=hard,
            soft=(*found.soft, "one paper restricts what it serves"),
        )
    return replace(found, weight=weight, reasons=reasons, hard=hard)


def _carried(
    p: str,
    one: frozenset[str] | None,
    q: str,
    two: frozenset[str] | None,
    partners: Mapping[str, str],
    back: Mapping[str, str],
) -> list[str]:
    """The served contacts whose partners lie in the other return's domain, as addresses on the restricted side."""
    end_p, end_q = p.partition(".")[0] + ".", q.partition(".")[0] + "."
    if two is None:
        return sorted(x for x in one or () if partners.get(x, "").startswith(end_q))
    return [
        y
        for y in sorted(two)
        if y in back and (back[y] in one if one is not None else back[y].startswith(end_p))
    ]
