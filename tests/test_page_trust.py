"""What the page lets pass: whose signature is taken back by whom, who passes a licensed stop, what its counts say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

pytest.importorskip("flask")

from page_hands import Seen, plain, seen
from page_states import at, keep, opened, replace_in
from test_page_cards import OURS, Desk

from wiremap.cli.main import main
from wiremap.model import Entry, EntryKind, Stop
from wiremap.survey.lines import typed_survey

UNREAD = "the loom lies on the bench, nothing feeds it"
TODAY = {"by": "RK", "date": "2026-03-05"}


def take_back(desk: Desk, path: str, **typed: str) -> Seen:
    """One touch on what was kept last, with what is typed beside it."""
    page = desk.client.get(path, headers=OURS).text
    marks = page.split('name="marks" value="')[1].split('"')[0]
    data = {"form_mark": seen(page).form_mark, "marks": marks, **typed}
    answer = desk.client.post(f"{path}/undo", data=data, headers=OURS, follow_redirects=True)
    return seen(answer.text)


def signed(folder: Path) -> Path:
    """The demo with its last open caution signed by RK."""
    job = at("findings", folder)
    desk = Desk(job, by="RK")
    desk.send("/findings", {"why": "the lump lies beside the tray, looked at with the fitter"})
    return job


def test_nobody_takes_back_what_another_signed(tmp_path: Path) -> None:
    """One touch of LM leaves RK's signature as it is, and says whose it is."""
    desk = Desk(signed(tmp_path / "demo"), by="LM")
    before = len(desk.kept(EntryKind.ACCEPT))
    for typed in ({}, {"named": "LM"}, {"named": "somebody"}):
        said = take_back(desk, "/findings", **typed)
        assert "RK kept this: it is taken back only with that person" in said.text
    assert before == len(desk.kept(EntryKind.ACCEPT))


def test_with_the_name_typed_again_it_is_taken_back_and_told(tmp_path: Path) -> None:
    """The file says who struck it out and with whom, the page says it too."""
    desk = Desk(signed(tmp_path / "demo"), by="LM")
    before = len(desk.kept(EntryKind.ACCEPT))
    said = take_back(desk, "/findings", named=" rk ")
    assert before - 1 == len(desk.kept(EntryKind.ACCEPT))
    assert "taken back by LM" in said.text
    (struck,) = desk.kept(EntryKind.STRUCK_OUT)
    assert ("LM", "taken back together with RK") == (struck.by, struck.why)


def test_one_touch_takes_back_what_is_ones_own(tmp_path: Path) -> None:
    """RK is not asked for RK's name."""
    desk = Desk(signed(tmp_path / "demo"), by="RK")
    assert 'name="named"' not in desk.client.get("/findings", headers=OURS).text
    assert "taken back by RK" in take_back(desk, "/findings").text


def licensed_job(folder: Path, *, in_notebook: bool) -> Path:
    """The demo with a word of lifting gear in it, signed by LM, who says or hides the licence."""
    job = at("cut stop", folder)
    replace_in(job.with_name("series1-loom.yaml"), "Spinner valve", "Hoist valve")
    finding = next(f for f in main_findings(job) if f.rule == "licensed-work")
    accept = Entry(
        kind=EntryKind.ACCEPT,
        rule=finding.rule,
        subject=finding.subject,
        why="hoist valve of the body, drawing seen",
        licensed="hydraulics 4711, guild of Ulm",
        by="LM" if in_notebook else "ZZ",
        date="2026-03-05",
    )
    keep(job, (accept,))
    return job


def main_findings(job: Path) -> tuple:  # type: ignore[type-arg]
    """What the rule book says of a job."""
    from wiremap.check import check

    return check([job]).jobs[0].findings


@pytest.mark.parametrize(
    ("second", "licensed", "passes"),
    [("LM", "", True), ("QQ", "", False), ("QQ", "hydraulics 12, guild of Ulm", True)],
)
def test_a_licensed_stop_takes_a_licensed_name(
    tmp_path: Path, second: str, licensed: str, passes: bool
) -> None:
    """One of the two holds a licence, by the notebook or as said: on the page as by the command."""
    job = licensed_job(tmp_path / "demo", in_notebook=True)
    desk = Desk(job, by="RK")
    said = desk.send("/joints", {"second": second, "licensed": licensed, "unread": UNREAD})
    assert passes == bool(desk.kept(EntryKind.STOP_PASSED))
    assert passes != (
        "say which licence" in said.text or "the notebook knows no licence" in said.text
    )
    again = licensed_job(tmp_path / "again", in_notebook=True)
    call = ["sign", str(again), "--stop", "cut", "--by", "RK", "--second", second]
    call += ["--unread", UNREAD]
    code = main(call + (["--licensed", licensed] if licensed else []))
    assert (code == 0) == passes
    assert passes == any(e.passes == Stop.CUT for e in opened(again).job.entries)


def test_the_list_marks_what_contradicts(tmp_path: Path) -> None:
    """What contradicts is told at its reading, and what is no reading of the list above it."""
    job = at("survey list", tmp_path / "demo")
    desk = Desk(job)
    assert "CONTRADICTS" not in desk.look("/survey?at=all").text
    lines = "loom.1 to chassis 0.0 V ignition off\nloom.2 to chassis 12.4 V ignition off"
    entries, faults, _ = typed_survey(opened(job).job, lines, "test", "RK", "2026-03-05")
    assert not faults
    keep(job, entries)
    text = desk.look("/survey?at=all").text
    assert 2 == text.count("contradicts the paper: ")
    assert 1 == text.count("read, CONTRADICTS THE PAPER")


COUNTED = re.compile(
    r"(\d+) (?:readings? (?:are|is) owed|findings? (?:are|is) open|questions? (?:are|is) open)"
)
OWED = re.compile(r"(\d+) of them owed before the cut")


@pytest.mark.parametrize("name", ["survey", "survey list", "findings", "home"])
def test_the_counts_of_a_page_agree(name: str, tmp_path: Path) -> None:
    """What the first page says is left, the card counts too, and so does the head of both."""
    desk = Desk(at(name, tmp_path / "demo"))
    page = desk.client.get("/", headers=OURS).text
    first = plain(page[page.index("<main>") :])
    (left,) = COUNTED.findall(first)
    card = plain(desk.client.get(desk.next_path(), headers=OURS).text)
    told = OWED.findall(card) or COUNTED.findall(card)
    assert {left} == set(told)


def test_open_findings_are_counted_alike_in_head_and_card(tmp_path: Path) -> None:
    """Like findings are one, in the head as on the card."""
    job = at("findings", tmp_path / "demo")
    replace_in(job, "ambient_C: 60, ", "")
    card = plain(Desk(job).client.get("/findings", headers=OURS).text)
    counts = re.findall(r"(\d+) findings? (?:are|is) open", card)
    assert len(counts) > 1
    assert 1 == len({*counts})
