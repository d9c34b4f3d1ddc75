"""Every card of the page by itself: what it asks, what it refuses, what it keeps."""

from __future__ import annotations

import io
import re
from datetime import date
from html import unescape
from pathlib import Path

import pytest
import sweeper

pytest.importorskip("flask")

from flask.testing import FlaskClient
from page_hands import Bench, Seen, seen
from page_states import CARDS, at, done, keep, opened, replace_in, rung_out
from ringout_simulator import Copper
from sheet_cases import steps_of

from wiremap.cli.main import main
from wiremap.content.compose import compose
from wiremap.content.filled import filled
from wiremap.content.gather import gather
from wiremap.content.joint_work import said_step
from wiremap.model import Entry, EntryKind, Stop
from wiremap.page.app import build_app
from wiremap.page.gate import Gate
from wiremap.page.moment import Moment, WorkedOut
from wiremap.page.stages import STAGES
from wiremap.page.stages.stage import ONE_ANSWER
from wiremap.page.tables import read_pasted
from wiremap.page.work import Work

HOST = "127.0.0.1:8123"
COMMAND = re.compile(r"wiremap [a-z]+ [\w./-]|--[a-z]{2}")  # nobody types one on a phone
OURS = {"Host": HOST, "Origin": f"http://{HOST}"}


class Desk:
    """A browser that was let in to one job."""

    def __init__(self, job: Path, by: str = "RK") -> None:
        gate = Gate()
        self.job = job
        self.client: FlaskClient = build_app(Work(str(job)), gate, (HOST,)).test_client()
        self.client.post(f"/in/{gate.open_link()}", data={"by": by}, headers=OURS)

    def look(self, path: str) -> Seen:
        """One card."""
        answer = self.client.get(path, headers=OURS)
        assert answer.status_code == 200, answer.text
        return seen(answer.text)

    def next_path(self) -> str:
        """Where the button of the first page leads."""
        page = self.client.get("/", headers=OURS).text
        return page.partition('<form action="')[2].partition('"')[0]

    def send(self, path: str, fields: dict[str, str]) -> Seen:
        """Answer the card at a path; `fields` are by name, for its first question."""
        card = self.look(path)
        return self.send_all(
            path, card, {f"{k}-{card.asked[0].mark}": v for k, v in fields.items()}
        )

    def send_all(self, path: str, card: Seen, fields: dict[str, str]) -> Seen:
        """Send fields as the card's form would."""
        data = {"form_mark": card.form_mark, "at": card.at, "ask": [a.mark for a in card.asked]}
        answer = self.client.post(
            path.partition("?")[0], data={**data, **fields}, headers=OURS, follow_redirects=True
        )
        return seen(answer.text)

    def kept(self, kind: EntryKind) -> list[Entry]:
        """The entries of one kind, from disk."""
        return [entry for entry in opened(self.job).job.entries if entry.kind == kind]


@pytest.mark.parametrize("name", sorted(CARDS))
def test_every_card_shows_at_its_stage(name: str, tmp_path: Path) -> None:
    """Each has a heading of its own, and stays under 60 kB."""
    desk = Desk(at(name, tmp_path / "demo"))
    answer = desk.client.get(CARDS[name], headers=OURS)
    assert answer.status_code == 200
    assert len(answer.data) < 60_000
    assert seen(answer.text).heading
    if name != "print":
        assert " checked" not in answer.text
    assert not COMMAND.search(unescape(answer.text))


@pytest.mark.parametrize("name", ["colours", "survey", "volts"])
def test_every_deed_is_of_one_stage(name: str, tmp_path: Path) -> None:
    """What was ticked can be taken back at one place, and is found there."""
    entries = opened(at(name, tmp_path / "demo")).job.notebooks[0].entries
    deeds = [entry for entry in entries if entry.kind == EntryKind.DONE]
    assert deeds
    owners = {entry.what: [one.words for one in STAGES if one.owns(entry)] for entry in deeds}
    assert {} == {what: found for what, found in owners.items() if len(found) != 1}


