"""A bought or inherited adapter: two pinouts and readings give its map, what is still open, and the probes that settle it."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.diagnose.bought import Adapter, batch_lines, first_probes, judge_adapter
from wiremap.entries.probe_lines import batch
from wiremap.files import load_job, load_pinout
from wiremap.files.dump import dump_job
from wiremap.model import Entry, Job, Pinout

OLD = """wiremap: pinout/1
title: old unit
half: wired
connector: {shell: plain, contacts: socket, face: {view: mating, rows: [[1, 2, 3, 4], [5, 6, 7]]}}
source: {name: drawing, basis: measured}
cavities:
  1: {signal: Permanent supply, function: permanent-supply, volts: 12, amps: 3, flow: to-unit, wire: 0.75 RD}
  2: {signal: Ground, function: power-ground, volts: 0, amps: 3, flow: both, wire: 0.75 BN}
  3: {signal: Hopper level, function: analogue-input, volts: [0, 5], flow: to-unit, wire: 0.5 GY}
  4: {signal: Spinner speed, function: pulse-input, volts: [0, 5], flow: to-unit, wire: 0.5 PK}
  5: {signal: Key on, function: wake, volts: 12, amps: 0.005, flow: to-unit, wire: 0.5 BK}
  6: {signal: Service data, function: k-line, volts: 12, flow: both, wire: 0.5 VT}
  7: {signal: Sensor return, function: sensor-return, volts: 0, amps: 0.03, flow: both, wire: 0.5 WH}
