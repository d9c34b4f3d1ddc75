"""What another screen, a command or a hand in a file changes stands on the next card; what none changed is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.importorskip("flask")

from page_states import at, keep, opened, replace_in
from test_page_cards import Desk

from wiremap.model import Address, Entry, EntryKind, OnOff, Span
from wiremap.page.work import Work

STANDING = '<p class="standing'


def standing(desk: Desk) -> str:
    """Where the work stands, as the first page says it."""
    page = desk.client.get("/", headers={"Host": "127.0.0.1:8123"}).text
    return page.partition(STANDING)[2].partition(">")[2].partition("</p>")[0]


def survey_by_command(job: Path, line: str) -> None:
    """A reading typed at another terminal."""
    from wiremap.cli.main import main

    lines = job.parent / "lines.txt"
    lines.write_text(line + "\n", encoding="utf-8")
    main(["survey", str(job), "--readings", str(lines), "--save", "--by", "AM"])


def test_a_reading_that_a_command_saves_is_asked_no_more(tmp_path: Path) -> None:
    """Its card knows of it, and one fewer is left."""
    desk = Desk(at("survey", tmp_path / "demo"))
    before = desk.look("/survey?at=2")
    (red,) = [address for probe, address in before.asked[0].spots if probe == "red probe"]
    survey_by_command(desk.job, f"{red} 0 V ignition off")
    after = desk.look("/survey?at=2")
    assert before.asked[0].mark != after.asked[0].mark
    left = [int(card.text.partition(" of ")[0].rpartition(" ")[2]) for card in (before, after)]
    assert 1 == left[0] - left[1]


def test_a_contradiction_found_by_a_command_holds_at_once(tmp_path: Path) -> None:
    """Half way through the ring-out a supply is read dead: hold, and no first power; undone, as before."""
    desk = Desk(at("ring-out", tmp_path / "demo"))
    desk.send("/ringout", {"choice": "b"})
    said = standing(desk)
    assert said.startswith("Paper in order")
    survey_by_command(desk.job, "loom.1 0.02 V ignition off")
    assert standing(desk).startswith("HOLD")
    assert "/findings" in desk.look("/power").owed
    struck = opened(desk.job).job.entries[-1].own_mark
    keep(desk.job, [Entry(kind=EntryKind.STRUCK_OUT, mark=struck, by="AM", date="2026-03-05")])
    assert said == standing(desk)


@pytest.mark.parametrize(
    ("name", "old", "new", "path"),
    [
        ("series1-loom.yaml", "signal: Permanent supply", "signal: Battery", "/survey?at=1"),
        ("job.yaml", "title: Series 2 spreader", "title: Second spreader", "/ringout"),
        ("job.yaml", "loom.4, donor.7", "loom.4, donor.19", "/ringout"),
    ],
)
def test_a_file_changed_by_hand_is_read_anew(
    name: str, old: str, new: str, path: str, tmp_path: Path
) -> None:
    """A signal's name, the title, a joint: the next card is another one."""
    desk = Desk(
        at(path.strip("/").replace("ringout", "ring-out").partition("?")[0], tmp_path / "demo")
    )
    before = desk.client.get(path, headers={"Host": "127.0.0.1:8123"}).text
    replace_in(desk.job.with_name(name), old, new)
    assert before != desk.client.get(path, headers={"Host": "127.0.0.1:8123"}).text


def volts(ohms: float) -> Entry:
    """The first power ground read against the machine, as before the cut."""
    return Entry(
        kind=EntryKind.SURVEY,
        red=(Address("donor", "1"),),
        black=(Address("chassis"),),
        volts=0.0,
        ohms=Span.of(ohms),
        by="RK",
        date="2026-03-05",
    )


def dead_supply() -> Entry:
    """A supply that is none."""
    return Entry(
        kind=EntryKind.SURVEY,
        red=(Address("loom", "1"),),
        volts=0.02,
        key=OnOff.OFF,
        by="RK",
        date="2026-03-05",
    )


def test_the_plan_is_kept_till_what_it_hangs_on_changes(tmp_path: Path) -> None:
    """A reading that confirms leaves plan and judge; a stop, and a joint changed by hand, do not."""
    job = at("again", tmp_path / "demo")
    work = Work(str(job))
    plan, judge = work.now().worked.plan, work.now().worked.harness_work.judge
    keep(job, [volts(0.4)])
    assert plan is work.now().worked.plan
    assert judge is work.now().worked.harness_work.judge
    keep(job, [dead_supply()])
    held = work.now().worked.plan
    assert plan is not held
    replace_in(job, "loom.4, donor.7", "loom.4, donor.19")
    assert held is not work.now().worked.plan
