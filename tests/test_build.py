"""Files become the model: short and full forms, ranges, faces, references, and faults told with their place."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import DEMO, DEMO_JOB, filed_demo

from wiremap.base import Finding, Severity
from wiremap.files import declared_kind, load_any, load_job, load_notebook, load_pinout
from wiremap.files.dump import dump_entry, dump_job, dump_pinout, word
from wiremap.model import OPEN, Job, Pinout, Span
from wiremap.trade.colours import CODES, SYSTEMS, Colour, Letters, read_colour
from wiremap.trade.functions import FUNCTIONS

HEAD = "wiremap: pinout/1\ntitle: t\n"
LEAST = """wiremap: pinout/1
title: old plug
cavities:
  1: +12 always, red
  2: earth, brown
  5: "?, white/green"
  6-7: CAN
  14: "-"
"""


def write(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def built_pinout_of(folder: Path, text: str) -> Pinout:
    loaded = load_pinout(write(folder, "p.yaml", text))
    assert loaded.value is not None, [f"{one.place} {one.message}" for one in loaded.findings]
    return loaded.value


def cavities(folder: Path, text: str, head: str = HEAD) -> Pinout:
    return built_pinout_of(
        folder, head + "cavities:\n" + "".join(f"  {line}\n" for line in text.splitlines())
    )


def faults(folder: Path, text: str, load: Any = load_pinout) -> tuple[Finding, ...]:
    loaded = load(write(folder, "bad.yaml", text))
    assert loaded.value is None
    assert all(one.place is not None for one in loaded.findings)
    return tuple(one for one in loaded.findings if one.fault)


def one_fault(folder: Path, text: str, load: Any = load_pinout) -> tuple[str, int, str]:
    found = faults(folder, text, load)
    assert len(found) == 1, [f"{one.place} {one.message}" for one in found]
    assert found[0].place is not None
    return (
        found[0].rule,
        found[0].place.line,
        f"{found[0].message} | {found[0].why} | {found[0].fix}",
    )


def built_job(folder: Path, body: str) -> Job:
    loaded = load_job(write(folder, "job.yaml", "wiremap: job/1\n" + body))
    assert loaded.value is not None, [f"{one.place} {one.message}" for one in loaded.findings]
    return loaded.value


def job_faults(folder: Path, body: str) -> list[str]:
    found = faults(folder, "wiremap: job/1\n" + body, load_job)
    return [
        f"{one.place.line if one.place else 0} {one.rule}: {one.message} | {one.fix}"
        for one in found
    ]


@pytest.fixture
def two(tmp_path: Path) -> Path:
    write(tmp_path, "old.yaml", LEAST)
    write(
        tmp_path,
        "new.yaml",
        HEAD + "cavities:\n  1: ground\n  3: permanent supply\n  1-2x: spare\n",
    )
    return tmp_path


ENDS = "ends: {loom: old.yaml, donor: new.yaml}\n"

# ---- pinouts


def test_the_least_that_must_load(tmp_path: Path) -> None:
    """The two-column list of the README: signal, colour."""
    found = built_pinout_of(tmp_path, LEAST)
    assert list(found.cavities) == ["1", "2", "5", "6", "7", "14"]
    first = found.cavities["1"]
    assert (first.signal, first.function, first.basis) == ("+12 always", "permanent-supply", "told")
    assert first.wire is not None and first.wire.colour is not None
    assert (first.wire.colour.canonical, first.wire.csa_mm2) == ("red", None)
    assert found.cavities["2"].function == "power-ground"
    unknown = found.cavities["5"]
    assert (
        unknown.function == "unknown"
        and unknown.wire is not None
        and unknown.wire.colour is not None
    )
    assert unknown.wire.colour.canonical == "white/green"
    assert found.cavities["14"].unused


def test_two_cavities_named_as_one_bus_are_a_pair_with_unknown_halves(tmp_path: Path) -> None:
    found = built_pinout_of(tmp_path, LEAST).cavities
    assert found["6"].pair == found["7"].pair == "CAN"
    for name in ("6", "7"):
        assert found[name].function == "unknown"  # a question, not a guess
        assert set(found[name].reading.may_be) == {"can-high", "can-low"}
    several = cavities(tmp_path, "1-2: CAN\n3-4: CAN\n5-7: CAN\n8-9: ground")
    assert several.cavities["1"].pair != several.cavities["3"].pair
    assert several.cavities["5"].pair is None and several.cavities["8"].pair is None


def test_ranges_and_literal_names(tmp_path: Path) -> None:
    found = cavities(tmp_path, "1-3: unused\n08-10: unused\nA-B: x\n4-x: y")
    assert list(found.cavities) == ["1", "2", "3", "08", "09", "10", "A-B", "4-x"]
    face = "half: wired\nconnector: {face: {view: mating, rows: [[6-7, 8]]}}\n"
    assert list(cavities(tmp_path, "6-7: horn\n8: x", HEAD + face).cavities) == ["6-7", "8"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("7-6: x", "Write `6-7`"),
        ("6:7: x", "`6-7` with a plain dash"),
        ("6–7: x", "`6-7`"),
        ("6..7: x", "`6-7`"),
        ("6 to 7: x", "`6-7`"),
        ("1-99999: x", "4,096"),
        ("chassis: x", "cannot be called"),
        ("a - b: x", "cannot be called"),
        ("1-3: x\n  2: y", "stands here and in an earlier entry"),
        ("1:", "nothing is said"),
        ("1: [a, b]", "not a list"),
        ("1: {fuction: wake}", "`fuction` is not a key here; did you mean `function`?"),
        ("1: {function: can-hihg}", "did you mean `can-high`?"),
        ("1: {signal: }", "`signal` has no value"),
        ("1: {signal: x, amps: 5 A}", "Write the number alone, 5"),
        ("1: {signal: x, volts: 9 to 32}", "Write the band as `[9, 32]`"),
        ("1: {signal: x, volts: 9-32 V}", "Write the band as `[9, 32]`"),
        ("1: {signal: x, volts: '9,5 / 32'}", "Write the band as `[9.5, 32]`"),
        ("1: {signal: x, amps: '0,5'}", "point: 0.5"),
        ("1: {signal: x, amps: .inf}", "number"),
        ("1: {signal: x, amps: -1}", "from 0 to 1000"),
        ("1: {signal: x, volts: [16, 9]}", "from high to low"),
        ("1: {signal: x, volts: [1, 2, 3]}", "two numbers"),
        ("1: {signal: x, flow: to unit}", "did you mean `to-unit`?"),
        ("1: {signal: x, need: maybe}", "`must` or `may`"),
        ("1: {signal: x, wire: 0.5 XQ}", "no colour known"),
        ("1: {signal: x, wire: 0.5 gr}", "letters"),
        ("1: x, gr", "letters"),
        ("1: {signal: x, wire: 900 RD}", "300 mm2"),
        ("1: {signal: x, wire: 0.5 GN-WH-}", "GN"),
        ("1: {signal: x, wire: {csa_mm2: 0.5, gauge: 20 AWG}}", "both"),
        ("1: {signal: x, wire: 50 AWG RD}", "4/0 to 40"),
        ("1: {signal: x, codes: {9: a}}", "no cavity here"),
        ("1: {signal: x, serves: [9]}", "no cavity here"),
        ("1: {signal: x, mark: {din: 30}}", "is not a key here"),
        ("1: {signal: [a]}", "one text"),
        ("1: {signal: x, also: [{basis: told}]}", "neither"),
        ("#: x\n  2:x", ""),
    ],
)
def test_cavity_faults_are_told(tmp_path: Path, line: str, words: str) -> None:
    found = faults(tmp_path, HEAD + "cavities:\n  " + line + "\n")
    assert any(words in f"{one.message} {one.why} {one.fix}" for one in found), [
        one.message + one.fix for one in found
    ]
    assert all(one.place is not None and one.place.line >= 3 for one in found)


def test_fault_names_its_cavity_and_stands_on_its_line(tmp_path: Path) -> None:
    rule, line, said = one_fault(
        tmp_path, HEAD + "cavities:\n  6: {signal: a}\n  7:\n    signal: b\n    fuction: wake\n"
    )
    assert (rule, line) == ("unknown-key", 7)
    assert said.startswith("cavity 7: `fuction` is not a key here; did you mean `function`?")


def test_many_faults_at_once(tmp_path: Path) -> None:
    text = (
        HEAD
        + "colour: x\nletters: greek\ncavities:\n  1: {a: 1, amps: x}\n  2: {flow: up}\ninside: 5\n"
    )
    found = faults(tmp_path, text)
    assert [one.place.line for one in found if one.place] == [3, 4, 6, 6, 7, 8]


def test_quotes_make_an_odd_cavity_name(tmp_path: Path) -> None:
    assert list(cavities(tmp_path, '"6:7": x\n15:1: y').cavities) == ["6:7", "15:1"]


def test_wires_as_loom_drawings_write_them(tmp_path: Path) -> None:
    lines = [
        "1: {wire: 0.5 GN/WH}",
        "2: {wire: 0.5? RD}",
        "3: {wire: 0.5 bare}",
        "4: {wire: 20 AWG RD}",
        "5: {wire: GN}",
        "6: {wire: 0.5 mm2 RD}",
        "7: {wire: 1.5 RDBU thin tinned}",
        "8: {wire: 0.75 RD, tinned: true}",
        "9: {wire: AWG 2/0 BK}",
        "10: {wire: {csa_mm2: 0.5, colour: green/white, wall: thick, outside_mm: 2.3}}",
        "11: {wire: 0.35}",
    ]
    found = cavities(tmp_path, "\n".join(lines), HEAD + "letters: iec\n").cavities
    wires = {name: cavity.wire for name, cavity in found.items()}
    assert all(wire is not None for wire in wires.values())
    told = {
        name: (round(w.csa_mm2, 3) if w.csa_mm2 else None, w.colour.canonical if w.colour else None)
        for name, w in wires.items()
        if w
    }
    # 20 AWG is 0.518 mm2 and 2/0 AWG 67.4 mm2 in the table of ASTM B258.
    assert told == {
        "1": (0.5, "green/white"),
        "2": (0.5, "red"),
        "3": (0.5, None),
        "4": (0.518, "red"),
        "5": (None, "green"),
        "6": (0.5, "red"),
        "7": (1.5, "red+blue"),
        "8": (0.75, "red"),
        "9": (67.431, "black"),
        "10": (0.5, "green/white"),
        "11": (0.35, None),
    }
    seven, eight, ten = wires["7"], wires["8"], wires["10"]
    assert wires["2"] and wires["2"].doubtful and wires["3"] and wires["3"].bare
    assert (
        seven
        and seven.tinned
        and seven.wall == "thin"
        and seven.colour
        and not seven.colour.ordered
    )
    assert eight and eight.tinned and ten and (ten.wall, ten.outside_mm) == ("thick", 2.3)


def test_letters_decide_a_colour(tmp_path: Path) -> None:
    german = cavities(tmp_path, "1: {wire: 0.5 gr}", HEAD + "letters: german\n").cavities["1"].wire
    japanese = cavities(tmp_path, "1: {wire: L}", HEAD + "letters: japanese\n").cavities["1"].wire
    assert german and german.colour and german.colour.base == "grey"
    assert japanese and japanese.colour and japanese.colour.base == "blue"
    assert one_fault(tmp_path, HEAD + "cavities:\n  1: {wire: 0.5 B}\n")[1] == 4


def test_a_comma_in_a_signal_is_no_colour(tmp_path: Path) -> None:
    found = cavities(tmp_path, "1: Valve, hopper side\n2: Valve, left, 0.5 GN/WH").cavities
    assert (found["1"].signal, found["1"].wire) == ("Valve, hopper side", None)
    assert found["2"].signal == "Valve, left" and found["2"].wire and found["2"].wire.csa_mm2 == 0.5


def test_face_needs_view_and_half(tmp_path: Path) -> None:
    face = "connector: {face: {rows: [[1]]}}\n"
    rules = faults(tmp_path, HEAD + face + "cavities: {1: x}\n")
    assert (
        len(rules) == 2
        and any("mating" in one.fix for one in rules)
        and any("half" in one.fix for one in rules)
    )


def test_unit_half_is_mirrored_once(tmp_path: Path) -> None:
    """The header of a unit is the mirror image of the plug that mates with it: left and right change places."""
    face = "half: {}\nconnector: {{contacts: pin, face: {{view: mating, key: left, rows: [[1, 2, 3], [4, 5]]}}}}\n"
    own = cavities(tmp_path, "1-5: x", HEAD + face.format("wired"))
    unit = cavities(tmp_path, "1-5: x", HEAD + face.format("unit"))
    assert own.connector.face and unit.connector.face
    assert own.connector.face.rows == (("1", "2", "3"), ("4", "5"))
    assert unit.connector.face.rows == (("3", "2", "1"), (None, "5", "4"))
    assert (unit.connector.face.view, unit.connector.face.key, unit.connector.contacts) == (
        "mating",
        "right",
        "socket",
    )
    assert (own.connector.face.key, own.connector.contacts) == ("left", "pin")
    assert unit.connector.face.seen_from("wire-entry").rows == (("1", "2", "3"), ("4", "5", None))


def test_gaps_in_a_face(tmp_path: Path) -> None:
    found = cavities(
        tmp_path,
        "1-3: x",
        HEAD + "half: wired\nconnector: {face: {view: mating, rows: [[1, ~, 2], [-, 3]]}}\n",
    )
    assert found.connector.face and found.connector.face.rows == (("1", None, "2"), (None, "3"))


def test_sealed_is_read_from_the_shell_or_stated(tmp_path: Path) -> None:
    for text, sealed in (
        ("shell: 14-way sealed", True),
        ("shell: unsealed 2-way", None),
        ("shell: not keyed but sealed", True),
        ("shell: not a sealed one", None),
        ("shell: 2-way with ends sealed off", None),
        ("shell: x, sealed: no", False),
        ("shell: sealed, sealed: false", False),
        ("shell: x", None),
    ):
        assert (
            cavities(tmp_path, "1: x", HEAD + f"connector: {{{text}}}\n").connector.sealed is sealed
        )


def test_accepts_of_a_cavity_overrides_the_connectors(tmp_path: Path) -> None:
    head = HEAD + "connector: {accepts: {csa_mm2: [0.35, 0.75], amps: 8}}\n"
    found = cavities(tmp_path, "1: {accepts: {csa_mm2: 2.5}}\n2: x", head).cavities
    assert (found["1"].accepts.csa_mm2, found["1"].accepts.amps) == (Span.of(2.5), 8)
    assert found["2"].accepts.csa_mm2 == Span(0.35, 0.75)


def test_basis_and_source_pass_down(tmp_path: Path) -> None:
    head = HEAD + "source: {name: sheet 4, basis: document}\n"
    found = cavities(tmp_path, "1: x\n2: {signal: y, basis: measured, source: meter}", head)
    assert [(c.basis, c.source) for c in found.cavities.values()] == [
        ("document", "sheet 4"),
        ("measured", "meter"),
    ]
    assert cavities(tmp_path, "1: x", HEAD + "basis: measured\n").cavities["1"].basis == "measured"
    assert one_fault(tmp_path, head + "basis: told\ncavities: {1: x}\n")[1] == 4


def test_links_segments_switches(tmp_path: Path) -> None:
    tail = (
        "inside: [{between: [1, 2], ohms: 120}]\nbehind: [{between: [chassis, 3], ohms: [10000, open], when: key off}]\n"
        "segments: {a: [1, 2], b: [3, 4]}\nbridges: [[a, b]]\nswitches: {TA: {between: [1, 2], ohms: 120, delivered: off}}\n"
    )
    found = cavities(tmp_path, "1-4: x", HEAD + tail)
    assert (found.inside[0].a, found.inside[0].ohms) == ("1", Span.of(120))
    assert (found.behind[0].a, found.behind[0].b, found.behind[0].ohms) == (
        "3",
        "chassis",
        Span(10000, OPEN.high),
    )
    assert found.segment_of("3") == "b" and found.bridges == (("a", "b"),)
    assert found.switches["TA"].delivered == "off"


@pytest.mark.parametrize(
    ("tail", "words"),
    [
        ("inside: [{between: [1, 9], ohms: 1}]", "names `9`"),
        ("inside: [{between: [1, 1], ohms: 1}]", "twice"),
        ("inside: [{between: [1], ohms: 1}]", "two"),
        ("inside: [{between: [1, 2]}]", "lacks `ohms`"),
        ("inside: [{between: [1, 2], ohms: closed}]", "number"),
        ("segments: {a: [1, 9]}", "`9`"),
        ("segments: {a: [1], b: [1]}", "one segment"),
        ("bridges: [[a, b]]", "no segment"),
        ("switches: {T: {between: [1, 2], ohms: 0}}", "above 0"),
        ("revision: 1.5", "whole number"),
        ("half: left", "`wired` or `unit`"),
        ("cavities: {1: x}", "stands twice"),
        ("source: {nam: x}", "did you mean `name`"),
        ("leaflet: 2", "keys with values"),
        ("title: other", "stands twice"),
    ],
)
def test_pinout_faults(tmp_path: Path, tail: str, words: str) -> None:
    found = faults(tmp_path, HEAD + "cavities: {1: x, 2: y}\n" + tail + "\n")
    assert any(words in one.message + one.fix for one in found), [one.message for one in found]


def test_names_have_a_limit_that_is_stated(tmp_path: Path) -> None:
    assert cavities(tmp_path, f"1: {'x' * 200}").cavities["1"].signal == "x" * 200
    for line in (f"1: {'x' * 201}", f"1: {{signal: {'x' * 10_000}}}", f"{'x' * 300}: y"):
        rule, _, said = one_fault(tmp_path, HEAD + f"cavities:\n  {line}\n")
        assert rule == "over-limit" and "200" in said and len(said) < 400


def test_names_that_look_alike_are_remarked_on(tmp_path: Path) -> None:
    """Greek capital alpha beside Latin A: the pair that Unicode UTS #39 opens with for Latin and Greek."""
    loaded = load_pinout(
        write(
            tmp_path, "p.yaml", HEAD + "cavities: {A1: x, a1: y, \u0391B: z, AB: w, 5: C\u0391N}\n"
        )
    )
    assert loaded.value is not None
    assert [(one.rule, one.severity) for one in loaded.findings] == [
        ("look-alike-name", Severity.NOTE),
        ("look-alike-name", Severity.CAUTION),
        ("look-alike-name", Severity.CAUTION),
    ]
    assert not any(one.fault for one in loaded.findings)


