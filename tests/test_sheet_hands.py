"""What the hand needs stands where it works: no page is turned back for a figure or a sign."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from shutil import copytree

import pytest
from demo_jobs import DEMO_JOB
from sheet_cases import demo_given, given_from, read, steps_of, straight

from wiremap.content.compose import compose
from wiremap.content.face_pieces import FaceBlock, Look
from wiremap.content.flags import flag_rows
from wiremap.content.gather import gather
from wiremap.content.given import Given
from wiremap.content.one_band import loss_wanted
from wiremap.content.pieces import Ledger, Section
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.told_now import TOLD
from wiremap.content.tools import tools
from wiremap.evidence.expected_volts import expected_volts
from wiremap.firstpower.judge import power_judge
from wiremap.firstpower.plan import power_plan
from wiremap.graph import Harness
from wiremap.model import Address, Entry, EntryKind, LookedAt, OnOff, Stop, frozen
from wiremap.sheet import pdf
from wiremap.sheet.ink import STRONG, width
from wiremap.sheet.worksteps import AIR_MM, WORDS_AT, _Measured
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.survey.loaded import LoadedTest, loaded_tests

ADAPTER = DEMO_JOB.parent / "adapter" / "job.yaml"


def section(key: str, of: Given | None = None) -> Section:
    """One section of the demo, or of another job."""
    sheet = compose(of or demo_given(), print_held=True)
    return next(each for each in sheet.sections if each.key == key)


def told(key: str) -> list[Step]:
    """The steps of one section of the demo."""
    return steps_of(section(key))


def adapter() -> Given:
    """The demo's adapter."""
    given, _ = gather(ADAPTER)
    assert given is not None
    return given


@pytest.mark.parametrize("given", [demo_given, adapter], ids=["splice", "adapter"])
def test_each_sign_of_a_face_is_explained_where_it_stands(given: object) -> None:
    """A face of the ring-out bears the words of its own signs, and none of others."""
    assert callable(given)
    signs = {Look.OUT: "Strokes: tied back.", Look.BLANK: "Double ring: plug."}
    small = 0
    for each in compose(given()).sections:
        faces = [block for block in each.blocks if isinstance(block, FaceBlock)]
        looks = {hole.look for face in faces for view in face.views for hole in view.holes}
        words = each.lead + " ".join({face.legend for face in faces})
        small += any(face.legend for face in faces)
        for look, sign in signs.items():
            assert (sign in words) == (look in looks), each.key
    assert small >= 3


def test_places_are_decided_beside_the_reach_of_each_wire() -> None:
    """The demo's wires as its job states them: 250 mm and 300 mm of pair, 150 mm before the fuse."""
    places = next(step for step in told("feed") if step.at.startswith("gateway, "))
    lines = {line.at: line.text for line in places.lines}
    assert lines == {
        "J2 at 65 – gateway.2": "250 mm at most",
        "J3 at 90 – gateway.4": "300 mm at most",
        "feed.16 – F1.a": "150 mm at most, only socket fuse 15 A before it",
        "F1.b – gateway.8": "600 mm at most",
        "gateway.7 – G1": "300 mm at most",
    }
    pairs = [step.text for step in told("new-wires") if step.at.startswith("pair")]
    assert (
        "250 mm from their contacts, a turn every 20 mm, at most 50 mm of it straight at each"
        in pairs[0]
    )
    assert "leaves the run at J3 at 90" in pairs[1] and "leaves the run at J2 at 65" in pairs[0]


def test_tails_are_measured_before_the_cut() -> None:
    """350 mm of loom and the 150 mm that the old plug keeps; 320 mm of pigtail; about 390 mm between ties."""
    wants = [(s.at, s.want, s.slot) for s in told("strip")]
    assert wants == [
        ("loom", "at least 500 mm", Slot.BLANK),
        ("donor", "at least 320 mm", Slot.BLANK),
        ("loom to donor", "390 to 400 mm", Slot.BLANK),
    ]


def test_every_new_wire_has_a_flag_for_each_end() -> None:
    """As the sheet asks for two of them."""
    flags = [row.near for row in flag_rows(demo_given())]
    new = [c for c in demo_given().worked_conductors if c.origin == "new"]
    assert len(new) == 8
    for conductor in new:
        ends = list(demo_given().loose_ends(conductor))
        assert sum(flags.count(end) for end in ends) == 2, conductor.id


