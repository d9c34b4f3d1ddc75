"""Published generations of connectors: what is true is offered, what is wrong never; what is taken away is not replaced.

Tables and their standing are named in each file of tests/pairs.  Recall, here, is the share of true edges (those under `mapping`
that have other wordings) that are offered at any grade, taken over all draws.
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
from pair_tables import (
    PUBLISHED,
    edges,
    faults,
    finished,
    pair,
    proposed,
    side,
    worded,
    wrong_certain,
)

from wiremap.check import check_job

DRAWS = 36
both = pytest.mark.parametrize("stated", [True, False], ids=["stated", "names"])
every = pytest.mark.parametrize("name", PUBLISHED)
ways = pytest.mark.parametrize("turned", [False, True], ids=["there", "back"])


@every
@ways
@both
def test_true_edges_are_offered_and_wrong_ones_never(name: str, turned: bool, stated: bool) -> None:
    p = pair(name, turned=turned)
    found = proposed(p, stated=stated)
    assert not p.mapping - edges(found, p)
    assert not faults(found, p)
    assert not edges(found, p, "certain") & p.optional


@every
@ways
@both
def test_every_contact_is_joined_once_or_left_for_a_reason(
    name: str, turned: bool, stated: bool
) -> None:
    p = pair(name, turned=turned)
    found = proposed(p, stated=stated)
    joined = [point for c in found.circuits for point in c.join]
    left = [n.point for n in found.not_joined]
    assert sorted(joined + left) == sorted(
        f"{end}.{n}" for rows in (p.a, p.b) for end, cavities in rows.items() for n in cavities
    )
    assert all(n.why and n.treat for n in found.not_joined)
    assert all(c.because for c in found.circuits)


def _knocked(name: str, turned: bool, stated: bool, most: int) -> list[str]:
    p = pair(name, turned=turned)
    partners = sorted({point for edge in p.mapping for point in edge})
    told = []
    for out in (group for size in range(1, most + 1) for group in combinations(partners, size)):
        told += [
            f"without {', '.join(out)}: {x}"
            for x in wrong_certain(proposed(p, stated=stated, without=out), p)
        ]
    return told


@every
@both
def test_nothing_false_becomes_certain_where_one_or_two_true_partners_are_gone(
    name: str, stated: bool
) -> None:
    """Every single and double knock-out: with the true partner gone, a false one must not win the grade."""
    assert not _knocked(name, False, stated, 2)


@every
@both
def test_nor_the_other_way_round(name: str, stated: bool) -> None:
    """Single knock-outs with the generations exchanged."""
    assert not _knocked(name, True, stated, 1)


@pytest.mark.parametrize(
    ("stated", "wanted"), [(True, 0.9), (False, 0.75)], ids=["stated", "names"]
)
@every
def test_other_wordings_with_half_the_synonyms_unknown(
    name: str, stated: bool, wanted: float, capsys: pytest.CaptureFixture[str]
) -> None:
    """Names drawn from the aliases, half of the synonyms (a term's wordings beside its own name) held out."""
    p = pair(name)
    offered = total = 0
    for seed in range(DRAWS):
        found, true = worded(p, seed, stated=stated)
        offered += len(true & edges(found, p))
        total += len(true)
        assert not wrong_certain(found, p), f"draw {seed}"
    with capsys.disabled():
        print(
            f"\n{name}, {'functions stated' if stated else 'names alone'}: recall {offered / total:.2f} "
            f"({offered} of {total} true edges with drawn names offered at any grade), wrong certain 0"
        )
    assert offered >= wanted * total


@every
def test_the_finished_job_checks_in_order(name: str, tmp_path: Path) -> None:
    """The true mapping joined, the rest left out for a reason, everything settled by name: nothing holds it."""
    old, new = side(pair(name).a), side(pair(name).b)
    job = finished(pair(name), old, new)
    checked = check_job(job)
    assert [] == [f.message for f in checked.findings if f.holds]
    assert "in-order" == checked.verdict