"""
NEW = OLD.replace("old unit", "new unit").replace(
    "Service data, function: k-line", "Sensor data, function: lin"
)
BARRED = """  8: {signal: Driver airbag, function: restraint, wire: 0.5 YE}
"""
STRAIGHT = "old.1 - new.1 b, old.2 - new.2 b, old.3 - new.3 b, old.4 - new.4 b, old.5 - new.5 b, old.7 - new.7 b"
Faces = Mapping[str, Pinout]


@pytest.fixture
def faces(tmp_path: Path) -> Faces:
    return made(tmp_path, OLD, NEW)


def made(folder: Path, old: str, new: str) -> Faces:
    found = {}
    if "  8:" in old:
        old, new = (text.replace("[5, 6, 7]", "[5, 6, 7, 8]") for text in (old, new))
    for name, text in (("old", old), ("new", new)):
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
        pinout = load_pinout(folder / f"{name}.yaml").value
        assert pinout is not None
        found[name] = pinout
    return found


def read(text: str) -> tuple[Entry, ...]:
    entries, findings = batch(text, "bench.txt")
    assert not findings
    return entries


def judged(faces: Faces, text: str) -> Adapter:
    return judge_adapter(faces, read(text))


def test_an_unused_contact_with_a_wire_is_probed(tmp_path: Path) -> None:
    """A wire that is told as spare may reach anything; a contact without one is a hole."""
    spare = "  8: {signal: spare, wire: 0.5 BU}\n"
    faces = made(tmp_path, OLD + spare, NEW + spare.replace(", wire: 0.5 BU", ""))
    asked = "\n".join(first_probes(faces))
    assert "old.8" in asked and "new.8" not in asked
    assert "old.8" in judged(faces, STRAIGHT).not_probed


def line(adapter: Adapter, word: str) -> str:
    """The one line that begins so."""
    (found,) = (x for x in adapter.told() if x.startswith(word))
    return found


def answers(copper: Sequence[Sequence[str]]) -> Callable[[str], str]:
    """A meter at a bench: fills in each `?` of batch lines for an adapter of these metals, by looking at each pair of tips."""
    metal = {a: i for i, points in enumerate(copper) for a in points}

    def fill(asked: str) -> str:
        probes, _, _ = asked.partition(" ?")
        red, black = (side.split("+") for side in probes.split(" - "))
        beeps = any(metal.get(a, a) == metal.get(b, b) for a in red for b in black)
        return f"{probes} {'b' if beeps else 's'}"

    return fill


def rung(faces: Faces, copper: Sequence[Sequence[str]], text: str = "") -> tuple[Adapter, int]:
    """Go on with the next probes until none is asked; how many readings that took."""
    fill = answers(copper)
    lines = [fill(x) for x in first_probes(faces)] if not text else [text]
    for _ in range(40):
        adapter = judged(faces, "\n".join(lines))
        if not adapter.next:
            return adapter, len(lines)
        lines += [fill(x) for x in batch_lines(adapter.next)]
    raise AssertionError("the probes come to no end")


# -- what nobody probed ------------------------------------------------------------------------------


def test_a_contact_that_nobody_probed_is_not_called_apart(faces: Faces) -> None:
    """Every probed contact is straight, two have no reading: incomplete, both named, and each asked against the other face."""
    adapter = judged(faces, STRAIGHT)
    assert adapter.verdict == "incomplete"
    assert adapter.not_probed == ("old.6", "new.6")
    assert line(adapter, "not probed yet").startswith("not probed yet: old.6, new.6:")
    assert not any("old.6" in f.message for f in adapter.findings)
    assert "old.6" not in adapter.job.not_joined
    asked = {a.red: a.black for a in adapter.next}
    assert asked["old.6",] == tuple(f"new.{n}" for n in range(1, 8))
    assert {f"old.{n}" for n in (1, 2, 3, 4, 5, 7)} <= set(asked["new.6",])


def test_a_saved_map_holds_while_a_contact_is_not_probed(faces: Faces, tmp_path: Path) -> None:
    """The file of an unfinished map says so at its head, loads again and stands nowhere for what nobody probed."""
    adapter = judge_adapter(faces, read(STRAIGHT), str(tmp_path / "as-built.yaml"))
    text = dump_job(
        adapter.job, header=adapter.header, files={"old": "old.yaml", "new": "new.yaml"}
    )
    assert "# Not probed yet: old.6, new.6." in text
    (tmp_path / "as-built.yaml").write_text(text, encoding="utf-8")
    loaded = load_job(tmp_path / "as-built.yaml").value
    assert loaded is not None and not loaded.not_joined


def test_a_contact_probed_against_some_is_neither_joined_nor_apart(faces: Faces) -> None:
    """One silence says nothing of the rest of the other face: what is left is named."""
    adapter = judged(faces, f"{STRAIGHT}\nold.6 - new.1+new.2 s")
    assert adapter.verdict == "incomplete"
    assert adapter.not_probed == ("new.6",)
    assert adapter.partly["old.6"] == ("new.3", "new.4", "new.5", "new.6", "new.7")
    assert line(adapter, "neither joined").startswith(
        "neither joined nor proven apart: old.6, not probed against new.3, new.4"
    )
    assert "not proven apart" in adapter.job.not_joined["old.6"].why
    whole = judged(faces, f"{STRAIGHT}\nold.6 - new.1+new.2+new.3+new.4+new.5+new.6+new.7 s")
    assert (
        "old.6" not in whole.partly
        and whole.job.not_joined["old.6"].why == "silent to the whole other side"
    )


def test_the_next_probes_lead_to_a_whole_map(faces: Faces) -> None:
    """Each line that is asked can be answered as it stands; in the end the rule book alone decides, and nothing holds."""
    copper = [(f"old.{n}", f"new.{n}") for n in (1, 2, 3, 4, 5, 7)]
    adapter, _ = rung(faces, copper, STRAIGHT)
    assert adapter.gaps == () and [f.message for f in adapter.findings if f.holds] == []
    assert adapter.verdict == "in-order" and adapter.told()[0] == "as built: in-order"
    assert adapter.job.not_joined.keys() == {"old.6", "new.6"}


def test_a_touch_between_joined_nets_is_looked_for(faces: Faces) -> None:
    """Beeps alone do not show a bridge of supply and ground: it is asked for, found, and stops the adapter."""
    beside = judged(faces, STRAIGHT).not_apart
    assert any("supply to ground" in pair.why for pair in beside)
    copper = [
        ("old.1", "new.1", "old.2", "new.2"),
        *((f"old.{n}", f"new.{n}") for n in (3, 4, 5, 7)),
    ]
    adapter, _ = rung(faces, copper, STRAIGHT)
    assert adapter.verdict == "hold" and any(f.rule == "supply-to-ground" for f in adapter.findings)


@pytest.mark.parametrize("seed", range(6))
def test_any_adapter_between_the_demo_faces_is_found(demo: Job, seed: int) -> None:
    """Metals drawn at random: the probes that are asked find every one."""
    faces = {"old": demo.ends["loom"].pinout, "new": demo.ends["donor"].pinout}
    dice = random.Random(seed)
    points = [
        f"{n}.{c}"
        for n, p in faces.items()
        for c, cavity in p.cavities.items()
        if not cavity.unused
    ]
    dice.shuffle(points)
    copper, at = [], 0
    while at < len(points):
        size = dice.choice((1, 2, 2, 2, 3))
        copper.append(points[at : at + size])
        at += size
    adapter, _ = rung(faces, copper)
    assert not adapter.gaps and not adapter.contradictions
    assert {frozenset(c) for c in adapter.circuits} == {frozenset(g) for g in copper if len(g) > 1}


def test_a_sound_adapter_takes_few_readings(demo: Job) -> None:
    """The demo's circuits between its two outer faces: fewer readings than the two faces have contacts and a half."""
    faces = {"old": demo.ends["loom"].pinout, "new": demo.ends["donor"].pinout}
    called = {"loom": "old", "donor": "new"}
    copper = [
        [
            f"{called[end]}.{name}"
            for end, _, name in (a.partition(".") for a in c.join)
            if end in called
        ]
        for c in demo.circuits
    ]
    adapter, readings = rung(faces, copper)
    assert {frozenset(c) for c in adapter.circuits} == {frozenset(g) for g in copper if len(g) > 1}
    assert not adapter.gaps and readings <= 1.5 * sum(len(p.cavities) for p in faces.values())


