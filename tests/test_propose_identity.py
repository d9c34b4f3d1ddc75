"""What keeps a proposal from being certain: pairs by name, lone legs, functions that never settle it, lamps of both sides; and what identity decides."""

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


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("body", "", "open: only one paper names it, body"),
        ("", "engine", "open: only one paper names it, engine"),
        ("body", "engine", "open: the papers name it differently, body and engine"),
    ],
)
def test_what_the_names_of_pairs_leave_open_is_told(old: str, new: str, told: str) -> None:
    found = between(can(**({"pair": old} if old else {})), can(**({"pair": new} if new else {})))
    assert all(told in circuit.because for circuit in found.circuits)


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


def test_two_sources_into_one_lamp_take_logic() -> None:
    """Left and right of the machine would be tied together by one wire of the unit's side."""
    found = between([LEFT, RIGHT], [TAIL])
    assert {} == grades(found)
    assert [3] == [len(n.points) for n in found.needs_logic]


def test_one_source_to_two_lamps_is_a_splice_and_a_question() -> None:
    """One tail-lamp wire of the machine feeds the left and the right lamp: common practice."""
    found = between([TAIL], [LEFT, RIGHT])
    assert {("o.1", "n.1", "n.2"): "ask"} == grades(found)
    assert () == found.needs_logic
    assert any("currents add" in said for said in found.circuits[0].because)


def test_a_drive_of_the_unit_may_feed_two_lamps_of_the_machine() -> None:
    """Told by flow: what comes from the unit is a source there."""
    out = {"flow": "from-unit"}
    one = [("Work lamps", "lamp-feed", out)]
    two = [("Left work lamp", "lamp-feed", out), ("Right work lamp", "lamp-feed", out)]
    assert {("o.1", "o.2", "n.1"): "ask"} == grades(between(two, one))
    assert {} == grades(between(one, two))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (["stop lamps", "axle lift lamp"], ["blackout stop lamps", "stop lamps"]),
        (["hopper level", "tank level"], ["hopper level", "hopper level spare tank"]),
        (["foo", "bar baz"], ["foo", "foo bar"]),
    ],
)
def test_identity_goes_before_count(old: list[str], new: list[str]) -> None:
    """A partner of the same name is never given up so that two others find one."""
    function = "lamp-feed" if "lamp" in old[0] else "analogue-input" if "level" in old[0] else None
    rows = [[(signal, function, {}) for signal in side] for side in (old, new)]
    found = grades(between(rows[0], rows[1]))  # type: ignore[arg-type]
    assert ("o.1", f"n.{new.index(old[0]) + 1}") in found


@pytest.mark.parametrize(
    "function",
    [
        "permanent-supply",
        "power-ground",
        "sensor-supply",
        "sensor-return",
        "can-high",
        "lin",
        "interlock-out",
        "high-side-drive",
        "proportional-output",
        "brake",
    ],
)
def test_what_is_unknown_goes_nowhere_dangerous(function: str) -> None:
    """Neither to a supply nor a reference, bus, guard or drive, whatever its name looks like."""
    known, unknown = ("thing", function, {}), ("?", "unknown", {})
    assert {} == grades(between([unknown], [known]))
    assert {} == grades(between([known], [unknown]))


def test_nothing_is_guessed_from_no_words() -> None:
    """Two contacts of which nobody knows anything are no candidates for each other."""
    assert {} == grades(
        between(
            [("?", "unknown", {}), ("", "unknown", {})], [("?", "unknown", {}), ("", "unknown", {})]
        )
    )


@pytest.mark.parametrize(
    ("old", "new", "meant"),
    [
        (["ignition", "seat contact"], ["KL15", "seat sw", "wake"], {1: 1, 2: 2}),
        (["PTO sw", "door contact"], ["door sw", "PTO switch"], {1: 2, 2: 1}),
        (["winch in", "fan"], ["fan out", "winch haul in"], {1: 2, 2: 1}),
    ],
)
def test_what_names_a_danger_belongs_to_what_names_the_same(
    old: list[str], new: list[str], meant: dict[int, int]
) -> None:
    """Wordings as workshops type them (common practice), however the guesses at the function differ."""
    found = grades(between([(w, None, {}) for w in old], [(w, None, {}) for w in new]))  # type: ignore[misc]
    assert {(f"o.{a}", f"n.{b}") for a, b in meant.items()} <= found.keys()
