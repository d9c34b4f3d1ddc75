"""The real page in a real browser: read, touched and typed as a person does."""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from page_hands import Bench, Seen, seen
from page_states import CARDS, at, demo, opened
from ringout_simulator import Copper

from wiremap.content.done import entries_of
from wiremap.model import EntryKind

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
READY = BROWSER is not None and importlib.util.find_spec("playwright") is not None
pytestmark = pytest.mark.skipif(
    not READY and not os.environ.get("CI"), reason="no Chromium of the system, or no playwright"
)
PHONE, NARROW, DESK = (360, 740), (320, 640), (1280, 800)
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
WAIT_MS = 30_000
LEAST_CONTRAST = 7.0
LEAST_TARGET = 48
LOOK = (Path(__file__).parent / "page_look.js").read_text(encoding="utf-8")


FEW = ("survey", "bus", "disagrees", "volts")


class Served:
    """A page served by the command itself, in a process of its own."""

    cookies: list[Any] | None = None  # of the browser that was let in by the link

    def __init__(self, job: Path) -> None:
        self.job = job
        self.begin()

    def begin(self) -> None:
        """Start it; the link is good once."""
        command = [sys.executable, "-m", "wiremap", "page", str(self.job), "--no-browser", "--json"]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        text = ""
        while not text.rstrip().endswith("}"):
            line = self.process.stdout.readline()
            assert line, "the page did not open"
            text += line
        self.link = str(json.loads(text)["link"])
        self.cookies = None

    @property
    def base(self) -> str:
        """The address without the link."""
        return self.link.partition("/in/")[0]

    def lay(self, job: Path) -> None:
        """Let the files of a job stand in the place of those that are served."""
        for each in job.parent.glob("*.yaml"):
            shutil.copy(each, self.job.parent / each.name)

    def kill(self) -> None:
        """End it without a word, as a flat battery would."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


class Person:
    """One browser window, let in under a name."""

    def __init__(self, chromium: Any, served: Served, size: tuple[int, int], **more: Any) -> None:
        viewport = {"width": size[0], "height": size[1]}
        self.context = chromium.new_context(viewport=viewport, **more)
        self.page = self.context.new_page()
        self.page.set_default_timeout(WAIT_MS)
        self.asked_for: list[str] = []
        self.page.on("request", lambda request: self.asked_for.append(request.url))
        self.served = served
        if served.cookies is None:
            self.come_in()
        else:
            self.context.add_cookies(served.cookies)

    def come_in(self, by: str = "RK") -> None:
        """Press begin."""
        self.page.goto(self.served.link)
        self.page.fill("#by", by)
        with self.page.expect_navigation():
            self.page.click("button")
        self.served.cookies = self.context.cookies()

    def go(self, path: str) -> Seen:
        """Open a place of the page."""
        self.page.goto(self.served.base + path)
        return self.card()

    def card(self) -> Seen:
        """What is shown now."""
        return seen(self.page.content())

    def answer(self, fields: dict[str, str]) -> Seen:
        """Touch and type, then press the button."""
        for name, text in fields.items():
            if name.startswith("choice-"):
                self.page.check(f'[name="{name}"][value="{text}"]')
            elif self.page.locator(f'[name="{name}"]').count():
                self.page.fill(f'[name="{name}"]', text)
        with self.page.expect_navigation():
            self.page.click("main form[method=post] button")
        return self.card()

    def what_comes_next(self) -> Seen:
        """Press the button on the first page."""
        self.page.goto(self.served.base)
        with self.page.expect_navigation():
            self.page.click("main form button")
        return self.card()

    def look(self) -> dict[str, Any]:
        """What a checker measures on the card: see `page_look.js`."""
        found: dict[str, Any] = self.page.evaluate(LOOK)
        return found


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """The system's Chromium."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=BROWSER, args=["--no-sandbox", "--disable-gpu"]
        )
        yield browser
        browser.close()


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
    served = Served(demo(tmp_path_factory.mktemp("shared") / "demo"))
    yield served
    served.kill()


@pytest.fixture
def serve() -> Iterator[Any]:
    """Serves jobs, and ends what it began."""
    begun: list[Served] = []

    def start(job: Path) -> Served:
        begun.append(Served(job))
        return begun[-1]

    yield start
    for served in begun:
        served.kill()


def kinds(job: Path, kind: EntryKind) -> int:
    """How many entries of a kind are on disk."""
    return sum(entry.kind == kind for entry in entries_of(opened(job).job))


def bench(job: Path, *wrong: str) -> Bench:
    """The harness on the bench, with two contacts exchanged."""
    given = opened(job).job
    built, sound = Copper(given, machine=True), Copper(given, machine=True)
    if wrong:
        built.exchange(*wrong)
    return Bench(built, sound)


def go_on(person: Person, hands: Bench, most: int) -> int:
    """Do what the page asks, card by card, till nothing is left; how many cards that took."""
    card = person.what_comes_next()
    for count in range(most):
        if card.heading == "Print the sheet":
            return count
        fields = hands.answers(card)
        assert fields, card.text
        card = person.answer(fields)
        assert "not kept" not in card.text
        if not card.asked:
            card = person.what_comes_next()
    raise AssertionError(f"after {most} cards: {person.card().text}")


def test_the_whole_demo_with_a_mistake(chromium: Any, serve: Any, tmp_path: Path) -> None:
    """From the findings to the sheet: the crossed bus is named, mended, read again and passes."""
    job = demo(tmp_path / "demo")
    person = Person(chromium, serve(job), PHONE)
    hands = bench(job, "donor.8", "donor.9")
    go_on(person, hands, 400)
    assert any("donor.8" in told and "donor.9" in told for told in hands.told)
    assert 1 == kinds(job, EntryKind.MENDED)
    assert "rung out 19 of 19" in person.page.content()
    answer = person.context.request.get(person.served.base + "/sheet.pdf")
    assert b"%PDF" == answer.body()[:4]
    foreign = [url for url in person.asked_for if not url.startswith((person.served.base, "data:"))]
    assert [] == foreign


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