# -- readings that contradict one another ------------------------------------------------------------------


def test_the_same_points_read_two_ways(faces: Faces) -> None:
    """Beep and silence at one pair: both told with their places, asked again, and neither believed."""
    adapter = judged(faces, f"{STRAIGHT}\nold.1 - new.1 s")
    told = line(adapter, "contradiction")
    assert (
        "old.1 to new.1: beep (bench.txt:1:1)" in told
        and "old.1 to new.1: silent (bench.txt:2:1)" in told
    )
    assert "repeat" in told and adapter.verdict == "incomplete"
    assert (adapter.next[0].red, adapter.next[0].black, adapter.next[0].again) == (
        ("old.1",),
        ("new.1",),
        True,
    )
    assert ("old.1", "new.1") not in adapter.circuits and "old.1" not in adapter.not_probed


@pytest.mark.parametrize(("twice", "joined"), [("b", True), ("s", False)])
def test_a_repeated_reading_settles_it(faces: Faces, twice: str, joined: bool) -> None:
    """The last two alike stand, whichever came first; once more alone does not do."""
    text = f"{STRAIGHT}\nnew.1 - old.1 s\nold.1 - new.1 b\nold.1 - new.1 {twice}"
    adapter = judged(faces, text)
    assert len(adapter.contradictions) == (0 if joined else 1)
    settled = judged(faces, f"{text}\nold.1 - new.1 {twice}")
    assert not settled.contradictions and (("old.1", "new.1") in settled.circuits) is joined