def test_no_tube_is_slid_over_wires_that_leave_the_run(tmp_path: Path) -> None:
    """It is wrapped round at the end; a tube that a long tail takes is on before the first joint."""
    assert "sleeve slid" not in " ".join(s.text for s in told("joints"))
    assert any("come out of it at 65 and 90 mm" in s.text for s in told("sleeves"))
    given = straight(tmp_path, 4)
    run = given.runs[0]
    window = replace(run.window, unit_tail_mm=900.0)
    sizes = replace(given.sizes, runs={run.run: replace(run, window=window)})
    first = steps_of(section("joints", replace(given, sizes=sizes)))[0]
    assert "boot slid on" in first.text and "over the free end of new" in first.text


def test_what_nobody_states_is_asked_while_the_battery_is_on() -> None:
    """Before the survey; what that reads is written down behind its rows."""
    keys = [each.key for each in compose(demo_given()).sections]
    assert keys.index("not-judged") < keys.index("survey")
    (read,) = [s for s in told("not-judged") if "loom.6" in s.at]
    assert "the survey reads it" in read.text and read.slot is Slot.NONE
    assert len(told("not-judged")) == len(
        demo_given().not_judged
    )  # as the head of each page counts
    *_, last = told("survey")
    assert last.text.startswith("loom.6, loom.7: ") and last.text.endswith(TOLD)
    assert last.slot is Slot.BOX


def test_a_tapped_connector_shows_its_face_where_it_is_read() -> None:
    """It stands right before the block of which the first reading is taken at it."""
    blocks = section("ringout").blocks
    (at,) = (i for i, b in enumerate(blocks) if isinstance(b, FaceBlock) and b.name == "feed")
    after = blocks[at + 1]
    assert isinstance(after, Steps) and after.steps[0].at.startswith("feed.16 – ")


def test_the_card_is_signed_when_nothing_is_left_to_write_on_it() -> None:
    """What is kept, and where, comes before it is cut out."""
    keys = [each.key for each in compose(demo_given()).sections]
    assert keys.index("keep") < keys.index("sign") < keys.index("fitted") < keys.index("way-back")


def test_a_guard_that_is_lifted_is_shut_again() -> None:
    """Whoever lifts it for one reading closes it in the same row."""
    rows = [s.text for key in ("survey", "ringout", "sleeves") for s in told(key)]
    lifted = [text for text in rows if "guard lifted" in text]
    assert len(lifted) == 3
    assert all(text.endswith(("then as it was", "then shut again")) for text in lifted)


# -- one band -------------------------------------------------------------------------------------


def test_the_old_way_loses_no_more_than_the_whole_new_one() -> None:
    """The limit before the cut is that of first power under the same lamp of 21 W, out and back, less
    what our own wires may lose: at most what they are sized for, and a fifth.
    """
    (test,) = loaded_tests(demo_given().job)
    lost = {s.red: s.high for s in demo_given().power if s.is_loss}
    wanted = loss_wanted(demo_given(), test)
    assert test.most_volts == 1.2 and lost["donor.3"] and lost["donor.1"]
    drops = [d for feed in demo_given().feeds for d in feed.drops if d.load == "donor.3"]
    own = sum(drop.added_ohms for drop in drops)
    share = lost["donor.3"] + lost["donor.1"] - (wanted or 0.0)
    assert share == pytest.approx(1.2 * 21 / 12 * own, abs=0.02)
    assert loss_wanted(replace(demo_given(), power=()), test) == 1.2
    later = LoadedTest(test.supply, test.ground, test.watts, 0.5)
    assert loss_wanted(demo_given(), later) == 0.5


def test_a_feed_is_read_with_the_ignition_on_only_after_it_is_turned_on() -> None:
    """Walked in order: where a step wants the ignition on, the last that turned it did so."""
    for given in (demo_given(), adapter()):
        stands = ""
        for step in given.power:
            for key in ("on", "off"):
                if f"ignition {key}" in step.do.casefold() and not step.quantity:
                    stands = key
            if step.stage in ("load", "in-line") and step.key is not None:
                assert stands == step.key, step.label