def test_text_is_normalised_to_nfc(tmp_path: Path) -> None:
    assert cavities(tmp_path, "1: Gro\u0308\u00dfe").cavities["1"].signal == "Gr\u00f6\u00dfe"


def test_4096_cavities_an_end(tmp_path: Path) -> None:
    assert len(cavities(tmp_path, "1-4096: x").cavities) == 4096
    assert one_fault(tmp_path, HEAD + "cavities: {1-4000: x, 5001-5100: y}\n")[0] == "over-limit"


# ---- jobs


def test_two_bare_ends_are_a_whole_job(two: Path) -> None:
    found = built_job(two, ENDS + "circuits: [loom.1 - donor.3, loom.2 - donor.1]\n")
    assert [(end.kind, end.side) for end in found.ends.values()] == [
        ("cut-tail", "machine"),
        ("pigtail", "unit"),
    ]
    assert [(circuit.id, circuit.join) for circuit in found.circuits] == [
        ("loom.1", ("loom.1", "donor.3")),
        ("loom.2", ("loom.2", "donor.1")),
    ]
    assert (
        found.title == "job"
        and found.circuits[1].place is not None
        and found.circuits[1].place.line == 3
    )


def test_the_demo_loads_whole() -> None:
    loaded = load_job(DEMO_JOB)
    assert loaded.value is not None and not loaded.findings
    found = loaded.value
    assert found.ends["loom"].fed["1"].found_amps == 10 and found.ends["gateway"].switches == {
        "TA": "on",
        "TB": "on",
    }
    assert found.extras["G1"].legs == ("G1",) and found.extras["R1"].ohms == 120
    assert found.twists["b"].drain == "shield-b" and found.runs[0].keep_out[1].to_mm == 390
    assert found.not_joined["donor.20"].treat == "blank" and len(found.notebooks[0].entries) >= 1
    assert all(
        function in FUNCTIONS
        for end in found.ends.values()
        for function in (cavity.function for cavity in end.pinout.cavities.values())
    )
    assert len(found.digest) == 12 and {Path(text.shown).name for text in loaded.texts} == {
        "job.yaml",
        "notebook.yaml",
        "series1-loom.yaml",
        "series2-donor.yaml",
        "gateway.yaml",
        "socket16.yaml",
    }


