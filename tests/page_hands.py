"""Hands before the page: they read a card as it is shown, go to the bench, and say what to send.

They know the card's text and the copper on the bench (`ringout_simulator`), nothing of the engine.
"""

from __future__ import annotations

import html
import math
import re
from dataclasses import dataclass, field

from ringout_simulator import BEEPS_BELOW, Copper

FIGURE = r"(-?\d+(?:\.\d+)?)\s*(k?Ω|V|A)?"


@dataclass
class Asked:
    """One question of a card, read from its markup."""

    mark: str
    heading: str
    text: str
    spots: list[tuple[str, str]]
    choices: list[tuple[str, str]]
    blanks: list[str]


@dataclass
class Seen:
    """One card, read from its markup."""

    heading: str
    text: str
    asked: list[Asked]
    owed: list[str]
    ways: list[str]
    form_mark: str = ""
    at: str = ""


def plain(markup: str) -> str:
    """The words of a piece of markup."""
    text = re.sub(r"<svg.*?</svg>", " ", markup, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def seen(page: str) -> Seen:
    """A page's card as a person takes it in."""
    main = page[page.index("<main>") : page.index("</main>")]
    head = re.search(r"<h1>(.*?)</h1>", main, re.DOTALL)
    form = re.search(r'name="form_mark" value="([^"]+)"', main)
    at = re.search(r'name="at" value="([^"]*)"', main)
    blocks = re.findall(r"<fieldset>.*?</fieldset>", main, re.DOTALL)
    ticks = re.findall(
        r'<input type="hidden" name="ask" value="[^"]+">\s*<label class="choice"><input type="checkbox".*?</label>',
        main,
        re.DOTALL,
    )
    return Seen(
        heading=plain(head[1]) if head else "",
        text=plain(main),
        asked=[each for each in map(asked, [*ticks, *blocks]) if each is not None],
        owed=re.findall(r'class="owed" href="([^"]+)"', main),
        ways=re.findall(r'<li><a href="([^"]+)"', main),
        form_mark=form[1] if form else "",
        at=html.unescape(at[1]) if at else "",
    )


def asked(block: str) -> Asked | None:
    """One fieldset, or one tick."""
    mark = re.search(r'name="ask" value="([^"]+)"', block)
    if mark is None:
        return None
    legend = re.search(r"<legend>(.*?)</legend>", block, re.DOTALL)
    spots = re.findall(r"<p>([^<:]+): <span class=\"address\">([^<]+)</span>", block)
    choices = re.findall(r'<input type="(?:radio|checkbox)"[^>]*value="([^"]*)">([^<]*)', block)
    blanks = re.findall(rf'name="([a-z]+)-{mark[1]}"[^>]*>(?=\s|<)', block)
    return Asked(
        mark=mark[1],
        heading=plain(legend[1]) if legend else "",
        text=plain(block),
        spots=[(html.unescape(probe), html.unescape(address)) for probe, address in spots],
        choices=[(html.unescape(value), plain(words)) for value, words in choices],
        blanks=[name for name in dict.fromkeys(blanks) if name != "choice"],
    )


@dataclass
class Bench:
    """What stands on the bench, and who works there."""

    copper: Copper
    sound: Copper
    second: str = "AM"
    told: list[str] = field(default_factory=list)
    clipped: tuple[str, ...] = ()

    def answers(self, card: Seen) -> dict[str, str]:
        """What to send for a card: field to text."""
        found: dict[str, str] = {}
        for each in card.asked:
            for name, text in self.answer(each).items():
                found[f"{name}-{each.mark}"] = text
        return found

    def answer(self, each: Asked) -> dict[str, str]:
        """What one question is answered with."""
        values = [value for value, _ in each.choices]
        if values and values[0] == "done":
            return {"choice": "done"}
        if "second" in each.blanks:
            return {"second": self.second}
        if "why" in each.blanks:
            return {
                "why": "looked at on the bench and left as it is",
                "licensed": "machine safety, no. 4",
            }
        if "colour" in each.blanks:
            fits = [value for value, words in each.choices if f"wire {words}" in each.text]
            return {"choice": max(fits, key=len)} if fits else {"colour": "black"}
        if values and all(value == "m" or value.startswith("m ") for value in values):
            self.told.append(each.text)
            self.copper = self.sound
            return {"choice": values[0]}
        if "figure" in each.blanks:
            return {"figure": middle(each.text, 0.0)}
        if "volts" in each.blanks:
            return self.surveyed(each)
        if any(probe == "red probe" for probe, _ in each.spots):
            return self.rung(each)
        return {"choice": values[0]} if values else {}

    def surveyed(self, each: Asked) -> dict[str, str]:
        """A survey reading as its row expects it."""
        if "ohms" not in each.blanks:
            return {"volts": middle(each.text, 0.0)}
        return {"volts": "0.00", "ohms": middle(each.text, math.inf)}

    def under(self, each: Asked, probe: str) -> tuple[str, ...]:
        """The points under one probe; those that are clipped together are named when they change."""
        found = [address for name, address in each.spots if name == probe]
        named = r"([\w.]+(?:, [\w.]+)*)"
        together = re.search(
            rf"{probe}: ((?:the )?\d+ (?:clipped together|points, one after another)) {named}",
            each.text,
        )
        if together is None:
            return tuple(found)
        if together[2] != "stays":
            self.clipped = tuple(together[2].split(", "))
        found.remove(together[1])
        return (*found, *self.clipped)

    def rung(self, each: Asked) -> dict[str, str]:
        """What the meter shows between two probes."""
        red, black = self.under(each, "red probe"), self.under(each, "black probe")
        fuse = re.search(r"put (\S+) in for this reading", each.text)
        parted = re.search(r"part (.+?) (?:from what it meets|outside the harness)", each.text)
        ohms = self.copper.true_ohms(
            red, black, fuse[1] if fuse else "", parted[1] if parted else ""
        )
        values = [value for value, _ in each.choices]
        if "b" not in values:
            return {"ohms": "open" if math.isinf(ohms) else f"{ohms:.2f}"}
        return {"choice": "b" if ohms < BEEPS_BELOW else "s"}


def middle(text: str, without: float) -> str:
    """A figure in the middle of the band that a card expects."""
    band = re.search(r"expected: (.*?)(?: \(|$)", text)
    if band is None:
        return "open" if math.isinf(without) else f"{without:g}"
    found = re.findall(FIGURE, band[1])
    if not found:
        return "open"
    last = found[-1][1]  # stands behind a figure without a unit of its own
    figures = [
        float(number) * (1000 if (unit or last).startswith("k") else 1) for number, unit in found
    ]
    if "over" in band[1]:
        return "open" if math.isinf(without) else f"{2 * figures[0]:g}"
    if "under" in band[1] or "at most" in band[1]:
        return f"{figures[0] / 2:g}"
    return f"{sum(figures) / len(figures):g}"
