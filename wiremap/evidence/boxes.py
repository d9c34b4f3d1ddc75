"""The boxes of the status line: how much has been surveyed, how much has been rung out."""

from __future__ import annotations

from typing import TypedDict

from wiremap.evidence.answers import entries
from wiremap.evidence.bands import refused
from wiremap.evidence.nearby import kind_of, meeting_pairs, near_pairs, nets_for, reachable
from wiremap.evidence.readings import SHORT_OHMS, fresh, is_short, says_parted
from wiremap.graph import Harness
from wiremap.graph.walks import Joined


class Boxes(TypedDict):
    """Counted and countable: machine cavities surveyed, nets rung out."""

    surveyed: tuple[int, int]
    rung_out: tuple[int, int]


def boxes(harness: Harness) -> Boxes:
    """Surveyed n of m and rung out n of m, of the settled job behind this harness."""
    measured, countable = surveyed_cavities(harness)
    done, nets = rung_out_nets(harness)
    return {"surveyed": (len(measured), len(countable)), "rung_out": (len(done), len(nets))}


def surveyed_cavities(harness: Harness) -> tuple[list[str], list[str]]:
    """The machine-side cavities that rest on a measurement, and all that ought to (of a tap: what is joined)."""
    countable: list[str] = [
        p.address
        for p in harness.points.values()
        if p.cavity is not None
        and p.end is not None
        and p.end.side == "machine"
        and not p.cavity.unused
        and not refused(p.cavity)
        and (not p.is_tap or harness.circuits_at(p.address))
    ]
    measured: list[str] = [
        a
        for a in countable
        if (c := harness.points[a].cavity) is not None and c.basis == "measured"
    ]
    return measured, countable


def rung_out_nets(harness: Harness) -> tuple[list[str], list[str]]:
    """Names of the nets that are rung out, and of all that can be.

    A net is rung out when fresh beeps join all its points within reach, and a fresh reading has found it apart from
    every net that lies beside it or is dangerous together with it; from one that it meets outside the harness while the
    two were parted there.
    """
    kind = kind_of(harness)
    parted = nets_for(harness, kind)
    index = {a: i for i, net in enumerate(parted) for a in net.points}
    members: dict[int, list[str]] = {}
    for a in reachable(harness, kind):
        members.setdefault(index[a], []).append(a)
    countable = [i for i, points in sorted(members.items()) if len(points) > 1]
    joined, apart, parted_apart = _seen(harness, index)
    through = [i for i in countable if len({joined.root(a) for a in members[i]}) == 1]
    near: dict[int, set[int]] = {}
    for _, _, i, j in (
        near_pairs(harness, kind) if through else ()
    ):  # costly on a large job, and of no use before a beep
        near.setdefault(i, set()).add(j)
        near.setdefault(j, set()).add(i)
    done = [i for i in through if all((min(i, j), max(i, j)) in apart for j in near.get(i, ()))]
    for i, j in meeting_pairs(harness, kind) if done else ():
        if parted_apart.root(i) != parted_apart.root(j):
            done = [n for n in done if n not in (i, j)]
    names = [net.name for net in parted]
    return [names[i] for i in done], [names[i] for i in countable]


def _seen(
    harness: Harness, index: dict[str, int]
) -> tuple[Joined[str], set[tuple[int, int]], Joined[int]]:
    """What beeped together; which nets were found apart; nets in groups within which each was found apart while parted outside."""
    joined: Joined[str] = Joined()
    last = {}
    for entry in entries(harness.job, "probe"):
        parted = says_parted(entry)
        if fresh(harness, entry) and entry.seen != "unsure" and (entry.state is None or parted):
            last[frozenset((frozenset(entry.red), frozenset(entry.black))), parted] = entry
    apart: set[tuple[int, int]] = set()
    parted_apart: Joined[int] = Joined()
    for (_, parted), entry in last.items():
        if parted:
            if entry.seen == "silent" or (entry.ohms is not None and entry.ohms.low > SHORT_OHMS):
                for a in entry.red:
                    for b in entry.black:
                        parted_apart.join(index[a], index[b])
            continue
        through = len(entry.red) == len(entry.black) == 1 and index.get(entry.red[0]) == index.get(
            entry.black[0]
        )
        if through:
            if is_short(entry):
                joined.join(entry.red[0], entry.black[0])
        elif entry.seen in ("silent", "diode") or (
            entry.ohms is not None and entry.ohms.low > SHORT_OHMS
        ):
            for a in entry.red:
                for b in entry.black:
                    i, j = index[a], index[b]
                    apart.add((min(i, j), max(i, j)))
    return joined, apart, parted_apart