def test_digest_names_this_exact_paper(two: Path) -> None:
    first = built_job(two, ENDS).digest
    assert built_job(two, ENDS).digest == first
    write(two, "new.yaml", (two / "new.yaml").read_text() + "# a remark\n")
    assert built_job(two, ENDS).digest != first


def test_a_file_is_read_once(two: Path) -> None:
    found = built_job(
        two,
        "ends: {a: {pinout: old.yaml, is: tap, side: machine}, b: {pinout: ./old.yaml, is: mate, side: unit}}\n",
    )
    assert found.ends["a"].pinout is found.ends["b"].pinout


def test_full_forms(two: Path) -> None:
    found = built_job(
        two,
        """title: T
supply: 24
surroundings: {ambient_C: -20, wet: no, moves: the boom, bundle: 7}
ends:
  loom: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 350, mated: true,
         fed: {1: none, 2: {fuse: none}, 6-7: {fuse_amps: 5}}}
  donor: {pinout: new.yaml, is: pigtail, side: unit}
extras: {F1: {fuse: blade, amps: size}, D1: {diode: 3}, R1: {resistor: 120, watts: 0.5, at_mm: 20}, G1: {stud: M6}}
circuits:
  - loom.6 - donor.1-2x - G1
  - {id: c, join: loom.1 - F1.a, wire: 0.5 RD, tinned: true, supported: true, legs: {F1.a: {wire: 1 RD, length_mm: 5, at_mm: 1}}}
  - join: [loom.2, donor.1]
    grade: ask
    because: [names differ, colours lie]
not_joined: {loom.14: why not, donor.3: , loom.5: {why: x, treat: cap}, loom.7-7: {treat: leave}}
confirmed: [{circuit: c, by: RK, date: 2026-03-02, how: meter}]
runs: {between: [loom, donor], mm: 390}
""",
    )
    assert (found.supply.volts, found.surroundings.ambient_C, found.surroundings.wet) == (
        24,
        -20,
        False,
    )
    fed = found.ends["loom"].fed
    assert fed["1"].unfused and fed["2"].unfused and fed["6"].fuse_amps == fed["7"].fuse_amps == 5
    assert (
        found.ends["loom"].mated and found.extras["F1"].size_wanted and found.extras["D1"].amps == 3
    )
    assert found.circuits[0].join == ("loom.6", "donor.1-2x", "G1")
    full = found.circuits[1]
    assert full.wire and full.wire.tinned and full.supported and full.legs["F1.a"].at_mm == 1
    assert (
        found.circuits[2].because == ("names differ", "colours lie")
        and found.circuits[2].id == "loom.2"
    )
    assert found.circuits[2].join_places[1].line == 13
    assert {name: (left.why, left.treat) for name, left in found.not_joined.items()} == {
        "loom.14": ("why not", None),
        "donor.3": ("", None),
        "loom.5": ("x", "cap"),
        "loom.7": ("", "leave"),
    }