def test_beeps_in_a_chain_against_a_silence(faces: Faces) -> None:
    """1 to 1 and 1 to 2 beep, the ends of that way are silent: all three readings are told."""
    adapter = judged(faces, "old.1 - new.1 b, old.1 - new.2 b\nnew.1 - new.2 s")
    (contradiction,) = adapter.contradictions
    assert [str(e.place) for e in contradiction.readings] == [
        "bench.txt:1:1",
        "bench.txt:1:18",
        "bench.txt:2:1",
    ]
    assert (
        adapter.verdict == "incomplete" and line(adapter, "contradiction").count("bench.txt") == 3
    )
    assert {(*a.red, *a.black) for a in adapter.next if a.again} == {
        ("old.1", "new.1"),
        ("old.1", "new.2"),
        ("new.1", "new.2"),
    }


def test_a_silent_comb_against_a_beep_and_a_comb_that_cannot_beep(faces: Faces) -> None:
    """A comb holds many pairs; each way round it is held against the single readings."""
    assert len(judged(faces, "old.1 - new.1 b\nold.1+old.2 - new.1+new.3 s").contradictions) == 1
    adapter = judged(faces, "old.1 - new.1 s, old.1 - new.2 s\nold.1 - new.1+new.2 b")
    assert (
        len(adapter.contradictions) == 1
        and adapter.unclear == ()
        and adapter.verdict == "incomplete"
    )


# -- values, and what is not sure --------------------------------------------------------------------------


def test_a_value_is_a_part_and_no_joint(faces: Faces) -> None:
    """120 ohm: kept as a resistor between two nets, told with its place, never a joint; 4 ohm may be a poor joint."""
    adapter = judged(faces, f"{STRAIGHT}\nold.3 - old.4 120\nold.6 - new.6 4")
    assert ("old.6", "new.6") not in adapter.circuits and all(len(c) == 2 for c in adapter.circuits)
    assert [x.ohms for x in adapter.job.extras.values()] == [120.0, 4.0]
    told = [x for x in adapter.told() if x.startswith("part:")]
    assert told[0] == "part: old.3 to old.4: 120 ohm (bench.txt:2:1): a part or a load, no joint"
    assert "a poor joint" in told[1] and "bench.txt:3:1" in told[1]
    assert adapter.contradictions == () and "old.6" not in adapter.not_probed


def test_a_beep_that_is_measured_is_what_was_measured(faces: Faces) -> None:
    """Beepers sound up to some 50 ohm (common practice): 30 ohm at a pair that beeped is a part, 120 a contradiction."""
    low = judged(faces, "old.3 - new.3 b, old.3 - new.3 30")
    assert low.circuits == () and len(low.parts) == 1 and not low.contradictions
    assert len(judged(faces, "old.3 - new.3 b, old.3 - new.3 120").contradictions) == 1
    assert len(judged(faces, "old.3 - new.3 120, old.3 - new.3 4700").contradictions) == 1
    assert judged(faces, "old.3 - new.3 120, new.3 - old.3 s").contradictions == ()


def test_a_diode_is_told_and_left_to_hands(faces: Faces) -> None:
    """Its amps are not known, so the map cannot hold it: told, and incomplete for it."""
    adapter = judged(faces, "old.5 - new.5 d, new.5 - old.5 s")
    assert "its anode at old.5" in line(adapter, "part:") and any(
        "diode" in g for g in adapter.gaps
    )


def test_not_sure_counts_as_nothing(faces: Faces) -> None:
    """`n` and `?` leave a contact not probed, and are told."""
    adapter = judged(faces, f"{STRAIGHT}\nold.6 - new.6 n\nold.6 - new.1 ?")
    assert adapter.not_probed == ("old.6", "new.6") and len(adapter.not_counted) == 2
    assert next(x for x in adapter.told() if x.startswith("not counted")).startswith(
        "not counted: old.6 to new.6: unsure (bench.txt:2:1)"
    )


def test_a_comb_that_beeps_is_parted(faces: Faces) -> None:
    """Nobody knows which of the comb it was: half of what is left is asked next, and nothing is joined yet."""
    adapter = judged(
        faces, f"{STRAIGHT}\nold.6 - new.1+new.2+new.3+new.4+new.6 b\nold.6 - new.1+new.2 s"
    )
    assert adapter.verdict == "incomplete" and line(adapter, "unclear").startswith(
        "unclear: old.6 to new.1+new.2"
    )
    assert (adapter.next[0].red, adapter.next[0].black) == (("old.6",), ("new.3", "new.4"))
    assert not any("old.6" in c for c in adapter.circuits)


