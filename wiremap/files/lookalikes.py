"""Names that the eye cannot tell apart: letters of two scripts in one word, or two names that
differ by script or case.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from wiremap.base import Severity
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.strict import Node

# Cyrillic and Greek letters that look like Latin ones: a part of confusables.txt of Unicode
# UTS #39.
_SKELETON = str.maketrans(
    "АВЕЅІЈКМНОРСТХУаеорсухіјѕΑΒΕΖΗΙΚΜΝΟΡΤΥΧοναι", "ABESIJKMHOPCTXYaeopcyxijsABEZHIKMNOPTYXovai"
)


def scripts(word: str) -> set[str]:
    """Which of the Latin, Greek and Cyrillic scripts the letters of a word belong to."""
    found = set()
    for character in word:
        if character.isalpha():
            script, *_ = unicodedata.name(character, "").partition(" ")
            if script in ("LATIN", "GREEK", "CYRILLIC"):
                found.add(script)
    return found


def skeleton(name: str) -> str:
    """What the eye makes of a name: compatibility forms, look-alike letters and case folded
    together.
    """
    return unicodedata.normalize("NFKC", name).translate(_SKELETON).casefold()


def remark_mixed_script(faults: Faults, text: str, node: Node) -> None:
    """Remark on a word whose letters come from two scripts."""
    if text.isascii():
        return
    for word in text.replace("_", " ").replace("-", " ").split():
        found = scripts(word)
        if len(found) > 1 and len(word) > 2:
            named = " and ".join(sorted(script.capitalize() for script in found))
            odd = next(
                character
                for character in word
                if character.isalpha() and not unicodedata.name(character, "").startswith("LATIN ")
            )
            faults.remark(
                "look-alike-name",
                Severity.CAUTION,
                f"`{short(word)}` mixes {named} letters: `{odd}` is "
                f"{unicodedata.name(odd, 'unnamed').lower()}",
                node,
                "Retype the word in one script.",
                why="It looks like another word but never matches it.",
            )
            return


def remark_twins(faults: Faults, names: Iterable[tuple[str, Node]], what: str) -> None:
    """Remark on two names that look alike: the same but for case or for letters of another
    script.
    """
    seen: dict[str, tuple[str, Node]] = {}
    for name, node in names:
        key = name.casefold() if name.isascii() else skeleton(name)
        first, first_node = seen.get(key, (name, node))
        if first != name:
            case_only = first.casefold() == name.casefold()
            faults.remark(
                "look-alike-name",
                Severity.NOTE if case_only else Severity.CAUTION,
                f"{what} `{short(first)}` and `{short(name)}` look alike"
                + (" but for case" if case_only else ""),
                node,
                "Rename one if both mean the same; otherwise mark them clearly on the sheet.",
                also=((faults.place(first_node), "the other one"),),
            )
        seen.setdefault(key, (name, node))