def test_ranges_of_points_left_out(two: Path) -> None:
    """`1-2x` is a cavity of this pinout, so its name is no range; 6-7 is one."""
    found = built_job(two, ENDS + "not_joined: {donor.1-2x: a, loom.6-7: b}\n")
    assert list(found.not_joined) == ["donor.1-2x", "loom.6", "loom.7"]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("title: x\n", "lacks `ends`"),
        ("ends: {}\n", "names no end"),
        ("ends: {a.b: old.yaml}\n", "No dots"),
        ("ends: {chassis: old.yaml}\n", "`chassis` is taken"),
        ("ends: {a b: old.yaml}\n", "no spaces"),
        ("ends: {a: old.yaml, b: old.yaml, c: old.yaml}\n", "third end"),
        ("ends: {a: {pinout: old.yaml}}\n", "lacks `side`"),
        (
            "ends: {a: {pinout: old.yaml, is: plug, side: unit}}\n",
            "`cut-tail`, `pigtail`, `mate` or `tap`",
        ),
        (ENDS + "extras: {loom: {stud: M6}}\n", "an end and an extra"),
        (ENDS + "extras: {F: {}}\n", "one of fuse"),
        (ENDS + "extras: {F: {fuse: blade, stud: M6}}\n", "not several"),
        (ENDS + "extras: {F: {fuse: blade, amps: big}}\n", "`size`"),
        (ENDS + "extras: {D: {diode: 3, amps: 2}}\n", "{diode: 3}"),
        (ENDS + "circuits: [loom.1-donor.3]\n", "`loom.1 - donor.3`"),
        (ENDS + "circuits: [loom.1 – donor.3]\n", "`loom.1 - donor.3`"),
        (ENDS + "circuits: [loom.1 -> donor.3]\n", "`loom.1 - donor.3`"),
        (ENDS + "circuits: [loom.1]\n", "two points"),
        (ENDS + "circuits: ['loom:1 - donor:3']\n", "`loom.1`"),
        (ENDS + "circuits: {a: loom.1 - donor.3}\n", "must be a list"),
        (ENDS + "circuits: [{join: [loom.1]}]\n", "two points"),
        (ENDS + "circuits: [{id: x}]\n", "lacks `join`"),
        (
            ENDS + "circuits: [{id: x, join: loom.1 - donor.1}, {id: x, join: loom.2 - donor.3}]\n",
            "two circuits are called `x`",
        ),
        (ENDS + "circuits: [{join: loom.1 - donor.1, joint: glue}]\n", "`butt-crimp`"),
        (ENDS + "circuits: [{join: loom.1 - donor.1, tinned: true}]\n", "none is given"),
        (
            ENDS + "circuits: [{join: loom.1 - donor.1, legs: {loom.2: {at_mm: 1}}}]\n",
            "does not join",
        ),
        (ENDS + "not_joined: [loom.1]\n", "with its reason"),
        (ENDS + "not_joined: {loom.1: {treat: glue}}\n", "`blank`, `cap` or `leave`"),
        (ENDS + "not_joined: {loom.6: a, loom.6-7: b}\n", "earlier entry"),
        (ENDS + "confirmed: [{circuit: x, by: RK, date: 2026-03-02, how: y}]\n", "not in this job"),
        (
            ENDS + "circuits: [loom.1 - donor.1]\nconfirmed: [{circuit: loom.1, by: RK, how: y}]\n",
            "lacks `date`",
        ),
        (
            ENDS
            + "circuits: [loom.1 - donor.1]\nconfirmed: [{circuit: loom.1, by: RK, date: 2026-02-30, how: y}]\n",
            "no day 2026-02-30",
        ),
        (ENDS + "runs: [{between: [loom, doner]}]\n", "did you mean `donor`"),
        (ENDS + "twists: {a: {circuits: [x]}}\n", "not in this job"),
        (ENDS + "supply: {volts: 12, min_volts: 13}\n", "rise"),
        (ENDS + "surroundings: {ambient_c: 3}\n", "did you mean `ambient_C`"),
        ("ends: {a: {pinout: old.yaml, is: tap, side: unit, fed: {99: none}}}\n", "does not have"),
        ("ends: {a: {pinout: old.yaml, is: tap, side: unit, fed: {1: 10}}}\n", "fuse_amps"),
        (
            "ends: {a: {pinout: old.yaml, is: tap, side: unit, switches: {TA: on}}}\n",
            "has no switch",
        ),
        ("ends: {a: odl.yaml}\n", "Did you mean old.yaml?"),
        ("ends: {a: /etc/passwd}\n", "outside the job's own folder"),
        ("ends: {a: ../x.yaml}\n", "outside the job's own folder"),
        ("ends: {a: 'C:\\x.yaml'}\n", "outside the job's own folder"),
        ("ends: {a: 'sub\\x.yaml'}\n", "`sub/x.yaml`"),
        ("ends: {a: bad.yaml}\n", "a pinout is wanted here"),
        (ENDS + "readings: [old.yaml]\n", "a notebook is wanted here"),
        ("ends: {a: }\n", "keys with values"),
        (ENDS + "parts: {}\n", "is not a key here"),
    ],
)
def test_job_faults(two: Path, body: str, words: str) -> None:
    found = job_faults(two, body)
    assert any(words in one for one in found), found


