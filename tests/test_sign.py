"""Signing without typing YAML: one thing at a time, by batch, with the two-name stops."""

from __future__ import annotations

import io
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import DEMO, copied_demo

from wiremap.base import Finding, Severity
from wiremap.check import Checked, check
from wiremap.cli.main import main
from wiremap.cli.sign_asking import thing_to_sign as asking
from wiremap.content.grouped import Group
from wiremap.content.signing import needs_licence, to_sign
from wiremap.content.stop_cards import is_passed as passed_stop
from wiremap.content.work_order import Due, due_of, in_work
from wiremap.files import load_notebook
from wiremap.model import Entry, EntryKind, Stop, named_licence

WHY_UNREAD = "the loom lies on the bench, nothing feeds it"
CUT_UNREAD = ("sign", "--stop", "cut", "--unread", WHY_UNREAD)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The demo's job with every signature taken out of its notebook."""
    return copied_demo(tmp_path / "demo", "kind: accept")


def checked(job: Path) -> Checked:
    return check([job]).jobs[0]


def kept(job: Path) -> tuple[Entry, ...]:
    """What the notebook holds."""
    notebook = load_notebook(job.with_name("notebook.yaml")).value
    assert notebook is not None
    return notebook.entries


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    """What hands type, a line each; then the end of input."""
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def accepted(job: Path) -> list[tuple[str, str, str]]:
    """Who signed which rule, and why, from the notebook on disk."""
    notebook = load_notebook(job.parent / "notebook.yaml").value
    assert notebook is not None
    return [(e.by, e.rule, e.why) for e in notebook.entries if e.kind == "accept"]