def test_a_group_of_findings_is_signed_with_a_reason(tmp_path: Path) -> None:
    """Without one nothing is kept; with one the notebook has what `sign` would write."""
    desk = Desk(at("findings", tmp_path / "demo"))
    before = desk.kept(EntryKind.ACCEPT)
    assert "a signature counts with a reason" in desk.send("/findings", {"why": "x"}).text
    assert before == desk.kept(EntryKind.ACCEPT)
    desk.send("/findings", {"why": "the boot closes over it"})
    signed = [e for e in desk.kept(EntryKind.ACCEPT) if e not in before]
    assert [("sleeves-overlap", "the boot closes over it", "RK")] == [
        (entry.rule, entry.why, entry.by) for entry in signed
    ]
    assert "No finding is open" in desk.look("/findings").heading


def test_a_card_tells_no_more_of_the_whole_than_whether_it_holds(tmp_path: Path) -> None:
    """What is surveyed, rung out and not judged stands on the first page; no line of a file at a contact."""
    desk = Desk(at("findings", tmp_path / "demo"))
    home = desk.client.get("/", headers=OURS).text
    card = desk.client.get("/findings", headers=OURS).text
    for words in ("circuits rung out", "not judged"):
        assert words in home and words not in card
    assert "Paper in order" in card and "job.yaml, line" not in card


def test_an_answer_that_the_question_does_not_allow_is_refused(tmp_path: Path) -> None:
    """The card says why; an allowed one is kept with how it was found out."""
    desk = Desk(at("questions", tmp_path / "demo"))
    before = len(desk.kept(EntryKind.ANSWER))
    assert "is no answer about" in desk.send("/questions", {"answer": "warm"}).text
    assert before == len(desk.kept(EntryKind.ANSWER))
    desk.send("/questions", {"answer": "60", "how": "read beside the engine"})
    last = desk.kept(EntryKind.ANSWER)[-1]
    assert ("surroundings.ambient_C", "60", "read beside the engine") == (
        last.about,
        last.answer,
        last.how,
    )


def test_a_figure_beyond_what_is_usual_is_asked_back(tmp_path: Path) -> None:
    """As at a terminal: it is kept once somebody has said how it was found out."""
    desk = Desk(at("questions", tmp_path / "demo"))
    before = len(desk.kept(EntryKind.ANSWER))
    for how in ("", "ok", "probe at the manifold"):
        said = desk.send("/questions", {"answer": "140", "how": how}).text
        assert "beginning with sure:" in said
        assert "140 C is unusual" in said and "how it was found out" in said
    assert before == len(desk.kept(EntryKind.ANSWER))
    desk.send("/questions", {"answer": "140", "how": "sure: probe at the manifold"})
    assert "140" == desk.kept(EntryKind.ANSWER)[-1].answer


def test_a_card_says_the_most_that_the_supply_gives(tmp_path: Path) -> None:
    """Of volts that nobody states, as the sheet does; ohms of which nobody knows stay as they are."""
    desk = Desk(at("survey", tmp_path / "demo"))
    rows = WorkedOut(opened(desk.job), "near").survey.rows
    for row in (each for each in rows if each.low is None):
        most = "; at most 15 V" if row.block == "volts" else ""
        assert f"write it down{most} " in desk.look(f"/survey?at={row.n}").text


AROUND_READINGS = (
    "breakout lead into",
    "which changed, with what on",
    "nothing else feeds it",
    "which burns fully",
    "current in the battery's minus lead",
    "it stays out",
)