def test_a_contact_used_twice_still_loads(two: Path) -> None:
    """Two circuits that begin at one point are for the rules to stop, with both places; they need two ids."""
    found = built_job(two, ENDS + "circuits: [loom.1 - donor.1, loom.1 - donor.3]\n")
    assert [circuit.id for circuit in found.circuits] == ["loom.1", "loom.1 (2)"]


def test_faults_of_a_named_file_come_with_the_job(two: Path) -> None:
    write(two, "old.yaml", LEAST + "  1: again\n")
    loaded = load_job(write(two, "job.yaml", "wiremap: job/1\n" + ENDS))
    assert loaded.value is None
    assert [(one.rule, Path(one.place.path).name) for one in loaded.findings if one.place] == [
        ("duplicate-key", "old.yaml")
    ]


def test_links_out_of_the_folder_are_not_followed(tmp_path: Path, two: Path) -> None:
    inner = two / "job"
    inner.mkdir()
    try:
        (inner / "old.yaml").symlink_to(two / "old.yaml")
    except OSError:
        pytest.skip("no links here")
    found = faults(inner, "wiremap: job/1\nends: {a: old.yaml}\n", load_job)
    assert [one.rule for one in found] == ["outside-folder"]


# ---- notebooks, kinds


def test_notebook(tmp_path: Path) -> None:
    path = write(
        tmp_path,
        "n.yaml",
        """wiremap: notebook/1
entries:
  - {kind: survey, red: loom.12, black: loom.8, volts: 0.00, seen: 1800, by: RK, date: 2026-03-02, how: ohms, of: 3f9a0c1d22e1}
  - {kind: probe, red: [loom.1], black: [donor.3], seen: beep}
  - {kind: probe, red: [loom.1], black: [donor.3], seen: open}
  - {kind: accept, rule: voltage-drop, subject: [supply], by: RK, date: 2026-03-02, why: the valve drives regulate current}
""",
    )
    loaded = load_notebook(path)
    assert loaded.value is not None, [one.message for one in loaded.findings]
    survey, beep, still, accept = loaded.value.entries
    assert (survey.red, survey.ohms, survey.volts, survey.of) == (
        ("loom.12",),
        Span.of(1800),
        0.0,
        "3f9a0c1d22e1",
    )
    assert (beep.seen, still.seen, still.ohms) == ("beep", None, OPEN)
    assert accept.place is not None and accept.place.line == 6
    assert (
        load_notebook(write(tmp_path, "e.yaml", "wiremap: notebook/1\nentries:\n")).value
        is not None
    )


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("{by: RK}", "lacks `kind`"),
        ("{kind: guess}", "`answer`"),
        ("{kind: accept, rule: x, subject: [y], by: RK}", "lacks `why`"),
        ("{kind: accept, rule: x, subject: [y], why: z}", "lacks `by`"),
        ("{kind: survey, red: 1}", "neither"),
        ("{kind: probe, red: 1, black: 2, seen: bep}", "did you mean `beep`"),
        ("{kind: probe, red: 1, black: 2, seen: -3}", "from 0"),
        ("{kind: answer, about: x, answer: y, of: zz}", "twelve"),
        ("x", "keys with values"),
    ],
)
def test_notebook_faults(tmp_path: Path, entry: str, words: str) -> None:
    found = faults(tmp_path, f"wiremap: notebook/1\nentries:\n  - {entry}\n", load_notebook)
    assert any(words in one.message + one.fix for one in found), [one.message for one in found]


