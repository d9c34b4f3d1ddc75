"""A real browser before a page that the command itself serves: what a person does with it."""

from __future__ import annotations

import contextlib
import importlib.util
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page_hands import Bench, Seen, seen
from page_states import opened
from ringout_simulator import Copper

from wiremap.model import EndKind, EntryKind

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
READY = BROWSER is not None and importlib.util.find_spec("playwright") is not None
in_a_browser = pytest.mark.skipif(
    not READY and not os.environ.get("CI"), reason="no Chromium of the system, or no playwright"
)
PHONE, NARROW, DESK = (360, 740), (320, 640), (1280, 800)
WAIT_MS = 60_000
MOST_TABS = 200  # from the top of a page to its button
LOOK = (Path(__file__).parent / "page_look.js").read_text(encoding="utf-8")
FOCUS = """() => {
  const at = document.activeElement;
  return {name: at.name || "", type: at.type || at.tagName, value: at.value || ""};
}"""


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

    def focus(self, *, wanted: Any) -> dict[str, str]:
        """Press Tab till something wanted has the focus; what that is."""
        for _ in range(MOST_TABS):
            self.page.keyboard.press("Tab")
            found: dict[str, str] = self.page.evaluate(FOCUS)
            if wanted(found):
                return found
        raise AssertionError(f"no key leads there: {self.card().text}")

    def enter(self) -> Seen:
        """Tab to the next button, and press it."""
        self.focus(wanted=lambda found: found["type"] == "submit")
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")
        return self.card()


class Typist(Person):
    """One who touches keys alone: Tab, arrows, the space bar, letters, Enter."""

    def answer(self, fields: dict[str, str]) -> Seen:
        """Tab from field to field, then to the button."""
        left = dict(fields)
        keys = self.page.keyboard
        while left:
            found = self.focus(wanted=lambda found: found["name"] in left)
            text = left.pop(found["name"])
            if found["type"] == "checkbox":
                keys.press("Space")
            elif found["type"] == "radio":
                self._choose(text)
            else:
                keys.type(text)
        return self.enter()

    def _choose(self, value: str) -> None:
        self.page.keyboard.press("Space")
        for _ in range(MOST_TABS):
            if self.page.evaluate(FOCUS)["value"] == value:
                return
            self.page.keyboard.press("ArrowDown")
        raise AssertionError(f"no key leads to {value}")

    def what_comes_next(self) -> Seen:
        """The first page, and its button."""
        self.page.goto(self.served.base)
        return self.enter()


@contextlib.contextmanager
def a_browser() -> Iterator[Any]:
    """The system's Chromium."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        arguments = ["--no-sandbox", "--disable-gpu"]
        browser = play.chromium.launch(executable_path=BROWSER, args=arguments)
        yield browser
        browser.close()


@contextlib.contextmanager
def serving() -> Iterator[Any]:
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
    return sum(entry.kind == kind for entry in opened(job).job.entries)


def bench(job: Path, *wrong: str) -> Bench:
    """The harness on the bench, with two contacts exchanged; of a splice with the machine behind it."""
    given = opened(job).job
    machine = any(end.kind == EndKind.CUT_TAIL for end in given.ends.values())
    built, sound = Copper(given, machine=machine), Copper(given, machine=machine)
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