# -- exchanges -------------------------------------------------------------------------------------------


def test_both_sides_of_an_exchange_are_named(faces: Faces) -> None:
    """Level and speed arrive crosswise: one line names all four contacts and where each belongs."""
    crossed = STRAIGHT.replace("old.3 - new.3", "old.3 - new.4").replace(
        "old.4 - new.4", "old.4 - new.3"
    )
    told = line(judged(faces, crossed), "exchanged")
    assert told == (
        "exchanged: old.3 (Hopper level) arrives at new.4 (Spinner speed), old.4 (Spinner speed) arrives at new.3 (Hopper level); "
        "by the papers old.3 belongs at new.3 and old.4 belongs at new.4"
    )
    assert judged(faces, STRAIGHT).exchanges == ()
    bridged = f"{STRAIGHT}\nold.3 - new.4 b"
    assert judged(faces, bridged).exchanges == ()  # one metal of all four is no exchange


def test_three_passed_round_are_one_exchange(faces: Faces) -> None:
    """A ring of three is told whole."""
    text = "old.3 - new.4 b, old.4 - new.5 b, old.5 - new.3 b"
    (ring,) = judged(faces, text).exchanges
    assert set(ring.arrives) == {("old.3", "new.4"), ("old.4", "new.5"), ("old.5", "new.3")}
    assert set(ring.belongs) == {("old.3", "new.3"), ("old.4", "new.4"), ("old.5", "new.5")}


@pytest.mark.parametrize(
    ("seats", "said"),
    [
        ("4321765", "the face of new may have been read mirrored (the other side of the face)"),
        ("2345671", "the face of new may have been read counted one off"),
    ],
)
def test_a_whole_face_read_wrongly_is_one_mistake(faces: Faces, seats: str, said: str) -> None:
    """Not seven exchanges: which way the face was read, how many joints speak for it; a straight one says nothing of it."""
    rows = [f"old.{n} - new.{seat} b" for n, seat in zip("1234567", seats, strict=True) if n != "6"]
    adapter = judged(faces, ", ".join(rows))
    told = adapter.told()
    assert any(x.startswith(said) and "of the 6 joints" in x for x in told) and not any(
        "exchanged:" in x for x in told
    )
    assert (
        adapter.as_dict()["misread"][0]["face"] in ("old", "new") and adapter.verdict != "in-order"
    )
    assert judged(faces, STRAIGHT).misread == ()


def test_sources_that_disagree_are_surveyed_before_a_wire_is_moved(demo: Job) -> None:
    """The demo's old drawing has level and speed exchanged: a right adapter only looks exchanged, and the line says so."""
    bare = load_pinout(demo.ends["loom"].pinout.path).value
    assert bare is not None
    adapter = judged(
        {"old": bare, "new": demo.ends["donor"].pinout}, "old.12 - new.16 b, old.13 - new.17 b"
    )
    told = line(adapter, "exchanged")
    assert "the sources disagree on old.12, old.13: survey first" in told
    crossed_bus = judged(
        {"old": bare, "new": demo.ends["donor"].pinout}, "old.6 - new.8 b, old.7 - new.9 b"
    )
    assert "old.6" in line(crossed_bus, "exchanged") and "old.7" in line(crossed_bus, "exchanged")


def test_like_circuits_only_may_be_exchanged(demo: Job) -> None:
    """Two valves whose words do not tell them apart: it is a question, never a claim."""
    faces = {"old": demo.ends["loom"].pinout, "new": demo.ends["donor"].pinout}
    assert "unplug one load" in line(
        judged(faces, "old.3 - new.13 b, old.5 - new.12 b"), "may be exchanged"
    )