@pytest.mark.parametrize(
    ("text", "rule", "words"),
    [
        ("wiremap: job/1\nends: {}\n", "wrong-kind", "this is a job, and a pinout is wanted"),
        ("wiremap: pinout/2\ncavities: {}\n", "wrong-version", "reads version 1"),
        ("wiremap: pinout\n", "wrong-version", "without a version"),
        ("wiremap: pinuot/1\n", "wrong-kind", "did you mean `pinout/1`?"),
        ("title: x\n", "wrong-kind", "begins"),
        ("- a\n", "wrong-kind", "begins"),
        ("wiremap: [1]\n", "wrong-kind", "no kind"),
        ("just words\n", "wrong-kind", "begins"),
        ("wiremap:pinout/1\n", "wrong-kind", "begins"),
    ],
)
def test_kind_and_version(tmp_path: Path, text: str, rule: str, words: str) -> None:
    found = faults(tmp_path, text)
    assert len(found) == 1 and found[0].rule == rule
    said = f"{found[0].message} {found[0].fix}".replace("Begin ", "begins ").replace(
        "begin ", "begins "
    )
    assert words in said


def test_a_notebook_beside_the_job_counts_and_a_named_one_may_be_still_to_come(two: Path) -> None:
    """`readings` names where the first entry will go; `job-notebook.yaml` counts unnamed."""
    body = "wiremap: notebook/1\nentries:\n  - {kind: answer, about: loom.2, answer: ground}\n"
    write(two, "job-notebook.yaml", body)
    found = built_job(two, ENDS + "readings: [later.yaml]\n")
    names = [(Path(book.path).name, len(book.entries)) for book in found.notebooks]
    assert [("later.yaml", 0), ("job-notebook.yaml", 1)] == names
    named = built_job(two, ENDS + "readings: [job-notebook.yaml]\n")
    assert [1] == [len(book.entries) for book in named.notebooks]


def test_what_is_struck_out_counts_no_longer(two: Path) -> None:
    """The mark is made of what an entry says, however it is laid out; a strike can be struck itself."""
    first = "  - {kind: answer, about: loom.2, answer: ground}\n"
    write(two, "n.yaml", "wiremap: notebook/1\nentries:\n" + first)
    mark = built_job(two, ENDS + "readings: [n.yaml]\n").notebooks[0].entries[0].own_mark
    strike = f"  - kind: struck-out\n    mark: '{mark}'\n    by: RK\n"
    other = "  - kind: answer\n    answer: ground\n    about: loom.2\n"
    write(two, "n.yaml", "wiremap: notebook/1\nentries:\n" + other + strike)
    book = built_job(two, ENDS + "readings: [n.yaml]\n").notebooks[0]
    assert (["struck-out"], ["answer"]) == (
        [e.kind for e in book.entries],
        [e.kind for e in book.struck],
    )
    again = f"  - {{kind: struck-out, mark: '{book.entries[0].own_mark}', by: MS}}\n"
    write(two, "n.yaml", "wiremap: notebook/1\nentries:\n" + other + strike + again)
    book = built_job(two, ENDS + "readings: [n.yaml]\n").notebooks[0]
    assert ["answer", "struck-out"] == [e.kind for e in book.entries]