def test_a_reason_signs_a_whole_group(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One reason, an entry for each of the like findings, and none of them is asked again."""
    groups = [group for group in to_sign(checked(job)) if not needs_licence(group)]
    first = groups[0]
    typed(monkeypatch, "looked at it on the machine", "q")
    assert main(["sign", str(job), "--by", "RK"]) == 1
    assert accepted(job) == [("RK", first.rule, "looked at it on the machine")] * len(
        first.findings
    )
    assert first.rule not in {group.rule for group in to_sign(checked(job))}


def test_enter_signs_nothing(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Forty bare Enters, a letter, the leave key: no name stands under anything."""
    typed(monkeypatch, *[""] * 40, "y", "l")
    main(["sign", str(job), "--by", "RK"])
    assert accepted(job) == []


EMPTY = (".", "...", "--", "x", "xxxx", "ok", "OK!", "yes, fine", "looked at it", "\N{BULLET}")


def test_what_says_nothing_is_no_reason(
    job: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Typed or by batch: it is refused with what a reason says, and no name stands under it."""
    typed(monkeypatch, *EMPTY, "q")
    main(["sign", str(job), "--by", "RK"])
    assert capsys.readouterr().out.count("that is no reason") == len(EMPTY)
    group, batch = to_sign(checked(job))[0], tmp_path / "reasons.txt"
    for reason in EMPTY:
        batch.write_text(f"{_line(group)}: {reason}\n", encoding="utf-8")
        assert main(["sign", str(job), "--by", "RK", "--batch", str(batch)]) == 2
        assert "what was seen, or why it may stay" in capsys.readouterr().err
    assert accepted(job) == []


@pytest.mark.parametrize("reason", EMPTY)
def test_an_empty_reason_typed_into_the_notebook_signs_nothing(job: Path, reason: str) -> None:
    """The same signature with a reason counts."""
    group = next(group for group in to_sign(checked(job)) if not needs_licence(group))
    (first, *_), book = group.findings, job.parent / "notebook.yaml"
    before = book.read_text("utf-8")
    entry = f"  - {{kind: accept, rule: {first.rule}, subject: [{', '.join(first.subject)}], "
    for why, counts in ((reason, False), ("one fuse for both, as drawn", True)):
        signed = f'{entry}by: RK, date: 2026-03-02, why: "{why}"}}\n'
        book.write_text(before + signed, encoding="utf-8")
        found = [f for f in checked(job).findings if (f.rule, f.subject) == _about(first)]
        assert [f.accepted is not None for f in found] == [counts]


def _about(finding: Finding) -> tuple[str, tuple[str, ...]]:
    return finding.rule, finding.subject


@pytest.mark.parametrize("said", ["..", "x y", "xxxx", "zz zz", "11111", "- -"])
def test_a_licence_of_nothing_is_none(said: str) -> None:
    assert not named_licence(said)


def test_places_are_shown_when_asked_for(
    job: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each finding of the group with its file and line."""
    group = next(group for group in to_sign(checked(job)) if not needs_licence(group))
    typed(monkeypatch, "p", "q")
    main(["sign", str(job), "--by", "RK"])
    thing_to_sign = " ".join(capsys.readouterr().out.split())
    assert all(f"{finding.place} " in thing_to_sign for finding in group.findings)


def test_what_one_reason_covers_is_told_where_it_covers_several(job: Path) -> None:
    """Before anybody types it; of a single thing nothing is said of others."""
    for group in to_sign(checked(job)):
        told = [line for line in asking(group, "") if "one reason signs all" in line]
        count = len(group.findings)
        assert [f"all {count}: " in line for line in told] == ([True] if count > 1 else [])


def test_all_that_may_be_signed_can_be_signed_by_batch(job: Path, tmp_path: Path) -> None:
    """With a licence stated nothing is left, and the job is in order."""
    batch = tmp_path / "reasons.txt"
    lines = [_line(group) for group in to_sign(checked(job))]
    batch.write_text("".join(f"{line}: traced by hand\n" for line in lines), encoding="utf-8")
    arguments = ["sign", str(job), "--by", "RK", "--batch", str(batch)]
    main([*arguments, "--licensed", "machine safety, district 4"])
    assert to_sign(checked(job)) == ()
    assert checked(job).verdict == "in-order"


def _line(group: Group) -> str:
    """How a batch names what it signs: a stop by its circuit too."""
    at = " ".join(group.first.subject) if group.severity == Severity.STOP else ""
    return f"{group.rule} {at}".strip()


GRADED = """
title: two that nobody has settled
ends:
  loom: {pinout: old.yaml, is: cut-tail, side: machine}
  unit: {pinout: new.yaml, is: pigtail, side: unit}
circuits:
  - {join: [loom.1, unit.1], grade: ask}
  - {join: [loom.2, unit.2], grade: ask}
"""
PLUG = """wiremap: pinout/1
title: {side}
cavities:
  1: {{signal: Wiper switch, function: digital-input, wire: 0.5 RD}}
  2: {{signal: Washer switch, function: digital-input, wire: 0.5 BN}}
"""


def test_each_stop_takes_a_reason_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One reason does not sign two circuits that nobody has settled; one each does."""
    for side in ("old", "new"):
        (tmp_path / f"{side}.yaml").write_text(PLUG.format(side=side), encoding="utf-8")
    job, batch = tmp_path / "job.yaml", tmp_path / "reasons.txt"
    job.write_text(f"wiremap: job/1{GRADED}", encoding="utf-8")
    call = ["sign", str(job), "--by", "RK", "--batch", str(batch)]
    batch.write_text("ask-unsettled: rung out both\n", encoding="utf-8")
    assert main(call) == 2
    assert "ask-unsettled loom.2" in capsys.readouterr().err
    batch.write_text("ask-unsettled loom.2: it works the washer\n", encoding="utf-8")
    main(call)
    left = [g.first.subject for g in to_sign(checked(job)) if g.rule == "ask-unsettled"]
    assert [("loom.1",)] == left


UNLIKE = """wiremap: pinout/1
title: {side}
cavities:
  1: {{signal: Sensor GND, function: sensor-return, wire: 0.5 BK}}
  2: {{signal: Shield, function: shield, wire: 0.5 GY}}
  3: {{signal: Wiper switch left, function: digital-input, wire: 0.5 RD}}
  4: {{signal: Wiper switch right, function: digital-input, wire: 0.5 BN}}
"""
LIKELY = """
title: what a sensor needs, and two alike
ends:
  loom: {pinout: old.yaml, is: cut-tail, side: machine}
  unit: {pinout: new.yaml, is: pigtail, side: unit}
circuits:
  - {join: [loom.1, unit.1], grade: likely}
  - {join: [loom.2, unit.2], grade: likely}
  - {join: [loom.3, unit.3], grade: likely}
  - {join: [loom.4, unit.4], grade: likely}
"""


@pytest.fixture
def likely(tmp_path: Path) -> Path:
    """A job whose circuits are likely only: a sensor's return, a shield, two switches."""
    for side in ("old", "new"):
        (tmp_path / f"{side}.yaml").write_text(UNLIKE.format(side=side), encoding="utf-8")
    job = tmp_path / "job.yaml"
    job.write_text(f"wiremap: job/1{LIKELY}", encoding="utf-8")
    return job


def _batch(job: Path, line: str) -> int:
    batch = job.with_name("reasons.txt")
    batch.write_text(f"{line}\n", encoding="utf-8")
    return main(["sign", str(job), "--by", "RK", "--batch", str(batch)])


def _likely_left(job: Path) -> list[tuple[str, ...]]:
    groups = [group for group in to_sign(checked(job)) if group.rule == "likely-unsettled"]
    return [tuple(finding.subject[0] for finding in group.findings) for group in groups]


def test_unlike_contacts_take_a_reason_each(
    likely: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is said of a sensor's return signs no shield; the two switches are one thing."""
    assert _likely_left(likely) == [("loom.1",), ("loom.2",), ("loom.3", "loom.4")]
    assert _batch(likely, "likely-unsettled: rung out at the sensor") == 2
    assert "likely-unsettled loom.2" in capsys.readouterr().err
    assert main(["sign", str(likely), "--full"]) == 1
    assert "[likely-unsettled loom.1" in " ".join(capsys.readouterr().out.split())
    _batch(likely, "likely-unsettled loom.1: rung out at the sensor")
    assert _likely_left(likely) == [("loom.2",), ("loom.3", "loom.4")]


def test_a_reason_that_tells_of_one_of_several_signs_none(
    likely: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`left` says nothing of the right one: by batch it is refused, at a terminal asked back."""
    assert _batch(likely, "likely-unsettled loom.3: pressed the left wiper switch") == 2
    assert "does not tell of loom.4 (right)" in " ".join(capsys.readouterr().err.split())
    typed(monkeypatch, *["l"] * 2, "pressed the left one", "pressed both in turn", "q")
    main(["sign", str(likely), "--by", "RK"])
    assert "does not tell of loom.4 (right)" in " ".join(capsys.readouterr().out.split())
    assert _likely_left(likely) == [("loom.1",), ("loom.2",)]


@pytest.mark.parametrize("words", ["yes", "x", "ok", "licensed", "Yes of course", "true", "asdf"])
def test_one_word_names_no_licence(words: str) -> None:
    """What says only that there is one is none; what it is for, or its number, is."""
    assert "" == named_licence(words)
    assert "crane fitter no. 4711" == named_licence(" crane fitter no. 4711")
    assert "MS-4417" == named_licence("MS-4417")


@pytest.mark.parametrize(
    "line", ["no-such-rule: because", "colours-confused", "colours-confused: "]
)
def test_a_wrong_line_of_a_batch_signs_nothing(job: Path, tmp_path: Path, line: str) -> None:
    """All or none: the good line before it is not kept either."""
    batch = tmp_path / "reasons.txt"
    batch.write_text(f"colours-confused: flagged\n{line}\n", encoding="utf-8")
    assert main(["sign", str(job), "--by", "RK", "--batch", str(batch)]) == 2
    assert accepted(job) == []


def test_a_name_is_wanted(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It may come from the environment; without one nothing is signed."""
    batch = tmp_path / "reasons.txt"
    batch.write_text("colours-confused: flagged\n", encoding="utf-8")
    monkeypatch.delenv("WIREMAP_BY", raising=False)
    assert main(["sign", str(job), "--batch", str(batch)]) == 2
    monkeypatch.setenv("WIREMAP_BY", "AM")
    assert main(["sign", str(job), "--batch", str(batch)]) == 1
    assert {by for by, _, _ in accepted(job)} == {"AM"}


@pytest.mark.parametrize(
    ("options", "code"),
    [
        (["--second", "AM"], 0),
        (["--alone"], 2),  # the demo has a guard loop: a licensed person is wanted
        ([], 2),
        (["--second", "RK"], 2),
        (["--second", "r. k."], 2),
        (["--second", "AM", "--alone"], 2),
    ],
)
def test_a_stop_takes_two_names_or_one_who_says_so(
    job: Path, options: list[str], code: int
) -> None:
    """Two different names, or alone and said where no licence is wanted: nothing else passes."""
    assert main([*CUT_UNREAD, str(job), "--by", "RK", *options]) == code
    notebook = load_notebook(job.parent / "notebook.yaml").value
    assert notebook is not None
    passed = [entry for entry in notebook.entries if entry.kind == "stop-passed"]
    assert len(passed) == (code == 0)


def test_stops_are_passed_in_the_order_of_the_work(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody closes up before the cut was looked at, or mates before the battery was: what is missing is named."""
    for stop, code in (("sleeves", 2), ("cut", 0), ("mating", 2)):
        unread = ["--unread", WHY_UNREAD] if stop == "cut" else []
        call = ["sign", str(job), "--stop", stop, "--by", "RK", "--second", "AM", *unread]
        assert main(call) == code, stop
        told = capsys.readouterr().err
        if stop == "mating":
            assert "the stop before the sleeves and the stop before the battery" in told
            assert "--stop sleeves" in told


def test_no_stop_is_passed_before_what_is_read_before_it(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is surveyed and nothing rung out: two names close nothing up."""
    for stop, unread in (("cut", WHY_UNREAD), ("sleeves", "")):
        call = ["sign", str(job), "--stop", stop, "--by", "RK", "--second", "AM"]
        assert main([*call, "--unread", unread]) == (0 if unread else 2)
    told = capsys.readouterr().err
    assert "comes later" in told and "wiremap ringout" in told


@pytest.mark.parametrize("unread", ["", "ok", "no time", "keine Zeit", "in a hurry"])
def test_nothing_is_cut_unread_without_a_reason(
    job: Path, capsys: pytest.CaptureFixture[str], unread: str
) -> None:
    """The contacts that have a row nobody has read are named, with the command that reads them."""
    call = ["sign", str(job), "--stop", "cut", "--by", "RK", "--second", "AM"]
    assert main([*call, "--unread", unread]) == 2
    told = capsys.readouterr().err
    assert "reason" in told if unread else "loom.6" in told and "wiremap survey" in told
    assert not passed_stop(Stop.CUT, kept(job))


def test_what_is_cut_unread_is_seen_in_the_verdict(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The reason stands beside the names; from then on nobody is sent back before the cut."""
    main([*CUT_UNREAD, str(job), "--by", "RK", "--second", "AM"])
    capsys.readouterr()
    main(["check", str(job)])
    told = " ".join(capsys.readouterr().out.split())
    assert f"cut (RK, AM; unread: {WHY_UNREAD})" in told
    assert due_of(checked(job)) is not Due.SURVEY


def test_a_cut_passed_unread_by_hand_still_asks_for_the_readings(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A line written into the notebook tells no reason: reading comes next, while nothing is cut."""
    with job.with_name("notebook.yaml").open("a", encoding="utf-8") as notebook:
        notebook.write("  - {kind: stop-passed, stop: cut, by: RK, second: AM, date: 2026-03-05}\n")
    found = checked(job)
    assert due_of(found) is Due.SURVEY
    assert "without a reason" in in_work(found, Due.SURVEY)


def test_unread_belongs_to_the_cut_alone(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At no other stop is anything passed unread."""
    call = ["sign", str(job), "--stop", "battery", "--by", "RK", "--second", "AM"]
    assert main([*call, "--unread", WHY_UNREAD]) == 2
    assert "the stop before the cut alone" in capsys.readouterr().err


@pytest.mark.parametrize(("second", "counts"), [("AM", True), ("rk", False), ("R. K.", False)])
def test_a_kept_stop_of_one_person_twice_counts_for_nothing(second: str, counts: bool) -> None:
    """Also where it was written into the notebook by hand."""
    entry = Entry(kind=EntryKind.STOP_PASSED, stop=Stop.CUT, by="RK", second=second)
    assert (entry.passes == Stop.CUT) == counts
    assert passed_stop(Stop.CUT, [entry]) == counts


def test_who_works_alone_says_so_and_the_verdict_shows_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a guard or the like one name will do, and is seen as such from then on."""
    shutil.copytree(DEMO / "adapter", tmp_path / "adapter")
    job = tmp_path / "adapter" / "job.yaml"
    assert main(["sign", str(job), "--stop", "sleeves", "--by", "RK", "--alone"]) == 0
    capsys.readouterr()
    main(["check", str(job)])
    told = " ".join(capsys.readouterr().out.split())
    assert "sleeves (RK, alone, read aloud)" in told


@pytest.mark.parametrize(
    ("stop", "told"),
    [
        ("cut", "nothing is cut in this job: it has no stop before the cut; nothing was saved"),
        ("mating", "the stop before closing up and the stop before the battery are not passed"),
        ("sleeves", "the stop before closing up is passed"),
    ],
)
def test_a_stop_is_named_as_an_adapter_comes_to_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], stop: str, told: str
) -> None:
    """What is plugged between has no cut and closes up; what is next is told in each case."""
    shutil.copytree(DEMO / "adapter", tmp_path / "adapter")
    job = tmp_path / "adapter" / "job.yaml"
    book = job.with_name("notebook.yaml")
    lines = [line for line in book.read_text("utf-8").splitlines(True) if "stop-passed" not in line]
    book.write_text("".join(lines), "utf-8")
    main(["sign", str(job), "--stop", stop, "--by", "RK", "--second", "AM"])
    said = " ".join(" ".join(capsys.readouterr()).split())
    assert told in said and "wiremap" in said.replace(told, "")
    assert ("stop-passed" in book.read_text("utf-8")) == (stop == "sleeves")


ANSWERED = (
    "  - {kind: answer, about: lamp.1, answer: lamp-feed, by: HM, date: 2026-03-02, how: drawing seen,"
    " licensed: crane fitter no. 4711}\n"
)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--alone"], "no stop is passed alone"),
        (
            ["--second", "AM"],
            "say with --licensed which licence one of the two holds: what it is for",
        ),
        (["--second", "HM"], ""),
        (["--second", "AM", "--licensed", "crane fitter no. 12"], ""),
    ],
)
def test_licensed_work_that_was_answered_is_licensed_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str], told: str
) -> None:
    """What a licensed person has said of a hoist holds nothing; its stops still want one of them."""
    shutil.copytree(DEMO / "adapter", tmp_path / "adapter")
    job = tmp_path / "adapter" / "job.yaml"
    plug = job.with_name("lamp-plug.yaml")
    plug.write_text(plug.read_text("utf-8").replace("Work lamp left", "Hoist up"), "utf-8")
    notebook = job.with_name("notebook.yaml")
    text = notebook.read_text("utf-8")
    notebook.write_text(text + ANSWERED, "utf-8")
    assert not [f for f in checked(job).findings if f.rule == "licensed-work"]
    code = main(["sign", str(job), "--stop", "sleeves", "--by", "RK", *options])
    said = " ".join(capsys.readouterr().err.split())
    assert (code, told in said) == (2 if told else 0, True), said


def test_what_is_left_as_data(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As many items as are counted, each with its rule and the reason why it matters."""
    assert main(["sign", str(job), "--json"]) == 1
    body: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert body["wiremap"] == "sign/1"
    assert body["left"] == len(body["items"]) == len(to_sign(checked(job)))
    assert all(item["about"] and item["why"] for item in body["items"])


def test_no_stop_is_passed_on_hold(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A held job stands before its first cut, whoever signs."""
    text = job.read_text(encoding="utf-8")
    job.write_text(
        text.replace("join: [loom.1, donor.3", "join: [loom.2, donor.3"), encoding="utf-8"
    )
    assert main(["sign", str(job), "--stop", "cut", "--by", "RK", "--second", "AM"]) == 2
    assert "the job is on hold" in capsys.readouterr().err
