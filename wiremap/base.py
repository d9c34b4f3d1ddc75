"""The three words every room shares: a place, a severity, a finding.  Imports nothing of ours."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar

T = TypeVar("T")


class Place(NamedTuple):
    """A spot in a file, as an editor shows it: line and column count from 1."""

    path: str
    line: int = 1
    col: int = 1

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.col}"


class Severity(StrEnum):
    """How much a finding weighs: a `stop` holds the job, a `caution` is signed, a `note` is
    read.
    """

    STOP = "stop"
    CAUTION = "caution"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the heaviest."""
        return list(Severity).index(self)


@dataclass(frozen=True, slots=True)
class Accepted:
    """A named person's signature under a finding."""

    by: str
    date: str
    why: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found in the input, told in a person's words.

    `subject` holds addresses (`loom.1`), circuit ids or end names, most telling first; `also` holds
    further places with a word on each ("supply declared here").  `fault` marks input that could not
    be read at all (exit code 2); `acceptable` is false for what no signature may wave through.
    `fix_by_hand` is `fix` without its commands, and empty where `fix` names no command.  Findings
    of one rule with equal texts in `alike` are printed as one.
    """

    rule: str
    severity: Severity
    message: str
    subject: tuple[str, ...] = ()
    place: Place | None = None
    why: str = ""
    fix: str = ""
    also: tuple[tuple[Place, str], ...] = ()
    accepted: Accepted | None = None
    acceptable: bool = True
    fault: bool = False
    fix_by_hand: str = ""
    alike: str = ""

    @property
    def on_paper(self) -> str:
        """What mends it, for who stands at the machine: no command is told."""
        return self.fix_by_hand or self.fix

    @property
    def holds(self) -> bool:
        """Whether this finding alone keeps a job on hold."""
        return self.fault or (
            self.severity is Severity.STOP and (self.accepted is None or not self.acceptable)
        )

    def as_dict(self) -> dict[str, Any]:
        """The finding as plain data, in the documented shape."""
        place, signed = self.place, self.accepted
        return {
            "rule": self.rule,
            "severity": self.severity.value,
            "subject": list(self.subject),
            "file": place.path if place else None,
            "line": place.line if place else None,
            "column": place.col if place else None,
            "message": self.message,
            "why": self.why,
            "fix": self.fix,
            "accepted": {"by": signed.by, "date": signed.date, "why": signed.why}
            if signed
            else None,
        }

    def accepted_as(self, accepted: Accepted | None) -> Finding:
        """This finding with a signature under it."""
        return replace(self, accepted=accepted)


def fault(
    rule: str,
    message: str,
    place: Place | None = None,
    *,
    why: str = "",
    fix: str = "",
    subject: tuple[str, ...] = (),
    also: tuple[tuple[Place, str], ...] = (),
) -> Finding:
    """A finding for input that could not be read: always a stop, never acceptable."""
    return Finding(
        rule, Severity.STOP, message, subject, place, why, fix, also, acceptable=False, fault=True
    )


def only(items: Iterable[T]) -> T | None:
    """The one of them; None if there is none, or more than one."""
    match [*items]:
        case [item]:
            return item
    return None


def some_of(names: Sequence[str], most: int) -> str:
    """The first of some names, and how many more there are: `a, b and 3 more`."""
    named, left = ", ".join(names[:most]), len(names[most:])
    return f"{named} and {left} more" if left else named


def plural(count: int, word: str) -> str:
    """`1 file`, `2 files`, `0 files`."""
    ending = "" if count == 1 else "s"
    return f"{count} {word}{ending}"


def in_a_row(numbers: Iterable[int]) -> list[list[int]]:
    """Rising numbers in runs that count up by one: 3, 5, 6, 7 gives [3] and [5, 6, 7]."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return runs


def numbers_told(numbers: Iterable[int]) -> str:
    """Rising numbers in words: `3, 5 to 9`."""
    words: list[str] = []
    for run in in_a_row(numbers):
        if len(run) > 2:
            words.append(f"{run[0]} to {run[-1]}")
        else:
            words += map(str, run)
    return ", ".join(words)


def counted(count: int, word: str) -> str:
    """`no files`, `1 file`, `2 files`."""
    return plural(count, word) if count else f"no {word}s"


# Unicode categories that nobody sees or that steer a terminal: control, format, lone surrogate,
# private, unassigned, line and paragraph ends
STEERING = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))


def visible(text: str, keep: str = "") -> str:
    """Text with every character of STEERING shown as its code point, but for those in `keep`."""
    bare = text.replace(keep, "") if keep else text
    if bare.isascii() and bare.isprintable():  # most texts, and quicker than to look at each letter
        return text
    return "".join(
        c if c in keep or unicodedata.category(c) not in STEERING else f"<U+{ord(c):04X}>"
        for c in text
    )
