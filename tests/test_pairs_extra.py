"""Further interfaces, from memory, unverified: tried for sense, so that the proposal is built for the trade and not for a few tables.

Each runs both ways, with functions stated and with names alone, whole and with every single true partner taken away.
"""

from __future__ import annotations

import pytest
from pair_tables import HERE, Pair, edges, faults, pair, proposed, side, wrong_certain

from wiremap.model import Cavity
from wiremap.naming import read_signal
from wiremap.propose import Proposal
from wiremap.trade.functions import FUNCTIONS

NAMES = tuple(sorted(f"extra/{p.stem}" for p in (HERE / "extra").glob("*.yaml")))
SHORT_NAMES_FAIL = frozenset(
    {"extra/implement_9_6"}
)  # `PWR` beside `ECU_PWR`: their words alone do not tell which is switched
every = pytest.mark.parametrize("name", NAMES)
ways = pytest.mark.parametrize("turned", [False, True], ids=["there", "back"])
both = pytest.mark.parametrize("stated", [True, False], ids=["stated", "names"])


def _contacts(p: Pair, stated: bool) -> tuple[dict[str, Cavity], dict[str, Cavity]]:
    a, b = (
        {
            f"{end}.{n}": c
            for end, pinout in side(rows, stated=stated)
            for n, c in pinout.cavities.items()
        }
        for rows in (p.a, p.b)
    )
    return a, b


def _absurd(found: Proposal, p: Pair, stated: bool) -> list[str]:
    """Circuits that join a supply to a ground, or two supplies of the machine's side."""
    a, b = _contacts(p, stated)
    told = []
    for c in found.circuits:
        classes = {FUNCTIONS[(a | b)[x].function].electrical for x in c.join}
        supplies = [x for x in c.join if x in a and FUNCTIONS[a[x].function].electrical == "supply"]
        if {"supply", "ground"} <= classes or len(supplies) > 1:
            told.append(" - ".join(c.join))
    return told


@every
@ways
def test_with_functions_stated_every_true_edge_is_offered_and_no_wrong_one(
    name: str, turned: bool
) -> None:
    p = pair(name, turned=turned)
    found = proposed(p)
    assert not p.mapping - edges(found, p)
    assert not faults(found, p)
    assert not _absurd(found, p, True)
    assert {frozenset(n.points) for n in found.needs_logic} >= {g for g in p.logic if len(g) > 2}
    assert all(any(g <= set(n.points) for n in found.needs_logic) for g in p.logic)
    joins = [set(c.join) for c in found.circuits if c.grade == "ask"]
    assert all(any(g <= join for join in joins) for g in p.splices)


@every
@ways
def test_with_names_alone_nothing_wrong_is_more_than_a_question(name: str, turned: bool) -> None:
    p = pair(name, turned=turned)
    found = proposed(p, stated=False)
    assert not wrong_certain(found, p)
    assert not edges(found, p, "likely") & p.forbidden
    assert not _absurd(found, p, False)
    assert name in SHORT_NAMES_FAIL or not p.mapping - edges(found, p)


@every
@ways
@both
def test_a_missing_partner_is_not_replaced(name: str, turned: bool, stated: bool) -> None:
    p = pair(name, turned=turned)
    wrong = {
        gone: wrong_certain(proposed(p, stated=stated, without=(gone,)), p)
        for gone in sorted({x for e in p.mapping for x in e})
    }
    assert {} == {gone: said for gone, said in wrong.items() if said}


@pytest.mark.parametrize(
    ("signal", "function"),
    [
        ("Supply Kl. 15", "switched-supply"),
        ("Supply, terminal 15", "switched-supply"),
        ("Versorgung Klemme 30", "permanent-supply"),
        ("Supply terminal 50", "start-supply"),
        ("Ground, terminal 31", "power-ground"),
        ("Ground for terminal 4", "restricted-ground"),
    ],
)
def test_a_named_terminal_is_read_wherever_it_stands(signal: str, function: str) -> None:
    """DIN 72552: 15 switched, 30 permanent, 31 return, 50 start; `for terminal 4` is a contact that a return serves."""
    assert function == read_signal(signal).function