def test_the_page_does_around_the_survey_what_the_sheet_does(tmp_path: Path) -> None:
    """Plugs off before the readings; lights and switches, fuses, lamps and the sleep while the battery is on."""
    desk = Desk(at("plugs", tmp_path / "demo"))
    plugs = desk.look("/survey")
    assert "its plugs" in plugs.heading
    deeds = [words for ask in plugs.asked for _, words in ask.choices]
    assert any("breakout lead into this plug" in words for words in deeds)
    told = _done_around(Desk(at("fuse", tmp_path / "fuse")))
    titles = [title.partition(",")[0] for title, _ in told]
    assert [
        "Its own fuse out",
        "Under load: a poor feed shows its full volts until it must work",
    ] == (list(dict.fromkeys(titles))[:2])
    assert ["Sleep current before the work", "The fuse of a wire in service out"] == titles[-2:]


def test_the_page_pulls_the_fuses_that_the_sheet_pulls(tmp_path: Path) -> None:
    """One after another, before STOP 1: each stands filled in on the sheet, and is asked no more."""
    desk = Desk(at("fuse", tmp_path / "demo"))
    left = _undone(desk)
    told = _done_around(desk)
    assert len(told) == left > 2
    fuses = [spots for title, spots in told if "fuse" in title]
    assert [["loom.1", "chassis"], ["feed.16", "chassis"]] == fuses
    assert "/joints" == desk.next_path()
    assert _undone(desk) == 0
    given, _ = gather(desk.job)
    assert given is not None
    sheet = filled(compose(given), given)
    steps = [step for each in sheet.sections if each.key == "survey" for step in steps_of(each)]
    for words in AROUND_READINGS:
        seen = [step.seen for step in steps if words in step.text]
        assert seen and set(seen) == {"done"}, words


def _done_around(desk: Desk) -> list[tuple[str, list[str]]]:
    """Every card of one thing to do, done: under which words, with a probe at which points."""
    told = []
    while "one thing" in (card := desk.look("/survey")).heading:
        (ask,) = card.asked
        assert "/survey" == desk.next_path()
        assert ("fuse" in ask.heading) == ("Not dead: stop" in ask.text)
        told.append((ask.heading, [address for _, address in ask.spots]))
        desk.send_all("/survey", card, {f"choice-{ask.mark}": "done"})
    return told


def _undone(desk: Desk) -> int:
    """How many deeds the stop before the cut says are not done yet."""
    return desk.look("/joints").text.count("Not done yet: ")


def test_the_page_asks_at_a_joint_what_the_sheet_asks(tmp_path: Path) -> None:
    """The piece cut off beeps at its contact of the old plug: a deed before the crimp, ticked on the sheet too."""
    job = at("colours", tmp_path / "demo")
    given, _ = gather(job)
    assert given is not None
    sections = [each for each in compose(given).sections if each.key == "joints"]
    proved = [
        s for each in sections for s in steps_of(each) if "flagged by the right face" in s.text
    ]
    tasks = Moment(opened(job), WorkedOut(opened(job), "near")).worked.tasks
    asked = [task for task in tasks if "flagged by the right face" in task.deeds[0]]
    assert proved and [said_step(step) for step in proved] == [task.deeds[0] for task in asked]
    assert all("Each first parted 150 mm behind the old plug." in task.lead for task in asked)
    keep(job, [done(f"{task.name}: {task.deeds[0]}") for task in asked])
    given, _ = gather(job)
    assert given is not None
    sheet = filled(compose(given), given)
    ticked = [s.seen for each in sheet.sections for s in steps_of(each) if "right face" in s.text]
    assert ["done"] * len(asked) == ticked


def test_a_survey_reading_is_judged_as_soon_as_it_is_entered(tmp_path: Path) -> None:
    """What contradicts the paper says so in the same breath, and both are kept."""
    desk = Desk(at("survey", tmp_path / "demo"))
    said = desk.send("/survey?at=1", {"volts": "0,02"})
    assert "contradicts" in said.text
    last = desk.kept(EntryKind.SURVEY)[-1]
    assert ("loom.1", 0.02, "off", "RK") == (last.red[0], last.volts, last.key, last.by)