@pytest.mark.parametrize(("high", "low", "wrong"), [(2.7, 2.3, 0), (2.4, 2.6, 1)])
def test_a_bus_whose_high_reads_below_its_low_is_wrong(high: float, low: float, wrong: int) -> None:
    """Each wire is within its own band by ISO 11898-2 (recessive 2 to 3 V, from memory), and the pair is not."""
    entries = [
        Entry(
            kind=EntryKind.POWER,
            red=(Address.read(red),),
            black=(Address.read("donor.1"),),
            volts=volts,
            key=OnOff.ON,
            state="gateway mated",
        )
        for red, volts in (("donor.9", high), ("donor.8", low))
    ]
    stops = [
        Entry(kind=EntryKind.STOP_PASSED, stop=stop, by="RK", second="AM")
        for stop in (Stop.BATTERY, Stop.MATING)
    ]
    found = power_judge(demo_given().harness, [*stops, *entries])
    assert not found.unfit and len(found.wrong) == wrong
    row = next(s for s in told("mating") if s.at.startswith("donor.9") and s.unit == "V")
    assert "never below donor.8" in row.text and row.want == "2 to 3.5 V"


def test_paper_tells_what_is_open_and_no_command() -> None:
    """What a command would settle is told by the commands; what the survey reads is asked behind it."""
    left = (
        NotJudged(subject=("loom.1",), why="a", about=About.OTHER, cure="type b", by_reading=True),
        NotJudged(subject=("loom.4",), why="c", about=About.PROTECTION),
    )
    steps = steps_of(section("not-judged", replace(demo_given(), not_judged=left)))
    assert [step.text for step in steps] == ["c", "a: the survey reads it, ticked at its end"]
    assert [step.slot for step in steps] == [Slot.BLANK, Slot.NONE]
    assert left[0].told == "a: type b"


def test_faces_that_a_page_goes_on_with_stand_on_it_once(tmp_path: Path) -> None:
    """Both faces of a large adapter move to the next page together: none is drawn twice on it."""
    sides = {
        "old": ("machine", "[[" + ", ".join(map(str, range(1, 21))) + "]]"),
        "new": ("unit", "[[" + "], [".join(map(str, range(1, 21))) + "]]"),
    }
    pinouts = {
        name: f"title: {name}\nhalf: wired\nconnector: {{shell: big, contacts: socket, face: "
        f"{{view: mating, key: top, rows: {rows}}}}}\ncavities:\n"
        + "".join(f"  {n}: {{signal: In {n}, function: analogue-input}}\n" for n in range(1, 21))
        for name, (_, rows) in sides.items()
    }
    ends = "".join(
        f"  {name}: {{pinout: {name}.yaml, is: mate, side: {side}}}\n"
        for name, (side, _) in sides.items()
    )
    joins = "".join(
        f"  - {{id: c{n}, join: [old.{n}, new.{n}], wire: 0.5 red, length_mm: 300}}\n"
        for n in range(1, 21)
    )
    job = f"title: Large\nid: large\nrevision: 1\nends:\n{ends}circuits:\n{joins}"
    sheet = compose(given_from(tmp_path, job, **pinouts), print_held=True)
    pages = read(pdf(sheet))
    at_work = [page.text for page in pages if "Wires, one at a time" in page.text]
    assert at_work and all(text.count("new, wire-entry side") <= 1 for text in at_work)


def test_wires_of_one_twist_are_probed_apart() -> None:
    """They lie on each other all along, whatever their contacts do: the bare drain is kept from either wire of its pair."""
    (twist,) = adapter().job.twists.values()
    harness = adapter().harness
    silent = [probe for probe in adapter().probes if probe.expect == "silent"]
    apart = [
        {harness.circuits_at(address)[0] for address in (*probe.red, *probe.black)}
        for probe in silent
    ]
    members = (*twist.circuits, twist.drain)
    assert len(members) == 3
    assert all({one, other} in apart for one, other in combinations(members, 2))


@pytest.mark.parametrize(("given", "count"), [(demo_given, 2), (adapter, 3)])
def test_lamps_are_counted(given: object, count: int) -> None:
    """As many of 5 W as stand in the places of fuses at the same time: F7 and the socket's; F11, F12 and F23."""
    assert callable(given)
    told = " ".join(tools(given()))
    assert (
        f": {count} of 5 W on leads for fuse sockets, 1 of 10 W, 1 of 21 W on leads with " in told
    )


def test_lamps_are_for_the_volts_of_the_machine() -> None:
    """Whole or not: a supply of 13.8 V has its lamps and its limited feed like one of 12 V."""
    job = demo_given().job
    harness = Harness(replace(job, supply=replace(job.supply, volts=13.8)))
    told = " ".join(tools(replace(demo_given(), harness=harness, power=power_plan(harness))))
    assert "lamps for 13.8 V: 2 of 5 W on leads for fuse sockets" in told
    assert "a feed limited to 0.4 A" in told