def test_a_strike_that_meets_nothing_is_told(two: Path) -> None:
    """A mistyped mark would leave a wrong reading standing unnoticed."""
    strike = "  - {kind: struck-out, mark: 0badcafe, by: RK}\n"
    write(two, "n.yaml", "wiremap: notebook/1\nentries:\n" + strike)
    loaded = load_job(write(two, "job.yaml", "wiremap: job/1\n" + ENDS + "readings: [n.yaml]\n"))
    assert ["strikes-nothing"] == [found.rule for found in loaded.findings]


def test_a_limit_is_taken_from_the_nearest_statement(two: Path) -> None:
    """Contact before end, end before job; 85 C, class A of ISO 6722, where nothing is said."""
    write(two, "old.yaml", "wiremap: pinout/1\ncavities: {1: {signal: a, limit_C: 125}, 2: b}\n")
    ends = "ends: {loom: {pinout: old.yaml, is: mate, side: machine%s}}\n"
    found = built_job(two, ends % ", limit_C: 105" + "surroundings: {limit_C: 90}\n")
    loom = found.ends["loom"]
    one, other = loom.pinout.cavities.values()
    assert (125, 105, 90) == (found.limit_C(loom, one), found.limit_C(loom, other), found.limit_C())
    assert 85 == built_job(two, ends % "").limit_C()


@pytest.mark.parametrize(
    ("written", "signal", "csa"),
    [
        ("+12 always, 0,5 red", "+12 always", 0.5),
        ("+12 always, 0.5 red", "+12 always", 0.5),
        ("+12 always,0,75 red", "+12 always", 0.75),
        ("Lamp 3, 4 green", "Lamp 3", 4),
    ],
)
def test_a_decimal_comma_is_a_decimal(
    tmp_path: Path, written: str, signal: str, csa: float
) -> None:
    """On paper most of Europe writes 0,5 mm2."""
    found = cavities(tmp_path, f"1: {written}").cavities["1"]
    assert found.wire is not None
    assert (signal, csa) == (found.signal, found.wire.csa_mm2)


@pytest.mark.parametrize("written", ["Lamp 0,5 red", "Left 1, right 2,5 red", "0,5 red"])
def test_a_comma_between_figures_is_asked_about(tmp_path: Path, written: str) -> None:
    """Lamp 0 with 5 mm2, or a lamp with 0.5 mm2: the reader does not choose."""
    text = f"wiremap: pinout/1\ncavities:\n  1: {written}\n"
    assert ["unclear-comma"] == [found.rule for found in faults(tmp_path, text)]


def test_load_any_goes_by_the_first_key(two: Path) -> None:
    path = write(two, "job.yaml", "wiremap: job/1\n" + ENDS)
    assert isinstance(load_any(path).value, Job) and isinstance(
        load_any(two / "old.yaml").value, Pinout
    )
    assert declared_kind(two / "old.yaml")[0] == "pinout"
    assert load_any(write(two, "x.yaml", "a: 1\n")).value is None


# ---- writing back

SKIPPED = {"place", "places", "join_places", "path", "digest"}


def bare(value: Any) -> Any:
    """A model value without the places and digests, which a written copy cannot share."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return type(value).__name__, {
            field.name: bare(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if field.name not in SKIPPED
        }
    if isinstance(value, Mapping):
        return [(key, bare(one)) for key, one in value.items()]
    return [bare(one) for one in value] if isinstance(value, tuple) else value


@pytest.mark.parametrize("name", ["series1-loom", "series2-donor", "gateway", "socket16"])
def test_a_written_pinout_reads_back_equal(tmp_path: Path, name: str) -> None:
    first = load_pinout(DEMO / f"{name}.yaml").value
    assert first is not None
    again = built_pinout_of(
        tmp_path,
        dump_pinout(first, header=["written", "two\nlines"], comments={"1": "why: #x\u202e"}),
    )
    assert bare(again) == bare(first)


def test_odd_pinouts_read_back_equal(tmp_path: Path) -> None:
    texts = [
        LEAST,
        HEAD
        + """half: unit
connector: {contacts: pin, shell: "x: y", face: {view: wire-entry, key: left, rows: [[1, ~, "2"], ["010"]]}}
cavities:
  1: {signal: "31", mark: {din72552: '58L'}, wire: 0.75 RD, tinned: true, codes: {2: on, open: "no"}}
  2: {signal: "on", function: start, wire: {csa_mm2: 0.5, colour: GN/WH, outside_mm: 1.6}, also: [{signal: CAN+, source: "a, b"}]}
  "010": {signal: "- x", volts: [9, 16], ohms: open, serves: [1], caution: "{x}", as_found: empty, leaflet: {fuse_amps: 2}}
  "3:4": {wire: {gauge: 20 AWG, colour: red, wall: thin, outside_mm: 1.7}, source: me}
  "a b": "2026-03-02"
  "y": {signal: 'it''s "quoted" \\ back', tinned: true, accepts: {amps: 3}}