def test_nothing_is_cut_past_a_difference_in_colour(tmp_path: Path) -> None:
    """The card stops; a second look frees it, and so does a name under the other colour."""
    desk = Desk(at("difference", tmp_path / "demo"))
    card = desk.look("/joints")
    assert "Stop: loom.6 is yellow on paper, and pink was found." in card.text
    assert not any("cut" in words for each in card.asked for _, words in each.choices)
    said = desk.send("/joints", {"choice": "paper"})
    assert "say how you know it" in said.text
    desk.send("/joints", {"choice": "paper", "how": "120 ohm to loom.7, and its cavity read twice"})
    assert "0.35 mm2 pink" == desk.kept(EntryKind.ANSWER)[-1].answer
    assert "Stop:" not in desk.look("/joints").text


def test_the_colour_found_is_a_choice_or_a_word_never_both(tmp_path: Path) -> None:
    desk = Desk(at("colours", tmp_path / "demo"))
    before = desk.kept(EntryKind.DONE)
    both = desk.send("/joints", {"choice": "yellow", "colour": "pink"})
    assert ONE_ANSWER in both.text
    assert before == desk.kept(EntryKind.DONE)
    desk.send("/joints", {"colour": "pink"})
    assert "colour as found: pink" == desk.kept(EntryKind.DONE)[-1].what


def test_deeds_are_ticked_in_their_order(tmp_path: Path) -> None:
    """A later one alone is refused; the first ones are kept one by one."""
    desk = Desk(at("joint", tmp_path / "demo"))
    card = desk.look("/joints")
    second = card.asked[1]
    said = desk.send_all("/joints", card, {f"choice-{second.mark}": "done"})
    assert "comes before" in said.text
    before = len(desk.kept(EntryKind.DONE))
    ticks = {f"choice-{each.mark}": "done" for each in card.asked[:2]}
    left = desk.send_all("/joints", card, ticks)
    assert before + 2 == len(desk.kept(EntryKind.DONE))
    assert [each.mark for each in card.asked[2:]] == [each.mark for each in left.asked]


@pytest.mark.parametrize(
    ("fields", "kept"),
    [
        ({}, False),
        ({"second": "rk"}, False),
        ({"second": "AM", "choice": "alone"}, False),
        ({"second": "AM"}, False),
        ({"second": "AM", "unread": "ok"}, False),
        ({"second": "AM", "unread": "the loom lies on the bench"}, True),
        ({"choice": "alone"}, False),
    ],
)
def test_a_stop_wants_two_names(fields: dict[str, str], kept: bool, tmp_path: Path) -> None:
    """One's own name once more is none; with a guard loop in the job nobody passes it alone, and
    nobody with readings left out unless he says why.
    """
    desk = Desk(at("cut stop", tmp_path / "demo"))
    desk.send("/joints", fields)
    assert kept == any(e.stop == Stop.CUT for e in desk.kept(EntryKind.STOP_PASSED))


def test_a_mistake_is_named_mended_and_read_again(tmp_path: Path) -> None:
    """The bus crossed at the unit: the card names it, `mended` asks anew, and it passes."""
    job = at("ring-out", tmp_path / "demo")
    keep(job, rung_out(job, wrong=("donor.8", "donor.9"), most=20))
    desk = Desk(job)
    sound, crossed = (Copper(opened(job).job, machine=True) for _ in range(2))
    crossed.exchange("donor.8", "donor.9")
    bench = Bench(crossed, sound)
    for _ in range(120):
        card = desk.look("/ringout")
        fields = bench.answers(card)
        if not fields:
            break
        desk.send_all("/ringout", card, fields)
    assert any("donor.8" in told and "donor.9" in told for told in bench.told)
    assert 1 == len(desk.kept(EntryKind.MENDED))
    assert "Ring-out: pass" == desk.look("/ringout").heading


def test_first_power_waits_for_what_is_owed(tmp_path: Path) -> None:
    """No step shows before the ring-out is right and everything is closed."""
    desk = Desk(at("ring-out", tmp_path / "demo"))
    card = desk.look("/power")
    assert ["/ringout", "/sleeves", "/again"] == card.owed
    assert [] == card.asked
    again = desk.look("/again")
    assert (["/ringout", "/sleeves"], []) == (again.owed, again.asked)


