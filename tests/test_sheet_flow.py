"""The hands go through the pages once: no fact stands on another page, none before it is decided."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_jobs import DEMO
from sheet_cases import demo_given, read, steps_of, straight

from wiremap.content.face_pieces import FaceBlock
from wiremap.content.gather import gather
from wiremap.content.reaches import twisted_together
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.ringout.bunch import bunches
from wiremap.ringout.plan import plan
from wiremap.sheet import Given, compose, pdf
from wiremap.sizing.joint_sides import joint_sides

ADAPTER = DEMO / "adapter" / "job.yaml"
NAMED = re.compile(r"\b(?:RO|[SPAC])\d+\w?\b|\bpages? \d+")
JOINT = re.compile(r"(?<![\w.])J(\d+)(?! at \d)\b")


def said_without_name(step: Step) -> str:
    """All that a step says, without its own name and its band."""
    lines = " ".join(f"{line.at} {line.text}" for line in step.lines)
    return f"{step.at} {step.text} {lines} {step.note}"


def part_of_demo(key: str) -> list[Step]:
    """The steps of one section of the demo."""
    return [
        s
        for section in compose(demo_given()).sections
        if section.key == key
        for s in steps_of(section)
    ]


def jobs(folder: Path) -> Iterator[Given]:
    """The demo, a splice of six wires, the demo's adapter."""
    yield demo_given()
    yield straight(folder, 6)
    given, findings = gather(ADAPTER)
    assert given is not None, findings
    yield given


def test_no_step_needs_what_stands_in_another_section(tmp_path: Path) -> None:
    """Where a step names another one, that is in its own section; a joint elsewhere bears its place."""
    for given in jobs(tmp_path):
        sections = compose(given, print_held=True).sections
        names = {step.n for section in sections for step in steps_of(section)}
        assert any(name.startswith("P") for name in names)
        for section in sections:
            own = {step.n for step in steps_of(section)}
            for step in steps_of(section):
                words = said_without_name(step)
                assert names.intersection(NAMED.findall(words)) <= own, (section.key, words)
                assert "page " not in words, (section.key, words)
                joints = {"J" + n for n in JOINT.findall(words)}
                at_hand = section.key in ("joints", "feed", "sleeves")  # all of them lie there
                assert at_hand or joints <= own | TEES, (section.key, words)


TEES = {"J17"}  # the demo's T, found at its wire: it lies on no run


def test_a_joint_without_a_place_is_a_tee() -> None:
    """Which is why its number alone may stand in a row of the ring-out."""
    sizes = demo_given().sizes
    assert sizes is not None
    unplaced = [n for n, s in sizes.joints.items() if s.at_mm is None]
    assert unplaced == ["feed-a"] and demo_given().harness.joints["feed-a"].tap


def test_no_new_wire_is_cut_before_the_places_are_decided() -> None:
    """Lay out has wire by the metre; the lengths stand behind the places, one at each new wire."""
    order = [s.key for s in compose(demo_given()).sections]
    assert order.index("parts") < order.index("feed") < order.index("new-wires")
    assert order.index("new-wires") < order.index("stop-cut") < order.index("joints")
    told = " | ".join(map(said_without_name, part_of_demo("new-wires")))
    new = [c for c in demo_given().worked_conductors if c.origin == "new"]
    assert len(new) == 8
    for conductor in new:
        cut = demo_given().cut(conductor.id)
        assert cut is not None
        first = f"cut {cut.mm:.0f} mm, {conductor.circuit}"
        if conductor.circuit in twisted_together(demo_given()):
            first = (
                f"cut {math.ceil(round(cut.mm * 1.1, 6))} mm, to be twisted, {conductor.circuit}"
            )
            assert f"{conductor.circuit} {cut.mm:.0f} mm" in told.split("trimmed:", 1)[1]
        assert first in told
    wire = [s for s in part_of_demo("parts") if s.at.endswith(" m")]
    metres = sum(float(s.at.removesuffix(" m")) for s in wire)
    laid = sum(cut.mm for c in new if (cut := demo_given().cut(c.id)))
    assert laid * 1.1 <= metres * 1000 <= laid * 1.1 + 100 * len(wire)


