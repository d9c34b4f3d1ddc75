"""Whole walks over the page, from the first card to the sheet: a mistake built in is named, mended and passed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import copied_demo
from page_browser import (
    DESK,
    NARROW,
    PHONE,
    Person,
    Typist,
    a_browser,
    bench,
    go_on,
    in_a_browser,
    kinds,
    serving,
)
from page_hands import Bench
from page_states import strike_line, wide
from test_page_cards import Desk

from wiremap.model import EntryKind

MOST = 400  # cards of a walk


@pytest.fixture
def chromium() -> Iterator[Any]:
    """The system's Chromium."""
    with a_browser() as browser:
        yield browser


@pytest.fixture
def serve() -> Iterator[Any]:
    """Serves jobs, and ends what it began."""
    with serving() as start:
        yield start


def home(person: Person) -> str:
    """The page that tells the job's standing in full."""
    text: str = person.context.request.get(f"{person.served.base}/").text()
    return text


@in_a_browser
def test_the_whole_demo(chromium: Any, serve: Any, tmp_path: Path) -> None:
    """On a phone from the findings to the sheet, the bus crossed; no address but the page's own is asked for."""
    job = copied_demo(tmp_path / "demo")
    person = Person(chromium, serve(job), PHONE)
    hands = bench(job, "donor.8", "donor.9")
    go_on(person, hands, MOST)
    assert any("donor.8" in told and "donor.9" in told for told in hands.told)
    assert 1 == kinds(job, EntryKind.MENDED)
    assert "rung out 19 of 19" in home(person)
    answer = person.context.request.get(person.served.base + "/sheet.pdf")
    assert b"%PDF" == answer.body()[:4]
    foreign = [url for url in person.asked_for if not url.startswith((person.served.base, "data:"))]
    assert [] == foreign


def is_named(hands: Bench, *ends: set[str]) -> bool:
    """Whether an exchange was told at one of these ends: no reading tells at which two wires cross."""
    told = [set(re.findall(r"\w+\.\d+", each)) for each in hands.told]
    return any(points <= each for each in told for points in ends)


def adapter(folder: Path) -> Path:
    """The small adapter of the demo, built and not yet rung out."""
    job = copied_demo(folder).parent / "adapter" / "job.yaml"
    strike_line(job.with_name("notebook.yaml"), "kind: probe")
    return job


@in_a_browser
@pytest.mark.parametrize(
    ("who", "size", "more"),
    [(Person, NARROW, {"java_script_enabled": False}), (Typist, DESK, {})],
    ids=["without scripts", "by keys alone"],
)
def test_the_adapter(
    who: type[Person], size: tuple[int, int], more: Any, chromium: Any, serve: Any, tmp_path: Path
) -> None:
    """Narrow and without any script, and at the desk with keys alone: two contacts of the head exchanged."""
    job = adapter(tmp_path / "demo")
    person = who(chromium, serve(job), size, **more)
    hands = bench(job, "head.8", "head.9")
    go_on(person, hands, MOST)
    assert is_named(hands, {"head.8", "head.9"}, {"camera.3", "camera.4"})
    assert 1 == kinds(job, EntryKind.MENDED)
    assert "rung out 9 of 9" in home(person)


def test_sixty_cavities(tmp_path: Path) -> None:
    """A plug of thirty on thirty, two contacts exchanged: found, mended, read to the last step."""
    job = wide(tmp_path / "wide", 30)
    desk = Desk(job)
    hands = bench(job, "unit.20", "unit.21")
    path, card = desk.next_path(), None
    for _ in range(MOST):
        if path == "/print":
            break
        card = card if card is not None and card.asked else desk.look(path)
        fields = hands.answers(card)
        assert fields, card.text
        card = desk.send_all(path, card, fields)
        assert "not kept" not in card.text
        if not card.asked:
            path = desk.next_path()
    assert "/print" == path
    assert is_named(hands, {"unit.20", "unit.21"}, {"loom.20", "loom.21"})
    assert 1 == kinds(job, EntryKind.MENDED)