# -- where nobody puts a probe -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "claim",
    [
        BARRED,
        "  8: {signal: Lamp, function: lamp-feed, wire: 0.5 YE, also: [{signal: Airbag, function: restraint}]}\n",
        "  8: {signal: Heater, function: high-side-drive, volts: 400, wire: 0.5 YE}\n",
    ],
)
def test_restraint_and_high_voltage_are_never_asked(tmp_path: Path, claim: str) -> None:
    """Not in the first probes, not in any later one, not even when readings there contradict; told as left alone."""
    faces = made(tmp_path, OLD + BARRED, NEW + claim)
    barred = {"old.8", "new.8"}
    assert not any(a in x.replace("+", " ").split() for x in first_probes(faces) for a in barred)
    for text in (STRAIGHT, f"{STRAIGHT}\nold.8 - new.8 b\nold.8 - new.8 s\nold.6 - new.6+new.8 b"):
        adapter = judged(faces, text)
        assert barred.isdisjoint(a for ask in adapter.next for a in (*ask.red, *ask.black))
        assert line(adapter, "left alone").startswith("left alone: old.8, new.8:")
        assert barred.isdisjoint(adapter.not_probed)
    copper = [(f"old.{n}", f"new.{n}") for n in (1, 2, 3, 4, 5, 7)]
    done, _ = rung(faces, copper, STRAIGHT)
    assert done.gaps == () and "nobody puts a probe there" in done.job.not_joined["new.8"].why


# -- the plan, and plain data ------------------------------------------------------------------------------


def test_the_first_probes_of_an_adapter_nobody_read(faces: Faces) -> None:
    """Likely partners first, then combs; every line is read as it stands and counts as nothing until it is filled in."""
    lines = first_probes(faces)
    assert lines[0] == "old.1 - new.1 ?  # likely partners by their papers (certain)"
    likely = ["likely partners" in x for x in lines]
    assert likely == sorted(likely, reverse=True) and likely.count(True) == 6 and "+" in lines[6]
    entries = read("\n".join(lines))
    assert len(entries) == len(lines) and all(e.seen == "unsure" for e in entries)
    asked = {p for e in entries for p in (*e.red, *e.black)}
    assert {f"{end}.{n}" for end in ("old", "new") for n in range(1, 8)} <= asked
    filled = [answers([(f"old.{n}", f"new.{n}") for n in (1, 2, 3, 4, 5, 7)])(x) for x in lines]
    assert judged(faces, "\n".join(filled)).gaps == ()


def test_the_verdict_as_plain_data(faces: Faces) -> None:
    """What is told is there, in one shape whatever was read."""
    whole = judged(faces, f"{STRAIGHT}\nold.1 - new.1 s\nold.6 - new.6 n").as_dict()
    assert whole["verdict"] == "incomplete" and whole["not_probed"] == ["old.6", "new.6"]
    assert len(whole["contradictions"]) == 1 and whole["next"][0]["again"] is True
    assert judged(faces, "old.1 - new.1 b").as_dict().keys() == whole.keys()


def test_the_order_of_faces_and_lines_does_not_matter_to_the_map(faces: Faces) -> None:
    """The same readings in another order and turned round give the same job."""
    entries = read(f"{STRAIGHT}\nold.3 - old.4 120\nold.6 - new.1 s")
    turned = [replace(e, red=e.black, black=e.red) for e in reversed(entries)]
    one, two = judge_adapter(faces, entries).job, judge_adapter(faces, turned).job
    assert one.circuits[:2] == two.circuits[:2] and {c.id for c in one.circuits} == {
        c.id for c in two.circuits
    }
    assert one.not_joined == two.not_joined


def test_what_belongs_to_a_plan_is_refused_without_a_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing that is typed is passed over in silence."""
    made(tmp_path, OLD, NEW)
    assert (
        main(["ringout", str(tmp_path / "old.yaml"), str(tmp_path / "new.yaml"), "--method", "all"])
        == 2
    )
    assert "--method and --kind belong to the plan of a job" in capsys.readouterr().err