def test_both_ways_of_a_pair_are_as_long_as_each_other() -> None:
    """Staggered by a sleeve of 25 mm: loom.6 60 + 295 and loom.7 85 + 270; donor.9 320 + 320 and donor.8 295 + 345, the shield 228 + 412."""
    lengths = {}
    for name in ("bus-a-hi", "bus-a-lo", "bus-b-hi", "bus-b-lo", "shield-b"):
        wires = demo_given().harness.conductors_by_circuit[name]
        lengths[name] = sum(cut.mm for wire in wires if (cut := demo_given().cut(wire.id)))
    assert lengths["bus-a-hi"] == pytest.approx(355) == lengths["bus-a-lo"]
    assert lengths["bus-b-hi"] == pytest.approx(640) == lengths["bus-b-lo"] == lengths["shield-b"]


def test_rows_say_when_a_clip_joins_and_comes_off() -> None:
    """Hands that do what the rows say have on the bunch what each reading against it expects."""
    clipped = plan(demo_given().harness, "clips")
    found = bunches(clipped.probes)
    bunch: list[str] = []
    for probe in clipped.probes:
        if probe.comb and not bunch:
            bunch = list(probe.black)  # the first circuit hangs on a clip of its own
        if probe.comb:
            assert set(probe.black) == set(bunch), probe.n
        after = found.get(probe.n)
        if after is not None and after.ends:
            assert after.size == len(bunch)
            bunch = []
        elif after is not None:
            bunch += after.joins
            assert after.size == len(bunch)
    assert not bunch
    rows = {s.n: s for s in part_of_demo("ringout")}
    for n, after in found.items():
        if after.joins:
            joins = f"then {', '.join(after.joins)} join"
            assert joins in rows[f"RO{n}"].text and f"({after.size})" in rows[f"RO{n}"].text
    off = [s for s in part_of_demo("ringout") if "clips off" in s.text]
    assert [(s.text, s.slot) for s in off] == [("All 11 clips off, counted.", Slot.BOX)]
    assert "11 clips" in " ".join(map(said_without_name, part_of_demo("stop-battery")))


def test_a_joint_says_which_wires_share_an_end_of_its_barrel() -> None:
    """Where more than two meet: 0.75 against 0.5 + 1.0; a T has the wire in service in both ends."""
    told = {
        s.text.partition(":")[0]: s.text for s in part_of_demo("joints") if s.want == "looked at"
    }
    assert told["supply"].endswith(
        "one end loom.1, other end donor.3 + donor.4, mastic between these"
    )
    assert told["feed-a"].endswith(
        "one end either half of feed.16, other end its other half + new to F1.a, "
        "mastic between these"
    )
    assert told["bus-b-hi"].endswith(
        "one end gateway.4, other end donor.9 + R1.a, mastic between these"
    )
    assert "one end" not in told["wake"]
    for joint in demo_given().harness.joints.values():
        left, right = joint_sides(joint, demo_given().harness)
        assert {c.id for c in (*left, *right)} == set(joint.conductors)


def test_the_twist_of_a_pair_is_looked_at_where_it_is_joined() -> None:
    """A beep does not show it: a box behind the second joint of each pair, and no line at the end."""
    boxes = [s for s in part_of_demo("joints") if "out of one twist" in s.text]
    assert [s.text.partition(":")[0] for s in boxes] == ["bus-a-hi, bus-a-lo", "bus-b-hi, bus-b-lo"]
    assert all(s.slot is Slot.BOX and s.want == "looked at" for s in boxes)
    assert "twist" not in " ".join(map(said_without_name, part_of_demo("sign")))


def test_a_figure_wanted_later_is_carried_by_hand() -> None:
    """The sleep current before the work goes on the key's tag, where the last one is held against it."""
    before = next(s for s in part_of_demo("survey") if s.unit == "A")
    _, after, _ = (s for s in part_of_demo("work") if s.unit == "A")
    assert "key's tag" in before.text and "key's tag" in after.note
    assert "Plugged in: the same as" in after.note


def test_what_the_job_may_draw_is_no_limit_of_the_whole_machine() -> None:
    """A sound machine draws more asleep than the job adds: two figures, each with its blank."""
    (asleep,) = (s for s in demo_given().power if s.stage == "sleep" and s.quantity == "A")
    _, whole, less = (s for s in part_of_demo("work") if s.unit == "A")
    assert (whole.n, whole.want) == (f"P{asleep.n}", "note it")
    assert less.text.startswith(f"P{asleep.n} less ") and less.slot is Slot.BLANK
    wanted = "note it" if asleep.high is None else f"at most {asleep.high:g} A"
    assert less.want == wanted


