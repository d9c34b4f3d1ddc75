"""What is read once the wires are cut: between the joints, before the sleeves, at the new faces."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

pytest.importorskip("flask")

from page_hands import Bench
from page_states import at, opened
from ringout_simulator import Copper
from test_page_cards import Desk

from wiremap.content.compose import compose
from wiremap.content.gather import gather
from wiremap.content.steps import Steps
from wiremap.model import Entry, EntryKind
from wiremap.ringout import plan as ringout


def survey_lines(job: Path, line: str) -> Entry:
    """What the command keeps of a line."""
    from wiremap.cli.main import main

    lines = job.parent / "lines.txt"
    lines.write_text(line + "\n", encoding="utf-8")
    assert main(["survey", str(job), "--readings", str(lines), "--save", "--by", "RK"]) in (0, 1)
    return [e for n in opened(job).job.notebooks for e in n.entries if e.kind == "survey"][-1]


def without_day(entry: Entry) -> Entry:
    """An entry without the day and the place of its line."""
    return replace(entry, date="", place=None)


@pytest.mark.parametrize(
    ("name", "path", "line"),
    [
        ("bus", "/joints", "loom.6 to loom.7 after the cut 0 V 120 ohm"),
        ("bolted", "/sleeves", "gateway.7 to chassis bolted 0 V 0.2 ohm"),
        ("switches proven", "/sleeves", "loom.6 to loom.7 gateway mated 0 V 60 ohm"),
        ("as before", "/again", "donor.1 to chassis 0 V 0.4 ohm"),
    ],
)
def test_a_later_reading_is_kept_as_the_command_keeps_it(
    name: str, path: str, line: str, tmp_path: Path
) -> None:
    """Same points, same state, same figures."""
    desk = Desk(at(name, tmp_path / "page"))
    if name == "bolted":
        desk.send(path, {"choice": "done"})
    ohms = line.split()[-2]
    said = desk.send(path, {"volts": "0", "ohms": ohms})
    assert "Stop:" not in said.text
    kept = desk.kept(EntryKind.SURVEY)[-1]
    typed = survey_lines(at(name, tmp_path / "command"), line)
    assert without_day(typed) == without_day(kept)


@pytest.mark.parametrize(
    ("name", "path", "ohms"),
    [("switches proven", "/sleeves", "120"), ("as before", "/again", "30")],
)
def test_a_later_reading_that_is_wrong_stops(
    name: str, path: str, ohms: str, tmp_path: Path
) -> None:
    """The card says what was expected and asks the same again; live metal counts for nothing."""
    desk = Desk(at(name, tmp_path / "demo"))
    heading = desk.look(path).heading
    said = desk.send(path, {"volts": "0", "ohms": ohms})
    assert (heading, True) == (said.heading, "is expected" in said.text)
    assert "no ohms count" in desk.send(path, {"volts": "3", "ohms": "60"}).text
    assert "/power" not in desk.look("/").ways[:1]
    assert path in desk.look("/power").owed


def test_the_switch_is_set_when_its_half_was_read(tmp_path: Path) -> None:
    """First the reading with what it means, then the switch, then the joint."""
    desk = Desk(at("bus", tmp_path / "demo"))
    card = desk.look("/joints")
    assert "expected: 105 to 136" in card.text
    said = desk.send("/joints", {"volts": "0.0", "ohms": "119"})
    assert "gateway.TA: set it, then read aloud how it stands" in said.text
    joint = desk.send("/joints", {"choice": "on"})
    assert "gateway.TA" == desk.kept(EntryKind.ANSWER)[-1].about
    assert "Joint J1: bus-a-hi" == joint.heading


def test_the_second_ringout_is_read_after_the_sleeves(tmp_path: Path) -> None:
    """Its readings bear their state, the first ring-out stays passed, then the machine is read."""
    job = at("again", tmp_path / "demo")
    desk = Desk(job)
    assert "Ring-out: pass" == desk.look("/ringout").heading
    copper = Copper(opened(job).job, machine=True)
    bench = Bench(copper, copper)
    for _ in range(40):
        card = desk.look("/again")
        if not card.asked:
            break
        assert "Stop:" not in desk.send_all("/again", card, bench.answers(card)).text
    assert "Everything is read at the faces" == card.heading
    states = [e.state for e in desk.kept(EntryKind.PROBE) if "shrunk" in (e.state or "")]
    assert (12, 1) == (len(states), states.count("guard-back parted shrunk"))
    assert [] == desk.look("/power").owed


def test_a_job_too_large_to_ring_out_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other stages stay open, and every page answers."""
    monkeypatch.setattr(ringout, "MOST_NETS", 3)
    desk = Desk(at("findings", tmp_path / "demo"))
    assert "a ring-out is planned for at most 3" in desk.look("/ringout").text
    for path in ("/", "/findings", "/survey", "/joints", "/sleeves", "/again", "/power"):
        desk.look(path)
    refused = desk.client.get("/sheet.pdf", headers={"Host": "127.0.0.1:8123"})
    assert (409, True) == (refused.status_code, "at most 3" in refused.text)


def test_what_the_page_keeps_fills_the_sheet(tmp_path: Path) -> None:
    """From the cut to first power every box of the work is filled, and none says wrong."""
    job = at("power", tmp_path / "demo")
    given, _ = gather(job)
    assert given is not None
    sheet = compose(replace(given, filled_in=True))
    boxes = {}
    for section in sheet.sections:
        for block in section.blocks:
            if isinstance(block, Steps) and section.key in ("ringout", "sleeves"):
                boxes |= {(s.n, s.at): s.seen for s in block.steps if s.slot != "none"}
    assert [] == [key for key, seen in boxes.items() if not seen or "wrong" in seen]
    assert len(boxes) > 70


def test_a_sweep_is_answered_by_the_point_that_beeps(tmp_path: Path) -> None:
    """A probe that goes over several points, one after another, may be told by the one."""
    job = at("ring-out", tmp_path / "demo")
    desk = Desk(job)
    built = Copper(opened(job).job, machine=True)
    built.cut("gateway.7")
    bench = Bench(built, built)
    for _ in range(40):
        card = desk.look("/ringout")
        if "one after another" in card.text and "named" in card.asked[0].blanks:
            break
        desk.send_all("/ringout", card, bench.answers(card))
    assert "clipped together" not in card.text.partition("The probe that tells")[2]
    swept = bench.under(card.asked[0], "black probe")
    desk.send("/ringout", {"named": swept[0]})
    last = [(e.black, e.seen) for e in desk.kept(EntryKind.PROBE)[-2:]]
    assert [((swept[0],), "beep"), (swept[1:], "silent")] == last
