"""The function words: what each means, its other spellings, and wordings that are read as it."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Any

from wiremap.trade.functions import FUNCTIONS, are_kin, called, may_share

WIDTH = 100  # the rule book and its words are a page, not a screen


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionWord:
    """One function of the vocabulary, as it may be written under `function:`."""

    slug: str
    meaning: str
    group: str
    flow: str
    aliases: tuple[str, ...]
    examples: tuple[str, ...]
    source: str
    standing: str

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "function": self.slug,
            "meaning": self.meaning,
            "class": self.group,
            "flow": self.flow,
            "aliases": list(self.aliases),
            "examples": list(self.examples),
            "source": self.source,
            "standing": self.standing,
        }


def function_words() -> tuple[FunctionWord, ...]:
    """Every function in the order of its table."""
    found = []
    for slug, known in FUNCTIONS.items():
        found.append(
            FunctionWord(
                slug=slug,
                meaning=known.meaning,
                group=known.electrical,
                flow=known.flow,
                aliases=known.aliases,
                examples=known.examples,
                source=known.source,
                standing=known.standing,
            )
        )
    return tuple(found)


def by_group() -> dict[str, list[str]]:
    """The function words by what kind of circuit they are, in the order of their table."""
    found: dict[str, list[str]] = {}
    for slug, known in FUNCTIONS.items():
        found.setdefault(known.electrical, []).append(slug)
    return found


def explained(slug: str) -> str:
    """One function for a person: what it is, how papers word it, what it may be joined with."""
    known = FUNCTIONS[slug]
    others = [other for other in FUNCTIONS if other != slug]
    lines = [f"{slug}: {known.meaning}"]
    told = (
        ("such as", known.examples),
        ("also written", known.aliases),
        ("may be joined with", (called(slug), *(o for o in others if may_share(slug, o)))),
        ("papers may call the same signal", [o for o in others if are_kin(slug, o)]),
    )
    lines += [f"  {words}: {', '.join(which)}" for words, which in told if which]
    if known.flow != "both":
        lines.append(f"  usual direction, told from the machine: {known.flow}")
    if known.refused:
        lines.append("  never joined, never probed")
    elif not known.offered:
        lines.append("  never proposed: a person decides")
    if known.licensed:
        lines.append("  a licensed person settles it by name")
    return "\n".join((*lines, f"  source: {known.source} ({known.standing})"))


def listed() -> str:
    """The function words as text, a paragraph each."""
    return "\n".join(_paragraph(word) for word in function_words())


def _paragraph(word: FunctionWord) -> str:
    told = f"{word.slug}: {word.meaning}"
    if word.flow != "both":
        told += f" Flow {word.flow}."
    if word.examples:
        told += f" Such as: {'; '.join(word.examples)}."
    if word.aliases:
        told += f" Also written: {', '.join(word.aliases)}."
    lines = textwrap.wrap(told, WIDTH, subsequent_indent="    ", break_on_hyphens=False)
    return "\n".join(lines)
