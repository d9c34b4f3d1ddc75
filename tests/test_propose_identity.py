"""What keeps a proposal from being certain: pairs by name, lone legs, functions that never settle it, lamps of both sides."""

from __future__ import annotations

import pytest

from wiremap.model import Cavity, Pinout, frozen
from wiremap.naming import read_signal
from wiremap.propose import Proposal, propose

Row = tuple[str, str, dict[str, object]]


def side(name: str, *rows: Row) -> tuple[str, Pinout]:
    """A connector of contacts 1, 2, ...: signal, stated function, what else is stated."""
    cavities = {
        str(n): Cavity(
            name=str(n), reading=read_signal(signal, stated=function), signal=signal, **more
        )  # type: ignore[arg-type]
        for n, (signal, function, more) in enumerate(rows, 1)
    }
    return name, Pinout(title=name, path=f"{name}.yaml", cavities=frozen(cavities))


def between(old: list[Row], new: list[Row]) -> Proposal:
    return propose([side("o", *old)], [side("n", *new)])


def grades(found: Proposal) -> dict[tuple[str, ...], str]:
    return {c.join: c.grade for c in found.circuits}


def can(high: str = "CAN H", low: str = "CAN L", **more: object) -> list[Row]:
    return [(high, "can-high", more), (low, "can-low", more)]


@pytest.mark.parametrize(
    ("old", "new", "grade"),
    [
        ("", "", "certain"),
        ("body", "body", "certain"),
        ("body", "engine", "likely"),
        ("body", "", "likely"),
        ("", "engine", "likely"),
    ],
)
def test_pairs_by_their_names(old: str, new: str, grade: str) -> None:
    """Which bus it is belongs to its identity: a name on one paper only, or another name, leaves it open."""
    found = between(can(**({"pair": old} if old else {})), can(**({"pair": new} if new else {})))
    assert {("o.1", "n.1"): grade, ("o.2", "n.2"): grade} == grades(found)


def test_a_leg_without_its_other_leg_is_a_question() -> None:
    assert {("o.1", "n.1"): "ask"} == grades(between(can()[:1], can()))


def test_legs_that_say_the_same_beside_their_role_go_together() -> None:
    """Of two pairs the legs called `out` belong together and so do those called `in`, whatever their places."""
    new = [
        ("CAN H out", "can-high", {}),
        ("CAN L in", "can-low", {}),
        ("CAN H in", "can-high", {}),
        ("CAN L out", "can-low", {}),
    ]
    found = {frozenset(c.join) for c in between(can(), new).circuits}
    assert found in (
        {frozenset({"o.1", "n.1"}), frozenset({"o.2", "n.4"})},
        {frozenset({"o.1", "n.3"}), frozenset({"o.2", "n.2"})},
    )


@pytest.mark.parametrize(
    "function",
    ["coding", "auxiliary-supply", "shield", "frame-ground", "brake", "steering", "wheel-speed"],
)
def test_equal_functions_that_still_leave_something_open(function: str) -> None:
    """What a coding contact selects, how an auxiliary feed is switched, where a shield is grounded, who may touch a brake."""
    assert {("o.1", "n.1"): "likely"} == grades(
        between([("front", function, {})], [("front", function, {})])
    )


def test_a_name_that_says_more_is_a_question_and_another_name_is_refused() -> None:
    assert {("o.1", "n.1"): "ask"} == grades(
        between([("pump", "high-side-drive", {})], [("pump relay", "high-side-drive", {})])
    )
    assert {} == grades(
        between([("pump", "high-side-drive", {})], [("horn", "high-side-drive", {})])
    )


def test_grounds_that_both_papers_part_are_not_merged() -> None:
    """With its partner gone the ground of the valves is not led to that of the electronics' contact."""
    electronics, valves = (
        ("Ground of electronics", "power-ground", {}),
        ("Ground of valves", "power-ground", {}),
    )
    found = between([electronics], [electronics, valves])
    assert [("o.1", "n.1")] == list(grades(found))
    assert ["n.2"] == [n.point for n in found.no_home]


TAIL, LEFT, RIGHT = (
    ("Tail lamps", "lamp-feed", {}),
    ("Left tail lamp", "lamp-feed", {}),
    ("Right tail lamp", "lamp-feed", {}),
)


@pytest.mark.parametrize(("old", "new"), [([TAIL], [LEFT, RIGHT]), ([LEFT, RIGHT], [TAIL])])
def test_a_lamp_of_both_sides_is_given_to_neither_alone(old: list[Row], new: list[Row]) -> None:
    found = between(old, new)
    assert {} == grades(found)
    assert [3] == [len(n.points) for n in found.needs_logic]


def test_nothing_is_guessed_from_no_words() -> None:
    """Two contacts of which nobody knows anything are no candidates for each other."""
    assert {} == grades(
        between(
            [("?", "unknown", {}), ("", "unknown", {})], [("?", "unknown", {}), ("", "unknown", {})]
        )
    )