def test_a_wire_that_the_unit_pulls_to_ground_may_stand_at_its_loads_volts() -> None:
    """Its lamp or coil is fed at the other end (DIN 72552 terminal 85): before the cut it is noted, at first power it is as it was."""
    job = demo_given().job
    loom = job.ends["loom"]
    valve = loom.pinout.cavities["3"]
    sink = replace(valve, reading=replace(valve.reading, function="low-side-drive"))
    rows = expected_volts(job, loom, sink)
    assert [(row.key, row.band, row.asked) for row in rows] == [
        (OnOff.OFF, None, True),
        (OnOff.ON, None, True),
    ]
    cavities = frozen({**loom.pinout.cavities, "3": sink})
    ends = {**job.ends, "loom": replace(loom, pinout=replace(loom.pinout, cavities=cavities))}
    steps = power_plan(Harness(replace(job, ends=frozen(ends))))
    bands = {(s.key, s.low, s.high) for s in steps if s.red == "donor.12" and s.stage == "volts"}
    assert bands == {(OnOff.OFF, None, None), (OnOff.ON, None, None)}


# -- whoever turns over ---------------------------------------------------------------------------


def test_a_page_that_goes_on_says_how_its_rows_are_read() -> None:
    """Under which ignition, at which face: each page on which volts are read tells it above the first row."""
    pages = [page.text for page in read(pdf(compose(demo_given())))]
    rows = [f"P{s.n}" for s in demo_given().power if s.stage == "volts"]
    at = [text for text in pages if any(f"{n} " in text.replace("\n", " ") for n in rows)]
    assert len(at) >= 2
    assert all(text.index("Ignition o") < text.index(" V\n") for text in at)


def test_a_ground_is_read_under_the_heaviest_lamp_that_it_carries() -> None:
    """The head's lamps of 21 W come back by head.1: the 10 W of the camera's feed would tell half of it."""
    watts, found = "", {}
    for step in adapter().power:
        watts = step.do if " W lamp" in step.do else watts
        if step.is_loss and step.red:
            found[step.red, step.black] = watts
    assert "21 W" in found["head.1", "battery minus"] and "10 W" in found["head.4", "battery minus"]


def test_every_joined_function_of_the_unit_is_tried_at_work() -> None:
    """Of the demo its sensors, wake and bus, of the head its camera's picture: what no other row tries."""
    tried = {given().job.id: told_of(given()) for given in (demo_given, adapter)}
    for needed in ("Fill level (donor.16)", "Disc speed (donor.17)", "CAN+ (donor.9)"):
        assert needed in tried["spreader-12v"]
    assert "Picture plus (head.9)" in tried["head-adapter-12v"]
    assert "Lens heater plus (head.6)" in tried["head-adapter-12v"]


def told_of(given: Given) -> str:
    """All that the page of trying says."""
    return " ".join(step.text for step in steps_of(section("work", given)))


def test_a_blank_sheet_speaks_of_the_notebook_as_such() -> None:
    """The adapter's was rung out: a printed sheet with empty boxes says where, and of which harness."""
    head = compose(adapter()).head
    assert head.stamp.endswith("BY NOTEBOOK") and not head.filled_in
    once = compose(replace(adapter(), filled_in=True)).head.stamp
    assert once == "PAPER IN ORDER, RUNG OUT ONCE OF TWICE"
    twice = replace(adapter(), filled_in=True, lacks_second=False)
    assert compose(twice).head.stamp == "PAPER IN ORDER, RUNG OUT"
    lead = section("ringout", adapter()).lead
    assert f"The notebook has 37 of these {len(adapter().probes)} rows, of the harness that" in lead
    assert "J1 camera-feed: 300 mm from camera, 100 mm from head" in str(
        section("fitted", adapter())
    )


def test_what_the_second_person_reads_stands_at_a_face_of_its_page() -> None:
    """At the last stop: the head's contacts 5 and 1 are found without turning back."""
    stop = next(s for s in told("stop-mating") if "–" in s.at)
    assert stop.at.startswith("donor.3")
    blocks = section("stop-mating", adapter()).blocks
    assert [block.name for block in blocks if isinstance(block, FaceBlock)] == ["head"]
    demo = [b for b in section("stop-mating").blocks if isinstance(b, FaceBlock)]
    assert [b.name for b in demo] == ["donor"]  # the mating may begin on the next page
    cut = [b for b in section("stop-cut").blocks if isinstance(b, FaceBlock)]
    assert [(b.name, b.views[0].view) for b in cut] == [("loom", LookedAt.MATING)]


