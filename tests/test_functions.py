"""The function vocabulary, the designations of two standards, and the table loader behind both."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wiremap.trade.functions import (
    CLASSES,
    FUNCTIONS,
    are_kin,
    function,
    may_share,
    nearest,
    normalise,
)
from wiremap.trade.marks import MARKS, read_mark
from wiremap.trade.tables import parse_table, table

# The project's closed list; each slug's standard is named in the data file.
_LISTED = """permanent-supply switched-supply start-supply relay-switched-supply accessory-supply auxiliary-supply
power-ground restricted-ground switched-ground signal-ground bus-ground frame-ground sensor-supply sensor-return
can-high can-low j1850-plus j1850-minus lin k-line l-line differential-data single-ended-data interlock-out
interlock-back wake digital-input analogue-input pulse-input low-side-drive high-side-drive proportional-output analogue-output pulse-output lamp-feed speaker coding
shield restraint voltage-class-b brake wheel-speed steering reserved discretionary unused unknown"""
SLUGS = _LISTED.split()


def test_the_vocabulary_is_closed() -> None:
    assert list(FUNCTIONS) == SLUGS
    assert set(CLASSES) == {entry.electrical for entry in FUNCTIONS.values()}


def test_every_function_has_papers() -> None:
    for entry in FUNCTIONS.values():
        assert entry.meaning.endswith(".")
        assert entry.source
        assert entry.standing


def test_sharing_is_mutual_and_with_oneself() -> None:
    for a in SLUGS:
        for b in SLUGS:
            assert may_share(a, b) == may_share(b, a)
            assert are_kin(a, b) == are_kin(b, a)
        nothing = FUNCTIONS[a].electrical in ("nothing", "refused")
        assert may_share(a, a) is not nothing


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("permanent-supply", "switched-supply"),  # DIN 72552: 30 and 15 are no equivalents
        ("permanent-supply", "power-ground"),
        ("power-ground", "switched-ground"),  # DIN 72552: 31 and 31b are no equivalents
        ("power-ground", "sensor-return"),  # common practice: joined at the unit's star point only
        ("power-ground", "signal-ground"),  # ISO 15031-3: contacts 4 and 5 are kept apart
        (
            "power-ground",
            "restricted-ground",
        ),  # ISO 11446: contacts 3, 11 and 13 are not joined in the trailer
        ("signal-ground", "frame-ground"),  # EIA-232: AB is not AA
        ("can-high", "can-low"),
        ("can-high", "j1850-plus"),
        ("k-line", "lin"),
        ("k-line", "l-line"),
        ("interlock-out", "interlock-back"),  # common practice: a guard loop is never bridged
        ("sensor-supply", "permanent-supply"),
        ("wake", "switched-supply"),
    ],
)
def test_what_must_never_share_metal(a: str, b: str) -> None:
    assert not may_share(a, b)


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("signal-ground", "bus-ground"),  # ISO 15031-3 contact 5 to CiA 303-1 CAN_GND
        ("coding", "sensor-return"),  # common practice: a coding link to the return
        ("shield", "frame-ground"),  # EIA-232: circuit AA is shield and protective ground
    ],
)
def test_what_may_share_metal(a: str, b: str) -> None:
    assert may_share(a, b)


def test_refused_licensed_and_never_offered() -> None:
    """ISO 6469-3 (class B); restraint, brake, wheel speed and steering by common practice."""
    assert {"restraint", "voltage-class-b"} == {
        slug for slug, entry in FUNCTIONS.items() if entry.refused
    }
    assert {"brake", "wheel-speed", "steering"} == {
        slug for slug, entry in FUNCTIONS.items() if entry.licensed
    }
    assert {"restraint", "voltage-class-b", "reserved", "discretionary", "unused"} == {
        slug for slug, entry in FUNCTIONS.items() if not entry.offered
    }


@pytest.mark.parametrize(
    ("written", "slug"),
    [
        ("start", "start-supply"),
        ("accessory", "accessory-supply"),
        ("restricted-return", "restricted-ground"),
        ("can-h", "can-high"),
        ("CAN_High", "can-high"),
        (" Power Ground ", "power-ground"),
        ("analog-input", "analogue-input"),
        ("pulse", "pulse-input"),
        ("nc", "unused"),
        ("?", "unknown"),
        ("LIN", "lin"),
        ("fuction", None),
        ("", None),
    ],
)
def test_aliases_are_normalised(written: str, slug: str | None) -> None:
    assert slug == normalise(written)


def test_a_miss_names_its_neighbours() -> None:
    assert nearest("permanant suply")[0] == "permanent-supply"
    with pytest.raises(KeyError, match="permanent-supply"):
        function("permanent-suply")


# ---- DIN 72552: handbook extract and workshop tables, as listed there
DIN = {
    "15": ("switched-supply", {}),
    "30": ("permanent-supply", {}),
    "31": ("power-ground", {}),
    "31b": ("switched-ground", {}),
    "49a": ("lamp-feed", {"lamp": "indicator"}),
    "50": ("start-supply", {}),
    "54": ("lamp-feed", {"lamp": "stop"}),
    "55": ("lamp-feed", {"lamp": "front-fog"}),
    "56a": ("lamp-feed", {"lamp": "main-beam"}),
    "56b": ("lamp-feed", {"lamp": "dipped-beam"}),
    "58": ("lamp-feed", {"lamp": "tail"}),
    "58L": ("lamp-feed", {"lamp": "tail", "side": "left"}),
    "58R": ("lamp-feed", {"lamp": "tail", "side": "right"}),
    "58d": ("lamp-feed", {"lamp": "illumination"}),
    "L": ("lamp-feed", {"lamp": "indicator", "side": "left"}),
    "R": ("lamp-feed", {"lamp": "indicator", "side": "right"}),
    "85": ("low-side-drive", {"circuit": "relay-coil"}),
    "86": ("high-side-drive", {"circuit": "relay-coil"}),
    "87": ("relay-switched-supply", {}),
    "87a": ("relay-switched-supply", {"circuit": "break-contact"}),
    "B+": ("permanent-supply", {}),
    "31a": ("power-ground", {"circuit": "battery-2"}),
    "53": ("high-side-drive", {"circuit": "wiper"}),
    "61": ("low-side-drive", {"circuit": "charge-indicator"}),
    "81": ("digital-input", {"circuit": "switch-break"}),
    "W": ("pulse-input", {"circuit": "generator-speed"}),
    "4": ("voltage-class-b", {"circuit": "ignition-coil"}),
    "1": ("low-side-drive", {"circuit": "ignition-coil"}),
}


@pytest.mark.parametrize("text", DIN)
def test_din_72552_terminals(text: str) -> None:
    mark = read_mark("din72552", text)
    assert mark is not None
    assert DIN[text] == (mark.function, dict(mark.qualifiers))
    if text[0].isdigit():
        assert (
            mark
            == read_mark("din72552", f"KL{text}")
            == read_mark("din72552", f"Kl. {text.upper()}")
        )


@pytest.mark.parametrize(
    ("text", "word"),
    [("54g", "1991"), ("87", "contradict"), ("15a", "resistor"), ("30a", "second")],
)
def test_contradictory_terminals_carry_a_warning(text: str, word: str) -> None:
    """Workshop tables contradict one another on these."""
    mark = read_mark("din72552", text)
    assert mark is not None
    assert any(word in warning for warning in mark.warnings)


def test_54g_may_be_the_fog_lamp() -> None:
    """ISO 1724 contact 2: auxiliary feed before about 1991, rear fog lamp since."""
    mark = read_mark("din72552", "54g")
    assert mark is not None
    assert not mark.settled
    assert "lamp-feed" in mark.may_be
    assert mark.qualifiers_as("lamp-feed") == (("lamp", "fog"),)


# ---- EIA-232 letters beside V.24 numbers: serial interface references; 101 to 109 and 125 read, the rest from memory
V24 = {
    "101": ("AA", ""),
    "102": ("AB", ""),
    "103": ("BA", "transmitted-data"),
    "104": ("BB", "received-data"),
    "105": ("CA", "request-to-send"),
    "106": ("CB", "clear-to-send"),
    "107": ("CC", "dce-ready"),
    "108/2": ("CD", "dte-ready"),
    "109": ("CF", "carrier-detect"),
    "110": ("CG", "signal-quality"),
    "111": ("CH", "rate-selector"),
    "112": ("CI", "rate-selector"),
    "113": ("DA", "transmitter-timing"),
    "114": ("DB", "transmitter-timing"),
    "115": ("DD", "receiver-timing"),
    "118": ("SBA", "transmitted-data"),
    "119": ("SBB", "received-data"),
    "120": ("SCA", "request-to-send"),
    "121": ("SCB", "clear-to-send"),
    "122": ("SCF", "carrier-detect"),
    "125": ("CE", "ring-indicator"),
    "140": ("RL", "remote-loopback"),
    "141": ("LL", "local-loopback"),
    "142": ("TM", "test-mode"),
}


@pytest.mark.parametrize("number", V24)
def test_v24_numbers_and_letters(number: str) -> None:
    letters, circuit = V24[number]
    mark = read_mark("v24", number)
    assert mark is not None
    assert mark == read_mark("v24", letters)
    assert circuit == dict(mark.qualifiers).get("circuit", "")
    assert (letters.startswith("S")) == (dict(mark.qualifiers).get("channel") == "secondary")


def test_v24_directions_follow_the_terminal() -> None:
    """ITU-T V.24: 103 and 105 come from the DTE, 104 and 106 from the DCE; timing differs by its source."""
    senders = {text: read_mark("v24", text).sender for text in ("103", "105", "104", "106")}  # type: ignore[union-attr]
    assert senders == {"103": "dte", "105": "dte", "104": "dce", "106": "dce"}
    one, two = read_mark("v24", "113"), read_mark("v24", "114")
    assert one is not None
    assert two is not None
    assert one.qualifiers != two.qualifiers


def test_two_circuits_on_one_contact_are_a_question() -> None:
    """EIA-232 contacts 21 and 23 carry one of two circuits."""
    for text in ("140/110", "CH/CI"):
        mark = read_mark("v24", text)
        assert mark is not None
        assert not mark.settled
        assert mark.warnings


def test_an_unknown_mark_is_none() -> None:
    assert read_mark("din72552", "99x") is None
    with pytest.raises(KeyError):
        read_mark("nosuch", "30")


@given(st.sampled_from(["din72552", "v24"]), st.text(max_size=40))
def test_marks_never_raise(scheme: str, text: str) -> None:
    mark = read_mark(scheme, text)
    assert mark is None or mark.function in FUNCTIONS


def test_every_mark_names_a_function() -> None:
    for marks in MARKS.values():
        assert all(mark.function in FUNCTIONS and mark.meaning for mark in marks.values())


# ---- the loader


def test_tables_state_their_source() -> None:
    for name in ("functions.toml", "colours.toml", "marks.toml", "names.toml"):
        assert table(name).source.title
        assert table(name) is table(name)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("[[row]]\na = 1\n", "source"),
        ("[source]\ntitle = 'x'\n", "standing"),
        ("[source]\ntitle = 'x'\nstanding = 'guessed'\n", "guessed"),
        ("[source]\ntitle = 'x'\nstanding = 'per row'\n[[row]]\na = 1\n", "row 1"),
        ("[source]\ntitle = 'x'\nstanding = 'read'\n[[row]]\nstanding = 'hearsay'\n", "hearsay"),
        ("[source]\ntitle = 'x'\nstanding = 'read'\n[row]\na = 1\n", "array"),
    ],
)
def test_a_table_without_papers_is_refused(text: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        parse_table("sample.toml", text)


def test_rows_are_frozen_and_checked() -> None:
    rows = parse_table(
        "sample.toml", "[source]\ntitle='x'\nstanding='read'\n[[row]]\na=1\nb=[1,2]\n"
    )
    assert tuple(row["b"] for row in rows.rows) == ((1, 2),)
    with pytest.raises(TypeError):
        rows.rows[0]["a"] = 2  # type: ignore[index]
    assert rows.section("row", a=int)
    with pytest.raises(ValueError, match="a must be str"):
        rows.section("row", a=str)