def test_each_band_stands_once() -> None:
    """The two coils have theirs at their rows alone; a feed is judged by the machine's band and the unit's together."""
    told = " ".join(map(said_without_name, part_of_demo("survey")))
    assert "Ω each" not in told
    feed = [s for s in demo_given().power if s.red == "gateway.8" and s.state == "F1 in"]
    assert [(s.low, s.high) for s in feed] == [(9.0, 15.0)]  # 9 to 15 V here, 9 to 16 V its leaflet


def test_flags_go_on_beside_the_faces_that_tell_their_cavities() -> None:
    """A step before the machine's faces and one before the unit's, so that no hand turns back to tick."""
    blocks = next(s for s in compose(demo_given()).sections if s.key == "faces").blocks
    kinds = [block.name if isinstance(block, FaceBlock) else "steps" for block in blocks]
    assert kinds == ["steps", "loom", "feed", "gateway", "steps", "donor"]
    first = [block.steps[0] for block in blocks if isinstance(block, Steps)]
    assert all("flags on by cavity" in step.text and step.slot is Slot.BOX for step in first)
    assert "old plug" in first[0].text and "old plug" not in first[1].text


def test_the_map_stands_on_one_page() -> None:
    """It is read across and down: the demo's goes on no second page."""
    pages = read(pdf(compose(demo_given())))
    heads = [page.text for page in pages if "one row for each wire" in page.text]
    assert len(heads) == 1 and "Not joined, and what becomes of each" in heads[0]


def tallies(given: Given) -> list[tuple[str, str]]:
    """Of each page how its foot asks for the count, and whether a stop there asks for it."""
    pages = read(pdf(compose(given)))
    found = []
    for page in pages:
        foot = re.findall(r"Wrong or left open (?:so far: what page \d+|on this page).*", page.text)
        stop = re.findall(r"STOP \d", page.text)
        found.append((foot[0] if foot else "", stop[0] if stop else ""))
    return found


ASKED = "what was carried, and every box above this line"  # at each stop and the handing over


def test_a_count_is_carried_from_the_first_box_to_each_stop(tmp_path: Path) -> None:
    """No stop sends back: each page between bears what is wrong or left open, and where that comes from."""
    for given in jobs(tmp_path):
        carried = 0
        texts = [page.text for page in read(pdf(compose(given)))]
        assert sum(text.count(ASKED) for text in texts) == len(tuple(stops(given))) + 1
        for n, (foot, stop) in enumerate(tallies(given), 1):
            if "Wire flags" in texts[n - 1]:
                assert not foot
                continue
            if ASKED in texts[n - 1]:
                carried = 0
            if foot and carried:
                assert f"what page {carried} carries" in foot, (n, foot)
            elif foot:
                below = ", below the stop" if stop else ""
                assert foot.rstrip().endswith(f"on this page{below}"), (n, foot)
            assert foot or not carried, n
            carried = n if foot else 0
        assert not carried


def stops(given: Given) -> Iterator[TwoNames]:
    """The two-name stops of a sheet."""
    for section in compose(given).sections:
        yield from (block for block in section.blocks if isinstance(block, TwoNames))


def test_every_box_and_blank_is_counted(tmp_path: Path) -> None:
    """From the first page on, below a stop, at it and at the joints too: none that no count asks for."""
    for given in jobs(tmp_path):
        sections = compose(given).sections
        last = [section.key for section in sections].index("sign")
        steps = [s for section in sections[: last + 1] for s in steps_of(section)]
        counted = {s.n for s in steps if s.slot is not Slot.NONE and s.n and not s.counts}
        assert {"1.1", "RO1", "P1"} <= counted
        seen: set[str] = set()
        for text in (page.text for page in read(pdf(compose(given)))):
            _, _, below = text.rpartition(ASKED)
            here = set(re.findall(r"^\S+", below, re.MULTILINE)) & counted
            seen |= set(re.findall(r"^\S+", text, re.MULTILINE)) & counted
            assert not here or "Wrong or left open" in below or seen == counted, (here, text)
        assert seen == counted


def test_scissors_cut_no_page_that_is_kept() -> None:
    """The pages of the flags hold nothing but flags."""
    pages = [page.text for page in read(pdf(compose(demo_given()))) if "Wire flags" in page.text]
    assert pages
    for text in pages:
        assert not re.findall(r"^\d+[a-z]?  (?!Wire flags)[A-Z]", text, re.MULTILINE)
        assert not re.findall(r"^\d+\.\d+ ", text, re.MULTILINE)