def test_a_contact_of_the_old_plug_is_read_at_its_face() -> None:
    """Above each row of the joints that probes a contact of a plug stands that plug, seen from where the probe goes."""
    above: list[FaceBlock] = []
    rows = []
    for block in section("joints").blocks:
        if isinstance(block, FaceBlock):
            above.append(block)
            continue
        for step in block.steps if isinstance(block, Steps) else ():
            if "at this contact" in step.text:
                rows.append(step.at)
                end = step.at.split(".")[0]
                seen = [view.view for face in above if face.name == end for view in face.views]
                assert LookedAt.MATING in seen
        above = []
    assert rows == ["loom.6", "loom.13", "feed.16"]


def test_a_lamp_goes_over_a_feed_and_its_own_ground(tmp_path: Path) -> None:
    """The ground that comes out of the feed's plug of the machine, or that its paper says serves it."""
    assert lamps_over(ADAPTER) == {
        ("head.5", "head.4"),
        ("head.6", "head.4"),
        ("head.2", "head.1"),
        ("head.3", "head.1"),
    }
    copytree(ADAPTER.parent, tmp_path / "adapter")
    head = tmp_path / "adapter" / "head.yaml"
    plain = "function: power-ground, volts: 0, amps: 6.6"
    text = head.read_text(encoding="utf-8")
    assert plain in text
    head.write_text(text.replace(plain, f"{plain}, serves: [2, 3, 5]"), encoding="utf-8")
    assert {("head.5", "head.1"), ("head.6", "head.4")} <= lamps_over(tmp_path / "adapter/job.yaml")


def lamps_over(job: Path) -> set[tuple[str, str]]:
    """Over which contacts a test lamp burns at first power."""
    given, _ = gather(job)
    assert given is not None
    steps = power_plan(given.harness)
    return {(step.red, step.black) for step in steps if "burns fully" in step.do}


def test_each_wire_of_an_adapter_bears_two_flags() -> None:
    """At a contact the circuit's; at a joint, where three ends lie loose, those of its three wires."""
    near = Counter(row.near for row in flag_rows(adapter()))
    assert {near[at] for at in ("camera.1", "head.5", "head.6")} == {2}
    assert {near[at] for at in ("lamp.1", "head.2", "camera.2", "head.4")} == {1}


def test_what_is_twisted_is_cut_longer_first() -> None:
    """On each sheet that twists: two wires laid round each other are shorter (common practice)."""
    for key, given, first, last in (
        ("new-wires", demo_given(), "cut 325 mm, to be twisted, bus-a-hi", "bus-a-hi 295 mm"),
        ("joints", adapter(), "cut 440 mm, to be twisted, picture-plus", "each to 400 mm"),
    ):
        steps = [step.text for step in steps_of(section(key, given))]
        begun = next(n for n, text in enumerate(steps) if first in text)
        ended = next(n for n, text in enumerate(steps) if last in text and "trimmed:" in text)
        far = [n for n, text in enumerate(steps) if "its other end, picture" in text]
        assert begun < ended and all(ended < n for n in far)
    job = demo_given().job
    straight = replace(demo_given(), harness=Harness(replace(job, twists={})))
    assert not any("twisted" in step.text for step in steps_of(section("new-wires", straight)))


def test_the_way_back_needs_no_other_page() -> None:
    """Each wire of the old plug bears its joint with its place; the pages of the survey go with it."""
    page = section("way-back")
    (rows,) = [block.rows for block in page.blocks if isinstance(block, Ledger)]
    assert all(" at " in row[3] or row[3] == "tied back" for row in rows)
    assert "readings before the cut" in page.lead and page.stop
    assert "its readings" in section("way-back", adapter()).lead


def test_words_keep_clear_of_what_is_wanted() -> None:
    """Three millimetres at least: at a glance a band is no part of the words before it."""
    rows = [step for each in compose(demo_given()).sections for step in steps_of(each) if step.want]
    assert len(rows) > 100
    for step in rows:
        made = _Measured(step)
        begins = made.want_right - width(step.want, STRONG)
        for line in made.lines:
            ends = WORDS_AT + sum(width(run.text, run.style) + AIR_MM for run in line) - AIR_MM
            assert ends + 3.0 <= begins, step