def test_a_wrong_figure_stops_first_power(tmp_path: Path) -> None:
    """More volts than belong: the step stays, and says what to do; mended, all is read anew."""
    desk = Desk(at("volts", tmp_path / "demo"))
    said = desk.send("/power", {"figure": "30"})
    assert "Stop:" in said.text
    assert "Battery off" in said.text
    assert said.heading == desk.look("/power").heading
    desk.send("/ringout?at=mended", {"points": "donor.3"})
    assert "/ringout" in desk.look("/power").owed


def test_one_touch_takes_one_answer_back(tmp_path: Path) -> None:
    """The entry stays in the file, struck out; a second touch on the old card takes nothing."""
    desk = Desk(at("volts", tmp_path / "demo"))
    card = desk.send("/power", {"figure": "0.01"})
    before = len(desk.kept(EntryKind.POWER))
    page = desk.client.get("/power", headers=OURS).text
    marks = page.split('name="marks" value="')[1].split('"')[0]
    data = {"form_mark": card.form_mark, "marks": marks}
    for _ in range(2):
        answer = desk.client.post("/power/undo", data=data, headers=OURS, follow_redirects=True)
    assert "kept or taken back meanwhile" in answer.text
    assert before - 1 == len(desk.kept(EntryKind.POWER))


def test_a_table_is_read_as_it_is_pasted_and_saved_once(tmp_path: Path) -> None:
    """Each row says what it was read as; a file that is there is never written over."""
    from wiremap.cli.main import main

    desk = Desk(at("table", tmp_path / "demo"))
    card = desk.look("/table")
    text = "pin\tsignal\tcolour\n1\tTerminal 30\tRD\n2\tground\tBN\n"
    data = {"form_mark": card.form_mark, "title": "Bale counter", "text": text, "letters": "iec"}
    shown = desk.client.post("/table", data={**data, "do": "read"}, headers=OURS).text
    assert "permanent-supply" in shown
    assert not (desk.job.parent / "Bale-counter.yaml").exists()
    saved = desk.client.post("/table", data={**data, "do": "save"}, headers=OURS).text
    assert "Saved as a new file" in saved
    assert 0 == main(["check", str(desk.job.parent / "Bale-counter.yaml"), "--quiet"])
    again = desk.client.post("/table", data={**data, "do": "save"}, headers=OURS).text
    assert "not saved" in again


@pytest.mark.parametrize("headings", ["", "pin\tsignal\tcolour\n", "wire\tpin\tsignal\n"])
def test_a_table_is_pasted_with_its_headings_or_without(headings: str) -> None:
    """The same two cavities each time: headings are no row, and their order is kept to."""
    rows = ["1\tTerminal 30\tRD", "2\tground\tBN"]
    if headings.startswith("wire"):
        rows = ["RD\t1\tTerminal 30", "BN\t2\tground"]
    table = read_pasted(headings + "\n".join(rows), "Bale counter", "iec")
    assert () == table.wrong
    assert [("1", "Terminal 30"), ("2", "ground")] == [(r.cavity, r.signal) for r in table.rows]


def test_a_job_that_breaks_meanwhile_is_told(tmp_path: Path) -> None:
    """File and line, and the page goes on once it is mended."""
    desk = Desk(at("home", tmp_path / "demo"))
    replace_in(desk.job, "wiremap: job/1", "wiremap: job/1\nwiremap: job/1")
    broken = desk.client.get("/", headers=OURS)
    assert (409, True) == (broken.status_code, "job.yaml" in broken.text)
    replace_in(desk.job, "wiremap: job/1\nwiremap: job/1", "wiremap: job/1")
    assert "Next" == desk.look("/").heading