inside: [{between: [1, "010"], ohms: 0.05, when: "off"}]
""",
    ]
    for text in texts:
        first = built_pinout_of(tmp_path, text)
        assert bare(built_pinout_of(tmp_path, dump_pinout(first))) == bare(first)


def test_a_written_job_reads_back_equal(two: Path) -> None:
    first = filed_demo()
    for path in DEMO.glob("*.yaml"):
        write(two, path.name, path.read_text("utf-8"))
    loaded = load_job(
        write(two, "copy.yaml", dump_job(first, comments={"supply": "a merge", "loom.14": "left"}))
    )
    assert bare(loaded.value) == bare(first)
    own = built_job(
        two,
        ENDS
        + "circuits:\n  - loom.1 - donor.3\n  - {id: 'no', join: [loom.2, donor.1], grade: ask, because: ['a: b', x]}\n",
    )
    again = load_job(write(two, "copy.yaml", dump_job(own)))
    assert bare(again.value) == bare(own)


@pytest.mark.parametrize("letters", SYSTEMS)
def test_a_written_job_keeps_its_colours(two: Path, letters: Letters) -> None:
    """Whatever letters it was read by: each single colour, with a tracer, and written as one."""
    codes = list(CODES[letters])
    written = [*codes, *(f"{code}/{codes[0]}" for code in codes[1:])]
    for pair in ("RDBU", "GNWH", "gegn", "LW"):
        if isinstance(read_colour(pair, letters), Colour):
            written.append(pair)
    rows = [f"{number}: x" for number in range(1, len(written) + 1)]
    for name in ("old.yaml", "new.yaml"):
        write(two, name, HEAD + "cavities:\n" + "".join(f"  {row}\n" for row in rows))
    body = f"letters: {letters}\n{ENDS}circuits:\n"
    for number, colour in enumerate(written, 1):
        body += f"  - {{join: [loom.{number}, donor.{number}], wire: 0.5 {colour} tinned}}\n"
    own = built_job(two, body)
    again = load_job(write(two, "copy.yaml", dump_job(own))).value
    assert again is not None
    assert _colours(own) == _colours(again)
    assert [colour.canonical for colour in _read(written, letters)] == _colours(own)


def _read(written: list[str], letters: Letters) -> list[Colour]:
    found = [read_colour(text, letters) for text in written]
    return [colour for colour in found if isinstance(colour, Colour)]


def _colours(job: Job) -> list[str]:
    """The colours of its new wires, each of 0.5 mm2 and tinned."""
    found = []
    for circuit in job.circuits:
        assert circuit.wire is not None and circuit.wire.colour is not None
        assert (0.5, True) == (circuit.wire.csa_mm2, circuit.wire.tinned)
        found.append(circuit.wire.colour.canonical)
    return found


def test_a_written_entry_reads_back_equal(tmp_path: Path) -> None:
    first = load_notebook(DEMO / "notebook.yaml").value
    assert first is not None
    text = "wiremap: notebook/1\nentries:\n" + "".join(
        f"  - {dump_entry(entry)}\n" for entry in first.entries
    )
    assert bare(load_notebook(write(tmp_path, "n.yaml", text)).value) == bare(first)


def test_entries_of_the_later_kinds_read_back_equal(tmp_path: Path) -> None:
    """What was done, mended, passed, struck out and licensed keeps its fields on paper."""
    text = """wiremap: notebook/1
entries:
  - {kind: done, what: blank in donor.11, points: [donor.11], by: RK, date: 2026-03-02}
  - {kind: stop-passed, stop: sleeves, by: RK, second: MS}
  - {kind: stop-passed, stop: cut, by: RK, alone: true}
  - {kind: mended, points: [loom.1, donor.3], what: crimped anew, by: RK}
  - {kind: struck-out, mark: "12345678", by: RK, why: wrong plug}
  - {kind: answer, about: loom.9, answer: brake-pressure, by: RK, licensed: brakes class 2}
"""
    first = load_notebook(write(tmp_path, "a.yaml", text)).value
    assert first is not None
    again = "wiremap: notebook/1\nentries:\n"
    again += "".join(f"  - {dump_entry(entry)}\n" for entry in first.entries)
    second = load_notebook(write(tmp_path, "b.yaml", again)).value
    assert second is not None and bare(second.entries) == bare(first.entries)
    assert [e.own_mark for e in second.entries] == [e.own_mark for e in first.entries]


MISREAD = (
    "y",
    "No",
    "ON",
    "true",
    "null",
    "~",
    "12",
    "0x1f",
    "0o17",
    "017",
    "1_000",
    "1e5",
    "1.5",
    ".5",
    "12:30",
    "15:1",
    "2026-03-02",
    ".inf",
    ".NaN",
    "=",
    "<<",
    "-",
    "? x",
    "a: b",
    "a #b",
    "*x",
    "&x",
    "!x",
    "%x",
    "@x",
    "`x",
    "'x",
    '"x',
    "[x",
    "{x",
    "x, y",
    "x]",
    "",
    " x",
    "x ",
    "- x",
    "|",
    ">",
    "x:",
    "\u00e9: x",
)  # texts that YAML reads as something else, or not at all


def test_texts_that_yaml_would_misread_are_quoted() -> None:
    """The words and number forms of YAML 1.1 (yaml.org/type) and of the core schema of YAML 1.2.2, section 10.3."""
    import yaml

    for text in MISREAD:
        assert yaml.safe_load(f"a: {word(text)}")["a"] == text
        assert yaml.safe_load(f"a: [{word(text)}, b]")["a"][0] == text
        assert word(text).startswith('"')
    assert [
        word(text) for text in ("Permanent supply", "0.5 GN/WH", "A-1", "Gr\u00f6\u00dfe", "CAN+")
    ] == [
        "Permanent supply",
        "0.5 GN/WH",
        "A-1",
        "Gr\u00f6\u00dfe",
        "CAN+",
    ]


def test_a_face_has_a_limit_that_is_stated(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted over all its rows, and told at the row list."""
    monkeypatch.setattr("wiremap.files.shell.MAX_CAVITIES", 5)
    text = (
        HEAD
        + "cavities: {1-6: x}\nconnector: {face: {rows: [[1, 2, 3], [4, 5, 6]], view: mating}}\n"
    )
    told = [(found.rule, found.message) for found in faults(tmp_path, text)]
    assert ("over-limit", "a face of more than 5 cavities") in told, told


@pytest.mark.parametrize(("mm", "taken"), [("60", True), ("60.5", False)])
def test_a_wire_that_no_seal_takes_is_a_slip(tmp_path: Path, mm: str, taken: bool) -> None:
    """No single wire of a vehicle is thicker than 60 mm over its insulation (from memory)."""
    text = HEAD + f"cavities: {{1: x}}\nconnector: {{accepts: {{insulation_mm: [1.4, {mm}]}}}}\n"
    assert (load_pinout(write(tmp_path, "p.yaml", text)).value is not None) is taken
