"""What nobody knew is asked again at the end, with who could know; a hold tells in plain words what may lift it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from keyboard import Keyboard
from test_page_cards import Desk

from wiremap.cli.main import main
from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.model import EntryKind
from wiremap.ringout.bench import open_questions
from wiremap.survey.not_known import not_known
from wiremap.survey.question import WHO_KNOWS, FoundAt
from wiremap.survey.questions import questions

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +12 always, red
  2: earth, brown
  3: spinner valve, green
"""
NEW = OLD.replace("old plug", "new plug")
UNKNOWN = "don't know"


@pytest.fixture(autouse=True)
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


def standing() -> tuple[list[str], list[str]]:
    """What has not been asked yet, and what nobody knew."""
    job = load_job("job.yaml").value
    assert job is not None
    settled = settle(job)
    return [q.about for q in questions(settled)], [q.about for q in not_known(settled)]


def answered_all(said: str) -> None:
    """Every question of the papers answered alike."""
    while standing()[0]:
        batch = "".join(f"{about}: {said}\n" for about in standing()[0])
        Path("all.txt").write_text(batch, encoding="utf-8")
        assert main(["next", "job.yaml", "--batch", "all.txt", "--by", "RK"]) == 0


def test_what_nobody_knew_is_kept_apart_until_somebody_knows() -> None:
    first = standing()[0][0]
    call = ["next", "job.yaml", "--about", first, "--by", "RK", "--how", "read it", "--answer"]
    main([*call, UNKNOWN])
    fresh, unknown = standing()
    assert first not in fresh and unknown == [first]
    main([*call, "24"])
    assert standing()[1] == []


def test_it_is_asked_at_the_end_with_who_did_not_know_and_who_could(
    capsys: pytest.CaptureFixture[str],
) -> None:
    answered_all(UNKNOWN)
    for about in ("equipment", "beeper"):
        main(["next", "job.yaml", "--about", about, "--answer", UNKNOWN, "--by", "RK"])
    capsys.readouterr()
    assert main(["next", "job.yaml"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert told.startswith("HOLD, ") and "What may lift it:" in told
    assert "answers that nobody knew" in told
    assert "How many volts has the machine?" in told
    assert (
        f"not known so far (RK, {today(told)}); who could know: {WHO_KNOWS[FoundAt.FEED]}" in told
    )


def today(told: str) -> str:
    return told.partition("not known so far (RK, ")[2][:10]


def test_every_place_names_who_could_know() -> None:
    assert set(WHO_KNOWS) == set(FoundAt)


def test_check_sends_to_what_nobody_knew(capsys: pytest.CaptureFixture[str]) -> None:
    answered_all(UNKNOWN)
    capsys.readouterr()
    main(["check", "job.yaml"])
    said = capsys.readouterr().out.split("next: ")[1]
    assert said.startswith("find out what nobody knew, then say it: wiremap next job.yaml")


def test_one_sitting_asks_it_once(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A d goes on to the end of the questions, and does not begin again with the first."""
    monkeypatch.setattr("sys.stdin", Keyboard("d\n" * 200))
    capsys.readouterr()
    main(["next", "job.yaml", "--by", "RK"])
    told = capsys.readouterr().out
    assert told.count("[supply.volts]") == 1
    assert "What may lift it:" in told
    job = load_job("job.yaml").value
    assert job is not None and open_questions(settle(job))[0].not_known


def test_the_walk_asks_for_the_name_as_next_does(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("WIREMAP_BY", raising=False)
    monkeypatch.setattr("sys.stdin", Keyboard("RK\nq\n"))
    assert main(["ringout", "job.yaml", "--walk"]) == 1
    told = capsys.readouterr().out
    assert told.startswith("your name") and "the same command goes on from here" in told


def test_the_page_asks_it_once_and_keeps_it_within_reach() -> None:
    """A card that came back by itself would be asked for ever; what nobody knew holds up no work."""
    desk = Desk(Path("job.yaml"))
    asked = []
    while (card := desk.look("/questions")).asked:
        asked.append(card.asked[0].mark)
        desk.send("/questions", {"choice": UNKNOWN})
    assert len(asked) == len(set(asked)) < len(standing()[1])
    assert len(card.ways) == len(asked)
    assert "not known so far (RK" in desk.look(card.ways[0]).text
    assert desk.next_path() != "/questions"


BASES = ("new.1.basis", "new.2.basis")
PAGES = ("leaflet 4711, page 12", "leaflet 4711, page 13")


def answers_kept(desk: Desk) -> list[tuple[str, str]]:
    assert all(each.answer == "document" for each in desk.kept(EntryKind.ANSWER))
    return [(each.about, each.how) for each in desk.kept(EntryKind.ANSWER)]


def test_alike_questions_are_one_card_of_the_page() -> None:
    """Words are kept of each contact, or one each; a wrong one of several keeps none."""
    desk = Desk(Path("job.yaml"))
    path = f"/questions?at={BASES[1]}"
    assert "new.1 (said to be permanent-supply); new.2" in desk.look(path).text
    for said, why in (("document; warm", "is no answer"), ("told; told; told", "3 answers")):
        assert why in desk.send(path, {"answer": said, "how": PAGES[0]}).text
    assert "which paper says it" in desk.send(path, {"choice": "document"}).text
    assert answers_kept(desk) == []
    desk.send(path, {"choice": "document", "how": "; ".join(PAGES)})
    assert answers_kept(desk) == list(zip(BASES, PAGES, strict=True))


def test_one_of_alike_questions_is_asked_by_itself() -> None:
    """The card of several leads to it; what is answered there is kept of that contact alone."""
    desk = Desk(Path("job.yaml"))
    path = next(way for way in desk.look(f"/questions?at={BASES[1]}").ways if "%3B" in way)
    assert "new.1 is said to be permanent-supply" in desk.look(path).text
    desk.send(path, {"choice": "document", "how": PAGES[0]})
    assert answers_kept(desk) == [(BASES[0], PAGES[0])]