def test_the_sheet_comes_as_pdf(tmp_path: Path) -> None:
    """Drawn from the files as they stand, kept nowhere."""
    desk = Desk(at("print", tmp_path / "demo"))
    before = sorted(path.name for path in desk.job.parent.iterdir())
    answer = desk.client.get("/sheet.pdf?paper=letter&filled=in", headers=OURS)
    assert ("application/pdf", b"%PDF") == (answer.mimetype, answer.data[:4])
    assert b"/MediaBox [ 0 0 612 792 ]" in answer.data
    unasked = desk.client.get("/sheet.pdf", headers=OURS)
    assert b"/MediaBox [ 0 0 595.2756 841.8898 ]" in unasked.data, "A4, where no paper is named"
    assert before == sorted(path.name for path in desk.job.parent.iterdir())


def test_what_the_page_keeps_the_commands_go_on_with(tmp_path: Path) -> None:
    """A reading kept here is one that the command's list no longer asks for, and the other way."""
    from wiremap.cli.main import main

    desk = Desk(at("ring-out", tmp_path / "demo"))
    first = desk.look("/ringout").asked[0]
    red, black = (address for _, address in first.spots)
    desk.send("/ringout", {"choice": "b"})
    kept = desk.kept(EntryKind.PROBE)[-1]
    assert (red, black, "beep") == (kept.red[0], kept.black[0], kept.seen)
    lines = tmp_path / "lines.txt"
    lines.write_text(f"{red} - {black} b\n", encoding="utf-8")
    main(["ringout", str(desk.job), "--readings", str(lines), "--save", "--by", "RK"])
    assert 1 == len(desk.kept(EntryKind.PROBE))


EVIL = '"><img src=x onerror=alert(1)>'


def test_hostile_names_are_text_on_every_card(tmp_path: Path) -> None:
    """A title, a signal, a file's words, a person's name and reasons that look like markup."""
    job = at("disagrees", tmp_path / "demo")
    replace_in(job, "title: Series 2 spreader controller on a series 1 machine", f"title: '{EVIL}'")
    replace_in(job.with_name("series1-loom.yaml"), "signal: Permanent supply", f"signal: '{EVIL}'")
    replace_in(job.with_name("series2-donor.yaml"), "signal: 30 logic", f"signal: '{EVIL}'")
    desk = Desk(job, by=EVIL)
    for path in sorted(set(CARDS.values())):
        text = desk.client.get(path, headers=OURS).text
        assert "<img" not in text, path
        assert "&lt;img" in text, path
    refused = desk.send("/ringout?at=mended", {"points": EVIL})
    assert EVIL in refused.text


def test_nothing_leaves_the_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With every way out barred each card shows, an answer is kept, and the sheet is drawn."""

    def barred(*_: object) -> None:
        raise AssertionError("something asked for the network")

    desk = Desk(at("ring-out", tmp_path / "demo"))
    for name in ("connect", "connect_ex", "sendto"):
        monkeypatch.setattr(f"socket.socket.{name}", barred)
    monkeypatch.setattr("socket.getaddrinfo", barred)
    for path in sorted(set(CARDS.values())):
        desk.look(path)
    desk.send("/ringout", {"choice": "b"})
    assert 1 == len(desk.kept(EntryKind.PROBE))
    assert b"%PDF" == desk.client.get("/sheet.pdf", headers=OURS).data[:4]


@pytest.mark.parametrize(("path", "most"), [("/table", 1024 * 1024), ("/survey", 64 * 1024)])
def test_what_is_sent_is_bounded(path: str, most: int, tmp_path: Path) -> None:
    """A pasted table may be a megabyte, any other answer 64 kB; more is refused unread."""
    desk = Desk(at("home", tmp_path / "demo"))
    mark = desk.look("/table").form_mark
    for size, refused in ((most + 1, True), (most // 2, False)):
        data = {"form_mark": mark, "text": "x" * size, "title": "t"}
        answer = desk.client.post(path, data=data, headers=OURS)
        assert refused == (answer.status_code == 413)


def test_a_clock_that_is_set_back_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order in the file is the order of the readings, whatever day they bear."""
    from wiremap.page import moment, work

    class Yesterday(date):
        @classmethod
        def today(cls) -> date:
            return date(2020, 1, 1)

    desk = Desk(at("ring-out", tmp_path / "demo"))
    desk.send("/ringout", {"choice": "b"})
    for room in (moment, work):
        monkeypatch.setattr(room, "date", Yesterday)
    desk.send("/ringout", {"choice": "s"})
    kept = desk.kept(EntryKind.PROBE)
    assert (2, "2020-01-01") == (len(kept), kept[-1].date)
    assert kept[0].red != kept[1].red or kept[0].black != kept[1].black


