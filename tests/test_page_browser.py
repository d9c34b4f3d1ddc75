"""The real page in a real browser: read, touched and typed as a person does."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import copied_demo
from page_browser import (
    DESK,
    NARROW,
    PHONE,
    WAIT_MS,
    Person,
    Served,
    a_browser,
    bench,
    in_a_browser,
    kinds,
    serving,
)
from page_states import CARDS, at

from wiremap.model import EntryKind

pytestmark = in_a_browser
ASKED = (
    "nameless",
    "sideways",
    "sideways enlarged",
    "landmarks",
    "twice",
    "low contrast",
    "small",
    "axe",
)
LEAST_CONTRAST = 7.0
LEAST_TARGET = 48
FEW = ("survey", "bus", "disagrees", "volts")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """The system's Chromium."""
    with a_browser() as browser:
        yield browser


@pytest.fixture(scope="module")
def states(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The demo at each state, made once: gives the job file."""
    made: dict[str, Path] = {}

    def state(name: str) -> Path:
        if name not in made:
            folder = tmp_path_factory.mktemp("state") / name.replace(" ", "-")
            made[name] = at(name, folder)
        return made[name]

    return state


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One page for every test that neither kills it nor opens the link anew."""
    served = Served(copied_demo(tmp_path_factory.mktemp("shared") / "demo"))
    yield served
    served.kill()


@pytest.fixture
def serve() -> Iterator[Any]:
    """Serves jobs, and ends what it began."""
    with serving() as start:
        yield start


def wrong_with(person: Person) -> dict[str, object]:
    """What a checker holds against the card that is shown."""
    found = person.look()
    found["low contrast"] = [e for e in found["contrast"] if e["ratio"] < LEAST_CONTRAST]
    found["small"] = [e for e in found["targets"] if min(e["width"], e["height"]) < LEAST_TARGET]
    axe = os.environ.get("AXE_CORE")
    if axe:
        found["axe"] = axe_findings(person, axe)
    return {key: found[key] for key in ASKED if found.get(key)}


def looked_at(person: Person, states: Any, names: Iterable[str]) -> dict[str, object]:
    """Each card at its state, and what is wrong with it."""
    wrong: dict[str, object] = {}
    for name in names:
        person.served.lay(states(name))
        person.go(CARDS[name])
        bad = wrong_with(person)
        if bad:
            wrong[name] = bad
    return wrong


def test_cards_can_be_read_and_touched(chromium: Any, shared: Served, states: Any) -> None:
    """On a phone: contrast, names, targets, landmarks, no sideways scrolling, letters twice as large."""
    assert {} == looked_at(Person(chromium, shared, PHONE), states, FEW)


@pytest.mark.parametrize("size", [PHONE, NARROW, DESK], ids=["phone", "narrow", "desk"])
def test_every_card_can_be_read_and_touched(
    chromium: Any, shared: Served, states: Any, size: tuple[int, int]
) -> None:
    """The same of every card, on each screen."""
    assert {} == looked_at(Person(chromium, shared, size), states, CARDS)


def test_the_checker_sees_what_is_wrong(chromium: Any, shared: Served, states: Any) -> None:
    """Grey letters, a button too small, a field without a name, a page too wide: each is found."""
    shared.lay(states("survey"))
    person = Person(chromium, shared, NARROW)
    person.go("/survey")
    person.page.evaluate(
        """() => {
            document.querySelector("h1").style.color = "#777";
            document.querySelector("main button").style.cssText = "min-height: 0; height: 30px";
            document.querySelector("main label.figure").remove();
            document.querySelector("h1").style.width = "500px";
        }"""
    )
    found = person.look()
    assert min(each["ratio"] for each in found["contrast"]) < LEAST_CONTRAST
    assert min(each["height"] for each in found["targets"]) < LEAST_TARGET
    assert 1 == len(found["nameless"])
    assert found["sideways"]


def axe_findings(person: Person, axe: str) -> list[str]:
    """What axe-core holds against the card at WCAG 2.2 AA."""
    person.page.evaluate(Path(axe).read_text(encoding="utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    run = "tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})"
    found = person.page.evaluate(run, tags)
    return [f"{each['id']}: {each['nodes'][0]['html'][:200]}" for each in found["violations"]]


def test_without_scripts_the_work_goes_on(chromium: Any, shared: Served, states: Any) -> None:
    """Readings, a repair and the way back on a narrow screen without any script."""
    shared.lay(states("disagrees"))
    job = shared.job
    person = Person(chromium, shared, NARROW, java_script_enabled=False)
    hands = bench(job, "donor.8", "donor.9")
    before = kinds(job, EntryKind.PROBE)
    for _ in range(4):
        person.answer(hands.answers(person.go("/ringout")))
    after = kinds(job, EntryKind.PROBE) + kinds(job, EntryKind.MENDED)
    assert after > before
    person.go("/ringout")
    with person.page.expect_navigation():
        person.page.click("form.undo button")
    assert after - 1 == kinds(job, EntryKind.PROBE) + kinds(job, EntryKind.MENDED)


def test_by_keyboard_alone(chromium: Any, shared: Served, states: Any) -> None:
    """Tab, a letter, Tab, Enter: one reading is kept, no other answer is set."""
    shared.lay(states("ring-out"))
    job = shared.job
    person = Person(chromium, shared, DESK)
    person.go("/ringout")
    before = kinds(job, EntryKind.PROBE)
    keys = person.page.keyboard
    focus = "document.activeElement.type || document.activeElement.tagName"
    while person.page.evaluate(focus) != "radio":
        keys.press("Tab")
    keys.press("s")
    assert "s" == person.page.evaluate("document.activeElement.value")
    while person.page.evaluate(focus) != "submit":
        keys.press("Tab")
    with person.page.expect_navigation():
        keys.press("Enter")
    assert before + 1 == kinds(job, EntryKind.PROBE)


def test_a_killed_page_loses_nothing_it_has_shown(
    chromium: Any, serve: Any, tmp_path: Path
) -> None:
    """kill -9 after an answer: the next page goes on behind it."""
    job = at("ring-out", tmp_path / "demo")
    served = serve(job)
    person = Person(chromium, served, PHONE)
    hands = bench(job)
    shown = person.answer(hands.answers(person.go("/ringout")))
    kept = kinds(job, EntryKind.PROBE)
    assert kept > 0
    served.kill()
    served.begin()
    person.come_in()
    again = person.go("/ringout")
    assert [each.mark for each in shown.asked] == [each.mark for each in again.asked]
    assert kept == kinds(job, EntryKind.PROBE)


def test_two_screens_at_once(chromium: Any, shared: Served, states: Any) -> None:
    """The second is told by itself that something was kept, and keeps nothing twice."""
    shared.lay(states("ring-out"))
    job, served = shared.job, shared
    one = Person(chromium, served, PHONE)
    two = one.context.new_page()
    two.goto(served.base + "/ringout")
    hands = bench(job)
    fields = hands.answers(one.go("/ringout"))
    one.answer(fields)
    kept = kinds(job, EntryKind.PROBE)
    two.wait_for_selector("#elsewhere:not([hidden])", timeout=WAIT_MS)
    for name, text in fields.items():
        two.check(f'[name="{name}"][value="{text}"]')
    with two.expect_navigation(timeout=WAIT_MS):
        two.click("main form[method=post] button")
    assert "answered meanwhile" in two.content()
    assert kept == kinds(job, EntryKind.PROBE)


def test_a_foreign_page_can_keep_nothing(
    chromium: Any, shared: Served, states: Any, tmp_path: Path
) -> None:
    """A page of somebody else's, open in the same browser, posts a form: it is refused."""
    shared.lay(states("ring-out"))
    job, served = shared.job, shared
    person = Person(chromium, served, DESK)
    mark = person.go("/ringout").asked[0].mark
    before = (job.parent / "notebook.yaml").read_bytes()
    evil = tmp_path / "evil.html"
    evil.write_text(
        f'<form method="post" action="{served.base}/ringout">'
        f'<input name="ask" value="{mark}"><input name="choice-{mark}" value="b">'
        "<button>win</button></form>",
        encoding="utf-8",
    )
    foreign = person.context.new_page()
    foreign.goto(evil.as_uri())
    with foreign.expect_navigation():
        foreign.click("button")
    assert "comes from another page" in foreign.content()
    assert before == (job.parent / "notebook.yaml").read_bytes()