def test_an_answer_that_is_not_offered_is_none(tmp_path: Path) -> None:
    """A form made by hand can say no more than the card."""
    desk = Desk(at("cut stop", tmp_path / "demo"))
    assert "not offered here" in desk.send("/joints", {"choice": "alone"}).text
    assert [] == desk.kept(EntryKind.STOP_PASSED)


def test_a_finding_leads_to_its_question_and_tells_no_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each open finding of a first sketch, one after another: what hands do, and where to answer."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(sweeper.SPLICE))
    main(["start"])
    desk, links, seen_paths = Desk(tmp_path / "job.yaml"), 0, set()
    path = "/findings"
    while path not in seen_paths:
        seen_paths.add(path)
        text = desk.client.get(path, headers=OURS).text
        assert not COMMAND.search(unescape(text)), path
        links += "/questions?at=" in text
        path = unescape(re.findall(r'href="(/findings\?at=[^"]+)"', text)[-1])
    assert len(seen_paths) > 8 and links > 4


def test_what_can_move_is_secured_before_anything_is_read(tmp_path: Path) -> None:
    """Before the first volts, ignition off, as the command says it first; the list says it too."""
    desk = Desk(at("lock out", tmp_path / "demo"))
    for path in ("/survey", "/survey?at=1", "/survey?at=all"):
        text = desk.look(path).text
        assert "chock and block" in text and "send everyone away" in text, path


def test_questions_come_before_signatures(tmp_path: Path) -> None:
    """What an answer settles is not signed first: the way on leads to the questions."""
    job = at("questions", tmp_path / "demo")
    notebook = job.with_name("notebook.yaml")
    kept = notebook.read_text("utf-8").splitlines(keepends=True)
    notebook.write_text("".join(line for line in kept if "kind: accept" not in line), "utf-8")
    desk = Desk(job)
    assert "findings are open" in desk.look("/findings").heading
    assert desk.next_path() == "/questions"


def test_what_was_refused_stays_typed(tmp_path: Path) -> None:
    """The words, as text and nothing else, and the choice; once it is kept the next card is empty."""
    desk = Desk(at("questions", tmp_path / "demo"))
    card = desk.look("/questions")
    mark = card.asked[0].mark
    fields = {f"answer-{mark}": 'warm"><b>', f"how-{mark}": "read beside it"}
    data = {"form_mark": card.form_mark, "at": card.at, "ask": [mark], **fields}
    page = desk.client.post("/questions", data=data, headers=OURS).text
    assert "is no answer about" in unescape(page) and "warm&#34;&gt;&lt;b&gt;" in page
    assert 'value="read beside it"' in page
    assert 'value="read beside it"' not in desk.client.get("/questions", headers=OURS).text


def test_a_name_that_was_refused_stays_typed(tmp_path: Path) -> None:
    """It is mended, not typed anew."""
    desk = Desk(at("sleeves", tmp_path / "demo"))
    card = desk.look(CARDS["sleeves"])
    mark = card.asked[0].mark
    data = {"form_mark": card.form_mark, "at": card.at, "ask": [mark], f"second-{mark}": "RK"}
    page = desk.client.post(CARDS["sleeves"], data=data, headers=OURS).text
    assert "the first once more" in page and 'value="RK"' in page
